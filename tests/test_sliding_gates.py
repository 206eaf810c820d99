"""Gates that slide aside behind the fence, on a track or over carriages."""

from __future__ import annotations

import math
from collections.abc import Callable
from copy import deepcopy
from dataclasses import replace
from functools import cache
from typing import Any

import pytest
from exact_clashes import shared_room
from test_gate_ways import box, codes, problems
from test_symmetry import lists, mirrored, reversed_

from helpers import fence_of
from palewright.export.drawing.draft.style import Style
from palewright.export.drawing.sets.brief import brief_of
from palewright.export.drawing.sets.gate_leaves import part_rows
from palewright.export.drawing.sets.setting_out_tables import opening_rows
from palewright.export.drawing.views.leaf_shown import leaves_shown
from palewright.export.models.product import Product
from palewright.export.page.page_scene import scene_of
from palewright.export.papers.offer_words import offered
from palewright.model.checks.building_checks import check
from palewright.model.checks.clash_checks import clashes
from palewright.model.fence.fence_model import FenceModel
from palewright.model.fence.leaf_hinges import leaf_hinges
from palewright.model.fence.leaf_slides import slides_of
from palewright.model.layout.slides import SlidWay, slid_way
from palewright.model.lists.takeoff import concrete
from palewright.model.order.fixings import fixing_lines, leaf_mass
from palewright.model.order.order_lines import order
from palewright.model.order.sawing import section_of
from palewright.model.parts.members import (
    BEAM,
    CARRIAGE,
    CHANNEL,
    END_STOP,
    FOOTING,
    GATE_BASE,
    GUIDE_POST,
    POST,
    RECEIVER,
    ROLLER,
    TRACK,
    WHEEL,
    Kind,
    Member,
)
from palewright.model.parts.touching import PRESSED, gives, may_share_room
from palewright.model.strength.leaf_loads import hung_leaves
from palewright.model.strength.run_wind import run_winds

Spec = dict[str, Any]


def spec(gate: Spec, **tables: Any) -> Spec:
    """A straight run of 12 m with a gate of 3 m in its middle."""
    gate = {"at": 6500, "opening": 3000, "height": 1200, **gate}
    return {"run": [{"points": [[0, 0], [12000, 0]], "gate": [gate]}], **tables}


TRACKED = spec({"slide": {"on": "track"}})
HELD = spec({"slide": {"on": "cantilever", "to": "right"}, "at": 5000})


@cache
def tracked() -> FenceModel:
    return fence_of(TRACKED)


@cache
def held() -> FenceModel:
    return fence_of(HELD)


def of(fence: FenceModel, kind: Kind) -> list[Member]:
    return [m for m in fence.members if m.kind == kind]


def way_of(fence: FenceModel) -> SlidWay:
    opening = fence.layouts[0].openings[0]
    way = slid_way(opening, opening.leaves[0])
    assert way is not None
    return way


def slid(fence: FenceModel, share: float) -> FenceModel:
    """The fence with its leaf so far on its way."""
    far = leaf_hinges(fence.layouts[0])[0].slides
    assert far is not None

    def moved(member: Member) -> Member:
        if member.leaf is None:
            return member
        x, y, z = (a + share * b for a, b in zip(member.frame.origin, far, strict=True))
        return replace(member, frame=replace(member.frame, origin=(x, y, z)))

    return replace(fence, members=tuple(map(moved, fence.members)))


def test_a_leaf_laps_its_posts_and_opens_as_far_as_the_opening() -> None:
    fence = tracked()
    opening, leaf = fence.layouts[0].hung[0]
    way = way_of(fence)
    assert (opening.start, opening.end) == (5000.0, 8000.0)
    assert (leaf.x0, leaf.x1) == (5000.0 - 450.0, 8000.0 + 50.0)
    assert way.opened[1] == opening.start  # open, its free edge is level with the post's face
    assert way.travel == -(3000.0 + 50.0)
    # behind the posts and the nuts on their backs
    assert leaf.front == 125.0 - 50.0 + 40.0
    (track,), (strip,) = of(fence, TRACK), of(fence, GATE_BASE)
    (x0, y0, z0), (x1, y1, z1) = box(track)
    assert (x0, x1) == way.whole == (4550.0 - 3050.0, 8050.0)
    assert (z0, z1) == (0.0, 16.0)
    assert abs((y0 + y1) / 2.0 - leaf.back - leaf.plan.ledge[1] / 2.0) < 1e-6
    assert box(strip)[1][2] == 0.0
    for wheel in of(fence, WHEEL):
        low, high = box(wheel)
        assert abs(low[2] - 16.0) < 1e-6  # it stands on the track
        assert abs(high[2] - low[2] - 80.0) < 1e-6
    held_by = sorted(box(m) for m in of(fence, END_STOP))
    forks = sorted(box(m) for m in of(fence, CARRIAGE))
    # 5 between stop and fork, shut; and as much when it has gone all its way
    assert abs(held_by[1][0][0] - forks[1][1][0] - 5.0) < 1e-6
    assert abs(forks[0][0][0] + way.travel - held_by[0][1][0] - 5.0) < 1e-6
    assert not list(clashes(fence))


def test_a_cantilever_leaf_hangs_over_carriages_with_no_track() -> None:
    fence = held()
    opening, leaf = fence.layouts[0].hung[0]
    way = way_of(fence)
    assert not of(fence, TRACK)
    assert way.plan.apart == pytest.approx(0.4 * 3000.0)
    (beam,) = of(fence, BEAM)
    (x0, _, _), (x1, _, z1) = box(beam)
    assert (x0, x1) == (leaf.x0, leaf.x1)
    assert z1 == leaf.ledges[0]
    # a square of 60 of 5 mm steel, less a slot of 20
    assert beam.shape.volume == pytest.approx((60.0**2 - 50.0**2 - 20.0 * 5.0) * (x1 - x0))
    carriages = sorted(sum(b[0] for b in box(m)) / 2.0 for m in of(fence, CARRIAGE))
    assert carriages == sorted(way.carriages)
    assert opening.end < carriages[0] < carriages[1] < leaf.x1
    for share in (0.0, 1.0):  # shut and open, both carriages are in the beam
        ends = leaf.x0 + share * way.travel, leaf.x1 + share * way.travel
        assert ends[0] <= carriages[0] - 100.0
        assert carriages[1] + 100.0 <= ends[1]
    assert not list(clashes(fence))


def test_profiles_in_closed_form() -> None:
    fence = tracked()
    (channel,) = of(fence, CHANNEL)
    length = channel.size[1]
    assert length == 3500.0 - 145.0
    assert channel.shape.volume == pytest.approx((30.0**2 - 24.0 * 27.0) * length)
    receiver = of(fence, RECEIVER)[0]
    opening, leaf = fence.layouts[0].hung[0]
    deep = leaf.back + 38.0 + 4.0 + 5.0 - (125.0 - 50.0)  # from the post's back to its own
    # foot, web, and two cheeks from the web on
    area = 40.0 * 5.0 + (deep - 5.0) * 5.0 + 2.0 * 40.0 * 5.0
    assert receiver.shape.volume == pytest.approx(area * 120.0)
    (low, high) = box(receiver)
    assert low[0] < leaf.x1 < high[0] <= opening.end + 125.0
    assert abs(low[1] - 75.0) < 1e-6


@pytest.mark.parametrize("fence", [tracked, held])
def test_a_gate_slides_its_whole_way_without_a_clash(fence: Callable[[], FenceModel]) -> None:
    for share in (0.1, 0.35, 0.6, 0.85, 0.97, 1.0):
        assert not list(clashes(slid(fence(), share))), share
    ((_, _, slide),) = slides_of(fence(), 0)
    assert (slide.met, slide.free) == ("", slide.wanted)


@pytest.mark.slow
@pytest.mark.parametrize("fence", [tracked, held])
def test_a_gate_slides_without_a_clash_of_solids(fence: Callable[[], FenceModel]) -> None:
    """By the CAD kernel: what goes with the leaf against what stands, where their boxes meet."""
    compared = 0
    built = Product(fence())
    standing = [(m, box(m)) for m in fence().members if m.leaf is None]
    for share in (0.0, 0.5, 1.0):
        for one in slid(fence(), share).members:
            low, high = box(one)
            for other, (least, most) in standing if one.leaf is not None else ():
                sides = zip(low, high, least, most, strict=True)
                if max(max(a - d, c - b) for a, b, c, d in sides) > -PRESSED:
                    continue
                if not may_share_room(one.kind, other.kind):
                    assert shared_room(built, one, other)[0] <= gives(one.kind, other.kind)
                    compared += 1
    assert compared > 4  # rollers in their channel and wheels in their beam at the least


def test_guides_and_receivers_keep_it_upright() -> None:
    """The rollers are in the channel shut and open; the guide post is set as the gate's posts."""
    fence = tracked()
    way = way_of(fence)
    (channel,), (post,) = of(fence, CHANNEL), of(fence, GUIDE_POST)
    (x0, y0, z0), (x1, y1, z1) = box(channel)
    for roller in of(fence, ROLLER):
        low, high = box(roller)
        assert y0 + 3.0 <= low[1] < high[1] <= y1 - 3.0
        assert z0 < high[2] < z1
        for share in (0.0, 1.0):
            assert x0 + share * way.travel <= low[0] < high[0] <= x1 + share * way.travel
    assert post.shape.size[:2] == (125.0, 125.0)
    assert box(post)[0][2] == -700.0
    assert box(post)[0][1] > y1
    holes = [m for m in of(fence, FOOTING) if m.role == "guide post"]
    assert len(holes) == 1
    assert section_of(fence, post).use_class == "use class 4"


def test_what_is_in_its_way_is_found() -> None:
    wall = {"kind": "wall", "points": [[3000, 300], [3000, 2000]], "width": 200}
    beside = {"kind": "tree", "points": [[2500, 500]], "width": 400}
    ((_, _, slide),) = slides_of(fence_of({**TRACKED, "feature": [wall]}), 0)
    # from the leaf's tail at 4550 to the wall's near side at 3100
    assert slide.met == ""
    near = {**wall, "points": [[3000, 100], [3000, 2000]]}
    fence = fence_of({**TRACKED, "feature": [near, beside]})
    ((_, _, slide),) = slides_of(fence, 0)
    assert slide.met == "wall"
    assert 4550.0 - 3100.0 - 25.0 <= slide.free <= 4550.0 - 3100.0
    assert "SLIDE-BLOCKED" in codes(fence)
    corner = deepcopy(TRACKED)
    corner["run"][0]["points"] = [[2500, 4000], [2500, 0], [12000, 0]]
    corner["run"][0]["gate"][0]["at"] += 4000 - 2500
    ((_, _, slide),) = slides_of(fence_of(corner), 0)
    # its tail is 2050 from the corner; the other leg's rails are on the far side of its posts
    assert slide.met.startswith("rail")
    assert 2050.0 + 50.0 - 25.0 <= slide.free <= 2050.0 + 50.0


def test_other_gates_ends_and_ground_behind_the_fence_are_looked_at() -> None:
    assert {c for c in codes(tracked()) if c.startswith(("SLIDE", "TRACK"))} == {"SLIDE-CARE"}
    two = deepcopy(TRACKED)
    two["run"][0]["gate"].append({"at": 2500, "opening": 1000})
    assert "SLIDE-GATE" in codes(fence_of(two))
    near = spec({"slide": {"on": "track"}, "at": 3000})
    (found,) = [f for f in check(fence_of(near)) if f.code == "SLIDE-PAST-END"]
    # 1500 to the opening; 3050 of way and 450 of tail
    assert found.measured == "2000 mm past its end"
    sloping = deepcopy(TRACKED)
    sloping["run"][0]["levels"] = [[0, 200], [4500, 0], [12000, 0]]
    (found,) = [f for f in check(fence_of(sloping)) if f.code == "TRACK-GROUND"]
    assert found.measured == f"{200.0 * 3000.0 / 4500.0:.1f} mm over it"
    sloping["run"][0]["levels"] = [[0, -300], [4500, 0], [12000, 0]]
    (found,) = [f for f in check(fence_of(sloping)) if f.code == "TRACK-GROUND"]
    assert found.measured == "200 mm under it"
    short = spec({"slide": {"on": "cantilever", "to": "right", "counterbalance": 0.25}, "at": 5000})
    assert "SLIDE-TAIL" in codes(fence_of(short))
    assert "SLIDE-TAIL" not in codes(held())


@pytest.mark.parametrize(
    ("gate", "said"),
    [
        ({"hinge": "left"}, "gate[1].hinge: a sliding leaf has none"),
        ({"swing": "out"}, "gate[1].swing: a sliding leaf has none"),
        ({"closing": "spring"}, "gate[1].closing: a sliding leaf has none"),
        ({"leaves": 2}, "gate[1].leaves: a sliding gate has one leaf"),
        ({"latch": "ring"}, "gate[1].latch: a sliding leaf is held by a hook"),
        ({"slide": {"on": "track", "counterbalance": 0.5}},
         "gate[1].slide.counterbalance: a leaf on a track has none"),
        ({"height": 600}, "gate[1].height: leaves a sliding leaf too low"),
        ({"post": {"section": [90, 90]}}, "gate[1].slide: the leaf's receiver needs a post 100 mm"),
    ],
)  # fmt: skip
def test_what_no_sliding_leaf_has_is_refused(gate: Spec, said: str) -> None:
    told = problems(spec({"slide": {"on": "track"}, **gate}))
    assert len(told) == 1
    assert said in told[0]


def test_the_order_has_all_of_it() -> None:
    for fence in (tracked(), held()):
        lines = {line.item: line for line in fixing_lines(fence)}
        (track, beam) = (of(fence, TRACK), of(fence, BEAM))
        if track:
            assert lines["gate track 6550"].count == 1
            assert lines["concrete anchor M10 x 100"].count == math.ceil(6550 / 500) + 1
            share = 0.5
        else:
            assert lines[f"gate beam {beam[0].size[1]:g}"].count == 1
            assert lines["concrete anchor M10 x 100"].count == 8
            leaf, way = fence.layouts[0].hung[0][1], way_of(fence)
            # statics: the middle of the leaf beyond the near carriage, over their distance
            lever = abs((leaf.x0 + leaf.x1) / 2.0 - way.carriages[0])
            share = 1.0 + lever / way.plan.apart
        kg = math.ceil(share * leaf_mass(fence, 0, 0))
        (carriage,) = [line for item, line in lines.items() if item.startswith("wheel carriage")]
        assert carriage.note == f"for {kg} kg or more, its share of the leaf"
        assert not [item for item in lines if item.startswith(("hinge", "gate stop"))]
        base = of(fence, GATE_BASE)[0]
        posts = math.fsum(m.shape.volume for m in of(fence, FOOTING))
        assert concrete(fence).volume == pytest.approx(posts + base.shape.volume)
        tasks = {line.item: line.quantity for line in order(fence).lines}
        assert tasks["set post"] == len(of(fence, POST)) + 1 == tasks["dig hole"]


def test_papers_and_page_say_how_it_slides() -> None:
    for fence, words in (
        (tracked(), "one leaf, 1200 mm high, framed, ledges tenoned through stiles of 75 mm, 4 "
                    "braces side by side, uprights between them, sliding to the left behind the "
                    "fence, on a track in the ground"),
        (held(), "sliding to the right behind the fence, over carriages 1200 mm apart on a "
                 "footing, no track across the opening"),
    ):  # fmt: skip
        gates = dict(offered(fence, order(fence)))["Gates"]
        assert words in gates
        assert "hinged" not in gates
        made = brief_of(fence, Style(), None, metres=False)
        ((shown, _),) = leaves_shown(fence)
        rows = part_rows(shown, made)
        assert {row[0] for row in rows[1:]} - {""} == {m.mark for m in shown.members}
        side = "right" if fence is held() else "left"
        assert opening_rows(fence, made.figures)[1][-2:] == [
            "none", f"slides {side}, behind the fence"
        ]  # fmt: skip
        (leaf,) = scene_of(Product(fence), "x")["leaves"]
        assert leaf["degrees"] == 0.0
        assert abs(leaf["slides"][0]) == 3050.0


def test_it_hangs_on_no_post() -> None:
    fence = fence_of({**TRACKED, "wind": {"velocity": 22}})
    (wind,) = run_winds(fence)
    assert not any(hung_leaves(wind, n) for n in range(len(fence.layouts[0].posts)))


@pytest.mark.parametrize("change", [mirrored, reversed_])
@pytest.mark.parametrize("data", [TRACKED, HELD], ids=["tracked", "held"])
def test_sliding_gates_told_from_the_other_end_or_mirrored_are_the_same(
    data: Spec, change: Callable[[Spec], Spec]
) -> None:
    told = {**data, "run": [{**data["run"][0], "front": "right"}]}
    gates = [{"hinge": "left", **gate} for gate in told["run"][0]["gate"]]
    other = change({**told, "run": [{**told["run"][0], "gate": gates}]})
    for gate in other["run"][0]["gate"]:
        flipped = gate.pop("hinge") == "right"
        to = gate["slide"].get("to", "left")
        turned = {"left": "right", "right": "left"}[to]
        gate["slide"] = {**gate["slide"], "to": turned if flipped else to}
    assert lists(fence_of(told)) == lists(fence_of(other))
