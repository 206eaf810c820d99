"""Grid references round the frame of a sheet: letters down its sides, numerals along it.

Fields of 50 mm from the centring marks outwards, in a border of 5 mm, lettering 3.5 mm, letters
without I and O; A4 has them on top and on the right alone (ISO 5457, from memory).
"""

from __future__ import annotations

import itertools
import math

from palewright.export.drawing.draft import style as layers
from palewright.export.drawing.draft.view import Item, Line, Text

FIELD, BORDER, HEIGHT = 50.0, 5.0, 3.5
"""Length of a field, width of the border outside the frame, and height of its lettering, mm."""

LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ"
FIRST_WITH_ALL = 230.0
"""Sheets whose shorter side is longer have references on all sides, mm."""

Frame = tuple[float, float, float, float]
"""Left, low, right and high side of a frame, mm."""


def grid_references(frame: Frame, middle: tuple[float, float]) -> list[Item]:
    """Return the lines between fields and their names. middle : of the sheet, mm."""
    left, low, right, high = frame
    small = min(right - left, high - low) < FIRST_WITH_ALL
    columns, rows = _cuts(left, right, middle[0]), _cuts(low, high, middle[1])
    sides = [(high, 1.0)] if small else [(high, 1.0), (low, -1.0)]
    items: list[Item] = []
    for y, out in sides:
        for x in columns[1:-1]:
            items.append(Line.through(((x, y), (x, y + out * BORDER)), layers.RULE))
        at = y + out * BORDER / 2.0 - HEIGHT / 2.0
        for number, (x0, x1) in enumerate(itertools.pairwise(columns), 1):
            items.append(_name(str(number), (x0 + x1) / 2.0, at))
    edges = [(right, 1.0)] if small else [(left, -1.0), (right, 1.0)]
    for x, out in edges:
        for y in rows[1:-1]:
            items.append(Line.through(((x, y), (x + out * BORDER, y)), layers.RULE))
        downwards = list(reversed(rows))
        for letter, y1, y0 in zip(LETTERS, downwards, downwards[1:], strict=False):
            items.append(_name(letter, x + out * BORDER / 2.0, (y0 + y1 - HEIGHT) / 2.0))
    return items


def _name(text: str, x: float, y: float) -> Text:
    return Text(text, (x, y), HEIGHT, "centre", layer=layers.SHEET_TEXT)


def _cuts(start: float, end: float, middle: float) -> list[float]:
    """Return where fields end: whole ones from the middle; the last take what is left or lacks."""
    before = max(1, math.floor((middle - start) / FIELD + 0.5))
    after = max(1, math.floor((end - middle) / FIELD + 0.5))
    inner = [middle + FIELD * number for number in range(1 - before, after)]
    return [start, *inner, end]
