"""Faces and skins of bars with tenons."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from .facets import faces_of
from .frames import Point, Vector
from .shapes import Tenoned
from .skins import Flat, Loop, Skin, SkinMaker, unit
from .tenons import NEAR
from .top_cuts import Face


def tenon_faces(shape: Tenoned, *, right: bool) -> tuple[Face, ...]:
    """Return all faces of a tenon, that on the shoulder last; none where there is none."""
    tenon = shape.right if right else shape.left
    if tenon is None:
        return ()
    low, high = (
        [shape.point(spot, z, right=right) for spot in tenon.plan] for z in (tenon.low, tenon.high)
    )
    on = [u < NEAR for u, _ in tenon.plan]
    faces: list[Face] = [tuple(high), tuple(reversed(low))]
    root: list[Face] = []
    for n in range(len(low)):
        m = (n + 1) % len(low)
        (root if on[n] and on[m] else faces).append((low[n], low[m], high[m], high[n]))
    whole = [*faces, *root]
    return tuple(whole if right else (face[::-1] for face in whole))


def tenoned_points(shape: Tenoned) -> list[Vector]:
    """Return the corners of a tenoned bar."""
    points = [point for face in faces_of(shape.bar) for point in face]
    for right in (False, True):
        points += [point for face in tenon_faces(shape, right=right) for point in face]
    return points


def tenoned_skin(shape: Tenoned) -> Skin | None:
    """Return the skin of a tenoned bar."""
    maker = SkinMaker()
    rings = []
    for right in (False, True):
        rings.append(_shoulder(maker, shape, right=right))
        for face in tenon_faces(shape, right=right)[:-1]:
            maker.polygon(face)
    section = shape.bar.section
    for n, start in enumerate(section):
        end = section[(n + 1) % len(section)]
        left, right_ = (_along(ring, start, end) for ring in rings)
        bar = shape.bar
        near = [(bar.end_x(bar.left, 0.0, p), *p) for p in left]
        far = [(bar.end_x(bar.right, bar.length, p), *p) for p in right_]
        maker.polygon([*near, *reversed(far)])
    return maker.skin()


def _along(ring: Iterable[Point], start: Point, end: Point) -> list[Point]:
    """Return an edge of a section with the points of a ring that lie on it, in order."""
    (ay, az), (by, bz) = start, end
    dy, dz = by - ay, bz - az
    size = dy * dy + dz * dz
    found = {0.0: start, 1.0: end}
    for y, z in ring:
        share = ((y - ay) * dy + (z - az) * dz) / size
        off = abs((y - ay) * dz - (z - az) * dy) / size**0.5
        if off < NEAR and NEAR < share * size**0.5 < size**0.5 - NEAR:
            found[share] = (y, z)
    return [found[share] for share in sorted(found)]


def _shoulder(maker: SkinMaker, shape: Tenoned, *, right: bool) -> list[Point]:
    """Add the faces of a shoulder, and return the corners that stand on it."""
    import shapely

    bar = shape.bar
    tenon = shape.right if right else shape.left
    area = shapely.Polygon(bar.section)
    corners: list[Point] = []
    if tenon is not None:
        (y0, y1), z0, z1 = tenon.root, tenon.low, tenon.high
        corners = [(y0, z0), (y1, z0), (y1, z1), (y0, z1)]
        area = area.difference(shapely.Polygon(corners))
    cut = bar.right if right else bar.left
    way = 1.0 if right else -1.0
    normal = unit((way, -way * cut.ky, -way * cut.kz))

    def loop(ring: Sequence[Point]) -> Loop:
        points = _with(ring, corners)
        spots = [shape.point((0.0, y), z, right=right) for y, z in points]
        return maker.ring(spots if right else spots[::-1])

    for part in shapely.get_parts(shapely.orient_polygons(area)):
        if part.geom_type == "Polygon" and part.area > NEAR:
            rings = [[*ring.coords[:-1]] for ring in (part.exterior, *part.interiors)]
            maker.face(Flat(normal), *(loop(ring) for ring in rings))
    return corners


def _with(ring: Sequence[Point], corners: Sequence[Point]) -> list[Point]:
    """Return a ring with the corners that lie on its edges."""
    points: list[Point] = []
    for n, start in enumerate(ring):
        points += _along(corners, start, ring[(n + 1) % len(ring)])[:-1]
    return points
