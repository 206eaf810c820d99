"""Finials on posts and caps: their shapes, where they stand, what is ordered and refused."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from helpers import fence_of
from palewright.model.basis.errors import SpecError
from palewright.model.checks.clash_checks import clashes
from palewright.model.geometry.finials import AcornFinial, BallFinial
from palewright.model.geometry.shapes import Cap
from palewright.model.geometry.top_cuts import FlatTop
from palewright.model.geometry.turned_shapes import Turned, TurnedZone
from palewright.model.order.fixings import fixing_lines
from palewright.model.order.sawing import sawn
from palewright.model.parts.members import CAP, FINIAL, POST
from palewright.model.strength.shown import outlines
from palewright.reading import job_of

RUN = {"points": [[0, 0], [5400, 0], [5400, 3000]], "gate": [{"at": 2700.0}]}


def posts(**told: Any) -> dict[str, Any]:
    return {"run": [RUN], "posts": told}


@given(st.floats(10.0, 500.0))
def test_a_ball_finial_is_a_ball_on_two_drums(diameter: float) -> None:
    """The ball less what its neck cuts off, a cap of height c: pi c^2 (3 r - c) / 3."""
    made = BallFinial(shape="ball", diameter=diameter).turned()
    assert made is not None
    r, neck = diameter / 2.0, 0.45 * diameter / 2.0
    cut = r - math.sqrt(r * r - neck * neck)
    ball = 4.0 / 3.0 * math.pi * r**3 - math.pi * cut**2 * (3.0 * r - cut) / 3.0
    drums = math.pi * diameter**3 * (0.375**2 * 0.12 + 0.225**2 * 0.1)
    assert made.volume == pytest.approx(ball + drums, rel=1e-9)
    assert made.diameter == pytest.approx(diameter)
    assert made.height == pytest.approx(0.22 * diameter + diameter - cut)


@given(st.floats(10.0, 500.0))
def test_an_acorns_point_runs_on_from_its_ball(diameter: float) -> None:
    made = AcornFinial(shape="acorn", diameter=diameter).turned()
    assert made is not None
    ball, point = made.zones[-2:]
    assert ball.high == point.low
    middle = made.height - point.height - ball.height + ball.centre
    # the cone touches the ball: as far from its middle as the ball is thick
    lean = math.atan2(point.low, point.height)
    assert (made.height - middle) * math.sin(lean) == pytest.approx(ball.radius)
    assert ball.radius == pytest.approx(diameter / 2.0)


@given(st.floats(5.0, 60.0), st.floats(5.0, 60.0), st.floats(5.0, 90.0), st.booleans())
def test_a_zone_is_as_large_as_the_sum_of_its_slices(
    low: float, high: float, height: float, ball: bool
) -> None:
    zone = TurnedZone(low, high, height, ball)
    rings = list(zone.rings(400))
    slices = sum(
        math.pi * (z1 - z0) * (a * a + a * b + b * b) / 3.0
        for (a, z0), (b, z1) in zip(rings, rings[1:], strict=False)
    )
    assert zone.volume == pytest.approx(slices, rel=1e-3)
    side = sum(
        math.pi * (a + b) * math.hypot(z1 - z0, b - a)
        for (a, z0), (b, z1) in zip(rings, rings[1:], strict=False)
    )
    assert zone.surface == pytest.approx(side, rel=1e-3)


def test_finials_stand_on_what_is_under_them() -> None:
    """On a cap's flat, as wide as the finial's disc; on a flat post; none where there is to be."""
    fence = fence_of(
        posts(
            finial="ball", top="cap", end={"finial": "none"}, corner={"top": "flat"},
            gate={"finial": {"shape": "acorn", "diameter": 100.0}},
        )
    )  # fmt: skip
    seen = set()
    for layout in fence.layouts:
        for post in layout.posts:
            on = {m.kind: m for m in fence.of_post[0, post.label]}
            top = on[POST].frame.origin[2] + on[POST].shape.size[2]
            if CAP in on:
                cap = on[CAP].shape
                assert isinstance(cap, Cap)
                assert on[CAP].frame.origin[2] == pytest.approx(top)
                top += cap.height
            if FINIAL in on:
                finial = on[FINIAL].shape
                assert isinstance(finial, Turned)
                assert on[FINIAL].frame.origin[2] == pytest.approx(top)
                if CAP in on:
                    assert cap.seat == 2.0 * finial.zones[0].low
                top += finial.height
            assert post.full_height == pytest.approx(top - post.frame.origin[2])
            seen.add((str(post.kind), CAP in on, FINIAL in on))
    assert seen == {
        ("end", True, False), ("line", True, True), ("gate", True, True), ("corner", False, True),
    }  # fmt: skip
    assert list(clashes(fence)) == []


def test_they_are_bought_each_and_not_sawn() -> None:
    fence = fence_of(posts(finial="ball", top={"shape": "flat"}))
    count = sum(member.kind == FINIAL for member in fence.members)
    assert count == sum(member.kind == POST for member in fence.members)
    lines = {line.item: line for line in fixing_lines(fence)}
    assert lines["finial 80 x 93.3"].count == count
    assert "dowel screw" in lines["finial 80 x 93.3"].note
    marks = {mark for pieces in sawn(fence).values() for mark in pieces}
    assert not any(mark.startswith("FI") for mark in marks)


def test_they_catch_the_wind_with_their_outline() -> None:
    """Half the wind's picture of a ball finial: a circle's segment and two rectangles."""
    fence = fence_of({**posts(finial="ball", top="flat"), "run": [{"points": [[0, 0], [3000, 0]]}]})
    plain = fence_of({**posts(top="flat"), "run": [{"points": [[0, 0], [3000, 0]]}]})
    areas = [sum(part.area for own in outlines(one).values() for part in own)
             for one in (fence, plain)]  # fmt: skip
    count = sum(member.kind == FINIAL for member in fence.members)
    turn = math.acos(18.0 / 40.0)
    segment = 40.0**2 * (math.pi / 2.0 + turn) + 18.0 * math.sqrt(40.0**2 - 18.0**2)
    wanted = segment + 60.0 * 9.6 + 36.0 * 8.0
    assert (areas[0] - areas[1]) / count == pytest.approx(wanted, rel=0.03)


@pytest.mark.parametrize(
    ("told", "message"),
    [
        ({"finial": "ball"}, "a finial stands on a flat top or on a cap"),
        ({"finial": "ball", "top": "pyramid"}, "a finial stands on a flat top or on a cap"),
        ({"finial": {"shape": "ball", "diameter": 200.0}, "top": "flat"}, "150 mm wide, is wider"),
        ({"finial": "urn", "top": "flat"}, "acorn"),
    ],
)
def test_what_cannot_stand_is_refused(told: dict[str, Any], message: str) -> None:
    with pytest.raises(SpecError) as caught:
        job_of(posts(**told), {}, "spec", Path())
    assert len(str(caught.value).splitlines()) == 1
    assert message in str(caught.value)


def test_a_flat_post_without_a_finial_is_as_before() -> None:
    plan = fence_of(posts(top="flat")).layouts[0].posts[0].plan
    assert (plan.top, plan.cap, plan.finial, plan.crown) == (FlatTop(), None, None, 0.0)
