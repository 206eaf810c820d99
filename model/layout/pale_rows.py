"""How the pales of a stretch are spaced, and how far they reach at corners."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from functools import cached_property

from palewright.model.resolved.job import RunJob
from palewright.model.resolved.pale_plan import MOST_LAP, PalePlan
from palewright.model.resolved.words import PostRole
from palewright.model.site.site_line import turns_by

from .pale_turns import PalePlace, places, space_by_turns
from .panel_bays import panel_ends
from .placed_posts import PlacedPost
from .spacing import Spacing
from .spans import MEET, Span, StretchEnd

SHARES = {"pale": 0.0, "half-gap": 0.5, "gap": 1.0}

BRACKETS, SHARP = 50.0, 95.0
"""How far rail brackets and ends of bolts reach from corner posts behind the rails, mm; bolts that
hold the other leg's rail do so outside of corners that turn more than this, degrees."""

MOST_BEVEL = 0.6
"""A pale is mitred at a corner where the cut takes no more than this share of its width."""


@dataclass(frozen=True)
class PaleRow:
    """The pales of a stretch.

    x0, x1 : ends of the part they fill; parts : where each equally spaced part starts, and how
    it is filled (one part, or one a bay); plan : of the pales.
    """

    x0: float
    x1: float
    parts: tuple[tuple[float, Spacing], ...]
    plan: PalePlan

    @cached_property
    def places(self) -> tuple[PalePlace, ...]:
        """Where each pale stands along the leg."""
        return tuple(
            place for start, spacing in self.parts for place in places(self.plan, spacing, start)
        )

    @property
    def edges(self) -> tuple[float, ...]:
        """X of each pale's first edge."""
        return tuple(place.edge for place in self.places)

    @property
    def end(self) -> float:
        """X of the last pale's far edge."""
        last = self.places[-1]
        return last.edge + last.kind.width

    @property
    def count(self) -> int:
        """How many pales there are."""
        return sum(spacing.count for _, spacing in self.parts)

    @property
    def gap(self) -> float:
        """The largest gap, mm; all are equal where the row has one part. Under 0 pales lap."""
        return max(spacing.gap for _, spacing in self.parts)

    @property
    def seen(self) -> float:
        """The largest gap seen from the front, mm: none where pales lap."""
        return max(self.gap, 0.0)


def opening_of(run: RunJob, row: PaleRow) -> float:
    """Return the widest thing that goes through a row of pales, mm: a gap, or what is between two
    layers, one before and one behind the rails, where they lap.
    """
    layers = run.layers
    apart = max(0.0, layers[0].back - layers[-1].front) if len(layers) > 1 else 0.0
    return math.hypot(row.seen, apart)


def pale_row(run: RunJob, span: Span) -> PaleRow:
    """Return where the pales of a stretch stand."""
    if run.panels is not None:
        return _panel_row(run, span)
    if run.between_posts:
        return _row_between(run, span)
    x0, first = _end(run, span.first, at_start=True)
    x1, last = _end(run, span.last, at_start=False)
    cuts = [x0, *(span.xs[1:-1] if run.pales.spaced == "bay" else ()), x1]
    between = 0.0 if run.pales.lapped else 0.5  # boards that lap end edge to edge at a post
    parts = []
    for number, (start, end) in enumerate(itertools.pairwise(cuts)):
        spacing = space_by_turns(
            run.pales,
            end - start,
            at_start=first if number == 0 else between,
            at_end=last if number == len(cuts) - 2 else between,
        )
        parts.append((start, spacing))
    return PaleRow(x0, x1, tuple(parts), run.pales)


def _panel_row(run: RunJob, span: Span) -> PaleRow:
    """Return the pales of a stretch of panels: each panel has its own, alike from both its ends.

    On the posts' face half a gap is kept to the middle of a line post, so that gaps go on from
    panel to panel, where that is no less than what rails keep.
    """
    plan = run.panels
    assert plan is not None
    share = 0.0 if run.pales.lapped else SHARES[run.pales.ends]
    parts = []
    for bay, (low, high) in enumerate(panel_ends(run, span)):
        ends = [(low, share), (-high, share)]
        if not plan.between:
            goes_on = not run.pales.lapped and run.pales.gap >= plan.clearance
            middles = span.xs[bay], -span.xs[bay + 1]
            ends = [(x, 0.5) if goes_on else (end, 0.0)
                    for x, (end, _) in zip(middles, ends, strict=True)]  # fmt: skip
        for side, at_start, place in ((0, True, 0), (1, False, len(span.xs) - 2)):
            if bay != place:
                continue
            limit = span.first if at_start else span.last
            x, kept = _end(run, limit, at_start=at_start)
            x = x if at_start else -x
            if not plan.between:
                ends[side] = (x, kept)
            elif limit.kind == PostRole.CORNER and x > ends[side][0]:
                ends[side] = (x, 0.0)
        (start, first), (end, last) = ends
        spacing = space_by_turns(run.pales, -end - start, at_start=first, at_end=last)
        parts.append((start, spacing))
    return PaleRow(parts[0][0], -end, tuple(parts), run.pales)


def _row_between(run: RunJob, span: Span) -> PaleRow:
    """Return the pales of a stretch that fill each bay from post to post, a gap at each post, or
    lapping it by as much as each other.
    """
    parts = []
    for bay, (one, other) in enumerate(itertools.pairwise(span.posts)):
        start = _side(span, one, to_right=True)
        end = _side(span, other, to_right=False)
        first = last = 1.0
        if bay == 0:
            limit = _end(run, span.first, at_start=True)[0]
            limit = max(limit, _past_brackets(run, span.first, start))
            start, first = _nearer(start, limit, run)
        if bay == len(span.posts) - 2:
            limit = _end(run, span.last, at_start=False)[0]
            limit = min(limit, -_past_brackets(run, span.last, -end))
            far, last = _nearer(-end, -limit, run)
            end = -far
        spacing = space_by_turns(run.pales, end - start, at_start=first, at_end=last)
        parts.append((start, spacing))
    return PaleRow(parts[0][0], end, tuple(parts), run.pales)


def _side(span: Span, post: PlacedPost, *, to_right: bool) -> float:
    """Return how far a post, its bolts and its cap take room to one side, mm."""
    over = max(0.0, (post.plan.cap.width - post.plan.width) / 2.0) if post.plan.cap else 0.0
    return post.extent(span.leg)[to_right] + (over if to_right else -over)


def _past_brackets(run: RunJob, limit: StretchEnd, side: float) -> float:
    """Return how far from a post's side pales keep behind the rails, mm: past the brackets inside
    a corner, and past the other leg's bolts where it is sharp. side : how far the post reaches.
    """
    if limit.kind != PostRole.CORNER or -MEET < limit.turn < SHARP:
        return -math.inf
    later = (1.0 - MOST_LAP) * run.pales.narrowest if run.pales.lapped else 0.0
    return side + BRACKETS - later


def _nearer(post: float, corner: float, run: RunJob) -> tuple[float, float]:
    """Return where pales may start, and the share of a gap kept there: at the post, or where those
    of two legs meet inside a corner, if that is past the post.
    """
    if corner > post - max(0.0, -run.pales.gap):
        return max(post, corner), 0.0
    return post, 1.0


def _end(run: RunJob, limit: StretchEnd, *, at_start: bool) -> tuple[float, float]:
    """Return where pales may stand up to, and the share of a gap that is kept from there.

    At a corner the pales of both legs meet in one upright line: where their backs cross outside
    the corner, where their fronts cross inside it. Mitred ones go on to where the other sides
    cross.
    """
    share = SHARES[run.pales.ends]
    if run.pales.lapped:
        return limit.x + _reach(run, limit, at_start=at_start), 0.0
    if limit.kind != PostRole.CORNER:
        return limit.x, share
    mitred = bevel(run, limit) != 0.0
    if (share > 0.0 or not turns_by(limit.turn, MEET)) and not mitred:
        share = 0.5
    return limit.x + _reach(run, limit, at_start=at_start), 0.0 if mitred else share


def _reach(run: RunJob, limit: StretchEnd, *, at_start: bool) -> float:
    """Return how far past the line's corner pales may stand, mm along the leg; 0 elsewhere."""
    if limit.kind != PostRole.CORNER:
        return 0.0
    mitred = bevel(run, limit) != 0.0
    plane = run.pale_back if (limit.turn > 0) != mitred else run.pale_front
    slope = math.tan(math.radians(limit.turn) / 2.0)
    reach = plane * slope
    if slope < 0.0 and run.pales.lapped:
        # pales over the first ones begin no nearer than so much farther on, and meet in front
        later = (1.0 - MOST_LAP) * run.pales.narrowest
        reach = min(reach, max(layer.front for layer in run.layers) * slope + later)
    return -reach if at_start else reach


def bevel(run: RunJob, limit: StretchEnd) -> float:
    """Return dx/dy of the mitre of a leg's last pale at a corner, 0 when it is not mitred."""
    if (
        run.corners.pales != "mitre"
        or run.between_posts
        or limit.kind != PostRole.CORNER
        or not turns_by(limit.turn, MEET)
    ):
        return 0.0
    slope = math.tan(math.radians(limit.turn) / 2.0)
    if abs(slope) * run.pales.thickness > MOST_BEVEL * run.pales.narrowest:
        return 0.0
    return -slope
