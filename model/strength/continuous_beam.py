"""A beam over several supports under an even load: its moments and what its supports take."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise


@dataclass(frozen=True)
class Beam:
    """A beam under a load of 1 for each mm. supports, spans : largest moments over the supports
    and between them, mm2, positive where the loaded side is pressed together; reactions : of the
    supports, mm.
    """

    supports: tuple[float, ...]
    spans: tuple[float, ...]
    reactions: tuple[float, ...]


def continuous_beam(xs: tuple[float, ...], first: float = 0.0, last: float = 0.0) -> Beam:
    """Return a beam of even stiffness on firm supports.

    Parameters
    ----------
    xs : tuple of float, mm
        Where its supports are, at least two, from left to right.
    first, last : float, mm
        How far it goes on beyond the outer ones.

    Source
    ------
    The three-moment equation (Clapeyron), L1 M0 + 2 (L1 + L2) M1 + L2 M2 = -(L1^3 + L2^3) / 4
    for a load of 1.

    Examples
    --------
    >>> beam = continuous_beam((0.0, 4.0, 8.0))
    >>> beam.supports, beam.reactions
    ((0.0, -2.0, 0.0), (1.5, 5.0, 1.5))
    """
    lengths = [b - a for a, b in pairwise(xs)]
    supports = [0.0 - first**2 / 2.0, *_inner(lengths, first, last), 0.0 - last**2 / 2.0]
    reactions = [0.0] * len(xs)
    reactions[0] += first
    reactions[-1] += last
    spans = []
    for number, (length, (left, right)) in enumerate(zip(lengths, pairwise(supports), strict=True)):
        at_left = length / 2.0 + (right - left) / length
        reactions[number] += at_left
        reactions[number + 1] += length - at_left
        # the moment is largest where the shear is nothing, if that is in the span
        peak = min(max(at_left, 0.0), length)
        spans.append(left + at_left * peak - peak**2 / 2.0)
    return Beam(tuple(supports), tuple(spans), tuple(reactions))


def _inner(lengths: list[float], first: float, last: float) -> list[float]:
    """Return the moments over the inner supports: a tridiagonal system, solved by elimination."""
    diagonal: list[float] = []
    right: list[float] = []
    for number, (a, b) in enumerate(pairwise(lengths)):
        load = -(a**3 + b**3) / 4.0
        load += a * first**2 / 2.0 if number == 0 else 0.0
        load += b * last**2 / 2.0 if number == len(lengths) - 2 else 0.0
        share = a / diagonal[-1] if diagonal else 0.0
        diagonal.append(2.0 * (a + b) - share * (a if diagonal else 0.0))
        right.append(load - share * (right[-1] if right else 0.0))
    moments: list[float] = []
    for number in range(len(diagonal) - 1, -1, -1):
        after = lengths[number + 1] * moments[-1] if moments else 0.0
        moments.append((right[number] - after) / diagonal[number])
    return moments[::-1]
