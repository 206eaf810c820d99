"""Reading a file of taped measurements: its keys, rows, lengths and accuracies."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from palewright.model.basis.directions import parse_angle, parse_bearing
from palewright.model.basis.length_words import length_advice
from palewright.model.basis.lengths import LONGEST_COORDINATE
from palewright.model.basis.text import plain
from palewright.model.basis.units import format_length, parse_length

from .measurements import Along, Angle, Bearing, Distance, Measurement, Offset, Rise
from .points_and_lines import SurveyError

KEYS = (
    "known", "lengths", "offsets", "angles", "bearings", "traverse", "rises", "staff", "benchmarks",
    "sides", "accuracy", "lines",
)  # fmt: skip

MOST_MEASURED, MOST_PLACES = 400, 100
"""Measurements and points of a file."""

LENGTH_ACCURACY = 3.0
"""Standard deviation of a taped length, mm, where none is given: a class II tape may be 2.3 mm out
at 10 m (0.3 + 0.2 L, MID 2014/32/EU, annex X), and it is held by hand (common practice).
"""

ACCURACIES: dict[str, float] = {
    "lengths": LENGTH_ACCURACY,
    "offsets": LENGTH_ACCURACY,
    "rises": LENGTH_ACCURACY,
    "staff": 2.0,
    "angles": 0.25,
    "bearings": 0.5,
}
"""Standard deviations where none are given, mm or degrees: staff readings, angles with a square or
a protractor, bearings with a hand compass (common practice, no source)."""

IN_DEGREES = ("angles", "bearings")


@dataclass(frozen=True)
class Taken:
    """A measurement as it was taken. said : as the user wrote it; key : where it stands."""

    measurement: Measurement
    said: str
    key: str


@dataclass(frozen=True)
class TapeFile:
    """What stands in a file of taped measurements. told : its tables; file : as in messages."""

    told: dict[str, Any]
    file: str

    def wrong(self, key: str, text: str) -> SurveyError:
        """Return the error that says what is wrong with a key."""
        return SurveyError(f"{self.file}: {plain(key)[:60]} {text}")

    def table(self, key: str) -> dict[str, Any]:
        """Return a table of names, empty where there is none."""
        value = self.told.get(key, {})
        if not isinstance(value, dict) or len(value) > MOST_PLACES:
            raise self.wrong(key, "is a table of names, as { A = [0, 0] }")
        return value

    def rows(self, key: str, sizes: tuple[int, ...], shape: str) -> Iterator[tuple[str, list[Any]]]:
        """Yield each row of a list with its key; all but the last item of the shortest are words.

        sizes : how many items it may have; shape : how it is written, for messages.
        """
        value = self.told.get(key, [])
        if not isinstance(value, list):
            raise self.wrong(key, f"is a list of {shape}")
        for number, row in enumerate(value, 1):
            if not self.is_row(row, sizes):
                raise self.wrong(f"{key}[{number}]", f"is not {shape}")
            yield f"{key}[{number}]", row

    @staticmethod
    def is_row(row: Any, sizes: tuple[int, ...]) -> bool:
        """Tell whether a value is a row that begins with words."""
        listed = isinstance(row, list) and len(row) in sizes
        return listed and all(isinstance(word, str) for word in row[: min(sizes) - 1])

    def length(self, value: Any, key: str) -> float:
        """Return a length, mm."""
        try:
            if isinstance(value, bool) or not isinstance(value, int | float | str):
                raise ValueError("is not a length")
            result = float(value) if not isinstance(value, str) else parse_length(value)
        except (ValueError, OverflowError):
            said = length_advice(value) if isinstance(value, str) else "is not a length"
            raise self.wrong(key, said) from None
        if not math.isfinite(result) or abs(result) > LONGEST_COORDINATE:
            raise self.wrong(key, "is out of range")
        return result

    def angle(self, value: Any, key: str) -> float:
        """Return degrees clockwise, 0 to 360."""
        degrees = math.nan
        if isinstance(value, int | float) and not isinstance(value, bool):
            degrees = float(value) if abs(value) < 1e6 else math.nan
        elif isinstance(value, str) and not re.fullmatch(r"\s*[\d.]+\s*", value):
            try:
                degrees = parse_angle(value)
            except ValueError as error:
                raise self.wrong(key, str(error)) from None
        if not math.isfinite(degrees):
            raise self.wrong(key, "has an angle in degrees, clockwise")
        return degrees % 360.0

    def bearing(self, value: Any, key: str) -> float:
        """Return degrees clockwise from north."""
        try:
            return parse_bearing(value)
        except ValueError as error:
            raise self.wrong(key, f"is no bearing: {error}") from None

    def base(self, text: str, key: str) -> tuple[str, str]:
        """Return the two points that name a line."""
        names = text.split()
        if len(names) != 2 or names[0] == names[1]:
            raise self.wrong(key, 'names a line by two points, as "A B"')
        return names[0], names[1]

    def sigma(self, key: str) -> float:
        """Return the standard deviation of a kind of measurement, mm or radians."""
        told = self.told.get("accuracy", {})
        one_for_lengths = not isinstance(told, dict)
        if one_for_lengths:
            own = key in ("lengths", "offsets", "rises")
            value, place = (told if own else ACCURACIES[key]), "accuracy"
        else:
            for name in told:
                if name not in ACCURACIES:
                    kinds = ", ".join(ACCURACIES)
                    raise self.wrong(f"accuracy.{name}", f"is not known; allowed: {kinds}")
            value, place = told.get(key, ACCURACIES[key]), f"accuracy.{key}"
        if key in IN_DEGREES:
            fits = isinstance(value, int | float) and not isinstance(value, bool)
            if not fits or not 0.0 < value <= 20.0:
                raise self.wrong(place, "is between 0 and 20 degrees")
            return math.radians(value)
        sigma = self.length(value, place)
        if not 0.0 < sigma <= 1000.0:
            raise self.wrong(place, "is between 0 and 1 m")
        return sigma


def known_points(source: TapeFile) -> tuple[dict[str, complex], dict[str, float]]:
    """Return the places and the levels that are known."""
    places: dict[str, complex] = {}
    levels: dict[str, float] = {}
    for name, place in source.table("known").items():
        if not isinstance(place, list) or len(place) not in (2, 3):
            raise source.wrong(f"known.{name}", "is [east, north] or [east, north, level]")
        at = [source.length(value, f"known.{name}") for value in place]
        places[name] = complex(at[0], at[1])
        if len(at) == 3:
            levels[name] = at[2]
    for name, level in source.table("benchmarks").items():
        if name in levels:
            raise source.wrong(f"benchmarks.{name}", "has a level in `known` already")
        levels[name] = source.length(level, f"benchmarks.{name}")
    return places, levels


def plan_taken(source: TapeFile) -> Iterator[Taken]:
    """Yield what was measured in plan, but for traverses."""
    sigma = source.sigma("lengths")
    for key, (a, b, value) in source.rows("lengths", (3,), '["A", "C", "10.36 m"]'):
        length = source.length(value, key)
        if length <= 0.0 or a == b:
            raise source.wrong(key, "is a length over 0 between two points")
        yield Taken(Distance(a, b, length, sigma), said_length(value), key)
    yield from _offsets(source)
    sigma = source.sigma("angles")
    for key, (at, back, fore, value) in source.rows("angles", (4,), '["B", "A", "C", 90]'):
        if len({at, back, fore}) < 3:
            raise source.wrong(key, "is an angle at one point between two others")
        degrees = source.angle(value, key)
        angle = Angle(at, back, fore, math.radians(degrees), sigma)
        yield Taken(angle, said_angle(value), key)
    sigma = source.sigma("bearings")
    for key, (a, b, value) in source.rows("bearings", (3,), '["A", "B", "N 30 E"]'):
        if a == b:
            raise source.wrong(key, "is a bearing from one point to another")
        bearing = math.radians(source.bearing(value, key))
        yield Taken(Bearing(a, b, bearing, sigma), said_angle(value), key)


def _offsets(source: TapeFile) -> Iterator[Taken]:
    """Yield offsets from a base line, and how far along it they stand where that was measured."""
    sigma = source.sigma("offsets")
    shape = (
        '["C", "A B", "6.02 m left"], or with the way along it ["C", "A B", "3.4 m", "6 m left"]'
    )
    for key, row in source.rows("offsets", (3, 4), shape):
        point, value = row[0], row[-1]
        a, b = source.base(row[1], key)
        if point in (a, b):
            raise source.wrong(key, "is of a point beside the line, not of its ends")
        found = re.fullmatch(r"(.*?)\s+(left|right)", str(value).strip())
        if found is None and source.length(value, key):
            raise source.wrong(key, f'needs its side of {a} {b}: "{plain(str(value))[:20]} left"')
        away = source.length(found[1], key) if found is not None else 0.0
        if away < 0.0:
            raise source.wrong(key, "is a length of 0 or more, and its side")
        if len(row) == 4:
            along = source.length(row[2], key)
            yield Taken(Along(point, a, b, along, sigma), said_length(row[2]), key)
        left = found is not None and found[2] == "left"
        said = said_length(found[1] if found is not None else value)
        yield Taken(Offset(point, a, b, away if left else -away, sigma), said, key)


def rises_taken(source: TapeFile) -> Iterator[Taken]:
    """Yield rises between points."""
    sigma = source.sigma("rises")
    for key, (a, b, value) in source.rows("rises", (3,), '["A", "C", "-120 mm"]'):
        if a == b:
            raise source.wrong(key, "is a rise from one point to another")
        yield Taken(Rise(a, b, source.length(value, key), sigma), said_length(value), key)


def said_length(value: Any) -> str:
    """Return a length as it was written; a bare number in millimetres."""
    return plain(value)[:20] if isinstance(value, str) else f"{format_length(float(value))} mm"


def said_angle(value: Any) -> str:
    """Return an angle as it was written, a number with its sign for degrees."""
    said = plain(str(value))[:20]
    return f"{said}\N{DEGREE SIGN}" if re.fullmatch(r"[\d.]+", said) else said
