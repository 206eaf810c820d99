"""Sheets of hard jobs: no text on text, none crossed by a line."""

from __future__ import annotations

import pytest
from hard_jobs import HARD, random_job
from legible import crossed, overlapping

from helpers import fence_of, usually
from palewright.export.drawing.draft.style import Style
from palewright.export.drawing.sets.sheet_sets import Purpose, sheet_set
from palewright.model.fence.fence_model import FenceModel


def all_faults(fence: FenceModel, purpose: Purpose) -> list[object]:
    sheets, _ = sheet_set(fence, purpose, Style())
    return [fault for sheet in sheets for fault in (*overlapping(sheet), *crossed(sheet))]


@pytest.mark.parametrize("purpose", [Purpose.BUILD, Purpose.PLANNING, Purpose.SITE])
@pytest.mark.parametrize("name", HARD)
def test_hard_jobs_are_legible(name: str, purpose: Purpose) -> None:
    assert all_faults(fence_of(HARD[name]), purpose) == []


@pytest.mark.slow
@pytest.mark.parametrize("first", range(1, usually(101, 31), 5))
def test_random_jobs_are_legible(first: int) -> None:
    """Fences in groups of five, a hundred when thorough; a quarter of them for planning too."""
    for seed in range(first, first + 5):
        fence = next(made for more in range(9) if (made := tried(seed + 100 * more)) is not None)
        purposes = [Purpose.BUILD, *([Purpose.PLANNING] if seed % 4 == 0 else [])]
        faults = [fault for purpose in purposes for fault in all_faults(fence, purpose)]
        assert faults == [], seed


def tried(seed: int) -> FenceModel | None:
    """Return a random job's fence; None where its line crosses itself or a gate is at a corner."""
    try:
        return fence_of(random_job(seed))
    except AssertionError:
        return None
