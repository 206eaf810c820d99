"""Head outlines against closed form and against shapely."""

from __future__ import annotations

import math

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from palewright.model.geometry.heads import (
    Clipped,
    Free,
    Head,
    HeadError,
    Ogee,
    Pointed,
    PointedArch,
    Round,
    Segmental,
    Square,
    pale_outline,
)

WIDTH = st.floats(40, 250)
SHARE = st.floats(0.05, 0.95)


@st.composite
def heads(draw: st.DrawFn) -> tuple[Head, float]:
    width, share = draw(WIDTH), draw(SHARE)
    half = width / 2
    head = draw(
        st.sampled_from(
            [
                Square(),
                Clipped(half * share, width * share),
                Pointed(width * share * 2),
                Pointed(width * share, half * share),
                Round(),
                Segmental(half * share),
                PointedArch(half * (1.001 + 3 * share)),
                Ogee(half * (1 + 3 * share)),
                Free(((0.0, 0.0), (half * share, 40.0), (half, 10.0), (width, 30.0))),
            ]
        )
    )
    return head, width


def taken_off(head: Head, width: float) -> float:
    """Area that a head takes off a square-cut pale of the same length, in closed form."""
    half = width / 2
    match head:
        case Clipped(across, down):
            return across * down
        case Pointed(height, blunt):
            return (width - blunt) * height / 2
        case Round():
            return width * half - math.pi * half**2 / 2
        case Segmental(height):
            radius = (half**2 + height**2) / (2 * height)
            angle = 2 * math.asin(half / radius)
            return width * height - radius**2 * (angle - math.sin(angle)) / 2
        case PointedArch(height):
            # half the arch is a circular segment's sector less the triangle to the tip
            radius = (height**2 + half**2) / (2 * half)
            angle = math.asin(height / radius)
            inside = radius**2 * angle / 2 - (radius - half) * height / 2
            return 2 * (half * height - inside)
        case Ogee(height):
            # the curve is symmetric about its turning point, so it halves its rectangle
            return width * height / 2
        case Free(points):
            inside = sum(
                (x1 - x0) * (y0 + y1) / 2 for (x0, y0), (x1, y1) in zip(points, points[1:])
            )
            return width * max(y for _, y in points) - inside
    return 0.0


@given(heads())
def test_areas_in_closed_form(case: tuple[Head, float]) -> None:
    head, width = case
    outline = pale_outline(head, width, 2000.0)
    assert outline.area == pytest.approx(width * 2000.0 - taken_off(head, width), rel=1e-9)


@given(heads())
def test_outlines_are_simple_inside_the_pale_and_as_long_as_said(case: tuple[Head, float]) -> None:
    head, width = case
    outline = pale_outline(head, width, 2000.0)
    polygon = shapely.Polygon(outline.flatten(0.001))
    assert polygon.is_valid
    assert polygon.area == pytest.approx(outline.area, rel=1e-5)
    assert outline.bounds == pytest.approx((-width / 2, 0, width / 2, 2000.0), abs=1e-6)
    board = shapely.box(-width / 2, 0, width / 2, 2000).buffer(1e-6)
    assert polygon.within(board)


@given(heads())
def test_curves_run_on_without_a_kink(case: tuple[Head, float]) -> None:
    """Round, pointed-arch and ogee heads leave the straight sides along their direction."""
    head, width = case
    if not isinstance(head, (Round, PointedArch, Ogee)):
        return
    edges = pale_outline(head, width, 2000.0).edges
    first = next(edge for edge in edges if edge.bulge)
    (x, y), (cx, cy) = first.start, first.centre
    assert cy == pytest.approx(y, abs=1e-6)  # radius level, so the tangent is upright
    assert cx < x
    if isinstance(head, Ogee):
        second = edges[edges.index(first) + 1]
        turn = first.end
        # one straight line through both centres and the turning point: a common tangent
        assert math.dist(first.centre, second.centre) == pytest.approx(
            first.radius + second.radius, rel=1e-9
        )
        assert math.dist(first.centre, turn) == pytest.approx(first.radius, rel=1e-9)


def test_clips_of_30_by_30_on_a_100_mm_pale() -> None:
    # common practice, no source: 40 mm of flat left, 900 mm2 taken off
    outline = pale_outline(Clipped(30, 30), 100, 1000)
    assert 100 * 1000 - outline.area == pytest.approx(900)
    top = [edge for edge in outline.edges if edge.start[1] == edge.end[1] == 1000]
    assert [edge.chord for edge in top] == [40]


@pytest.mark.parametrize(
    ("head", "width", "length"),
    [
        (Clipped(50, 20), 100, 900),
        (Clipped(0, 20), 100, 900),
        (Pointed(0), 100, 900),
        (Pointed(30, 100), 100, 900),
        (Segmental(50), 100, 900),
        (Segmental(0), 100, 900),
        (PointedArch(50), 100, 900),
        (Ogee(49), 100, 900),
        (Round(), 100, 50),
        (Free(((0, 0),)), 100, 900),
        (Free(((1, 0), (100, 0))), 100, 900),
        (Free(((0, 0), (99, 0))), 100, 900),
        (Free(((0, 0), (50, -1), (100, 0))), 100, 900),
        (Free(((0, 0), (80, 50), (20, 50), (90, 10), (100, 0))), 100, 900),
        (Free(((0, 0), (50, 20), (50, 20), (100, 0))), 100, 900),
    ],
)
def test_what_cannot_be_cut_is_refused(head: Head, width: float, length: float) -> None:
    with pytest.raises(HeadError):
        pale_outline(head, width, length)
