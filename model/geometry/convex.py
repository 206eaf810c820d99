"""Shapes as convex parts, and how deep two of them stand in each other.

A part is the room within planes: n . x <= d for each. Curves are replaced by chords that lie in
the shape's own material, so nothing is found to clash that does not.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from .facets import concrete_faces, faces_of
from .frames import Frame, Point, Vector, cross, dot
from .metal_caps import MetalCap
from .outlines import Outline
from .post_shapes import Post, post_head, post_lengths
from .prisms import Prism, prism_points
from .shapes import Bar, Bolt, Cap, Footing, Plate, Rod, RoundHole, Shape, Tenoned
from .tenoned_skins import tenon_faces, tenoned_points
from .turned_shapes import Turned, TurnedZone

CHORD = 0.1
"""Largest distance between an arc of an outline and its chords, mm."""

SIDES = 24
"""Flat sides that stand for a cylinder."""

ROWS = 8
"""Rows of flat sides that stand for a ball's side."""

_SMALLEST = 1e-6
"""Edges shorter than this have no direction, mm."""


@dataclass(frozen=True, eq=False)
class ConvexPart:
    """The room within planes. normals : (n, 3) float, unit, outwards; offsets : (n,) float, mm."""

    normals: NDArray[np.float64]
    offsets: NDArray[np.float64]

    def placed(self, frame: Frame) -> ConvexPart:
        """Return the part, given in `frame`, in the outer frame."""
        turned = self.normals @ np.array([frame.x, frame.y, frame.z])
        return ConvexPart(turned, self.offsets + turned @ np.array(frame.origin))


@lru_cache(maxsize=4096)
def outer_points(shape: Shape) -> NDArray[np.float64]:
    """Return points of a shape's surface whose hull holds it but for the swell of its arcs.

    Returns
    -------
    (n, 3) float, mm, in the shape's own coordinates, none of them twice
    """
    return np.unique(np.array(_surface_points(shape)), axis=0)


def _surface_points(shape: Shape) -> tuple[Vector, ...]:
    match shape:
        case Bar() | Post() | Cap() | MetalCap():
            return tuple(point for face in faces_of(shape) for point in face)
        case Plate(outline, thickness):
            return tuple(
                (min(max(x, shape.sides(y)[0]), shape.sides(y)[1]), y, z)
                for x, z in outline.flatten(CHORD)
                for y in (0.0, thickness)
            )
        case Rod(diameter, length):
            return tuple((x, y, z) for x, y in _round(diameter) for z in (0.0, length))
        case Bolt():
            return tuple(
                (x, y, z)
                for diameter, start, stop in _drums(shape)
                for x, z in _round(diameter)
                for y in (start, stop)
            )
        case Footing():
            return tuple(point for ring in _concrete_rings(shape) for point in ring)
        case Turned():
            return tuple(
                (x, y, z) for radius, z in shape.profile(ROWS) for x, y in _round(2.0 * radius)
            )
        case Prism():
            return tuple(prism_points(shape, CHORD))
        case Tenoned():
            return tuple(tenoned_points(shape))


@lru_cache(maxsize=4096)
def convex_parts(shape: Shape) -> tuple[ConvexPart, ...]:
    """Return convex parts that together make a shape, in its own coordinates.

    A plate and a prism are cut at every corner of their outline, which leaves trapeziums; a footing
    stands for its whole hole, with the post in it.
    """
    match shape:
        case Post() if shape.bevel is not None:
            head, start = post_head(shape)
            lengths = tuple(_within(_walls([*rings])) for rings in post_lengths(shape))
            return (*lengths, _within(faces_of(head)).placed(Frame.at(0.0, 0.0, start)))
        case MetalCap():
            return tuple(_within(_walls([*rings])) for rings in shape.pieces())
        case Bar():
            return (_within(faces_of(replace(shape, section=_hull(shape.section)))),)
        case Post() | Cap():
            return (_within(faces_of(shape)),)
        case Plate():
            return tuple(_plate_part(shape, loop) for loop in _trapeziums(shape.outline))
        case Rod(diameter, length):
            low, high = ([(x, y, z) for x, y in _round(diameter)] for z in (0.0, length))
            return (_within(_walls([tuple(low), tuple(high)])),)
        case Bolt():
            return tuple(_drum(*drum) for drum in _drums(shape))
        case Footing():
            if not isinstance(shape.hole, RoundHole):
                return (_within(concrete_faces(shape)),)
            return (_within(_walls(_concrete_rings(shape))),)
        case Turned():
            return tuple(_frustum(level, zone) for level, zone in shape.stacked())
        case Prism():
            return tuple(_straight(shape, loop) for loop in _trapeziums(shape.section))
        case Tenoned():
            tenons = (tenon_faces(shape, right=right) for right in (False, True))
            return tuple(_within(part) for part in (faces_of(shape.bar), *tenons) if part)


def _hull(section: tuple[Point, ...]) -> tuple[Point, ...]:
    """Return a section without its drip grooves: without the points that lie in the hull."""
    kept: list[Point] = []
    for point in sorted(section) + sorted(section)[-2::-1]:
        while (
            len(kept) > 1 and _turn(kept[-2], kept[-1], point) <= 0.0 and kept[-1] != max(section)
        ):
            kept.pop()
        kept.append(point)
    return tuple(kept[:-1])


def _turn(a: Point, b: Point, c: Point) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def shared_radius(one: ConvexPart, other: ConvexPart) -> float:
    """Return the radius of the largest ball that fits in both parts, mm; not positive if none.

    It is a linear programme in the ball's middle and radius (Boyd and Vandenberghe, Convex
    Optimization, 2004, section 4.3.1, Chebyshev centre).
    """
    import highspy

    normals = np.vstack([one.normals, other.normals])
    offsets = np.concatenate([one.offsets, other.offsets])
    middle = normals[: len(one.normals)].T @ one.offsets / max(1, len(one.normals))
    offsets = offsets - normals @ middle  # far from the site's origin figures would be coarse
    model = highspy.Highs.__bases__[0]()
    model.setOptionValue("output_flag", False)
    model.setOptionValue("threads", 1)
    free = highspy.kHighsInf
    for _ in range(3):
        model.addVar(-free, free)
    model.addVar(-free, free)
    model.changeColCost(3, -1.0)
    columns = np.arange(4, dtype=np.int32)
    for normal, offset in zip(normals, offsets, strict=True):
        model.addRow(-free, float(offset), 4, columns, np.array([*normal, 1.0]))
    model.run()
    return float(model.getSolution().col_value[3])


def _drums(bolt: Bolt) -> tuple[tuple[float, float, float], ...]:
    """Return a bolt as cylinders along y, their diameters, starts and ends; of its nut the largest
    within.
    """
    nut = bolt.grip + bolt.washer_height
    return (
        (bolt.head_diameter, 0.0, bolt.head_height),
        (bolt.diameter, bolt.head_height, bolt.head_height + bolt.length),
        (bolt.washer_diameter, bolt.grip, nut),
        (bolt.nut_width, nut, nut + bolt.nut_height),
    )


def _drum(diameter: float, start: float, stop: float) -> ConvexPart:
    # anticlockwise seen from +y
    far, near = ([(x, y, z) for x, z in _round(diameter)] for y in (stop, start))
    return _within(_walls([tuple(far), tuple(near)]))


def _frustum(level: float, zone: TurnedZone) -> ConvexPart:
    rings = [
        tuple((x, y, level + z) for x, y in _round(2.0 * radius)) for radius, z in zone.rings(ROWS)
    ]
    return _within(_walls(rings))


def _round(diameter: float) -> list[tuple[float, float]]:
    radius = diameter / 2.0
    turns = [math.tau * number / SIDES for number in range(SIDES)]
    return [(radius * math.cos(turn), radius * math.sin(turn)) for turn in turns]


def _concrete_rings(footing: Footing) -> list[tuple[Vector, ...]]:
    """Return loops of the hole's concrete, from the bottom up."""
    if not isinstance(footing.hole, RoundHole):
        return list(concrete_faces(footing))
    rings = [(_round(footing.hole.diameter), z) for z in (-footing.depth, 0.0)]
    if footing.weathering > 0.0:
        share = 1.0 - footing.weathering / footing.cone_height
        rings.append((_round(footing.hole.diameter * share), footing.weathering))
    return [tuple((x, y, z) for x, y in ring) for ring, z in rings]


def _walls(rings: list[tuple[Vector, ...]]) -> list[tuple[Vector, ...]]:
    """Return the faces between loops of as many points, and the first and last as lids."""
    faces = [rings[0][::-1], rings[-1]]
    for low, high in itertools.pairwise(rings):
        for a in range(len(low)):
            b = (a + 1) % len(low)
            faces.append((low[a], low[b], high[b], high[a]))
    return faces


def _within(faces: tuple[tuple[Vector, ...], ...] | list[tuple[Vector, ...]]) -> ConvexPart:
    """Return the part within faces that are anticlockwise seen from outside."""
    normals, offsets = [], []
    for face in faces:
        # Newell's sum: sound for any plane loop, small corners too
        total = (0.0, 0.0, 0.0)
        for start, end in zip(face, (*face[1:], face[0]), strict=True):
            turn = cross(start, end)
            total = (total[0] + turn[0], total[1] + turn[1], total[2] + turn[2])
        size = math.sqrt(dot(total, total))
        if size < _SMALLEST:
            continue
        normal = (total[0] / size, total[1] / size, total[2] / size)
        normals.append(normal)
        offsets.append(max(dot(normal, point) for point in face))
    return ConvexPart(np.array(normals), np.array(offsets))


def _trapeziums(outline: Outline) -> list[tuple[tuple[float, float], ...]]:
    """Return an outline, cut upright at its corners, as anticlockwise loops."""
    import shapely
    from shapely.geometry.polygon import orient

    loop = shapely.make_valid(shapely.Polygon(outline.flatten(CHORD)))
    if loop.convex_hull.area - loop.area <= _SMALLEST * loop.area:
        return [tuple(orient(loop.convex_hull).exterior.coords[:-1])]
    xs = np.unique(shapely.get_coordinates(loop)[:, 0])  # rounded they would leave slivers
    _, low, _, high = loop.bounds
    strips = shapely.box(xs[:-1], low - 1.0, xs[1:], high + 1.0)
    found = []
    for strip in shapely.get_parts(shapely.intersection(loop, strips)):
        if strip.geom_type == "Polygon" and strip.area > _SMALLEST:
            hull = orient(strip.convex_hull)
            found.append(tuple(hull.exterior.coords[:-1]))
    return found


def _straight(prism: Prism, loop: tuple[tuple[float, float], ...]) -> ConvexPart:
    # anticlockwise seen from +x
    ends = (tuple(prism.end(loop, right=right)) for right in (False, True))
    return _within(_walls([*ends]))


def _plate_part(plate: Plate, loop: tuple[tuple[float, float], ...]) -> ConvexPart:
    normals: list[Vector] = [(0.0, -1.0, 0.0), (0.0, 1.0, 0.0)]
    offsets = [0.0, plate.thickness]
    for (x0, z0), (x1, z1) in zip(loop, (*loop[1:], loop[0]), strict=True):
        size = math.hypot(x1 - x0, z1 - z0)
        if size < _SMALLEST:
            continue
        normal = ((z1 - z0) / size, 0.0, -(x1 - x0) / size)
        normals.append(normal)
        offsets.append(normal[0] * x0 + normal[2] * z0)
    for side, slope, out in ((0, plate.bevel_left, -1.0), (1, plate.bevel_right, 1.0)):
        if slope:
            size = math.hypot(1.0, slope)
            normals.append((out / size, -out * slope / size, 0.0))
            offsets.append(out * plate.sides(0.0)[side] / size)
    return ConvexPart(np.array(normals), np.array(offsets))
