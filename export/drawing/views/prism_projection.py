"""Projection of prisms into a view: what is seen of each side, round sides by their outlines."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from palewright.model.geometry.frames import Frame, Point, Vector, cross
from palewright.model.geometry.outlines import Edge
from palewright.model.geometry.prisms import Prism, prism_facets

if TYPE_CHECKING:
    from shapely import Geometry

FLAT = 0.02
"""Largest distance of a drawn curve from the true one where it is cut by what hides it, mm."""

SMOOTH = 0.90
"""Sides that meet with a cosine between their directions over this, one of them round, run on."""

_SLIVER = 1e-6
"""Areas smaller than this, mm2, are none."""


@dataclass(frozen=True)
class _Seen:
    """A facet that looks at the viewer. side : that it is part of; area : on paper; point,
    normal : of its plane.
    """

    side: int
    area: Geometry
    point: Vector
    normal: Vector

    def depth(self, spot: Point) -> float:
        """Return how far its plane is behind a spot of the paper, mm."""
        (x, y, z), (nx, ny, nz) = self.point, self.normal
        return y - (nx * (spot[0] - x) + nz * (spot[1] - z)) / ny


def prism_loops(prism: Prism, local: Frame) -> tuple[tuple[tuple[Point, ...], ...], float]:
    """Return what is seen of a prism as loops on paper, and the depth of its nearest point, mm.

    local : its frame in the view, whose y goes away from the viewer.
    """
    import shapely

    sides = _sides(prism.section.edges)
    seen: list[_Seen] = []
    depth = math.inf
    for number, facet in prism_facets(prism, FLAT):
        points = [local.point(vertex) for vertex in facet]
        depth = min(depth, *(y for _, y, _ in points))
        normal = _newell(points)
        if normal[1] < -1e-9:
            area = shapely.Polygon([(x, z) for x, _, z in points])
            side = sides[number] if number >= 0 else number
            seen.append(_Seen(side, area, points[0], normal))
    shown: dict[int, list[Geometry]] = {}
    for one in seen:
        area = one.area if _is_convex(prism) else _unhidden(one, seen)
        if area.area > _SLIVER:
            shown.setdefault(one.side, []).append(area)
    loops: list[tuple[Point, ...]] = []
    for areas in shown.values():
        for part in shapely.get_parts(shapely.union_all(areas)):
            if part.geom_type == "Polygon" and part.area > _SLIVER:
                loops += [_points(ring) for ring in (part.exterior, *part.interiors)]
    return tuple(loops), depth


def _points(ring: Geometry) -> tuple[Point, ...]:
    return tuple((float(x), float(y)) for x, y in ring.coords[:-1])


def _is_convex(prism: Prism) -> bool:
    """Tell whether no side of a prism can hide another."""
    edges = prism.section.edges
    if any(edge.bulge < 0.0 for edge in edges):
        return False
    for one, after in zip(edges, (*edges[1:], edges[0]), strict=True):
        (ax, ay), (bx, by) = _way(one, at_end=True), _way(after, at_end=False)
        if ax * by - ay * bx < -1e-9:
            return False
    return True


def _unhidden(one: _Seen, seen: Sequence[_Seen]) -> Geometry:
    """Return what no other facet of the same prism hides of a facet."""
    area = one.area
    for other in seen:
        if other is one:
            continue
        both = area.intersection(other.area)
        if both.area > _SLIVER:
            at = both.representative_point()
            spot = (float(at.x), float(at.y))
            if other.depth(spot) < one.depth(spot):
                area = area.difference(other.area)
    return area


def _sides(edges: Sequence[Edge]) -> list[int]:
    """Return the number of the side that each edge of a section belongs to: edges that run on
    smoothly, one of them round, are one.
    """
    count = len(edges)
    own = list(range(count))
    for n in range(count):
        after = (n + 1) % count
        one, other = edges[n], edges[after]
        (ax, ay), (bx, by) = _way(one, at_end=True), _way(other, at_end=False)
        if (one.bulge or other.bulge) and ax * bx + ay * by > SMOOTH:
            own = [own[n] if side == own[after] else side for side in own]
    return own


def _way(edge: Edge, *, at_end: bool) -> Point:
    """Return the direction of an edge where it starts or ends."""
    turn = math.atan2(edge.end[1] - edge.start[1], edge.end[0] - edge.start[0])
    turn += edge.angle / 2.0 if at_end else -edge.angle / 2.0
    return math.cos(turn), math.sin(turn)


def _newell(points: Sequence[Vector]) -> Vector:
    """Return the normal of a flat loop, not scaled."""
    total = (0.0, 0.0, 0.0)
    for a, b in zip(points, (*points[1:], points[0]), strict=True):
        part = cross(a, b)
        total = (total[0] + part[0], total[1] + part[1], total[2] + part[2])
    return total
