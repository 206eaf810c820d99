"""What a planning officer looks for on the sheets of a planning enquiry."""

from __future__ import annotations

from typing import Any

import pytest

from helpers import fence_of
from palewright.export.drawing.draft.paper import Label, shifted
from palewright.export.drawing.draft.style import MATCH, Style
from palewright.export.drawing.draft.view import Line
from palewright.export.drawing.sets.sheet_sets import Purpose, sheet_set
from palewright.export.drawing.sheets.sheet import Placed, Sheet
from palewright.model.fence.fence_model import FenceModel
from palewright.model.layout.heights import heights

STYLE = Style()

STREET: dict[str, Any] = {
    "project": {"name": "Sloping street", "reference": "SS-4"},
    "run": [{"points": [[0, 0, 0], ["24 m", 0, 1350], ["24 m", "31 m", 2900]],
             "levels_front": [[0, -300], ["24 m", 1100]], "starts": "wall",
             "existing": "privet hedge", "existing_height": 1400,
             "gate": [{"at": "5 m", "opening": 950},
                      {"at": "16 m", "opening": 3300, "leaves": 2}]}],
}  # fmt: skip


def planning(fence: FenceModel) -> tuple[Sheet, ...]:
    return sheet_set(fence, Purpose.PLANNING, STYLE)[0]


def words_of(sheets: tuple[Sheet, ...]) -> list[str]:
    return [
        mark.text
        for sheet in sheets
        for placed in sheet.placed
        for mark in shifted(placed.recorded, *placed.at)
        if isinstance(mark, Label)
    ]


def titled(sheet: Sheet, start: str) -> list[Placed]:
    return [placed for placed in sheet.placed if placed.view.title.startswith(start)]


def cuts(placed: Placed) -> list[float]:
    """Where a view is cut, mm on paper."""
    return sorted(
        placed.at[0] + item.vertices[0][0] / placed.view.scale
        for item in placed.view.items
        if isinstance(item, Line) and item.layer == MATCH
    )


@pytest.mark.parametrize("spec", [STREET, {"run": [{"points": [[0, 0], ["130 m", "4 m"]]}]}])
def test_every_part_as_it_is_stands_under_the_part_as_proposed(spec: dict[str, Any]) -> None:
    fence = fence_of(spec)
    seen = 0
    for sheet in planning(fence):
        proposed, existing = titled(sheet, "Proposed"), titled(sheet, "Existing")
        assert len(proposed) == len(existing)
        for new, old in zip(proposed, existing, strict=True):
            assert new.at[0] == pytest.approx(old.at[0])  # one x over the other
            assert old.at[1] < new.at[1]
            assert cuts(new) == pytest.approx(cuts(old))
            seen += 1
    assert seen >= 4  # too long for a sheet in one piece: nothing is left out


def test_a_height_is_given_once_where_the_ground_is_alike_and_twice_where_it_is_not() -> None:
    notes = [text for text in words_of(planning(fence_of(STREET))) if "greatest height" in text]
    assert sum("in front" in text for text in notes) == sum("behind" in text for text in notes) > 0
    assert any("on both sides" in text for text in notes)  # past the end of the street's levels
    flat = words_of(planning(fence_of({"run": [{"points": [[0, 0], ["8 m", 0]]}]})))
    assert not any("greatest height" in text for text in flat)  # dimensioned


def test_the_highest_point_of_the_whole_fence_is_named() -> None:
    fence = fence_of(STREET)
    layout = fence.layouts[0]
    worst = max(
        (height, side) for side in ("front", "back") for height, _, _ in heights(layout, side)
    )
    assert worst[1] == "front"
    said = next(
        text for text in words_of(planning(fence)) if text.startswith("Highest point of the")
    )
    assert f"{worst[0] / 1000:.2f} over the ground in front, at post A" in said


def test_nothing_is_said_that_nobody_gave() -> None:
    words = " ".join(words_of(planning(fence_of({"run": [{"points": [[0, 0], ["8 m", 0]]}]}))))
    for invented in ("ground 0.00", "plain", "Finish", "Site:", "boundary"):
        assert invented not in words
    told = {"run": [{"points": [[0, 0, 4200], ["8 m", 0, 4200]]}], "finishes": {"pales": "oiled"}}
    words = " ".join(words_of(planning(fence_of(told))))
    assert "ground 4.20" in words and "oiled" in words


def test_what_runs_across_the_line_does_not_stand_along_it() -> None:
    hedge = {"kind": "hedge", "points": [[0, 300], ["24 m", 300]], "width": 600, "height": 1400}
    fence = fence_of({**STREET, "feature": [hedge]})
    for sheet in planning(fence):
        for placed in titled(sheet, "Existing elevation A2"):
            texts = [m.text for m in placed.recorded if isinstance(m, Label)]
            assert not any("stays" in text for text in texts)
