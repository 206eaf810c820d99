"""Rails by how they are held to their posts: where they stand, what holds them, what is refused."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from helpers import fence_of
from palewright.model.basis.errors import SpecError
from palewright.model.checks.clash_checks import clashes
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.frames import Frame
from palewright.model.order.fixings import fixing_lines
from palewright.model.parts.members import BOLT, BRACKET, POST, RAIL, Member
from palewright.model.strength.post_strength import checked_post
from palewright.model.strength.run_wind import run_winds
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


@pytest.mark.parametrize("notch", [38.0, 25.0])
def test_notched_rails_lie_in_the_posts_faces(notch: float) -> None:
    """Their room in the posts is the notch: as deep as told, over the whole width of the post."""
    told = {} if notch == 38.0 else {"notch": notch}
    fence = fence_of(with_rails(form="notched", **told))
    run = fence.layouts[0].run
    assert run.rails.faces(run.face) == (50.0 - notch, 50.0 - notch + 38.0)
    assert run.pale_back == 50.0 + 38.0 - notch
    assert list(clashes(fence)) == []
    rail = of(fence, RAIL)[0]
    assert -rail.frame.origin[1] == pytest.approx(50.0 - notch + 38.0)
    bolts = {bolt.shape.grip for bolt in of(fence, BOLT)}  # type: ignore[union-attr]
    assert min(bolts) == pytest.approx(100.0 + 38.0 - notch)


def test_a_rail_that_is_not_let_in_still_clashes_with_a_post() -> None:
    fence = fence_of(with_rails())
    deeper = [
        replace(m, frame=m.frame @ Frame.at(0.0, 20.0, 0.0)) if m.kind == RAIL else m
        for m in fence.members
    ]
    found = clashes(replace(fence, members=tuple(deeper)))
    assert any({one.kind, other.kind} == {RAIL, POST} for one, other, _ in found)


def test_a_notched_post_is_checked_with_what_is_left_of_it() -> None:
    def used(**rails: Any) -> float:
        fence = fence_of(with_rails(**rails) | {"wind": {"velocity": 22.0}})
        named = "bending of the post at its lowest bolt"
        return max(
            check.utilisation
            for wind in run_winds(fence)
            for number, post in enumerate(wind.layout.posts)
            if post.footing is not None
            for _, checks in checked_post(wind, number)
            for check in checks
            if check.name == named
        )

    assert used(form="notched", notch=30.0) / used() == pytest.approx((100.0 / 70.0) ** 2, rel=0.02)


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (with_rails(form="between", set_in="centred", section=[75, 60]), "20 mm of the posts'"),
        (with_rails(form="between", section=[75, 90]), "thinner rails, thicker posts"),
        (with_rails(set_in="centred"), 'form is "face"'),
        (with_rails(form="notched", section=[75, 55]), "takes over half of a post"),
        (with_rails(form="notched", notch=45.0), "deeper than the rails are thick"),
        (with_rails(notch=20.0), 'form is "notched"'),
        (with_rails(form="between") | {"pales": {"on": "back"}}, "their brackets"),
    ],
)  # fmt: skip
def test_what_cannot_be_made_is_refused(data: dict[str, Any], words: str) -> None:
    assert words in refused(data)
