"""Things on the site: what posts keep clear of, what a line marks, gaps, and posts that stay."""

from __future__ import annotations

import itertools
import math
from typing import Any

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from helpers import fence_of
from palewright.export.drawing.draft import style as layers
from palewright.export.drawing.draft.drafting import Draft
from palewright.export.drawing.draft.scales import Scale
from palewright.export.drawing.draft.style import Style
from palewright.export.drawing.draft.view import Dimension, Line, Text
from palewright.export.drawing.views.elevation import elevation
from palewright.export.drawing.views.existing import existing_elevation
from palewright.export.drawing.views.front import FrontPart, fronts_of, parts_of_front
from palewright.export.drawing.views.plan import block_plan, setting_out_plan
from palewright.export.models.things import thing_meshes
from palewright.model.checks.building_checks import check
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.frames import Point
from palewright.model.layout.fixed_posts import gate_problems
from palewright.model.lists.crossings import near_things
from palewright.model.lists.takeoff import part_lines, station_lines
from palewright.model.order.order_lines import order
from palewright.model.parts.members import BOLT, FOOTING, KEPT_POST, POST
from palewright.model.resolved.resolve import resolve
from palewright.model.site.features import Feature, Footprint, kept_free, shape_of
from palewright.model.site.site_line import SiteLine
from palewright.model.spec.spec_tables import SpecTables

places = st.floats(-4000.0, 14_000.0).map(lambda x: round(x, 1))
widths = st.floats(0.0, 1500.0).map(lambda x: round(x, 1))


def _feature(points: tuple[Point, ...], **more: Any) -> Feature:
    told = {"closed": False, "width": 0.0, "clear": 0.0, "height": 0.0, "level": None} | more
    return Feature("pipe", "main", points, goes=False, place=0, **told)


def _line(*points: Point) -> SiteLine:
    return SiteLine(tuple((x, y, 0.0) for x, y in points))


@given(
    st.lists(st.tuples(places, places), min_size=1, max_size=5, unique=True), widths, widths,
    st.booleans(), st.tuples(places, places).filter(lambda end: math.hypot(*end) > 500.0),
    st.sampled_from([Footprint(150.0, 0.0, 0.0), Footprint(0.0, 150.0, 200.0)]),
)  # fmt: skip
def test_holes_keep_clear_just_where_they_have_to(
    points: list[Point], width: float, clear: float, closed: bool, end: Point, hole: Footprint
) -> None:
    """Every hole along a leg, against the distance that a geometry library finds."""
    closed = closed and len(points) > 2
    feature = _feature(tuple(points), width=width, clear=clear, closed=closed)
    shape = shape_of(feature)
    if not shape.is_valid:
        return
    leg = _line((0.0, 0.0), end).legs[0]
    zones = list(kept_free(feature, leg, hole))
    for x in np.linspace(0.0, leg.length, 60):
        if hole.radius:
            dug = shapely.Point(leg.frame.point((x, 0.0, 0.0))[:2])
        else:
            a, b = hole.along, hole.across
            ring = [(x - a, -b), (x + a, -b), (x + a, b), (x - a, b)]
            dug = shapely.Polygon([leg.frame.point((u, v, 0.0))[:2] for u, v in ring])
        room = dug.distance(shape) - hole.radius - feature.reach
        inside = any(low < x < high for low, high in zones)
        if abs(room) > 1e-3 and not (room > -1e-3 and feature.reach + hole.radius == 0.0):
            assert inside == (room < 0.0), (x, room)


SITE: dict[str, Any] = {
    "posts": {"bay": 2400},
    "run": [
        {
            "points": [[0, 0], [14_000, 0], [14_000, 6000]],
            "gate": [{"at": 3000}],
            "no_post": [{"start": 5200, "end": 6300, "why": "drain"}],
            "fixed": [{"at": 8100, "kept": True}],
            "gap": [
                {"start": 10_000, "end": 11_200, "name": "way to the stile"},
                {"start": 16_000, "end": 16_400, "between": "walls", "name": "pier"},
            ],
        }
    ],
    "feature": [
        {"kind": "pipe", "name": "water main", "clear": 300,
         "points": [[4400, -3000], [9400, 4000]]},
        {"kind": "tree", "points": [[12_700, 900]], "clear": 800},
        {"kind": "house", "points": [[2000, 3000], [9000, 3000], [9000, 8000], [2000, 8000]]},
    ],
}  # fmt: skip


@pytest.fixture(scope="module")
def site() -> FenceModel:
    return fence_of(SITE)


def _codes(fence: FenceModel) -> set[str]:
    return {finding.code for finding in check(fence)}


def test_posts_keep_clear_of_all_that_is_there(site: FenceModel) -> None:
    for thing in near_things(site):
        assert thing.apart > -1e-3, thing
    layout = site.layouts[0]
    half = layout.run.footings.half_hole
    for post in layout.posts:
        on_first = post.chainage < 14_000
        assert not (on_first and 5200 - half + 1e-3 < post.chainage < 6300 + half - 1e-3)
    assert not _codes(site) & {"HOLE-IN-CLEAR", "HOLE-ON-SERVICE", "SERVICE-WIDTH"}


def test_where_a_pipe_crosses_is_told(site: FenceModel) -> None:
    main = next(thing for thing in near_things(site) if thing.feature.kind == "pipe")
    crossing = shapely.LineString([(4400, -3000), (9400, 4000)]).intersection(
        shapely.LineString([(0, 0), (14_000, 0)])
    )
    assert [one.chainage for one in main.crossings] == pytest.approx([crossing.x])
    post = {line.label: line.chainage for line in station_lines(site)}
    assert post[main.crossings[0].first] < crossing.x < post[main.crossings[0].last]


def test_a_gap_has_no_fence_and_is_as_wide_as_asked(site: FenceModel) -> None:
    layout = site.layouts[0]
    ends = [post for post in layout.posts if post.kind in ("end", "wall")]
    faces = sorted(post.chainage for post in ends)
    half = layout.run.posts.end.width / 2.0
    assert faces[1] + half == pytest.approx(10_000)
    assert faces[2] - half == pytest.approx(11_200)
    plate = layout.run.walls.plate.width / 2.0
    assert faces[3] + plate == pytest.approx(16_000)
    assert faces[4] - plate == pytest.approx(16_400)
    for member in site.members:
        if member.kind not in (FOOTING, BOLT):
            x, y, _ = member.frame.origin
            assert not (10_000 < x < 11_200 and abs(y) < 100), member.name
            assert not (2000 < y < 2400 and x > 13_500), member.name


def test_a_kept_post_is_shown_and_neither_made_nor_dug(site: FenceModel) -> None:
    kept = [member for member in site.members if member.kind == KEPT_POST]
    assert [member.frame.origin[0] for member in kept] == pytest.approx([8100])
    stations = {line.label: line for line in station_lines(site)}
    line = stations[kept[0].station]
    assert (line.hole, line.hole_depth) == ("", 0.0)
    posts = sum(1 for member in site.members if member.kind == POST)
    assert posts == sum(1 for line in stations.values() if line.hole)
    assert sum(line.count for line in order(site).concrete.footings) == posts
    assert {line.kind for line in part_lines(site)} >= {KEPT_POST}
    others = fence_of({**SITE, "run": [{**SITE["run"][0], "fixed": [{"at": 8100}]}]})
    boards = [sum(p.count for p in part_lines(one) if p.kind == POST) for one in (site, others)]
    assert boards[1] == boards[0] + 1


@pytest.mark.parametrize(
    ("feature", "code"),
    [
        ({"kind": "pipe", "points": [[0, -900], [0, 900]], "clear": 500}, "HOLE-ON-SERVICE"),
        ({"kind": "tree", "points": [[0, 300]], "clear": 700}, "HOLE-IN-CLEAR"),
        ({"kind": "cable", "points": [[900, -900], [900, 900]]}, "SERVICE-WIDTH"),
    ],
)
def test_what_cannot_keep_clear_is_found(feature: dict[str, Any], code: str) -> None:
    fence = fence_of({"run": [{"points": [[0, 0], [5000, 0]]}], "feature": [feature]})
    assert code in _codes(fence)
    gone = fence_of(
        {"run": [{"points": [[0, 0], [5000, 0]]}], "feature": [{**feature, "goes": True}]}
    )
    assert code not in _codes(gone)


def test_an_end_post_in_a_part_without_posts_is_found() -> None:
    run = {"points": [[0, 0], [5000, 0]], "no_post": [{"start": 0, "end": 400, "why": "drain"}]}
    assert "HOLE-IN-CLEAR" in _codes(fence_of({"run": [run]}))


def test_no_way_is_told_with_the_zone_and_by_how_much() -> None:
    run = {
        "points": [[0, 0], [9000, 0]],
        "no_post": [{"start": 3000, "end": 5400, "why": "culvert"}],
    }
    job = resolve(SpecTables.model_validate({"run": [run]}))
    (problem,) = gate_problems(job.runs[0])
    # holes 300 wide: middles stay out of 2850 to 5550, 2700 apart, where bays are 1800 at most
    assert "culvert" in problem.message
    assert "2850 to 5550" in problem.message
    assert "900 mm over" in problem.message


KINDS = ("front of posts", "back of posts", "front of pales")


@pytest.mark.parametrize("front", ["left", "right"])
@pytest.mark.parametrize("closed", [False, True])
@pytest.mark.parametrize(
    "line_is", [*KINDS, "boundary in front", "boundary behind", "middle of posts"]
)
def test_the_fence_stands_where_its_line_says(line_is: str, closed: bool, front: str) -> None:
    corners = [[0, 0], [9000, 0], [12_000, 4000], [3000, 7000]]
    inset = 40.0 if "boundary" in line_is else 0.0
    run = {"points": corners, "closed": closed, "front": front, "line_is": line_is, "inset": inset,
           "gate": [{"at": 4000}]}  # fmt: skip
    fence = fence_of({"run": [run], "posts": {"section": [90, 110], "top": {"shape": "cap"}}})
    given = shapely.LinearRing(corners) if closed else shapely.LineString(corners)
    layout = fence.layouts[0]
    job = layout.run
    faces = {
        "front of posts": job.face, "back of posts": -job.face, "front of pales": job.pale_front,
        "middle of posts": 0.0,
    }  # fmt: skip
    side = 1.0 if front == "left" else -1.0  # of the front, seen along the line given
    if line_is in faces:
        left = -side * faces[line_is]
        if closed:  # its left is inside
            behind = shapely.Polygon(corners).buffer(-left, join_style="mitre", mitre_limit=9.0)
            behind = behind.exterior
        else:
            behind = shapely.offset_curve(given, left, join_style="mitre", mitre_limit=9.0)
        for x, y, _ in job.line.vertices:
            assert behind.distance(shapely.Point(x, y)) < 1e-6
        return
    # nothing of the fence comes nearer than the inset: holes and members in plan
    if not closed:
        return
    inside = shapely.Polygon(corners)
    outward = front == "right"  # the ring runs anticlockwise, its left is inside
    for post in layout.posts:
        half = job.footings.half_hole
        spots = itertools.product((-half, half), (-half, half))
        corners_of = [post.frame.point((x, y, 0.0))[:2] for x, y in spots]
        hole = shapely.MultiPoint(corners_of).convex_hull
        within = inside.contains(hole)
        assert within == (outward == (line_is == "boundary in front")), post.label
        assert given.distance(hole) > inset - 1e-6


def test_chainages_go_along_the_line_that_is_given() -> None:
    corners = [[0, 0], [9000, 0], [9000, 8000]]
    run = {
        "points": corners,
        "gate": [{"at": 4000}, {"at": 12_000}],
        "line_is": "boundary in front",
    }
    layout = fence_of({"run": [run]}).layouts[0]
    middles = [
        opening.leg.frame.point(((opening.start + opening.end) / 2.0, 0.0, 0.0))
        for opening in layout.openings
    ]
    assert middles[0][0] == pytest.approx(4000)
    assert middles[1][1] == pytest.approx(3000)


@pytest.mark.parametrize("plan", [setting_out_plan, block_plan])
def test_things_are_on_the_plans(site: FenceModel, plan: Any) -> None:
    view = plan(site, Draft(Scale(100, "1:100"), Style()))
    words = {item.text for item in view.items if isinstance(item, Text)}
    assert {"water main", "tree", "house", "way to the stile", "pier"} <= words
    lines = [item for item in view.items if isinstance(item, Line)]
    pipe = [line for line in lines if line.layer == layers.SERVICE]
    drawn = shapely.union_all([shapely.LineString([v[:2] for v in one.vertices]) for one in pipe])
    # shown round the fence alone, and where it is given
    assert drawn.within(shapely.LineString([(4400, -3000), (9400, 4000)]).buffer(1e-6))
    assert drawn.intersects(shapely.LineString([(0, 0), (14_000, 0)]))
    roots = [line for line in lines if line.layer == layers.KEEP_CLEAR]
    reach = [math.dist(vertex[:2], (12_700, 900)) for line in roots for vertex in line.vertices]
    assert any(away == pytest.approx(800, abs=0.01) for away in reach)


def test_what_nobody_gave_is_asked_for() -> None:
    told = [
        ({"kind": "tree"}, "needs points"),
        ({"kind": "tree", "points": [[0, 0]], "survey": "T"}, "not both"),
        ({"kind": "tree", "survey": "T"}, "no [survey]"),
        ({"kind": "house", "points": [[0, 0], [1, 1]], "closed": True}, "three points"),
        ({"kind": "tree", "points": [[0, 0]], "level": 5}, "benchmark alone"),
    ]
    for feature, words in told:
        spec = {"run": [{"points": [[0, 0], [5000, 0]]}], "feature": [feature]}
        (problem,) = resolve(SpecTables.model_validate(spec)).problems
        assert words in problem.message


def test_things_stand_as_high_as_they_are_said_to_be() -> None:
    told = [
        {"kind": "house", "points": [[0, 900], [4000, 900], [4000, 2000], [0, 2000]],
         "height": 2600},
        {"kind": "tree", "points": [[2000, -1000]], "width": 400},
        {"kind": "pipe", "points": [[500, -2000], [500, 2000]], "height": 700, "clear": 0},
    ]  # fmt: skip
    points = [[0, 0, 100], [4000, 0, 100]]
    house, roof, tree, pipe = thing_meshes(fence_of({"run": [{"points": points}], "feature": told}))
    assert roof.points[:, 2].max() == pytest.approx(100 + 2600)
    # the roof is of 35 degrees over 1100
    walls = 2600 - 550 * math.tan(math.radians(35))
    for thing, area, high in ((house, 4000 * 1100, walls), (tree, math.pi * 200**2, 30)):
        corners = thing.points[thing.triangles]
        assert np.ptp(thing.points[:, 2]) == pytest.approx(high)
        assert thing.points[:, 2].min() == pytest.approx(100)
        one, other = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
        normals = np.cross(one, other)
        top = corners[:, :, 2].min(axis=1) > 100 + 1
        assert normals[top, 2].sum() / 2 == pytest.approx(area, rel=0.01)
        outward = (normals[~top] * (corners[~top].mean(axis=1) - thing.points.mean(axis=0))).sum(1)
        assert (outward > 0).all()
    assert np.ptp(pipe.points[:, 2]) < 50  # it lies in the ground, and is only marked


def test_things_follow_the_ground_that_they_stand_on() -> None:
    """A hedge along a slope has its height all along; a house beside it is level."""
    told = [
        {"kind": "hedge", "points": [[0, -1500], [10000, -1500]], "width": 600, "height": 900},
        {
            "kind": "house",
            "points": [[0, 900], [4000, 900], [4000, 2000], [0, 2000]],
            "height": 2600,
        },
    ]
    points = [[0, 0, 0], [10000, 0, 1000]]
    hedge, house, _ = thing_meshes(fence_of({"run": [{"points": points}], "feature": told}))
    for x, _, z in hedge.points:
        assert min(abs(z - x / 10), abs(z - x / 10 - 900)) < 1.0
    assert np.ptp(hedge.points[:, 2]) > 1800
    levels = {round(float(z)) for _, _, z in house.points}
    assert len(levels) == 2
    assert min(levels) == 0


@pytest.mark.parametrize(
    ("run", "words"),
    [
        ({"fixed": [{"at": 60}]}, "stands there anyway"),
        ({"fixed": [{"at": 2000}], "gate": [{"at": 2000}]}, "in a gate or a gap"),
        ({"fixed": [{"at": 2500}], "gap": [{"start": 2000, "end": 3000}]}, "in a gate or a gap"),
        ({"fixed": [{"at": 9000}]}, "only 5000 mm long"),
        ({"inset": 20}, "line_is says"),
        ({"no_post": [{"start": 900, "end": 800}]}, "ends before it starts"),
        ({"gap": [{"start": 4000, "end": 6000}]}, "only 5000 mm long"),
        ({"gap": [{"start": 40, "end": 600}]}, "too near"),
    ],
)
def test_what_cannot_be_on_the_line_is_refused(run: dict[str, Any], words: str) -> None:
    spec = {"run": [{"points": [[0, 0], [5000, 0]], **run}]}
    job = resolve(SpecTables.model_validate(spec))
    problems = [*job.problems, *(p for one in job.runs for p in gate_problems(one))]
    assert any(words in problem.message for problem in problems), problems


def test_a_post_is_called_what_the_spec_calls_it() -> None:
    fixed = [{"at": 2100, "kept": True, "name": "oak post"}, {"at": 5000, "kept": True}]
    fence = fence_of({"run": [{"points": [[0, 0], [5000, 0]], "fixed": fixed}]})
    kept = [post for post in fence.layouts[0].posts if post.kept]
    assert [(post.kind, post.named) for post in kept] == [("line", "oak post"), ("end", "")]
    view = setting_out_plan(fence, Draft(Scale(50, "1:50"), Style()))
    words = [item.text for item in view.items if isinstance(item, Text)]
    assert any(text.startswith(f"{kept[0].label} oak post kept") for text in words)
    assert any(text.startswith(f"{kept[1].label} kept") for text in words)


def _whole_fronts(fence: FenceModel) -> list[FrontPart]:
    """The fronts of the first run, each in one part."""
    fronts = fronts_of(fence.layouts[0])
    return [part for front in fronts for part in parts_of_front(0, front, 1e9)]


def test_existing_elevations_show_what_stands_there_and_say_where_nobody_said() -> None:
    told = [
        {"kind": "fence", "name": "old paling", "points": [[500, 200], [8000, 150]],
         "height": 1100, "goes": True},
        {"kind": "hedge", "points": [[9700, 500], [9800, 6000]], "width": 700, "height": 1400},
        {"kind": "wall", "points": [[0, 9000], [9000, 9000]], "height": 2000},
    ]  # fmt: skip
    run = {"points": [[0, 0], [9000, 0], [9000, 6000]]}
    draft = Draft(Scale(50, "1:50"), Style())
    fence = fence_of({"run": [run], "feature": told})
    views = [existing_elevation(fence, part, draft) for part in _whole_fronts(fence)]
    words = [{item.text for item in view.items if isinstance(item, Text)} for view in views]
    assert "old paling, 1100 high, taken down" in words[0]
    assert "hedge, 1400 high, stays" in words[1]
    outline = next(item for item in views[0].items if isinstance(item, Line)
                   and item.layer == layers.HIDDEN)  # fmt: skip
    xs, zs = zip(*(vertex[:2] for vertex in outline.vertices), strict=True)
    assert (min(xs), max(xs)) == pytest.approx((500, 8000), abs=20)
    assert max(zs) == pytest.approx(1100)
    bare = fence_of({"run": [run]})
    view = existing_elevation(bare, _whole_fronts(bare)[0], draft)
    assert any("not said" in item.text for item in view.items if isinstance(item, Text))


def test_a_neighbours_boundary_at_the_end_of_a_run_is_kept() -> None:
    told = {"kind": "boundary", "points": [[5000, -2000], [5000, 2000]]}
    for end, over in ((5000, True), (4700, False)):
        fence = fence_of({"run": [{"points": [[0, 0], [end, 0]]}], "feature": [told]})
        assert ("OVER-BOUNDARY" in _codes(fence)) == over


def test_a_straight_fence_comes_as_near_to_its_boundary_as_its_holes_let_it() -> None:
    for hole, reach in (("square", 150.0), ("round", 150.0)):
        run = {"points": [[0, 0], [5000, 0]], "line_is": "boundary in front"}
        fence = fence_of({"run": [run], "footings": {"hole": hole, "size": 300}})
        post = fence.layouts[0].posts[0]
        assert post.frame.origin[1] == pytest.approx(reach)
        assert "OVER-BOUNDARY" not in _codes(fence)


@pytest.mark.parametrize(("front", "words"), [("right", ""), ("left", "no bay is short enough")])
def test_a_curve_beside_its_boundary_keeps_its_bays_or_says_why_not(front: str, words: str) -> None:
    curve = {"at": [8000, 0], "through": [4000, 1500]}
    run = {"points": [[0, 0], curve, [9000, 6000]], "front": front,
           "line_is": "boundary in front", "inset": 300 if front == "left" else 0}  # fmt: skip
    spec = {"run": [run], "posts": {"bay": 600}}
    job = resolve(SpecTables.model_validate(spec))
    assert [words in problem.message for problem in job.problems] == ([True] if words else [])
    for layout in [] if words else fence_of(spec).layouts:
        for stretch in layout.stretches:
            assert max(stretch.bays) <= 600 + 1e-6


def test_elevations_show_no_hole_under_posts_that_are_kept() -> None:
    run = {"points": [[0, 0], [1500, 0]]}
    kept = [{"at": 0, "kept": True}, {"at": 1500, "kept": True}]
    lowest = []
    for fixed in ([], kept):
        fence = fence_of({"run": [{**run, "fixed": fixed}]})
        (front,) = fronts_of(fence.layouts[0])
        (part,) = parts_of_front(0, front, 15_000.0)
        view = elevation(fence, part, Draft(Scale(50, "1:50"), Style()))
        bases = [item.base[1] for item in view.items
                 if isinstance(item, Dimension) and item.degrees == 0.0]  # fmt: skip
        lowest.append(max(bases))
    dug, stands = lowest
    assert stands - dug == pytest.approx(650)  # the depth of the holes
