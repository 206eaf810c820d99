"""Equal spacing: whole pales with equal gaps, and equal or standard bays."""

from __future__ import annotations

import math
from dataclasses import dataclass

EPS = 1e-9
"""Relative slack that keeps rounding from adding a bay or a pale."""


@dataclass(frozen=True)
class Spacing:
    """How pales fill a stretch.

    count : int, whole pales; gap : float, mm, clear gap between neighbours;
    start : float, mm, from the start of the stretch to the first pale's edge.
    """

    count: int
    gap: float
    start: float

    def edges(self, width: float) -> tuple[float, ...]:
        """Return the distance of each pale's first edge from the start of the stretch, mm."""
        return tuple(self.start + number * (width + self.gap) for number in range(self.count))


def space_pales(
    length: float,
    width: float,
    wanted: float,
    *,
    largest: float,
    at_start: float = 0.0,
    at_end: float = 0.0,
) -> Spacing:
    """Return whole pales with equal gaps that fill `length` exactly.

    With N pales, gaps g and shares a and b of a gap left at the ends,
    length = N w + (N - 1 + a + b) g; for a = b = 1 that is the handbook identity
    g = (L - N w) / (N + 1).

    Parameters
    ----------
    length, width, wanted, largest : float, mm
        The stretch, one pale, the wanted gap and the largest gap allowed.
    at_start, at_end : float
        Share of a gap left before the first and after the last pale: 0 (a pale at the very end),
        0.5 (the end lies in the middle of a gap) or 1 (the stretch ends with a gap).

    Returns
    -------
    Spacing
        The gap nearest to `wanted` that is not over `largest`. Where the stretch is too short
        for any such gap the nearest possible one is returned, and the caller reports it; a
        stretch shorter than a pale holds none. A lone pale that cannot reach both ends stands in
        the middle, and its gap is what is left on either side.

    Examples
    --------
    >>> space_pales(2900.0, 75.0, 75.0, largest=80.0, at_start=1, at_end=1)
    Spacing(count=19, gap=73.75, start=73.75)
    """
    ends = at_start + at_end
    if length < width - EPS * width:
        return Spacing(0, max(length, 0.0), 0.0)
    nearest = (length + wanted * (1.0 - ends)) / (width + wanted)
    tries = {max(1, math.floor(nearest) + step) for step in (-1, 0, 1, 2)}
    if largest + width > 0:
        least = math.ceil((length + largest * (1.0 - ends)) / (width + largest) - EPS)
        tries |= {max(1, least), max(1, least + 1)}
    fits = [
        (count, gap)
        for count in sorted(tries)
        if (gap := _gap(length, width, count, ends)) is not None
    ]
    if not fits:
        side = (length - width) / 2.0
        return Spacing(1, side, side)
    allowed = [fit for fit in fits if fit[1] <= largest * (1.0 + EPS)]
    if allowed:
        count, gap = min(allowed, key=lambda fit: abs(fit[1] - wanted))
    else:
        count, gap = min(fits, key=lambda fit: fit[1])
    return Spacing(count, gap, at_start * gap)


def _gap(length: float, width: float, count: int, ends: float) -> float | None:
    """Return the gap that so many pales leave, None where they do not fill a length.

    ends : shares of a gap at both ends together.
    """
    parts = count - 1 + ends
    spare = length - count * width
    if parts < EPS:
        return 0.0 if spare <= EPS * length else None
    return max(0.0, spare / parts) if spare >= -EPS * length else None


def equal_bays(length: float, largest: float) -> tuple[float, ...]:
    """Return the fewest equal bays, none over `largest`, that fill `length` (all mm).

    >>> equal_bays(5000.0, 1800.0)
    (1666.6666666666667, 1666.6666666666667, 1666.6666666666667)
    """
    count = max(1, math.ceil(length / largest * (1.0 - EPS)))
    return (length / count,) * count


def standard_bays(length: float, standard: float) -> tuple[float, ...]:
    """Return full bays of `standard` and one make-up bay for the rest, all mm.

    >>> standard_bays(5000.0, 1800.0)
    (1800.0, 1800.0, 1400.0)
    """
    full = math.floor(length / standard * (1.0 + EPS))
    rest = length - full * standard
    bays = (standard,) * full
    return bays if full and rest <= EPS * length else (*bays, rest)
