"""Solids and meshes of every shape: valid, closed, and as big as the closed form says."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st

from helpers import fence_of
from palewright.export.models.product import Product
from palewright.model.geometry.facets import faces_of
from palewright.model.geometry.heads import (
    Clipped,
    Free,
    Ogee,
    Pointed,
    PointedArch,
    Round,
    Segmental,
    Square,
    pale_outline,
)
from palewright.model.geometry.outlines import Outline
from palewright.model.geometry.post_shapes import Post
from palewright.model.geometry.prisms import EndCut
from palewright.model.geometry.shapes import (
    Bar,
    Cap,
    Footing,
    Plate,
    Rod,
    RoundHole,
    Shape,
    SquareHole,
    arris_section,
    rectangle_section,
)
from palewright.model.geometry.top_cuts import FlatTop, PyramidTop, WeatheredTop
from palewright.model.layout.leaves import LEAST_REACH, STEEP_ENOUGH, brace_of
from palewright.model.parts.rails import bolt_through

HEADS = [
    Square(),
    Clipped(30, 20),
    Pointed(50),
    Pointed(40, 20),
    Round(),
    Segmental(20),
    PointedArch(80),
    Ogee(110),
    Free(((0, 0), (20, 40), (50, 30), (80, 60), (100, 10))),
]
SHAPES: list[Shape] = [
    *(Plate(pale_outline(head, 100, 900), 20) for head in HEADS),
    Bar(rectangle_section(75, 38), 3000),
    Bar(rectangle_section(75, 38), 3000, EndCut(-1.0), EndCut(0.5, 0.2)),
    Bar(arris_section(84, 42), 1700, EndCut(0.3), EndCut(-0.3)),
    Post(100, 100, 1600, FlatTop()),
    Post(100, 75, 1600, WeatheredTop(25)),
    Post(125, 125, 1700, PyramidTop(30)),
    Cap(130, 120, 20, 0),
    Cap(130, 120, 20, 25),
    Footing(SquareHole(300, 350), 50, 600, 100, 75, 25),
    Footing(SquareHole(300, 300), 0, 600, 100, 100, 0),
    Footing(RoundHole(350), 50, 600, 100, 75, 25),
    Footing(RoundHole(350), 0, 600, 100, 100, 0),
    bolt_through("M8", 113),
    bolt_through("M10", 138),
    bolt_through("M12", 163),
    Rod(16, 450),
]


def watertight(mesh: Any) -> bool:
    return bool(mesh.is_watertight and mesh.is_winding_consistent and mesh.volume > 0)


@pytest.mark.parametrize("shape", SHAPES, ids=lambda shape: type(shape).__name__)
def test_a_solid_is_valid_closed_and_has_its_volume(shape: Shape) -> None:
    from palewright.model.solids.bodies import mesh_of, solid_of

    solid = solid_of(shape)
    assert solid.isValid()
    assert solid.Shells()[0].Closed()
    assert solid.Volume() == pytest.approx(shape.volume, rel=1e-9)
    vertices, triangles, faces = mesh_of(solid)
    mesh = trimesh.Trimesh(vertices, triangles, process=False)
    assert watertight(mesh)
    curved = any(face.geomType() != "PLANE" for face in solid.Faces())
    assert mesh.volume == pytest.approx(shape.volume, rel=0.03 if curved else 1e-6)
    assert len(set(faces.tolist())) == len(solid.Faces())


@given(
    st.floats(60, 150), st.floats(60, 150), st.floats(10, 300), st.floats(200, 900),
    st.floats(0, 120), st.floats(0, 60), st.booleans(),
)  # fmt: skip
@settings(max_examples=40)
def test_concrete_in_closed_form(
    width: float, depth: float, wider: float, deep: float, bed: float, rise: float, square: bool
) -> None:
    from palewright.model.solids.bodies import solid_of

    hole = (
        SquareHole(width + wider, depth + wider)
        if square
        else RoundHole(math.hypot(width, depth) + wider)
    )
    footing = Footing(hole, bed, deep, width, depth, rise if rise > 1 else 0.0)
    solid = solid_of(footing)
    assert solid.isValid()
    assert solid.Volume() == pytest.approx(footing.volume, rel=1e-8)


@pytest.mark.parametrize("shape", SHAPES, ids=lambda shape: type(shape).__name__)
def test_flat_faces_look_outwards(shape: Shape) -> None:
    """The volume under the faces, each counted by its direction (divergence theorem)."""
    if not isinstance(shape, (Bar, Post, Cap)):
        return
    total = 0.0
    for loop in faces_of(shape):
        points = np.array(loop)
        for b, c in pairwise(points[1:]):
            total += np.dot(points[0], np.cross(b, c)) / 6.0
    assert total == pytest.approx(shape.volume, rel=1e-12)


def test_hole_volumes_of_a_plain_footing() -> None:
    # arithmetic of pi/4 d2 h - a2 h, in m3
    plain = Footing(RoundHole(300), 0, 600, 100, 100, 0)
    assert plain.volume / 1e9 == pytest.approx(0.04241 - 0.00600, abs=1e-5)
    square = Footing(SquareHole(300, 300), 0, 600, 100, 100, 0)
    assert square.volume / 1e9 == pytest.approx(0.04800, abs=1e-9)


@given(st.floats(500, 2000), st.floats(200, 1500), st.floats(30, 150), st.booleans())
@settings(max_examples=50)
def test_a_brace_fills_its_panel_from_corner_to_corner(
    width: float, rise: float, size: float, left: bool
) -> None:
    brace = brace_of(width, rise, size)
    if brace is None:
        return
    angle = math.radians(brace.degrees)
    assert math.tan(angle) * brace.run == pytest.approx(rise, rel=1e-9)
    assert brace.along * math.sin(angle) == pytest.approx(size, rel=1e-9)
    if brace.degrees != STEEP_ENOUGH:  # else it would be too flat and ends short of the corner
        assert brace.run + brace.along == pytest.approx(width - 40, rel=1e-9)
    assert LEAST_REACH * (width - 40) - 1e-6 <= brace.run + brace.along <= width - 40 + 1e-6


def test_a_brace_across_a_square_rises_at_45_degrees() -> None:
    # a thin brace in a square panel: the diagonal of the square
    brace = brace_of(940.0, 900.0, 0.001)
    assert brace is not None
    assert brace.degrees == pytest.approx(45.0, abs=1e-3)
    assert math.hypot(brace.run, brace.rise) == pytest.approx(1272.8, abs=0.05)


@pytest.mark.parametrize("hinge", ["left", "right"])
def test_the_brace_rises_from_the_foot_of_the_hanging_side(hinge: str) -> None:
    run = {"points": [[0, 0], [6000, 0]], "gate": [{"at": 3000, "opening": 900, "hinge": hinge}]}
    fence = fence_of({"run": [run]})
    (brace,) = (member for member in fence.members if member.kind.name == "gate brace")
    assert isinstance(brace.shape, Bar)
    low = [
        brace.frame.point((brace.shape.end_x(cut, at, point), *point))
        for cut, at in ((brace.shape.left, 0.0), (brace.shape.right, brace.shape.length))
        for point in brace.shape.section
    ]
    foot = min(low, key=lambda p: p[2])
    head = max(low, key=lambda p: p[2])
    assert (foot[0] < head[0]) == (hinge == "left")
    pins = [m.frame.origin[0] for m in fence.members if m.kind.name == "hinge pin"]
    assert all(abs(x - foot[0]) < abs(x - head[0]) for x in pins)


TURNED = {
    "run": [
        {
            "name": "every corner",
            "points": [
                [0, 0], [5000, 0], [5000, -4000], [9000, -4000], [9000, 0], [14000, 0],
                [12000, 4000], [16000, 6000], [20000, 6500],
            ],
        },
        {
            "points": [[0, 20000], [6000, 20000], [6000, 16000], [12000, 16000], [12000, 20000]],
            "front": "left",
            "rails": {"corners": "butt"},
            "gate": [{"at": 3000, "swing": "out", "hinge": "right"}],
        },
        {"points": [[0, 40000], [8000, 40000], [1000, 44100]], "pales": {"ends": "gap"}},
        {"points": [[0, 50000], [8000, 50000], [1000, 45900]]},
        {
            "points": [[0, 60000], [4000, 60000], [4000, 57000], [8000, 57000], [12000, 58000]],
            "front": "left",
            "rails": {"form": "arris", "section": [84, 42]},
            "gate": [{"at": 2000, "leaves": 2, "opening": 2000}],
        },
    ]
}  # fmt: skip


@pytest.mark.slow
def test_exact_solids_do_not_stand_in_each_other() -> None:
    """All pieces of the examples' kind at every sort of corner, cut with each other."""
    clash(Product(fence_of(TURNED)))


@pytest.mark.slow
def test_exact_solids_of_the_examples_do_not_stand_in_each_other(built: Product) -> None:
    clash(built)


def clash(built: Product) -> None:
    import cadquery as cq
    import shapely

    placed = []
    for member in built.fence.members:
        if member.kind.name in ("bolt", "wall anchor"):
            continue  # they go through what they clamp
        frame = member.frame
        spot = cq.Location(cq.Plane(frame.origin, frame.x, frame.z))
        placed.append((member, built.solids[member.mark].moved(spot)))
    boxes = [solid.BoundingBox() for _, solid in placed]
    plans = shapely.box(
        [b.xmin for b in boxes], [b.ymin for b in boxes],
        [b.xmax for b in boxes], [b.ymax for b in boxes],
    )  # fmt: skip
    pairs = shapely.STRtree(plans).query(plans, predicate="intersects").T
    tested = 0
    for one, other in pairs:
        a, b = boxes[one], boxes[other]
        deep = min(
            min(a.xmax, b.xmax) - max(a.xmin, b.xmin),
            min(a.ymax, b.ymax) - max(a.ymin, b.ymin),
            min(a.zmax, b.zmax) - max(a.zmin, b.zmin),
        )
        if one >= other or deep < 1e-3:
            continue
        tested += 1
        shared = placed[one][1].intersect(placed[other][1]).Volume()
        # lengths are kept to a ten-thousandth of a mm, over faces of up to a hundred by a hundred
        assert shared < 1.0, (placed[one][0].name, placed[other][0].name, shared)
    assert tested > 0


def test_flat_plates_keep_their_outline() -> None:
    outline = Outline.rectangle(0, 0, 10, 20)
    assert Plate(outline, 2).size == (10, 2, 20)
    assert np.isclose(Plate(outline, 2).volume, 400)
