"""Bays at the ends of a run that ramp down to a lower neighbour: pales' tops and the top rail."""

from __future__ import annotations

from dataclasses import replace

from palewright.model.resolved.job import RunJob
from palewright.model.resolved.words import PostRole

from .bases import BayBase
from .spans import Span

NEAR_END = 1.0
"""The last post of a run stands so near to the line's end or its plate, mm."""


def drops_of(run: RunJob, span: Span) -> tuple[float, float]:
    """Return how far the first and the last bay of a span go down to its outer posts, mm."""
    first, last = run.ramps
    legs = run.line.legs
    room = run.walls.plate.width + NEAR_END
    starts = span.leg_number == 0 and span.xs[0] < room and _free(span.first.kind)
    at_end = span.leg_number == len(legs) - 1 and span.xs[-1] > span.leg.length - room
    ends = at_end and _free(span.last.kind)
    return first if starts else 0.0, last if ends else 0.0


def _free(kind: PostRole) -> bool:
    return kind in (PostRole.END, PostRole.WALL)


def ramp_offset(run: RunJob, span: Span, bay: int, x: float) -> float:
    """Return how much lower tops of pales and of the top rail are at x, mm, 0 or less.

    bay : number of the bay that is meant. Beyond its posts it goes on level.
    """
    first, last = drops_of(run, span)
    x0, x1 = span.xs[bay], span.xs[bay + 1]
    share = min(max((x - x0) / (x1 - x0), 0.0), 1.0)
    low = first * (1.0 - share) if bay == 0 else 0.0
    return -low - (last * share if bay == len(span.xs) - 2 else 0.0)


def ramped(run: RunJob, span: Span, row: int, bay: int) -> BayBase:
    """Return what a rail of a row counts its height from in a bay: the top one goes down with the
    pales.
    """
    setting = span.settings[bay]
    if row != len(run.rails.tops) - 1:
        return setting
    low0, low1 = (ramp_offset(run, span, bay, x) for x in (span.xs[bay], span.xs[bay + 1]))
    if low0 == low1 == 0.0:
        return setting
    return replace(setting, z0=setting.z0 + low0, z1=setting.z1 + low1)


def ramp_breaks(run: RunJob, span: Span) -> set[int]:
    """Return the numbers of the posts of a span where its rails are jointed for a ramp."""
    first, last = drops_of(run, span)
    count = len(span.xs) - 1
    found = ({1} if first else set()) | ({count - 1} if last else set())
    return {number for number in found if 0 < number < count}
