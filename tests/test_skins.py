"""Meshes and STEP bodies that we write ourselves, against closed forms and the CAD kernel."""

from __future__ import annotations

import math
import random
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest
import trimesh
from hypothesis import given
from hypothesis import strategies as st

from helpers import EXAMPLES, ROOT, fence_of
from palewright.export.models.finishes import finish_of
from palewright.export.models.product import Product, mesh_of_shape
from palewright.export.models.step import write_step
from palewright.model.geometry.finials import AcornFinial, BallFinial
from palewright.model.geometry.heads import (
    Clipped,
    Free,
    Ogee,
    Pointed,
    PointedArch,
    Round,
    Segmental,
    pale_outline,
)
from palewright.model.geometry.outlines import Outline
from palewright.model.geometry.post_shapes import Post
from palewright.model.geometry.prisms import EndCut, Prism
from palewright.model.geometry.shapes import (
    Bar,
    Bolt,
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
from palewright.model.geometry.skin_meshes import mesh_of_skin
from palewright.model.geometry.skin_shapes import skin_of
from palewright.model.geometry.skins import MESH_ANGLE, MESH_TOLERANCE, chords, skin_of_polygons
from palewright.model.geometry.top_cuts import FlatTop, PyramidTop, WeatheredTop
from palewright.model.geometry.turned_shapes import Turned, TurnedZone
from readers import solids_read_back

SLOPES = (0.0, 0.0, 1.0, -1.0, 0.37, -0.6, 0.0213, -1.7)
HEADS = (
    Clipped(30, 20), Pointed(50), Pointed(40, 20), Round(), Segmental(20), PointedArch(80),
    Ogee(110), Free(((0, 0), (20, 40), (50, 30), (80, 60), (100, 10))),
)  # fmt: skip


def a_bar(rng: random.Random) -> Shape:
    section = rng.choice([rectangle_section, arris_section])(rng.uniform(40, 150), 38.0)
    cuts = (EndCut(rng.uniform(-1.5, 1.5), rng.uniform(-0.5, 0.5)) for _ in range(2))
    return Bar(section, rng.uniform(600, 4000), *cuts)


def a_post(rng: random.Random) -> Shape:
    top = rng.choice([FlatTop(), WeatheredTop(rng.uniform(5, 40)), PyramidTop(rng.uniform(5, 60))])
    return Post(rng.uniform(75, 200), rng.uniform(75, 200), rng.uniform(900, 2600), top)


def a_cap(rng: random.Random) -> Shape:
    sizes = rng.uniform(90, 200), rng.uniform(90, 200)
    return Cap(*sizes, 20.0, rng.choice([0.0, 25.0]), rng.choice([0.0, rng.uniform(30, 80)]))


def a_pale(rng: random.Random) -> Shape:
    outline = pale_outline(rng.choice(HEADS), 100, rng.uniform(500, 1800))
    return Plate(outline, rng.uniform(15, 28), rng.choice(SLOPES), rng.choice(SLOPES))


def a_board(rng: random.Random) -> Shape:
    """A board cut to steps and slopes below and above, often not convex, with arcs here and there;
    some corners stand just where a bevel ends.
    """
    thickness, slope = 20.0, rng.choice(SLOPES)
    xs = sorted({0.0, 1500.0, *(rng.uniform(60, 1440) for _ in range(rng.randint(0, 6)))})
    if slope and rng.random() < 0.5:
        xs = sorted({*xs, 1500.0 - abs(slope) * thickness})
    low = [(x, rng.uniform(0, 90), rng.choice([0.0, 0.0, 0.1, -0.1])) for x in xs]
    high = [(x, rng.uniform(250, 400), rng.choice([0.0, 0.0, 0.1, -0.1])) for x in reversed(xs)]
    loop = [*low, *high]
    # an arc over a narrow step could swell over its neighbours
    narrow = [abs(b[0] - a[0]) < 60.0 for a, b in zip(loop, [*loop[1:], loop[0]])]
    outline = Outline(
        tuple((x, z, 0.0 if tight else bulge) for (x, z, bulge), tight in zip(loop, narrow))
    )
    return Plate(outline, thickness, rng.choice(SLOPES), slope)


def a_notched_board(rng: random.Random) -> Shape:
    """Its ends are notched to a point, which is where the bevel ends, before it, or beyond it."""
    deep = rng.choice([10.0, 20.0, 30.0])
    right = [(300.0, 0.0), (300.0 - deep, rng.uniform(40, 60)), (300.0, 100.0)]
    left = [(0.0, 100.0), (deep, rng.uniform(40, 60)), (0.0, 0.0)]
    slopes = [rng.choice([1.0, -1.0, 0.5, -0.5]) for _ in range(2)]
    return Plate(Outline.polygon([*right, *left][-1:] + [*right, *left][:-1]), 20.0, *slopes)


def a_footing(rng: random.Random) -> Shape:
    width, depth = rng.uniform(75, 150), rng.uniform(75, 150)
    room = rng.uniform(30, 200)
    square = SquareHole(width + room, depth + room)
    hole = rng.choice([square, RoundHole(math.hypot(width, depth) + room)])
    bed, rise = rng.choice([0.0, 75.0]), rng.choice([0.0, 25.0])
    return Footing(hole, bed, rng.uniform(400, 900), width, depth, rise)


def a_bolt(rng: random.Random) -> Shape:
    d = rng.choice([8.0, 10.0, 12.0])
    grip = rng.uniform(80, 250)
    return Bolt(d, grip + 30.0, grip, 2.5 * d, 0.6 * d, 3.0 * d, 3.0, 1.5 * d, 0.8 * d)


def a_rod(rng: random.Random) -> Shape:
    return Rod(rng.uniform(8, 25), rng.uniform(100, 600))


def a_finial(rng: random.Random) -> Shape:
    """One of those that a spec may ask for, or zones on end with steps in and out between."""
    diameter = rng.uniform(30, 200)
    made = rng.choice([BallFinial(shape="ball", diameter=diameter).turned(),
                       AcornFinial(shape="acorn", diameter=diameter).turned(), None])  # fmt: skip
    if made is not None:
        return made
    zones = [
        TurnedZone(rng.uniform(20, 60), rng.uniform(20, 60), rng.uniform(5, 60), rng.random() < 0.5)
        for _ in range(rng.randint(1, 4))
    ]
    tip = [TurnedZone(rng.uniform(20, 60), 0.0, rng.uniform(20, 80), rng.random() < 0.5)]
    return Turned((*zones, *(tip if rng.random() < 0.5 else [])))


def a_prism(rng: random.Random) -> Shape:
    """A half-round, a round, an angle with a rounded root, or a hollow moulding, cut obliquely."""
    r, t, w = rng.uniform(20, 60), rng.uniform(3, 10), rng.uniform(40, 100)
    root = math.tan(math.pi / 8.0)
    section = rng.choice([
        Outline(((0.0, 0.0, 1.0), (0.0, 2.0 * r, 0.0))),
        Outline(((-r, 0.0, 1.0), (r, 0.0, 1.0))),
        Outline(((0.0, 0.0, 0.0), (w, 0.0, 0.0), (w, t, 0.0), (2.0 * t, t, -root),
                 (t, 2.0 * t, 0.0), (t, w, 0.0), (0.0, w, 0.0))),
        Outline(((0.0, 0.0, 0.0), (w, 0.0, -0.5), (w, w, 0.3), (0.0, w, 0.0))),
    ])  # fmt: skip
    cuts = (EndCut(rng.uniform(-1.5, 1.5), rng.uniform(-0.7, 0.7)) for _ in range(2))
    square = rng.random() < 0.3
    ends = (EndCut(), EndCut()) if square else cuts
    return Prism(section, rng.uniform(700, 3000), *ends)


MAKERS = (
    a_bar, a_post, a_cap, a_pale, a_board, a_notched_board, a_footing, a_bolt, a_rod, a_finial,
)  # fmt: skip


@pytest.fixture(scope="module")
def shapes() -> list[Shape]:
    """300 of all kinds that are made of flat, round and conical faces, always the same."""
    rng, other = random.Random(20), random.Random(21)
    made = [MAKERS[number % len(MAKERS)](rng) for number in range(270)]
    return [*made, *(a_prism(other) for _ in range(30))]


def is_curved(shape: Shape) -> bool:
    skin = skin_of(shape)
    assert skin is not None, shape
    return any(edge.curve for edge in skin.edges)


def assert_mesh(shape: Shape) -> None:
    """It is made without the kernel, closed, and as large as the closed form says."""
    skin = skin_of(shape)
    assert skin is not None, shape
    parts = mesh_of_skin(skin)
    assert parts is not None, shape
    vertices, triangles, faces = parts
    assert set(faces.tolist()) == set(range(len(skin.faces)))
    mesh = trimesh.Trimesh(vertices, triangles, process=False)
    assert mesh.is_watertight, shape
    assert mesh.is_winding_consistent, shape
    assert (mesh.area_faces > 0.0).all(), shape
    if is_curved(shape):
        assert abs(mesh.volume - shape.volume) < MESH_TOLERANCE * mesh.area, shape
        assert mesh.volume == pytest.approx(shape.volume, rel=0.03), shape
    else:
        assert mesh.volume == pytest.approx(shape.volume, rel=1e-6), shape


def test_every_mesh_of_the_examples(built: Product) -> None:
    for group in built.fence.by_mark.values():
        assert_mesh(group[0].shape)


def test_meshes_of_300_shapes(shapes: list[Shape]) -> None:
    for shape in shapes:
        assert_mesh(shape)
    assert sum(is_curved(shape) for shape in shapes) > 100
    assert any(isinstance(s, Plate) and s.bevel_left and s.bevel_right for s in shapes)


@pytest.mark.slow
def test_the_kernels_solids_of_300_shapes_are_as_large(shapes: list[Shape]) -> None:
    from palewright.model.solids.bodies import solid_of

    for shape in shapes:
        mesh = mesh_of_shape(shape)
        volume = trimesh.Trimesh(mesh.vertices, mesh.triangles, process=False).volume
        close = 0.03 if is_curved(shape) else 1e-6
        assert volume == pytest.approx(solid_of(shape).Volume(), rel=close), shape


def test_step_bodies_of_the_examples(built: Product, tmp_path: Path) -> None:
    found = solids_read_back(write_step(built), tmp_path)
    marks = built.fence.by_mark
    assert found.keys() == marks.keys()
    for mark, group in marks.items():
        assert found[mark].volume == pytest.approx(group[0].shape.volume, rel=1e-6), mark
        assert found[mark].rgb == finish_of(group[0].kind, built.fence.job.finishes).rgb


def fence_with(shapes: list[Shape]) -> Product:
    """Return a fence whose members have been given other shapes, each a mark of its own."""
    fence = fence_of({"run": [{"points": [[0, 0], [60_000, 0]]}]})
    members = [
        replace(member, shape=shape, mark=f"X{number}")
        for number, (member, shape) in enumerate(zip(fence.members, shapes, strict=False))
    ]
    assert len(members) == len(shapes)
    return Product(replace(fence, members=tuple(members)))


@pytest.mark.slow
def test_step_bodies_of_300_shapes(shapes: list[Shape], tmp_path: Path) -> None:
    built = fence_with(shapes)
    step = write_step(built)
    assert step == write_step(built)
    found = solids_read_back(step, tmp_path)
    assert len(found) == len(shapes)
    for number, shape in enumerate(shapes):
        assert found[f"X{number}"].volume == pytest.approx(shape.volume, rel=1e-6), shape


def test_what_has_no_skin_is_made_by_the_kernel(tmp_path: Path) -> None:
    """A stick whose bevels meet in an edge: a prism over a triangle, 30 wide and 15 deep."""
    sharp = Plate(Outline.rectangle(0, 0, 30, 800), 20, 1.0, -1.0)
    assert skin_of(sharp) is None
    built = fence_with([Rod(16, 450), sharp, Post(100, 100, 1600)])
    found = solids_read_back(write_step(built), tmp_path)
    volume = 30.0 * 15.0 / 2.0 * 800.0
    assert found["X1"].volume == pytest.approx(volume, rel=1e-6)
    assert found["X0"].volume == pytest.approx(math.pi * 64.0 * 450.0, rel=1e-6)
    mesh = built.meshes["X1"]
    assert trimesh.Trimesh(mesh.vertices, mesh.triangles).volume == pytest.approx(volume, rel=1e-6)


@pytest.mark.parametrize(
    "shape",
    [
        Footing(SquareHole(100, 300), 50, 600, 100, 100, 25),
        Footing(RoundHole(141), 50, 600, 100, 100, 0),
        Bolt(10, 40, 60, 25, 5, 30, 3, 16, 8.4),  # it ends within its nut
        Bolt(10, 100, 60, 25, 5, 15, 3, 16, 8.4),  # its washer is smaller than its nut
    ],
)
def test_parts_that_run_into_each_other_have_no_skin(shape: Shape) -> None:
    assert skin_of(shape) is None


def test_an_arc_that_swells_less_than_can_be_told_is_straight() -> None:
    nearly = Plate(Outline(((0, 0, 1e-9), (100, 0, 0), (100, 500, -1e-10), (0, 500, 0))), 20, 0.4)
    assert not is_curved(nearly)
    assert_mesh(nearly)


def test_an_outline_that_crosses_itself_has_no_mesh_of_ours() -> None:
    crossed = Outline.polygon([(0, 0), (100, 0), (100, 50), (20, -30), (0, 50)])
    skin = skin_of(Plate(crossed, 20))
    assert skin is not None
    assert mesh_of_skin(skin) is None


def test_what_is_open_is_no_skin() -> None:
    a, b, c, d = (0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)
    faces = [(a, c, b), (a, b, d), (b, c, d), (c, a, d)]
    assert skin_of_polygons(faces) is not None
    assert skin_of_polygons(faces[1:]) is None
    assert skin_of_polygons([faces[0][::-1], *faces[1:]]) is None


@given(st.floats(0.5, 1e5), st.floats(1e-3, math.tau))
def test_chords_are_within_the_tolerances(radius: float, angle: float) -> None:
    count = chords(radius, angle)
    step = angle / count
    assert step <= MESH_ANGLE * (1.0 + 1e-6)
    assert radius * (1.0 - math.cos(step / 2.0)) <= MESH_TOLERANCE * (1.0 + 1e-6)


@pytest.mark.slow
@pytest.mark.parametrize("example", EXAMPLES, ids=lambda path: path.stem)
def test_solid_outputs_of_the_examples_do_not_load_the_kernel(example: Path) -> None:
    code = (
        "import sys\nfrom pathlib import Path\n"
        "from palewright.reading import read_fence\n"
        "from palewright.export.models.product import Product\n"
        "from palewright.export.outputs.registry import OUTPUTS\n"
        f"built = Product(read_fence(Path({str(example)!r})))\n"
        "for output in OUTPUTS:\n"
        "    if output.name in ('step', 'glb', 'stl', '3mf', 'obj', 'merged', 'page'):\n"
        "        assert output.make(built, 'x')\n"
        "assert 'OCP' not in sys.modules and 'cadquery' not in sys.modules\n"
    )
    subprocess.run([sys.executable, "-c", code], check=True, cwd=ROOT.parent)
