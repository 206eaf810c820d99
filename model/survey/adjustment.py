"""More measurements than needed: the most likely places, what is left over, and what looks wrong.

Least squares by the method of parametric adjustment: v = A x - l, weights 1/sigma^2, iterated from
approximate places (Ghilani, "Adjustment Computations", chapters 11 to 21; the formulas are also in
every textbook of geodesy).
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .measurements import (
    AdjustmentError,
    Angle,
    Bearing,
    Coordinate,
    Measurement,
    worked,
)

MOST_STEPS = 50
"""Iterations until a figure counts as one that does not close."""

SETTLED = 1e-6
"""A step that moves no point farther than this, mm, is the last."""

SUSPECT = 3.29
"""A standardised residual over this is one in a thousand by chance (two-sided, normal)."""

ALIKE = 0.999
"""Standardised residuals nearer to each other than this ratio point at no one measurement."""

ODDS = 2.0 * math.log(20.0)
"""Without a measurement the squares are less by that of its standardised residual, so that one
wrong there is more likely by exp of half the difference than one wrong elsewhere; what is less
than twenty times as unlikely as the worst is named beside it."""

UNCHECKED = 0.01
"""A measurement with less redundancy is checked by no other."""


@dataclass(frozen=True)
class Left:
    """What is left of a measurement.

    residual : adjusted less measured, mm or radians; redundancy : share that the others check, 0
    to 1; standardised : residual over its own standard deviation, None where nothing checks it;
    blunder : the error that would explain it, None likewise.
    """

    measurement: Measurement
    residual: float
    redundancy: float
    standardised: float | None
    blunder: float | None

    @property
    def suspect(self) -> bool:
        """Whether it is unlikely to be chance."""
        return self.standardised is not None and abs(self.standardised) > SUSPECT


@dataclass(frozen=True)
class Adjusted:
    """Adjusted measurements.

    places : of every coordinate, mm; sigmas : standard deviation of those that were not fixed, a
    priori, mm; left : by measurement; freedom : measurements more than needed; factor : s0, the
    residuals over what the accuracies promise, 0 where there is no freedom; bounds : of s0 squared
    at 95 %.
    """

    places: Mapping[Coordinate, float]
    sigmas: Mapping[Coordinate, float]
    left: tuple[Left, ...]
    freedom: int
    factor: float
    bounds: tuple[float, float]

    @property
    def worst(self) -> Left | None:
        """The measurement that is most probably wrong, or None where none stands out."""
        suspects = self.suspects
        if not suspects or self.alike:
            return None
        return suspects[0]

    @property
    def alike(self) -> bool:
        """Whether nothing tells which of the suspects is wrong, as always where one measurement is
        more than needed.
        """
        sizes = [abs(one.standardised or 0.0) for one in self.suspects[:2]]
        return len(sizes) == 2 and sizes[1] > ALIKE * sizes[0]

    @property
    def suspects(self) -> tuple[Left, ...]:
        """The measurements one of which is wrong, the most probable first; mostly one."""
        out = [one for one in self.left if one.suspect]
        squares = [(one.standardised or 0.0) ** 2 for one in out]
        most = max(squares, default=0.0)
        named = [pair for pair in zip(squares, out, strict=True) if pair[0] > most - ODDS]
        # those that are alike but for rounding stay in their order
        return tuple(one for _, one in sorted(named, key=lambda pair: -round(pair[0] / most, 6)))


def adjusted(
    measurements: Sequence[Measurement],
    start: Mapping[Coordinate, float],
    fixed: Sequence[Coordinate],
) -> Adjusted:
    """Return the most likely places by least squares.

    measurements : of one figure, lengths in mm, angles in radians; start : approximate
    coordinates of every point, mm; fixed : coordinates that stay as they are.

    Raises
    ------
    AdjustmentError
        When the measurements do not fix every point, or do not come to a figure.

    Examples
    --------
    A 3-4-5 whose diagonal was taped 10 mm long:

    >>> from .measurements import Distance, Offset
    >>> sides = [Distance("A", "B", 3000.0, 3.0), Distance("B", "C", 4000.0, 3.0)]
    >>> sides += [Distance("A", "C", 5010.0, 3.0), Offset("C", "A", "B", 4000.0, 3.0)]
    >>> start = {("A", "x"): 0.0, ("A", "y"): 0.0, ("B", "x"): 3000.0, ("B", "y"): 0.0,
    ...          ("C", "x"): 3000.0, ("C", "y"): 4000.0}
    >>> found = adjusted(sides, start, [("A", "x"), ("A", "y"), ("B", "y")])
    >>> found.freedom, round(found.places["C", "y"], 1)
    (1, 4000.0)
    """
    unknown = [key for key in start if key not in set(fixed)]
    column = {key: number for number, key in enumerate(unknown)}
    places = dict(start)
    if len(measurements) < len(unknown):
        raise AdjustmentError(
            f"{len(measurements)} measurements do not fix {len(unknown)} coordinates"
        )
    sigma = np.array([one.sigma for one in measurements])
    if not unknown:
        return _judged(measurements, places, unknown, column)
    for _ in range(MOST_STEPS):
        design, wrong = _equations(measurements, places, column)
        scaled = design / sigma[:, None]
        step, _, rank, _ = np.linalg.lstsq(scaled, wrong / sigma, rcond=1e-12)
        if rank < len(unknown):
            raise AdjustmentError(f"{_loose(scaled, unknown)} is not fixed by the measurements")
        for key, value in zip(unknown, step, strict=True):
            places[key] += float(value)
        if not np.all(np.isfinite(step)):
            break
        if np.max(np.abs(step), initial=0.0) < SETTLED:
            return _judged(measurements, places, unknown, column)
    raise AdjustmentError("the measurements come to no figure: one of them is far out")


def _judged(
    measurements: Sequence[Measurement], places: dict[Coordinate, float],
    unknown: list[Coordinate], column: Mapping[Coordinate, int],
) -> Adjusted:  # fmt: skip
    sigma = np.array([one.sigma for one in measurements])
    design, wrong = _equations(measurements, places, column)
    residuals = -wrong
    scaled = design / sigma[:, None]
    try:
        cofactors = np.linalg.inv(scaled.T @ scaled)
    except np.linalg.LinAlgError:
        loose = _loose(scaled, unknown)
        raise AdjustmentError(f"{loose} is hardly fixed by the measurements") from None
    # of the residuals: what is left of each measurement's own variance
    own = sigma**2 - np.einsum("ij,jk,ik->i", design, cofactors, design)
    redundancy = np.clip(own / sigma**2, 0.0, 1.0)
    left = []
    for one, residual, share in zip(measurements, residuals, redundancy, strict=True):
        checked = share > UNCHECKED
        w = float(residual) / (one.sigma * math.sqrt(share)) if checked else None
        blunder = -float(residual) / float(share) if checked else None
        left.append(Left(one, float(residual), float(share), w, blunder))
    freedom = len(measurements) - len(unknown)
    total = float(np.sum((residuals / sigma) ** 2))
    factor = math.sqrt(total / freedom) if freedom else 0.0
    spread = {key: math.sqrt(max(cofactors[n, n], 0.0)) for key, n in column.items()}
    return Adjusted(places, spread, tuple(left), freedom, factor, _bounds(freedom))


def _bounds(freedom: int) -> tuple[float, float]:
    """Return within which s0 squared is in 95 of 100: quantiles of chi squared over its freedom."""
    if not freedom:
        return 0.0, math.inf
    from scipy.stats import chi2

    low, high = (float(chi2.ppf(share, freedom)) / freedom for share in (0.025, 0.975))
    return low, high


def _loose(scaled: NDArray[np.float64], unknown: list[Coordinate]) -> str:
    """Return the name of the coordinate that is least fixed, the first of those alike."""
    _, _, turned = np.linalg.svd(scaled)
    name, axis = unknown[int(np.argmax(np.round(np.abs(turned[-1]), 6)))]
    words = {"x": "east", "y": "north", "z": "level", "i": "height of the level"}
    return f"{words[axis]} of {name}"


def _equations(
    measurements: Sequence[Measurement], places: Mapping[Coordinate, float],
    column: Mapping[Coordinate, int],
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:  # fmt: skip
    """Return the slopes of each measurement by each coordinate, and measured less worked out."""
    design = np.zeros((len(measurements), len(column)))
    wrong = np.zeros(len(measurements))
    for row, one in enumerate(measurements):
        value, slopes = worked(one, places)
        difference = one.value - value
        if isinstance(one, Angle | Bearing):
            difference = (difference + math.pi) % (2.0 * math.pi) - math.pi
        wrong[row] = difference
        for key, slope in slopes.items():
            if key in column:
                design[row, column[key]] += slope
    return design, wrong
