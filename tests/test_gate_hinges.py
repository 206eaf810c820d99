"""Hinges of gates that rise, a third one of high leaves; gates beside each other on one post."""

from __future__ import annotations

from typing import Any

import pytest
from test_gate_ways import box, codes, of_leaf, problems, spec

from helpers import fence_of
from palewright.export.models.product import Product
from palewright.export.page.page_scene import scene_of
from palewright.export.papers.offer_words import offered
from palewright.model.checks.building_checks import check
from palewright.model.checks.clash_checks import clashes
from palewright.model.fence.leaf_hinges import leaf_hinges
from palewright.model.fence.leaf_slides import slides_of
from palewright.model.fence.leaf_swings import swings_of
from palewright.model.order.fixings import fixing_lines
from palewright.model.order.order_lines import order
from palewright.model.parts.members import FOOTING, PIN, POST, STRAP


def test_rising_hinges_lift_a_leaf_over_ground_that_rises() -> None:
    """Ground 50 over the opening's behind it: 10 under the leaf, and 40 more as it is open."""
    data = spec({}, {"hinges": "rising", "hinge_rise": 60, "opens": 90})
    data["run"][0]["levels_back"] = [[0, 0], [2000, 0], [2001, 50], [14000, 50]]
    fence = fence_of(data)
    (plain, rising) = (swing for _, _, swing in swings_of(fence, 0))
    assert plain.lowest == 10.0
    # it is lowest at the start of its way, and the more over the ground the farther it is open
    assert rising.lowest == 10.0
    assert rising.lowest_at == 0.0
    hinge = leaf_hinges(fence.layouts[0])[1]
    assert hinge.risen(45.0) == (0.0, 0.0, 30.0)
    leaves = scene_of(Product(fence), "x")["leaves"]
    assert [leaf["slides"] for leaf in leaves] == [[0.0, 0.0, 0.0], [0.0, 0.0, 60.0]]
    lines = {line.item: line.count for line in fixing_lines(fence)}
    assert lines["rising hinge strap 350"] == 2 == lines["hinge strap 350"]
    gates = dict(offered(fence, order(fence)))["Gates"]
    assert "rising hinges, 60 mm at a right angle" in gates


def test_rising_hinges_clear_a_slope() -> None:
    """Across a leaf's way the ground rises 1 in 20: 49 at its end; rising by 60 it keeps clear."""
    slope = {"points": [[0, 0, 0], [14000, 0, 0]]}
    ground = [[0, 0], [14000, 0]]
    data = spec({"hinges": "rising", "hinge_rise": 60}, {})
    data["run"][0].update(slope, levels=ground)
    fence = fence_of(data)
    (rising, plain) = (swing for _, _, swing in swings_of(fence, 0))
    assert (rising.lowest, plain.lowest) == (60.0, 60.0)
    assert not {c for c in codes(fence) if c.startswith("SWING")}


@pytest.mark.parametrize(
    ("gate", "said"),
    [
        ({"hinge_rise": 50}, "gate[1].hinge_rise: only rising hinges lift a leaf"),
        ({"hinges": "rising", "hinge_rise": 400}, "gate[1].hinge_rise: hinges lift a leaf by 150"),
    ],
)
def test_a_rise_that_no_hinge_has_is_refused(gate: dict[str, Any], said: str) -> None:
    (told,) = problems(spec(gate))
    assert said in told


def test_high_leaves_hang_on_three_hinges() -> None:
    fence = fence_of(spec({"height": 2300}, {"height": 2300, "ledges": 2}, {"height": 2100}))
    counts = [(len(of_leaf(fence, n, STRAP))) for n in range(3)]
    assert counts == [3, 2, 2]
    assert len([m for m in fence.members if m.kind == PIN]) == 7
    found = [f.where for f in check(fence) if f.code == "HINGES-FEW"]
    assert found == ["run A, gate 2"]
    middles = sorted((box(m)[0][2] + box(m)[1][2]) / 2.0 for m in of_leaf(fence, 0, STRAP))
    assert middles[1] == pytest.approx((middles[0] + middles[2]) / 2.0)
    assert not list(clashes(fence))


def test_a_wicket_beside_a_sliding_drive_gate_shares_its_post() -> None:
    """The leaf slides away from the wicket; both are as high, so is the post between them."""
    own = {"section": [150, 150], "embedment": 850}
    drive = {"at": 5500, "opening": 3000, "height": 1200, "slide": {"on": "track"}, "post": own}
    wicket = {"at": 7000 + 150 + 500, "opening": 1000, "height": 1200, "hinge": "right",
              "latch": "ring", "name": "wicket", "post": own}  # fmt: skip
    fence = fence_of({"run": [{"points": [[0, 0], [11000, 0]], "gate": [drive, wicket]}]})
    one, other = fence.layouts[0].openings
    assert one.numbers[1] == other.numbers[0]
    assert len({post.top for post in (*one.posts, *other.posts)}) == 1
    assert len([m for m in fence.members if m.kind == POST]) == len(fence.layouts[0].posts)
    assert not list(clashes(fence))
    ((_, _, slide),) = slides_of(fence, 0)
    ((_, _, swing),) = swings_of(fence, 0)
    assert (slide.met, swing.met) == ("", "")
    assert {c for c in codes(fence) if c.startswith(("SLIDE", "SWING"))} == {"SLIDE-CARE"}
    towards = {**drive, "slide": {"on": "track", "to": "right"}}
    blocked = fence_of({"run": [{"points": [[0, 0], [11000, 0]], "gate": [towards, wicket]}]})
    assert "SLIDE-GATE" in codes(blocked)


def test_a_gate_says_how_wide_its_posts_holes_are() -> None:
    """Its own posts' holes are wider, in members, concrete, table, gate's view and offer."""
    fence = fence_of(spec({"post": {"hole": 450}}, {}))
    own, usual = fence.layouts[0].openings
    sizes = []
    for opening in (own, usual):
        for post in opening.posts:
            (hole,) = [m for m in fence.members if m.station == post.label and m.kind == FOOTING]
            (x0, y0, _), (x1, y1, _) = box(hole)
            sizes.append((round(x1 - x0), round(y1 - y0)))
    assert sizes == [(450, 450)] * 2 + [(300, 300)] * 2
    # 450 x 450 x 750 less the post's 125 x 125 x 700, and the slope from 25 to nothing at its edge
    (hole,) = {m.shape for m in fence.members if m.kind == FOOTING and m.shape.size[0] > 400.0}
    assert hole.excavation == 450.0**2 * 750.0
    posts = " ".join(dict(offered(fence, order(fence))).values())
    assert "holes 300 × 300 mm and holes 450 × 450 mm" in posts  # noqa: RUF001
    assert len(problems(spec({"post": {"hole": 100}}, {"post": {"hole": 110}}))) == 2
    (told,) = problems(spec({"post": {"hole": 100}}))
    assert "run[1].gate[1].post.hole: a hole of 100 x 100 mm does not take a post" in told
