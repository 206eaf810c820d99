"""What the papers say of themselves."""

from __future__ import annotations

import pytest

from helpers import EXAMPLES, example_fence, fence_of
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
