"""Traverses in a tape file: legs by bearing or angle and length, from a point that is fixed."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from palewright.model.basis.directions import TURNS, parse_turn
from palewright.model.basis.text import plain
from palewright.model.basis.units import format_length
from palewright.model.site.traverse import Closed, bearing_of, compass_rule, step

from .measurements import Angle, Bearing, Distance
from .tape_reader import MOST_PLACES, Taken, TapeFile, said_length

KEYS = ("from", "back", "legs", "ends", "adjust")
WAYS = ("compass", "least squares")
SHAPE = '["B", "N 30 E", "12.4 m"], the point, how it lies and how far'
HOW = f'"N 30 E", "bearing 30", "angle 135" (clockwise from the point before) or a turn, {TURNS}'

WORST, WORST_ANGLES = 20.0, 5.0
"""A traverse that misses by its length over the one, or by more degrees than the other, has a
blunder in it (common practice, no source)."""


@dataclass(frozen=True)
class TraverseLeg:
    """A leg as it was told. angle : degrees, a bearing when `absolute`, else clockwise from the
    point before; length : mm.
    """

    to: str
    angle: float
    absolute: bool
    length: float
    key: str
    said: tuple[str, str]


class Traversed:
    """What traverses give, one after the other: places that the compass rule fixed, measurements
    that go into least squares, those that do not, and notes.
    """

    def __init__(self, places: dict[str, complex]) -> None:
        self.places = places
        self.pooled: list[Taken] = []
        self.shared: list[Taken] = []
        self.notes: list[str] = []


def traversed(source: TapeFile, known: Mapping[str, complex]) -> Traversed:
    """Return what the traverses of a file give.

    Raises
    ------
    SurveyError
        When one starts nowhere, or misses where it has to end by a blunder.
    """
    told = source.told.get("traverse", [])
    told = [told] if isinstance(told, dict) else told
    if not isinstance(told, list) or len(told) > MOST_PLACES:
        raise source.wrong("traverse", "is written under [[traverse]]")
    found = Traversed(dict(known))
    for number, table in enumerate(told, 1):
        _Traverse(source, number, table, found).take()
    return found


class _Traverse:
    """One traverse of a file."""

    def __init__(self, source: TapeFile, number: int, table: Any, found: Traversed) -> None:
        self.source, self.found = source, found
        self.key, self.called = f"traverse[{number}]", f"traverse {number}"
        if not isinstance(table, dict):
            raise source.wrong(self.key, "is a table of keys under [[traverse]]")
        for name in table:
            if name not in KEYS:
                raise source.wrong(
                    f"{self.key}.{name}", f"is not known; allowed: {', '.join(KEYS)}"
                )
        self.table = table
        self.adjust = table.get("adjust", WAYS[0])
        if self.adjust not in WAYS:
            raise source.wrong(f"{self.key}.adjust", f"is {' or '.join(repr(way) for way in WAYS)}")
        self.start = self.name("from")
        self.back = self.name("back") if "back" in table else ""
        self.legs = self._legs()
        self.ends = self._ends()

    def name(self, key: str) -> str:
        value = self.table.get(key)
        if not isinstance(value, str) or not value:
            raise self.source.wrong(f"{self.key}.{key}", "names a point")
        return value

    def _legs(self) -> list[TraverseLeg]:
        rows, key = self.table.get("legs"), f"{self.key}.legs"
        if not isinstance(rows, list) or not rows or len(rows) > MOST_PLACES:
            raise self.source.wrong(key, f"is a list of {SHAPE}, up to {MOST_PLACES}")
        legs, here = [], self.start
        for number, row in enumerate(rows, 1):
            place = f"{key}[{number}]"
            if not isinstance(row, list) or len(row) != 3 or not isinstance(row[0], str):
                raise self.source.wrong(place, f"is not {SHAPE}")
            to, how, value = row
            absolute, angle = self.direction(how, place)
            length = self.source.length(value, place)
            if length <= 0.0 or to == here:
                raise self.source.wrong(place, "is a length over 0 to another point")
            said = plain(how)[:20], said_length(value)
            legs.append(TraverseLeg(to, angle, absolute, length, place, said))
            here = to
        if not legs[0].absolute and not self.back:
            text = "needs `back`, the point that its angle counts from, or a bearing"
            raise self.source.wrong(f"{key}[1]", text)
        return legs

    def direction(self, how: Any, key: str) -> tuple[bool, float]:
        """Return whether a direction is a bearing, and its degrees."""
        if not isinstance(how, str):
            said = f'"bearing {how}" or "angle {how}"' if isinstance(how, int | float) else HOW
            raise self.source.wrong(key, f"lies how? write {said}")
        word, _, rest = how.strip().partition(" ")
        if word.casefold() == "angle":
            return False, self.source.angle(_number(rest), key)
        if word.casefold() == "bearing":
            return True, self.source.bearing(_number(rest), key)
        if re.search(r"\b(left|right|straight)\b", how.casefold()):
            try:
                turn = parse_turn(how)
            except ValueError as error:
                raise self.source.wrong(key, str(error)) from None
            turned = 90.0 if turn.degrees is None else turn.degrees
            return False, (180.0 + turn.side * turned) % 360.0
        if not how.strip()[:1].isalpha():
            text = f'lies how? write "bearing {plain(how)[:12]}" or "angle {plain(how)[:12]}"'
            raise self.source.wrong(key, text)
        return True, self.source.bearing(how, key)

    def _ends(self) -> tuple[str, float, str] | None:
        """Return the point sighted last and the angle to it, where there is one."""
        row, key = self.table.get("ends"), f"{self.key}.ends"
        if row is None:
            return None
        if not isinstance(row, list) or len(row) != 2 or not all(isinstance(w, str) for w in row):
            raise self.source.wrong(key, 'is not ["E", "angle 120"]')
        absolute, angle = self.direction(row[1], key)
        if absolute:
            raise self.source.wrong(key, 'is an angle at the last point, as ["E", "angle 120"]')
        return row[0], angle, plain(row[1])[:20]

    def take(self) -> None:
        """Add what this traverse gives."""
        for name, key in ((self.start, "from"), (self.back, "back")):
            if name and name not in self.found.places:
                text = f"names {plain(name)[:20]}, which is not known and of no traverse before"
                raise self.source.wrong(f"{self.key}.{key}", text)
        taken = self._measurements()
        if self.adjust == WAYS[1]:
            self.found.pooled += taken
            return
        self.found.shared += taken
        here = self.found.places
        for leg in self.legs[:-1]:
            if leg.to in here:
                text = f'{plain(leg.to)[:20]} is fixed already; say adjust = "least squares"'
                raise self.source.wrong(leg.key, text)
        bearings = self._bearings()
        ways = [step(b, leg.length) for b, leg in zip(bearings, self.legs, strict=True)]
        start, last = here[self.start], self.legs[-1].to
        end = here.get(last)
        called = f"{self.called}, {plain(self.start)[:20]} to {plain(last)[:20]}"
        if end is None:
            place = start
            for way, leg in zip(ways, self.legs, strict=True):
                place += way
                here[leg.to] = place
            self.found.notes.append(f"{called}: ends at no known point, so that nothing checks it")
            return
        closed = compass_rule(start, ways, end)
        self._say(closed, called)
        for leg, place in zip(self.legs[:-1], closed.places, strict=False):
            here[leg.to] = place

    def _say(self, closed: Closed, called: str) -> None:
        off = abs(closed.miss)
        if off > closed.length / WORST:
            text = (
                f"ends {format_length(off)} mm from {plain(self.legs[-1].to)[:20]}, 1 in "
                f"{closed.ratio:.1f} of its length: a leg is wrong, or one is missing"
            )
            raise self.source.wrong(self.key, text)
        east, north = closed.miss.real, closed.miss.imag
        ratio = f", 1 in {closed.ratio:.0f}" if off >= 0.05 else ""
        self.found.notes.append(
            f"{called}: {len(self.legs)} legs, {closed.length / 1000.0:.3f} m; misses its end by "
            f"{format_length(off)} mm ({east:+.1f} east, {north:+.1f} north){ratio}; shared out by "
            "the compass rule"
        )

    def _bearings(self) -> list[float]:
        """Return the bearing of each leg, the angles evened out where a last sight closes them."""
        here = self.found.places
        bearings: list[float] = []
        behind = bearing_of(here[self.back] - here[self.start]) if self.back else 0.0
        turned = 0  # angles since the last bearing
        since: list[int] = []
        for leg in self.legs:
            turned = 0 if leg.absolute else turned + 1
            bearings.append(leg.angle if leg.absolute else (behind + leg.angle) % 360.0)
            since.append(turned)
            behind = bearings[-1] + 180.0
        if self.ends is None:
            return bearings
        wanted = self._last_bearing(bearings)
        missed = math.remainder(behind + self.ends[1] - wanted, 360.0)
        if abs(missed) > WORST_ANGLES:
            text = f"misses by {abs(missed):.2f} degrees: one of the angles is wrong"
            raise self.source.wrong(f"{self.key}.ends", text)
        share = missed / (turned + 1)
        self.found.notes.append(
            f"{self.called}: its {turned + 1} angles miss by {abs(missed):.4f} degrees, shared "
            "alike"
        )
        first = len(since) - turned
        return [
            bearing - share * since[n] if n >= first else bearing
            for n, bearing in enumerate(bearings)
        ]

    def _last_bearing(self, bearings: list[float]) -> float:
        """Return the bearing that the last sight has to have."""
        assert self.ends is not None
        here, last, to = self.found.places, self.legs[-1].to, self.ends[0]
        if last == self.start and to == self.legs[0].to and self.legs[0].absolute:
            return bearings[0]
        if last in here and to in here and last != to:
            return bearing_of(here[to] - here[last])
        text = f"needs {plain(last)[:20]} and {plain(to)[:20]} known, or the first leg by a bearing"
        raise self.source.wrong(f"{self.key}.ends", text)

    def _measurements(self) -> list[Taken]:
        """Return the legs as measurements."""
        source, taken = self.source, []
        sigma, square, compass = (source.sigma(k) for k in ("lengths", "angles", "bearings"))
        before, here = self.back, self.start
        for leg in self.legs:
            radians = math.radians(leg.angle)
            way: Bearing | Angle = Bearing(here, leg.to, radians, compass)
            if not leg.absolute:
                if leg.to == before:
                    raise source.wrong(leg.key, "goes back to the point before")
                way = Angle(here, before, leg.to, radians, square)
            taken.append(Taken(way, leg.said[0], leg.key))
            taken.append(Taken(Distance(here, leg.to, leg.length, sigma), leg.said[1], leg.key))
            before, here = here, leg.to
        if self.ends is not None:
            to, degrees, said = self.ends
            if to in (before, here):
                raise source.wrong(f"{self.key}.ends", "is an angle to another point")
            angle = Angle(here, before, to, math.radians(degrees), square)
            taken.append(Taken(angle, said, f"{self.key}.ends"))
        return taken


def _number(text: str) -> Any:
    """Return a text as a number where it is one."""
    return float(text) if re.fullmatch(r"\s*\d{1,9}(\.\d{1,20})?\s*", text, re.ASCII) else text
