"""Capping rails: their pieces between joints, their mitres at corners, and how they are fixed."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass

from palewright.model.geometry.frames import Frame
from palewright.model.geometry.shapes import tidy
from palewright.model.layout.bases import BayBase
from palewright.model.layout.rail_pieces import breaks, furthest
from palewright.model.layout.run_layout import RunLayout, Stretch
from palewright.model.layout.spans import StretchEnd
from palewright.model.layout.stagger import stagger
from palewright.model.resolved.capping_plan import CappingPlan
from palewright.model.resolved.job import RunJob
from palewright.model.resolved.words import PostRole

from .members import CAPPING, Piece
from .rails import tilted_bar

EVERY, ENDS = 300.0, 2
"""Capping rails are fixed at least every so many mm, and with so many nails or screws at each of a
piece's ends (common practice, no source)."""


@dataclass(frozen=True)
class CappingPiece:
    """A capping rail between two joints. x0, x1 : of its ends at its front edge; left, right :
    dx/dy of their cuts; bays : the first and the last it covers; setting : of them.
    """

    x0: float
    x1: float
    left: float
    right: float
    bays: tuple[int, int]
    setting: BayBase


def capping_fixings(length: float) -> int:
    """Return how many nails or screws hold a capping rail.

    >>> capping_fixings(1800.0), capping_fixings(250.0)
    (9, 4)
    """
    return 2 * ENDS + max(0, math.ceil(length / EVERY - 1e-9) - 1)


def capping_members(layout: RunLayout, stretch: Stretch, groups: list[str]) -> Iterator[Piece]:
    """Yield the capping rails of a stretch. groups : name of each bay."""
    run, plan = layout.run, layout.run.capping
    if plan is None:
        return
    pieces = _between(run, plan, stretch) if _separate(run, plan) else _jointed(run, plan, stretch)
    for piece in pieces:
        setting = piece.setting
        bar = tilted_bar(plan.section, piece.x1 - piece.x0, piece.left, piece.right, setting)
        slant = setting.secant
        cos, sin = 1.0 / slant, setting.slope / slant
        spot = (piece.x0, -plan.front, tidy(setting.base(piece.x0) + run.height))
        place = Frame(spot, (cos, 0.0, sin), (0.0, 1.0, 0.0))
        group = groups[piece.bays[0]]
        yield Piece(CAPPING, bar, stretch.leg.frame @ place, group, "capping rail",
                    stretch.leg_number)  # fmt: skip


def _separate(run: RunJob, plan: CappingPlan) -> bool:
    """Tell whether each bay has a piece of its own, from post to post."""
    return run.between_posts and not plan.on_posts


def _between(run: RunJob, plan: CappingPlan, stretch: Stretch) -> Iterator[CappingPiece]:
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
        yield CappingPiece(x0, x1, 0.0, 0.0, (bay, bay), stretch.settings[bay])


def _jointed(run: RunJob, plan: CappingPlan, stretch: Stretch) -> Iterator[CappingPiece]:
    """Yield pieces that are jointed at posts, as long as can be had."""
    # an end at which another run may go on has no overhang
    past = 0.0 if run.guests else plan.overhang
    start, left = _end(plan, stretch.first, at_start=True, past=past)
    stop, right = _end(plan, stretch.last, at_start=False, past=past)
    edges = [start, *stretch.xs[1:-1], stop]
    settings = stretch.settings
    for first, last in itertools.pairwise(_joints(run, plan, stretch, edges, (left, right))):
        yield CappingPiece(
            edges[first],
            edges[last],
            left if first == 0 else 0.0,
            right if last == len(edges) - 1 else 0.0,
            (first, last - 1),
            settings[first],
        )


def _joints(
    run: RunJob, plan: CappingPlan, stretch: Stretch, edges: list[float],
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
    row = stagger(along, plan.longest - plan.thickness * steepest, rows, ends, broken)[-1]
    return [last - number for number in reversed(row)] if run.from_far_end else row


def _end(
    plan: CappingPlan, limit: StretchEnd, *, at_start: bool, past: float = 0.0
) -> tuple[float, float]:
    """Return where a capping rail ends at its front edge, and dx/dy of its cut there. past : how
    far it goes on at the fence's ends, mm.
    """
    hand = -1.0 if at_start else 1.0
    if limit.kind == PostRole.CORNER:
        slope = hand * math.tan(math.radians(limit.turn) / 2.0)
        return limit.x + slope * plan.front, -slope
    return limit.x + (hand * past if limit.kind == PostRole.END else 0.0), 0.0
