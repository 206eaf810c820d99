"""Ground as triangles: against other triangulations, and with whatever a survey may hold."""

from __future__ import annotations

import math
import time
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from scipy.interpolate import LinearNDInterpolator
from scipy.spatial import Delaunay

from palewright.model.geometry.frames import Point, Vector
from palewright.model.site.breakline_nodes import MOST_PIECES, BreakLine, GroundError
from palewright.model.site.contours import contour_step, contours
from palewright.model.site.site_line import level_at
from palewright.model.site.surface import Surface
from palewright.model.site.surface_profile import profile_along
from palewright.model.site.triangulation import triangulated

GRID = 4.5e8, 3.3e8
"""A national grid's coordinates, mm."""


def surface_of(spots: Any, breaks: Any = (), reach: float = math.inf) -> Surface:
    made = triangulated(spots, breaks, reach)
    assert made.surface is not None
    assert made.remarks == ()
    return made.surface


def spots_on(seed: int, count: int, shape: Any, size: float = 40_000.0) -> tuple[Vector, ...]:
    rng = np.random.default_rng(seed)
    return tuple((x, y, shape(x, y)) for x, y in rng.uniform(0.0, size, (count, 2)).tolist())


def moved(points: Any, by: Point) -> Any:
    return tuple((p[0] + by[0], p[1] + by[1], *p[2:]) for p in points)


def along(line: tuple[Point, ...], x: float) -> Point:
    """Place at a distance along a line."""
    for a, b in zip(line, line[1:], strict=False):
        long = math.dist(a, b)
        if x <= long:
            return a[0] + (b[0] - a[0]) * x / long, a[1] + (b[1] - a[1]) * x / long
        x -= long
    return line[-1]


def worst(surface: Surface, line: tuple[Point, ...], truth: Any, by: Point = (0.0, 0.0)) -> float:
    """Largest difference from the truth along a line, every 50 mm where it is on the surface."""
    found = profile_along(surface, moved(line, by))
    length = sum(math.dist(a, b) for a, b in zip(line, line[1:], strict=False))
    xs = np.array([x for x in np.arange(0.0, length, 50.0).tolist()
                   if not any(a - 1e-6 <= x <= b + 1e-6 for a, b in found.outside)])  # fmt: skip
    levels = truth(*np.array([along(line, x) for x in xs.tolist()]).T)
    known = np.isfinite(levels)
    assert known.sum() > 50
    ours = np.array([level_at(found.knots, x) for x in xs[known].tolist()])
    return float(np.abs(ours - levels[known]).max())


@given(
    st.integers(0, 10**6),
    st.lists(st.tuples(*[st.floats(3000.0, 37_000.0)] * 2), min_size=2, max_size=5, unique=True),
    st.sampled_from([(0.0, 0.0), GRID]),
)
@settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))
def test_random_ground_agrees_with_another_triangulation(
    seed: int, line: list[Point], by: Point
) -> None:
    spots = spots_on(seed, 300, lambda x, y: 900.0 * math.sin(x / 4000.0) + (y * 7919.0) % 500.0)
    if min(math.dist(a, b) for a, b in zip(line, line[1:], strict=False)) < 3000.0:
        return
    truth = LinearNDInterpolator([p[:2] for p in spots], [p[2] for p in spots])
    surface = surface_of(moved(spots, by))
    # at grid coordinates a double holds 1e-7 mm
    assert worst(surface, tuple(line), truth, by) < (1e-6 if by == (0.0, 0.0) else 1e-3)


@given(
    st.integers(0, 10**6), st.sampled_from([(0.0, 0.0), GRID, (12_345.678, -98_765.432)]),
    st.booleans(), st.booleans(),
)  # fmt: skip
@settings(max_examples=60, deadline=None)
def test_levels_on_a_grid_give_one_ground_wherever_it_is(
    seed: int, by: Point, mirrored: bool, reversed_: bool
) -> None:
    """On a grid either diagonal of a square is Delaunay's: it is not left to rounding."""
    rng = np.random.default_rng(seed)
    sign = -1.0 if mirrored else 1.0
    levels = rng.integers(0, 900, (9, 9)).tolist()
    spots = [(2000.0 * x, 2000.0 * y, levels[x][y]) for x in range(9) for y in range(9)]
    line = ((900.0, 700.0), (15_100.0, 11_300.0))
    moved_spots = [(sign * x + by[0], y + by[1], z) for x, y, z in spots]
    moved_line = tuple((sign * x + by[0], y + by[1]) for x, y in line)
    if reversed_:
        moved_spots.reverse()
    one = profile_along(surface_of(tuple(spots)), line)
    other = profile_along(surface_of(tuple(moved_spots)), moved_line)
    for x in np.linspace(0.0, math.dist(*line), 200):
        assert level_at(one.knots, x) == pytest.approx(level_at(other.knots, x), abs=1e-3)


@pytest.mark.parametrize("by", [(0.0, 0.0), GRID])
def test_a_plane_is_exact(by: Point) -> None:
    def plane(x: float, y: float) -> float:
        return 0.05 * x - 0.03 * y + 20.0

    surface = surface_of(moved(spots_on(3, 500, plane), by))
    line = ((4000.0, 5000.0), (36_000.0, 30_000.0), (9000.0, 33_000.0))
    assert worst(surface, line, plane, by) < 1e-6


def conforming(spots: Any, breaks: Any) -> tuple[Any, Any]:
    """Breaklines halved until scipy's triangulation has every piece as an edge."""
    breaks = [list(line) for line in breaks]
    for _ in range(30):
        places = np.array([*spots, *(p for line in breaks for p in line)])
        unique, first = np.unique(places[:, :2], axis=0, return_index=True)
        number = {tuple(p): n for n, p in enumerate(unique.tolist())}
        mesh = Delaunay(unique)
        edges = {
            (min(a, b), max(a, b)) for t in mesh.simplices.tolist() for a, b in
            ((t[0], t[1]), (t[1], t[2]), (t[2], t[0]))
        }  # fmt: skip
        whole = True
        for place, line in enumerate(breaks):
            finer = [line[0]]
            for a, b in zip(line, line[1:], strict=False):
                pair = sorted((number[tuple(a[:2])], number[tuple(b[:2])]))
                if tuple(pair) not in edges:
                    whole = False
                    finer.append(tuple((p + q) / 2.0 for p, q in zip(a, b, strict=True)))
                finer.append(b)
            breaks[place] = finer
        if whole:
            return breaks, LinearNDInterpolator(mesh, places[first, 2])
    raise AssertionError("never all edges")


@pytest.mark.parametrize("seed", range(6))
def test_ground_with_breaklines_agrees_with_a_triangulation_made_by_halving_them(seed: int) -> None:
    """Given the pieces that scipy's triangulation keeps, ours is the same; and with the whole
    lines alone it is the same along them.
    """
    rng = np.random.default_rng(seed)
    spots = spots_on(seed, 250, lambda x, y: 700.0 * math.cos(x / 5000.0) + (x * y) % 300.0)
    breaks = []
    for k in range(3):  # each in its own third, so that they do not cross
        xs = np.linspace(1000.0, 39_000.0, 5)
        ys = 4000.0 + 13_000.0 * k + rng.uniform(0.0, 8000.0, 5)
        breaks.append([(x, y, z) for x, y, z in zip(xs, ys, rng.uniform(0, 900, 5), strict=True)])
    halved, truth = conforming(spots, breaks)
    lines = tuple(BreakLine(f"b{n}", tuple(line)) for n, line in enumerate(halved))
    surface = surface_of(spots, lines)
    line = ((2000.0, 1500.0), (37_000.0, 38_000.0), (38_000.0, 3000.0))
    assert worst(surface, line, truth) < 1e-6
    whole = surface_of(spots, tuple(BreakLine(f"b{n}", tuple(b)) for n, b in enumerate(breaks)))
    for given_line in breaks:
        found = profile_along(whole, tuple(p[:2] for p in given_line))
        pairs = zip(given_line, given_line[1:], strict=False)
        ends = np.cumsum([0.0, *(math.dist(a[:2], b[:2]) for a, b in pairs)])
        wanted = tuple((x, p[2]) for x, p in zip(ends.tolist(), given_line, strict=True))
        for x in np.linspace(0.0, ends[-1], 300):
            assert level_at(found.knots, x) == pytest.approx(level_at(wanted, x), abs=1e-6)
    edges = set(map(tuple, whole.edges.tolist()))
    assert set(whole.kept) <= edges


def test_a_step_has_a_top_and_a_foot() -> None:
    """Two breaklines 20 mm apart make a wall 900 mm high, wherever levels beside it lie."""

    def terrace(x: float, y: float) -> float:
        return 900.0 if y >= 20_000.0 else 0.0

    spots = [p for p in spots_on(5, 400, terrace) if abs(p[1] - 20_000.0) > 200.0]
    top = BreakLine("top", ((0.0, 20_010.0, 900.0), (40_000.0, 20_010.0, 900.0)))
    foot = BreakLine("foot", ((0.0, 19_990.0, 0.0), (13_000.0, 19_990.0, 0.0),
                              (40_000.0, 19_990.0, 0.0)))  # fmt: skip
    surface = surface_of(tuple(spots), (top, foot))
    found = profile_along(surface, ((12_000.0, 5000.0), (25_000.0, 35_000.0)))
    slope = 30_000.0 / math.hypot(13_000.0, 30_000.0)
    for x, level in ((0.0, 0.0), (14_985.0, 0.0), (15_015.0, 900.0), (28_000.0, 900.0)):
        assert level_at(found.knots, x / slope) == pytest.approx(level, abs=1e-6)


def test_breaklines_that_cross_at_two_levels_are_told_and_not_averaged() -> None:
    spots = spots_on(9, 60, lambda x, y: 0.0)
    one = BreakLine("kerb", ((5000.0, 5000.0, 100.0), (35_000.0, 35_000.0, 100.0)))
    other = BreakLine("wall", ((5000.0, 35_000.0, 700.0), (35_000.0, 5000.0, 700.0)))
    made = triangulated(spots, (one, other))
    assert made.surface is not None
    (remark,) = made.remarks
    assert "east 20.000, north 20.000: 0.100 counts, 0.700 (wall) does not" in remark
    found = profile_along(made.surface, ((20_000.0, 20_000.0), (21_000.0, 20_000.0)))
    assert found.knots[0] == pytest.approx((0.0, 100.0))
    level = BreakLine("wall", tuple((x, y, 100.0) for x, y, _ in other.points))
    assert triangulated(spots, (one, level)).remarks == ()


def test_levels_on_a_breakline_count_before_it() -> None:
    spots = (
        (0.0, 9000.0, 0.0),
        (20_000.0, 9000.0, 0.0),
        (10_000.0, 0.0, 0.0),
        (5000.0, 5000.0, 80.0),
    )
    line = BreakLine("edge", ((0.0, 5000.0, 0.0), (20_000.0, 5000.0, 0.0)))
    made = triangulated(spots, (line,))
    assert made.surface is not None
    assert "0.080 counts, 0.000 (edge) does not" in made.remarks[0]
    found = profile_along(made.surface, ((0.0, 5000.0), (20_000.0, 5000.0)))
    assert level_at(found.knots, 5000.0) == pytest.approx(80.0)
    assert found.outside == ()


def square(level: float = 0.0) -> Surface:
    return surface_of(((0.0, 0.0, level), (9000.0, 0.0, 300.0), (9000.0, 9000.0, 0.0),
                       (0.0, 9000.0, 900.0)))  # fmt: skip


def test_lines_along_hull_edges_diagonals_and_through_corners() -> None:
    surface = square()
    for line, ends in (
        (((0.0, 0.0), (9000.0, 0.0)), (0.0, 300.0)),
        (((9000.0, 9000.0), (0.0, 9000.0)), (0.0, 900.0)),
        (((0.0, 0.0), (9000.0, 9000.0)), (0.0, 0.0)),
        (((9000.0, 0.0), (0.0, 9000.0)), (300.0, 900.0)),
    ):
        found = profile_along(surface, line)
        assert found.outside == ()
        assert (found.knots[0][1], found.knots[-1][1]) == pytest.approx(ends, abs=1e-9)
    ring = ((0.0, 0.0), (9000.0, 0.0), (9000.0, 9000.0), (0.0, 9000.0), (0.0, 0.0))
    found = profile_along(surface, ring)
    assert [round(z) for _, z in found.knots] == [0, 300, 0, 900, 0]
    assert found.carried(36_000.0) == 1.0


def test_the_way_along_a_line_changes_nothing() -> None:
    surface = surface_of(spots_on(2, 200, lambda x, y: (x * 31.0 + y * 17.0) % 700.0))
    line = ((-5000.0, 12_000.0), (20_000.0, 21_000.0), (52_000.0, 9000.0))
    length = sum(math.dist(a, b) for a, b in zip(line, line[1:], strict=False))
    one, back = profile_along(surface, line), profile_along(surface, line[::-1])
    turned = [(length - x, z) for x, z in reversed(back.knots)]
    assert np.array(one.knots) == pytest.approx(np.array(turned), abs=1e-6)
    outside = [(length - b, length - a) for a, b in reversed(back.outside)]
    assert len(one.outside) == 2
    assert np.array(one.outside) == pytest.approx(np.array(outside), abs=1e-6)


def test_what_is_off_the_surface_is_told_and_not_made_up() -> None:
    found = profile_along(square(), ((-3000.0, 4500.0), (12_000.0, 4500.0)))
    assert np.array(found.outside) == pytest.approx(np.array([(0.0, 3000.0), (12_000.0, 15_000.0)]))
    assert found.knots[0][0] == pytest.approx(3000.0)
    assert found.knots[-1][0] == pytest.approx(12_000.0)
    away = profile_along(square(), ((90_000.0, 0.0), (99_000.0, 0.0)))
    assert (away.knots, away.outside) == ((), ((0.0, 9000.0),))


@pytest.mark.parametrize(
    "spots",
    [
        (),
        ((0.0, 0.0, 1.0),),
        ((0.0, 0.0, 1.0), (9.0, 9.0, 1.0)),
        ((0.0, 0.0, 1.0), (0.0, 0.0, 1.0), (0.2, 0.0, 1.0)),
        tuple((1000.0 * n, 500.0 * n, 10.0 * n) for n in range(50)),
        tuple((GRID[0] + 1000.0 * n, GRID[1] + 333.0 * n, 10.0 * n) for n in range(50)),
    ],
)
def test_levels_that_span_no_triangle_make_no_surface(spots: tuple[Vector, ...]) -> None:
    assert triangulated(spots).surface is None
    line = BreakLine("b", ((0.0, 0.0, 1.0), (9000.0, 4500.0, 1.0)))
    assert triangulated((), (line,)).surface is None


@pytest.mark.parametrize("bad", [math.nan, math.inf, -math.inf])
def test_levels_that_are_no_numbers_are_refused(bad: float) -> None:
    for place in range(3):
        spot = [0.0, 0.0, 0.0]
        spot[place] = bad
        with pytest.raises(GroundError, match="no number"):
            triangulated((tuple(spot), (9.0, 0.0, 0.0), (0.0, 9.0, 0.0)))


def test_one_place_with_two_levels_is_told_and_the_first_counts() -> None:
    corners = ((0.0, 0.0, 0.0), (9000.0, 0.0, 0.0), (0.0, 9000.0, 0.0))
    made = triangulated((*corners, (9000.0, 0.0, 400.0), (0.0, 0.0, 0.5)))
    assert made.surface is not None
    assert len(made.surface.points) == 3
    assert made.remarks == (
        "two levels in one place: east 9.000, north 0.000: 0.000 counts, 0.400 (spot level) does "
        "not",
    )
    many = [(x, y, z) for n in range(20) for x, y, z in corners for z in (z, z + 5.0 * n)]
    assert "and" not in made.remarks[0]
    assert len(triangulated(tuple(many)).remarks) == 1


def test_levels_far_away_reach_no_farther_than_is_said() -> None:
    near = spots_on(1, 80, lambda x, y: 0.01 * x)
    far = ((9e7, 9e7, 5e4), (-4e7, 1e7, -5e4))
    line = ((20_000.0, 20_000.0), (300_000.0, 310_000.0))
    surface = surface_of((*near, *far), reach=50_000.0)
    found = profile_along(surface, line)
    assert found.outside[-1][1] == pytest.approx(math.dist(*line))
    assert max(z for _, z in found.knots) < 500.0
    wide = profile_along(surface_of((*near, *far)), line)
    assert wide.outside == ()


def test_a_long_breakline_is_cut_so_that_its_triangles_reach() -> None:
    kerbs = tuple(
        BreakLine(f"k{n}", ((0.0, y, 10.0 * n), (200_000.0, y, 10.0 * n + 900.0)))
        for n, y in enumerate((0.0, 3000.0))
    )
    surface = surface_of((), kerbs, 50_000.0)
    found = profile_along(surface, ((1000.0, 1500.0), (199_000.0, 1500.0)))
    assert found.outside == ()
    for x in (0.0, 50_000.0, 120_000.0):
        assert level_at(found.knots, x) == pytest.approx(5.0 + (x + 1000.0) * 0.0045)


def test_breaklines_are_bounded_with_a_message() -> None:
    line = BreakLine("b", ((0.0, 0.0, 0.0), (1e9, 1.0, 0.0)))
    with pytest.raises(GroundError, match=f"at most {MOST_PIECES}"):
        triangulated(((0.0, 9e3, 0.0),), (line,), 1000.0)
    rng = np.random.default_rng(4)
    tangle = tuple(
        BreakLine(f"t{n}", tuple((x, y, 0.0) for x, y in rng.uniform(0.0, 1e5, (400, 2)).tolist()))
        for n in range(4)
    )
    start = time.process_time()
    with pytest.raises(GroundError, match="cross each other"):
        triangulated((), tangle)
    assert time.process_time() - start < 20.0


def test_a_hundred_thousand_levels_take_a_few_seconds() -> None:
    spots = spots_on(8, 100_000, lambda x, y: (x * 3.0 + y) % 900.0, 1e6)
    line = BreakLine("long", tuple((x, 4e5 + 1e4 * math.sin(x / 3e4), 50.0) for x in
                                   np.linspace(0.0, 1e6, 200).tolist()))  # fmt: skip
    start = time.process_time()
    made = triangulated(spots, (line,))
    assert made.surface is not None
    found = profile_along(made.surface, ((1e4, 1e4), (9.9e5, 9.9e5)))
    assert len(found.knots) > 500
    assert time.process_time() - start < 30.0  # alone about 5 s; machines differ and are shared
    held = surface_area(made.surface)
    assert held == pytest.approx(1e12, rel=1e-3)


def surface_area(surface: Surface) -> float:
    at = surface.xyz[surface.corners][:, :, :2]
    u, v = at[:, 1] - at[:, 0], at[:, 2] - at[:, 0]
    turns = u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]
    assert (turns > 0.0).all()
    return float(turns.sum() / 2.0)


@given(st.integers(0, 10**6), st.integers(1, 6))
@settings(max_examples=60, deadline=None)
def test_any_breaklines_at_all_leave_a_whole_triangulation(seed: int, count: int) -> None:
    """Also where they cross, touch, double back or run through levels on a coarse grid."""
    rng = np.random.default_rng(seed)
    spots = tuple((1000.0 * x, 1000.0 * y, z) for x, y, z in rng.integers(0, 12, (60, 3)).tolist())
    breaks = tuple(
        BreakLine(f"b{n}", tuple((500.0 * x, 500.0 * y, 10.0 * z) for x, y, z in
                                 rng.integers(0, 24, (rng.integers(2, 6), 3)).tolist()))
        for n in range(count)
    )  # fmt: skip
    made = triangulated(spots, breaks)
    assert made.surface is not None
    assert not any("whole" in remark for remark in made.remarks)
    edges = set(map(tuple, made.surface.edges.tolist()))
    assert set(made.surface.kept) <= edges
    from shapely import MultiPoint

    hull = MultiPoint([p[:2] for p in made.surface.points]).convex_hull
    assert surface_area(made.surface) == pytest.approx(hull.area, rel=1e-9)
    # Euler: points - edges + triangles = 1
    used = len(np.unique(made.surface.corners))
    assert used - len(edges) + len(made.surface.triangles) == 1


def test_contours_lie_at_their_level_and_close_or_end_on_the_hull() -> None:
    def cone(x: float, y: float) -> float:
        return math.hypot(x - 20_000.0, y - 20_000.0) / 10.0

    spots = (*spots_on(6, 900, cone), (20_000.0, 20_000.0, 0.0))
    surface = surface_of(spots)
    found = contours(surface, 250.0)
    levels = sorted({c.level for c in found})
    assert levels == [250.0 * n for n in range(1, len(levels) + 1)]
    for contour in found:
        at = surface.levels_at(np.array(contour.points))
        assert np.abs(at - contour.level).max() < 1e-3
        assert contour.index == (contour.level % 1250.0 == 0.0)
        if contour.level <= 1750.0:
            assert contour.closed
            reach = [10.0 * cone(x, y) for x, y in contour.points]
            assert min(reach) > 10.0 * contour.level - 1500.0
    assert contours(surface, 0.0) == ()
    # levels of the site: the model may stand about an origin of its own
    assert contours(surface, 250.0, 100.0)[0].level == 250.0
    assert len(contours(surface, 0.001)) < 4000


def test_contours_on_a_plane_are_straight_and_where_they_must_be() -> None:
    surface = surface_of(spots_on(7, 300, lambda x, y: x / 20.0))
    for contour in contours(surface, 100.0):
        assert not contour.closed
        assert [x for x, _ in contour.points] == pytest.approx([20.0 * contour.level] * len(
            contour.points))  # fmt: skip


def test_steps_of_contours_are_round() -> None:
    for fall in (1.0, 130.0, 999.0, 4000.0, 23_000.0, 1e6):
        step = contour_step(0.0, fall)
        assert step >= 50.0
        assert fall / step <= 20.0 + 1e-9
        assert round(step / 10.0 ** math.floor(math.log10(step)), 9) in (1.0, 2.0, 5.0)
        feet = contour_step(0.0, fall, feet=True) / 304.8
        assert feet >= 0.5
        assert round(feet / 10.0 ** math.floor(math.log10(feet)), 9) in (1.0, 2.0, 5.0)


def test_breaklines_come_back_as_lines() -> None:
    spots = spots_on(11, 100, lambda x, y: 0.0)
    ring = BreakLine("ring", tuple((x, y, 0.0) for x, y in (
        (9000.0, 9000.0), (30_000.0, 9000.0), (20_000.0, 30_000.0), (9000.0, 9000.0))))  # fmt: skip
    tail = BreakLine("tail", ((20_000.0, 30_000.0, 0.0), (21_000.0, 39_000.0, 0.0)))
    surface = surface_of(spots, (ring, tail))
    chains = surface.breaks()
    pairs = [
        tuple(sorted(pair)) for chain in chains for pair in zip(chain, chain[1:], strict=False)
    ]
    assert sorted(pairs) == sorted(surface.kept)
    assert len(chains) <= 3
