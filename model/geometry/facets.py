"""Flat faces of shapes: what the solids are made from and the drawings are projected from.

Every face is a loop of points, anticlockwise seen from outside. Curved pieces (bolts, rods, round
footings, plates with arcs) are not here.
"""

from __future__ import annotations

import itertools

from .frames import Vector
from .metal_caps import MetalCap
from .post_shapes import Post, bevel_faces, post_sides
from .shapes import Bar, Cap, Footing, SquareHole
from .top_cuts import Face, FlatTop, PyramidTop, RoundTop, WeatheredTop


def faces_of(shape: Bar | Post | Cap | MetalCap) -> tuple[Face, ...]:
    """Return the faces of a flat-sided shape, in its own coordinates, mm; a round top in strips."""
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
        case MetalCap():
            return shape.faces()
        case Post():
            return _post_faces(shape)


def _post_faces(post: Post) -> tuple[Face, ...]:
    width, depth, length, top = post.width, post.depth, post.length, post.top
    w, d = width / 2.0, depth / 2.0
    if post.plain:
        match top:
            case FlatTop():
                return _tent(width, depth, length, length)
            case PyramidTop():
                return _tent(width, depth, post.shoulder, length)
            case WeatheredTop():
                side = [(-d, 0.0), (d, 0.0), (d, post.shoulder), (-d, length)]
                return _prism([(-w, *p) for p in side], [(w, *p) for p in side])
    foot = _ring(width, depth, 0.0)[::-1]
    return foot, *post_sides(post), *bevel_faces(post), *top.lids(w, d, length)


def smooth_faces(shape: Bar | Post | Cap | MetalCap) -> frozenset[Face]:
    """Return those of a shape's faces that are strips of one round side."""
    if isinstance(shape, Post) and isinstance(shape.top, RoundTop):
        return frozenset(shape.top.lids(shape.width / 2.0, shape.depth / 2.0, shape.length))
    return frozenset()


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
