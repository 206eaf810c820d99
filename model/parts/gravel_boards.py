"""Gravel boards that close the wedge between stepped bays and the ground."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass

from palewright.model.geometry.frames import Frame, Point, dot
from palewright.model.geometry.outlines import Outline
from palewright.model.geometry.shapes import Plate, RoundHole, tidy, tidy_slope
from palewright.model.layout.placed_posts import PlacedPost
from palewright.model.layout.rail_pieces import between_posts
from palewright.model.layout.run_layout import Stretch
from palewright.model.layout.spans import StretchEnd
from palewright.model.resolved.job import RunJob
from palewright.model.resolved.words import Follow, PostRole, WedgeFill
from palewright.model.site.site_line import Leg, level_at

from .members import BOARD, Piece

CONCRETE_CLEAR = 5.0
"""From the top of a footing's concrete to a board over it, mm."""

THINNEST = 15.0
"""A board's end lower than this is left out: it would only split, mm (common practice)."""


def board_members(run: RunJob, stretch: Stretch, groups: list[str]) -> Iterator[Piece]:
    """Yield the gravel boards of the stepped bays of a stretch that ask for them.

    Whole boards are stacked downwards from the feet of the pales. With rails on the posts' face
    they lie on that face too, from middle to middle and mitred at corners; with arris rails they
    stand between the posts, as the pales are where the face's boards would be. Each is cut off
    along the ground. groups : name of each bay.
    """
    height, thickness = run.slopes.board
    for bay, setting in enumerate(stretch.settings):
        if setting.follow != Follow.STEP or setting.fill != WedgeFill.BOARD:
            continue
        place = _place(run, stretch, bay)
        ground = _foot(run, stretch, bay, place)
        top = setting.z0 + run.pales.clearance
        while top > min(z for _, z in ground) + THINNEST:
            for loop in _above(ground, top - height, top):
                low, high = min(x for x, _ in loop), max(x for x, _ in loop)
                z0 = min(z for _, z in loop)
                outline = Outline.polygon((tidy(x - low), tidy(z - z0)) for x, z in loop)
                bevels = (
                    place.left if low <= place.x0 + 1e-6 else 0.0,
                    place.right if high >= place.x1 - 1e-6 else 0.0,
                )
                plate = Plate(outline, thickness, tidy_slope(bevels[0]), tidy_slope(bevels[1]))
                frame = stretch.leg.frame @ Frame.at(low, place.y0, z0)
                yield Piece(BOARD, plate, frame, groups[bay], "gravel board", stretch.leg_number)
            top -= height


@dataclass(frozen=True)
class _BoardPlace:
    """Where the boards of a bay are. x0, x1 : of their ends at the front; left, right : dx/dy of
    their cuts; y0, y1 : of their front and back.
    """

    x0: float
    x1: float
    left: float
    right: float
    y0: float
    y1: float


def _place(run: RunJob, stretch: Stretch, bay: int) -> _BoardPlace:
    thickness = run.slopes.board[1]
    if run.rails.boards_between:
        rail = [*between_posts(run, stretch)][bay]
        front = -run.pale_back
        return _BoardPlace(rail.x0, rail.x1, rail.left, rail.right, front, front + thickness)
    setting = stretch.settings[bay]
    x0, left = setting.x0, 0.0
    x1, right = setting.x1, 0.0
    if bay == 0:
        x0, left = _end(run, stretch.first, at_start=True)
    if bay == len(stretch.settings) - 1:
        x1, right = _end(run, stretch.last, at_start=False)
    return _BoardPlace(x0, x1, left, right, -run.face - thickness, -run.face)


def _end(run: RunJob, limit: StretchEnd, *, at_start: bool) -> tuple[float, float]:
    """Return how far the boards of a stretch reach, and dx/dy of their mitre at a corner."""
    if limit.kind != PostRole.CORNER:
        return limit.x, 0.0
    slope = math.tan(math.radians(limit.turn) / 2.0) * (-1.0 if at_start else 1.0)
    front, back = run.face + run.slopes.board[1], run.face
    reaches = (limit.x + slope * front, limit.x + slope * back)
    return (min(reaches) if at_start else max(reaches)), -slope


def _foot(run: RunJob, stretch: Stretch, bay: int, place: _BoardPlace) -> list[Point]:
    """Return the line that boards are cut off along: clear of the ground and of the concrete."""
    leg = stretch.leg
    x0, x1 = place.x0, place.x1
    line = tuple((x, z + run.slopes.board_clearance) for x, z in leg.ground_between(x0, x1))
    holes = [
        _over_hole(post, leg, place)
        for post in stretch.posts[bay : bay + 2]
        if post.footing is not None
    ]
    edges = (x for near, far, _ in holes for x in (near, far) if x0 < x < x1)
    foot: list[Point] = []
    for a, b in itertools.pairwise(sorted({x0, x1, *edges})):
        part = _between(line, a, b)
        tops = [top for near, far, top in holes if near < (a + b) / 2.0 < far]
        foot += _raised(part, max(tops)) if tops else part
    return foot


def _over_hole(post: PlacedPost, leg: Leg, place: _BoardPlace) -> tuple[float, float, float]:
    """Return from where to where along a leg a hole is, and how high boards over it end."""
    footing = post.footing
    assert footing is not None
    x, y, z = leg.frame.local(post.frame.point((0.0, post.plan.foot.aside, 0.0)))
    hole = footing.hole
    if isinstance(hole, RoundHole):
        half = hole.diameter / 2.0
        # from the post's middle to the nearest of the boards
        away = math.hypot(
            max(place.x0 - x, 0.0, x - place.x1), max(place.y0 - y, 0.0, y - place.y1)
        )
        concrete = footing.height_at(away)
    else:
        # a post in a corner stands across the leg, and its hole with it
        cos = abs(dot(leg.frame.x, post.frame.x))
        half = (hole.width * cos + hole.depth * math.sqrt(max(0.0, 1.0 - cos * cos))) / 2.0
        concrete = footing.weathering
    return x - half, x + half, z - post.drop + concrete + CONCRETE_CLEAR


def _between(line: tuple[Point, ...], a: float, b: float) -> list[Point]:
    """Return the part of a line from a to b."""
    inside = [point for point in line if a < point[0] < b]
    return [(a, level_at(line, a)), *inside, (b, level_at(line, b))]


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
    boards = []
    for line in loops:
        if top - min(z for _, z in line) < THINNEST:
            continue
        loop = [*line, (line[-1][0], top), (line[0][0], top)]
        boards.append(tuple(_simple(loop)))
    return boards


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
