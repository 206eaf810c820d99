"""How the pales of a stretch are spaced, and how far they reach at corners."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from functools import cached_property

from palewright.model.resolved.job import RunJob
from palewright.model.resolved.pale_plan import PalePlan
from palewright.model.resolved.words import PostRole
from palewright.model.site.site_line import turns_by

from .pale_turns import PalePlace, places, space_by_turns
from .spacing import Spacing
from .spans import MEET, Span, StretchEnd

SHARES = {"pale": 0.0, "half-gap": 0.5, "gap": 1.0}

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
        """The largest gap, mm; all are equal where the row has one part."""
        return max(spacing.gap for _, spacing in self.parts)


def pale_row(run: RunJob, span: Span) -> PaleRow:
    """Return where the pales of a stretch stand."""
    x0, first = _end(run, span.first, at_start=True)
    x1, last = _end(run, span.last, at_start=False)
    cuts = [x0, *(span.xs[1:-1] if run.pales.spaced == "bay" else ()), x1]
    parts = []
    for number, (start, end) in enumerate(itertools.pairwise(cuts)):
        spacing = space_by_turns(
            run.pales,
            end - start,
            at_start=first if number == 0 else 0.5,
            at_end=last if number == len(cuts) - 2 else 0.5,
        )
        parts.append((start, spacing))
    return PaleRow(x0, x1, tuple(parts), run.pales)


def _end(run: RunJob, limit: StretchEnd, *, at_start: bool) -> tuple[float, float]:
    """Return where pales may stand up to, and the share of a gap that is kept from there.

    At a corner the pales of both legs meet in one upright line: where their backs cross outside
    the corner, where their fronts cross inside it. Mitred ones go on to where the other sides
    cross.
    """
    share = SHARES[run.pales.ends]
    if limit.kind != PostRole.CORNER:
        return limit.x, share
    mitred = bevel(run, limit) != 0.0
    if (share > 0.0 or not turns_by(limit.turn, MEET)) and not mitred:
        share = 0.5
    plane = run.pale_back if (limit.turn > 0) != mitred else run.pale_front
    reach = plane * math.tan(math.radians(limit.turn) / 2.0)
    return limit.x + (-reach if at_start else reach), 0.0 if mitred else share


def bevel(run: RunJob, limit: StretchEnd) -> float:
    """Return dx/dy of the mitre of a leg's last pale at a corner, 0 when it is not mitred."""
    if (
        run.corners.pales != "mitre"
        or limit.kind != PostRole.CORNER
        or not turns_by(limit.turn, MEET)
    ):
        return 0.0
    slope = math.tan(math.radians(limit.turn) / 2.0)
    if abs(slope) * run.pales.thickness > MOST_BEVEL * run.pales.narrowest:
        return 0.0
    return -slope
