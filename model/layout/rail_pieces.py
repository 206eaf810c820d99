"""Where rails begin and end: joints on posts, cuts at corners, room between posts."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass

from palewright.model.geometry.frames import Point
from palewright.model.geometry.prisms import SQUARE_CUT, EndCut
from palewright.model.resolved.job import RunJob
from palewright.model.resolved.words import PostRole
from palewright.model.site.site_line import turns_by

from .bases import BayBase
from .ramps import ramp_breaks, ramped
from .spans import Span, StretchEnd
from .stagger import stagger

LEAST_BEARING = 30.0
"""A rail end with less of a post behind it (mm) gets a bracket instead of a bolt."""

BUTT_TURNS, BUTT_INSIDE = (60.0, 120.0), 90.0
"""Corners between these turns (degrees) can be butted; others are mitred. Inside a corner sharper
than a right angle the post stands in the way of a rail that would run on over it."""

STRAIGHT = 0.5
"""A base that bends or steps by less than this over a bay (mm) is one straight line to a rail."""


@dataclass(frozen=True)
class RailPiece:
    """A rail that goes on over posts, between two joints.

    top : height of its top edge over the base; x0, x1 : where its ends cut the plane of its back;
    left, right : its cuts in plan; bays : number of the first and of the last bay it covers;
    setting : of these bays, which share one straight base.
    """

    row: int
    top: float
    x0: float
    x1: float
    left: EndCut
    right: EndCut
    bays: tuple[int, int]
    setting: BayBase

    def bottom(self, x: float, height: float) -> float:
        """Return the level of its underside at x, over the leg's start, for its height, mm."""
        return self.setting.base(x) + self.top - height * self.setting.secant

    def stock(self, height: float, thickness: float) -> float:
        """Return the length of stock the rail is cut from, for its section, mm.

        The longest side along the rail, and what upright cuts of a raked rail add to it.
        """
        plan = self.x1 - self.x0 + sum(_added(self.left, self.right, thickness))
        return plan * self.setting.secant + height * abs(self.setting.slope)


def rail_pieces(
    run: RunJob, span: Span, rows: tuple[tuple[int, ...], ...]
) -> tuple[RailPiece, ...]:
    """Return the face rails of a stretch. rows : of each row the posts it is jointed at."""
    edges, left, right = _edges(run, span)
    pieces = []
    for row, (top, splits) in enumerate(zip(run.rails.tops, rows, strict=True)):
        for first, last in itertools.pairwise(splits):
            pieces.append(
                RailPiece(
                    row,
                    top,
                    edges[first],
                    edges[last],
                    left if first == 0 else SQUARE_CUT,
                    right if last == len(edges) - 1 else SQUARE_CUT,
                    (first, last - 1),
                    ramped(run, span, row, first),
                )
            )
    return tuple(pieces)


def rail_rows(run: RunJob, span: Span, longest: float) -> tuple[tuple[int, ...], ...]:
    """Return the joints of each row of face rails of a stretch: the numbers of posts of the span,
    ends included, staggered row by row. longest : stock to be had, mm.
    """
    height, thickness = run.rails.section
    edges, left, right = _edges(run, span)
    settings = span.settings
    steepest = max(abs(setting.slope) for setting in settings)
    extra = _added(left, right, thickness)
    along = [0.0]  # the edges measured along the rails
    for setting, (a, b) in zip(settings, itertools.pairwise(edges), strict=True):
        along.append(along[-1] + (b - a) * setting.secant)
    ends = extra[0] * settings[0].secant, extra[1] * settings[-1].secant
    last = len(along) - 1
    broken = frozenset(breaks(settings)) | ramp_breaks(run, span)
    if run.from_far_end:
        along = [along[-1] - x for x in reversed(along)]
        ends, broken = ends[::-1], frozenset(last - number for number in broken)
    rows = stagger(along, longest - height * steepest, len(run.rails.tops), ends, broken)
    if run.from_far_end:
        rows = [[last - number for number in reversed(row)] for row in rows]
    return tuple(tuple(row) for row in rows)


def breaks(settings: tuple[BayBase, ...]) -> list[int]:
    """Return the numbers of the posts at which the base has a step or a bend."""
    return [
        number
        for number, (a, b) in enumerate(itertools.pairwise(settings), 1)
        if abs(a.z1 - b.z0) > STRAIGHT or abs(a.slope - b.slope) * (b.x1 - b.x0) > STRAIGHT
    ]


def _added(left: EndCut, right: EndCut, thickness: float) -> tuple[float, float]:
    """Return what end cuts add to the longest side of a rail, measured on its back."""
    return max(0.0, left.ky * thickness), max(0.0, -right.ky * thickness)


def rail_spans(run: RunJob, span: Span) -> tuple[float, ...]:
    """Return what rails span in each bay, mm: from end or joint to end or joint.

    In the angle of a sharp inside corner there may be none, and the span is 0 or less.
    """
    if run.rails.over_posts:
        edges, _, _ = _edges(run, span)
        return tuple(b - a for a, b in itertools.pairwise(edges))
    return tuple(rail.x1 - rail.x0 for rail in between_posts(run, span))


def _edges(run: RunJob, span: Span) -> tuple[list[float], EndCut, EndCut]:
    """Return where face rails may end or be jointed, and the cuts of the outer ends."""
    start, left = _end(run, span, at_start=True)
    stop, right = _end(run, span, at_start=False)
    return [start, *span.xs[1:-1], stop], left, right


def _end(run: RunJob, span: Span, *, at_start: bool) -> tuple[float, EndCut]:
    """Return where a face rail ends at its back, and its cut there."""
    limit = span.first if at_start else span.last
    if limit.kind != PostRole.CORNER or abs(limit.turn) < 1e-6:
        return limit.x, SQUARE_CUT
    sharpest = BUTT_TURNS[1] if limit.turn > 0 else BUTT_INSIDE
    if (
        run.rails.corners == "butt"
        and not limit.pair
        and turns_by(limit.turn, BUTT_TURNS[0])
        and abs(limit.turn) <= sharpest + 1e-9
    ):
        stops = at_start != run.from_far_end
        if stops or limit.turn > 0:
            return _butted(run, limit, at_start=at_start, stops=stops)
        # at an inside corner the first leg's rail runs on over the post
        post = span.posts[0 if at_start else -1]
        return post.extent(span.leg)[0 if at_start else 1], SQUARE_CUT
    # the cut lies in the plane of the mitre: x moves by tan(turn / 2) for each mm to the front
    slope = (-1.0 if at_start else 1.0) * math.tan(math.radians(limit.turn) / 2.0)
    back, _ = run.rails.faces(run.face)
    return limit.x + slope * back, EndCut(-slope)


def _butted(run: RunJob, limit: StretchEnd, *, at_start: bool, stops: bool) -> tuple[float, EndCut]:
    """Return the end of a butted rail, where the first leg's rail covers the second's end.

    The second leg's rail stops on the first's: on its back outside a corner, on its front
    inside. The first leg's rail (outside a corner) ends flush with the second's front. Seen from
    the run's far end the second leg is the first.
    """
    turn = math.radians(limit.turn)
    slope = math.cos(turn) / math.sin(turn)
    back, front = run.rails.faces(run.face)
    if stops:
        plane = back if limit.turn > 0 else front
        away, cut = -plane / math.sin(turn) + slope * back, -slope
    else:
        away, cut = -front / math.sin(turn) + slope * back, -slope
    hand = 1.0 if at_start else -1.0
    return limit.x + hand * away, EndCut(hand * cut)


@dataclass(frozen=True)
class BayRail:
    """The rails between two posts. x0, x1 : of their ends; left, right : dx/dy of their cuts."""

    x0: float
    x1: float
    left: float
    right: float


def between_posts(run: RunJob, span: Span) -> Iterator[BayRail]:
    """Yield the rails of each bay that end at the sides of its posts."""
    leg, depth = span.leg, run.rails.section[1]
    _, front = run.rails.faces(run.face)
    for first, last in itertools.pairwise(span.posts):
        x0, left = post_side(first.in_leg(leg), -front, depth, to_right=True)
        x1, right = post_side(last.in_leg(leg), -front, depth, to_right=False)
        yield BayRail(x0, x1, left, right)


def post_side(
    corners: tuple[Point, ...], y: float, depth: float, *, to_right: bool
) -> tuple[float, float]:
    """Return x at y and the slope dx/dy of the cut that lets a rail meet a post.

    Where the rail meets one flat side, the cut lies on it; else it is square at the furthest
    point of the post.
    """
    sides = [_side(corners, y + depth * share, to_right=to_right) for share in (0.0, 0.5, 1.0)]
    if None not in sides:
        a, b, c = (side for side in sides if side is not None)
        if abs((a + c) / 2.0 - b) < 1e-9:
            return a, (c - a) / depth
    return furthest(corners, y, depth, to_right=to_right), 0.0


def furthest(corners: tuple[Point, ...], y: float, depth: float, *, to_right: bool) -> float:
    """Return how far a post reaches to one side within a strip of y."""
    xs = [x for x, cy in corners if y <= cy <= y + depth]
    for edge in (y, y + depth):
        side = _side(corners, edge, to_right=to_right)
        if side is not None:
            xs.append(side)
    return max(xs) if to_right else min(xs)


def _side(corners: tuple[Point, ...], y: float, *, to_right: bool) -> float | None:
    xs: list[float] = []
    for (x0, y0), (x1, y1) in zip(corners, (*corners[1:], corners[0]), strict=True):
        low, high = sorted((y0, y1))
        if high - low < 1e-9:
            if abs(y - low) < 1e-9:
                xs.extend((x0, x1))
        elif low - 1e-9 <= y <= high + 1e-9:
            xs.append(x0 + (x1 - x0) * (y - y0) / (y1 - y0))
    if not xs:
        return None
    return max(xs) if to_right else min(xs)
