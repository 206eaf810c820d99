"""Fences on sloping ground: properties over random ground and lines, and the ways to follow it."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, assume, given, settings

from helpers import fence_of
from palewright.export.models.product import Product
from palewright.export.tables.list_tables import bays_table, posts_table
from palewright.model.basis.findings import Severity
from palewright.model.checks.building_checks import check
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.post_shapes import Post
from palewright.model.geometry.shapes import Bar, Plate
from palewright.model.layout.fixed_posts import gate_problems
from palewright.model.layout.heights import heights
from palewright.model.layout.run_layout import RunLayout
from palewright.model.layout.set_pales import grouped
from palewright.model.layout.stagger import stagger
from palewright.model.lists.takeoff import part_lines, station_lines, stretch_lines
from palewright.model.order.joints import make_fence
from palewright.model.parts.members import BOARD, BOLT, PALE, POST, RAIL, WALL_PLATE, Member
from palewright.model.resolved.resolve import resolve
from palewright.model.site.path import Chords, levels_beside, levels_joined, site_line
from palewright.model.site.site_line import SiteLine, level_at
from palewright.model.spec.spec_tables import SpecTables
from strategies import sloping_specs

EXACT = 1e-6
TIDY = 2e-4
"""Lengths are kept to a ten-thousandth of a mm."""


def sloping_fence(data: dict[str, Any]) -> FenceModel:
    job = resolve(SpecTables.model_validate(data))
    problems = [*job.problems, *(p for run in job.runs for p in gate_problems(run))]
    assume(not problems)  # the random line meets itself, or a leg is too short for its posts
    fence = make_fence(job)
    assume(not any(f.severity is Severity.STOP for f in check(fence)))
    return fence


class Ground:
    """The ground of a spec, read from the spec's own figures by numpy alone."""

    def __init__(self, data: dict[str, Any]) -> None:
        run = data["run"][0]
        points = run["points"]
        at = np.cumsum([0.0, *(math.dist(a[:2], b[:2]) for a, b in zip(points, points[1:]))])
        known = sorted([*zip(at, (p[2] for p in points)), *(tuple(k) for k in run["levels"])])
        self.x, self.z = np.array(known).T
        self.left = run["front"] == "left"
        self.length = float(at[-1])

    def under(self, layout: RunLayout, leg: int, x0: float, x1: float) -> tuple[float, float]:
        """Lowest and highest ground between two places of a leg, site level."""
        length = layout.legs[leg].length
        before = layout.legs[leg].before
        places = [before + min(max(x, 0.0), length) for x in (x0, x1)]
        if self.left:
            places = sorted(self.length - place for place in places)
        low, high = places
        inner = self.x[(self.x > low) & (self.x < high)]
        levels = np.interp([low, *inner, high], self.x, self.z)
        return float(levels.min()), float(levels.max())


def in_leg(layout: RunLayout, member: Member) -> tuple[float, float]:
    """X of a member in its leg, and its level."""
    x, _, _ = layout.legs[member.leg].frame.local(member.frame.origin)
    return x, member.frame.origin[2]


def _ends_at_points(data: dict[str, Any]) -> bool:
    """Tell whether the fence's line is the spec's: piers and hedges take a piece of it."""
    return all(isinstance(data["run"][0].get(key, ""), str) for key in ("starts", "ends"))


@given(sloping_specs())
@settings(max_examples=70, deadline=None, suppress_health_check=[HealthCheck.filter_too_much])
def test_pales_stand_plumb_and_clear_of_the_ground_within_the_band(data: dict[str, Any]) -> None:
    assume(_ends_at_points(data))
    fence = sloping_fence(data)
    layout, ground = fence.layouts[0], Ground(data)
    run = layout.run
    half, clearance = run.pales.widest / 2.0, run.pales.clearance
    band = {}
    for stretch in layout.stretches:
        for bay, setting in enumerate(stretch.settings):
            reach = (
                min(setting.x0, stretch.first.x) if bay == 0 else setting.x0,
                max(setting.x1, stretch.last.x) if bay == len(stretch.settings) - 1 else setting.x1,
            )
            low, high = ground.under(layout, stretch.leg_number, reach[0] - half, reach[1] + half)
            band[stretch.leg_number, round(setting.x0, 3)] = high - low
    for member in fence.members:
        if member.kind in (PALE, POST, WALL_PLATE, BOARD):
            assert member.frame.z == pytest.approx((0.0, 0.0, 1.0), abs=1e-12)
        if member.kind != PALE:
            continue
        x, foot = in_leg(layout, member)
        own = member.shape.size[0] / 2.0
        low, high = ground.under(layout, member.leg, x - own, x + own)
        assert foot - high >= clearance - TIDY
        most = clearance + run.slopes.group + (high - low)
        if run.slopes.follow == "step" and run.slopes.fill != "pales":
            (stretch,) = (s for s in layout.stretches if s.leg_number == member.leg)
            setting = stretch.settings[stretch.bay_at(x)]
            most = clearance + band[member.leg, round(setting.x0, 3)]
        assert foot - low <= most + TIDY


@given(sloping_specs())
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.filter_too_much])
def test_rails_are_parallel_to_what_they_follow_and_gaps_keep_the_limit(
    data: dict[str, Any],
) -> None:
    assume(_ends_at_points(data))
    fence = sloping_fence(data)
    layout, ground = fence.layouts[0], Ground(data)
    run = layout.run
    for member in fence.members:
        if member.kind != RAIL:
            continue
        x, _ = in_leg(layout, member)
        ux, uy, uz = member.frame.x
        slope = uz / math.hypot(ux, uy)
        if run.slopes.follow != "rake":
            assert slope == 0.0
            continue
        stretch = next(s for s in layout.stretches if s.leg_number == member.leg)
        bay = stretch.bay_at(x + 60.0)  # past what a mitre takes off or adds
        setting = stretch.settings[bay]
        levels = [ground.under(layout, member.leg, at, at)[0] for at in (setting.x0, setting.x1)]
        wanted = (levels[1] - levels[0]) / (setting.x1 - setting.x0)
        assert abs(slope - wanted) * (setting.x1 - setting.x0) < 0.51
    for stretch in layout.stretches:
        frame = stretch.leg.frame
        pales = sorted(
            (frame.local(m.frame.origin)[0], m.shape.size[0] / 2.0)
            for m in fence.members
            if m.kind == PALE and m.leg == stretch.leg_number
        )
        gaps = np.array([b - a - u - v for (a, u), (b, v) in zip(pales, pales[1:])])
        if not run.between_posts and run.panels is None:  # where posts stand between them
            assert gaps.max(initial=-np.inf) <= max(run.pales.gap_max, 0.0) + 1e-6
        assert gaps.min(initial=np.inf) >= run.pales.least_gap - EXACT


@pytest.mark.slow
@given(sloping_specs())
@settings(max_examples=12, deadline=None, suppress_health_check=list(HealthCheck))
def test_solids_are_valid_and_as_long_as_the_cutting_list_says(data: dict[str, Any]) -> None:
    fence = sloping_fence(data)
    built = Product(fence)
    for line in part_lines(fence):
        shape = fence.by_mark[line.mark][0].shape
        solid = built.solids[line.mark]
        assert solid.isValid()
        assert solid.ShapeType() == "Solid"
        made = fence.by_mark[line.mark][0].finished
        assert solid.Volume() == pytest.approx(made.volume, rel=1e-6)
        wide, deep, tall = box_of(solid)
        if isinstance(shape, Bar):
            assert wide == pytest.approx(line.length, abs=EXACT)
        elif isinstance(shape, Post):
            assert tall == pytest.approx(line.length, abs=EXACT)
        elif isinstance(shape, Plate) and line.kind in (PALE, BOARD):
            assert max(wide, tall) == pytest.approx(line.length, abs=EXACT)
            assert deep == pytest.approx(line.second, abs=EXACT)


def box_of(solid: Any) -> tuple[float, float, float]:
    """Sizes of a solid by the kernel, without the kernel's own tolerances."""
    from OCP.Bnd import Bnd_Box
    from OCP.BRepBndLib import BRepBndLib

    box = Bnd_Box()
    BRepBndLib.AddOptimal_s(solid.wrapped, box, False, False)
    x0, y0, z0, x1, y1, z1 = box.Get()
    return x1 - x0, y1 - y0, z1 - z0


def slope(**tables: Any) -> FenceModel:
    """A run of four bays over 7.2 m that rises by 720 mm, with the front to the south."""
    run = {"points": [[0, 0, 0], [7200, 0, 720]], **tables.pop("run", {})}
    return fence_of({"run": [run], **tables})


def test_a_raked_bay_agrees_with_the_right_angled_triangle() -> None:
    """Rail length is the hypotenuse over the bays; gaps stay horizontal; cuts are the slope."""
    fence = slope(rails={"stock_length": 3700})
    rails = [m for m in fence.members if m.kind == RAIL]
    angle = math.degrees(math.atan(0.1))
    for rail in rails:
        assert isinstance(rail.shape, Bar)
        x = rail.frame.x
        assert math.degrees(math.atan2(x[2], x[0])) == pytest.approx(angle)
        assert rail.shape.left.side_angle == pytest.approx(angle, abs=1e-6)
        assert rail.shape.right.side_angle == pytest.approx(angle, abs=1e-6)
    # two rows over 7.2 m of plan and half a post at each end
    total = math.fsum(rail.shape.length for rail in rails if isinstance(rail.shape, Bar))
    assert total == pytest.approx(2 * 7300 * math.hypot(1.0, 0.1), abs=1e-3)
    notes = {line.note for line in part_lines(fence) if line.kind == RAIL}
    assert notes == {
        "left end cut 5.7 degrees in face off square; right end cut 5.7 degrees in face off square"
    }
    assert len({m.mark for m in fence.members if m.kind == PALE}) == 1
    assert {m.shape.size[2] for m in fence.members if m.kind == PALE} == {900.0}


def test_steps_are_reported_and_posts_grow_by_them() -> None:
    fence = slope(slopes={"follow": "step"})
    (line,) = stretch_lines(fence)
    assert line.follow == "step"
    assert line.slopes == pytest.approx((0.1, 0.1))
    # bays of 1800 mm: 180 mm each, the last to the ground at the line's end, where it is level
    assert line.steps == pytest.approx((180.0, 180.0, 175.0), abs=1e-3)
    least, most = line.clearances
    assert least == pytest.approx(50.0, abs=1e-3)
    assert most == pytest.approx(50.0 + 185.0, abs=1e-3)
    lengths = [m.shape.size[2] for m in fence.members if m.kind == POST]
    layout = fence.layouts[0]
    assert lengths == pytest.approx([600 + post.top for post in layout.posts], abs=1e-3)
    assert max(lengths) - min(lengths) > 100
    assert len({m.mark for m in fence.members if m.kind == PALE}) == 1
    row = bays_table(fence)[1]
    assert row[6] == "step"
    assert row[8] == "180 180 175"
    assert row[9] == "50 to 235"


def test_longer_pales_fill_the_wedge() -> None:
    fence = slope(slopes={"follow": "step", "fill": "pales", "group": 30})
    (line,) = stretch_lines(fence)
    assert line.clearances[1] <= 50.0 + 30.0 + 10.0 + 1e-6
    lengths = {m.shape.size[2] for m in fence.members if m.kind == PALE}
    assert 900.0 in lengths
    assert 5 <= len(lengths) <= 8  # 185 mm in lengths no more than 30 apart


def test_gravel_boards_close_the_wedge_down_to_the_ground() -> None:
    fence = slope(slopes={"follow": "step", "fill": "board"})
    layout = fence.layouts[0]
    boards = [m for m in fence.members if m.kind == BOARD]
    assert boards
    for stretch in layout.stretches:
        leg = stretch.leg
        for x in np.linspace(-40.0, 7240.0, 300):
            setting = stretch.settings[stretch.bay_at(x)]
            ground, foot = leg.ground(x), setting.z0 + 50.0
            spans = []
            for board in boards:
                assert isinstance(board.shape, Plate)
                x0, _, z0 = leg.frame.local(board.frame.origin)
                spans += _upright(board.shape, x - x0, z0)
            covered = sum(
                high - low for low, high in spans if low >= ground - 1 and high <= foot + 1
            )
            # all but 10 mm at the ground, or the concrete's height beside a post
            open_ = foot - ground - covered
            assert -EXACT <= open_ - 10.0 <= 25.0 + 0.1 * 300.0 + 15.0


def _upright(plate: Plate, x: float, z: float) -> list[tuple[float, float]]:
    import shapely

    low, _, high, _ = plate.outline.bounds
    if not low < x < high:
        return []
    line = shapely.LineString([(x, -1e4), (x, 1e4)])
    cut = shapely.Polygon(plate.outline.flatten()).intersection(line)
    return [
        (z + part.bounds[1], z + part.bounds[3]) for part in shapely.get_parts(cut) if part.length
    ]


def test_a_level_top_line_is_level_and_pales_grow_with_the_fall() -> None:
    fence = slope(slopes={"follow": "level", "group": 25})
    tops = {round(m.frame.origin[2] + m.shape.size[2], 3) for m in fence.members if m.kind == PALE}
    assert tops == {round(720.0 + 50.0 + 900.0, 3)}
    lengths = sorted({m.shape.size[2] for m in fence.members if m.kind == PALE})
    assert lengths[0] == 900.0
    assert lengths[-1] == pytest.approx(900 + 720 - 25, abs=30)
    assert all(b - a > 25 - 1 for a, b in zip(lengths, lengths[1:]))
    rails = {round(m.frame.origin[2], 3) for m in fence.members if m.kind == RAIL}
    assert len(rails) == 2


def test_a_level_top_line_goes_on_over_the_start_of_a_ring() -> None:
    ring = [[0, 0, 300], [6000, 0, 0], [6000, 5000, 200], [0, 5000, 900]]
    part = {"start": 11_000, "end": 17_000, "follow": "rake"}  # the third leg
    fence = fence_of(
        {
            "run": [{"points": ring, "closed": True, "part": [part]}],
            "slopes": {"follow": "level"},
        }
    )
    layout = fence.layouts[0]
    bases = {
        round(stretch.leg.start[2] + setting.z0, 6)
        for stretch in layout.stretches
        for setting in stretch.settings
        if setting.follow == "level"
    }
    assert bases == {900.0}
    assert [s.settings[0].follow for s in layout.stretches] == ["level", "level", "rake", "level"]


def test_parts_of_a_run_follow_the_ground_in_their_own_way() -> None:
    fence = slope(
        run={"part": [{"start": 0, "end": 3600, "follow": "step"}]}, rails={"stock_length": 3700}
    )
    (stretch,) = fence.layouts[0].stretches
    assert [setting.follow for setting in stretch.settings] == ["step", "step", "rake", "rake"]
    for member in fence.members:
        if member.kind == RAIL:
            x = member.frame.origin[0]
            assert (member.frame.x[2] == 0.0) == (x < 3500)


def test_lengths_are_the_fewest_that_the_tolerance_allows() -> None:
    """As many as there are rooms of which no two share a length: a set no plan can beat."""
    rng = np.random.default_rng(3)
    for _ in range(60):
        rooms = [float(v) for v in rng.integers(90, 400, 25)]
        tolerance = float(rng.integers(5, 80))
        chosen = grouped(rooms, tolerance)
        apart, edge = 0, -math.inf
        for room in sorted(rooms):
            if room - tolerance > edge:
                apart, edge = apart + 1, room
        assert len(set(chosen.values())) == apart
        exact = grouped([room + 0.37 for room in rooms], tolerance)
        for room, length in [*chosen.items(), *exact.items()]:
            assert room - tolerance <= length <= room
    assert grouped([12.34], 0.0) == {12.34: 12.34}


def test_rails_are_jointed_where_the_ground_bends() -> None:
    assert stagger([0, 1800, 3600, 5400], 6000, 1, broken=frozenset({1})) == [[0, 1, 3]]
    fence = fence_of(
        {
            "run": [{"points": [[0, 0, 0], [7200, 0, 400]], "levels": [[3600, 500]]}],
            "rails": {"stock_length": 7600},
        }
    )
    starts = {round(m.frame.origin[0]) for m in fence.members if m.kind == RAIL}
    assert any(abs(x - 3600) < 60 for x in starts)


def test_bolts_of_stepped_rails_pass_each_other_in_a_corner_post() -> None:
    """Steps may bring one leg's bolt to the height of the other's: then it moves."""
    for step in range(0, 120, 5):
        fence = fence_of(
            {
                "run": [{"points": [[0, 0, step], [3600, 0, 0], [3600, 3600, -step / 2]]}],
                "slopes": {"follow": "step"},
            }
        )
        bolts = [m for m in fence.members if m.kind == BOLT]
        near = [m for m in bolts if math.dist(m.frame.origin[:2], (3600, 0)) < 120]
        for one in near:
            for other in near:
                if one.leg < other.leg:
                    assert abs(one.frame.origin[2] - other.frame.origin[2]) > 14.0


def test_levels_come_from_points_then_chainages_then_spots() -> None:
    cut = Chords(((0.0, 0.0), (10_000.0, 0.0)), (100.0, None), frozenset(), (0.0,))
    spots = ((5000.4, 200.0, 777.0), (8000.0, 900.0, 600.0), (2000.0, 2000.0, 5.0))
    beside = levels_beside(cut, closed=False, spots=spots, within=1000.0)
    levels = levels_joined(((5000.0, 300.0), (0.2, 999.0)), beside)
    line = site_line(cut, closed=False, levels=tuple(levels))
    assert line.knots == ((0.0, 100.0), (5000.0, 300.0), (8000.0, 600.0))
    (leg,) = line.legs
    assert leg.ground(2500.0) == pytest.approx(100.0)
    assert leg.end[2] == 600.0
    assert leg.highest(4000.0, 9000.0) == pytest.approx(500.0)


def test_a_ring_has_one_level_where_it_closes() -> None:
    points = ((0.0, 0.0), (10_000.0, 0.0), (10_000.0, 10_000.0), (0.0, 10_000.0))
    cut = Chords(points, (None,) * 4, frozenset(), (0.0,) * 4)
    line = site_line(cut, closed=True, levels=((10_000.0, 100.0), (30_000.0, 300.0)))
    for ring in (line, line.facing(front_left=True)):
        assert ring.vertices[0][2] == pytest.approx(200.0)
        last = ring.legs[-1]
        assert last.start[2] + last.ground(last.length) == pytest.approx(200.0)
    back = line.facing(front_left=True)
    assert isinstance(back, SiteLine)
    for x in (0.0, 3000.0, 12_000.0, 27_000.0):
        assert level_at(back.knots, 40_000.0 - x) == pytest.approx(level_at(line.knots, x))


def test_turning_the_front_round_leaves_the_ground_where_it_is() -> None:
    data = {"points": [[0, 0, 0], [9000, 0, 900], [9000, 6000, 300]], "levels": [[3000, 600]]}
    right = fence_of({"run": [data]})
    left = fence_of({"run": [{**data, "front": "left"}]})
    for one, other in zip(station_lines(right), station_lines(left)):
        assert one.label == other.label
        assert one.chainage == pytest.approx(other.chainage, abs=1e-6)
        assert one.ground == pytest.approx(other.ground, abs=1e-6)


def test_setting_out_gives_the_rails_of_both_sides_of_a_step() -> None:
    fence = slope(slopes={"follow": "step"})
    table = posts_table(fence)
    column = table[0].index("rail tops over ground mm")
    assert " / " in str(table[2][column])
    assert " / " not in str(table[1][column])
    line = station_lines(fence)[1]
    assert line.hole_bottom == pytest.approx(line.ground - 650.0)
    assert line.top_level == pytest.approx(line.ground + line.top)


@pytest.mark.parametrize("hinge", ["left", "right"])
def test_a_leaf_is_measured_over_the_ground_under_its_own_edges(hinge: str) -> None:
    """One in six, 1200 between the posts: the leaf's top over the ground under its lowest pale."""
    points = [[0, 0, 0], [9000, 0, 1500]]
    gate = {"at": 4500, "opening": 1200, "hinge": hinge}
    (layout,) = fence_of({"run": [{"points": points, "gate": [gate]}]}).layouts
    (opening,) = layout.openings
    (leaf,) = opening.leaves
    top = opening.base + leaf.foot + leaf.height
    over = [(h, x) for h, _, x in heights(layout) if leaf.x0 <= x <= leaf.x1]
    height, at = max(over)
    first = leaf.x0 + leaf.spacing.edges(layout.run.pales.widest)[0]
    assert height == pytest.approx(top - first / 6.0, abs=0.01)
    assert at == pytest.approx(first + layout.run.pales.widest / 2.0)
