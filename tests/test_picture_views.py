"""Pictures are filled by what they show, gates are plain, and fences far off make no waves."""

from __future__ import annotations

import io
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image
from scipy.ndimage import uniform_filter

from helpers import EXAMPLES, example_fence, fence_of
from palewright.export.models.product import Product
from palewright.export.pictures.camera import CameraPlace, Viewpoint, camera_of
from palewright.export.pictures.picture import AJAR, write_picture
from palewright.export.pictures.sampling import narrow_strips
from palewright.export.pictures.scene_pieces import GRASS_HIGH, collars_shown, members_placed
from palewright.model.fence.fence_model import FenceModel

SIZES = ((1600, 800), (1440, 900), (1024, 768), (390, 844), (844, 390))


def in_picture(camera: CameraPlace, size: tuple[int, int], points: np.ndarray) -> np.ndarray:
    """Return where points (n, 3) are in a picture (n, 2), from -1 to 1."""
    forward = np.array(camera.forward) / np.linalg.norm(camera.forward)
    right = np.cross(forward, (0.0, 0.0, 1.0))
    right /= np.linalg.norm(right)
    offset = points - np.array(camera.eye)
    depth = offset @ forward
    assert (depth > 0.0).all()
    wide = camera.tall * size[0] / size[1]
    up = np.cross(right, forward)
    return np.column_stack(
        [offset @ right / depth / wide, (offset @ up / depth - camera.lift) / camera.tall]
    )


def ends_of_posts(fence: FenceModel) -> np.ndarray:
    spots = [
        post.frame.point((0.0, 0.0, up))
        for layout in fence.layouts
        for post in layout.posts
        for up in (0.0, post.top)
    ]
    return np.array(spots)


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_the_whole_fence_is_in_the_picture_and_fills_it(path: Path) -> None:
    fence = example_fence(path)
    spots = ends_of_posts(fence)
    for size in SIZES:
        for of in ("front", "back"):
            view = Viewpoint(of, width=size[0], height=size[1])
            found = in_picture(camera_of(fence, view), size, spots)
            assert np.abs(found).max() < 1.0, (size, of)
            share = np.ptp(found, axis=0) / 2.0
            # 9 parts of 10 of the width (FILLED), and no bands of nothing but sky and lawn that
            # leave less than a quarter of the height to what is long and low
            assert share[0] > 0.84 or share[1] > 0.84, (size, of)
            assert share[1] > 0.25, (size, of, share)


@pytest.mark.parametrize("hinge", ["left", "right"])
@pytest.mark.parametrize("swing", ["in", "out"])
def test_an_open_gate_is_seen_to_be_one(hinge: str, swing: str) -> None:
    gate = {"at": 3000, "opening": 1000, "hinge": hinge, "swing": swing}
    fence = fence_of({"run": [{"points": [[0, 0], [6000, 0]], "gate": [gate]}]})
    built, view = Product(fence), Viewpoint("gate", width=1440, height=900)
    camera = camera_of(fence, view)
    (opening,) = fence.layouts[0].openings
    ends = [opening.leg.frame.point((x, 0.0, 400.0)) for x in (opening.start, opening.end)]
    left, right = in_picture(camera, (1440, 900), np.array(ends))[:, 0]
    leaf = np.concatenate(
        [
            built.meshes[member.mark].vertices @ matrix[:3, :3].T + matrix[:3, 3]
            for member, matrix in members_placed(fence, AJAR)
            if member.leaf is not None
        ]
    )
    seen = in_picture(camera, (1440, 900), leaf)[:, 0]
    free = right - seen.max() if hinge == "left" else seen.min() - left
    # a third of the opening can be looked through, and the leaf takes up a third
    assert free / (right - left) > 0.33
    assert np.ptp(seen) / (right - left) > 0.33


def test_grass_hides_the_edge_of_the_concrete_round_posts() -> None:
    spec: dict[str, Any] = {"run": [{"points": [[0, 0], [3600, 0]]}]}
    (collars,) = collars_shown(Product(fence_of(spec | {"footings": {"weathering": 30}})))
    used = collars.points[np.unique(collars.triangles)]
    assert used[:, 2].max() == pytest.approx(30.0 - GRASS_HIGH)
    assert used[:, 2].min() == pytest.approx(-GRASS_HIGH)
    assert collars_shown(Product(fence_of(spec | {"footings": {"weathering": 10}}))) == []


def test_narrow_pieces_are_in_strips_and_wide_ones_are_not() -> None:
    boxes = np.array([[50, 20, 51, 40], [52, 21, 53, 41], [140, 30, 142, 38]])
    size = (200, 80)
    strips = list(narrow_strips(boxes, size))
    for left, low, right, high in boxes:
        inside = np.zeros((size[1], size[0]), dtype=bool)
        for strip in strips:
            inside[strip.within] = True
        assert inside[low : high + 1, left : right + 1].all()
    assert sum(strip.size[0] * strip.size[1] for strip in strips) < 0.06 * size[0] * size[1]


@pytest.mark.slow
def test_a_long_fence_makes_no_waves() -> None:
    """Against the same picture three times as fine, averaged: no waves (moire) along the fence.

    What differs by chance from pixel to pixel is averaged over 9 pixels each way: waves are longer.
    Of 255 steps 4 are allowed; with two by two parts a pixel, as near fences have, it was 19.
    """
    spec = {"run": [{"points": [[0, 0], [90000, 0]]}], "finishes": {"pales": "white paint"}}
    built = Product(fence_of(spec))

    def picture(times: int) -> np.ndarray:
        size = {"width": 320 * times, "height": 160 * times}
        data = write_picture(built, Viewpoint(azimuth=62.0, rise=4.0, **size))
        with Image.open(io.BytesIO(data)) as image:
            return np.asarray(image.convert("RGB"), dtype=np.float64)

    fine = picture(3).reshape(160, 3, 320, 3, 3).mean(axis=(1, 3))
    off = picture(1) - fine
    waves = np.abs(uniform_filter(off.mean(axis=2), 9))
    assert waves.max() < 4.0
    assert np.abs(off).mean() < 2.0
