"""Traverses and levelling against published worked examples; every kind of taped measurement
against an independent solver."""

from __future__ import annotations

import math
import random

import numpy as np
import pytest
from scipy.optimize import least_squares

from palewright.model.site.traverse import compass_rule, step
from palewright.model.survey.adjustment import adjusted
from palewright.model.survey.level_lines import StaffReading, reduced
from palewright.model.survey.measurements import (
    Along,
    Angle,
    Bearing,
    Coordinate,
    Distance,
    Measurement,
    Offset,
    Reading,
    Rise,
    worked,
)
from palewright.model.survey.points_and_lines import Survey
from palewright.model.survey.survey_files import parse_survey

FOOT = 304.8

LEGS = (("B", "S 68-05-35 W", 472.68), ("C", "N 19-46-00 W", 216.13), ("D", "N 45-55-20 E", 276.52),
        ("A", "S 54-59-15 E", 382.24))  # fmt: skip
"""Jerry Mahun, "Traverse Computations", chapter I (jerrymahun.com, open access): a loop in feet,
from A = N 500, E 2000."""

ADJUSTED = {"B": (323.614, 1561.426), "C": (526.996, 1488.321), "D": (719.336, 1686.956)}
"""North and east by the compass rule, from the same source, ft."""


def read(text: str) -> Survey:
    return parse_survey(text.encode(), "t.toml", "tape")


def test_a_loop_by_the_compass_rule() -> None:
    """Closure +0.083 north, +0.075 east in 1347.57 ft, 1 in 12,046; coordinates as printed."""
    rows = ", ".join(f'["{to}", "{way}", "{length} ft"]' for to, way, length in LEGS)
    found = read(
        'known = { A = ["2000 ft", "500 ft"] }\n[[traverse]]\n'
        f'from = "A"\nlegs = [{rows}]\n[lines]\nring = ["A", "B", "C", "D", "A"]\n'
    )
    for point in found.points:
        if point.number in ADJUSTED:
            north, east = ADJUSTED[point.number]
            assert point.y / FOOT == pytest.approx(north, abs=1e-3)
            assert point.x / FOOT == pytest.approx(east, abs=1e-3)
    (note,) = found.notes
    assert note.startswith("traverse 1, A to A: 4 legs, 410.739 m; misses its end by 33.9 mm")
    assert "1 in 12116" in note  # printed as 12,046, of closures rounded to a thousandth
    bearings = (248 + 5 / 60 + 35 / 3600, 340 + 14 / 60, 45 + 55 / 60 + 20 / 3600,
                125 + 45 / 3600)  # fmt: skip
    closed = compass_rule(0j, [step(b, leg[2]) for b, leg in zip(bearings, LEGS, strict=True)], 0j)
    assert closed.length == pytest.approx(1347.57, abs=5e-3)
    assert (closed.miss.imag, closed.miss.real) == pytest.approx((0.083, 0.075), abs=1e-3)
    assert closed.ratio == pytest.approx(12_046, abs=100)  # as printed, of rounded closures


def test_rise_and_fall() -> None:
    """NPTEL course 105107122 (Surveying), module 4, table 13.3: four points, three set-ups."""
    found = read(
        'known = { O = [0, 0], P = [9000, 0] }\nbenchmarks = { A = "100 m" }\n'
        'staff = [["A", "back", "2.365 m"], ["S1", "fore", "1.235 m"], ["S1", "back", "0.685 m"],\n'
        '  ["S2", "fore", "3.570 m"], ["S2", "back", "1.745 m"], ["B", "fore", "2.340 m"]]\n'
    )
    assert found.sketch is not None
    (book,) = found.sketch.book
    assert [row.point for row in book.rows] == ["A", "S1", "S2", "B"]
    levels = [row.level / 1000.0 for row in book.rows]
    assert levels == pytest.approx([100.0, 101.130, 98.245, 97.650])
    assert book.sights == pytest.approx((4795.0, 7145.0))
    assert book.rises_and_falls == pytest.approx((1130.0, 3480.0))
    assert book.change == pytest.approx(-2350.0)
    assert [row.adjusted for row in book.rows] == pytest.approx([row.level for row in book.rows])
    assert "levels A to B: comes back to no known level, so that nothing checks it" in found.notes


def test_levels_closed_on_a_benchmark_are_shared_out_by_set_ups() -> None:
    """The same line with B known 6 mm lower: each of three set-ups takes a third."""
    rows = [("A", "back", 2365.0), ("S1", "fore", 1235.0), ("S1", "back", 685.0),
            ("T", "intermediate", 1500.0), ("S2", "fore", 3570.0), ("S2", "back", 1745.0),
            ("B", "fore", 2340.0)]  # fmt: skip
    staff = ", ".join(f'["{p}", "{kind}", {value}]' for p, kind, value in rows)
    found = read(
        "known = { O = [0, 0], P = [9000, 0] }\n"
        f'benchmarks = {{ A = "100 m", B = "97.644 m" }}\nstaff = [{staff}]\n'
    )
    assert found.sketch is not None
    (book,) = found.sketch.book
    off = [row.adjusted - row.level for row in book.rows]
    # T hangs on its set-up, which takes half its own share between its two sights
    assert off == pytest.approx([0.0, -2.0, -3.0, -4.0, -6.0])
    assert book.closings == (("B", pytest.approx(97_650.0), 97_644.0),)
    assert any("B comes out 6 mm too high after 3 set-ups" in note for note in found.notes)
    # arithmetic: all three are one figure
    (back, fore), (rises, falls) = book.sights, book.rises_and_falls
    assert back - fore == pytest.approx(rises - falls)
    assert back - fore == pytest.approx(book.change)


def test_a_loop_of_levels_closes_on_itself() -> None:
    line = [StaffReading("A", "back", 1, 1500.0), StaffReading("B", "fore", 1, 1200.0),
            StaffReading("B", "back", 2, 1000.0), StaffReading("A", "fore", 2, 1305.0)]  # fmt: skip
    book = reduced(line, {}, {"A": 0.0, "B": 297.5})
    assert book.closings == (("A", -5.0, 0.0),)


def test_a_loop_with_its_inner_angles() -> None:
    """Angles 0.4 degrees too much in all: evened, then the square closes but for rounding."""
    found = read(
        'known = { A = [0, 0] }\n[[traverse]]\nfrom = "A"\n'
        'legs = [["B", "north", "10 m"], ["C", "angle 270-06", "10 m"], '
        '["D", "angle 270-06", "10 m"], ["A", "angle 270-06", "10 m"]]\n'
        'ends = ["B", "angle 270-06"]\n'
    )
    assert found.notes[0] == "traverse 1: its 4 angles miss by 0.4000 degrees, shared alike"
    places = {point.number: (point.x, point.y) for point in found.points}
    assert places["C"] == pytest.approx((10_000.0, 10_000.0), abs=1e-6)
    assert places["D"] == pytest.approx((10_000.0, 0.0), abs=1e-6)


def plot(rng: random.Random) -> tuple[list[Measurement], dict[Coordinate, float]]:
    """Return measurements of every kind in a plot of four new points, and true places."""
    at = {"A": 0j, "B": complex(rng.uniform(9e3, 14e3), rng.uniform(-1e3, 1e3))}
    for name, x, y in (("C", 4e3, 6e3), ("D", 11e3, 7e3), ("E", 7e3, 12e3), ("F", 1e3, 11e3)):
        at[name] = complex(x + rng.uniform(-9e2, 9e2), y + rng.uniform(-9e2, 9e2))
    places: dict[Coordinate, float] = {}
    for name, place in at.items():
        places[name, "x"], places[name, "y"] = place.real, place.imag
        places[name, "z"] = rng.uniform(-500.0, 500.0)
    places["1", "i"], places["2", "i"] = 1500.0, 1700.0
    degree = math.radians(0.1)
    kinds: list[Measurement] = [
        Distance("A", "C", 0.0, 3.0), Distance("B", "C", 0.0, 3.0), Bearing("A", "D", 0.0, degree),
        Distance("B", "D", 0.0, 3.0), Along("E", "A", "B", 0.0, 5.0),
        Offset("E", "A", "B", 0.0, 8.0),
        Angle("C", "A", "F", 0.0, degree), Distance("C", "F", 0.0, 3.0),
        Along("F", "C", "D", 0.0, 5.0), Offset("F", "C", "D", 0.0, 5.0),
        Bearing("F", "E", 0.0, degree),
        Distance("D", "E", 0.0, 3.0), Rise("A", "C", 0.0, 3.0), Rise("C", "D", 0.0, 3.0),
        Reading("1", "A", 0.0, 2.0), Reading("1", "E", 0.0, 2.0), Reading("2", "E", 0.0, 2.0),
        Reading("2", "D", 0.0, 2.0), Reading("2", "F", 0.0, 2.0), Rise("F", "D", 0.0, 3.0),
        Distance("A", "D", 0.0, 3.0), Distance("B", "E", 0.0, 3.0), Distance("A", "F", 0.0, 3.0),
        Distance("D", "F", 0.0, 3.0), Distance("C", "E", 0.0, 3.0), Offset("D", "A", "B", 0.0, 5.0),
        Rise("A", "E", 0.0, 3.0), Rise("A", "F", 0.0, 3.0), Rise("C", "F", 0.0, 3.0),
        Reading("1", "C", 0.0, 2.0), Reading("2", "B", 0.0, 2.0), Reading("1", "D", 0.0, 2.0),
    ]  # fmt: skip
    taken = []
    for one in kinds:
        true = own(one, places)
        fields = {name: getattr(one, name) for name in one.__dataclass_fields__}
        taken.append(type(one)(**{**fields, "value": true + rng.gauss(0.0, one.sigma)}))
    return taken, places


def own(one: Measurement, at: dict[Coordinate, float]) -> float:
    """Return what a measurement would be: written out anew, with complex numbers."""

    def place(name: str) -> complex:
        return complex(at[name, "x"], at[name, "y"])

    match one:
        case Distance(a, b):
            return abs(place(b) - place(a))
        case Bearing(a, b):
            return -np.angle((place(b) - place(a)) / 1j)
        case Angle(corner, back, fore):
            return np.angle((place(back) - place(corner)) / (place(fore) - place(corner)))
        case Along(point, a, b):
            return ((place(point) - place(a)) / (place(b) - place(a))).real * abs(
                place(b) - place(a)
            )
        case Offset(point, a, b):
            return ((place(point) - place(a)) / (place(b) - place(a))).imag * abs(
                place(b) - place(a)
            )
        case Rise(a, b):
            return at[b, "z"] - at[a, "z"]
        case Reading(setup, point):
            return at[setup, "i"] - at[point, "z"]


FIXED: list[Coordinate] = [(name, axis) for name in "AB" for axis in "xy"]
FIXED += [("A", "z"), ("B", "z")]


def test_every_kind_of_measurement_against_an_independent_solver() -> None:
    """scipy.optimize.least_squares with its own slopes, to 1e-6 of the plot's size."""
    for seed in range(30):
        rng = random.Random(seed)
        taken, places = plot(rng)
        start = {k: v + (0.0 if k in FIXED else rng.uniform(-200, 200)) for k, v in places.items()}
        found = adjusted(taken, start, FIXED)
        free = [key for key in places if key not in FIXED]

        def residuals(
            values: np.ndarray, taken: list[Measurement] = taken,
            places: dict[Coordinate, float] = places, free: list[Coordinate] = free,
        ) -> list[float]:  # fmt: skip
            at = {**places, **dict(zip(free, values, strict=True))}
            out = []
            for one in taken:
                off = own(one, at) - one.value
                if isinstance(one, Angle | Bearing):
                    off = math.remainder(off, math.tau)
                out.append(off / one.sigma)
            return out

        solved = least_squares(
            residuals, [places[key] for key in free], jac="3-point", xtol=1e-15, ftol=1e-15,
            x_scale=100.0,
        )  # fmt: skip
        for key, value in zip(free, solved.x, strict=True):
            assert found.places[key] == pytest.approx(value, abs=1e-2)
        assert np.sum(solved.fun**2) == pytest.approx(found.factor**2 * found.freedom, rel=1e-6)
        assert sum(one.redundancy for one in found.left) == pytest.approx(found.freedom)


def test_slopes_are_those_of_small_steps() -> None:
    taken, places = plot(random.Random(4))
    for one in taken:
        _, slopes = worked(one, places)
        for key, slope in slopes.items():
            up, down = ({**places, key: places[key] + d} for d in (0.01, -0.01))
            step_of = (worked(one, up)[0] - worked(one, down)[0]) / 0.02
            assert slope == pytest.approx(step_of, rel=1e-5, abs=1e-9)


def test_a_blunder_among_every_kind_is_pointed_at() -> None:
    """50 mm, or its like in degrees at 10 m, in any that others check by half: 95 of 100."""
    pointed = trials = 0
    for seed in range(300):
        rng = random.Random(seed)
        taken, places = plot(rng)
        shares = [one.redundancy for one in adjusted(taken, places, FIXED).left]
        number = rng.choice([n for n, share in enumerate(shares) if share > 0.5])
        one = taken[number]
        slip = rng.choice((-1.0, 1.0))
        angular = isinstance(one, Angle | Bearing)
        slip *= 10.0 * one.sigma if angular else 50.0
        fields = {name: getattr(one, name) for name in one.__dataclass_fields__}
        taken[number] = type(one)(**{**fields, "value": one.value + slip})
        worst = adjusted(taken, places, FIXED).worst
        trials += 1
        pointed += worst is not None and worst.measurement is taken[number]
    assert pointed >= 0.95 * trials, pointed / trials
