"""A fence in a photograph: the camera is found again, the sun is where it was, masks hide."""

from __future__ import annotations

import io
import json
import math
from dataclasses import replace
from datetime import datetime, timedelta, timezone
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import pytest
from click.testing import CliRunner
from PIL import Image

from helpers import fence_of
from palewright.cli.main import main
from palewright.export.models.product import Product
from palewright.export.montage.composing import laid_over, make_montage
from palewright.export.montage.photo_camera import (
    CameraError,
    Known,
    PhotoCamera,
    bent,
    film_focal,
    solve_camera,
    unbent,
)
from palewright.export.montage.photo_points import Mask, PhotoPoint, PhotoPoints
from palewright.export.montage.photograph import Photograph, read_photograph
from palewright.export.montage.picking_page import write_picking_page
from palewright.export.pictures.sun_place import sun_place, sun_vector

NO_HORIZON = np.zeros((0, 2))
WIDE, TALL = 800, 600

CORNERS = np.array(
    [[-3000, 9000, 0], [6000, 9000, 0], [6000, 15000, 0], [3000, 0, 0], [9000, 0, 0],
     [6000, 9000, 4600], [-3000, 9000, 4600], [0, 0, 0]], dtype=np.float64,
)  # fmt: skip

SPEC: dict[str, Any] = {"run": [{"points": [[0, 0], [9000, 0]], "gate": [{"at": 3000}]}]}


def camera_at(
    at: tuple[float, float, float], to: tuple[float, float, float], *, bend: float = 0.0
) -> PhotoCamera:
    """Return a camera of 640 pixels' focal length, held a little askew."""
    forward = np.array(to) - np.array(at)
    forward /= np.linalg.norm(forward)
    right = np.cross(forward, (0.0, 0.0, 1.0))
    right /= np.linalg.norm(right)
    turn = np.stack([right, np.cross(forward, right), forward])
    c, s = math.cos(0.03), math.sin(0.03)
    askew = np.array([[c, s, 0.0], [-s, c, 0.0], [0.0, 0.0, 1.0]])
    middle = (WIDE / 2.0, TALL / 2.0)
    return PhotoCamera(askew @ turn, np.array(at), 640.0, bend, middle, np.zeros(0), True)


STOOD = camera_at((9000.0, -9000.0, 1650.0), (3500.0, 3000.0, 900.0), bend=-0.05)


@pytest.mark.parametrize("bend", [-0.2, -0.05, 0.0, 0.1])
def test_distortion_is_undone(bend: float) -> None:
    flat = np.random.default_rng(3).uniform(-0.6, 0.6, (200, 2))
    assert unbent(bent(flat, bend), bend) == pytest.approx(flat, abs=1e-4)


def test_projection_is_that_of_a_general_library() -> None:
    turn, _ = cv2.Rodrigues(STOOD.turn)
    moved = -STOOD.turn @ STOOD.at
    lens = np.array([[640.0, 0, WIDE / 2], [0, 640.0, TALL / 2], [0, 0, 1.0]])
    wanted, _ = cv2.projectPoints(CORNERS, turn, moved, lens, np.array([-0.05, 0, 0, 0]))
    assert STOOD.pixels(CORNERS) == pytest.approx(wanted.reshape(-1, 2), abs=1e-6)


@pytest.mark.parametrize("seed", range(6))
def test_a_camera_is_found_again_with_its_lens(seed: int) -> None:
    dice = np.random.default_rng(seed)
    bearing = dice.uniform(0.0, math.tau)
    at = (14000 * math.cos(bearing), 14000 * math.sin(bearing), dice.uniform(1200, 4000))
    camera = camera_at(at, (500.0, -300.0, 800.0), bend=-0.06)
    places = dice.uniform((-4000, -3000, 0), (4000, 3000, 3000), (8, 3))
    known = Known(camera.pixels(places), places, NO_HORIZON, (WIDE, TALL), 620.0)
    found = solve_camera(known)
    assert found.at == pytest.approx(camera.at, abs=1.0)
    assert found.focal == pytest.approx(640.0, rel=1e-4)
    assert found.bend == pytest.approx(-0.06, abs=1e-4)
    assert found.errors.max() < 0.01


def test_four_points_on_the_ground_are_enough_where_the_focal_length_is_known() -> None:
    """Held against the pose that OpenCV's solver finds from the same points."""
    camera = replace(STOOD, bend=0.0)
    places = CORNERS[[0, 1, 3, 4]]
    noise = np.random.default_rng(2).normal(0.0, 0.5, (4, 2))
    pixels = camera.pixels(places) + noise
    found = solve_camera(Known(pixels, places, NO_HORIZON, (WIDE, TALL), 640.0))
    assert not found.freed
    lens = np.array([[640.0, 0, WIDE / 2], [0, 640.0, TALL / 2], [0, 0, 1.0]])
    _, turn, moved = cv2.solvePnP(places, pixels, lens, None, flags=cv2.SOLVEPNP_ITERATIVE)
    matrix, _ = cv2.Rodrigues(turn)
    assert found.at == pytest.approx((-matrix.T @ moved).ravel(), abs=20.0)
    seen, _ = cv2.projectPoints(CORNERS, turn, moved, lens, None)
    assert found.pixels(CORNERS) == pytest.approx(seen.reshape(-1, 2), abs=0.5)


def test_the_horizon_helps_points_that_are_seen_badly() -> None:
    camera = replace(STOOD, bend=0.0)
    places = CORNERS[[0, 1, 3, 4]]
    level = camera.turn @ np.array([[-0.3, 1.0, 0.0], [0.3, 1.0, 0.0]]).T
    horizon = (level[:2] / level[2]).T * 640.0 + (WIDE / 2.0, TALL / 2.0)
    apart = {True: 0.0, False: 0.0}
    for seed in range(8):
        noise = np.random.default_rng(seed).normal(0.0, 2.0, (4, 2))
        for with_it in apart:
            known = Known(
                camera.pixels(places) + noise, places, horizon if with_it else NO_HORIZON,
                (WIDE, TALL), 640.0,
            )  # fmt: skip
            apart[with_it] += float(np.linalg.norm(solve_camera(known).at - camera.at))
    assert apart[True] < apart[False]


@pytest.mark.parametrize(
    ("places", "words"),
    [
        (CORNERS[:3], "3 points are known; a camera needs 4"),
        (np.array([[x, 0.0, 0.0] for x in range(0, 5000, 1000)]), "all points lie on a line"),
    ],
)
def test_too_little_is_said(places: np.ndarray, words: str) -> None:
    pixels = np.arange(2.0 * len(places)).reshape(-1, 2)
    with pytest.raises(CameraError, match=words):
        solve_camera(Known(pixels, places, NO_HORIZON, (WIDE, TALL), 640.0))


def test_the_sun_is_where_a_published_example_has_it() -> None:
    """NREL/TP-560-34302, the worked example: zenith 50.11162, azimuth 194.34024 degrees."""
    moment = datetime(2003, 10, 17, 12, 30, 30, tzinfo=timezone(timedelta(hours=-7)))
    azimuth, height = sun_place(moment, 39.742476, -105.1786)
    assert azimuth == pytest.approx(194.34024, abs=0.02)
    assert 90.0 - height == pytest.approx(50.11162, abs=0.02)
    assert np.linalg.norm(sun_vector(azimuth, height)) == pytest.approx(1.0)


def points_of(pixels: np.ndarray, **more: Any) -> PhotoPoints:
    known = [
        PhotoPoint(pixel=tuple(pixel), place=tuple(place))
        for pixel, place in zip(pixels.tolist(), CORNERS.tolist(), strict=True)
    ]
    return PhotoPoints(point=tuple(known), **more)


def lawn() -> Photograph:
    return Photograph(Image.new("RGB", (WIDE, TALL), (120, 150, 90)), None, None, None)


@pytest.mark.slow
def test_a_fence_lands_on_its_own_rendering() -> None:
    """Points half a pixel off: what covers the photograph is what the true camera would show."""
    built = Product(fence_of(SPEC))
    noise = np.random.default_rng(5).normal(0.0, 0.5, (len(CORNERS), 2))
    made = make_montage(built, lawn(), points_of(STOOD.pixels(CORNERS) + noise))
    assert made.camera.pixels(CORNERS) == pytest.approx(STOOD.pixels(CORNERS), abs=1.0)
    true, _ = laid_over(built, STOOD, (WIDE, TALL), None)
    found, left = laid_over(built, made.camera, (WIDE, TALL), None)
    here, there = true[..., 3] > 0.5, found[..., 3] > 0.5
    assert here.sum() > 8000
    assert (here & there).sum() / (here | there).sum() > 0.9
    # corners of posts by projection alone lie in what is drawn
    tops = np.array(
        [[x, y, 850.0] for x, y, _ in (p.frame.origin for p in built.fence.layouts[0].posts)]
    )
    for x, y in STOOD.pixels(tops).round().astype(int):
        assert true[y - 2 : y + 3, x - 2 : x + 3, 3].max() > 0.5
    assert left.min() < 0.95  # the ground beside it is darker
    with Image.open(io.BytesIO(made.png)) as image:
        pixels = np.asarray(image.convert("RGB")).astype(int)
    assert (np.abs(pixels[:60] - (120, 150, 90)) <= 1).all()  # the photograph is kept


@pytest.mark.slow
def test_masks_and_shadows() -> None:
    built = Product(fence_of(SPEC))
    pixels = STOOD.pixels(CORNERS)
    sky = {"taken": "2026-06-21T12:00:00+00:00", "place": (51.5, 0.0)}
    plain = make_montage(built, lawn(), points_of(pixels, sky=sky))
    assert plain.sun == pytest.approx((179.0, 61.9), abs=0.5)
    ring = ((0.0, 0.0), (WIDE, 0.0), (WIDE, TALL), (0.0, TALL))
    hidden = make_montage(built, lawn(), points_of(pixels, sky=sky, mask=(Mask(pixels=ring),)))
    with Image.open(io.BytesIO(hidden.png)) as image:
        assert (np.abs(np.asarray(image).astype(int) - (120, 150, 90)) <= 1).all()
    # at noon the shadow falls to the north, behind the fence
    _, left = laid_over(built, STOOD, (WIDE, TALL), plain.sun)
    spots = STOOD.pixels(np.array([[1000.0 + 30.0 * k, 250.0, 0.0] for k in range(60)]))
    shade = [left[round(y), round(x)].mean() for x, y in spots]
    assert min(shade) < 0.75 < max(shade)


def test_what_a_camera_wrote_is_read(tmp_path: Path) -> None:
    path = tmp_path / "p.jpg"
    image = Image.new("RGB", (40, 30), (9, 9, 9))
    written = image.getexif()
    written[0x0112] = 6  # turned by a quarter
    shot = written.get_ifd(0x8769)
    shot[0xA405], shot[0x9003], shot[0x9011] = 28, "2026:05:03 14:20:00", "+01:00"
    spot = written.get_ifd(0x8825)
    spot[1], spot[2], spot[3], spot[4] = "N", (51.0, 28.0, 48.0), "W", (3.0, 10.0, 48.0)
    image.save(path, exif=written)
    photo = read_photograph(path)
    assert photo.image.size == (30, 40)
    assert photo.focal == 28.0
    assert photo.taken == datetime(2026, 5, 3, 14, 20, tzinfo=timezone(timedelta(hours=1)))
    assert photo.place == pytest.approx((51.48, -3.18))
    # 28 mm on a frame of 43.27 mm across
    assert film_focal(28.0, (30, 40)) == pytest.approx(28.0 * 50.0 / 43.2666, rel=1e-4)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("[[point]]\npixel = [1, 2]\n", "p.toml:1: point[1]: needs either 'post'"),
        ("[[point]]\npixel = [1]\npost = 'A01'\n", "p.toml:2: point[1].pixel"),
        ("[[point]]\npixel = [1, 2]\npost = 'Z99'\n", "no post Z99; there are A01"),
        ("[[point]]\npixel = [1, 2]\npost = 'A01'\n[sky]\ntaken = 2026-05-03T14:20:00\n",
         "needs its time zone"),
        ("[[point]]\npixel = [1, 2]\npost = 'A01'\n", "1 points are known; a camera needs 4"),
        ("[[point\n", "p.toml:1:"),
    ],
)  # fmt: skip
def test_wrong_points_are_one_message(text: str, words: str, tmp_path: Path) -> None:
    spec, photo = tmp_path / "s.toml", tmp_path / "p.png"
    spec.write_text("[[run]]\npoints = [[0, 0], [5400, 0]]\n")
    Image.new("RGB", (40, 30)).save(photo)
    (tmp_path / "p.toml").write_text(text)
    out = tmp_path / "o.png"
    result = CliRunner().invoke(main, ["montage", str(spec), str(photo), "-o", str(out)])
    assert result.exit_code == 2
    assert words in result.stderr
    assert not out.exists()


def test_no_photograph_is_said(tmp_path: Path) -> None:
    spec, photo = tmp_path / "s.toml", tmp_path / "p.jpg"
    spec.write_text("[[run]]\npoints = [[0, 0], [5400, 0]]\n")
    photo.write_text("no picture")
    result = CliRunner().invoke(main, ["montage", str(spec), str(photo), "--pick", "x.html"])
    assert result.exit_code == 2
    assert "is no photograph that can be read" in result.stderr


def test_the_page_knows_posts_and_corners_and_asks_for_nothing(tmp_path: Path) -> None:
    photo = tmp_path / "front's.png"
    Image.new("RGB", (40, 30)).save(photo)
    house = {"kind": "house", "closed": True, "points": [[0, 4000], [5000, 4000], [5000, 9000]]}
    text = write_picking_page(fence_of(SPEC | {"feature": [house]}), photo).decode()
    start = text.index('id="places">') + len('id="places">')
    places = json.loads(text[start : text.index("</script>", start)])
    posts = fence_of(SPEC).layouts[0].posts
    assert [place.get("post") for place in places][: 2 * len(posts) : 2] == [p.label for p in posts]
    assert places[-1]["place"] == [5000.0, 9000.0, 0.0]
    assert "http" not in text.replace("http-equiv", "").replace("http://www.w3.org/2000/svg", "")
