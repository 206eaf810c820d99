"""Skins of posts."""

from __future__ import annotations

import math

from .facets import faces_of
from .post_shapes import Post, bevel_faces, post_sides
from .skins import Cylinder, Flat, Loop, Skin, SkinMaker, Sweep, back, chords, skin_of_polygons
from .top_cuts import RoundTop


def post_skin(post: Post) -> Skin | None:
    """Return the skin of a post; a round top has a round face."""
    if not isinstance(post.top, RoundTop):
        return skin_of_polygons(faces_of(post))
    maker = SkinMaker()
    w, d = post.width / 2.0, post.depth / 2.0
    front, right, rear, left = post_sides(post, chords=False)
    maker.polygon(((-w, d, 0.0), (w, d, 0.0), (w, -d, 0.0), (-w, -d, 0.0)))
    for face in (right, left, *bevel_faces(post)):
        maker.polygon(face)
    arcs = []
    for face, y, normal in ((front, -d, (0.0, -1.0, 0.0)), (rear, d, (0.0, 1.0, 0.0))):
        arc = _arc(maker, post, y)
        spots = [maker.corner(point) for point in face]
        ends = maker.edges[arc[0] - 1]
        over = arc if y < 0.0 else back(arc)
        start, end = (ends.start, ends.end) if y < 0.0 else (ends.end, ends.start)
        loop: Loop = ()
        for a, b in zip(spots, (*spots[1:], spots[0]), strict=True):
            loop += over if (a, b) == (start, end) else maker.line(a, b)
        maker.face(Flat(normal), loop)
        arcs.append(arc)
    near, far = (maker.edges[arc[0] - 1] for arc in arcs)
    high = post.length - post.top.radius(post.width)
    surface = Cylinder((0.0, 0.0, high), (0.0, 1.0, 0.0), post.top.radius(post.width))
    sides = maker.line(near.start, far.start), maker.line(near.end, far.end)
    maker.face(surface, (*back(arcs[0]), *sides[0], *arcs[1], *back(sides[1])))
    return maker.skin()


def _arc(maker: SkinMaker, post: Post, y: float) -> Loop:
    """Return the edge of a round top, from right to left."""
    assert isinstance(post.top, RoundTop)
    radius, turn = post.top.radius(post.width), post.top.turn(post.width)
    w, low, middle = post.width / 2.0, post.shoulder, post.length - post.top.radius(post.width)
    sweep = Sweep(
        (0.0, y, middle), (radius, 0.0, 0.0), (0.0, 0.0, radius),
        math.pi / 2.0 - turn, math.pi / 2.0 + turn, chords(radius, 2.0 * turn),
    )  # fmt: skip
    return maker.curve(sweep, maker.corner((w, y, low)), maker.corner((-w, y, low)))
