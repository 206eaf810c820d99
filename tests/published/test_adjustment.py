"""Least squares against published worked examples, and against an independent solver."""

from __future__ import annotations

import math
import random

import numpy as np
import pytest
from scipy.optimize import least_squares

from palewright.model.survey.adjustment import adjusted
from palewright.model.survey.measurements import (
    AdjustmentError,
    Angle,
    Coordinate,
    Distance,
    Measurement,
    Offset,
    Rise,
)


def plan(**places: tuple[float, float]) -> dict[Coordinate, float]:
    return {
        (name, axis): value * 1000.0
        for name, place in places.items()
        for axis, value in zip("xy", place, strict=True)
    }


def test_levels_of_a_net() -> None:
    """Ghilani, "Adjustment Computations" (2010), example 12.6: heights, s0, standardised residuals
    and redundancies to the digits printed there and in the network data published with it.
    """
    rows = [("A", "B", 10.509, 6), ("B", "C", 5.360, 4), ("C", "D", -8.523, 5),
            ("D", "A", -7.348, 3), ("B", "D", -3.167, 4), ("A", "C", 15.881, 12)]  # fmt: skip
    rises = [Rise(a, b, value * 1000.0, sigma) for a, b, value, sigma in rows]
    start = {("A", "z"): 437_596.0, ("B", "z"): 4e5, ("C", "z"): 4e5, ("D", "z"): 4e5}
    found = adjusted(rises, start, [("A", "z")])
    heights = [found.places[name, "z"] / 1000.0 for name in "BCD"]
    assert heights == pytest.approx([448.1087, 453.4685, 444.9436], abs=6e-5)
    assert found.freedom == 3
    assert found.factor == pytest.approx(0.651, abs=6e-4)
    assert [math.sqrt(b) for b in found.bounds] == pytest.approx([0.268, 1.765], abs=6e-4)
    spread = [found.sigmas[name, "z"] * found.factor for name in "BCD"]
    assert spread == pytest.approx([2.30, 2.64, 1.76], abs=6e-3)
    w = [abs(one.standardised or 0.0) / found.factor for one in found.left]
    assert w == pytest.approx([1.174, 0.163, 0.802, 0.466, 1.105, 1.160], abs=1e-3)
    shares = [one.redundancy for one in found.left]
    assert shares == pytest.approx([0.655, 0.329, 0.509, 0.188, 0.433, 0.886], abs=1e-3)
    assert sum(shares) == pytest.approx(3.0)
    assert found.worst is None
    # 50 mm too much from C to D
    rises[2] = Rise("C", "D", -8473.0, 5)
    worst = adjusted(rises, start, [("A", "z")]).worst
    assert worst is not None
    assert worst.measurement is rises[2]
    assert worst.standardised == pytest.approx(-7.66, abs=5e-3)
    assert worst.blunder == pytest.approx(53.7, abs=0.05)


def test_distances_of_a_square() -> None:
    """Benning 1982, as Krumm, "Geodetic network adjustment examples" (2020), example 3.1.1."""
    rows = [("1", "3", 1000.02), ("1", "4", 1414.20), ("2", "3", 1414.24), ("2", "4", 999.98),
            ("3", "4", 1000.00)]  # fmt: skip
    sides = [Distance(a, b, value * 1000.0, 10.0) for a, b, value in rows]
    start = plan(**{"1": (0, 1000), "2": (1000, 1000), "3": (0, 0), "4": (1000, 0)})
    fixed = [(name, axis) for name in "12" for axis in "xy"]
    found = adjusted(sides, start, fixed)
    at = [found.places[name, axis] / 1000.0 for name in "34" for axis in "xy"]
    assert at == pytest.approx([-0.0096, -0.0226, 999.9930, 0.0174], abs=6e-5)
    assert found.freedom == 1
    assert found.factor * 10.0 == pytest.approx(6.882, abs=6e-4)
    v = [one.residual for one in found.left]
    assert v == pytest.approx([2.60, -3.68, -3.68, 2.60, 2.60], abs=6e-3)
    w = [abs(one.standardised or 0.0) for one in found.left]
    assert w == pytest.approx([w[0]] * 5)  # with one to spare none can be blamed


def angle(text: str) -> float:
    degrees, minutes, seconds = map(float, text.split("-"))
    return math.radians(degrees + minutes / 60.0 + seconds / 3600.0)


def test_a_real_blunder_among_angles_and_distances() -> None:
    """Ghilani 2010, example 21.10, with the wrong angle left in: places, s0 and the culprit."""
    rows = [("B", "C", 3726.220, 12), ("C", "D", 3237.783, 10), ("D", "A", 3662.372, 12),
            ("A", "C", 5193.471, 16), ("B", "D", 4524.471, 14),
            ("A", "B", 3111.291, 10)]  # fmt: skip
    figure: list[Measurement] = [Distance(a, b, v * 1000.0, s) for a, b, v, s in rows]
    for names, text in (("ABC", "45-12-34"), ("ACD", "38-10-54"), ("BCD", "44-55-43"),
                        ("BDA", "53-31-23"), ("CDA", "44-21-59"), ("CAB", "36-20-26"),
                        ("DAB", "43-06-11"), ("DBC", "54-22-00")):  # fmt: skip
        figure.append(Angle(*names, angle(text), math.radians(2.1 / 3600.0)))
    start = plan(A=(5600.544, 4966.236), B=(6061.624, 8043.173), C=(9787.823, 8038.529),
                 D=(9260.886, 4843.911))  # fmt: skip
    fixed = [(name, axis) for name in "AB" for axis in "xy"]
    found = adjusted(figure, start, fixed)
    at = [found.places[name, axis] / 1000.0 for name in "CD" for axis in "xy"]
    assert at == pytest.approx([9787.8250, 8038.5354, 9260.8604, 4843.9341], abs=2e-3)
    assert found.freedom == 10
    assert found.factor == pytest.approx(9.29, abs=0.02)
    worst = found.worst
    assert worst is not None
    assert isinstance(worst.measurement, Angle)
    assert (worst.measurement.at, worst.measurement.fore) == ("D", "B")
    assert math.degrees(worst.residual) * 3600.0 == pytest.approx(-60.3, abs=0.5)
    assert worst.standardised == pytest.approx(-29.0, abs=0.3)


TAPE = 3.0
"""Standard deviation of a taped length of some ten metres, mm: a tape of class II may be 2.3 mm out
there (MID, 2014/32/EU, annex X: 0.3 + 0.2 L), and it is held by hand (common practice).
"""


def garden(rng: random.Random) -> tuple[list[Measurement], dict[Coordinate, float]]:
    """Return eight measurements of two corners of a garden, with a tape's own errors, and all
    places: the three corners of the house that they are taken from are known.
    """
    places = plan(A=(0, 0), B=(rng.uniform(7, 12), 0), E=(0, -rng.uniform(6, 9)),
                  C=(rng.uniform(8, 14), rng.uniform(8, 14)),
                  D=(rng.uniform(-6, -3), rng.uniform(8, 14)))  # fmt: skip
    taped: list[Measurement] = []
    for a, b in ("AC", "BC", "EC", "AD", "BD", "ED", "CD"):
        true = math.dist(*((places[name, "x"], places[name, "y"]) for name in (a, b)))
        taped.append(Distance(a, b, true + rng.gauss(0, TAPE), TAPE))
    # and from the house's front square to C
    taped.append(Offset("C", "A", "B", places["C", "y"] + rng.gauss(0, TAPE), TAPE))
    return taped, places


FIXED = [(name, axis) for name in "ABE" for axis in "xy"]


def test_a_blunder_of_50_mm_in_one_of_eight_is_pointed_at() -> None:
    """In at least 95 of 100 random trials, in any measurement that others check."""
    pointed = named = trials = 0
    for seed in range(300):
        rng = random.Random(seed)
        taped, places = garden(rng)
        number = rng.randrange(len(taped))
        one = taped[number]
        wrong = one.value + rng.choice((-50.0, 50.0))
        taped[number] = type(one)(*[wrong if field == "value" else getattr(one, field)
                                    for field in one.__dataclass_fields__])  # fmt: skip
        found = adjusted(taped, {key: v + rng.uniform(-300, 300) * (key not in FIXED)
                                 for key, v in places.items()}, FIXED)  # fmt: skip
        worst = found.worst
        trials += 1
        pointed += worst is not None and worst.measurement is taped[number]
        named += any(one.measurement is taped[number] for one in found.suspects)
        assert len(found.suspects) <= 3
    assert pointed >= 0.95 * trials, pointed / trials
    assert named >= 0.99 * trials, named / trials  # first, or as what it may be else


def test_places_are_those_of_an_independent_solver() -> None:
    """scipy.optimize.least_squares on residuals written out anew, to 1e-6 of the lengths."""
    for seed in range(40):
        rng = random.Random(seed)
        taped, places = garden(rng)
        found = adjusted(taped, places, FIXED)
        free = [key for key in places if key not in FIXED]

        def residuals(values: np.ndarray, taped: list[Measurement] = taped) -> list[float]:
            at = {**{key: places[key] for key in FIXED}, **dict(zip(free, values, strict=True))}  # noqa: B023
            out = []
            for one in taped:
                if isinstance(one, Distance):
                    a, b = (complex(at[n, "x"], at[n, "y"]) for n in (one.a, one.b))
                    out.append((abs(b - a) - one.value) / one.sigma)
                else:
                    assert isinstance(one, Offset)  # from the x axis
                    out.append((at[one.point, "y"] - one.value) / one.sigma)
            return out

        solved = least_squares(residuals, [places[key] for key in free], xtol=1e-15, ftol=1e-15)
        for key, value in zip(free, solved.x, strict=True):
            assert found.places[key] == pytest.approx(value, abs=1e-3)
        assert np.sum(solved.fun**2) == pytest.approx(found.factor**2 * found.freedom, rel=1e-6)


def test_what_is_not_fixed_is_named() -> None:
    start = plan(A=(0, 0), B=(9, 0), E=(0, -6), C=(4, 5))
    one: list[Measurement] = [Distance("A", "C", 6000.0, 5.0)]
    with pytest.raises(AdjustmentError, match="1 measurements do not fix 2 coordinates"):
        adjusted(one, start, FIXED)
    twice: list[Measurement] = [*one, Distance("C", "A", 6001.0, 5.0)]
    with pytest.raises(AdjustmentError, match="of C is not fixed by the measurements"):
        adjusted(twice, start, FIXED)
    with pytest.raises(AdjustmentError, match=r"come to no figure|one place"):
        adjusted([Distance("A", "C", 6000.0, 5.0), Distance("B", "C", 1000.0, 5.0)], start, FIXED)
