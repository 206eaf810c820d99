"""Metric measures in words and tables as feet and inches, pounds, yards and gallons.

What is bought by a metric designation, as a bolt M10 x 150 or a nail 2.65 x 50, has no unit in
its name and keeps it.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Sequence

from .units import INCH, feet_and_inches

FOOT = 12.0 * INCH / 1000.0
"""Metres in a foot, exact (international yard and pound agreement, 1959)."""

POUND = 0.45359237
"""Kilograms in a pound, exact (the same)."""

GALLON = 231.0 * (INCH / 100.0) ** 3
"""Litres in a US liquid gallon of 231 cubic inches, exact (NIST Handbook 44, Appendix C)."""

CUBIC_YARD, SQUARE_FOOT = (3.0 * FOOT) ** 3, FOOT**2
"""Cubic metres in a cubic yard, square metres in a square foot, exact."""

AMOUNTS: dict[str, tuple[float, str]] = {
    "m3": (CUBIC_YARD, "cu yd"),
    "m2": (SQUARE_FOOT, "sq ft"),
    "kg": (POUND, "lb"),
    "m": (FOOT, "ft"),
    "litre": (GALLON, "US gal"),
    "litres": (GALLON, "US gal"),
}
"""What one of each imperial unit is in its metric one."""

_NUMBER = r"(?<![\d.])\d+(?:\.\d+)?"
_SIZES = rf"{_NUMBER}(?: x \d+(?:\.\d+)?)*"
_LENGTHS = re.compile(rf"({_SIZES}(?: to {_NUMBER})?) mm(?![/\w])")
_NAMED = re.compile(
    rf"(?:(?<=post cap )|(?<=pale )|(?<=concrete post )|(?<=for a post )){_SIZES}"
    rf"|{_SIZES}(?= use class)"
)
_PLACES = re.compile(rf"(chainage )({_NUMBER})(?: to ({_NUMBER}))?(?! mm)")
_METRES = re.compile(rf"({_NUMBER}) m(?![/\w])")
_AMOUNTS = re.compile(rf"({_NUMBER}) (m3|m2|kg|litres?)(?![/\w])")
_ALONE = re.compile(rf"{_NUMBER}(?! x )(?![\d.])")


def imperial_amount(value: float, unit: str) -> tuple[float, str]:
    """Return an amount in the imperial unit, as it is where there is none.

    >>> imperial_amount(1.0, "each"), round(imperial_amount(0.764554857984, "m3")[0], 9)
    ((1.0, 'each'), 1.0)
    """
    one, name = AMOUNTS.get(unit, (1.0, unit))
    return value / one, name


def bought(value: float, unit: str) -> str:
    """Return an amount that is bought, in its imperial unit, to a hundredth and no less.

    >>> bought(1.5, "kg"), bought(2.0, "each")
    ('3.31', '2.00')
    """
    return f"{math.ceil(imperial_amount(value, unit)[0] * 100.0 - 1e-6) / 100.0:.2f}"


def imperial_one(unit: str) -> float:
    """Return what one of the imperial unit is in a metric one, 1 where there is none."""
    return AMOUNTS.get(unit, (1.0, unit))[0]


def imperial(words: str) -> str:
    r"""Return words with their metric measures in feet and inches, pounds, yards and gallons.

    >>> imperial("timber 88.9 x 38.1 use class 3, 3.6576 m"), imperial("196 kg, 0.54 m3 are used")
    ('timber 3 1/2" x 1 1/2" use class 3, 12\'-0"', '432 lb, 0.71 cu yd are used')
    >>> imperial("bolt M10 x 150; hole 11 mm, 600 to 700 mm"), imperial("600 kg/m3, 3 m/s")
    ('bolt M10 x 150; hole 7/16", 1\'-11 5/8" to 2\'-3 9/16"', '600 kg/m3, 3 m/s')
    """
    words = _NAMED.sub(lambda found: _sizes(found[0]), words)
    words = _PLACES.sub(_place, words)
    words = _LENGTHS.sub(lambda found: _sizes(found[1]), words)
    words = _METRES.sub(lambda found: feet_and_inches(1000.0 * float(found[1])), words)
    return _AMOUNTS.sub(_amount, words)


def _sizes(text: str) -> str:
    return re.sub(_NUMBER, lambda found: feet_and_inches(float(found[0])), text)


def _place(found: re.Match[str]) -> str:
    places = [feet_and_inches(float(place)) for place in found.groups()[1:] if place]
    return found[1] + " to ".join(places)


def _amount(found: re.Match[str]) -> str:
    value, unit = imperial_amount(float(found[1]), found[2])
    places = len(found[1].partition(".")[2])
    return f"{value:.{places}f} {unit}"


def imperial_rows(rows: Sequence[Sequence[str | int]]) -> list[list[str | int]]:
    r"""Return a table in imperial units: columns by what their heads end with, amounts by the unit
    in their row, and measures in words.

    >>> imperial_rows([("mark", "length mm", "weight kg"), ("RA1", "1828.8", "2.0")])
    [['mark', 'length', 'weight lb'], ['RA1', '6\'-0"', '4.4']]
    """
    heads = [str(head) for head in rows[0]]
    ways = [_column(head) for head in heads]
    result: list[list[str | int]] = [[_head(head) for head in heads]]
    unit = heads.index("unit") if "unit" in heads else None
    for row in rows[1:]:
        cells = [way(cell) for way, cell in zip(ways, row, strict=True)]
        if unit is not None:
            old = str(row[unit])
            for number, head in enumerate(heads):
                if head in ("each", "all"):
                    cells[number] = _counted(cells[number], old)
                elif head == "quantity" and old in AMOUNTS:
                    cells[number] = bought(float(row[number]), old)
            cells[unit] = AMOUNTS.get(old, (1.0, old))[1]
        result.append(cells)
    return result


SMALL = {"m3": (FOOT**3, "cu ft")}
"""Units of columns that hold small amounts."""


def _head(head: str) -> str:
    stem, _, unit = head.rpartition(" ")
    if unit == "mm":
        return stem
    return f"{stem} {(AMOUNTS | SMALL)[unit][1]}" if stem and unit in AMOUNTS else head


def _column(head: str) -> Callable[[str | int], str | int]:
    """Return what is done with the cells of a column."""
    unit = head.rpartition(" ")[2]
    if unit == "mm" or head == "bays":
        return lambda cell: _ALONE.sub(lambda found: feet_and_inches(float(found[0])), str(cell))
    if unit in AMOUNTS and unit != head:
        one = (AMOUNTS | SMALL)[unit][0]
        return lambda cell: _divided(cell, one)
    return lambda cell: imperial(cell) if isinstance(cell, str) else cell


def _counted(cell: str | int, unit: str) -> str | int:
    return _divided(cell, AMOUNTS[unit][0]) if unit in AMOUNTS else cell


def _divided(cell: str | int, one: float) -> str | int:
    """Return a figure in another unit with as many places, at least one for a whole number."""
    text = str(cell)
    if not re.fullmatch(r"-?\d+(\.\d+)?", text):
        return cell
    places = max(len(text.partition(".")[2]), 1)
    return f"{float(text) / one:.{places}f}"
