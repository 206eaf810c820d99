"""Pales along a stretch: where they may stand, how they are spaced, and their pieces."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass

from .geometry import Frame
from .layout import MEET, Limit, RunLayout, Stretch
from .members import PALE, Piece
from .shapes import Plate
from .spacing import Spacing, space_pales

SHARES = {"pale": 0.0, "half-gap": 0.5, "gap": 1.0}


@dataclass(frozen=True)
class PaleRow:
    """The pales of a stretch. x0, x1 : ends of the part they fill; spacing : how they fill it."""

    x0: float
    x1: float
    spacing: Spacing
    width: float

    @property
    def edges(self) -> tuple[float, ...]:
        """X of each pale's first edge."""
        return tuple(self.x0 + edge for edge in self.spacing.edges(self.width))


def pale_row(layout: RunLayout, stretch: Stretch) -> PaleRow:
    """Return where the pales of a stretch stand."""
    run = layout.run
    x0, first = _end(layout, stretch.first, at_start=True)
    x1, last = _end(layout, stretch.last, at_start=False)
    spacing = space_pales(
        x1 - x0,
        run.pales.width,
        run.pales.gap,
        largest=run.gap_max,
        at_start=first,
        at_end=last,
    )
    return PaleRow(x0, x1, spacing, run.pales.width)


def _end(layout: RunLayout, limit: Limit, *, at_start: bool) -> tuple[float, float]:
    """Return where pales may stand up to, and the share of a gap that is kept from there.

    At a corner the pales of both legs meet in one upright line: where their backs cross outside
    the corner, where their fronts cross inside it.
    """
    run = layout.run
    share = SHARES[run.pales.ends]
    if limit.kind != "corner":
        return limit.x, share
    if share > 0.0 or abs(limit.turn) < MEET:
        share = 0.5
    plane = run.pale_back if limit.turn > 0 else run.pale_front
    reach = plane * math.tan(math.radians(limit.turn) / 2.0)
    return limit.x + (-reach if at_start else reach), share


def pale_members(layout: RunLayout, stretch: Stretch, groups: list[str]) -> Iterator[Piece]:
    """Yield the pales of a stretch. groups : name of each bay."""
    run = layout.run
    leg = layout.legs[stretch.leg]
    plate = Plate(run.outline, run.pales.thickness)
    half = run.pales.width / 2.0
    for edge in pale_row(layout, stretch).edges:
        x = edge + half
        bay = min(max(bisect_right(stretch.xs, x) - 1, 0), len(groups) - 1)
        place = Frame.at(x, -run.pale_front, leg.ground(x) + run.pales.clearance)
        yield Piece(PALE, plate, leg.frame @ place, groups[bay], "pale", stretch.leg)
