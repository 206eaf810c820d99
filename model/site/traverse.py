"""Traverses: corners from what was measured across them, and figures that do not close."""

from __future__ import annotations

import cmath
import math
from collections.abc import Sequence
from dataclasses import dataclass

from palewright.model.basis.errors import PalewrightError
from palewright.model.basis.units import format_length


class TriangleError(PalewrightError):
    """Three lengths that make no triangle; the text gives the figures."""


def corner_angle(a: float, b: float, across: float) -> float:
    """Return the angle between two arms, degrees, from the length across their ends.

    The cosine rule (Euclid II, 12 and 13): across^2 = a^2 + b^2 - 2 a b cos(angle).

    Parameters
    ----------
    a, b : float
        The arms, mm, over 0.
    across : float
        Between their ends, mm, over 0.

    Raises
    ------
    TriangleError
        When the length across is longer than both arms together, or shorter than their difference.

    Examples
    --------
    >>> corner_angle(3000, 4000, 5000), round(corner_angle(3000, 3000, 3000), 9)
    (90.0, 60.0)
    """
    figure = f"{format_length(a)} and {format_length(b)} mm"
    if across > a + b:
        raise TriangleError(
            f"{format_length(across)} mm across cannot be: the two sides, {figure}, together are "
            f"only {format_length(a + b)} mm"
        )
    if across < abs(a - b):
        raise TriangleError(
            f"{format_length(across)} mm across cannot be: the two sides, {figure}, already "
            f"differ by {format_length(abs(a - b))} mm"
        )
    # in ratios, so that nothing grows beyond what a float holds
    longest = max(a, b, across)
    p, q, r = a / longest, b / longest, across / longest
    return math.degrees(math.acos(max(-1.0, min(1.0, (p * p + q * q - r * r) / (2.0 * p * q)))))


@dataclass(frozen=True)
class Closed:
    """A traverse brought to where it has to end.

    places : its points after the first, (east, north) as complex, mm; miss : by how much it did
    not end there before, measured less wanted; length : of all its legs, mm.
    """

    places: tuple[complex, ...]
    miss: complex
    length: float

    @property
    def ratio(self) -> float:
        """How many times the length is the misclosure; infinite where it closes."""
        return self.length / abs(self.miss) if abs(self.miss) > 1e-9 else math.inf


def compass_rule(start: complex, legs: Sequence[complex], end: complex) -> Closed:
    """Return a traverse whose misclosure is shared out over its legs by their lengths.

    The compass or Bowditch rule: each leg is corrected by the whole misclosure times its own share
    of the whole length.

    Parameters
    ----------
    start, end : complex, (east, north), mm
        Where it begins and where it has to end.
    legs : sequence of complex, mm
        East and north of each leg as measured, one or more, not all of no length.

    Examples
    --------
    >>> compass_rule(0, [complex(0, 3000), complex(4010, 0)], complex(4000, 3000)).miss
    (10+0j)
    """
    length = math.fsum(abs(leg) for leg in legs)
    miss = start + sum(legs, 0j) - end
    places = []
    here, along = start, 0.0
    for leg in legs:
        here += leg
        along += abs(leg)
        places.append(here - miss * (along / length))
    return Closed((*places[:-1], end), miss, length)


def balanced_turns(turns: Sequence[float], wanted: float) -> tuple[list[float], float]:
    """Return turns that add up to what they have to, each changed alike, and by what they missed.

    turns, wanted : degrees; missed : measured less wanted.

    >>> balanced_turns([90.0, 90.0, 90.0, 90.4], 360.0)[0][0], round(0.4, 1)
    (89.9, 0.4)
    """
    missed = math.fsum(turns) - wanted
    return [turn - missed / len(turns) for turn in turns], missed


def step(bearing: float, length: float) -> complex:
    """Return east and north of a length along a bearing, degrees clockwise from north.

    >>> step(90.0, 5.0)
    (5+0j)
    """
    quarters, rest = divmod(bearing % 360.0, 90.0)
    if rest == 0.0:  # right angles keep whole millimetres
        return length * (1j, 1 + 0j, -1j, -1 + 0j)[int(quarters) % 4]
    return cmath.rect(length, math.radians(90.0 - bearing))


def bearing_of(way: complex) -> float:
    """Return the bearing of a direction, degrees clockwise from north, 0 to 360.

    >>> bearing_of(-1 + 0j)
    270.0
    """
    return math.degrees(math.atan2(way.real, way.imag)) % 360.0
