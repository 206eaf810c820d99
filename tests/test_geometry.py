from __future__ import annotations

import math

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from palewright.model.geometry.frames import Frame, cos_sin
from palewright.model.geometry.outlines import Edge, Outline, polygon_centroid

SIZE = st.floats(-1000, 1000)
BULGE = st.floats(-1.5, 1.5).filter(lambda b: abs(b) > 1e-3)


@given(SIZE, SIZE, SIZE, SIZE, BULGE)
def test_an_arc_passes_through_its_ends_and_middle(
    x0: float, y0: float, x1: float, y1: float, bulge: float
) -> None:
    if math.dist((x0, y0), (x1, y1)) < 1.0:
        return
    edge = Edge((x0, y0), (x1, y1), bulge)
    for point in (edge.start, edge.end, edge.middle):
        assert math.dist(point, edge.centre) == pytest.approx(edge.radius, rel=1e-9)
    middle = ((x0 + x1) / 2, (y0 + y1) / 2)
    assert math.dist(edge.middle, middle) == pytest.approx(
        abs(bulge) * edge.chord / 2.0,
        rel=1e-9,  # the sagitta: DXF reference, group code 42
    )


def test_a_disc_of_two_half_circles() -> None:
    disc = Outline(((-50.0, 0.0, 1.0), (50.0, 0.0, 1.0)))
    assert disc.area == pytest.approx(math.pi * 50**2, rel=1e-12)
    assert disc.bounds == pytest.approx((-50, -50, 50, 50))
    points = disc.flatten(0.01)
    assert shapely.Polygon(points).area == pytest.approx(disc.area, rel=1e-3)
    assert all(math.hypot(x, y) == pytest.approx(50) for x, y in points)
    # the chords stay within the tolerance of the arc
    chord = math.dist(points[0], points[1])
    assert 50 - math.sqrt(50**2 - (chord / 2) ** 2) <= 0.01


@given(st.lists(st.tuples(SIZE, SIZE, BULGE), min_size=3, max_size=6, unique=True))
def test_mirroring_twice_is_nothing_and_keeps_the_area(
    vertices: list[tuple[float, float, float]],
) -> None:
    outline = Outline(tuple(vertices))
    mirrored = outline.mirrored()
    assert mirrored.area == pytest.approx(outline.area, abs=1e-3)
    twice = mirrored.mirrored().vertices
    start = twice.index(outline.vertices[0])
    assert (*twice[start:], *twice[:start]) == outline.vertices


def test_frames_compose_and_invert() -> None:
    outer = Frame.turned(100.0, 200.0, 5.0, 30.0)
    inner = Frame.tilted(10.0, -3.0, 7.0, 40.0)
    joined = outer @ inner
    for point in ((0.0, 0.0, 0.0), (1.0, 2.0, 3.0)):
        assert joined.point(point) == pytest.approx(outer.point(inner.point(point)))
        assert joined.local(joined.point(point)) == pytest.approx(point, abs=1e-9)
    assert joined.z == pytest.approx(
        (
            joined.x[1] * joined.y[2] - joined.x[2] * joined.y[1],
            joined.x[2] * joined.y[0] - joined.x[0] * joined.y[2],
            joined.x[0] * joined.y[1] - joined.x[1] * joined.y[0],
        )
    )


@given(st.integers(-12, 12))
def test_quarter_turns_are_exact(quarter: int) -> None:
    assert cos_sin(90.0 * quarter) == pytest.approx(
        (math.cos(math.pi / 2 * quarter), math.sin(math.pi / 2 * quarter)), abs=1e-12
    )
    assert set(map(abs, cos_sin(90.0 * quarter))) == {0.0, 1.0}


@given(st.lists(st.tuples(SIZE, SIZE), min_size=3, max_size=8, unique=True))
def test_areas_and_centroids_agree_with_shapely(points: list[tuple[float, float]]) -> None:
    polygon = shapely.Polygon(points)
    if not polygon.is_valid or polygon.area < 1.0:
        return
    assert abs(Outline.polygon(points).area) == pytest.approx(polygon.area, rel=1e-9)
    centroid = polygon_centroid(tuple(points))
    assert centroid == pytest.approx((polygon.centroid.x, polygon.centroid.y), abs=1e-5)
