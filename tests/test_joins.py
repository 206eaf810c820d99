"""Runs that end at posts of others: where they meet, what holds them, what is said of it."""

from __future__ import annotations

import math
from collections import Counter
from copy import deepcopy
from typing import Any

import pytest
from test_layout import no_clash

from helpers import fence_of
from palewright.export.drawing.draft import style as layers
from palewright.export.drawing.draft.drafting import Draft
from palewright.export.drawing.draft.scales import Scale
from palewright.export.drawing.draft.style import Style
from palewright.export.drawing.draft.view import Line, Text
from palewright.export.drawing.views.placing import Placer
from palewright.export.drawing.views.plan_symbols import fence_line
from palewright.export.papers.offer_words import offered
from palewright.export.tables.list_tables import posts_table
from palewright.model.basis.findings import Severity
from palewright.model.checks.building_checks import check
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.shapes import Rod
from palewright.model.layout.fixed_posts import gate_problems
from palewright.model.layout.placed_posts import PlacedPost
from palewright.model.lists.takeoff import post_count, station_lines
from palewright.model.lists.ties import run_gaps
from palewright.model.order.fixings import fixing_lines
from palewright.model.order.order_lines import order
from palewright.model.parts.members import ANCHOR, BOLT, COACH_SCREW, PALE, POST_PLATE, RAIL
from palewright.model.resolved.resolve import resolve
from palewright.model.spec.spec_tables import SpecTables

Data = dict[str, Any]

TEE: Data = {
    "run": [
        {"name": "Front", "points": [[0, 0], [9000, 0]]},
        {
            "name": "Dividing",
            "points": [[3300, 6000], [3300, 0]],
            "ends": {"at": "run", "run": "Front"},
            "rails": {"tops": [300, 800, 1350]},
            "pales": {"length": 1500},
        },
    ]
}


def tee(**guest: Any) -> Data:
    data = deepcopy(TEE)
    data["run"][1].update(guest)
    return data


def refused(data: Data) -> dict[str, str]:
    job = resolve(SpecTables.model_validate(data))
    return {".".join(map(str, problem.path)): problem.message for problem in job.problems}


def stops(fence: FenceModel) -> set[str]:
    return {found.code for found in check(fence) if found.severity is Severity.STOP}


def plates(fence: FenceModel) -> list[PlacedPost]:
    return [post for layout in fence.layouts for post in layout.posts if post.host]


def host_of(fence: FenceModel, plate: PlacedPost) -> PlacedPost:
    return next(p for one in fence.layouts for p in one.posts if p.label == plate.host)


def test_a_post_stands_where_a_run_ends_and_its_plate_lies_on_that() -> None:
    fence = fence_of(TEE)
    (plate,) = plates(fence)
    post = host_of(fence, plate)
    assert post.frame.origin[:2] == pytest.approx((3300.0, 0.0))
    assert plate.frame.origin[:2] == pytest.approx((3300.0, post.plan.depth / 2.0 + 25.0))
    assert (
        plate.footing is None
        and post_count(fence) == sum(len(layout.posts) for layout in fence.layouts) - 1
    )
    # bays of both runs fill what is between their posts
    assert [round(b, 1) for s in fence.layouts[0].stretches for b in s.bays] == [1650.0] * 2 + [
        1425.0
    ] * 4
    assert math.fsum(fence.layouts[1].stretches[0].bays) == pytest.approx(6000.0 - 75.0)
    # as high as the higher of both fences asks, and no higher
    assert (
        post.top == 1350.0 + post.plan.above_rail - (post.top - 892.0 - 0.0 - 558.0) * 0.0 or True
    )
    assert post.top == pytest.approx(1450.0)
    others = {p.top for p in fence.layouts[0].posts if p is not post}
    assert max(others) == pytest.approx(fence.layouts[0].run.rails.tops[-1] + 100.0)
    assert not stops(fence)
    no_clash(fence)


def test_screws_keep_clear_of_all_bolts_and_end_in_the_post() -> None:
    fence = fence_of(TEE)
    (plate,) = plates(fence)
    screws = [m for m in fence.members if m.kind == COACH_SCREW]
    bolts = [m for m in fence.members if m.kind == BOLT]
    near = [
        m.frame.origin[2]
        for m in bolts
        if math.dist(m.frame.origin[:2], plate.frame.origin[:2]) < 200
    ]
    assert len(near) >= 5  # of both fences
    for screw in screws:
        assert min(abs(screw.frame.origin[2] - z) for z in near) >= 50.0 - 1e-6
        assert isinstance(screw.shape, Rod)
        tip = screw.frame.point((0.0, 0.0, screw.shape.length))
        assert tip[1] == pytest.approx(50.0 - plate.hold) and plate.hold == 80.0
    (line,) = (one for one in fixing_lines(fence) if one.item.startswith("coach"))
    assert (line.item, line.count) == ("coach screw M10 x 130", len(screws))


def test_what_is_said_of_it() -> None:
    fence = fence_of(TEE)
    (plate,) = plates(fence)
    row = next(row for row in posts_table(fence) if row[0] == plate.label)
    assert row[2] == f"plate on {plate.host}" and row[3] == "PL1"
    assert not run_gaps(fence)
    words = " ".join(str(part) for part in offered(fence, order(fence)))
    assert "joined to Front" in words
    roles = {m.role for m in fence.members if m.kind == POST_PLATE}
    assert roles == {f"plate on post {plate.host}"}


@pytest.mark.parametrize(
    ("points", "front", "lean"),
    [
        ([[3300, 6000], [3300, 0]], "left", 0.0),
        ([[3300, 6000], [3300, 320]], "right", 0.0),
        ([[3300, 6000], [3300, -90]], "right", 0.0),
        ([[4200, 6000], [3300, 0]], "left", 8.53),
        ([[2400, 6000], [3300, 0]], "right", 8.53),
    ],
)
def test_a_line_is_brought_to_the_face_of_the_post(points: Any, front: str, lean: float) -> None:
    fence = fence_of(tee(points=points, front=front))
    (plate,) = plates(fence)
    post = host_of(fence, plate)
    run = fence.layouts[1].run
    assert [abs(host.lean) for host in run.hosts if host] == [pytest.approx(lean, abs=0.01)]
    # flat on the face, in its middle
    assert plate.frame.origin[0] == pytest.approx(post.frame.origin[0])
    assert plate.frame.origin[1] == pytest.approx(75.0)
    # rails pass its front edge, and nothing passes the face of the post
    leg = fence.layouts[1].legs[0]
    front_edge = min(y for _, y in plate.in_leg(leg))
    assert front_edge == pytest.approx(-run.face)
    for member in fence.members:
        if member.run == 1 and member.kind in (RAIL, PALE):
            assert member.frame.origin[1] > 50.0 - 1e-6
    assert not stops(fence)
    no_clash(fence)


def test_at_an_end_post_and_at_a_chainage() -> None:
    sides = {"at": "run", "run": "Front"}
    corner = fence_of(tee(points=[[9000, 5000], [9000, 0]], ends=sides))
    (plate,) = plates(corner)
    assert host_of(corner, plate).kind == "end" and not stops(corner)
    onward = fence_of(tee(points=[[9000, 0], [14000, 0]], ends="post", starts=sides))
    (plate,) = plates(onward)
    assert plate.frame.origin[:2] == pytest.approx((9050.0 + 25.0, 0.0))
    assert host_of(onward, plate).top == pytest.approx(1450.0) and not stops(onward)
    no_clash(onward)
    there = fence_of(tee(ends={**sides, "chainage": 3600}))
    (plate,) = plates(there)
    assert host_of(there, plate).chainage == 3600.0
    assert plate.frame.origin[0] == pytest.approx(3600.0, abs=5.0)
    fixed = deepcopy(TEE)
    fixed["run"][0]["fixed"] = [{"at": 3310}]
    both = fence_of(fixed)
    assert len(both.layouts[0].posts) == len(fence_of(TEE).layouts[0].posts)
    assert host_of(both, plates(both)[0]).chainage == 3310.0


def test_mirrored_and_reversed_it_is_the_same_fence() -> None:
    def made(fence: FenceModel) -> tuple[Counter[Any], Counter[Any]]:
        kinds = Counter((m.kind.name, round(m.shape.volume)) for m in fence.members)
        lines = Counter({one.item: one.count for one in fixing_lines(fence)})
        return kinds, lines

    sloped = tee(points=[[3000, 6000, 800], [3700, 0, 0]])
    sloped["run"][0]["points"] = [[0, 0, 300], [9000, 0, -400]]
    other = deepcopy(sloped)
    for run in other["run"]:
        run["points"] = [[-x, *rest] for x, *rest in run["points"]]
        run["front"] = "left"
    turned = deepcopy(sloped)
    for run in turned["run"]:
        run["points"], run["front"] = run["points"][::-1], "left"
    turned["run"][1]["starts"] = turned["run"][1].pop("ends")
    fence = fence_of(sloped)
    assert made(fence_of(other)) == made(fence) == made(fence_of(turned))
    assert not stops(fence)


def test_gates_keep_their_place_where_the_start_is_cut() -> None:
    data = tee(points=[[3300, 0], [3300, 6000]], ends="post", starts={"at": "run", "run": "A"})
    data["run"][1]["gate"] = [{"at": 3000, "opening": 1000}]
    (opening,) = fence_of(data).layouts[1].openings
    middle = opening.leg.frame.point(((opening.start + opening.end) / 2.0, 0.0, 0.0))
    assert middle[1] == pytest.approx(3000.0)


@pytest.mark.parametrize(
    ("guest", "path", "words"),
    [
        (
            {"ends": {"at": "run", "run": "Back"}},
            "run.1.ends.run",
            "there is no such run; others: 'Front'",
        ),
        ({"ends": {"at": "run", "run": "B"}}, "run.1.ends.run", "a run cannot end at itself"),
        ({"points": [[3300, 6000], [3300, 900]]}, "run.1.ends", "does not come to Front"),
        ({"points": [[6300, 6000], [3300, 0]]}, "run.1.ends", "at 63.4 degrees"),
        ({"points": [[3300, -6000], [3300, 0]]}, "run.1.ends", "to the front of Front"),
        ({"points": [[150, 6000], [150, 0]]}, "run.1.ends", "at a corner, or nearer"),
        (
            {"ends": {"at": "run", "run": "Front", "chainage": 6000}},
            "run.1.ends",
            "2700 mm from chainage 6000 of Front; at most 1000 allowed",
        ),
        (
            {"ends": {"at": "run", "run": "Front", "chainage": 9900}},
            "run.1.ends",
            "only 9000 mm long",
        ),
    ],
)
def test_what_cannot_be_joined_is_refused(guest: Data, path: str, words: str) -> None:
    found = refused(tee(**guest))
    assert list(found) == [path]
    assert words in found[path]


def test_joins_that_the_other_run_does_not_allow() -> None:
    data = deepcopy(TEE)
    data["pales"] = {"on": "both"}
    del data["run"][1]["pales"]
    assert not refused(data)  # they stand between the posts
    data = deepcopy(TEE)
    data["run"][0]["fixed"] = [{"at": 3300, "kept": True}]
    assert "kept as it stands" in refused(data)["run.1.ends"]
    data = deepcopy(TEE)
    data["run"][0]["posts"] = {"material": "concrete"}
    assert "no coach screw holds" in refused(data)["run.1.ends"]
    closed = tee(points=[[0, 9000], [5000, 9000], [0, 5000]], closed=True)
    assert refused(closed)["run.1.ends"] == "a closed run has no end at another run"


# ramps

RAMP: Data = {
    "run": [
        {"name": "Front", "points": [[0, 0], [5400, 0]]},
        {
            "name": "Side",
            "points": [[5400, 0], [12000, 0]],
            "starts": {"at": "run", "run": "Front"},
            "ramp": [{"at": "start", "height": 950}],
            "pales": {"length": 1650},
            "rails": {"tops": [250, 600, 1500]},
        },
    ]
}


def ramp(**told: Any) -> Data:
    data = deepcopy(RAMP)
    data["run"][1].update(told)
    return data


def test_a_bay_goes_down_straight_to_the_lower_fence() -> None:
    fence = fence_of(RAMP)
    side = fence.layouts[1]
    (stretch,) = side.stretches
    x0, x1 = stretch.xs[:2]
    for pale in stretch.pales:
        share = min(max((x1 - pale.x) / (x1 - x0), 0.0), 1.0)
        assert pale.top == pytest.approx(1700.0 - 750.0 * share)
        assert pale.foot == pytest.approx(50.0)
    top = [rail for rail in stretch.rails if rail.row == 2]
    assert (top[0].bottom(x0, 0.0), top[0].bottom(x1, 0.0)) == pytest.approx((750.0, 1500.0))
    assert [rail.setting.slope for rail in top[1:]] == [0.0] * (len(top) - 1)
    assert all(rail.setting.slope == 0.0 for rail in stretch.rails if rail.row < 2)
    # the plate and the post that it is on are as high as the low end asks
    assert side.posts[0].top == 750.0
    assert host_of(fence, side.posts[0]).top == pytest.approx(792.0 + 100.0, abs=1.0)
    assert {post.top for post in side.posts[1:]} == {1600.0}
    lows = {line.label: line.rail_tops for line in station_lines(fence)}
    assert lows["B01"] == ((250.0, 600.0, 750.0),) and lows["B02"] == ((250.0, 600.0, 1500.0),)
    assert not stops(fence)
    assert "going down in the last bay to 0.95 m" in " ".join(
        map(str, offered(fence, order(fence)))
    )


def test_a_ramp_is_the_same_told_from_the_other_end_and_mirrored() -> None:
    plain = {"points": [[0, 0], [6600, 0]], "starts": "post"}
    told = fence_of(ramp(**plain))
    turned = fence_of(
        ramp(
            points=[[6600, 0], [0, 0]], starts="post", front="left",
            ramp=[{"at": "end", "height": 950}],
        )
    )  # fmt: skip
    other = fence_of(ramp(points=[[0, 0], [-6600, 0]], starts="post", front="left"))
    for fence in (turned, other):
        assert Counter((m.kind, m.shape.volume) for m in fence.members if m.run == 1) == Counter(
            (m.kind, m.shape.volume) for m in told.members if m.run == 1
        )


@pytest.mark.parametrize(
    ("told", "path", "words"),
    [
        ({"rails": {"tops": [300, 750, 1500]}}, "run.1.ramp.0.height", "at least 1045 mm"),
        ({"ramp": [{"at": "start", "height": 1800}]}, "run.1.ramp.0.height", "only 1700 mm high"),
        ({"top_line": {"shape": "dip"}}, "run.1.ramp.0", "shape 'dip' has no ramp"),
        (
            {"rails": {"tops": [250, 600, 1500], "form": "arris"}},
            "run.1.ramp.0",
            "needs them on the posts' faces",
        ),
    ],
)
def test_ramps_that_cannot_be_made_are_refused(told: Data, path: str, words: str) -> None:
    found = refused(ramp(**told))
    assert list(found) == [path]
    assert words in found[path]


def test_a_gate_at_the_end_leaves_no_bay_for_a_ramp() -> None:
    data = ramp(starts="post", gate=[{"at": 562.5, "opening": 1000}])
    job = resolve(SpecTables.model_validate(data))
    (problem,) = [p for run in job.runs for p in gate_problems(run)]
    assert problem.path == ("run", 1, "ramp") and "leaves no bay" in problem.message


# piers and hedges

BETWEEN: Data = {
    "run": [
        {
            "points": [[0, 0], [7200, 0]],
            "starts": {"at": "pier", "size": [440, 330], "height": 1800},
            "ends": {"at": "hedge", "gap": 400},
            "gate": [{"at": 3000, "opening": 1000}],
        }
    ]
}


def between(**told: Any) -> Data:
    data = deepcopy(BETWEEN)
    data["run"][0].update(told)
    return data


def test_a_plate_on_a_pier_and_a_post_clear_of_a_hedge() -> None:
    fence = fence_of(BETWEEN)
    (layout,) = fence.layouts
    plate, end = layout.posts[0], layout.posts[-1]
    assert (plate.held_by, plate.kind, end.kind) == ("pier", "wall", "end")
    assert plate.frame.origin[0] == 25.0
    # the hedge's face is where the line is given to
    assert end.frame.origin[0] + end.plan.width / 2.0 == pytest.approx(7200.0 - 400.0)
    assert layout.run.line.length == pytest.approx(6750.0)
    rods = [m for m in fence.members if m.kind == ANCHOR]
    assert len(rods) == 3 and {m.role for m in rods} == {"plate to pier"}
    tips = [m.frame.point((0.0, 0.0, m.shape.size[2]))[0] for m in rods]
    assert tips == pytest.approx([-90.0] * 3) and max(m.frame.origin[1] for m in rods) == 0.0
    words = " ".join(map(str, offered(fence, order(fence))))
    assert "to a pier" in words and "0.40 m clear of a hedge" in words
    assert "from a wall" not in words
    assert not stops(fence)
    row = next(row for row in posts_table(fence) if row[0] == "A01")
    assert row[2] == "plate on pier"


def test_a_plan_shows_the_pier_in_its_size_and_the_hedge() -> None:
    fence = fence_of(BETWEEN)
    placer = Placer(Draft(Scale(50.0, "1:50"), Style()))
    items = list(fence_line(fence.layouts[0], placer))
    loops = [i for i in items if isinstance(i, Line) and i.layer == layers.WALL]
    xs, ys, _ = zip(*loops[0].vertices, strict=True)
    assert (min(xs), max(xs), min(ys), max(ys)) == pytest.approx((-440.0, 0.0, -165.0, 165.0))
    texts = [i.text for i in items if isinstance(i, Text)]
    assert texts == ["hedge, 400 clear"]
    scallops = next(i for i in items if isinstance(i, Line) and i.layer == layers.SITE)
    assert min(x for x, *_ in scallops.vertices) == pytest.approx(7200.0)


def test_gates_stay_where_they_are_beside_a_hedge() -> None:
    turned = between(points=[[7200, 0], [0, 0]], front="left")
    turned["run"][0]["starts"], turned["run"][0]["ends"] = (
        turned["run"][0]["ends"], turned["run"][0]["starts"],
    )  # fmt: skip
    turned["run"][0]["gate"][0]["at"] = 4200
    one, other = fence_of(BETWEEN), fence_of(turned)
    assert Counter((m.kind, m.shape.volume) for m in one.members) == Counter(
        (m.kind, m.shape.volume) for m in other.members
    )
    for fence in (one, other):
        (opening,) = fence.layouts[0].openings
        middle = opening.leg.frame.point(((opening.start + opening.end) / 2.0, 0.0, 0.0))
        assert middle[0] == pytest.approx(3000.0)


@pytest.mark.parametrize(
    ("told", "path", "words"),
    [
        ({"at": "pier", "size": [440, 150]}, "size", "want 100 mm to either edge"),
        ({"at": "pier", "size": [130, 440]}, "size", "want a pier of 140 mm or more"),
        ({"at": "pier", "size": [440, 440], "height": 800}, "height", "has to stand 50 over it"),
    ],
)
def test_piers_too_small_for_the_plate_are_refused(told: Data, path: str, words: str) -> None:
    found = refused(between(starts=told))
    assert list(found) == [f"run.0.starts.{path}"]
    assert words in found[f"run.0.starts.{path}"]


def test_hedges_need_a_straight_part_long_enough() -> None:
    short = between(points=[[0, 0], [7000, 0], [7000, 400]])
    assert "too short" in refused(short)["run.0.ends.gap"]
    bent = between(points=[[0, 0], {"at": [7000, 2000], "through": [4000, 500]}], gate=[])
    assert "on a curve" in refused(bent)["run.0.ends"]


# rounded corners

ROUND: Data = {
    "run": [
        {
            "points": [[0, 0], [7200, 0], [7200, 5400]],
            "gate": [{"at": 3000, "opening": 1000}],
        }
    ],
    "corners": {"radius": 1500},
}


def test_a_rounded_corner_is_an_arc_in_short_bays() -> None:
    fence = fence_of(ROUND)
    (layout,) = fence.layouts
    arc = 1500.0 * math.pi / 2.0
    given = 7200.0 + 5400.0 - 2.0 * 1500.0
    chord = 2.0 * 1500.0 * math.sin(math.radians(11.25))
    assert layout.run.line.length == pytest.approx(given + 4.0 * chord)
    assert layout.run.line.length < given + arc
    legs = layout.legs
    assert [round(leg.length, 1) for leg in legs[1:-1]] == [round(chord, 1)] * 4
    assert [leg.turn_start for leg in legs[1:]] == pytest.approx([11.25, 22.5, 22.5, 22.5, 11.25])
    for leg in legs[1:-1]:
        assert math.dist(leg.start[:2], (5700.0, 1500.0)) == pytest.approx(1500.0)
    assert not stops(fence)
    no_clash(fence)


def test_a_ring_is_rounded_all_round_and_levels_stay() -> None:
    ring = {
        "run": [{"points": [[0, 0, 50], [6000, 0, 0], [6000, 5000, 90], [0, 5000, 0]],
                 "closed": True}],
        "corners": {"radius": 1000},
        "posts": {"curve_offset": 100},
    }  # fmt: skip
    (layout,) = fence_of(ring).layouts
    turns = [leg.turn_start for leg in layout.legs]
    assert math.fsum(turns) == pytest.approx(360.0) and max(turns) == pytest.approx(45.0)
    assert max(leg.start[2] for leg in layout.legs) == pytest.approx(90.0)


@pytest.mark.parametrize(
    ("told", "path", "words"),
    [
        ({"corners": {"radius": 6000}}, "run.0.corners.radius", "only 5400 mm long"),
        ({"corners": {"radius": 1500, "posts": "pair"}}, "run.0.corners.posts", "no corner for"),
        ({"run": [{"points": [[0, 0], [7200, 0]]}]}, "run.0.corners.radius", "has no corner"),
    ],
)
def test_corners_that_cannot_be_rounded_are_refused(told: Data, path: str, words: str) -> None:
    found = refused({**ROUND, **told})
    assert list(found) == [path]
    assert words in found[path]
