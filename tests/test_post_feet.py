"""How posts stand: on shoes and otherwise; what is made, bought, drawn, checked, refused."""

from __future__ import annotations

from collections import Counter
from pathlib import Path
from typing import Any

import pytest

from helpers import fence_of
from palewright.export.papers.offer_words import offered
from palewright.model.basis.errors import SpecError
from palewright.model.checks.building_checks import BURIED, cautions, check
from palewright.model.checks.clash_checks import clashes
from palewright.model.fence.fence_model import FenceModel
from palewright.model.lists.setting_out import DIGGING, SERVICES_FIRST, site_steps
from palewright.model.lists.takeoff import concrete, station_lines
from palewright.model.order.fixings import fixing_lines
from palewright.model.order.order_lines import order
from palewright.model.parts.members import CHEEK, FOOT_BOLT, POST, SHOE_PLATE, SLAB_ANCHOR, Kind
from palewright.model.solids.bodies import solid_of
from palewright.model.strength.assess import assess
from palewright.reading import job_of

RUN = {"points": [[0, 0], [7200, 0]]}
SHOE = {"shape": "shoe", "slab": 150, "edge": 300}

FEET: dict[str, Any] = {"shoe": SHOE}
"""Each way of standing, as a spec says it."""


def standing(foot: Any, **told: Any) -> FenceModel:
    return fence_of({"run": [RUN], "posts": {"foot": foot}, **told})


def codes(fence: FenceModel) -> set[str]:
    return {finding.code for finding in check(fence)}


def kinds(fence: FenceModel) -> Counter[Kind]:
    return Counter(member.kind for member in fence.members)


@pytest.mark.parametrize("way", FEET)
def test_solids_are_valid_and_as_large_as_their_formulas(way: str) -> None:
    fence = standing(FEET[way])
    for group in fence.by_mark.values():
        solid = solid_of(group[0].shape)
        assert solid.isValid()
        assert solid.Volume() == pytest.approx(group[0].shape.volume, rel=1e-9)


@pytest.mark.parametrize("way", FEET)
def test_nothing_stands_in_anything_else(way: str) -> None:
    assert not list(clashes(standing(FEET[way])))
    assert not list(clashes(standing(FEET[way], pales={"on": "board on board"})))


@pytest.mark.parametrize("way", FEET)
def test_the_post_ends_where_the_schedule_says(way: str) -> None:
    fence = standing(FEET[way])
    posts = {member.station: member for member in fence.members if member.kind == POST}
    for line in station_lines(fence):
        member = posts[line.label]
        assert line.foot == pytest.approx(member.frame.origin[2])
        assert line.top_level == pytest.approx(member.frame.origin[2] + member.shape.size[2])
        assert line.embedment == pytest.approx(line.ground - line.foot)


def test_a_shoe_keeps_the_post_off_the_slab() -> None:
    fence = standing({"shape": "shoe", "gap": 35, "thickness": 10})
    for member in fence.members:
        if member.kind == POST:
            assert member.frame.origin[2] == 45.0
            assert member.shape.size[2] == fence.layouts[0].posts[0].top - 45.0
    total = concrete(fence)
    assert (total.footings, total.excavation) == (0, 0.0)


def test_shoes_are_counted_alike_in_list_and_order() -> None:
    fence = standing(SHOE)
    found = kinds(fence)
    posts = found[POST]
    assert (found[SHOE_PLATE], found[CHEEK]) == (posts, 2 * posts)
    assert (found[FOOT_BOLT], found[SLAB_ANCHOR]) == (2 * posts, 4 * posts)
    bought = {line.item: line.count for line in fixing_lines(fence)}
    assert bought["post shoe for a post 100 x 100, plate 160 x 260 x 8, cheeks 200 high"] == posts
    assert bought["slab anchor M12, 100 into the slab"] == 4 * posts
    assert bought["hexagon bolt M10 x 130"] == 2 * posts
    assert not any("cheek" in name for name in bought if not name.startswith("post shoe"))
    lines = order(fence).lines
    assert {line.item for line in lines} >= {"bolt down post shoe", "set post"}
    assert "dig hole" not in {line.item for line in lines}
    assert all("use class 3" in line.item for line in lines if line.item.startswith("timber"))


def test_a_bolt_is_long_enough_for_post_and_cheeks() -> None:
    fence = standing(SHOE)
    bolt = next(m.shape for m in fence.members if m.kind == FOOT_BOLT)
    held = 100.0 + 2.0 * 6.0 + 3.0 + 8.4  # post, cheeks, washer, nut
    assert bolt.size[2] >= held


def test_gate_posts_stand_in_concrete_beside_shoes() -> None:
    run = {**RUN, "gate": [{"at": 3600}]}
    fence = fence_of({"run": [run], "posts": {"foot": SHOE, "gate": {"foot": "hole"}}})
    assert concrete(fence).footings == 2
    assert kinds(fence)[SHOE_PLATE] == kinds(fence)[POST] - 2
    holes = {line.label: line.hole for line in station_lines(fence)}
    assert sorted(Counter(holes.values()).items()) == [
        ("300 x 300 mm", 2),
        ("shoe", len(holes) - 2),
    ]
    said = " ".join(str(told) for told in offered(fence, order(fence)))
    assert "Line and end posts on steel shoes" in said
    assert "Others 700 mm deep in the ground" in said
    ground = {line.section.ground for line in order(fence).timber}
    assert ground == {True, False}


def test_what_is_said_is_of_shoes() -> None:
    fence = standing(SHOE)
    said = cautions(fence)
    assert BURIED not in said
    assert any("Before drilling a slab" in one for one in said)
    assert not any("uncut end" in one for one in said)
    steps = site_steps(fence)
    assert DIGGING not in steps
    assert SERVICES_FIRST not in steps
    assert any("drill the slab through their plates" in step for step in steps)


def test_a_slab_that_nobody_measured_is_asked_for() -> None:
    assert "SLAB-UNKNOWN" in codes(standing("shoe"))
    assert not codes(standing(SHOE)) & {"SLAB-UNKNOWN", "SLAB-THIN", "ANCHOR-EDGE", "SHOE-SLOPE"}
    assert "SLAB-THIN" in codes(standing({**SHOE, "slab": 120}))
    assert "ANCHOR-EDGE" in codes(standing({**SHOE, "edge": 190}))
    assert "SHOE-BOLT" in codes(fence_of(
        {"run": [RUN], "posts": {"section": [75, 75], "foot": {**SHOE, "bolt": "M12"}}}
    ))  # fmt: skip
    slope = {"points": [[0, 0], [7200, 0]], "levels": [[0, 0], [7200, 600]]}
    assert "SHOE-SLOPE" in codes(fence_of({"run": [slope], "posts": {"foot": SHOE}}))


def test_the_wind_asks_what_the_maker_has_to_answer() -> None:
    fence = standing(SHOE, wind={"velocity": 22.0})
    strength = assess(fence)
    assert all(one.footing is None for one in strength.posts)
    most = max(one.moment for one in strength.posts)
    told = next(one for one in check(fence) if one.code == "WIND-FOOT")
    assert f"{most / 1e6:.2f} kNm" in told.text
    # the upper one keeps 25 mm under the bolt of the lowest rail
    assert f"{most / 82.5 / 1000.0:.1f} kN on each of two bolts 82.5 mm apart" in told.text
    assert f"{most / 200.0 / 2000.0:.1f} kN on each of two anchors" in told.text
    assert "not checked" in told.text
    bent = next(one for one in strength.governing if one.check.code == "WIND-POST")
    assert bent.check.demand > 0.0


REFUSED = {
    "posts.embedment": {"posts": {"foot": "shoe", "embedment": 600}},
    "posts.gate.embedment": {"posts": {"foot": "shoe", "gate": {"embedment": 700}}},
    "footings": {"posts": {"foot": "shoe"}, "footings": {"size": 300}},
    "posts.foot.height": {"posts": {"foot": {"shape": "shoe", "height": 130}}},
    "posts.foot.plate": {"posts": {"foot": {"shape": "shoe", "plate": [110, 300]}}},
    "posts.foot.inset": {"posts": {"foot": {"shape": "shoe", "inset": 10}}},
    "posts.foot.hold": {"posts": {"foot": {"shape": "shoe", "hold": 100, "slab": 100}}},
    "posts.foot": {
        "posts": {"foot": {**SHOE, "cheeks": "front and back"}}, "rails": {"tops": [200, 800]},
    },
    "posts.foot.cheeks": {
        "posts": {"foot": {**SHOE, "cheeks": "front and back"}}, "rails": {"form": "arris"},
    },
    "posts.corner.foot": {
        "posts": {"foot": "shoe"}, "run": [{"points": [[0, 0], [5000, 0], [5000, 4000]]}],
    },
}  # fmt: skip


@pytest.mark.parametrize("path", REFUSED)
def test_what_cannot_be_made_is_refused_at_its_key(path: str) -> None:
    with pytest.raises(SpecError) as caught:
        job_of({"run": [RUN], **REFUSED[path]}, {}, "x", Path())
    assert f"{path}:" in str(caught.value)
