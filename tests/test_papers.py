"""What the papers say of themselves."""

from __future__ import annotations

import pytest

from helpers import EXAMPLES, example_fence, fence_of
from palewright.export.drawing.draft.view import Text
from palewright.export.drawing.sheets.grid_references import grid_references
from palewright.export.drawing.sheets.sheet_frame import SIZES, frame_box
from palewright.model.checks.building_checks import check


@pytest.mark.parametrize("missing", ["owner", "reference", "author", "date"])
def test_an_empty_field_of_the_title_block_is_told(missing: str) -> None:
    project = {"name": "Job", "owner": "A", "reference": "B", "author": "C", "date": "2026-01-02"}
    run = [{"points": [[0, 0], [6000, 0]]}]
    assert not [f for f in check(fence_of({"project": project, "run": run})) if "TITLE" in f.code]
    project[missing] = " "
    (found,) = (f for f in check(fence_of({"project": project, "run": run})) if "TITLE" in f.code)
    assert found.code == "TITLE-EMPTY"
    assert f"project.{missing}" in str(found)


def test_title_blocks_of_the_examples_are_filled() -> None:
    for path in EXAMPLES:
        assert not [f for f in check(example_fence(path)) if f.code == "TITLE-EMPTY"]


@pytest.mark.parametrize(
    ("size", "along", "down", "sides"),
    # numbers of fields of ISO 5457, table 2 (from memory)
    [("A4", 4, 6, 1), ("A3", 8, 6, 2), ("A2", 12, 8, 2), ("A1", 16, 12, 2)],
)
def test_sheets_have_grid_references(size: str, along: int, down: int, sides: int) -> None:
    sheet = SIZES[size]
    box = frame_box(sheet)
    frame = (box.left, box.low, box.right, box.high)
    items = grid_references(frame, (sheet.width / 2.0, sheet.height / 2.0))
    names = [item for item in items if isinstance(item, Text)]
    numbers = [int(item.text) for item in names if item.text.isdigit()]
    letters = [item.text for item in names if item.text.isalpha()]
    assert sorted(numbers) == sorted([*range(1, along + 1)] * sides)
    assert sorted(letters) == sorted([*"ABCDEFGHJKLMNP"[:down]] * sides)
    ups = {item.text: item.at[1] for item in names if item.text.isalpha()}
    assert [ups[letter] for letter in sorted(ups)] == sorted(ups.values(), reverse=True)
    for item in names:
        inside = box.left < item.at[0] < box.right and box.low < item.at[1] < box.high
        assert not inside
        assert 0 < item.at[0] < sheet.width
        assert 0 < item.at[1] < sheet.height - item.height
