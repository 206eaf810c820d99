"""Boards that lie along a stretch from post to post: capping rails and kick boards."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass

from palewright.model.geometry.frames import Frame, Point
from palewright.model.geometry.shapes import Bar, tidy
from palewright.model.layout.bases import BayBase
from palewright.model.layout.rail_pieces import breaks, furthest
from palewright.model.layout.run_layout import Stretch
from palewright.model.layout.spans import StretchEnd
from palewright.model.layout.stagger import stagger
from palewright.model.resolved.job import RunJob
from palewright.model.resolved.words import PostRole

from .rails import tilted_bar


@dataclass(frozen=True)
class LyingBoard:
    """How a board lies, mm. section : its (y, z), its lower front edge at 0; front : of that edge
    before the line; width : across the fence; high : its height; level : of its underside over the
    base; past : how far it goes on at the fence's ends; longest : to be had; separate : whether
    each bay has a piece of its own, between its posts.
    """

    section: tuple[Point, ...]
    front: float
    width: float
    high: float
    level: float
    past: float
    longest: float
    separate: bool


@dataclass(frozen=True)
class BoardPiece:
    """A board between two joints. x0, x1 : of its ends at its front edge; left, right :
    dx/dy of their cuts; bays : the first and the last it covers; setting : of them.
    """

    x0: float
    x1: float
    left: float
    right: float
    bays: tuple[int, int]
    setting: BayBase


def lying_boards(
    run: RunJob, board: LyingBoard, stretch: Stretch
) -> Iterator[tuple[int, Bar, Frame]]:
    """Yield the pieces of a board in a stretch: the first bay of each, its shape, its place in the
    leg's frame.
    """
    pieces = _between(board, stretch) if board.separate else _jointed(run, board, stretch)
    for piece in pieces:
        setting = piece.setting
        bar = tilted_bar(board.section, piece.x1 - piece.x0, piece.left, piece.right, setting)
        slant = setting.secant
        cos, sin = 1.0 / slant, setting.slope / slant
        spot = (piece.x0, -board.front, tidy(setting.base(piece.x0) + board.level))
        yield piece.bays[0], bar, Frame(spot, (cos, 0.0, sin), (0.0, 1.0, 0.0))


def _between(plan: LyingBoard, stretch: Stretch) -> Iterator[BoardPiece]:
    """Yield a piece for each bay from post to post."""
    leg = stretch.leg
    for bay, (one, other) in enumerate(itertools.pairwise(stretch.posts)):
        strip = -plan.front, plan.width
        x0 = furthest(one.in_leg(leg), *strip, to_right=True)
        x1 = furthest(other.in_leg(leg), *strip, to_right=False)
        # inside a corner the front edges of two legs meet before their posts do
        if bay == 0 and stretch.first.turn < 0.0:
            x0 = max(x0, _end(plan, stretch.first, at_start=True)[0])
        if bay == len(stretch.settings) - 1 and stretch.last.turn < 0.0:
            x1 = min(x1, _end(plan, stretch.last, at_start=False)[0])
        yield BoardPiece(x0, x1, 0.0, 0.0, (bay, bay), stretch.settings[bay])


def _jointed(run: RunJob, plan: LyingBoard, stretch: Stretch) -> Iterator[BoardPiece]:
    """Yield pieces that are jointed at posts, as long as can be had."""
    start, left = _end(plan, stretch.first, at_start=True, past=plan.past)
    stop, right = _end(plan, stretch.last, at_start=False, past=plan.past)
    edges = [start, *stretch.xs[1:-1], stop]
    settings = stretch.settings
    for first, last in itertools.pairwise(_joints(run, plan, stretch, edges, (left, right))):
        yield BoardPiece(
            edges[first],
            edges[last],
            left if first == 0 else 0.0,
            right if last == len(edges) - 1 else 0.0,
            (first, last - 1),
            settings[first],
        )


def _joints(
    run: RunJob, plan: LyingBoard, stretch: Stretch, edges: list[float],
    cuts: tuple[float, float],
) -> list[int]:  # fmt: skip
    """Return the numbers of the posts at which pieces end."""
    settings = stretch.settings
    along = [0.0]
    for setting, (a, b) in zip(settings, itertools.pairwise(edges), strict=True):
        along.append(along[-1] + (b - a) * setting.secant)
    # the front edge is measured; what a cut adds behind it makes the piece longer
    extra = max(0.0, -cuts[0] * plan.width), max(0.0, cuts[1] * plan.width)
    ends = extra[0] * settings[0].secant, extra[1] * settings[-1].secant
    last, broken = len(along) - 1, frozenset(breaks(settings))
    if run.from_far_end:
        along = [along[-1] - x for x in reversed(along)]
        ends, broken = ends[::-1], frozenset(last - number for number in broken)
    steepest = max(abs(setting.slope) for setting in settings)
    # the last of the rows: on other posts than the rails under it where that costs no joint
    rows = len(run.rails.tops) + 1
    row = stagger(along, plan.longest - plan.high * steepest, rows, ends, broken)[-1]
    return [last - number for number in reversed(row)] if run.from_far_end else row


def _end(
    plan: LyingBoard, limit: StretchEnd, *, at_start: bool, past: float = 0.0
) -> tuple[float, float]:
    """Return where a board ends at its front edge, and dx/dy of its cut there. past : how
    far it goes on at the fence's ends, mm.
    """
    hand = -1.0 if at_start else 1.0
    if limit.kind == PostRole.CORNER:
        slope = hand * math.tan(math.radians(limit.turn) / 2.0)
        return limit.x + slope * plan.front, -slope
    return limit.x + (hand * past if limit.kind == PostRole.END else 0.0), 0.0
