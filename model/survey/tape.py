"""A site measured by tape and level, as a small TOML file: corners, lengths, offsets, rises."""

from __future__ import annotations

import cmath
import itertools
import math
import re
from collections.abc import Iterator
from typing import Any

from palewright.model.basis.length_words import length_advice
from palewright.model.basis.lengths import LONGEST_COORDINATE
from palewright.model.basis.source_files import SourceFileError, toml_tables
from palewright.model.basis.text import plain
from palewright.model.basis.units import format_length, parse_length
from palewright.model.site.path import Node

from .adjustment import (
    Adjusted,
    AdjustmentError,
    Angle,
    Coordinate,
    Distance,
    Left,
    Measurement,
    Offset,
    Rise,
    adjusted,
)
from .points_and_lines import Survey, SurveyError, SurveyLine, SurveyPoint

ACCURACY = 3.0
"""Standard deviation of a taped length, mm, where none is given: a class II tape may be 2.3 mm out
at 10 m (0.3 + 0.2 L, MID 2014/32/EU, annex X), and it is held by hand (common practice).
"""

SQUARE = math.radians(0.25)
"""Standard deviation of an angle, where none is given (common practice, no source)."""

MOST_MEASURED, MOST_PLACES, MOST_TRIED = 400, 100, 12
"""Measurements and points of a file; measurements of a point that are tried two by two."""

CLOSE = 100.0
"""Two places that a point may have are told apart by a further measurement from this on, mm."""

KEYS = ("known", "lengths", "offsets", "angles", "rises", "sides", "accuracy", "lines")


def read_tape(text: str, file: str) -> Survey:
    """Return the points that a file of taped measurements fixes, and its lines.

    What is left of each measurement, and the one that is probably wrong, stand in the notes.

    Raises
    ------
    SurveyError
        When something is no measurement, or the measurements do not fix a point.
    """
    try:
        told = toml_tables(text)
    except SourceFileError as error:
        place = f":{error.line}" if error.line else ""
        raise SurveyError(f"{file}{place}: {error}") from None
    try:
        return _Tape(told, file).survey()
    except AdjustmentError as error:
        raise SurveyError(f"{file}: {error}") from None


class _Tape:
    """Measurements as they were written, made points."""

    def __init__(self, told: dict[str, Any], file: str) -> None:
        self.told = told
        self.file = file
        for key in told:
            if key not in KEYS:
                raise self.wrong(key, f"is not known; allowed: {', '.join(KEYS)}")
        self.sigma = self.length(told.get("accuracy", ACCURACY), "accuracy")
        if not 0.0 < self.sigma <= 1000.0:
            raise self.wrong("accuracy", "is between 0 and 1 m")
        known = self.table("known")
        self.known: dict[str, complex] = {}
        self.levels: dict[str, float] = {}
        for name, place in known.items():
            if not isinstance(place, list) or len(place) not in (2, 3):
                raise self.wrong(f"known.{name}", "is [east, north] or [east, north, level]")
            at = [self.length(value, f"known.{name}") for value in place]
            self.known[name] = complex(at[0], at[1])
            if len(at) == 3:
                self.levels[name] = at[2]
        if len(self.known) < 2:
            raise self.wrong("known", "needs two points or more, as A = [0, 0]")
        self.plan = list(self._plan())
        self.rises = list(self._rises())
        if len(self.plan) + len(self.rises) > MOST_MEASURED:
            raise self.wrong("lengths", f"has more than {MOST_MEASURED} measurements")

    def wrong(self, key: str, text: str) -> SurveyError:
        return SurveyError(f"{self.file}: {plain(key)[:60]} {text}")

    def table(self, key: str) -> dict[str, Any]:
        value = self.told.get(key, {})
        if not isinstance(value, dict) or len(value) > MOST_PLACES:
            raise self.wrong(key, "is a table of names, as { A = [0, 0] }")
        return value

    def rows(self, key: str, size: int, shape: str) -> Iterator[tuple[str, list[Any]]]:
        value = self.told.get(key, [])
        if not isinstance(value, list):
            raise self.wrong(key, f"is a list of {shape}")
        for number, row in enumerate(value, 1):
            named = isinstance(row, list) and len(row) == size and all(
                isinstance(word, str) for word in row[: size - 1]
            )  # fmt: skip
            if not named:
                raise self.wrong(f"{key}[{number}]", f"is not {shape}")
            yield f"{key}[{number}]", row

    def length(self, value: Any, key: str) -> float:
        try:
            if isinstance(value, bool) or not isinstance(value, int | float | str):
                raise ValueError("is not a length")
            result = float(value) if not isinstance(value, str) else parse_length(value)
        except ValueError:
            said = length_advice(value) if isinstance(value, str) else "is not a length"
            raise self.wrong(key, said) from None
        if not math.isfinite(result) or abs(result) > LONGEST_COORDINATE:
            raise self.wrong(key, "is out of range")
        return result

    def _plan(self) -> Iterator[Measurement]:
        for key, (a, b, value) in self.rows("lengths", 3, '["A", "C", "10.36 m"]'):
            length = self.length(value, key)
            if length <= 0.0 or a == b:
                raise self.wrong(key, "is a length over 0 between two points")
            yield Distance(a, b, length, self.sigma)
        for key, (point, base, value) in self.rows("offsets", 3, '["C", "A B", "6.02 m left"]'):
            a, b = self.base(base, key)
            found = re.fullmatch(r"(.*?)\s+(left|right)", str(value).strip())
            if found is None:
                raise self.wrong(key, f'needs its side of {a} {b}: "{plain(str(value))[:20]} left"')
            away = self.length(found[1], key)
            yield Offset(point, a, b, away if found[2] == "left" else -away, self.sigma)
        for key, (at, back, fore, value) in self.rows("angles", 4, '["B", "A", "C", 90]'):
            if isinstance(value, bool) or not isinstance(value, int | float):
                raise self.wrong(key, "has an angle in degrees, clockwise")
            yield Angle(at, back, fore, math.radians(value) % math.tau, SQUARE)

    def _rises(self) -> Iterator[Rise]:
        for key, (a, b, value) in self.rows("rises", 3, '["A", "C", "-120 mm"]'):
            yield Rise(a, b, self.length(value, key), self.sigma)

    def base(self, text: str, key: str) -> tuple[str, str]:
        names = text.split()
        if len(names) != 2 or names[0] == names[1]:
            raise self.wrong(key, 'names a line by two points, as "A B"')
        return names[0], names[1]

    def survey(self) -> Survey:
        places = self._placed()
        start: dict[Coordinate, float] = {}
        for name, at in places.items():
            start[name, "x"], start[name, "y"] = at.real, at.imag
        fixed = [(name, axis) for name in self.known for axis in "xy"]
        plan = adjusted(self.plan, start, fixed) if self.plan else None
        levels, notes = self._levelled()
        found = plan.places if plan is not None else start
        points = tuple(
            SurveyPoint(name, found[name, "x"], found[name, "y"], levels.get(name),
                        "known" if name in self.known else "taped")
            for name in places
        )  # fmt: skip
        told = [*(_told(plan, "lengths", self.sigma) if plan else ()), *notes]
        return Survey(self.file, "tape", points, tuple(self._lines(points)), "", tuple(told))

    def _lines(self, points: tuple[SurveyPoint, ...]) -> Iterator[SurveyLine]:
        by_name = {point.number: point for point in points}
        for name, corners in self.table("lines").items():
            if not isinstance(corners, list) or len(corners) < 2:
                raise self.wrong(f"lines.{name}", 'is a list of points, as ["C", "D"]')
            for corner in corners:
                if corner not in by_name:
                    there = ", ".join(by_name)
                    raise self.wrong(f"lines.{name}", f"has no point '{plain(str(corner))[:20]}'; "
                                     f"there are: {there[:200]}")  # fmt: skip
            nodes = [Node((by_name[c].x, by_name[c].y), by_name[c].level) for c in corners]
            closed = len(nodes) > 3 and corners[0] == corners[-1]
            yield SurveyLine(name, name, f"{len(corners)} points",
                             tuple(nodes[:-1] if closed else nodes), closed)  # fmt: skip

    def _levelled(self) -> tuple[dict[str, float], list[str]]:
        """Return the levels that rises give, and notes on them."""
        names = dict.fromkeys(name for rise in self.rises for name in (rise.a, rise.b))
        if not names:
            return dict(self.levels), []
        fixed = [name for name in names if name in self.levels]
        notes = []
        if not fixed:
            fixed = [next(iter(names))]
            notes.append(f"levels count from {plain(fixed[0])}, which is taken as 0")
        start = {(name, "z"): self.levels.get(name, 0.0) for name in names}
        found = adjusted(self.rises, start, [(name, "z") for name in fixed])
        levels = {**self.levels, **{name: found.places[name, "z"] for name in names}}
        return levels, [*notes, *_told(found, "rises", self.sigma)]

    def _placed(self) -> dict[str, complex]:
        """Return about where every point is, known points first."""
        places = dict(self.known)
        names = dict.fromkeys(name for one in self.plan for name in _names(one))
        if len(names) > MOST_PLACES:
            raise self.wrong("lengths", f"has more than {MOST_PLACES} points")
        left = [name for name in names if name not in places]
        while left:
            for name in left:
                at = self._place(name, places)
                if at is not None:
                    places[name] = at
                    left.remove(name)
                    break
            else:
                raise SurveyError(
                    f"{self.file}: nothing fixes {plain(left[0])[:20]}: it needs two lengths, or a "
                    "length and an offset or an angle, from points that are known or fixed"
                )
        return places

    def _place(self, name: str, places: dict[str, complex]) -> complex | None:
        """Return about where a point is, None while too little of it is known."""
        own = [one for one in self.plan if name in _names(one)
               and all(other in places for other in _names(one) if other != name)]  # fmt: skip
        at: list[complex] = []
        for pair in itertools.combinations(own[:MOST_TRIED], 2):
            at = [place for place in _meetings(name, pair, places) if cmath.isfinite(place)]
            if at:
                break
        if not at:
            return None
        if len(at) == 1 or abs(at[0] - at[1]) < CLOSE:
            return at[0]
        side = self.table("sides").get(name)
        if side is not None:
            return self._on_side(name, str(side), at, places)
        fits = [sum(_misfit(one, {**places, name: place}) ** 2 for one in own) for place in at]
        best = 0 if fits[0] <= fits[1] else 1
        if abs(math.sqrt(fits[1 - best]) - math.sqrt(fits[best])) < CLOSE / self.sigma / 3.0:
            a, b = list(places)[:2]
            base, point = f"{plain(a)} {plain(b)}", plain(name)[:20]
            raise SurveyError(
                f"{self.file}: {point} may be on either side of {base}: say "
                f'sides = {{ {point} = "left of {base}" }}'
            )
        return at[best]

    def _on_side(
        self, name: str, side: str, at: list[complex], places: dict[str, complex]
    ) -> complex:
        key = f"sides.{name}"
        found = re.fullmatch(r"(left|right) of (.+)", side.strip())
        if found is None:
            raise self.wrong(key, 'is "left of A B" or "right of A B"')
        a, b = self.base(found[2], key)
        for end in (a, b):
            if end not in places:
                raise self.wrong(key, f"names {plain(end)[:20]}, which is not fixed before it")
        line = places[b] - places[a]
        for place in at:
            left = (line.conjugate() * (place - places[a])).imag > 0.0
            if left == (found[1] == "left"):
                return place
        both = f"both places that {plain(name)[:20]} may have are on the other side"
        raise self.wrong(key, f"cannot be: {both}")


def _names(one: Measurement) -> tuple[str, ...]:
    match one:
        case Distance(a, b) | Rise(a, b):
            return a, b
        case Offset(point, a, b):
            return point, a, b
        case Angle(at, back, fore):
            return at, back, fore


def _misfit(one: Measurement, places: dict[str, complex]) -> float:
    """Return how far a measurement is from what places make it, in its own accuracy."""
    match one:
        case Distance(a, b):
            return (abs(places[b] - places[a]) - one.value) / one.sigma
        case Offset(point, a, b):
            line = places[b] - places[a]
            away = (line.conjugate() * (places[point] - places[a])).imag / abs(line)
            return (away - one.value) / one.sigma
        case Angle(at, back, fore):
            turn = cmath.phase((places[back] - places[at]) / (places[fore] - places[at]))
            return math.remainder(turn - one.value, math.tau) / one.sigma
        case Rise():
            return 0.0


def _meetings(
    name: str, pair: tuple[Measurement, Measurement], places: dict[str, complex]
) -> list[complex]:
    """Return where two measurements of a point put it: none, one or two places."""
    curves = [_curve(name, one, places) for one in pair]
    if None in curves:
        return []
    first, second = sorted((curve for curve in curves if curve is not None), key=len)
    if len(first) == 2 and len(second) == 2:
        (p, d), (q, e) = first, second
        across = (d.conjugate() * e).imag
        if abs(across) < 1e-6:
            return []
        return [p + d * ((e.conjugate() * (p - q)).imag / across)]
    centre, radius, _ = second
    if len(first) == 2:  # a line and a circle
        p, d = first
        foot = p + d * (d.conjugate() * (centre - p)).real
        half = radius.real**2 - abs(foot - centre) ** 2
        root = math.sqrt(max(half, 0.0))
        return [foot + d * root, foot - d * root] if half > -((0.1 * radius.real) ** 2) else []
    other, reach, _ = first
    apart = centre - other
    if abs(apart) < 1e-6:
        return []
    along = (abs(apart) ** 2 + reach.real**2 - radius.real**2) / (2.0 * abs(apart))
    half = reach.real**2 - along**2
    if half < -((0.1 * reach.real) ** 2):
        return []
    unit = apart / abs(apart)
    root = math.sqrt(max(half, 0.0))
    return [other + unit * complex(along, root), other + unit * complex(along, -root)]


def _curve(name: str, one: Measurement, places: dict[str, complex]) -> tuple[complex, ...] | None:
    """Return on what a measurement puts a point: (centre, radius, 0) or (place, direction)."""
    match one:
        case Distance(a, b):
            return places[b if name == a else a], complex(one.value), 0j
        case Offset(point, a, b) if point == name:
            line = (places[b] - places[a]) / (abs(places[b] - places[a]) or 1.0)
            return places[a] + line * complex(0.0, one.value), line
        case Angle(at, back, fore) if name in (back, fore) and at in places:
            known = places[back if name == fore else fore] - places[at]
            turned = cmath.exp(complex(0.0, -one.value if name == fore else one.value))
            return places[at], known / (abs(known) or 1.0) * turned
    return None


def _told(found: Adjusted, what: str, sigma: float) -> Iterator[str]:
    """Yield notes on what an adjustment left over."""
    if not found.freedom:
        yield f"{what}: no more measured than needed, so that nothing is checked"
        return
    worst_left = max(found.left, key=lambda one: abs(one.residual / one.measurement.sigma))
    yield (
        f"{what}: {len(found.left)} measured, {found.freedom} more than needed; they agree to "
        f"{found.factor:.1f} times the {format_length(sigma)} mm of the tape, at most "
        f"{_said(worst_left)}"
    )
    worst = found.worst
    if worst is not None and worst.blunder is not None:
        about = _amount(worst, abs(worst.blunder))
        yield f"probably wrong: {_named(worst)}, by about {about}: measure again"
    loose = [_named(one) for one in found.left if one.standardised is None]
    if loose:
        yield f"checked by no other: {', '.join(loose[:12])}"


def _said(one: Left) -> str:
    return f"{_amount(one, one.residual)} in {_named(one)}"


def _amount(one: Left, value: float) -> str:
    if isinstance(one.measurement, Angle):
        return f"{math.degrees(value):.2f} degrees"
    return f"{format_length(value)} mm"


def _named(one: Left) -> str:
    names = [plain(name)[:20] for name in _names(one.measurement)]
    match one.measurement:
        case Offset():
            return f"{names[0]} from {names[1]} {names[2]}"
        case Angle():
            return f"the angle at {names[0]}"
        case _:
            return f"{names[0]} to {names[1]}"
