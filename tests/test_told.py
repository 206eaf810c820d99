"""What each reader has to find: every size of the spec, every post's place, every member's mark."""

from __future__ import annotations

import re
from collections import Counter
from functools import cache
from typing import Any

import pytest
from hard_jobs import HARD
from legible import labels_of
from test_setting_out import said
from test_sheets import SIZES_ONCE
from test_workshop import MARK

from helpers import fence_of
from palewright.export.drawing.draft.paper import Label, on_paper
from palewright.export.drawing.draft.style import DIMENSIONS, Style
from palewright.export.drawing.draft.view import Text, View
from palewright.export.drawing.sets.brief import brief_of
from palewright.export.drawing.sets.sheet_sets import SETS, Purpose, sheet_set
from palewright.model.fence.fence_model import FenceModel

ARRIS: dict[str, Any] = {
    **SIZES_ONCE,
    "run": [{"points": [[0, 0], [12011, 0]], "gate": [{"at": 6003, "opening": 2413, "leaves": 2}]}],
    "posts": {
        "section": [97, 103], "embedment": 613, "above_rail": 147,
        "top": {"shape": "cap", "overhang": 13, "thickness": 17, "rise": 21},
    },
    "rails": {"form": "arris", "section": [83, 41], "tops": [229, 811]},
    "pales": {**SIZES_ONCE["pales"], "head": {"shape": "pointed", "rise": 57, "tip": 15}},
    "footings": {"hole": "round", "size": 307, "bed": 43, "weathering": 22},
}  # fmt: skip
"""Arris rails, caps, blunt points, round holes, a gate of two leaves."""

STEPPED: dict[str, Any] = {
    **SIZES_ONCE,
    "run": [{"points": [[0, 0], [7013, 0], [7013, 5009]], "starts": "wall",
             "levels": [[0, 0], [7013, 617], [12022, 1181]]}],
    "posts": {"section": [97, 103], "embedment": 613, "above_rail": 83,
              "top": {"shape": "pyramid", "rise": 29}},
    "pales": {**SIZES_ONCE["pales"], "head": {"shape": "pointed-arch", "rise": 58}},
    "slopes": {"follow": "step", "fill": "board", "board": [151, 26], "board_clearance": 14},
    "walls": {"section": [51, 99], "hold": 93, "gap": 6.5},
}  # fmt: skip
"""Level bays with boards from a wall, four-way tops, pointed arches."""

SHAPED: dict[str, Any] = {
    **SIZES_ONCE,
    "run": [{"points": [[0, 0], [7013, 0]], "top_line": {"shape": "dip", "rise": 94}}],
}
"""A dipped top line."""

SIZES: dict[str, tuple[dict[str, Any], list[str], dict[str, int]]] = {
    "arris": (ARRIS, ["97", "103", "613", "147", "13", "17", "21", "83", "41", "229", "811", "91",
                      "19", "887", "53", "57", "15", "Ø307", "43", "22", "2413", "11", "9", "67",
                      "12011", "77", "71"], {"13": 2, "17": 2, "21": 2}),
    "stepped": (STEPPED, ["97", "103", "613", "83", "29", "73", "37", "229", "811", "91", "19",
                          "887", "53", "58", "□311", "47", "23", "151", "26", "14", "51", "99",
                          "93", "6.5", "7013", "5009"], {"53": 2}),
    "shaped": (SHAPED, ["94"], {}),
}  # fmt: skip
"""Specs with sizes unlike each other, which of them to find, and which more often than once: those
of each post top that differs, and what a plate on a wall has too.
"""


@pytest.mark.parametrize("name", SIZES)
def test_every_size_of_a_spec_is_figured(name: str) -> None:
    """As one dimension, or where there is none in a table's cell, a callout or a note."""
    spec, wanted, more = SIZES[name]
    sheets, _ = sheet_set(fence_of(spec), Purpose.BUILD, Style())
    labels = [label for sheet in sheets for label, _, _ in labels_of(sheet)]
    figured = Counter(label.text for label in labels if label.layer == DIMENSIONS)
    said = {word.strip(",;") for label in labels for word in label.text.split()}
    assert [size for size in wanted if figured[size] == 0 and size not in said] == []
    assert {size: figured[size] for size in wanted if figured[size] > more.get(size, 1)} == {}


JOBS = [name for name in HARD if name != "allotments"]
"""Those of the examples, and of a plan as long as the allotments, are tests of setting out."""


@cache
def job(name: str) -> FenceModel:
    """Return the fence of a hard job."""
    return fence_of(HARD[name])


@pytest.mark.parametrize("name", HARD)
def test_every_member_of_a_hard_job_has_its_mark_on_a_view(name: str) -> None:
    """As those of the examples have (see the workshop's tests)."""
    fence = job(name)
    made = brief_of(fence, Style(), None, metres=False)
    groups = [(title, views) for title, views in SETS[Purpose.WORKSHOP].views(made)
              if title.startswith(("marks", "gate leaf"))]  # fmt: skip
    found = {
        mark
        for _, views in groups
        for view in views
        for label in on_paper(view, made.style)
        if isinstance(label, Label)
        for mark in MARK.findall(label.text)
    }
    assert set(fence.by_mark) - found == set()


@pytest.mark.parametrize("name", JOBS)
def test_every_post_has_its_place_on_the_sheet_that_shows_it(name: str) -> None:
    """Its chainage beside it or in a row, on every sheet of the build set with a plan of it."""
    fence = job(name)
    sheets, style = sheet_set(fence, Purpose.BUILD, Style())
    text = style.figures.text
    chainages = {p.label: text(p.chainage) for layout in fence.layouts for p in layout.posts}
    planned: set[str] = set()
    for sheet in sheets:
        views = [placed.view for placed in sheet.placed]
        told = set().union(*(said(view) | beside(view) for view in views))
        plans = [view for view in views if view.title.startswith("Setting-out plan")]
        shown = {post for view in plans for post in named(view)}
        # a key of parts names the posts that its parts tell the chainages of
        parts = [view for view in plans if "key" in view.title]
        planned |= shown
        if not parts:
            assert {p for p in shown if (p, chainages[p]) not in told} == set()
    assert planned == set(chainages)


def texts(view: View) -> list[str]:
    """Return what a view says, a plate by its label alone."""
    words = (item.text for item in view.items if isinstance(item, Text))
    return [re.sub(r"^(\S+) plate", r"\1", word) for word in words]


def named(view: View) -> set[str]:
    """Return the posts that a view names, in labels of their own or before a figure."""
    words = [text.split("  ")[0] for text in texts(view)]
    return {word for word in words if re.fullmatch(r"[A-Z]+\d{2,}", word)}


def beside(view: View) -> set[tuple[str, str]]:
    """Return the posts of a view with the figure beside each."""
    return {(pair[0], pair[1]) for text in texts(view) if len(pair := text.split("  ")) > 1}
