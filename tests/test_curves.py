"""Curved lines: arcs and chords against closed form, and fences that follow them."""

from __future__ import annotations

import math
from typing import Any

import pytest
import shapely
from hypothesis import assume, given
from hypothesis import strategies as st

from helpers import fence_of
from palewright.model.checks.building_checks import check
from palewright.model.geometry.curves import Arc, Traced, arc_through, chords
from palewright.model.geometry.shapes import Bar
from palewright.model.lists.takeoff import stretch_lines
from palewright.model.parts.members import PALE, RAIL
from palewright.reading import parse_job

COORDINATES = st.floats(-20_000, 20_000)


@given(st.tuples(COORDINATES, COORDINATES), st.floats(200, 20_000), st.floats(0, 6.28),
       st.floats(-6.0, 6.0), st.floats(0.05, 0.95))  # fmt: skip
def test_an_arc_goes_through_its_three_points(
    centre: tuple[float, float], radius: float, start: float, sweep: float, share: float
) -> None:
    assume(abs(sweep) > 0.05)
    true = Arc(centre, radius, start, sweep)
    a, m, b = true.point(0.0), true.point(share), true.point(1.0)
    found = arc_through(a, m, b)
    assert found is not None
    assert found.radius == pytest.approx(radius, rel=1e-5)
    assert found.sweep == pytest.approx(sweep, rel=1e-5)
    for at in (0.0, 0.25, 1.0):
        assert found.point(at) == pytest.approx(true.point(at), abs=0.05)
    back = found.turned_round()
    assert back.point(0.0) == pytest.approx(found.point(1.0))
    assert back.length == found.length


def test_points_in_line_make_no_arc() -> None:
    assert arc_through((0.0, 0.0), (5.0, 5.0), (10.0, 10.0)) is None


@given(st.floats(1500, 30_000), st.floats(0.1, 6.0), st.floats(600, 3000))
def test_chords_of_an_arc_agree_with_closed_form(radius: float, sweep: float, bay: float) -> None:
    """n equal chords of 2 r sin(t / 2n), each r (1 - cos(t / 2n)) off the arc (the sagitta)."""
    arc = Arc((0.0, 0.0), radius, 0.3, sweep)
    points, offsets = chords(arc, bay)
    count = math.ceil(radius * sweep / bay * (1 - 1e-9))
    assert len(points) == count + 1
    half = sweep / count / 2.0
    for a, b in zip(points, points[1:]):
        assert math.dist(a, b) == pytest.approx(2.0 * radius * math.sin(half), rel=1e-9)
        assert math.dist((0.0, 0.0), a) == pytest.approx(radius)
        assert math.dist(a, b) <= bay * (1 + 1e-9)
    assert offsets == pytest.approx([radius * (1.0 - math.cos(half))] * count, rel=1e-6)
    close, near = chords(arc, bay, 12.0)
    assert max(near) <= 12.0
    fewer = sweep / max(1, len(close) - 2) / 2.0
    if len(close) > len(points) and fewer < math.pi / 2:
        assert radius * (1.0 - math.cos(fewer)) > 12.0 * 0.97  # hardly a bay too many


def test_a_traced_curve_is_walked_by_its_length() -> None:
    wave = Traced(tuple((float(x), 400.0 * math.sin(x / 900.0)) for x in range(0, 9001, 10)))
    line = shapely.LineString(wave.points)
    assert wave.length == pytest.approx(line.length)
    for share in (0.0, 0.3, 0.77, 1.0):
        spot = line.interpolate(share, normalized=True)
        assert wave.point(share) == pytest.approx((spot.x, spot.y), abs=1e-6)
    points, offsets = chords(wave, 1800.0)
    chain = shapely.LineString(points)
    far = max(chain.distance(shapely.Point(p)) for p in wave.points)
    assert max(offsets) == pytest.approx(far, rel=0.02)
    assert wave.turned_round().point(0.25) == pytest.approx(wave.point(0.75))


def bent(**tables: Any) -> Any:
    """A quarter circle of 6 m radius between two straights that it leaves without a kink."""
    s = math.sqrt(0.5) * 6000.0
    points = [
        [0, 0], [4000, 0],
        {"at": [10_000, 6000], "through": [4000 + s, 6000 - s], "level": 0},
        [10_000, 9000],
    ]  # fmt: skip
    run = {"points": points, **tables.pop("run", {})}
    return fence_of({"run": [run], **tables})


@pytest.mark.parametrize("front", ["right", "left"])
def test_posts_stand_on_the_curve_and_rails_meet_in_mitres(front: str) -> None:
    fence = bent(run={"front": front})
    layout = fence.layouts[0]
    assert layout.run.line.length > 0
    on_curve = [post for post in layout.posts if post.kind == "line"]
    legs = [leg for leg in layout.legs if leg.offset]
    assert len(legs) == math.ceil(6000 * math.pi / 2 / 1800)
    for leg in legs:
        for x, y, _ in (leg.start, leg.end):
            assert math.dist((x, y), (4000, 6000)) == pytest.approx(6000)
        half = math.pi / 4 / len(legs)
        assert leg.offset == pytest.approx(6000 * (1 - math.cos(half)))
        assert leg.length == pytest.approx(2 * 6000 * math.sin(half))
    assert len(on_curve) >= len(legs) - 1
    cuts = [
        abs(cut.plan_angle)
        for m in fence.members
        if m.kind == RAIL and isinstance(m.shape, Bar)
        for cut in (m.shape.left, m.shape.right)
        if cut.ky
    ]
    # between chords half their turn; where a straight meets the first chord a quarter
    turn = 90 / len(legs)
    for cut in cuts:
        assert min(abs(cut - turn / 2), abs(cut - turn / 4)) < 1e-4
    assert len(cuts) == 2 * 2 * (len(legs) + 1)
    (note,) = [f for f in check(fence) if f.code == "CHORD-OFFSET"]
    assert f"{legs[0].offset:.1f}"[:4] in note.measured
    found = {round(line.offset, 6) for line in stretch_lines(fence)}
    assert found == {0.0, round(legs[0].offset, 6)}


def test_short_bays_keep_to_the_curve() -> None:
    fence = bent(posts={"curve_offset": 15})
    offsets = [leg.offset for leg in fence.layouts[0].legs]
    count = sum(offset > 0.0 for offset in offsets)
    assert max(offsets) == pytest.approx(6000 * (1 - math.cos(math.pi / 4 / count)))
    assert max(offsets) <= 15.0 < 6000 * (1 - math.cos(math.pi / 4 / (count - 1)))
    middles = [m for m in fence.members if m.kind == PALE and m.frame.origin[0] > 4500
               and m.frame.origin[1] < 5500]  # fmt: skip
    plane = fence.layouts[0].run.pale_front
    for pale in middles:  # outside the curve, as the front is to the right
        out = math.dist(pale.frame.origin[:2], (4000, 6000)) - 6000 - plane
        assert -15.0 - 0.5 <= out <= 3.0


def test_a_curve_can_turn_too_sharply_for_its_bays() -> None:
    text = """[[run]]
points = [[0, 0], { at = [1000, 0], through = [500, 500] }]
posts = { bay = 800 }
"""
    job = parse_job(text)
    assert len(job.runs[0].line.legs) == 2
    assert job.runs[0].line.bent == {1}
