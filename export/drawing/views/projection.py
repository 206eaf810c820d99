"""Projection of members into a view, with what stands in front hiding what stands behind.

No CAD kernel: faces come from the shapes themselves. A view has a frame whose x and z span the
paper and whose y points away from the viewer.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TYPE_CHECKING

from palewright.model.geometry.facets import faces_of, smooth_faces
from palewright.model.geometry.frames import Frame, Point, Vector, cross, dot
from palewright.model.geometry.metal_caps import MetalCap
from palewright.model.geometry.post_shapes import Post
from palewright.model.geometry.prisms import Prism
from palewright.model.geometry.shapes import Bar, Bolt, Cap, Footing, Plate, Rod, Tenoned
from palewright.model.geometry.turned_shapes import Turned
from palewright.model.geometry.worked_shapes import Worked
from palewright.model.geometry.worked_skins import drawn_sides
from palewright.model.parts.gates import between_shoulders
from palewright.model.parts.members import LEDGE, Member

from .prism_projection import FLAT, prism_loops

if TYPE_CHECKING:
    from shapely import Geometry

CIRCLE_POINTS = 48

ROWS = 24
"""Rows of points that stand for the round side of a turned piece."""


@dataclass(frozen=True)
class Drawn:
    """A member in a view.

    loops : closed loops whose union is what it covers; depth : of its nearest point.
    """

    member: Member
    loops: tuple[tuple[Point, ...], ...]
    depth: float


def project(member: Member, view: Frame) -> Drawn:
    """Return the visible faces of a member as loops in the view, mm."""
    local = view_frame(member.frame, view)
    if isinstance(member.shape, Rod):
        return _round(member, member.shape, local)
    if isinstance(member.shape, Turned):
        return _turned(member, member.shape, local)
    if isinstance(member.shape, Tenoned):  # its tenons are in the posts
        return project(replace(member, shape=member.shape.bar), view)
    if isinstance(member.shape, Prism):
        return Drawn(member, *prism_loops(member.shape, local))
    worked = member.finished
    faces = drawn_sides(worked) if isinstance(worked, Worked) else ()
    loops: list[tuple[Point, ...]] = []
    strips: list[tuple[Point, ...]] = []
    depth = float("inf")
    smooth = smooth_faces(member.shape) if isinstance(member.shape, Post) else frozenset()
    for face in faces or _faces(member, square_on=abs(local.y[1] - 1.0) < 1e-12):
        points = [local.point(vertex) for vertex in face]
        depth = min(depth, *(point[1] for point in points))
        if _normal(points)[1] < -1e-9:  # turned to the viewer
            (strips if face in smooth else loops).append(tuple((x, z) for x, _, z in points))
    return Drawn(member, (*loops, *_round_side(strips)), depth)


def _round_side(strips: list[tuple[Point, ...]]) -> list[tuple[Point, ...]]:
    """Return what strips of one round side cover, without the lines between them."""
    import shapely

    covered = shapely.union_all([shapely.Polygon(strip) for strip in strips], grid_size=1e-6)
    parts = [part for part in shapely.get_parts(covered) if part.geom_type == "Polygon"]
    return [tuple((float(x), float(z)) for x, z in p.exterior.coords[:-1]) for p in parts]


def _round(member: Member, rod: Rod, local: Frame) -> Drawn:
    """Return a rod by its outline alone: its skin has no edges."""
    import shapely

    corners = [
        local.point((x, y, z)) for x, y in _circle(rod.diameter / 2.0) for z in (0.0, rod.length)
    ]
    hull = shapely.MultiPoint([(x, z) for x, _, z in corners]).convex_hull.exterior
    loop = tuple((float(x), float(y)) for x, y in hull.coords[:-1])
    return Drawn(member, (loop,), min(y for _, y, _ in corners))


def _turned(member: Member, piece: Turned, local: Frame) -> Drawn:
    """Return a turned piece by the outline of each of its zones."""
    import shapely

    loops = []
    depth = float("inf")
    for level, zone in piece.stacked():
        corners = [
            local.point((x, y, level + z))
            for radius, z in zone.rings(ROWS)
            for x, y in _circle(radius)
        ]
        hull = shapely.MultiPoint([(x, z) for x, _, z in corners]).convex_hull.exterior
        loops.append(tuple((float(x), float(y)) for x, y in hull.coords[:-1]))
        depth = min(depth, *(y for _, y, _ in corners))
    return Drawn(member, tuple(loops), depth)


def view_frame(frame: Frame, view: Frame) -> Frame:
    """Return a frame of the site as it stands in the view's coordinates."""

    def turned(v: Vector) -> Vector:
        return dot(v, view.x), dot(v, view.y), dot(v, view.z)

    return Frame(view.local(frame.origin), turned(frame.x), turned(frame.y))


@lru_cache(maxsize=32)
def seen_members(members: tuple[Member, ...], view: Frame) -> list[tuple[Member, Geometry]]:
    """Return what is seen of members in a view, worked out once: it is drawn at several scales."""
    return visible(project(member, view) for member in members)


def visible(drawn: Iterable[Drawn]) -> list[tuple[Member, Geometry]]:
    """Return each member's lines that nothing in front of it hides, nearest member first."""
    import shapely

    order = sorted(drawn, key=lambda item: (item.depth, item.member.name))
    covers = [_joined([shapely.Polygon(loop) for loop in d.loops]) for d in order]
    tree = shapely.STRtree(covers)
    result = []
    for number, item in enumerate(order):
        lines = _joined([shapely.LinearRing(loop) for loop in item.loops])
        near = [
            covers[other]
            for other in tree.query(covers[number], predicate="intersects")
            if other < number and order[other].depth < item.depth - 1e-6
        ]
        if near:
            lines = lines.difference(shapely.union_all(near))
        if not lines.is_empty:
            result.append((item.member, shapely.line_merge(lines)))
    return result


def _joined(shapes: list[Geometry]) -> Geometry:
    """Return the union of shapes; of one alone itself."""
    import shapely

    return shapes[0] if len(shapes) == 1 else shapely.union_all(shapes)


def polylines(lines: Geometry) -> list[tuple[Point, ...]]:
    """Return the parts of a line geometry as point lists, in a stable order."""
    import shapely

    parts = [
        tuple((float(x), float(y)) for x, y in shapely.get_coordinates(part))
        for part in shapely.get_parts(lines)
        if isinstance(part, (shapely.LineString, shapely.LinearRing))
    ]
    return sorted(part for part in parts if len(part) > 1)


def _faces(member: Member, *, square_on: bool) -> Iterable[tuple[Vector, ...]]:
    """Return the faces of a member that may be seen. square_on : from its front, as most pales
    are, when the sides of a plate are not.
    """
    match member.shape:
        case Bar() | Post() | Cap() | MetalCap() as shape:
            return faces_of(shape)
        case Plate(outline, thickness) as plate if plate.bevel_left or plate.bevel_right:
            return _bevelled_faces(plate)
        case Plate() as plate if member.kind == LEDGE:
            seen = between_shoulders(plate)  # its tenons are in the stiles
            near = tuple((x, 0.0, z) for x, z in seen)
            far = tuple((x, plate.thickness, z) for x, z in reversed(seen))
            return near, far, *_walls(near, tuple(reversed(far)))
        case Plate(outline, thickness):
            loop = outline.flatten(FLAT)
            near = tuple((x, 0.0, z) for x, z in loop)
            if square_on:
                return (near,)
            far = tuple((x, thickness, z) for x, z in reversed(loop))
            return near, far, *_walls(near, tuple(reversed(far)))
        case Bolt() as bolt:
            # what is seen of it: the head from the front; washer, nut and end from the back
            head = tuple((x, 0.0, z) for x, z in _circle(bolt.head_diameter / 2.0))
            washer = bolt.grip + bolt.washer_height
            discs = (
                (bolt.washer_diameter / 2.0, washer),
                (bolt.nut_width / 2.0, washer + bolt.nut_height),
            )
            return head, *(tuple((x, y, z) for x, z in _circle(r)[::-1]) for r, y in discs)
        case Footing() | Rod() | Turned() | Prism() | Tenoned():
            return ()  # a footing is drawn by its hole, what is round by its outline


def _bevelled_faces(plate: Plate) -> Iterable[tuple[Vector, ...]]:
    """Return front, back and the upright sides of a plate with bevelled sides."""
    import shapely
    from shapely.geometry.polygon import orient

    whole = shapely.Polygon(plate.outline.flatten(FLAT))
    _, low, _, high = plate.outline.bounds
    faces: list[tuple[Vector, ...]] = []
    spans = []
    for y in (0.0, plate.thickness):
        left, right = plate.sides(y)
        part = orient(whole.intersection(shapely.box(left, low, right, high)))
        loop = [(float(x), float(z)) for x, z in part.exterior.coords[:-1]]
        spans.append((left, right, loop))
        faces.append(tuple((x, y, z) for x, z in (loop if y == 0.0 else loop[::-1])))
    (left0, right0, loop0), (left1, right1, loop1) = spans
    for number, (x0, x1) in enumerate(((left0, left1), (right0, right1))):
        tops = [
            max((z for px, z in loop if abs(px - x) < FLAT), default=low)
            for x, loop in ((x0, loop0), (x1, loop1))
        ]
        side: list[Vector] = [
            (x0, 0.0, low), (x1, plate.thickness, low), (x1, plate.thickness, tops[1]),
            (x0, 0.0, tops[0]),
        ]  # fmt: skip
        faces.append(tuple(side if number else side[::-1]))
    return faces


def _walls(near: tuple[Vector, ...], far: tuple[Vector, ...]) -> list[tuple[Vector, ...]]:
    """Return the sides between two loops, the first one anticlockwise seen from outside."""
    count = len(near)
    return [(near[(i + 1) % count], near[i], far[i], far[(i + 1) % count]) for i in range(count)]


def _circle(radius: float) -> list[Point]:
    import math

    return [
        (
            radius * math.cos(2 * math.pi * n / CIRCLE_POINTS),
            radius * math.sin(2 * math.pi * n / CIRCLE_POINTS),
        )
        for n in range(CIRCLE_POINTS)
    ]


def _normal(points: list[Vector]) -> Vector:
    """Return the normal of a flat loop (Newell's sum), not scaled."""
    total = (0.0, 0.0, 0.0)
    for a, b in zip(points, (*points[1:], points[0]), strict=True):
        part = cross(a, b)
        total = (total[0] + part[0], total[1] + part[1], total[2] + part[2])
    return total
