"""Shapefiles, GeoPackages and columns of well-known text, as GDAL, shapely and csv write them."""

from __future__ import annotations

import csv
import io
import math
import os
import random
import sqlite3
import sys
import time
from pathlib import Path
from typing import Any

import numpy as np
import pyogrio
import pyproj
import pytest
import shapely

from palewright.model.basis.errors import PalewrightError
from palewright.model.survey.extents import area, length
from palewright.model.survey.points_and_lines import Asked, Survey, SurveyError
from palewright.model.survey.survey_files import parse_survey, read_survey
from palewright.reading import read_job

KINDS = [("gpkg", "GPKG"), ("shp", "ESRI Shapefile")]

GRIDS = [
    ("EPSG:2263", -73.98, 40.75),  # US survey feet
    ("EPSG:4258", 8.55, 47.37),  # degrees
    ("EPSG:25831", 3.1, 50.9),
    ("EPSG:2154", 2.35, 48.86),
    ("EPSG:3035", 10.0, 52.0),  # north first
    ("EPSG:27700", -0.12, 51.5),
    ("EPSG:27700", -1.15, 60.15),  # Shetland
]


def written(path: Path, shapes: list[Any], crs: str | None, layer: str | None = None,
            **fields: list[Any]) -> Path:  # fmt: skip
    """Write shapes as GDAL does."""
    driver = dict(KINDS)[path.suffix[1:]]
    kinds = {shape.geom_type + (" Z" if shape.has_z else "") for shape in shapes if shape}
    options: dict[str, Any] = {"layer": layer, "append": path.exists()} if layer else {}
    pyogrio.raw.write(
        path, shapely.to_wkb(np.array(shapes, object)),
        [np.array(values, object) for values in fields.values()], list(fields),
        geometry_type=kinds.pop() if len(kinds) == 1 else "Unknown", crs=crs, driver=driver,
        **options,
    )  # fmt: skip
    return path


def placed(crs: str, lon: float, lat: float, true: float, azimuth: float) -> shapely.LineString:
    """Return a line of a true length, m, from degrees, on a grid; with levels in its unit."""
    grid = pyproj.CRS.from_user_input(crs)
    to = pyproj.Transformer.from_crs(grid.geodetic_crs, grid, always_xy=True)
    ends = [(lon, lat), grid.get_geod().fwd(lon, lat, azimuth, true)[:2]]
    return shapely.LineString([(*to.transform(*end), 10.0 + n) for n, end in enumerate(ends)])


@pytest.mark.parametrize(("suffix", "driver"), KINDS)
@pytest.mark.parametrize(("crs", "lon", "lat"), GRIDS, ids=[f"{g[0]} {g[2]}" for g in GRIDS])
def test_lengths_are_the_geodesics(
    suffix: str, driver: str, crs: str, lon: float, lat: float, tmp_path: Path
) -> None:
    """Lengths to a millimetre of pyproj.Geod's, by the grid's scale; units from the grid."""
    assert driver in pyogrio.list_drivers()
    grid = pyproj.CRS.from_user_input(crs)
    lines = [placed(crs, lon, lat, true, way) for true, way in ((130.0, 35.0), (152.4, 140.0))]
    path = written(tmp_path / f"s.{suffix}", lines, crs, name=["a", "b"])
    found = read_survey(path)
    assert found.crs == ("" if grid.is_geographic else crs)
    assert [line.name for line in found.lines] == ["a", "b"]
    for line, (true, way) in zip(found.lines, ((130.0, 35.0), (152.4, 140.0))):
        scale = 1.0
        if grid.is_projected:
            at = pyproj.Proj(grid).get_factors(lon, lat)
            north, east = math.cos(math.radians(way)), math.sin(math.radians(way))
            scale = math.hypot(at.meridional_scale * north, at.parallel_scale * east)
        assert length(line) / scale == pytest.approx(true * 1000.0, abs=1.0)
        unit = grid.axis_info[0].unit_conversion_factor if grid.is_projected else 1.0
        assert line.nodes[1].level == pytest.approx(11.0 * unit * 1000.0)


@pytest.mark.parametrize("suffix", ["gpkg", "shp"])
def test_rings_points_and_many_parts(suffix: str, tmp_path: Path) -> None:
    hole = shapely.Polygon([(0, 0), (30, 0), (30, 20), (0, 20)], [[(5, 5), (9, 5), (9, 9)]])
    path = written(tmp_path / f"s.{suffix}", [hole], "EPSG:27700", name=["plot"], code=["land"])
    found = read_survey(path)
    assert [(line.name, line.closed, line.group) for line in found.lines] == [
        ("plot", True, "land"), ("plot #2", True, "land"),
    ]  # fmt: skip
    assert area(found.lines[0]) == pytest.approx(600e6)
    many = shapely.MultiLineString([[(0, 0), (9, 0)], [(20, 0), (20, 5)]])
    path = written(tmp_path / f"m.{suffix}", [many], "EPSG:27700", code=["wall"])
    assert [length(line) for line in read_survey(path).lines] == [9000.0, 5000.0]
    shots = [shapely.Point(x, 0, 50 + x) for x in (0, 5, 9)]
    path = written(tmp_path / f"p.{suffix}", shots, "EPSG:27700", id=[7, 8, 9],
                   code=["F B", "F", "F E"])  # fmt: skip
    found = read_survey(path)
    assert [p.number for p in found.points] == ["7", "8", "9"]
    assert length(found.line("F")) == 9000.0
    assert found.points[1].level == 55_000.0


def test_a_layer_is_chosen_where_there_are_several(tmp_path: Path) -> None:
    path = tmp_path / "s.gpkg"
    for name, far in (("fences", 9), ("walls", 5)):
        written(path, [shapely.LineString([(0, 0), (far, 0)])], "EPSG:27700", name)
    with pytest.raises(SurveyError) as caught:
        read_survey(path)
    assert str(caught.value) == (
        f"{path}: has 2 layers; say which (in a spec survey.layer): fences, walls"
    )
    found = read_survey(path, Asked(layer="walls"))
    assert length(found.lines[0]) == 5000.0 and found.notes == ("layer walls",)
    with pytest.raises(SurveyError, match="has no layer 'gates'; there are: fences, walls"):
        read_survey(path, Asked(layer="gates"))
    (tmp_path / "f.toml").write_text(
        '[survey]\nfile = "s.gpkg"\nlayer = "walls"\n[[run]]\nline = "1"\n'
    )
    assert read_job(tmp_path / "f.toml").runs[0].line.length == pytest.approx(5000.0)
    (tmp_path / "s.csv").write_text("e,n,code\n0,0,F\n9,0,F\n")
    with pytest.raises(SurveyError, match="chooses one of a GeoPackage's layers, and this is CSV"):
        read_survey(tmp_path / "s.csv", Asked(layer="walls"))


def test_a_property_names_features(tmp_path: Path) -> None:
    lines = [shapely.LineString([(0, n), (9, n)]) for n in range(2)]
    path = written(tmp_path / "s.gpkg", lines, "EPSG:27700", owner=["us", "them"])
    assert [line.name for line in read_survey(path, Asked(named_by="owner")).lines] == [
        "us",
        "them",
    ]
    with pytest.raises(SurveyError, match="no feature has the property 'x'; there are: owner"):
        read_survey(path, Asked(named_by="x"))


def test_a_shapefile_is_all_its_files(tmp_path: Path) -> None:
    line = shapely.LineString([(400000, 300000), (400009, 300000)])
    path = written(tmp_path / "s.shp", [line], "EPSG:27700")
    with pytest.raises(SurveyError, match=r"is a part of a shapefile: name s\.shp"):
        read_survey(tmp_path / "s.dbf")
    assert length(read_survey(path, Asked(layer="s")).lines[0]) == 9000.0
    with pytest.raises(SurveyError, match="has no layer 'walls'; there are: s"):
        read_survey(path, Asked(layer="walls"))
    (tmp_path / "s.prj").unlink()
    assert "the file does not say its grid" in read_survey(path).notes
    assert read_survey(path, Asked(crs="EPSG:27700")).crs == "EPSG:27700"
    assert length(read_survey(path, Asked(units="ft")).lines[0]) == pytest.approx(9 * 304.8)
    (tmp_path / "s.dbf").unlink()
    os.mkfifo(tmp_path / "s.dbf")  # nobody writes to it: opened as usual it would wait for ever
    with pytest.raises(SurveyError, match="no regular file"):
        read_survey(path)
    (tmp_path / "s.dbf").unlink()
    (tmp_path / "s.shx").unlink()
    with pytest.raises(SurveyError, match=r"needs s\.shx beside it"):
        read_survey(path)


def test_small_coordinates_without_a_grid_are_asked_for(tmp_path: Path) -> None:
    with pytest.warns(UserWarning, match="'crs' was not provided"):
        path = written(tmp_path / "s.shp", [shapely.LineString([(0, 50), (0.1, 50)])], None)
    with pytest.raises(SurveyError, match="and they may be degrees; set units"):
        read_survey(path)
    assert length(read_survey(path, Asked(units="m")).lines[0]) == pytest.approx(100.0)
    degrees = length(read_survey(path, Asked(crs="EPSG:4326")).lines[0])
    true = pyproj.Geod(ellps="WGS84").inv(0, 50, 0.1, 50)[2]
    assert degrees / 1000.0 == pytest.approx(true, rel=1e-6)


def test_a_grid_by_its_definition_alone_is_known(tmp_path: Path) -> None:
    """One that has no number: a transverse Mercator of the site's own, in feet."""
    own = ("+proj=tmerc +lat_0=52.3 +lon_0=-2.1 +k=1 +x_0=10000 +y_0=10000 +ellps=WGS84 "
           "+units=ft")  # fmt: skip
    wkt = pyproj.CRS.from_proj4(own).to_wkt()
    line = shapely.LineString([(32900, 32900), (33000, 32900)])
    for suffix in ("gpkg", "shp"):
        found = read_survey(written(tmp_path / f"s.{suffix}", [line], wkt))
        assert length(found.lines[0]) == pytest.approx(100 * 304.8, abs=1e-6)


def test_without_pyogrio_it_is_said_what_to_install(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = written(tmp_path / "s.gpkg", [shapely.LineString([(0, 0), (9, 0)])], "EPSG:27700")
    monkeypatch.setitem(sys.modules, "pyogrio", None)
    with pytest.raises(
        SurveyError, match=r"install the extra 'gis' \(pip install 'palewright\[gis"
    ):
        read_survey(path)


def test_features_without_a_shape_are_counted(tmp_path: Path) -> None:
    lines = [shapely.LineString([(0, 0), (9, 0)]), None, shapely.LineString()]
    found = read_survey(written(tmp_path / "s.gpkg", lines, "EPSG:27700"))
    assert len(found.lines) == 1
    assert found.notes[0] == "1 features without a shape are left out"
    assert found.notes[1].startswith("1 shape that is empty")
    with pytest.raises(SurveyError, match="holds no line and no point: all that it holds is empty"):
        read_survey(written(tmp_path / "e.gpkg", [shapely.LineString()], "EPSG:27700"))


# well-known text in tables


def table(rows: list[list[str]], mark: str = ",") -> str:
    out = io.StringIO()
    csv.writer(out, delimiter=mark).writerows(rows)
    return out.getvalue()


def read(text: str, **options: Any) -> Survey:
    return parse_survey(text.encode(), "s.csv", "CSV", Asked(**options))


@pytest.mark.parametrize("mark", [",", ";", "\t"])
@pytest.mark.parametrize("heading", ["WKT", "geometry", "the_geom", "line of the fence"])
def test_columns_of_shapes_are_read_as_csv_and_shapely_write_them(mark: str, heading: str) -> None:
    shapes = [
        shapely.LineString([(400000, 300000, 50), (400009, 300000, 51)]),
        shapely.Polygon([(0, 200), (9, 200), (9, 205), (0, 205)]),
        shapely.MultiLineString([[(0, 0), (0, 5)], [(9, 0), (9, 300)]]),
        shapely.MultiPoint([(1, 2), (3, 400)]),
        shapely.MultiPolygon([shapely.box(0, 0, 5, 500)]),
        shapely.Point(5, 6, 7),
    ]
    rows = [["id", heading, "code", "owner"]]
    rows += [[f"L{n}", shapely.to_wkt(shape), "x", "us"] for n, shape in enumerate(shapes)]
    found = read(table(rows, mark))
    assert [line.name for line in found.lines][:3] == ["L0", "L1", "L2"]
    assert [length(line) for line in found.lines[:4]] == [9000.0, 28_000.0, 5000.0, 300_000.0]
    assert [line.closed for line in found.lines[:2]] == [False, True]
    assert found.lines[0].nodes[1].level == 51_000.0
    assert found.points[-1].level == 7000.0 and found.points[0].code == "x"
    assert "nothing is taken from: owner" in found.notes
    assert [line.name for line in read(table(rows, mark), named_by="owner").lines][:2] == [
        "us", "us #2",
    ]  # fmt: skip


def test_one_column_of_shapes_needs_no_quotes_and_ewkt_names_its_grid() -> None:
    found = read("WKT\nLINESTRING (400000 300000, 400009 300000)\nLINESTRING Z (0 0 1, 5 500 2)\n")
    assert length(found.lines[0]) == 9000.0
    feet = "SRID=2263;LINESTRING(1000000 200000,1000100 200000)"
    found = read(table([["geom"], [feet]]))
    assert found.crs == "EPSG:2263"
    assert length(found.lines[0]) == pytest.approx(100 * 1200e3 / 3937)
    bare = read('"LINESTRING (400000 300000, 400009 300000)"\n')
    assert length(bare.lines[0]) == 9000.0


def test_what_gdal_writes_as_csv_is_read(tmp_path: Path) -> None:
    line = shapely.LineString([(400000, 300000), (400009, 300012)])
    path = tmp_path / "s.csv"
    pyogrio.raw.write(
        path, shapely.to_wkb(np.array([line], object)), [np.array(["a, b"], object)], ["name"],
        geometry_type="LineString", crs="EPSG:27700", driver="CSV",
        layer_options={"GEOMETRY": "AS_WKT"},
    )  # fmt: skip
    found = read_survey(path)
    assert found.lines[0].name == "a, b" and length(found.lines[0]) == 15_000.0


@pytest.mark.parametrize(
    ("cell", "said"),
    [
        ("LINESTRING (0 0, 1)", "s.csv:2: the shape is not sound text"),
        ("LINESTRING (0 0, 1 1", "s.csv:2: is no shape that is read (found 'LINESTRING (0 0, 1 1"),
        ("GEOMETRYCOLLECTION (POINT (1 2))", "s.csv:2: is no shape that is read"),
        ("CIRCULARSTRING (0 0, 1 1, 2 0)", "allowed: POINT, LINESTRING, POLYGON and MULTI"),
        ("LINESTRING (0 0, nan 1)", "s.csv:2: is no shape that is read"),
        ("LINESTRING (0 500, 1e308 1)", "a position is out of range"),
        ("SRID=999999;LINESTRING (0 0, 9 9)", "no such grid 'EPSG:999999'"),
        ("LINESTRING EMPTY", "holds no line and no point: all that it holds is empty"),
        ("LINESTRING (0 0, 9 0)", "and they may be degrees; set units"),
    ],
)  # fmt: skip
def test_broken_shapes_get_one_message(cell: str, said: str) -> None:
    with pytest.raises(SurveyError) as caught:
        read(table([["id", "wkt"], ["1", cell]]))
    assert said in str(caught.value) and "\n" not in str(caught.value)


@pytest.mark.parametrize(("crs", "lon", "lat"), GRIDS, ids=[f"{g[0]} {g[2]}" for g in GRIDS])
@pytest.mark.parametrize("driver", ["GeoJSON", "CSV", "RFC7946"])
def test_what_gdal_writes_as_text_has_the_same_lengths(
    driver: str, crs: str, lon: float, lat: float, tmp_path: Path
) -> None:
    """GeoJSON on a grid and in degrees, and points as CSV: lengths to a millimetre of the same
    line's in a GeoPackage, which are the geodesic's by the grid's scale.
    """
    grid = pyproj.CRS.from_user_input(crs)
    line = shapely.force_2d(placed(crs, lon, lat, 130.0, 35.0))
    true = length(read_survey(written(tmp_path / "s.gpkg", [line], crs)).lines[0])
    path = tmp_path / ("s.csv" if driver == "CSV" else "s.geojson")
    shapes: list[Any] = [line]
    options: dict[str, Any] = {"COORDINATE_PRECISION": 12}
    if driver == "CSV":
        shapes, options = [shapely.Point(*at) for at in line.coords], {"GEOMETRY": "AS_XY"}
    elif driver == "RFC7946":
        to = pyproj.Transformer.from_crs(grid, grid.geodetic_crs, always_xy=True)
        shapes = [shapely.transform(line, to.transform, interleaved=False)]
        # the standard has WGS 84 alone
        true = pyproj.Geod(ellps="WGS84").geometry_length(shapes[0]) * 1000.0
    pyogrio.raw.write(
        path, shapely.to_wkb(np.array(shapes, object)), [np.array(["F"] * len(shapes), object)],
        ["code"], geometry_type=shapes[0].geom_type, driver="CSV" if driver == "CSV" else "GeoJSON",
        crs="EPSG:4326" if driver == "RFC7946" else crs, layer_options=options,
    )  # fmt: skip
    found = read_survey(path, Asked(crs=crs if driver == "CSV" else ""))
    # GDAL writes 15 figures of a coordinate
    assert length(found.lines[0]) == pytest.approx(true, abs=1.0)


def test_what_shapely_writes_as_geojson_is_read(tmp_path: Path) -> None:
    line = shapely.LineString([(-2.1, 52.3), (-2.0995, 52.3), (-2.0995, 52.3004)])
    found = parse_survey(shapely.to_geojson(line).encode(), "s.json", "GeoJSON")
    true = pyproj.Geod(ellps="WGS84").geometry_length(line) * 1000.0
    assert length(found.lines[0]) == pytest.approx(true, abs=1.0)


# hostile ones


def packed(tmp_path: Path, suffix: str) -> Path:
    lines = [shapely.LineString([(0, n, 1), (900, n, 2), (900, n + 1, 3)]) for n in range(40)]
    return written(tmp_path / f"s.{suffix}", lines, "EPSG:27700", name=[f"n{n}" for n in range(40)])


@pytest.mark.parametrize("suffix", ["gpkg", "shp"])
def test_damaged_files_are_read_or_refused_in_time(suffix: str, tmp_path: Path) -> None:
    path = packed(tmp_path, suffix)
    sound = path.read_bytes()
    rng = random.Random(5)
    refused = 0
    for _ in range(120):
        data = bytearray(sound)
        for _ in range(rng.randint(1, 40)):
            data[rng.randrange(16, len(data))] = rng.randrange(256)
        if rng.random() < 0.2:
            del data[rng.randrange(len(data)) :]
        path.write_bytes(data)
        start = time.process_time()
        try:
            read_survey(path)
        except PalewrightError:
            refused += 1
        assert time.process_time() - start < 4.0
    assert refused


def test_a_view_that_never_ends_is_not_asked(tmp_path: Path) -> None:
    path = packed(tmp_path, "gpkg")
    base = sqlite3.connect(path)
    base.execute(
        "CREATE VIEW v AS WITH RECURSIVE c(x) AS (SELECT 1 UNION ALL SELECT x + 1 FROM c) "
        "SELECT x AS fid, NULL AS geom FROM c"
    )
    base.commit()
    base.close()
    with pytest.raises(SurveyError, match="has views, which are not read"):
        read_survey(path)


def test_many_shapes_are_bounded() -> None:
    start = time.process_time()
    far = "LINESTRING (" + ", ".join(f"{n} {n % 9 + 200}" for n in range(9_000)) + ")"
    with pytest.raises(SurveyError, match="more than 60000 positions"):
        read(table([["wkt"], *[[far]] * 7]))
    with pytest.raises(SurveyError, match="a cell has more than 131072 letters; save large"):
        read(table([["wkt"], [far + " " * 99_000]]))
    deep = "MULTIPOLYGON " + "(" * 500_000
    with pytest.raises(SurveyError, match="is no shape that is read"):
        read(table([["wkt"], ["POINT (0 500)"], [deep[:120_000]]]))
    with pytest.raises(SurveyError):
        read(table([["wkt"], ["POLYGON " + "(" * 50_000 + ")" * 50_000]]))
    read(table([["wkt"], *[["POINT (1 500)"]] * 50_000]))
    assert time.process_time() - start < 12.0
