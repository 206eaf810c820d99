"""Capping rails: where they lie, what they are made of, and what is told of them."""

from __future__ import annotations

import math
from copy import deepcopy
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from test_pale_ways import flipped, problems, rebuilt_off, turned_about
from test_rebuild import NEAR

from helpers import fence_of
from palewright.export.drawing.draft.figures import Figures
from palewright.export.drawing.sets.materials_used import materials_used
from palewright.export.papers.offer_words import offered
from palewright.model.basis.findings import Severity
from palewright.model.checks.building_checks import check
from palewright.model.checks.clash_checks import clashes
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.shapes import Bar
from palewright.model.layout.heights import highest_point
from palewright.model.order.fixings import fixing_lines
from palewright.model.order.order_lines import order
from palewright.model.parts.capping_rails import capping_fixings
from palewright.model.parts.members import CAPPING, PALE
from palewright.model.solids.bodies import solid_of
from palewright.model.strength.shown import outlines, shown_by_stretch

Data = dict[str, Any]

LEVEL = [[0, 0], [7200, 0], [7200, 4200], [9600, 4200]]
SLOPE = [[0, 0, 0], [7200, 0, 600], [7200, 4200, 300], [9600, 4200, 300]]
GATE = [{"at": 3600, "opening": 1100}]

WAYS: dict[str, Data] = {
    "pales": {"capping": {"groove": 5}},
    "posts": {"capping": {"over": "posts", "falls": "back"}},
    "rake": {"points": SLOPE, "capping": {"falls": "front"}},
    "step": {
        "points": SLOPE, "capping": {}, "pales": {"spaced": "bay"}, "slopes": {"follow": "step"},
    },
    "level top": {
        "points": SLOPE, "capping": {"over": "posts"}, "slopes": {"follow": "level"},
    },
    "between": {"points": SLOPE, "capping": {"groove": 4}, "pales": {"on": "back"}},
    "hit and miss": {"capping": {"over": "posts", "falls": "none"}, "pales": {"on": "both"}},
    "board on board": {"points": SLOPE, "capping": {}, "pales": {"on": "board on board"}},
    "arris": {"points": SLOPE, "capping": {}, "rails": {"form": "arris", "section": [84, 42]}},
}  # fmt: skip


def spec(way: str) -> Data:
    data = deepcopy(WAYS[way])
    run = {"points": data.pop("points", LEVEL), "gate": GATE}
    return {"run": [run], **data, "pales": {"head": "square", **data.get("pales", {})}}


@cache
def capped(way: str) -> FenceModel:
    return fence_of(spec(way))


def cappings(fence: FenceModel) -> list[Any]:
    return [member for member in fence.members if member.kind == CAPPING]


@pytest.mark.parametrize("way", WAYS)
def test_nothing_stands_in_the_way_of_a_capping_rail(way: str) -> None:
    fence = capped(way)
    assert cappings(fence)
    assert not [finding.code for finding in check(fence) if finding.severity is Severity.STOP]
    assert not list(clashes(fence))


@pytest.mark.parametrize("way", WAYS)
def test_it_lies_on_the_top_of_every_pale(way: str) -> None:
    """Every corner of every pale's top is on the underside of a piece."""
    fence = capped(way)
    (layout,) = fence.layouts
    unders: dict[int, list[tuple[float, float, float, float]]] = {}
    for member in cappings(fence):
        frame, bar = layout.legs[member.leg].frame, member.shape
        ends = [frame.local(member.frame.point((x, 0.0, 0.0))) for x in (0.0, bar.length)]
        (x0, _, z0), (x1, _, z1) = ends
        unders.setdefault(member.leg, []).append((x0, x1, z0, (z1 - z0) / (x1 - x0)))
    for pale in fence.members:
        if pale.kind != PALE or pale.leaf is not None:
            continue
        frame = layout.legs[pale.leg].frame
        for x, z, _ in pale.shape.outline.vertices[2:]:
            px, _, pz = frame.local(pale.frame.point((x, 0.0, z)))
            over = [z0 + (px - x0) * slope for x0, x1, z0, slope in unders[pale.leg]
                    if x0 - 125.0 <= px <= x1 + 125.0]  # fmt: skip
            assert min(abs(pz - under) for under in over) < 0.01


@pytest.mark.parametrize("way", WAYS)
def test_its_volume_is_that_of_its_section(way: str) -> None:
    """Section by hand (slab less weathering less grooves) by the length of its middle."""
    fence = capped(way)
    plan = fence.job.runs[0].capping
    assert plan is not None
    halves = {"both": 0.5, "front": 0.5, "back": 0.5, "none": 0.0}[plan.falls]
    area = plan.width * (plan.thickness - halves * plan.fall)
    area -= len(plan.grooves) * plan.groove**2
    for member in cappings(fence):
        bar = member.shape
        assert isinstance(bar, Bar)
        if bar.left.ky == bar.right.ky == 0.0:
            assert bar.volume == pytest.approx(area * bar.length, rel=1e-6)


def test_the_kernel_makes_the_same_of_mitred_and_grooved_pieces() -> None:
    for way in ("pales", "rake", "between"):
        shapes = {member.shape for member in cappings(capped(way))}
        for shape in shapes:
            solid = solid_of(shape)
            assert solid.isValid()
            assert solid.Volume() == pytest.approx(shape.volume, rel=1e-6)


def test_pieces_meet_in_mitres_at_corners_and_run_past_the_ends() -> None:
    fence = capped("pales")
    plan = fence.job.runs[0].capping
    assert plan is not None
    first, *_, last = cappings(fence)
    assert first.frame.origin[0] == pytest.approx(-50.0 - plan.overhang)
    cuts = [(m.shape.left.ky, m.shape.right.ky) for m in cappings(fence)]
    assert sorted(abs(k) for pair in cuts for k in pair if k) == pytest.approx([1.0] * 4)
    assert last.shape.right.ky == 0.0


def test_posts_end_under_it_and_the_top_rail_carries_it() -> None:
    fence = capped("posts")
    run = fence.job.runs[0]
    assert {post.top for post in fence.layouts[0].posts} == {run.height}
    assert run.rails.tops[-1] == run.height
    assert "POST-TOP-FLAT" not in {finding.code for finding in check(fence)}


def test_its_height_is_in_the_planning_figure_and_in_the_wind() -> None:
    fence = capped("posts")
    assert highest_point(fence.layouts[0]) == pytest.approx(982.0)
    stretch = fence.layouts[0].stretches[0]
    shown = shown_by_stretch(outlines(fence)[0, 0, False], stretch)
    assert (shown.foot, shown.top) == pytest.approx((50.0, 982.0))


def test_lists_order_and_words_know_it() -> None:
    fence = capped("posts")
    made = order(fence)
    lines = {line.item: line for line in made.lines}
    assert lines["fix capping rail"].quantity == len(cappings(fence))
    assert any("213 x 32" in item for item in lines)
    told = dict(offered(fence, made))
    assert told["Capping rail"] == (
        "213 \u00d7 32 mm, on the tops of pales and posts, its top sloped to the back; gate leaves "
        "have none."
    )
    (used, *_) = materials_used(fence, 0, fence.layouts[0], Figures())
    assert "a timber capping rail 213 x 32 mm on their tops" in used
    nails = {line.item: line.count for line in fixing_lines(fence)}
    wanted = 4 + sum(  # the ends of the brace of the gate
        capping_fixings(m.shape.size[2]) for m in cappings(fence)
    )
    assert nails["nail 4.5 x 100"] == math.ceil(wanted * 1.1 - 1e-9)


def test_a_capping_rail_in_end_grain_alone_is_told() -> None:
    data = spec("pales") | {"rails": {"tops": [250, 800]}}
    assert "CAPPING-END-GRAIN" in {finding.code for finding in check(fence_of(data))}


@pytest.mark.parametrize(
    ("tables", "said"),
    [
        ({"pales": {}}, 'head = "square"'),
        ({"top_line": {"shape": "dip"}}, 'no "dip" under it'),
        ({"top_line": {"heads": "pale"}}, "is not used"),
        ({"pales": {"head": "square", "turns": [{"length": 900}, {"length": 800}]}}, "one length"),
        ({"pales": {"head": "square", "on": "both"}}, 'over = "posts"'),
        ({"capping": {"width": 200}}, "reaches over the posts' fronts: 73 mm at most"),
        ({"capping": {"width": 30}}, "does not cover"),
        ({"capping": {"fall": 25}}, "leaves edges 7 mm thick"),
        ({"capping": {"falls": "none", "fall": 5}}, "is not used"),
        ({"capping": {"groove": 10}}, "no room under an overhang"),
        ({"capping": {"over": "posts"}, "posts": {"above_rail": 80}}, "is not used"),
        ({"capping": {"over": "posts"}, "posts": {"end": {"top": "flat"}}}, "is not used"),
        ({"posts": {"top": "cap", "above_rail": 20}}, "the cap would meet"),
    ],
)
def test_what_a_capping_rail_does_not_go_with_is_refused(tables: Data, said: str) -> None:
    messages = problems(**{"capping": {}, "pales": {"head": "square"}, **tables})
    assert len(messages) == 1
    assert said in messages[0]


@pytest.mark.parametrize(
    ("tables", "said"),
    [
        ({"capping": {"over": "posts"}}, "their ground slopes"),
        ({"slopes": {"follow": "step"}}, '"bay"'),
    ],
)
def test_ground_that_a_capping_rail_cannot_follow_is_refused(tables: Data, said: str) -> None:
    run = [{"points": [[0, 0, 0], [3600, 0, 300]]}]
    (message,) = problems(**{"run": run, "capping": {}, "pales": {"head": "square"}, **tables})
    assert said in message


def test_a_run_may_go_without() -> None:
    data = spec("pales")
    data["run"].append({"points": [[0, 9000], [3600, 9000]], "capping": {"over": "none"}})
    data["run"][1]["posts"] = {"top": "pyramid"}
    fence = fence_of(data)
    assert {member.run for member in cappings(fence)} == {0}


@pytest.mark.parametrize("change", [flipped, turned_about])
@pytest.mark.parametrize("way", ["pales", "posts", "rake"])
def test_mirrored_and_reversed_fences_have_the_same_cappings(way: str, change: Any) -> None:
    sizes = [
        sorted(round(member.shape.volume, 1) for member in cappings(fence))
        for fence in (capped(way), fence_of(change(spec(way))))
    ]
    assert sizes[0] == pytest.approx(sizes[1], abs=1.0)


@pytest.mark.slow
def test_a_capped_fence_is_built_again_from_the_sheets(tmp_path: Path) -> None:
    """On a rake that bends, round a corner, beside a gate."""
    data = spec("rake")
    data["run"][0]["levels"] = [[5000, 250]]
    off = rebuilt_off(fence_of(data), tmp_path / "capped.dxf")
    assert max(off.values()) < NEAR, off
