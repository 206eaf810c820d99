"""Sheets of hard jobs: no text on text, none crossed by a dimension."""

from __future__ import annotations

import pytest
import shapely
from hard_jobs import HARD, random_job

from helpers import fence_of
from palewright.export.drawing.draft.paper import Label, Stroke
from palewright.export.drawing.draft.style import DIMENSIONS, Style
from palewright.export.drawing.sets.sheet_sets import Purpose, sheet_set
from palewright.export.drawing.sheets.sheet import Sheet
from palewright.model.fence.fence_model import FenceModel


def faults(sheet: Sheet) -> list[tuple[str, str]]:
    """Return texts that meet, and texts that a dimension's line crosses."""
    marks = sheet.marks
    labels = [mark for mark in marks if isinstance(mark, Label) and mark.text.strip()]
    boxes = [shapely.Polygon(label.box(descent=0.22)) for label in labels]
    tree = shapely.STRtree(boxes)
    found = [
        (labels[one].text, labels[other].text)
        for one, box in enumerate(boxes)
        for other in tree.query(box, predicate="intersects")
        if other > one and box.intersection(boxes[other]).area > 1e-6
    ]
    lines = [
        shapely.LineString(mark.points)
        for mark in marks
        if isinstance(mark, Stroke) and mark.layer == DIMENSIONS
    ]
    if lines:
        tree = shapely.STRtree(lines)
        letters = [shapely.Polygon(label.box(descent=0.0)).buffer(-0.1) for label in labels]
        found += [
            (label.text, "crossed")
            for label, box in zip(labels, letters, strict=True)
            if len(tree.query(box, predicate="intersects"))
        ]
    return found


def all_faults(fence: FenceModel, purpose: Purpose) -> list[tuple[str, str]]:
    sheets, _ = sheet_set(fence, purpose, Style())
    return [fault for sheet in sheets for fault in faults(sheet)]


@pytest.mark.parametrize("purpose", [Purpose.BUILD, Purpose.PLANNING, Purpose.SITE])
@pytest.mark.parametrize("name", HARD)
def test_hard_jobs_are_legible(name: str, purpose: Purpose) -> None:
    assert all_faults(fence_of(HARD[name]), purpose) == []


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(1, 25))
def test_random_jobs_are_legible(seed: int) -> None:
    fence = next(made for more in range(9) if (made := tried(seed + 100 * more)) is not None)
    assert all_faults(fence, Purpose.BUILD) + all_faults(fence, Purpose.PLANNING) == []


def tried(seed: int) -> FenceModel | None:
    """Return a random job's fence; None where its line crosses itself or a gate is at a corner."""
    try:
        return fence_of(random_job(seed))
    except AssertionError:
        return None
