"""Gravel boards that close the wedge between stepped bays and the ground."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

from .geometry import Frame, Outline, Point
from .layout import RunLayout, Stretch
from .line import level_at
from .members import BOARD, Piece
from .shapes import Plate, RoundHole, tidy

CONCRETE_CLEAR = 5.0
"""From the top of a footing's concrete to a board over it, mm."""

THINNEST = 15.0
"""A board's end lower than this is left out: it would only split, mm (common practice)."""


def board_members(layout: RunLayout, stretch: Stretch, groups: list[str]) -> Iterator[Piece]:
    """Yield the gravel boards of the stepped bays of a stretch that ask for them.

    Whole boards are stacked downwards from the feet of the pales, on the faces of the posts from
    middle to middle; each is cut off along the ground. groups : name of each bay.
    """
    run = layout.run
    leg = layout.legs[stretch.leg]
    height, thickness = run.slopes.board
    for bay, setting in enumerate(stretch.settings):
        if setting.follow != "step" or setting.fill != "board":
            continue
        ground = _foot(layout, stretch, bay)
        top = setting.z0 + run.pales.clearance
        while top > min(z for _, z in ground) + THINNEST:
            for loop in _above(ground, top - height, top):
                x0 = min(x for x, _ in loop)
                z0 = min(z for _, z in loop)
                outline = Outline.polygon((tidy(x - x0), tidy(z - z0)) for x, z in loop)
                place = leg.frame @ Frame.at(x0, -run.face - thickness, z0)
                plate = Plate(outline, thickness)
                yield Piece(BOARD, plate, place, groups[bay], "gravel board", stretch.leg)
            top -= height


def _foot(layout: RunLayout, stretch: Stretch, bay: int) -> list[Point]:
    """Return the line that boards are cut off along: clear of the ground and of the concrete."""
    run, leg = layout.run, layout.legs[stretch.leg]
    x0, x1 = stretch.settings[bay].x0, stretch.settings[bay].x1
    hole = run.hole()
    half = (hole.diameter if isinstance(hole, RoundHole) else hole.width) / 2.0
    line = tuple((x, z + run.slopes.board_clearance) for x, z in leg.ground_between(x0, x1))
    if 2.0 * half >= x1 - x0:
        half = (x1 - x0) / 3.0
    cuts = [x0, x0 + half, x1 - half, x1]
    foot: list[Point] = []
    for place, (a, b) in enumerate(itertools.pairwise(cuts)):
        inside = [point for point in line if a < point[0] < b]
        part = [(a, level_at(line, a)), *inside, (b, level_at(line, b))]
        post = layout.posts[stretch.posts[bay + (place > 0)]]
        if place != 1 and post.kind != "wall":
            concrete = post.frame.origin[2] - leg.start[2] + run.footings.weathering
            part = _raised(part, concrete + CONCRETE_CLEAR)
        foot += part
    return foot


def _raised(line: list[Point], top: float) -> list[Point]:
    """Return a line nowhere lower than `top`."""
    return [(x, max(z, top)) for x, z in _cut_at(line, top)]


def _above(ground: list[Point], low: float, top: float) -> list[tuple[Point, ...]]:
    """Return the parts of a board from `low` to `top` that lie over the ground, anticlockwise."""
    loops = []
    foot: list[Point] = []
    for (xa, za), (xb, zb) in itertools.pairwise(_cut_at(_cut_at(ground, top), low)):
        if (za + zb) / 2.0 < top:
            if not foot:
                foot.append((xa, max(za, low)))
            foot.append((xb, max(zb, low)))
        elif foot:
            loops.append(foot)
            foot = []
    if foot:
        loops.append(foot)
    made = []
    for line in loops:
        if top - min(z for _, z in line) < THINNEST:
            continue
        loop = [*line, (line[-1][0], top), (line[0][0], top)]
        made.append(tuple(_simple(loop)))
    return made


def _cut_at(line: list[Point], level: float) -> list[Point]:
    """Return a line of points with more where it crosses a level."""
    result = [line[0]]
    for (xa, za), (xb, zb) in itertools.pairwise(line):
        if (za - level) * (zb - level) < 0.0:
            result.append((xa + (xb - xa) * (level - za) / (zb - za), level))
        result.append((xb, zb))
    return result


def _simple(loop: list[Point]) -> list[Point]:
    """Leave out points that repeat or lie on the line of their neighbours."""
    kept = [
        p
        for n, p in enumerate(loop)
        if abs(p[0] - loop[n - 1][0]) + abs(p[1] - loop[n - 1][1]) > 1e-3
    ]
    return [
        p
        for n, p in enumerate(kept)
        if abs(_twice_area(kept[n - 1], p, kept[(n + 1) % len(kept)])) > 1e-3
    ]


def _twice_area(a: Point, b: Point, c: Point) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (c[0] - a[0]) * (b[1] - a[1])
