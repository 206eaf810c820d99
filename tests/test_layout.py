"""Properties of random fences: bays, gaps, openings, chains and clashes."""

from __future__ import annotations

import itertools
import math
from typing import Any

import pytest
import shapely
from hypothesis import assume, given, settings

from helpers import fence_of
from palewright.model.basis.errors import SpecError
from palewright.model.basis.findings import Severity
from palewright.model.checks.building_checks import check
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.convex import outer_points
from palewright.model.geometry.facets import faces_of
from palewright.model.geometry.frames import Point
from palewright.model.geometry.post_shapes import Post
from palewright.model.geometry.prisms import Prism, prism_points
from palewright.model.geometry.shapes import Bar, Cap, Plate, Rod, Tenoned
from palewright.model.geometry.turned_shapes import Turned
from palewright.model.layout.run_layout import stations_of_leg
from palewright.model.parts.members import (
    BOLT,
    BRACKET,
    CLOSER,
    FOOTING,
    METAL_CAP,
    PALE,
    POST,
    RAIL,
    SLIDING,
    Member,
)
from palewright.model.parts.touching import may_share_room
from palewright.model.resolved.resolve import resolve
from palewright.model.spec.spec_tables import SpecTables
from strategies import specs

TOUCH = 1e-2
"""Pieces may press into each other by this much, mm: lengths are kept to a ten-thousandth."""


def random_fence(data: dict[str, Any]) -> FenceModel:
    job = resolve(SpecTables.model_validate(data))
    assume(not job.problems)  # the random line crosses itself
    try:
        return fence_of(data)
    except (AssertionError, SpecError):
        assume(False)
        raise


def stops(fence: FenceModel) -> set[str]:
    return {f.code for f in check(fence) if f.severity is Severity.STOP}


@given(specs())
@settings(max_examples=40)
def test_bays_gaps_and_chains(data: dict[str, Any]) -> None:
    fence = random_fence(data)
    layout = fence.layouts[0]
    run = layout.run
    found = stops(fence)
    for stretch in layout.stretches:
        assert max(stretch.bays) <= run.posts.bay * (1 + 1e-9)
        if run.posts.layout == "equal" and not run.set_posts and run.panels is None:
            assert max(stretch.bays) - min(stretch.bays) <= 1e-6
        row = stretch.row
        if not found:
            assert row.gap <= run.pales.gap_max + 1e-6
        places = iter(row.places)
        for _, spacing in row.parts:
            pales = list(itertools.islice(places, spacing.count))
            ends = [(place.edge, place.edge + place.kind.width) for place in pales]
            gaps = [after - before for (_, before), (after, _) in zip(ends, ends[1:])]
            assert gaps == pytest.approx([spacing.gap] * len(gaps), abs=1e-6)
            assert spacing.gap >= run.pales.least_gap
            assert [place.layer for place in pales] == [
                number % len(run.layers) for number in range(len(pales))
            ]
        assert next(places, None) is None
    for number, leg in enumerate(layout.legs):
        xs = [x for x, _ in stations_of_leg(layout, number)]
        assert xs[0] == pytest.approx(0.0, abs=1e-6)
        assert math.fsum(b - a for a, b in zip(xs, xs[1:])) == pytest.approx(leg.length, abs=1e-6)
    chainages = sorted(post.chainage for post in layout.posts)
    assert chainages[0] == pytest.approx(0.0, abs=1e-6)
    assert chainages[-1] == pytest.approx(run.line.length, abs=1e-6)
    labels = [post.label for post in sorted(layout.posts, key=lambda post: post.chainage)]
    assert labels == sorted(labels)
    for post in layout.posts:
        if post.kind in ("line", "end"):
            # measured along the user's own points, whichever side the front is on
            assert _along(data["run"][0]["points"], post.chainage) == pytest.approx(
                _foot(fence, post.label), abs=1e-3
            )


def _along(points: list[list[float]], chainage: float) -> Point:
    spot = shapely.LineString(points).interpolate(chainage)
    return spot.x, spot.y


def _foot(fence: FenceModel, label: str) -> Point:
    layout = fence.layouts[0]
    for number, leg in enumerate(layout.legs):
        for x, post in stations_of_leg(layout, number):
            if post.label == label:
                return leg.frame.point((x, 0.0, 0.0))[:2]
    raise AssertionError(label)


@given(specs())
@settings(max_examples=40)
def test_openings_stay_clear_and_leaves_fill_them(data: dict[str, Any]) -> None:
    fence = random_fence(data)
    layout = fence.layouts[0]
    run = layout.run
    for opening in layout.openings:
        assert opening.end - opening.start == pytest.approx(opening.spec.opening, abs=1e-6)
        made = opening.leaves
        assert len(made) == opening.spec.leaves
        if opening.spec.slide is not None:
            continue  # behind the posts, and lapping them
        clear = 2 * run.gates.hinge_clearance if len(made) == 2 else run.gates.hinge_clearance
        taken = sum(leaf.width for leaf in made) + clear + run.gates.latch_clearance
        assert taken == pytest.approx(opening.spec.opening, abs=1e-6)
        leg = opening.leg
        inside = shapely.box(opening.start + TOUCH, -1e3, opening.end - TOUCH, 1e3)
        for member in fence.members:
            if member.leg == opening.leg and "gate" not in member.group and member.kind != FOOTING:
                assert not _plan(member, leg.frame.local).intersects(inside), member.name


@given(specs())
@settings(max_examples=50)
def test_members_do_not_stand_in_each_other(data: dict[str, Any]) -> None:
    """Plan outline and height of every piece: none overlap but bolts, brackets and concrete.

    Brackets and what gates slide by hug what they hold, tenons sit, and closers stand beside
    slanting braces, in hollows
    that an outline cannot show (the check of clashes has them already); solids of
    the examples and of a fence of every corner are checked elsewhere.
    """
    fence = random_fence(data)
    assume(not stops(fence) - {"GAP-WIDE", "LEAF-GAP-WIDE", "RAIL-LONG"})
    no_clash(fence)


OF_HOLLOWS = (BOLT, BRACKET, CLOSER, FOOTING, METAL_CAP, *SLIDING)
"""What an outline says too little of."""


def no_clash(fence: FenceModel) -> None:
    pieces = [m for m in fence.members if m.kind not in OF_HOLLOWS]
    plans = [_plan(member) for member in pieces]
    heights = [_height(member) for member in pieces]
    shrunk = [plan.buffer(-TOUCH) for plan in plans]
    tree = shapely.STRtree(plans)
    for one, other in tree.query(shrunk, predicate="intersects").T:
        kinds = {pieces[one].kind, pieces[other].kind}
        let_in = kinds == {RAIL, POST} and fence.layouts[0].run.rails.let_in
        shares = kinds != {RAIL, POST} and may_share_room(*(pieces[n].kind for n in (one, other)))
        if one < other and not let_in and not shares:
            low = max(heights[one][0], heights[other][0])
            high = min(heights[one][1], heights[other][1])
            overlap = shrunk[one].intersection(shrunk[other]).area
            assert high - low < TOUCH or overlap < TOUCH, (
                pieces[one].name, pieces[one].role, pieces[other].name, pieces[other].role,
            )  # fmt: skip


@given(specs())
@settings(max_examples=40)
def test_marks_stand_for_shapes(data: dict[str, Any]) -> None:
    fence = random_fence(data)
    shapes = {mark: {m.finished for m in group} for mark, group in fence.by_mark.items()}
    assert all(len(found) == 1 for found in shapes.values())
    keys = {(group[0].kind, group[0].finished) for group in fence.by_mark.values()}
    assert len(keys) == len(shapes)
    names = [member.name for member in fence.members]
    assert len(set(names)) == len(names)
    posts = [member for member in fence.members if member.kind == POST and member.run == 0]
    assert len(posts) == len(fence.layouts[0].posts)
    wanted = sum(s.row.count for s in fence.layouts[0].stretches)
    own = [m for m in fence.members if m.run == 0]
    assert sum(m.kind == PALE and m.leaf is None for m in own) == wanted


def _points(member: Member) -> list[tuple[float, float, float]]:
    match member.shape:
        case Bar() | Post() | Cap() as shape:
            return [vertex for face in faces_of(shape) for vertex in face]
        case Plate(outline, thickness):
            return [(x, y, z) for x, z in outline.flatten(0.1) for y in (0.0, thickness)]
        case Prism():
            return prism_points(member.shape, 0.1)
        case Tenoned(bar):
            return [vertex for face in faces_of(bar) for vertex in face]
        case Turned():
            return [(x, 0.0, z) for r, z in member.shape.profile(8) for x in (-r, r)]
        case Rod(diameter, length):
            turns = [2 * math.pi * n / 24 for n in range(24)]
            r = diameter / 2
            return [(r * math.cos(t), r * math.sin(t), z) for t in turns for z in (0.0, length)]
    return [(float(x), float(y), float(z)) for x, y, z in outer_points(member.shape)]


def _plan(member: Member, local: Any = None) -> Any:
    points = (
        [member.frame.point(point) for point in _points(member)]
        if member.kind
        not in (
            BOLT,
            BRACKET,
        )
        else [member.frame.origin]
    )
    if local is not None:
        points = [local(point) for point in points]
    return shapely.MultiPoint([(x, y) for x, y, _ in points]).convex_hull


def _height(member: Member) -> tuple[float, float]:
    zs = [member.frame.point(point)[2] for point in _points(member)]
    return min(zs), max(zs)


def test_a_line_may_run_either_way_round() -> None:
    """The same posts in the same places, whichever side the front is on."""
    base = {"points": [[0, 0], [9000, 0], [9000, 7000]], "gate": [{"at": 3000}]}
    right = fence_of({"run": [{**base, "front": "right"}]}).layouts[0]
    left = fence_of({"run": [{**base, "front": "left"}]}).layouts[0]
    for one, other in zip(right.posts, sorted(left.posts, key=lambda p: p.chainage)):
        assert one.label == other.label
        assert one.chainage == pytest.approx(other.chainage)
        assert one.kind == other.kind


def test_the_make_up_bay_comes_last_as_the_user_counts() -> None:
    for front in ("left", "right"):
        run = {"points": [[0, 0], [5000, 0]], "front": front}
        layout = fence_of({"run": [run], "posts": {"layout": "standard", "bay": 1800}}).layouts[0]
        chainages = sorted(post.chainage for post in layout.posts)
        assert chainages == pytest.approx([0, 1800, 3600, 5000])


def test_a_closed_run_counts_each_corner_once() -> None:
    ring = {"points": [[0, 0], [6000, 0], [6000, 4000], [0, 4000]], "closed": True}
    for front in ("left", "right"):
        layout = fence_of({"run": [{**ring, "front": front}]}).layouts[0]
        corners = [post for post in layout.posts if post.kind == "corner"]
        assert [round(post.chainage) for post in sorted(corners, key=lambda p: p.chainage)] == [
            0, 6000, 10000, 16000,
        ]  # fmt: skip
        assert not [post for post in layout.posts if post.kind == "end"]
        assert layout.posts[0].label == "A01"


def test_a_gate_at_the_end_shares_the_end_post() -> None:
    run = {"points": [[0, 0], [6000, 0]], "gate": [{"at": 562.5}]}
    layout = fence_of({"run": [run]}).layouts[0]
    assert [post.kind for post in layout.posts][:2] == ["gate", "gate"]
    assert layout.openings[0].start == pytest.approx(62.5)


@pytest.mark.parametrize("turn", [60, 75, 90, 105, 120, 150])
@pytest.mark.parametrize("front", ["left", "right"])
@pytest.mark.parametrize("corners", ["mitre", "butt"])
def test_rails_keep_clear_of_posts_at_every_corner(turn: int, front: str, corners: str) -> None:
    x, y = math.cos(math.radians(turn)), math.sin(math.radians(turn))
    points = [[0, 0], [4000, 0], [4000 + 4000 * x, 4000 * y]]
    data = {
        "run": [{"points": points, "front": front}],
        "rails": {"corners": corners},
        "pales": {"head": "square"},
    }
    no_clash(fence_of(data))


def test_bolts_of_two_legs_pass_each_other_in_a_corner_post() -> None:
    fence = fence_of({"run": [{"points": [[0, 0], [5000, 0], [5000, 5000]]}]})
    near = [
        member
        for member in fence.members
        if member.kind == BOLT and math.dist(member.frame.origin[:2], (5000, 0)) < 150
    ]
    levels = sorted(member.frame.origin[2] for member in near)
    assert len(levels) == 4
    assert all(b - a > 10.0 + 2.0 for a, b in zip(levels, levels[1:]))
