"""Fences as their posts were measured: the solids fit the posts, and lists tell what is other."""

from __future__ import annotations

import random
from typing import Any

import numpy as np
import pytest
from exact_clashes import exact_clashes
from hypothesis import given, settings
from hypothesis import strategies as st

from helpers import fence_of
from palewright.export.models.assembly import location_of
from palewright.export.models.product import Product
from palewright.export.tables.as_built_tables import as_built_tables
from palewright.model.basis.errors import Problem
from palewright.model.checks.building_checks import check
from palewright.model.fence.fence_model import FenceModel
from palewright.model.layout.as_built import PACKED, built_job
from palewright.model.layout.run_layout import stations_of_leg
from palewright.model.lists.as_built_lists import bay_changes, post_changes
from palewright.model.order.already_cut import cut_uses
from palewright.model.order.sawing import sawn, timber_lines
from palewright.model.parts.members import RAIL
from palewright.model.resolved.resolve import resolve
from palewright.model.spec.spec_tables import SpecTables

LANE: dict[str, Any] = {
    "run": [
        {
            "name": "lane",
            "points": [[0, 0, 0], [9000, 0, 300], [9000, 6000, 100]],
            "gate": [{"at": 3000}],
        }
    ]
}


def _spec(measured: list[dict[str, Any]], **more: Any) -> dict[str, Any]:
    return {**LANE, "measured": measured, **more}


def _problems(measured: list[dict[str, Any]]) -> list[Problem]:
    job = resolve(SpecTables.model_validate(_spec(measured)))
    assert not job.problems
    return built_job(job)[1]


def _random(dice: random.Random, plan: FenceModel) -> list[dict[str, Any]]:
    """What a tape may say of some posts: out along the line, out of line, higher or lower."""
    told = []
    for post in plan.layouts[0].posts:
        if dice.random() < 0.5:
            told.append(
                {
                    "post": post.label,
                    "along": round(dice.uniform(-60.0, 60.0), 1),
                    "across": round(dice.uniform(-25.0, 25.0), 1),
                    "height": round(post.top + dice.uniform(-10.0, 30.0), 1),
                }
            )
    return told


def test_as_planned_nothing_is_other() -> None:
    plan, built = fence_of(LANE), fence_of(_spec([{"post": "A03", "along": 0, "across": 0}]))
    assert built.members == plan.members


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(6))
def test_what_is_cut_anew_fits_the_posts_that_stand(seed: int) -> None:
    """By the CAD kernel: posts where they were measured, rails on them, nothing in another."""
    dice = random.Random(seed)
    plan = fence_of(LANE)
    told = _random(dice, plan)
    fence = fence_of(_spec(told))
    product = Product(fence)
    places = {post.label: post.frame.origin for post in plan.layouts[0].posts}
    legs = {
        post.label: leg
        for number, leg in reversed(list(enumerate(plan.layouts[0].legs)))
        for _, post in stations_of_leg(plan.layouts[0], number)
    }
    measured = {one["post"]: one for one in told}
    grounds = {post.label: post.frame.origin[2] for post in fence.layouts[0].posts}
    posts = {}
    for member in fence.members:
        if member.kind.name == "post":
            solid = product.solids[member.mark].located(location_of(member.frame))
            posts[member.station] = solid
            one = measured.get(member.station, {})
            frame = legs[member.station].frame
            ux, vx = np.array(frame.x[:2]), np.array(frame.y[:2])
            wanted = np.array(places[member.station][:2])
            wanted = wanted + one.get("along", 0.0) * ux - one.get("across", 0.0) * vx
            centre = solid.Center()
            off = np.array([centre.x, centre.y]) - wanted
            assert abs(off @ ux) < 1.5, member.station  # corners turn a little with their legs
            assert abs(off @ vx) <= PACKED + 1.5, member.station
            if "height" in one:
                top = solid.BoundingBox().zmax - grounds[member.station]
                assert top == pytest.approx(one["height"], abs=1e-6)
    layout = fence.layouts[0]
    wanted_rows = {rail.row for stretch in layout.stretches for rail in stretch.rails}
    rails = [
        product.solids[member.mark].located(location_of(member.frame))
        for member in fence.members
        if member.kind == RAIL
    ]
    for stretch in layout.stretches:
        for post in stretch.posts:
            # rails are packed where the line turns at a gate
            near = 4.0 if post.kind == "gate" else 0.1
            touching = [rail for rail in rails if rail.distance(posts[post.label]) < near]
            assert len(touching) >= len(wanted_rows), post.label
    assert exact_clashes(product) == []
    lengths = {
        mark: length for pieces in sawn(fence).values() for mark, (length, _) in pieces.items()
    }
    for mark, length in lengths.items():
        box = product.solids[mark].BoundingBox()
        longest = max(box.xmax - box.xmin, box.ymax - box.ymin, box.zmax - box.zmin)
        assert length == pytest.approx(longest, abs=0.05), mark


@settings(max_examples=40)
@given(st.integers(0, 10_000))
def test_bays_add_up_to_what_was_measured(seed: int) -> None:
    told = _random(random.Random(seed), fence_of(LANE))
    fence = fence_of(_spec(told))
    out = {one["post"]: one for one in told}
    for change in post_changes(fence):
        one = out.get(change.label, {})
        assert change.along == pytest.approx(one.get("along", 0.0), abs=1e-6)
        assert change.across == pytest.approx(one.get("across", 0.0), abs=1e-6)
        assert abs(change.packing) <= PACKED + 1.5
    assert not {finding.code for finding in check(fence)} & {"MEMBERS-CLASH"}


@settings(max_examples=40)
@given(st.integers(0, 10_000))
def test_seen_from_the_other_side_the_posts_are_the_same(seed: int) -> None:
    """A run told from its far end, front on the other side: the same posts, labels turned round."""
    plan = fence_of(LANE)
    told = _random(random.Random(seed), plan)
    count = len(plan.layouts[0].posts)
    run = {**LANE["run"][0], "points": LANE["run"][0]["points"][::-1], "front": "left",
           "gate": [{"at": 12_000}]}  # fmt: skip
    # the corner is measured along the leg that ends at it, which is another one from here
    told = [one for one in told if one["post"] != "A08"]
    turned = [
        {**one, "post": f"A{count + 1 - int(one['post'][1:]):02d}", "along": -one["along"]}
        for one in told
    ]
    here = fence_of(_spec(told)).layouts[0].posts
    there = fence_of({"run": [run], "measured": turned}).layouts[0].posts
    for one in here:
        other = min(there, key=lambda post: abs(post.frame.origin[0] - one.frame.origin[0])
                    + abs(post.frame.origin[1] - one.frame.origin[1]))  # fmt: skip
        assert other.frame.origin == pytest.approx(one.frame.origin, abs=1e-6)
        assert other.top == pytest.approx(one.top)


def test_taped_bays_put_posts_in_a_chain() -> None:
    plan = fence_of(LANE)
    clear = {(one.first, one.last): one.clear for one in bay_changes(fence_of(_spec(
        [{"post": "A06", "along": 1e-4}])))}  # fmt: skip
    told = [
        {"post": "A04", "to": "A05", "clear": clear["A04", "A05"] + 30},
        {"post": "A05", "to": "A06", "clear": clear["A05", "A06"] - 12},
    ]
    changes = {one.label: one.along for one in post_changes(fence_of(_spec(told[::-1])))}
    assert changes["A05"] == pytest.approx(30, abs=1e-3)
    assert changes["A06"] == pytest.approx(18, abs=1e-3)
    assert changes["A07"] == 0.0
    assert len(changes) == len(plan.layouts[0].posts)


@pytest.mark.parametrize(
    ("measured", "words"),
    [
        ([{"post": "A99", "along": 5}], "no post 'A99'"),
        ([{"post": "A02"}], "give along"),
        ([{"post": "A02", "to": "A04", "clear": 1000}], "next post after A02 is A03"),
        ([{"post": "A02", "to": "A03"}], "a bay has both"),
        ([{"post": "A05", "along": 1500}], "more than 1000 mm"),
        ([{"post": "A05", "along": 900}, {"post": "A06", "along": -800}], "stand in each other"),
        (
            [{"post": "A04", "to": "A05", "clear": 1300}, {"post": "A05", "along": 0}],
            "measure both again",
        ),
    ],
)
def test_what_cannot_have_been_measured_is_asked_about(
    measured: list[dict[str, Any]], words: str
) -> None:
    (problem,) = _problems(measured)
    assert problem.path[0] == "measured"
    assert words in problem.message


def test_a_bay_that_grew_too_long_is_among_the_limits_now_broken() -> None:
    bay = fence_of(LANE).layouts[0].stretches[-1].bays[0]
    limits = {"bay": bay + 20}
    fence = fence_of(_spec([{"post": "A09", "along": 60}], limits=limits))
    rows = as_built_tables(fence)["as-built-limits"][1:]
    assert "BAY-LONG" in {row[0] for row in rows}
    assert len(as_built_tables(fence_of(_spec([{"post": "A09", "along": 5}], limits=limits)))
               ["as-built-limits"]) == 1  # fmt: skip


def test_pieces_cut_before_are_used_cut_down_or_left_over() -> None:
    told = [{"post": "A09", "along": 40}]
    plain = fence_of(_spec(told))
    pales = {m.mark: round(m.shape.size[2], 4) for m in plain.members if m.kind.name == "pale"}
    longest = max(pales.values())
    cut = [
        {"part": "pale", "length": longest, "count": 7},
        {"part": "rail", "length": 9000, "count": 1},
        {"part": "rail", "length": 100, "count": 3},
    ]
    fence = fence_of(_spec(told, cut=cut))
    uses, made = cut_uses(fence)
    assert sum(made.values()) == 8
    assert (uses[0].as_is + sum(n for _, n in uses[0].cut_down), uses[0].left) == (7, 0)
    assert uses[1].cut_down[0][0] == max(
        length for pieces in sawn(fence).values() for mark, (length, _) in pieces.items()
        if mark.startswith("RA")
    )  # fmt: skip
    assert (uses[2].as_is, uses[2].cut_down, uses[2].left) == (0, (), 3)
    pieces = [
        sum(sum(board.count * len(board.pieces) for board in line.plan.boards)
            for line in timber_lines(one))
        for one in (plain, fence)
    ]  # fmt: skip
    assert pieces[0] - pieces[1] == 8
    assert as_built_tables(fence)["cut-already"][1][:3] == ("pale", f"{longest:g}", 7)


def _straight(measured: list[dict[str, Any]], **run: Any) -> FenceModel:
    line = {"points": [[0, 0], [9000, 0]], **run}
    return fence_of({"run": [line], "measured": measured})


def test_a_kept_post_stays_kept_wherever_it_is_found_to_stand() -> None:
    fixed = [{"at": 4500, "kept": True, "name": "oak"}]
    for told in ({"along": 20}, {"across": 20}, {"along": -5, "across": -30, "height": 950}):
        fence = _straight([{"post": "A04", **told}], fixed=fixed)
        post = next(post for post in fence.layouts[0].posts if post.label == "A04")
        assert (post.kept, post.named, post.footing) == (True, "oak", None)
        assert "POST-KEPT" in {finding.code for finding in check(fence)}


def test_a_pier_stays_where_it_is() -> None:
    gap = [{"start": 3000, "end": 3400, "between": "walls"}]
    for told in ({"along": 20}, {"along": 15, "across": 25}):
        fence = _straight([{"post": "A02", **told}], gap=gap)
        plates = [post for post in fence.layouts[0].posts if post.kind == "wall"]
        half = fence.layouts[0].run.walls.plate.width / 2.0
        xs = sorted(post.frame.origin[0] for post in plates)
        assert xs == pytest.approx([3000 - half, 3400 + half], abs=0.3)


@pytest.mark.parametrize("front", ["left", "right"])
def test_a_corner_is_measured_along_the_leg_before_it(front: str) -> None:
    side = -1.0 if front == "left" else 1.0
    run = {"points": [[0, 0], [6000, 0], [6000, side * 4000]], "front": front}
    fence = fence_of({"run": [run], "measured": [{"post": "A05", "along": 50}]})
    corner = next(post for post in fence.layouts[0].posts if post.kind == "corner")
    assert corner.frame.origin[0] == pytest.approx(6050, abs=2)
    assert corner.frame.origin[1] == pytest.approx(0, abs=2)
    change = next(one for one in post_changes(fence) if one.label == corner.label)
    assert change.along == pytest.approx(50)


def test_what_is_wrong_with_posts_that_stand_is_told() -> None:
    low = _straight([{"post": "A03", "height": 700}])
    assert "POST-LOW" in {row[0] for row in as_built_tables(low)["as-built-limits"]}
    for side, away in (("boundary in front", 200), ("boundary behind", -200)):
        over = _straight([{"post": "A03", "across": away}], line_is=side)
        assert "OVER-BOUNDARY" in {row[0] for row in as_built_tables(over)["as-built-limits"]}
        kept = _straight([{"post": "A03", "across": -away}], line_is=side)
        assert "OVER-BOUNDARY" not in {finding.code for finding in check(kept)}


def test_a_hole_that_is_dug_near_a_pipe_stops_nothing_any_more() -> None:
    pipe = {"kind": "pipe", "points": [[3600, -900], [3600, 900]], "clear": 400}
    line = {"points": [[0, 0], [9000, 0]]}
    plan = fence_of({"run": [line], "feature": [pipe], "posts": {"bay": 2400}})
    near = min(plan.layouts[0].posts, key=lambda post: abs(post.frame.origin[0] - 3600))
    towards = 3600 - near.frame.origin[0]
    told = [{"post": near.label, "along": towards / 2.0}]
    built = fence_of({"run": [line], "feature": [pipe], "posts": {"bay": 2400}, "measured": told})
    codes = {finding.code for finding in check(built)}
    assert "HOLE-IN-CLEAR" in codes
    assert "HOLE-ON-SERVICE" not in codes
