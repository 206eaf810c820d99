"""Pales by turns: how many fill a length with equal gaps, and where each stands."""

from __future__ import annotations

import math
from dataclasses import dataclass

from palewright.model.resolved.pale_plan import PaleKind, PalePlan

from .spacing import EPS, Spacing, space_pales


@dataclass(frozen=True)
class PalePlace:
    """Where a pale stands in a row. edge : its left edge, mm; kind : of it; layer : number of the
    layer it stands on.
    """

    edge: float
    kind: PaleKind
    layer: int = 0

    @property
    def middle(self) -> float:
        """Its middle, mm."""
        return self.edge + self.kind.width / 2.0


def space_by_turns(
    pales: PalePlan, length: float, *, at_start: float = 0.0, at_end: float = 0.0
) -> Spacing:
    """Return how whole pales fill a length with equal gaps, as `space_pales` does for one width.

    Rows that are alike from either end have one pale in the middle, so an odd count, where any
    such count keeps the largest gap. Where pales lap, the first and the last are on one layer.
    """
    turns = pales.turns
    if len(turns.widths) == 1 and not pales.lapped:
        return space_pales(
            length, turns.widths[0], pales.gap, largest=pales.gap_max,
            at_start=at_start, at_end=at_end,
        )  # fmt: skip
    shares = at_start + at_end
    fits = {
        count: gap
        for count in _counts(pales, length, shares)
        if (gap := _gap(length, turns.total(count), count - 1 + shares, pales.least_gap))
        is not None
        and (count % 2 or not pales.lapped)
    }
    if not fits:
        return space_pales(length, turns.widths[0], 0.0, largest=pales.widest)
    allowed = [count for count in fits if fits[count] <= pales.gap_max + EPS * abs(pales.gap_max)]
    even = pales.gap == 0.0 or not turns.mirrored  # pales set close are as close as can be
    whole = [count for count in allowed if count % 2 or even]
    among = whole or allowed or [min(fits, key=lambda count: fits[count])]
    count = min(among, key=lambda count: (abs(fits[count] - pales.gap), count))
    return Spacing(count, fits[count], at_start * fits[count])


def _counts(pales: PalePlan, length: float, shares: float) -> list[int]:
    """Return the counts that may be best: near those of the wanted gap and of the largest."""
    turns = pales.turns
    mean = sum(turns.widths) / len(turns.widths)
    tries: set[int] = {1, 2, 3}
    for gap in (pales.gap, pales.gap_max, pales.least_gap):
        near = math.floor((length + gap * (1.0 - shares)) / (mean + gap))
        tries |= set(range(near - 2 * len(turns.widths) - 2, near + 2 * len(turns.widths) + 3))
    return sorted(count for count in tries if count > 0)


def _gap(length: float, taken: float, parts: float, least: float) -> float | None:
    """Return the gap that pales leave, None where they do not fill a length.

    taken : by pales, mm; parts : how many gaps there are; least : that there can be, mm.
    """
    spare = length - taken
    if parts < EPS:
        return 0.0 if abs(spare) <= EPS * length else None
    return max(least, spare / parts) if spare / parts >= least - EPS * length else None


def places(pales: PalePlan, spacing: Spacing, start: float = 0.0) -> tuple[PalePlace, ...]:
    """Return where pales stand that fill a length. start : of it, mm."""
    kinds = pales.kinds
    if len(kinds) == 1 and not pales.lapped:
        edges = spacing.edges(kinds[0].width)
        return tuple(PalePlace(start + edge, kinds[0]) for edge in edges)
    standing, taken = [], 0.0
    for number, turn in enumerate(pales.turns.of(spacing.count)):
        edge = spacing.start + taken + number * spacing.gap
        standing.append(PalePlace(start + edge, kinds[turn], number % 2 if pales.lapped else 0))
        taken += kinds[turn].width
    return tuple(standing)
