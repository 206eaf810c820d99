"""Construction details: stepped posts, gravel boards, brackets, what callouts say."""

from __future__ import annotations

from typing import Any

import pytest

from helpers import ROOT, example_fence, fence_of
from palewright.export.drawing.draft import style as layers
from palewright.export.drawing.draft.style import Style
from palewright.export.drawing.draft.view import Dimension, Fill, Line, Text, View
from palewright.export.drawing.sets.brief import brief_of
from palewright.export.drawing.sets.build_set import build_views
from palewright.export.drawing.sets.detail_views import details
from palewright.export.drawing.views.stepped_bays import largest_step
from palewright.model.fence.fence_model import FenceModel
from palewright.model.parts.members import BRACKET

SLOPE: dict[str, Any] = {
    "run": [{"points": [[0, 0, 0], [9000, 0, 1200]]}],
    "slopes": {"follow": "step", "fill": "board"},
}  # fmt: skip

INSIDE: dict[str, Any] = {"run": [{"points": [[0, 0], [6000, 0], [6000, -6000]]}]}


def views(fence: FenceModel, *kinds: str) -> list[View]:
    return list(details(brief_of(fence, Style(), None, metres=False), kinds))


def words(view: View) -> list[str]:
    return [item.text for item in view.items if isinstance(item, Text)]


def test_a_stepped_post_has_its_rails_on_both_sides() -> None:
    fence = fence_of(SLOPE)
    post, boards = views(fence, "step")
    place = largest_step(fence.layouts[0], 0)
    assert place is not None
    stretch, x = place.stretch, place.stretch.xs[place.at]
    ground = stretch.posts[place.at].frame.origin[2] - stretch.leg.start[2]
    bases = [stretch.settings[place.at - n].base(x) - ground for n in (1, 0)]
    tops = fence.layouts[0].run.rails.tops
    measured = [
        abs(item.end[1] - item.start[1]) for item in post.items if isinstance(item, Dimension)
    ]
    wanted = [base + top for base in bases for top in tops] + [abs(bases[1] - bases[0])]
    assert sorted(measured) == pytest.approx(sorted(wanted))
    assert any("gravel board" in text and "nails at each end" in text for text in words(boards)
               + words(post))  # fmt: skip
    assert any("middle of the post" in text for text in words(boards))


def test_a_level_fence_has_no_details_of_steps() -> None:
    assert views(fence_of(INSIDE), "step") == []


def test_a_bracketed_corner_shows_its_bracket() -> None:
    fence = fence_of(INSIDE)
    brackets = [member for member in fence.members if member.kind == BRACKET]
    (plan,) = views(fence, "corner")
    named = any(text.startswith("bracket ") for text in words(plan))
    assert brackets and named
    loops = [i for i in plan.items if isinstance(i, Line) and i.layer == layers.METAL]
    assert any(len(loop.vertices) >= 6 for loop in loops)  # the angle, not a leader


def test_only_what_the_fence_has_is_called_out() -> None:
    plan = views(example_fence(ROOT / "examples" / "cottage.toml"), "corner")[0]
    told = " ".join(words(plan))
    assert "bolt M10" in told and "corner post 100 x 100" in told
    assert "bracket" not in told
    dots = [item for item in plan.items if isinstance(item, Fill)]
    assert len(dots) == sum(" x " in text for text in words(plan))


def test_holes_have_their_sign_on_elevations_and_gates() -> None:
    for name, sign in (("cottage", "holes □300"), ("orchard", "holes Ø300")):
        fence = example_fence(ROOT / "examples" / f"{name}.toml")
        brief = brief_of(fence, Style(), None, metres=False)
        fronts = dict(build_views(brief))["elevations"]
        assert all(sign in words(view) for view in fronts)
        assert any(sign in words(view) for view in views(fence, "gate"))
