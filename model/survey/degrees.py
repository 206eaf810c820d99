"""Longitudes and latitudes as places on a plane, with true lengths."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from palewright.model.geometry.frames import Point, Vector

WGS84_A, WGS84_F = 6378137.0, 1.0 / 298.257223563
"""Semi-major axis, m, and flattening of the WGS 84 ellipsoid (its defining parameters)."""

NEAR = 5e6
"""Side of the squares that each have a plane of their own, mm."""

SMALL_STEP = 1e-4
"""Degrees of latitude to see by where north is; 11 m."""

Place = Callable[[float, float], Point]
"""From longitude and latitude, degrees, to east and north, mm."""


def local_planes(shapes: Sequence[Sequence[tuple[float, float]]]) -> list[Place]:
    """Return for each shape how its degrees become mm, lengths true on each.

    shapes : longitudes and latitudes of each. All stand on the plane that touches at the first
    position; in squares away from there a plane touches where the first of their shapes is, and
    that is laid on the first one without stretching.
    """
    first = local_plane(*shapes[0][0])
    planes = {(0, 0): first}
    places = []
    for shape in shapes:
        lons, lats = zip(*shape, strict=True)
        lon, lat = (min(lons) + max(lons)) / 2.0, (min(lats) + max(lats)) / 2.0
        x, y = first(lon, lat)
        square = round(x / NEAR), round(y / NEAR)
        if square not in planes:
            planes[square] = _laid(first, lon, lat)
        places.append(planes[square])
    return places


def _laid(first: Place, lon: float, lat: float) -> Place:
    """Return the plane that touches at a position, moved and turned to where that is on another."""
    own, (x0, y0) = local_plane(lon, lat), first(lon, lat)
    x1, y1 = first(lon, lat + SMALL_STEP)
    turn = math.atan2(x1 - x0, y1 - y0)
    sin, cos = math.sin(turn), math.cos(turn)

    def place(lon: float, lat: float) -> Point:
        x, y = own(lon, lat)
        return x0 + cos * x + sin * y, y0 - sin * x + cos * y

    return place


def local_plane(lon: float, lat: float) -> Place:
    """Return the function from degrees to (east, north) in mm on the plane that touches the
    WGS 84 ellipsoid at (lon, lat).

    The position's place in space, seen along the ellipsoid's normal (the usual conversion from
    geodetic to earth-centred coordinates, and its rotation to east, north, up). Within 1 km of
    the point lengths are true to 1 part in 10 million.
    """
    e2 = WGS84_F * (2.0 - WGS84_F)

    def space(lon: float, lat: float) -> Vector:
        sin, cos = math.sin(math.radians(lat)), math.cos(math.radians(lat))
        radius = WGS84_A / math.sqrt(1.0 - e2 * sin * sin)
        return (
            radius * cos * math.cos(math.radians(lon)),
            radius * cos * math.sin(math.radians(lon)),
            radius * (1.0 - e2) * sin,
        )

    x0, y0, z0 = space(lon, lat)
    sin_lat, cos_lat = math.sin(math.radians(lat)), math.cos(math.radians(lat))
    sin_lon, cos_lon = math.sin(math.radians(lon)), math.cos(math.radians(lon))

    def plane(lon: float, lat: float) -> Point:
        x, y, z = space(lon, lat)
        dx, dy, dz = x - x0, y - y0, z - z0
        east = -sin_lon * dx + cos_lon * dy
        north = -sin_lat * cos_lon * dx - sin_lat * sin_lon * dy + cos_lat * dz
        return east * 1000.0, north * 1000.0

    return plane
