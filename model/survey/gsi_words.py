"""Coordinate words of instruments' GSI files, 8 and 16 digits.

Source of the format: words of a two digit index, two of information, a sign and 8 or 16 digits, as
total stations' field manuals give it (TPS1100 manual, p. 108): 11 point, 41 code, 71 remark, 81
east, 82 north, 83 level. Lines of 16 digits begin with *.
"""

from __future__ import annotations

import re

from palewright.model.basis.lengths import FARTHEST

from .coded_lines import coded_lines
from .field_codes import chains_of
from .points_and_lines import Asked, Survey, SurveyError, SurveyPoint

WORD = re.compile(r"(?:\*?)(\d\d)([\d.]{4})([+-])([0-9A-Za-z._ /-]{16}|[0-9A-Za-z._/-]{8})(?=\s|$)")
STARTS = re.compile(r"\s*\*?(?:11|41)[\d.]{4}[+-][0-9A-Za-z._ /-]{8}")
"""How a file of these begins."""

UNITS_OF_DIGIT = {"0": 1.0, "1": 0.3048, "6": 0.1, "7": 0.03048, "8": 0.01}
"""Millimetres in a step of the last digit, by the sixth digit of a word: mm, ft/1000, m/10,000,
ft/10,000, m/100,000 (from the same source).
"""

PLACES = {"81": "east", "82": "north", "83": "level"}

MOST_LINES = 60_000


def read_gsi(text: str, file: str, asked: Asked) -> Survey:
    """Return the points of a GSI text that have coordinates, and a line through those of each code.

    Raises
    ------
    SurveyError
        When a coordinate has a unit that is none of length, or there are no coordinates.
    """
    rows = text.splitlines()
    if len(rows) > MOST_LINES:
        raise SurveyError(f"{file}: has more than {MOST_LINES} lines")
    points: list[SurveyPoint] = []
    code, measured = "", 0
    for number, row in enumerate(rows, 1):
        words = {found[1]: found for found in WORD.finditer(row)}
        if "41" in words:
            code = words["41"][4].strip().lstrip("0")
            continue
        if "11" not in words:
            continue
        if "81" not in words or "82" not in words:
            measured += 1
            continue
        at = {PLACES[index]: _millimetres(words[index], f"{file}:{number}")
              for index in PLACES if index in words}  # fmt: skip
        own = words["71"][4].strip().lstrip("0") if "71" in words else code
        name = words["11"][4].strip().lstrip("0") or "0"
        points.append(SurveyPoint(name, at["east"], at["north"], at.get("level"), own))
    if not points:
        more = "; its measurements are no coordinates: work them out in the instrument first"
        raise SurveyError(f"{file}: holds no point with coordinates{more if measured else ''}")
    notes = [f"{measured} points without coordinates are left out"] if measured else []
    points, chains, told = chains_of(points, asked.codes)
    lines, more_told = coded_lines(points, chains, asked.codes.apart)
    return Survey(file, "GSI", tuple(points), tuple(lines), "", (*notes, *told, *more_told))


def _millimetres(word: re.Match[str], where: str) -> float:
    unit, digits = word[2][3], word[4].strip()
    if unit not in UNITS_OF_DIGIT or not digits.isdecimal():
        raise SurveyError(f"{where}: word {word[1]} is no length")
    value = float(digits) * UNITS_OF_DIGIT[unit] * (-1.0 if word[3] == "-" else 1.0)
    if abs(value) > FARTHEST:
        raise SurveyError(f"{where}: word {word[1]} is out of range")
    return value
