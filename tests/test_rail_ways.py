"""Rails by how they are held to their posts: where they stand, what holds them, what is refused."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pytest

from helpers import fence_of
from palewright.model.basis.errors import SpecError
from palewright.model.checks.clash_checks import clashes
from palewright.model.fence.fence_model import FenceModel
from palewright.model.order.fixings import fixing_lines
from palewright.model.parts.members import BOLT, BRACKET, RAIL, Member
from palewright.reading import job_of

BEND = {"points": [[0, 0], [5400, 0], [5400, 3600], [8000, 6200]]}
GATED = {
    "points": [[0, 0], [7200, 0], [7200, 4000]],
    "levels": [[0, 0], [7200, 500], [11200, 300]],
    "gate": [{"at": 2700.0}],
}


def with_rails(run: dict[str, Any] = BEND, **rails: Any) -> dict[str, Any]:
    return {"run": [run], "rails": rails}


def of(fence: FenceModel, kind: object) -> list[Member]:
    return [member for member in fence.members if member.kind == kind]


def refused(data: dict[str, Any]) -> str:
    with pytest.raises(SpecError) as error:
        job_of(data, {}, "spec.toml", Path())
    return str(error.value)


@pytest.mark.parametrize(("set_in", "setback"), [("flush", 0.0), ("centred", 31.0)])
def test_rails_between_posts_end_on_their_sides_behind_a_bracket(
    set_in: str, setback: float
) -> None:
    fence = fence_of(
        with_rails(GATED, form="between", set_in=set_in) | {"slopes": {"follow": "rake"}}
    )
    run = fence.layouts[0].run
    assert run.rails.faces(run.face) == (50.0 - setback - 38.0, 50.0 - setback)
    assert list(clashes(fence)) == []
    rails, brackets = of(fence, RAIL), of(fence, BRACKET)
    bays = sum(len(stretch.settings) for stretch in fence.layouts[0].stretches)
    assert len(rails) == 2 * bays
    assert len(brackets) == 2 * len(rails)
    assert not of(fence, BOLT)
    for stretch in fence.layouts[0].stretches:
        for bay, rail in enumerate(stretch.bay_rails):
            length = stretch.xs[bay + 1] - stretch.xs[bay]
            sides = [post.plan.width / 2.0 for post in stretch.posts[bay : bay + 2]]
            if abs(rail.left) + abs(rail.right) == 0.0:
                assert rail.x1 - rail.x0 == pytest.approx(length - sum(sides), abs=20.0)
    lines = {line.item: line for line in fixing_lines(fence)}
    assert lines["rail bracket"].count == len(brackets)


def test_pales_on_rails_set_in_stand_between_the_posts() -> None:
    fence = fence_of(with_rails(form="between", set_in="centred"))
    run = fence.layouts[0].run
    assert run.between_posts
    assert run.pale_front == pytest.approx(50.0 - 31.0 + 20.0)
    flush = fence_of(with_rails(form="between"))
    assert not flush.layouts[0].run.between_posts
    assert flush.layouts[0].run.pale_back == 50.0


def test_brackets_fit_corners_of_any_turn() -> None:
    """One leg on the rail's back, the other along the post's side, whichever way that goes."""
    fence = fence_of(with_rails(form="between"))
    angles = {round(math.degrees(math.atan2(*_leg(m)[::-1])), 1) for m in of(fence, BRACKET)}
    assert 90.0 in angles
    assert len(angles) > 1  # at the corner of 45 degrees the post stands askew
    assert list(clashes(fence)) == []


def _leg(bracket: Member) -> tuple[float, float]:
    """Return where the end of a bracket's leg on the post is from its corner."""
    x, y, _ = max(bracket.shape.outline.vertices, key=lambda v: v[1])
    return abs(x), y


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (with_rails(form="between", set_in="centred", section=[75, 60]), "20 mm of the posts'"),
        (with_rails(form="between", section=[75, 90]), "thinner rails, thicker posts"),
        (with_rails(set_in="centred"), 'form is "face"'),
        (with_rails(form="between") | {"pales": {"on": "back"}}, "their brackets"),
    ],
)  # fmt: skip
def test_what_does_not_go_between_posts_is_refused(data: dict[str, Any], words: str) -> None:
    assert words in refused(data)
