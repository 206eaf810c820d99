"""Isometric views: the picture of the fence on the key sheet, steps of assembly, a bay apart."""

from __future__ import annotations

import re
from functools import cache

import pytest

from helpers import ROOT, example_fence, fence_of
from palewright.export.drawing.draft.style import SOLID_OUTER, SOLID_THERE, Style
from palewright.export.drawing.draft.view import Fill, Line, Text, View
from palewright.export.drawing.sets.assembly_set import assembly_views
from palewright.export.drawing.sets.brief import Brief, brief_of
from palewright.export.drawing.sets.build_set import build_views
from palewright.export.drawing.sets.isometrics import key_isometric, telling_portions
from palewright.export.drawing.sets.key_set import key_views
from palewright.export.drawing.views.isometric import standing
from palewright.export.drawing.views.portions import Portion, members_of_portion
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.shapes import Bar
from palewright.model.parts.members import BOLT, CAP, FOOTING, PALE, POST, RAIL

STRAIGHT = {"run": [{"points": [[0, 0], [60000, 0]], "gate": [{"at": 30000}]}]}


@cache
def cottage() -> FenceModel:
    return example_fence(ROOT / "examples" / "cottage.toml")


def brief(fence: FenceModel) -> Brief:
    return brief_of(fence, Style(), None, metres=False)


def words(view: View) -> list[str]:
    return [item.text for item in view.items if isinstance(item, Text)]


def test_the_key_sheet_comes_first_with_the_fence_and_its_marks() -> None:
    (title, views), *_ = build_views(brief(cottage()))
    assert title == "Key"
    assert views[0].title == "The fence, isometric"
    assert any(view.title.startswith("Marks on elevation") for view in views)
    assert {"A01", "A04", "A05", "A09", "A13"} <= set(words(views[0]))


def test_a_long_fence_is_shown_in_part_and_says_so() -> None:
    fence = fence_of(STRAIGHT)
    (portion,) = telling_portions(fence)
    view = key_isometric(brief(fence))
    gate = fence.layouts[0].openings[0]
    assert view.title.startswith("Part of the fence, posts ")
    assert gate.posts[0].label in words(view)
    assert portion.last - portion.first == 5  # two bays on either side of the gate


def test_a_portion_has_the_pieces_of_its_bays_and_no_others() -> None:
    """Two bays from the start: 3 posts, the pales between, rails cut off after the last post."""
    fence = fence_of({"run": [{"points": [[0, 0], [9000, 0]]}]})
    portion = Portion(0, 0, 0, 2)
    members = members_of_portion(fence, portion)
    (stretch,) = fence.layouts[0].stretches
    end = stretch.xs[2] + portion.past
    assert sum(m.kind == POST for m in members) == 3
    middles = [x + fence.layouts[0].run.pales.widest / 2 for x in stretch.row.edges]
    assert sum(m.kind == PALE for m in members) == sum(x < end for x in middles)
    rails = [m for m in members if m.kind == RAIL]
    ends = [m.frame.origin[0] + m.shape.length for m in rails if isinstance(m.shape, Bar)]
    assert max(ends) == pytest.approx(end)


def test_the_side_that_takes_less_paper_is_looked_at() -> None:
    for points in ([[0, 0], [9000, 0], [9000, 9000]], [[0, 0], [9000, 0], [9000, -9000]]):
        shown = standing(fence_of({"run": [{"points": points}]}))
        wide, high = shown.size
        assert wide * high < 17e3 * 11e3


def test_steps_say_what_is_added_with_counts() -> None:
    fence = cottage()
    views = assembly_views(brief(fence))
    titles = [view.title for view in views]
    assert [title.split(":")[0] for title in titles[:4]] == [f"Step {n}" for n in range(1, 5)]
    assert "pulled apart" in titles[4]
    for view in views:
        for text in words(view):
            told = re.match(r"([A-Z]{2}\d+) .* (\d+) of (\d+)", text)
            if told:
                mark, shown, total = told[1], int(told[2]), int(told[3])
                assert total == len(fence.by_mark[mark])
                assert 0 < shown <= total
    said = [" ".join(words(view)) for view in views]
    for text in said[:2]:
        assert "CAUTION" in text
    assert "buried pipes and cables" in said[0] and "cement" in said[0]
    assert "Local rules" in said[0]
    assert "58.4, 60, 61.1" in said[2]  # the gaps of the three stretches
    assert "hinge" in said[3]


def test_what_stands_already_is_drawn_thin() -> None:
    first, second, *_ = assembly_views(brief(cottage()))
    assert not any(isinstance(i, Line) and i.layer == SOLID_THERE for i in first.items)
    assert any(isinstance(i, Line) and i.layer == SOLID_THERE for i in second.items)
    assert any(isinstance(i, Line) and i.layer == SOLID_OUTER for i in second.items)


def test_every_kind_of_a_bay_is_named_where_it_is_pulled_apart() -> None:
    fence = example_fence(ROOT / "examples" / "nursery.toml")
    apart = assembly_views(brief(fence))[-1]
    told = " ".join(words(apart))
    for kind in (POST, RAIL, PALE, BOLT, CAP):
        assert f" {kind.name} " in told, kind.name
    assert f" {FOOTING.name} " not in told
    dots = [item for item in apart.items if isinstance(item, Fill)]
    assert len(dots) >= 5


def test_views_can_be_left_out() -> None:
    spec = {**STRAIGHT, "sheets": {"leave_out": ["isometric", "key", "assembly"]}}
    titles = [view.title for _, views in build_views(brief(fence_of(spec))) for view in views]
    assert not any(
        word in title for title in titles for word in ("isometric", "Marks on", "Step", "apart")
    )


def test_a_long_fence_says_which_key_elevations_are_not_drawn() -> None:
    views = key_views(brief(fence_of({"run": [{"points": [[0, 0], [300000, 0]]}]})), 2)
    first, second, note = views[:3]
    assert first.title.startswith("Marks on elevation")
    last = second.title.split("posts ")[1]
    assert last in " ".join(words(note))
