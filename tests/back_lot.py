"""A whole job in feet, invented: a lot as it was taped, with half of what could be given.

Corners of 73 and 11 degrees, three levels, stepped bays on gravel boards, a gate near the end, a
hedge, a house and a drain, a boundary that the fence keeps from, posts measured in `BUILT`.
"""

from __future__ import annotations

from functools import cache
from typing import Any

from helpers import fence_of
from palewright.export.drawing.draft.paper import Label, shifted
from palewright.export.drawing.draft.style import Style
from palewright.export.drawing.sets.sheet_sets import Purpose, sheet_set
from palewright.export.drawing.sheets.sheet import Sheet
from palewright.model.fence.fence_model import FenceModel

BACK_LOT: dict[str, Any] = {
    "project": {
        "name": "Quarry Bend, back lot", "site": "11 Quarry Bend, Fallow Creek",
        "client": "R. Delacroix", "reference": "QB-2", "owner": "Holt Fence Co.",
        "date": "2026-04-14",
    },
    "run": [
        {
            "name": "back lot",
            "line_is": "boundary in front",
            "inset": "4 in",
            "levels": [[0, 0], ["29 ft 6 in", "13 in"], ["64 ft", "31 in"]],
            "leg": [
                {"length": "31 ft 7 in", "bearing": "N 84 E"},
                {"length": "22 ft 4 in", "turn": "left 73"},
                {"length": "17 ft 9 in", "turn": "left 11"},
            ],
            "gate": [
                {"name": "alley gate", "at": "67 ft 6 in", "opening": "3 ft 6 in",
                 "hinge": "right", "swing": "out"},
            ],
        },
    ],
    "posts": {"section": ["3 1/2 in", "3 1/2 in"], "bay": "7 ft", "embedment": "2 ft 6 in",
              "top": "flat"},
    "rails": {"section": ["3 1/2 in", "1 1/2 in"], "stock_length": "12 ft"},
    "pales": {"width": "3 1/2 in", "thickness": "3/4 in", "length": "3 ft 9 in",
              "gap": "2 1/2 in", "head": "pointed"},
    "slopes": {"follow": "step", "fill": "board"},
    "footings": {"hole": "round", "size": "10 in"},
    "timber": {"lengths": ["8 ft", "10 ft", "12 ft", "16 ft"]},
    "sheets": {"size": "ARCH B", "units": "ft-in"},
    "feature": [
        {"kind": "house", "height": "17 ft",
         "points": [["6 ft", "9 ft"], ["24 ft", "11 ft"], ["22 ft 6 in", "41 ft"],
                    ["4 ft 6 in", "39 ft"]]},
        {"kind": "hedge", "width": "2 ft 6 in", "height": "4 ft", "clear": 0,
         "points": [["-2 ft", "-3 ft"], ["44 ft", "1 ft"]]},
        {"kind": "pipe", "name": "storm drain", "clear": "1 ft",
         "points": [["14 ft", "-12 ft"], ["17 ft", "9 ft"]]},
        {"kind": "boundary", "name": "lot line",
         "points": [[0, 0], ["31 ft 5 in", "3 ft 4 in"], ["38 ft", "25 ft"], ["38 ft", "43 ft"]]},
    ],
}  # fmt: skip

BUILT: dict[str, Any] = {
    **BACK_LOT,
    "measured": [{"post": "A03", "along": "1/2 in"}, {"post": "A08", "across": "1/4 in"}],
}


@cache
def back_lot() -> FenceModel:
    """Return the fence."""
    return fence_of(BACK_LOT)


@cache
def back_lot_sheets(purpose: Purpose) -> tuple[Sheet, ...]:
    """Return the sheets of a set."""
    return sheet_set(back_lot(), purpose, Style())[0]


def words_on(sheets: tuple[Sheet, ...], start: str = "") -> list[str]:
    """Return the words of views whose titles begin so, frames of sheets included where all do."""
    found = []
    for sheet in sheets:
        for placed in sheet.placed:
            if (placed.view.title or placed.view.kind).startswith(start):
                marks = shifted(placed.recorded, *placed.at)
                found += [mark.text for mark in marks if isinstance(mark, Label)]
        if not start:
            found += [mark.text for mark in sheet.marks if isinstance(mark, Label)]
    return found
