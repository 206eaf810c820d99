"""Setting out on paper: each post's chainage on every plan, parts of long plans, ties."""

from __future__ import annotations

import math
import re
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from helpers import EXAMPLES, example_fence, fence_of
from palewright.export.drawing.draft.figures import Figures
from palewright.export.drawing.draft.paper import bounds, on_paper
from palewright.export.drawing.draft.style import Style
from palewright.export.drawing.draft.view import Text, View
from palewright.export.drawing.sets.brief import Brief, brief_of
from palewright.export.drawing.sets.setting_out_plans import MOST_PARTS, setting_out_views
from palewright.export.drawing.views.part_plans import halves, parts_that_fit, posts_along
from palewright.model.fence.fence_model import FenceModel


def brief(fence: FenceModel) -> Brief:
    return brief_of(fence, Style(), None, metres=False)


def said(view: View) -> set[tuple[str, str]]:
    """Return the posts and figures that a view names together: in a label, or in a row."""
    texts = [item for item in view.items if isinstance(item, Text)]
    labels = {tuple(re.split(r" +", text.text)[:2]) for text in texts if "  " in text.text}
    rows = {
        (a.text, b.text)
        for a in texts
        for b in texts
        if a is not b and a.at[1] == b.at[1] and 0.0 < b.at[0] - a.at[0] < 40.0 * view.scale
    }
    return {(one[0], one[1]) for one in labels | rows}


def ring(count: int, radius: float) -> dict[str, Any]:
    points = [
        [radius * math.cos(math.tau * k / count), radius * math.sin(math.tau * k / count)]
        for k in range(count)
    ]
    return {"run": [{"points": points, "closed": True}]}


def all_are_told(fence: FenceModel, views: list[View]) -> None:
    text, told = Figures().text, set().union(*(said(view) for view in views))
    for layout in fence.layouts:
        for post in layout.posts:
            assert (post.label, text(post.chainage)) in told, post.label


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_a_garden_has_one_plan_with_every_chainage(path: Any) -> None:
    fence = example_fence(path)
    views = setting_out_views(brief(fence))
    assert [view.title for view in views] == ["Setting-out plan"]
    if fence.job.sheets.units != "ft-in":
        words = {item.text for item in views[0].items if isinstance(item, Text)}
        for layout in fence.layouts:
            for post in layout.posts:
                figure = Figures().text(post.chainage)
                assert any(figure in word.split() for word in words), post.label


@pytest.mark.parametrize(("count", "radius"), [(30, 60_000.0), (8, 25_000.0)])
def test_a_long_plan_is_cut_into_parts_that_tell_every_chainage(count: int, radius: float) -> None:
    fence = fence_of(ring(count, radius))
    asked = brief(fence)
    views = setting_out_views(asked)
    all_are_told(fence, views)
    wide, high = asked.room
    for view in views:
        left, low, right, top = bounds(on_paper(view, asked.style))
        assert right - left <= wide
        assert top - low <= high + 45.0  # beside the title block there is more


def test_match_lines_name_the_parts_beyond_them() -> None:
    views = setting_out_views(brief(fence_of(ring(30, 60_000.0))))
    assert views[0].title.endswith("key")
    parts = views[1:]
    assert 1 < len(parts) <= MOST_PARTS
    for number, view in enumerate(parts):
        words = {item.text for item in view.items if isinstance(item, Text)}
        for beyond in ((number - 1) % len(parts), (number + 1) % len(parts)):
            assert f"match line, part {beyond + 1}" in words
    key = {item.text for item in views[0].items if isinstance(item, Text)}
    assert {str(number) for number in range(1, len(parts) + 1)} <= key


@settings(max_examples=20, deadline=None)
@given(st.integers(3, 9), st.floats(5_000, 60_000), st.floats(3_000, 80_000))
def test_parts_follow_one_another_without_a_gap(count: int, radius: float, size: float) -> None:
    layout = fence_of(ring(count, radius)).layouts[0]
    posts = posts_along(layout)
    parts = list(parts_that_fit(layout, 0, (size, size)))
    assert parts[0].posts[0] == posts[0]
    assert parts[-1].posts[-1] == posts[-1]
    for one, other in zip(parts, parts[1:], strict=False):
        assert one.posts[-1] == other.posts[0]
    for part in parts:
        x0, y0, x1, y1 = part.box
        assert len(part.posts) == 2 or (x1 - x0 <= size and y1 - y0 <= size)
        assert sum(len(half.posts) - 1 for half in halves(part)) == len(part.posts) - 1
