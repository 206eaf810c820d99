"""Daylight in pictures: finishes keep their colour, the sun is off the front, shadows are true."""

from __future__ import annotations

import io
import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from coloraide import Color
from PIL import Image

from helpers import EXAMPLES, example_fence, fence_of
from palewright.export.models.finishes import TIMBER_FINISHES, Finish
from palewright.export.models.product import Product
from palewright.export.models.things import thing_meshes
from palewright.export.pictures.buffers import depths, window_of
from palewright.export.pictures.daylight import SUN_ASIDE, SUN_HEIGHT, shown, sun_direction
from palewright.export.pictures.picture import Viewpoint, write_picture
from palewright.export.pictures.pieces import pieces_of
from palewright.export.pictures.render import fitted
from palewright.export.pictures.scene_pieces import standing
from palewright.export.pictures.shading import Light, Map

NOTICED = 5.0
"""CIE difference 2000 that a finish may be from its definition."""

STRAIGHT: dict[str, Any] = {
    "run": [{"points": [[0, 0], [3600, 0]]}],
    "pales": {"width": 140, "gap": 20, "head": "square"},
}


def difference(colour: np.ndarray, finish: Finish) -> float:
    """Return the CIE difference 2000 between an sRGB colour, 0 to 1, and a finish."""
    found = Color("srgb", [float(part) for part in colour])
    return float(found.delta_e(Color("srgb", list(finish.rgb)), method="2000"))


@pytest.mark.parametrize(
    ("one", "other", "wanted"),
    [
        ((50.0, 2.6772, -79.7751), (50.0, 0.0, -82.7485), 2.0425),
        ((50.0, 2.49, -0.001), (50.0, -2.49, 0.0011), 7.2195),
        ((50.0, 2.5, 0.0), (73.0, 25.0, -18.0), 27.1492),
        ((2.0776, 0.0795, -1.135), (0.9033, -0.0636, -0.5514), 0.9082),
    ],
)
def test_the_measure_of_colours_is_the_published_one(
    one: tuple[float, ...], other: tuple[float, ...], wanted: float
) -> None:
    """Sharma, Wu, Dalal, The CIEDE2000 color-difference formula (2005), table 1."""
    first, second = (Color("lab-d65", list(lab)) for lab in (one, other))
    assert first.delta_e(second, method="2000") == pytest.approx(wanted, abs=1e-4)


@pytest.mark.parametrize("finish", TIMBER_FINISHES.values(), ids=lambda finish: finish.name)
def test_light_1_is_shown_as_the_finish(finish: Finish) -> None:
    (colour,) = shown(np.array([finish.linear], dtype=np.float32))
    assert difference(colour, finish) < NOTICED
    if finish.name == "white paint":
        assert colour.min() * 255.0 > 225.0


def front_of(finish: str) -> np.ndarray:
    """Return the middle colour of pales in a picture straight from the front."""
    fence = fence_of(STRAIGHT | {"finishes": {"pales": finish}})
    data = write_picture(Product(fence), Viewpoint(azimuth=0.0, rise=0.0, width=480, height=240))
    with Image.open(io.BytesIO(data)) as image:
        pixels = np.asarray(image.convert("RGB"))
    # 7 of 8 parts of the fence's height are pales where the picture's middle is
    return np.median(pixels[125:140, 60:420].reshape(-1, 3), axis=0) / 255.0


@pytest.mark.slow
@pytest.mark.parametrize("name", ["white paint", "treated", "black paint", "green paint"])
def test_a_finish_keeps_its_colour_in_a_picture(name: str) -> None:
    colour = front_of(name)
    assert difference(colour, TIMBER_FINISHES[name]) < NOTICED
    if name == "white paint":
        assert colour.min() * 255.0 >= 225.0


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_the_sun_stands_off_the_gated_or_the_longest_leg(path: Path) -> None:
    fence = example_fence(path)
    legs = [leg for layout in fence.layouts for leg in layout.legs]
    gated = [opening.leg for layout in fence.layouts for opening in layout.openings]
    leg = max(gated or legs, key=lambda leg: leg.length)
    for behind, sign in ((False, -1.0), (True, 1.0)):
        sun = np.array(sun_direction(fence, behind=behind))
        assert np.linalg.norm(sun) == pytest.approx(1.0)
        wanted = math.cos(math.radians(SUN_ASIDE)) * math.cos(math.radians(SUN_HEIGHT))
        assert sun @ (sign * np.array(leg.frame.y)) == pytest.approx(wanted)


@pytest.mark.parametrize("degrees", [0.0, 37.0, 90.0, 201.0])
def test_the_sun_turns_with_the_fence(degrees: float) -> None:
    turn = math.radians(degrees)
    points = [(0.0, 0.0), (9000.0, 0.0), (12000.0, 7000.0)]
    turned = [
        [x * math.cos(turn) - y * math.sin(turn), x * math.sin(turn) + y * math.cos(turn)]
        for x, y in points
    ]
    x, y, z = sun_direction(fence_of({"run": [{"points": [list(spot) for spot in points]}]}))
    found = sun_direction(fence_of({"run": [{"points": turned}]}))
    wanted = (
        x * math.cos(turn) - y * math.sin(turn), x * math.sin(turn) + y * math.cos(turn), z
    )  # fmt: skip
    assert found == pytest.approx(wanted, abs=1e-9)


def hit(corners: np.ndarray, start: np.ndarray, way: np.ndarray) -> bool:
    """Tell whether a ray meets a triangle of (m, 3, 3); Moeller and Trumbore (1997)."""
    a, b, c = corners.transpose(1, 0, 2)
    across = np.cross(way, c - a)
    size = np.einsum("ij,ij->i", b - a, across)
    size = np.where(np.abs(size) < 1e-12, np.inf, size)
    u = np.einsum("ij,ij->i", start - a, across) / size
    side = np.cross(start - a, b - a)
    v = side @ way / size
    far = np.einsum("ij,ij->i", c - a, side) / size
    return bool(((u >= 0) & (v >= 0) & (u + v <= 1) & (far > 1e-6)).any())


@pytest.mark.slow
def test_shadows_fall_where_rays_to_the_sun_are_stopped() -> None:
    fence = fence_of({"run": [{"points": [[0, 0], [4000, 0], [4000, 2500]]}]})
    pieces = pieces_of(standing(Product(fence)))
    sun = np.array(sun_direction(fence))
    window, renderer, _ = window_of(pieces.points, pieces.triangles, len(pieces.triangles))
    side, cells = fitted(pieces.points, pieces.points, -sun)
    shadow = Map(side, depths(window, renderer, side, cells))
    light = Light(sun, (shadow,), shadow)
    dice = np.random.default_rng(8)
    low, high = pieces.points.min(axis=0) - 900.0, pieces.points.max(axis=0) + 900.0
    spots = dice.uniform(low, high, (600, 3))
    spots[:, 2] = 0.0
    upright = np.tile((0.0, 0.0, 1.0), (len(spots), 1))
    lit = light.sunlit(spots.astype(np.float32), upright.astype(np.float32))
    corners = pieces.points[pieces.triangles]
    wanted = np.array([not hit(corners, spot, sun) for spot in spots])
    assert 0.1 < 1.0 - wanted.mean() < 0.9
    # along the edges of shadows, half a cell wide, either is right
    sure = (lit < 0.02) | (lit > 0.98)
    assert sure.mean() > 0.9
    assert ((lit > 0.5) == wanted)[sure].mean() > 0.99


def test_gates_stand_ajar_in_the_gates_view_alone() -> None:
    fence = fence_of({"run": [{"points": [[0, 0], [6000, 0]], "gate": [{"at": 3000}]}]})
    shut, ajar = (pieces_of(standing(Product(fence), opened)) for opened in (0.0, 35.0))
    moved = np.linalg.norm(shut.points - ajar.points, axis=1) > 1e-9
    on_leaf = [m.leaf is not None for m in fence.members if m.kind.name != "footing"]
    moving = np.zeros(len(shut.points), dtype=bool)
    moving[shut.triangles[np.array(on_leaf)[shut.owner]]] = True
    assert (moved <= moving).all()
    assert moved[moving].mean() > 0.9


SITE: dict[str, Any] = {
    "run": [{"points": [[0, 0], [9000, 0]]}],
    "feature": [
        {"kind": "house", "closed": True, "height": 6800,
         "points": [[-3000, 9000], [6000, 9000], [6000, 15000], [-3000, 15000]]},
        {"kind": "tree", "points": [[12000, 4000]], "width": 400, "height": 7000},
        {"kind": "pipe", "points": [[2000, -5000], [2000, 9000]]},
    ],
}  # fmt: skip


def test_houses_have_roofs_and_trees_crowns_as_high_as_they_are_given() -> None:
    things: dict[str, list[np.ndarray]] = {}
    for mesh in thing_meshes(fence_of(SITE)):
        things.setdefault(mesh.feature.kind, []).append(mesh.points)
    walls, roof = things["house"]
    assert roof[:, 2].max() == pytest.approx(6800.0)
    # 6 m wide under 35 degrees
    assert walls[:, 2].max() == pytest.approx(6800.0 - 3000.0 * math.tan(math.radians(35.0)))
    trunk, leaves = things["tree"]
    assert leaves[:, 2].max() == pytest.approx(7000.0)
    assert leaves[:, 2].min() < trunk[:, 2].max() < 7000.0
    # what lies in the ground is in no picture
    shown = standing(Product(fence_of(SITE | {"feature": SITE["feature"][2:]})))
    assert len(shown) == sum(m.kind.name != "footing" for m in fence_of(SITE).members)
