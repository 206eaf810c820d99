"""Straight pieces of any section: moments, volumes, reach, parts, and how they are drawn."""

from __future__ import annotations

import math
import random

import numpy as np
import pytest
import shapely

from palewright.export.drawing.views.prism_projection import prism_loops
from palewright.model.geometry.convex import convex_parts, outer_points
from palewright.model.geometry.frames import Frame
from palewright.model.geometry.outlines import Outline, polygon_area, polygon_centroid
from palewright.model.geometry.prisms import EndCut, Prism
from palewright.model.geometry.section_moments import section_moments

HALF_ROUND = Outline(((0.0, -40.0, 1.0), (0.0, 40.0, 0.0)))
ROUND = Outline(((0.0, -40.0, 1.0), (0.0, 40.0, 1.0)))
ROOT = -math.tan(math.pi / 8.0)
ANGLE = Outline(
    ((0.0, 0.0, 0.0), (50.0, 0.0, 0.0), (50.0, 6.0, 0.0), (14.0, 6.0, ROOT), (6.0, 14.0, 0.0),
     (6.0, 50.0, 0.0), (0.0, 50.0, 0.0))
)  # fmt: skip
SECTIONS = {"half round": HALF_ROUND, "round": ROUND, "angle": ANGLE}
FRONT = Frame((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0))
END_ON = Frame((0.0, 0.0, 0.0), (0.0, 0.0, -1.0), (0.0, 1.0, 0.0))


def test_moments_of_a_half_round_are_the_books() -> None:
    """Area pi r2 / 2, centroid 4 r / 3 pi from the flat, (pi/8 - 8/9pi) r4 and pi r4 / 8."""
    made, r = section_moments(HALF_ROUND), 40.0
    assert made.area == pytest.approx(math.pi * r**2 / 2.0)
    assert made.centroid == pytest.approx((4.0 * r / (3.0 * math.pi), 0.0), abs=1e-9)
    assert made.across_x == pytest.approx((math.pi / 8.0 - 8.0 / (9.0 * math.pi)) * r**4)
    assert made.across_y == pytest.approx(math.pi * r**4 / 8.0)
    assert made.modulus_x == pytest.approx(made.across_x / (r - made.centroid[0]))


@pytest.mark.parametrize("section", SECTIONS.values(), ids=SECTIONS.keys())
def test_moments_are_those_of_a_fine_polygon(section: Outline) -> None:
    made, points = section_moments(section), section.flatten(1e-5)
    assert made.area == pytest.approx(polygon_area(points), rel=1e-5)
    assert made.centroid == pytest.approx(polygon_centroid(points), rel=1e-5, abs=1e-3)
    x0, y0 = np.array(points).T - np.array(made.centroid)[:, None]
    x1, y1 = np.roll(x0, -1), np.roll(y0, -1)
    turn = x0 * y1 - x1 * y0
    assert made.across_x == pytest.approx((turn * (x0**2 + x0 * x1 + x1**2)).sum() / 12.0, rel=1e-4)
    assert made.across_y == pytest.approx((turn * (y0**2 + y0 * y1 + y1**2)).sum() / 12.0, rel=1e-4)


@pytest.mark.parametrize("section", SECTIONS.values(), ids=SECTIONS.keys())
def test_the_kernels_solid_is_valid_and_as_large(section: Outline) -> None:
    from palewright.model.solids.bodies import solid_of

    for cuts in ((EndCut(), EndCut()), (EndCut(-1.0, 0.3), EndCut(0.4)), (EndCut(0, 0.6),) * 2):
        prism = Prism(section, 900.0, *cuts)
        solid = solid_of(prism)
        assert solid.isValid()
        assert solid.Volume() == pytest.approx(prism.volume, rel=1e-9)
        box = solid.BoundingBox(tolerance=1e-7)
        assert prism.overall == pytest.approx((box.xmin, box.xmax), abs=0.05)


def test_ends_that_meet_are_told() -> None:
    """A round 80 thick, its ends cut towards each other at 45 degrees: 80 shorter at one side."""
    assert Prism(ROUND, 79.0, EndCut(0.5), EndCut(-0.5)).shortest == pytest.approx(39.0)
    assert Prism(ROUND, 79.0, EndCut(1.0), EndCut(-1.0)).shortest == pytest.approx(-1.0)


@pytest.mark.parametrize("section", SECTIONS.values(), ids=SECTIONS.keys())
def test_convex_parts_fill_it(section: Outline) -> None:
    """Points strewn about are in one of the parts where they are in the section, between the cuts;
    those within the chords' tolerance of its edge are left out.
    """
    prism = Prism(section, 300.0, EndCut(0.5, -0.3), EndCut(-0.2, 0.4))
    parts, area = convex_parts(prism), shapely.Polygon(section.flatten(0.001))
    y0, z0, y1, z1 = section.bounds
    rng = random.Random(3)
    for _ in range(1500):
        x, y, z = rng.uniform(-60, 360), rng.uniform(y0, y1), rng.uniform(z0, z1)
        start, stop = prism.left.x((y, z)), 300.0 + prism.right.x((y, z))
        edge = min(shapely.Point(y, z).distance(area.exterior), abs(x - start), abs(x - stop))
        if edge > 0.2:
            inside = start < x < stop and area.contains(shapely.Point(y, z))
            found = any((p.normals @ (x, y, z) <= p.offsets).all() for p in parts)
            assert found == inside
    xs = outer_points(prism)[:, 0]
    assert (xs.min(), xs.max()) == pytest.approx(prism.overall, abs=0.15)


def test_a_half_round_is_drawn_by_its_outline_from_the_front() -> None:
    loops, depth = prism_loops(Prism(HALF_ROUND, 500.0), FRONT)
    assert depth == pytest.approx(0.0)
    assert len(loops) == 1
    assert shapely.Polygon(loops[0]).equals_exact(shapely.box(0, -40, 500, 40), 1e-9) or (
        shapely.Polygon(loops[0]).symmetric_difference(shapely.box(0, -40, 500, 40)).area < 1e-6
    )


def test_the_round_side_of_it_has_no_lines_within() -> None:
    """From the back its round side is one; sawn at 45 degrees its end is seen as well."""
    behind = Frame((0.0, 0.0, 0.0), (-1.0, 0.0, 0.0), (0.0, -1.0, 0.0))
    loops, depth = prism_loops(Prism(HALF_ROUND, 500.0), behind)
    assert len(loops) == 1
    assert depth == pytest.approx(-40.0)
    loops, _ = prism_loops(Prism(HALF_ROUND, 500.0, EndCut(), EndCut(-1.0)), behind)
    areas = sorted(shapely.Polygon(loop).area for loop in loops)
    assert areas[0] == pytest.approx(math.pi * 40.0**2 / 2.0, rel=1e-3)
    assert math.fsum(areas) == pytest.approx(500.0 * 80.0, rel=1e-6)


def test_what_a_leg_of_an_angle_hides_of_the_other_is_not_drawn() -> None:
    """Seen from above and a little from the front its upright leg hides part of the flat one."""
    loops, _ = prism_loops(Prism(ANGLE, 500.0), END_ON)
    assert len(loops) == 1
    turned = Frame((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, math.cos(1.2), math.sin(1.2)))
    prism = Prism(ANGLE, 500.0)
    shapes = [shapely.Polygon(loop) for loop in prism_loops(prism, turned)[0]]
    for number, one in enumerate(shapes):
        assert all(one.intersection(other).area < 1e-3 for other in shapes[:number])
    heights = [turned.point(point)[2] for point in outer_points(prism)]
    bounds = shapely.union_all(shapes).bounds
    assert bounds == pytest.approx((0.0, min(heights), 500.0, max(heights)), abs=0.01)
    assert len(shapes) == 3  # its front, its top, and what is left of the flat leg
