"""Grids and degrees of surveys, against pyproj's geodesics: units, kinds, lengths far away."""

from __future__ import annotations

import json
import math
import sys
from pathlib import Path
from typing import Any

import pyproj
import pytest

from palewright.model.order.joints import make_fence
from palewright.model.survey.extents import length
from palewright.model.survey.grids import US_SURVEY_FOOT, grid_of
from palewright.model.survey.points_and_lines import Asked, Survey, SurveyError
from palewright.model.survey.survey_files import parse_survey
from palewright.reading import read_job

PLACES = [
    ("EPSG:2263", -73.98, 40.75),  # US survey feet
    ("EPSG:4258", 8.55, 47.37),  # degrees
    ("EPSG:4269", -93.3, 45.0),
    ("EPSG:25831", 3.1, 50.9),  # north over 5,000 km
    ("EPSG:32719", -70.7, -33.4),  # north over 6,000 km
    ("EPSG:2154", 2.35, 48.86),  # north over 6,800 km
    ("EPSG:3035", 10.0, 52.0),  # north first
    ("EPSG:2193", 174.8, -36.9),
    ("EPSG:27700", -0.12, 51.5),
    ("EPSG:27700", -1.15, 60.15),  # Shetland
]


def csv(text: str, **options: Any) -> Survey:
    return parse_survey(text.encode(), "s.csv", "CSV", Asked(**options))


def text_of(name: str, ends: list[tuple[float, float]]) -> str:
    """Return a survey of a line from positions in the degrees of a grid."""
    grid = pyproj.CRS.from_user_input(name)
    to = pyproj.Transformer.from_crs(grid.geodetic_crs, grid, always_xy=True)
    rows = [to.transform(*end) for end in ends]
    return "E,N,code\n" + "".join(f"{east:.12f},{north:.12f},F\n" for east, north in rows)


@pytest.mark.parametrize(("name", "lon", "lat"), PLACES, ids=[f"{p[0]} {p[2]}" for p in PLACES])
def test_lengths_are_those_on_the_ground(name: str, lon: float, lat: float) -> None:
    """Lengths of 130 and 152.4 m to a millimetre of the geodesic, by the scale of a grid."""
    grid = pyproj.CRS.from_user_input(name)
    geod = grid.get_geod()
    for true, azimuth in ((130.0, 35.0), (152.4, 140.0)):
        other = geod.fwd(lon, lat, azimuth, true)[:2]
        found = csv(text_of(name, [(lon, lat), other]), crs=name)
        scale = 1.0
        if grid.is_projected:
            # along the line, from the scales along the meridian and the parallel
            proj = pyproj.Proj(grid)
            at = proj.get_factors((lon + other[0]) / 2.0, (lat + other[1]) / 2.0)
            north, east = math.cos(math.radians(azimuth)), math.sin(math.radians(azimuth))
            scale = math.hypot(at.meridional_scale * north, at.parallel_scale * east)
        assert length(found.lines[0]) / scale == pytest.approx(true * 1000.0, abs=1.0)


def test_coordinates_of_any_grid_become_a_fence(tmp_path: Path) -> None:
    for number, (name, lon, lat) in enumerate(PLACES):
        geod = pyproj.CRS.from_user_input(name).get_geod()
        ends = [(lon, lat), geod.fwd(lon, lat, 90.0, 30.0)[:2]]
        (tmp_path / "s.csv").write_text(text_of(name, ends))
        spec = tmp_path / f"{number}.toml"
        spec.write_text(f'[survey]\nfile = "s.csv"\ncrs = "{name}"\n[[run]]\nline = "F"\n')
        fence = make_fence(read_job(spec))
        assert fence.job.runs[0].line.length == pytest.approx(30_000.0, rel=5e-4)
        assert max(abs(value) for post in fence.layouts[0].posts
                   for value in post.frame.origin) < 1e6  # fmt: skip


def test_the_us_survey_foot_is_its_own_unit() -> None:
    """1200/3937 m (Federal Register 85-62698): 1.22 m apart at 2,000,000 ft."""
    text = "E,N,code\n2000000,500000,F\n2000100,500000,F\n"
    survey, international = csv(text, units="us-ft"), csv(text, units="ft")
    apart = survey.lines[0].nodes[0].at[0] - international.lines[0].nodes[0].at[0]
    assert apart == pytest.approx(1219.2, abs=0.1)
    assert length(csv(text, crs="EPSG:2263").lines[0]) == pytest.approx(100.0 * US_SURVEY_FOOT)


@pytest.mark.parametrize(
    ("crs", "said"),
    [
        ("EPSG:3857", "lengths on 'EPSG:3857' are not those on the ground there"),
        ("ESRI:54032", "are not those on the ground there"),
        ("EPSG:2053", "counts to the west and south; save the survey on a grid that counts"),
        ("EPSG:4978", "'EPSG:4978' is not a plane grid"),
        ("EPSG:5703", "'EPSG:5703' is not a plane grid"),
        ("EPSG:99999", "no such grid 'EPSG:99999'"),
        ("nowhere", "no such grid 'nowhere'"),
    ],
)
def test_grids_to_set_nothing_out_by_are_refused(crs: str, said: str) -> None:
    text = "E,N,code\n5000000,6000000,F\n5000100,6000000,F\n"
    with pytest.raises(SurveyError) as caught:
        csv(text, crs=crs)
    assert said in str(caught.value)


def test_without_pyproj_a_grid_that_is_not_known_is_refused(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    known = {name: grid_of(name, "s.csv") for name, _, _ in PLACES}
    monkeypatch.setitem(sys.modules, "pyproj", None)
    for name, grid in known.items():
        if name != "EPSG:2263":
            assert grid_of(name, "s.csv") == grid
    for name in ("EPSG:2263", "EPSG:5550", "nowhere"):
        with pytest.raises(SurveyError, match="is not known without pyproj"):
            grid_of(name, "s.csv")
    with pytest.raises(SurveyError, match="not those on the ground"):
        grid_of("EPSG:3857", "s.csv")


def test_every_grid_that_is_known_by_heart_is_as_pyproj_has_it() -> None:
    from palewright.model.survey.grids import FALSE_LENGTHS, IN_DEGREES, METRES

    for number in METRES:
        grid = pyproj.CRS.from_epsg(number)
        assert grid.is_projected, number
        assert {axis.direction for axis in grid.axis_info} == {"east", "north"}, number
        assert {axis.unit_name for axis in grid.axis_info} == {"metre"}, number
    assert all(pyproj.CRS.from_epsg(number).is_geographic for number in IN_DEGREES)
    assert not FALSE_LENGTHS & METRES


def test_lines_far_apart_in_degrees_are_as_long_as_they_are() -> None:
    """The plane touches where a line is: a line 97 km from the first has the geodesic's length."""
    geod = pyproj.Geod(ellps="WGS84")
    here = (-2.1, 52.3)
    there = geod.fwd(*here, 75.0, 97_000.0)[:2]
    features = []
    for start in (here, there):
        ends = [start, geod.fwd(*start, 20.0, 561.872)[:2], geod.fwd(*start, 95.0, 400.0)[:2]]
        shape = {"type": "LineString", "coordinates": [list(end) for end in ends]}
        features.append({"type": "Feature", "properties": {}, "geometry": shape})
    data = {"type": "FeatureCollection", "features": features}
    found = parse_survey(json.dumps(data).encode(), "s.geojson", "GeoJSON")
    for line, feature in zip(found.lines, features, strict=True):
        lons, lats = zip(*feature["geometry"]["coordinates"], strict=True)
        assert length(line) == pytest.approx(geod.line_length(lons, lats) * 1000.0, abs=0.1)
    apart = math.dist(found.lines[0].nodes[0].at, found.lines[1].nodes[0].at)
    assert apart == pytest.approx(97e6, rel=1e-4)
    # turned by no more than the meridians converge, and not mirrored
    for line in found.lines:
        (x0, y0), (x1, y1), (x2, y2) = (node.at for node in line.nodes)
        assert (x1 - x0) * (y2 - y0) - (y1 - y0) * (x2 - x0) < 0.0
        assert math.degrees(math.atan2(x1 - x0, y1 - y0)) == pytest.approx(20.0, abs=1.5)
