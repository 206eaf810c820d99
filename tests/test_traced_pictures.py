"""Traced pictures: finishes keep their colour, shadows are those of fast ones, runs agree."""

from __future__ import annotations

import io
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from click.testing import CliRunner
from coloraide import Color
from PIL import Image

from helpers import fence_of
from palewright.cli.main import main
from palewright.export.models.finishes import TIMBER_FINISHES
from palewright.export.models.product import Product
from palewright.export.pictures import picture, traced_picture
from palewright.export.pictures.camera import Viewpoint
from palewright.export.pictures.daylight import SKY, SUN, SUN_TINT, linear, shown
from palewright.export.pictures.picture import seen_scene
from palewright.export.pictures.renderer import answered, rendered
from palewright.export.pictures.scene_pieces import GRASS
from palewright.export.pictures.traced_picture import (
    SunnyHour,
    skylight,
    traced_light,
    write_traced_picture,
)

SPEC = '[[run]]\npoints = [[0, 0], ["6 m", 0]]\ngate = [{at = "3 m"}]\n'


def plates() -> dict[str, Any]:
    """Return a scene of upright plates in all finishes on grass, in the sun of the daylight."""
    colours = [finish.linear for finish in TIMBER_FINISHES.values()]
    size, count = 1000.0, len(colours)
    square = np.array([[0, 0, 0], [1, 0, 0], [1, 0, 1], [0, 0, 1]]) * size
    lawn = np.array([[-1, -1, 0], [1, -1, 0], [1, 1, 0], [-1, 1, 0]]) * 1e6
    # where the sun stands to an upright face, as daylight has it: 35 degrees aside, 40 high
    aside, up = np.radians((35.0, 40.0))
    sun = (np.sin(aside) * np.cos(up), -np.cos(aside) * np.cos(up), np.sin(up))
    points = [square + np.array((number * size, 0.0, 0.0)) for number in range(count)]
    width, height = 12 * count, 12
    return {
        "points": np.concatenate([*points, lawn]),
        "triangles": np.tile([[0, 1, 2], [0, 2, 3]], (count + 1, 1)),
        "point_ends": 4 * np.arange(1, count + 2),
        "triangle_ends": 2 * np.arange(1, count + 2),
        "colours": np.array([*colours, GRASS]),
        "metal": np.zeros(count + 1, dtype=bool),
        "groups": np.arange(count + 1),
        "places": np.repeat(np.eye(4)[None], count + 1, axis=0),
        "target": np.array((count * size / 2.0, 0.0, size / 2.0)),
        "eye": np.array((count * size / 2.0, -20.0 * size, size / 2.0)),
        "forward": np.array((0.0, 1.0, 0.0)),
        "tall": np.array(0.5 / 20.0),
        "lift": np.array(0.0),
        "size": np.array((width, height)),
        "level": np.array(-size / 2.0),
        "sun": np.array(sun),
        "sunlight": SUN * np.array(SUN_TINT),
        "skylight": skylight(),
        "dated": np.array(False),
        "effort": np.array((4, 16)),
        "guides": np.concatenate(
            [np.repeat(np.repeat(np.array(colours), 12, axis=0)[None], height, axis=0),
             np.zeros((height, width, 3)), np.tile((0.0, -1.0, 0.0), (height, width, 1)),
             np.zeros((height, width, 4))], axis=2
        ).astype(np.float32),
    }  # fmt: skip


@pytest.mark.slow
def test_finishes_in_the_sun_keep_their_colour_and_runs_agree() -> None:
    """Light 1 falls on the plates but for what the lawn sends up, which the tracer works out."""
    scene = plates()
    first, second = (answered("tracer", scene) for _ in range(2))
    assert first == second and first.startswith(b"PK")
    with np.load(io.BytesIO(first)) as made:
        light = made["light"]
    for number, finish in enumerate(TIMBER_FINISHES.values()):
        part = light[2:-2, 12 * number + 2 : 12 * number + 10].reshape(-1, 3)
        (colour,) = shown(part.mean(axis=0, keepdims=True))
        found = Color("srgb", [float(value) for value in colour])
        off = found.delta_e(Color("srgb", list(finish.rgb)), method="2000")
        assert off < 5.0, (finish.name, off)


@pytest.mark.slow
def test_shadows_fall_where_those_of_the_fast_picture_do() -> None:
    """Of the lawn's pixels 97 of 100 are lit or shaded in both; the others are edges."""
    built = Product(fence_of({"run": [{"points": [[0, 0], [3600, 0]]}]}))
    seen = seen_scene(built, Viewpoint("back", width=240, height=120, azimuth=192.0, rise=20.0))
    arrays = seen.arrays | {"sun": seen_scene(built, Viewpoint()).arrays["sun"]}
    with np.load(io.BytesIO(rendered(arrays | {"guided": np.array(1)}, b"PK"))) as made:
        guides = made["guides"]
    shaded = picture.SeenScene(arrays, seen.opened, seen.loose)
    traced = traced_light(built, shaded, guides, None, (4, 8))
    with Image.open(io.BytesIO(rendered(arrays, b"\x89PNG"))) as image:
        fast = linear(np.asarray(image.convert("RGB"), dtype=np.float32) / np.float32(255.0))
    fast = fast * guides[..., 1:4] / np.maximum(guides[..., 4:7], 1e-4)
    lawn = np.abs(guides[..., 1:4] - np.array(GRASS)).max(axis=2) < 1e-4
    limit = SKY + 0.5 * SUN * float(arrays["sun"][2])
    lit = [(light / np.array(GRASS)).mean(axis=2)[lawn] > limit for light in (traced, fast)]
    assert 0.03 < 1.0 - lit[1].mean() < 0.5
    assert (lit[0] == lit[1]).mean() > 0.97


def test_without_the_library_it_says_what_to_install(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(traced_picture, "NEEDED", ("no_such_library",))
    spec = tmp_path / "a.toml"
    spec.write_text(SPEC, encoding="utf-8")
    done = CliRunner().invoke(
        main, ["picture", str(spec), "-o", str(tmp_path / "a.png"), "--quality", "traced"]
    )
    assert done.exit_code == 2
    assert "pip install 'palewright[traced]'" in done.output
    assert not (tmp_path / "a.png").exists()


def test_no_sun_at_night() -> None:
    built = Product(fence_of({"run": [{"points": [[0, 0], [3600, 0]]}]}))
    night = SunnyHour(datetime(2026, 6, 21, 0, tzinfo=UTC), 51.5, 0.0)
    with pytest.raises(traced_picture.OutputError, match="15 degrees under the horizon"):
        write_traced_picture(built, hour=night)


def asked(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, *words: str, more: str = "") -> Any:
    """Return how the command ends, and the hour that it asked for."""
    hours: list[SunnyHour | None] = []

    def fake(built: Product, view: Viewpoint, hour: SunnyHour | None, step: Any) -> bytes:
        hours.append(hour)
        step(1, 1)
        return b"\x89PNG"

    monkeypatch.setattr(traced_picture, "write_traced_picture", fake)
    spec = tmp_path / "a.toml"
    spec.write_text(more + SPEC, encoding="utf-8")
    done = CliRunner().invoke(main, ["picture", str(spec), "-o", str(tmp_path / "a.png"), *words])
    return done, (hours or [None])[0]


TRACED = ("--quality", "traced")


@pytest.mark.parametrize(
    ("hour", "utc"),
    [("15:30+01:00", "14:30"), ("15", "16:00"), ("06:05-5", "11:05"), (None, "13:00")],
)
def test_hours_are_of_the_clock_or_of_the_sun(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, hour: str | None, utc: str
) -> None:
    words = [*TRACED, "--date", "2026-06-21", "--place", "51.5,-15"]
    done, found = asked(tmp_path, monkeypatch, *words, *(["--hour", hour] if hour else []))
    assert done.exit_code == 0, done.output
    assert f"{found.moment.astimezone(UTC):%H:%M}" == utc
    assert f"2026-06-21 {utc} UTC" in done.output and "tracing light: 100 %" in done.output


def test_the_place_comes_from_the_surveys_grid(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from palewright.model.survey.grids import degrees_of

    # the origin of Lambert-93 (EPSG:2154): 46.5 N, 3 E at 700 km, 6600 km
    assert degrees_of("EPSG:2154", (700e6, 6600e6)) == pytest.approx((46.5, 3.0), abs=1e-4)
    assert degrees_of("EPSG:999999", (0.0, 0.0)) is None
    done, _ = asked(tmp_path, monkeypatch, *TRACED, "--date", "2026-06-21")
    assert done.exit_code == 2 and "--place LAT,LONG" in done.output


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--date", "2026-06-21"), "need --quality traced"),
        ((*TRACED, "--hour", "12"), "need --date"),
        ((*TRACED, "--date", "21.6.2026", "--place", "51,0"), "not a day"),
        ((*TRACED, "--date", "2026-06-21", "--place", "51"), "not degrees north and east"),
        ((*TRACED, "--date", "2026-06-21", "--place", "51,0", "--hour", "25:00"), "not an hour"),
    ],
)
def test_what_is_asked_wrongly_is_said(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, words: tuple[str, ...], said: str
) -> None:
    done, _ = asked(tmp_path, monkeypatch, *words)
    assert done.exit_code == 2 and said in done.output
