"""Flat faces of shapes: what the solids are made from and the drawings are projected from.

Every face is a loop of points, anticlockwise seen from outside. Curved pieces (bolts, rods, round
footings, plates with arcs) are not here.
"""

from __future__ import annotations

import itertools

from .frames import Vector
from .shapes import (
    Bar,
    Cap,
    FlatTop,
    Footing,
    Post,
    PyramidTop,
    SquareHole,
    WeatheredTop,
)

Face = tuple[Vector, ...]


def faces_of(shape: Bar | Post | Cap) -> tuple[Face, ...]:
    """Return the faces of a convex, flat-sided shape, in its own coordinates, mm."""
    match shape:
        case Bar():
            left = [(shape.end_x(shape.left, 0.0, p), *p) for p in shape.section]
            right = [(shape.end_x(shape.right, shape.length, p), *p) for p in shape.section]
            return _prism(left, right)
        case Cap(width, depth, thickness, rise, seat):
            if seat and rise:
                rings = [_ring(width, depth, z) for z in (0.0, thickness)]
                flat = _ring(width * shape.share, depth * shape.share, shape.height)
                return _stack([*rings, flat])
            return _tent(width, depth, thickness, thickness + rise)
        case Post(width, depth, length, top):
            match top:
                case FlatTop():
                    return _tent(width, depth, length, length)
                case PyramidTop():
                    return _tent(width, depth, shape.shoulder, length)
                case WeatheredTop():
                    w, d = width / 2.0, depth / 2.0
                    side = [(-d, 0.0), (d, 0.0), (d, shape.shoulder), (-d, length)]
                    return _prism([(-w, *p) for p in side], [(w, *p) for p in side])


def concrete_faces(footing: Footing) -> tuple[Face, ...]:
    """Return the faces of a square footing's concrete before the post is taken out of it."""
    assert isinstance(footing.hole, SquareHole)
    rings = [
        _ring(footing.hole.width, footing.hole.depth, -footing.depth),
        _ring(footing.hole.width, footing.hole.depth, 0.0),
    ]
    if footing.weathering > 0.0:
        rings.append(_ring(footing.post_width, footing.post_depth, footing.weathering))
    return _stack(rings)


def _ring(width: float, depth: float, z: float) -> Face:
    w, d = width / 2.0, depth / 2.0
    return (-w, -d, z), (w, -d, z), (w, d, z), (-w, d, z)


def _prism(left: list[Vector], right: list[Vector]) -> tuple[Face, ...]:
    count = len(left)
    ahead = [*range(1, count), 0]
    sides = ((left[j], right[j], right[i], left[i]) for i, j in enumerate(ahead))
    return tuple(left[::-1]), tuple(right), *sides


def _stack(rings: list[Face]) -> tuple[Face, ...]:
    walls = []
    for low, high in itertools.pairwise(rings):
        count = len(low)
        walls += [
            (low[i], low[(i + 1) % count], high[(i + 1) % count], high[i]) for i in range(count)
        ]
    return rings[0][::-1], rings[-1], *walls


def _tent(width: float, depth: float, shoulder: float, tip: float) -> tuple[Face, ...]:
    """Return a box with a four-way top; with tip = shoulder the plain box."""
    low, high = _ring(width, depth, 0.0), _ring(width, depth, shoulder)
    foot, lid, *walls = _stack([low, high])
    if tip == shoulder:
        return foot, lid, *walls
    point = (0.0, 0.0, tip)
    roof = ((high[i], high[(i + 1) % 4], point) for i in range(4))
    return foot, *walls, *roof
