"""Every word that a spec may say of how to build: made by every output, and telling."""

from __future__ import annotations

from itertools import groupby
from pathlib import Path

import pytest
from choice_cells import COLUMNS, YES, cells, made
from every_choice import BESIDE, WITHOUT, Choice, choices, spec_for

from helpers import THOROUGH, fence_of

PAGE = Path(__file__).resolve().parent.parent / "docs" / "choices.md"
ALL = choices()
KEYS = [(key, tuple(group)) for key, group in groupby(ALL, lambda choice: choice.key)]
CHECK = COLUMNS.index("check")


@pytest.mark.slow
@pytest.mark.parametrize(("key", "words"), KEYS, ids=[key for key, _ in KEYS])
def test_each_output_makes_each_choice_as_the_page_says(
    key: str, words: tuple[Choice, ...]
) -> None:
    page = PAGE.read_text("utf-8").splitlines()
    for number, choice in enumerate(words):
        drawn = THOROUGH or number in (0, len(words) - 1)
        row = cells(choice, drawn=drawn)
        assert set(row[2:CHECK]) == {YES}, row
        assert f"| {' | '.join(row)} |" in page, "run python docs/choices.py"


def test_the_page_has_no_choice_that_is_gone() -> None:
    rows = [line for line in PAGE.read_text("utf-8").splitlines() if line.startswith("| `")]
    assert [row.split("`")[1] for row in rows] == [choice.name for choice in ALL]


@pytest.mark.slow
def test_no_word_comes_to_nothing() -> None:
    for key, words in KEYS:
        fences = {made(fence_of(spec_for(choice))) for choice in words}
        assert len(fences) == len(words) or len(words) == 1, key


def test_what_stands_beside_choices_is_of_choices_that_are_there() -> None:
    names = {choice.name for choice in ALL}
    for choice in ALL:
        parts = choice.key.split(".")
        names |= {".".join(parts[:n]) for n in range(1, len(parts) + 1)}
    assert set(BESIDE) <= names
    assert set(WITHOUT) <= names
