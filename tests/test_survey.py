"""Survey files: what is read from them, and what hostile ones meet with."""

from __future__ import annotations

import io
import json
import math
import random
import time
import tracemalloc
from pathlib import Path
from typing import Any

import ezdxf
import pyproj
import pytest
import shapely
from ezdxf import units
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from helpers import EXAMPLES, ROOT, example_fence
from palewright.export.drawing.writers.site_dxf import write_site_dxf
from palewright.export.papers.survey_text import survey_picture, survey_text
from palewright.model.basis.errors import SpecError
from palewright.model.checks.building_checks import check
from palewright.model.geometry.curves import Arc, Traced
from palewright.model.lists.takeoff import station_lines
from palewright.model.order.joints import make_fence
from palewright.model.survey.degrees import local_plane
from palewright.model.survey.extents import area, length, outline
from palewright.model.survey.points_and_lines import Asked, Survey, SurveyError
from palewright.model.survey.survey_files import parse_survey, read_survey
from palewright.reading import parse_job

CSV = """\
Point,Easting (m),Northing (m),Level (m),Code
1,400010.000,300020.000,50.100,FL
2,400016.000,300020.000,50.400,FL
3,400016.000,300028.000,50.800,FL
4,400013.000,300020.500,50.300,GL
"""


def csv(text: str, **options: Any) -> Survey:
    return parse_survey(text.encode(), "s.csv", "CSV", Asked(**options))


def dxf(doc: Any, **options: Any) -> Survey:
    out = io.StringIO()
    doc.write(out)
    return parse_survey(out.getvalue().encode(), "s.dxf", "DXF", Asked(**options))


def geojson(data: Any, **options: Any) -> Survey:
    return parse_survey(json.dumps(data).encode(), "s.geojson", "GeoJSON", Asked(**options))


def message(call: Any) -> str:
    with pytest.raises(SurveyError) as caught:
        call()
    text = str(caught.value)
    assert "\n" not in text
    assert caught.value.exit_code == 2
    return text


# CSV


def test_csv_columns_may_stand_in_any_order_with_any_separator() -> None:
    plain = csv(CSV)
    turned = "code;level;northing;easting;point\n" + "".join(
        ";".join(row.split(",")[::-1]).replace(".", ",") + "\n" for row in CSV.splitlines()[1:]
    )
    assert csv(turned) == plain
    tabbed = "\ufeff# a remark\n\n" + CSV.replace(",", "\t")
    assert csv(tabbed) == plain
    assert [p.number for p in plain.points] == ["1", "2", "3", "4"]
    assert plain.points[0].x == 400_010_000.0
    line = plain.line("fl")
    assert length(line) == pytest.approx(14_000.0)
    assert plain.spots((), line.group) == ((400_013_000.0, 300_020_500.0, 50_300.0),)
    assert csv(CSV, units="ft").points[0].level == pytest.approx(50.1 * 304.8)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "holds no points"),
        ("# nothing\n", "holds no points"),
        ("a,b,c\n1,2,3\n", "s.csv:1: no column is headed east"),
        ("e,n,e\n1,2,3\n", "two columns are headed as the east"),
        ("e,n\n", "heading but no points"),
        ("e,n\n1,2\n3,x\n", "s.csv:3: the north is not a number (found 'x')"),
        ("e,n\n1\n", "s.csv:2: the north is not a number (found '')"),
        ("e,n\nnan,2\n", "s.csv:2: the east is not a number (found 'nan')"),
        ("e,n\n1e400,2\n", "s.csv:2: the east is out of range"),
        ("e,n,z\n1,2,inf\n", "s.csv:2: the level is not a number (found 'inf')"),
        ("e,n,z\n1,2,10001\n", "s.csv:2: the level is out of range (found '10001')"),
        ("e,n\n1_000,2\n", "s.csv:2: the east is not a number (found '1_000')"),
        ("e,n,z\n0,5,0,0,1,2\n", "s.csv:2: has 6 cells under 3 headings; divide columns by semi"),
        ('e,n\n"1,2\n', "s.csv:2: is not CSV: unexpected end of data"),
        ('e,n\n1,2\n"3,4\n5,6\n', "is not CSV: unexpected end of data"),
    ],
)
def test_broken_csv_gets_one_message_with_its_line(text: str, said: str) -> None:
    assert said in message(lambda: csv(text))


ROWS = ["1 5.0 9.0 50.1 FL", "2 5.0 21.0 50.2 FL", "3 7.0 21.5 50.3 TREE big oak"]


@pytest.mark.parametrize("mark", [" ", "  ", "\t", ",", ";"])
def test_point_files_without_a_heading_say_what_their_columns_are(mark: str) -> None:
    text = "\n".join(mark.join(row.split(None, 4)) for row in ROWS)
    found = csv(text, columns="PNEZD")
    assert [(p.number, p.x, p.y, p.level, p.code) for p in found.points] == [
        ("1", 9000.0, 5000.0, 50100.0, "FL"),
        ("2", 21000.0, 5000.0, 50200.0, "FL"),
        ("3", 21500.0, 7000.0, 50300.0, "TREE big oak"),
    ]
    turned = csv(text, columns="penz-")
    assert turned.points[0].x == 5000.0
    assert turned.points[0].code == ""
    headed = csv(mark.join(["p", "n", "e", "z", "d"]) + "\n" + text, columns="PNEZD")
    assert headed.points == found.points
    assert headed.notes == ("line 1 is passed over as a heading: columns are PNEZD",)
    said = message(lambda: csv(text))
    assert "s.csv:1: has no heading; say what its columns are (in a spec survey.columns)" in said


@pytest.mark.parametrize(
    ("columns", "said"),
    [
        ("PNZD", "columns 'PNZD' needs E and N"),
        ("PNEEZ", "columns 'PNEEZ' has 'E' twice"),
        ("XY", "columns 'XY' has 'X' which is none; allowed: P point, E east, N north, Z level"),
    ],
)
def test_columns_that_cannot_be_are_refused(columns: str, said: str) -> None:
    assert said in message(lambda: csv("\n".join(ROWS), columns=columns))


def test_usual_headings_are_known_and_columns_left_over_are_named() -> None:
    text = "Point name,Local N,Local E,Elev,Raw Desc,RMS (m),Epochs\n7,5,9,50.1,FL,0.01,12\n"
    found = csv(text)
    assert (found.points[0].x, found.points[0].y, found.points[0].code) == (9000.0, 5000.0, "FL")
    assert found.notes == ("nothing is taken from: RMS (m), Epochs",)


def test_no_level_is_not_level_0() -> None:
    text = survey_text(csv("e,n,code\n1,2,F\n3,4,F\n"), None, "", {})
    assert "  east 1.000 to 3.000, north 2.000 to 4.000 m, no levels\n" in text
    assert "level 0.000" not in text


def test_empty_cells_past_the_headings_are_nothing() -> None:
    assert len(csv("e,n,z\n1,2,3,,\n4,5,6,\n").points) == 2


def test_one_place_with_two_levels_is_told() -> None:
    read = csv("no,e,n,z\n7,1,2,3.0\n8,4,5,6.0\n9,1,2,3.4\n")
    assert read.notes == ("points 7 and 9 are in one place at two levels, 3 and 3.4 m",)
    assert csv("no,e,n,z\n7,1,2,3.0\n9,1,2,3.0\n").notes == ()


# DXF


def drawing(unit: int = units.M) -> Any:
    doc = ezdxf.new("R2018", units=unit)
    doc.header["$INSUNITS"] = unit
    return doc


def test_every_line_entity_of_a_drawing_is_read() -> None:
    doc = drawing()
    model = doc.modelspace()
    model.add_line((0, 0, 10), (4, 3, 12), dxfattribs={"layer": "line"})
    model.add_arc((10, 0), 5, 0, 90, dxfattribs={"layer": "arc"})
    model.add_lwpolyline([(0, 0, 0, 0, 1), (10, 0, 0, 0, 0), (20, 0, 0, 0, 0)],
                         dxfattribs={"layer": "bulge"})  # fmt: skip
    model.add_polyline2d([(0, 0), (10, 0), (10, 10)], close=True, dxfattribs={"layer": "flat"})
    model.add_polyline3d([(0, 0, 1), (5, 0, 2), (9, 0, 3)], dxfattribs={"layer": "deep"})
    model.add_spline([(0, 0), (5, 4), (10, 0), (15, -4)], dxfattribs={"layer": "spline"})
    model.add_point((1, 2, 3), dxfattribs={"layer": "spot"})
    found = dxf(doc, tolerance=1.0)
    line = found.line("line")
    assert [node.level for node in line.nodes] == [10_000.0, 12_000.0]
    assert length(line) == pytest.approx(5000.0)
    assert length(found.line("arc")) == pytest.approx(5000.0 * math.pi / 2)
    bulge = found.line("bulge")  # a half circle of 10 m and a straight of 10 m
    assert isinstance(bulge.nodes[1].curve, Arc)
    assert length(bulge) == pytest.approx(5000.0 * math.pi + 10_000.0)
    assert bulge.nodes[0].level is None  # a drawing in plan
    flat = found.line("flat")
    assert flat.closed
    assert area(flat) == pytest.approx(50e6)
    assert [node.level for node in found.line("deep").nodes] == [1000.0, 2000.0, 3000.0]
    curve = found.line("spline").nodes[1].curve
    assert isinstance(curve, Traced)
    spline = next(e for e in model if e.dxftype() == "SPLINE").construction_tool()
    fine = shapely.LineString([(p.x * 1000, p.y * 1000) for p in spline.flattening(1e-5)])
    traced = shapely.LineString(curve.points)
    assert fine.hausdorff_distance(traced) <= 1.0
    assert found.points[0].code == "spot"
    assert found.points[0].level == 3000.0


@pytest.mark.parametrize("factor", [1.0, -1.0], ids=["upright", "mirrored"])
def test_blocks_are_resolved_where_they_stand(factor: float) -> None:
    doc = drawing()
    block = doc.blocks.new("PLOT")
    block.add_lwpolyline([(0, 0, 0, 0, 0), (10, 0, 0, 0, 0.5), (10, 10, 0, 0, 0)])
    block.add_line((0, 0), (0, 10), dxfattribs={"layer": "fixed"})
    outer = doc.blocks.new("SITE")
    outer.add_blockref("PLOT", (100, 50), dxfattribs={"rotation": 90, "xscale": factor})
    ref = doc.modelspace().add_blockref("SITE", (1000, 2000), dxfattribs={"layer": "fence"})
    found = dxf(doc)
    line = found.line("fence")  # layer 0 takes the layer of the use
    inner = next(e for e in outer if e.dxftype() == "INSERT")
    for node, local in zip(line.nodes, [(0, 0), (10, 0), (10, 10)], strict=True):
        spot = ref.matrix44().transform(inner.matrix44().transform((*local, 0)))
        assert node.at == pytest.approx((spot.x * 1000, spot.y * 1000), abs=1e-6)
    curve = line.nodes[2].curve
    assert isinstance(curve, Arc)
    # sagitta of a bulge: bulge times half the chord, to the right of the way along it
    middle = ref.matrix44().transform(inner.matrix44().transform((12.5, 5.0, 0)))
    assert curve.point(0.5) == pytest.approx((middle.x * 1000, middle.y * 1000), abs=1e-6)
    assert length(found.line("fixed")) == pytest.approx(10_000.0)


def test_lines_that_join_make_one_and_keep_their_handles() -> None:
    doc = drawing()
    model = doc.modelspace()
    layer = {"layer": "F"}
    one = model.add_line((10, 0), (0, 0), dxfattribs=layer)
    model.add_arc((10, 5), 5, -90, 0, dxfattribs=layer)
    model.add_line((15, 5), (15, 9), dxfattribs=layer)
    found = dxf(doc)
    joined = found.line("F")
    assert joined.kind == "3 entities joined"
    assert length(joined) == pytest.approx(10_000 + 5000 * math.pi / 2 + 4000)
    assert found.line("") is joined
    assert length(found.line(one.dxf.handle)) == pytest.approx(10_000)
    for a, b in zip(outline(joined), outline(joined)[1:], strict=False):
        assert math.dist(a, b) < 10_001
    model.add_line((50, 0), (60, 0), dxfattribs=layer)
    assert "has 2 lines called 'F'" in message(lambda: dxf(doc).line("F"))
    assert "did you mean" in message(lambda: dxf(doc).line("F #11"))


def test_units_come_from_the_header_and_are_asked_for_without_one() -> None:
    doc = drawing(units.FT)
    doc.modelspace().add_line((0, 0), (10, 0))
    assert length(dxf(doc).line("")) == pytest.approx(3048.0)
    doc.header["$INSUNITS"] = 21  # US survey foot: 1200/3937 m by definition
    assert length(dxf(doc).line("")) == pytest.approx(10 * 1200e3 / 3937)
    bare = drawing(0)
    bare.modelspace().add_line((0, 0), (10, 0))
    assert "which is it? Set units" in message(lambda: dxf(bare))
    assert length(dxf(bare, units="m").line("")) == pytest.approx(10_000.0)
    assert "read in mm as asked" in dxf(doc, units="mm").notes[0]


def test_hostile_drawings_are_refused_in_good_time() -> None:
    assert "is not a DXF" in message(lambda: parse_survey(b"hello", "s.dxf", "DXF"))
    assert "is empty" in message(lambda: parse_survey(b"", "s.dxf", "DXF"))
    doc = drawing()
    before = None
    for depth in range(20):  # twenty levels of ten uses each
        block = doc.blocks.new(f"B{depth}")
        if before is None:
            block.add_line((0, 0), (1, 1))
        else:
            for n in range(10):
                block.add_blockref(before, (n, 0))
        before = block.name
    doc.modelspace().add_blockref(before, (0, 0))
    start = time.perf_counter()
    assert "deep" in message(lambda: dxf(doc)) or "entities" in message(lambda: dxf(doc))
    wide = drawing()
    wide.blocks.new("L").add_line((0, 0), (1, 1))
    wide.modelspace().add_blockref(
        "L", (0, 0),
        dxfattribs={"row_count": 30_000, "column_count": 30_000, "row_spacing": 1,
                    "column_spacing": 1},
    )  # fmt: skip
    assert "more than 6000 entities" in message(lambda: dxf(wide))
    assert time.perf_counter() - start < 10.0
    line = b"0\nLINE\n8\n0\n10\n1.0\n20\n2.0\n11\n3.0\n21\n4.0\n"
    many = b"0\nSECTION\n2\nENTITIES\n" + line * 400_000 + b"0\nENDSEC\n0\nEOF\n"
    start = time.perf_counter()
    assert "more lines and points than are read" in message(
        lambda: parse_survey(many, "s.dxf", "DXF")
    )
    assert time.perf_counter() - start < 10.0
    far = drawing()
    far.modelspace().add_line((0, 0), (1e9, 0))
    assert "out of range" in message(lambda: dxf(far))


# GeoJSON


RING = [[-2.1, 52.3], [-2.0995, 52.3], [-2.0995, 52.3004], [-2.1, 52.3004], [-2.1, 52.3]]


def feature(kind: str, coordinates: Any, **properties: Any) -> dict[str, Any]:
    return {
        "type": "FeatureCollection",
        "features": [
            {
                "type": "Feature",
                "properties": properties,
                "geometry": {"type": kind, "coordinates": coordinates},
            }
        ],
    }


def test_degrees_on_the_local_plane_agree_with_the_geodesic() -> None:
    """Lengths and area on the plane against pyproj.Geod on the WGS 84 ellipsoid."""
    found = geojson(feature("Polygon", [RING], name="plot", layer="land"))
    line = found.line("plot")
    assert line.closed
    assert line.group == "land"
    geod = pyproj.Geod(ellps="WGS84")
    lons, lats = zip(*RING, strict=True)
    square, around = geod.polygon_area_perimeter(lons, lats)
    assert length(line) / 1000.0 == pytest.approx(around, rel=1e-7)
    assert area(line) / 1e6 == pytest.approx(abs(square), rel=1e-6)
    assert "longitude -2.1" in found.notes[0]
    plane = local_plane(-2.1, 52.3)
    for lon, lat in RING:
        _, _, true = geod.inv(-2.1, 52.3, lon, lat)
        assert math.dist((0, 0), plane(lon, lat)) / 1000.0 == pytest.approx(true, rel=1e-7)


def test_degrees_on_a_grid_agree_with_the_published_worked_example() -> None:
    """Ordnance Survey, "A guide to coordinate systems in Great Britain", annexe C: the worked
    example 52 39 27.2531 N, 1 43 4.5177 E is 651409.903 E, 313177.270 N on the national grid's
    own ellipsoid. The projection alone is compared (both on Airy 1830; from memory).
    """
    airy = pyproj.CRS.from_proj4("+proj=longlat +a=6377563.396 +b=6356256.909 +no_defs")
    change = pyproj.Transformer.from_crs(
        airy,
        pyproj.CRS.from_proj4(
            "+proj=tmerc +lat_0=49 +lon_0=-2 +k=0.9996012717 +x_0=400000 +y_0=-100000 "
            "+a=6377563.396 +b=6356256.909 +units=m"
        ),
        always_xy=True,
    )
    lon, lat = 1 + 43 / 60 + 4.5177 / 3600, 52 + 39 / 60 + 27.2531 / 3600
    assert change.transform(lon, lat) == pytest.approx((651409.903, 313177.270), abs=0.001)
    found = geojson(feature("LineString", [[lon, lat], [lon + 0.001, lat]]), crs="EPSG:27700")
    same = pyproj.Transformer.from_crs("EPSG:4326", "EPSG:27700", always_xy=True)
    east, north = same.transform(lon, lat)
    assert found.lines[0].nodes[0].at == pytest.approx((east * 1000, north * 1000), abs=1e-3)
    assert found.crs == "EPSG:27700"


def test_features_are_named_by_a_property_of_choice() -> None:
    data = {"type": "FeatureCollection", "features": [
        feature("LineString", [[0, 0], [1, n]], name=f"n{n}", plot=f"p{n}")["features"][0]
        for n in (1, 2)
    ]}  # fmt: skip
    assert [line.name for line in geojson(data).lines] == ["n1", "n2"]
    assert [line.name for line in geojson(data, named_by="plot").lines] == ["p1", "p2"]
    said = message(lambda: geojson(data, named_by="parcel"))
    assert said == "s.geojson: no feature has the property 'parcel'; there are: name, plot"


def test_grid_coordinates_are_taken_as_they_are() -> None:
    data = feature("LineString", [[532100.5, 181200.25, 12.5], [532110.5, 181200.25, 12.0]])
    found = geojson(data)
    assert found.lines[0].nodes[0].at == (532_100_500.0, 181_200_250.0)
    assert found.lines[0].nodes[0].level == 12_500.0
    assert "grid" in found.notes[0]
    data["crs"] = {"type": "name", "properties": {"name": "urn:ogc:def:crs:EPSG::27700"}}
    assert geojson(data).crs == "EPSG:27700"
    assert "on EPSG:27700, not on EPSG:2157" in message(lambda: geojson(data, crs="EPSG:2157"))


@pytest.mark.parametrize(
    ("data", "said"),
    [
        ([], "an object with a 'type' is missing"),
        ({"type": "Circle"}, "no such type 'Circle'"),
        ({"type": "FeatureCollection", "features": 3}, "'features' is not a list"),
        ({"type": "LineString", "coordinates": [[0, 0], ["x", 1]]}, "a position is not"),
        ({"type": "LineString", "coordinates": [[0, 0], [1e300, 1]]}, "a position is not"),
        ({"type": "Polygon", "coordinates": [0]}, "'coordinates' is not a list"),
        ({"type": "FeatureCollection", "features": []}, "holds no line and no point"),
    ],
)
def test_broken_geojson_gets_one_message(data: Any, said: str) -> None:
    assert said in message(lambda: geojson(data))


def test_broken_json_gets_one_message() -> None:
    def read(text: str) -> Any:
        return lambda: parse_survey(text.encode(), "s.geojson", "GeoJSON")

    assert "s.geojson:1: is not JSON" in message(read("{"))
    assert "NaN is not a number" in message(read('{"type": "Point", "coordinates": [NaN, 1]}'))
    assert "nested too deeply" in message(read("[" * 100_000 + "]" * 100_000))
    degrees = feature("LineString", [[0, 0], [1, 1]])
    assert "no such grid" in message(lambda: geojson(degrees, crs="EPSG:999999"))
    assert "not a plane grid" in message(lambda: geojson(degrees, crs="EPSG:4978"))
    assert geojson(degrees, crs="EPSG:4326").lines == geojson(degrees).lines


# files


def test_files_that_cannot_be_read_are_named(tmp_path: Path) -> None:
    assert "No such file" in message(lambda: read_survey(tmp_path / "none.csv"))
    (tmp_path / "a.xls").write_bytes(b"\xd0\xcf\x11\xe0")
    assert "is an old office file: save it" in message(lambda: read_survey(tmp_path / "a.xls"))
    (tmp_path / "d.csv").mkdir()
    assert "is a folder" in message(lambda: read_survey(tmp_path / "d.csv"))
    (tmp_path / "b.csv").write_bytes(b"e,n\n\0\0")
    assert "is not a text file" in message(lambda: read_survey(tmp_path / "b.csv"))
    big = tmp_path / "big.dxf"
    with big.open("wb") as out:
        out.truncate(40_000_000)
    assert "larger than 32000000 bytes" in message(lambda: read_survey(big))


SEEDS: dict[str, list[bytes]] = {
    "CSV": [CSV.encode(), (ROOT / "examples/hillside-survey.csv").read_bytes()],
    "GeoJSON": [
        json.dumps(feature("Polygon", [RING], name="p")).encode(),
        json.dumps(feature("LineString", [[1, 2, 3], [4, 5, 6]])).encode(),
    ],
}


def small_drawing() -> bytes:
    doc = drawing()
    model = doc.modelspace()
    doc.blocks.new("B").add_arc((0, 0), 3, 10, 200)
    model.add_blockref("B", (5, 5))
    model.add_lwpolyline([(0, 0, 0, 0, 1), (10, 0, 0, 0, 0), (20, 5, 0, 0, 0)])
    model.add_spline([(0, 0), (5, 4), (10, 0), (15, -4)])
    model.add_polyline3d([(0, 0, 1), (5, 0, 2), (9, 0, 3)])
    out = io.StringIO()
    doc.write(out)
    return out.getvalue().encode()


def mutated(data: bytes, rng: random.Random) -> bytes:
    """Cut, swap, repeat and overwrite parts of a file, the figures above all."""
    made = bytearray(data)
    for _ in range(rng.randint(1, 6)):
        if not made:
            break
        at = rng.randrange(len(made))
        step = rng.choice([1, 2, 7, 40])
        match rng.randrange(6):
            case 0:
                del made[at:]  # truncated
            case 1:
                del made[at : at + step]
            case 2:
                made[at : at + step] = bytes(rng.randrange(256) for _ in range(step))
            case 3:
                made[at:at] = made[at : at + step] * rng.randint(1, 30)
            case 4:
                words = [b"nan", b"-inf", b"1e999", b"0", b"-1", b"999999999999999999999", b"\n"]
                made[at : at + step] = rng.choice(words)
            case 5:
                other = rng.randrange(len(made))
                made[at : at + step], made[other : other + step] = (
                    made[other : other + step],
                    made[at : at + step],
                )
    return bytes(made)


def survives(data: bytes, kind: str) -> None:
    """A file is read, drawn and told of, or refused with one message."""
    refusal = ""
    found = None
    try:
        found = parse_survey(data, "f", kind)
    except SurveyError as error:
        refusal = str(error)
    if found is None:
        assert refusal
        assert "\n" not in refusal
        assert len(refusal) < 600
        return
    try:
        taken = found.line("")
    except SurveyError:
        taken = None
    assert survey_text(found, taken, "", {})


@pytest.mark.parametrize("kind", ["CSV", "GeoJSON"])
def test_mutated_files_are_read_or_refused(kind: str) -> None:
    rng = random.Random(20261125)
    for number in range(1500):
        survives(mutated(SEEDS[kind][number % 2], rng), kind)


@pytest.mark.slow
def test_mutated_drawings_are_read_or_refused_in_bounded_time_and_memory() -> None:
    rng = random.Random(7)
    seed = small_drawing()
    slowest = 0.0
    tracemalloc.start()
    for _ in range(150):
        data = mutated(seed, rng)
        start = time.perf_counter()
        survives(data, "DXF")
        slowest = max(slowest, time.perf_counter() - start)
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert slowest < 20.0
    assert peak < 400e6


@given(st.binary(max_size=400), st.sampled_from(["CSV", "GeoJSON"]))
@settings(max_examples=300, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_any_bytes_at_all_are_read_or_refused(data: bytes, kind: str) -> None:
    survives(data, kind)


@given(
    st.recursive(
        st.none() | st.booleans() | st.floats(allow_nan=False) | st.text(max_size=8),
        lambda inner: (
            st.lists(inner, max_size=4)
            | st.dictionaries(
                st.sampled_from(
                    ["type", "features", "geometry", "coordinates", "properties", "crs"]
                ),
                st.sampled_from(["Feature", "Polygon", "LineString", "FeatureCollection"]) | inner,
                max_size=4,
            )
        ),
        max_leaves=20,
    )
)
@settings(max_examples=300, deadline=None)
def test_any_json_at_all_is_read_or_refused(data: Any) -> None:
    survives(json.dumps(data).encode(), "GeoJSON")


# in a spec


def spec_problem(text: str, folder: Path) -> str:
    with pytest.raises(SpecError) as caught:
        parse_job(text, "f.toml", folder)
    return str(caught.value)


def test_a_spec_takes_its_line_from_the_survey(tmp_path: Path) -> None:
    (tmp_path / "s.csv").write_text(CSV)
    job = parse_job('[survey]\nfile = "s.csv"\n[[run]]\nline = "FL"\n', "f.toml", tmp_path)
    assert job.origin == (400_010_000.0, 300_020_000.0, 50_000.0)
    line = job.runs[0].line
    assert line.vertices[0] == (0.0, 0.0, 100.0)
    # the spot level beside it, over the line's start
    assert line.legs[0].ground(3000.0) == pytest.approx(200.0)


@pytest.mark.parametrize(
    ("spec", "said"),
    [
        ('[survey]\nfile = "none.csv"\n[[run]]\nline = "FL"\n', "f.toml:2: survey.file: "),
        ('[survey]\nfile = "s.csv"\n[[run]]\nline = "FX"\n', "f.toml:4: run[1].line: "),
        ('[[run]]\nline = "FL"\n', "a run needs points, or a [survey] with its line"),
        (
            '[survey]\nfile = "s.csv"\n[[run]]\nline = "FL"\npoints = [[0,0],[9e3,9e3]]\n',
            "not both",
        ),
        (
            '[survey]\nfile = "s.csv"\n[[run]]\nline = "DUP"\n',
            "line 'DUP': two neighbouring points (1 and 2 of the line) are less than 1 mm apart at "
            "corner 1, east 1.000, north 1.000 m",
        ),
        (
            '[survey]\nfile = "s.csv"\n[[run]]\nline = "EIGHT"\n',
            "f.toml:4: run[1].line: line 'EIGHT': the line crosses or touches itself at east "
            "4.500, north 4.500 m",
        ),
        (
            '[survey]\nfile = "s.csv"\n[[run]]\nline = "BACK"\n',
            "f.toml:4: run[1].line: line 'BACK': the line turns back to 5.7 degrees; at least 30 "
            "needed at corner 2, east 9.000, north 0.000 m",
        ),
    ],
)
def test_what_a_spec_gets_wrong_with_a_survey(spec: str, said: str, tmp_path: Path) -> None:
    more = "5,1,1,0,DUP\n6,1,1,0,DUP\n7,9,1,0,DUP\n"
    more += "".join(f"{n},{x},{y},0,EIGHT\n" for n, (x, y) in
                    enumerate([(0, 0), (9, 9), (9, 0), (0, 9)], 10))  # fmt: skip
    more += "20,0,0,0,BACK\n21,9,0,0,BACK\n22,1,0.8,0,BACK\n"
    (tmp_path / "s.csv").write_text(CSV + more)
    text = spec_problem(spec, tmp_path)
    assert said in text
    assert len(text.splitlines()) == 1


def test_points_that_hardly_bend_a_line_only_give_levels(tmp_path: Path) -> None:
    rows = "1,0,0,10,F\n2,5,0.015,11,F\n3,10,0,10.5,F\n4,10,8,10,F\n"
    (tmp_path / "s.csv").write_text("no,e,n,z,code\n" + rows)
    text = '[survey]\nfile = "s.csv"\nstraight = 20\n[[run]]\nline = "F"\n'
    line = parse_job(text, "f.toml", tmp_path).runs[0].line
    assert len(line.legs) == 2
    assert line.legs[0].ground(5000.0) == pytest.approx(1000.0)
    kept = parse_job(text.replace("20", "0"), "f.toml", tmp_path).runs[0].line
    assert len(kept.legs) == 3


# large coordinates


def traverse() -> list[tuple[float, float]]:
    """A closed traverse of six legs in whole minutes and centimetres, m."""
    legs = [(13, 20, 41.23), (95, 5, 52.04), (162, 40, 37.91), (231, 15, 44.44), (284, 50, 31.02)]
    x, y = 0.0, 0.0
    points = [(x, y)]
    for degrees, minutes, distance in legs:
        angle = math.radians(degrees + minutes / 60.0)
        x, y = x + distance * math.sin(angle), y + distance * math.cos(angle)
        points.append((x, y))
    return points


@pytest.mark.parametrize("east", [0.0, 532_000.0, 900_000.0])
def test_a_closed_traverse_closes_at_national_grid_coordinates(east: float, tmp_path: Path) -> None:
    """Setting-out coordinates, differenced as a total station would, close to 0.1 mm; lengths
    and area agree with shapely's on the plain figures.
    """
    points = traverse()
    rows = "".join(f"{n},{x + east:.6f},{y + east:.6f},F\n" for n, (x, y) in enumerate(points))
    (tmp_path / "s.csv").write_text("no,e,n,code\n" + rows)
    text = '[survey]\nfile = "s.csv"\n[[run]]\nline = "F"\nclosed = true\n'
    job = parse_job(text, "f.toml", tmp_path)
    ring = shapely.Polygon(points)
    assert job.runs[0].line.length / 1000.0 == pytest.approx(ring.exterior.length, abs=1e-5)
    ox, oy, _ = job.origin
    corners = [((x + ox) / 1000.0 - east, (y + oy) / 1000.0 - east)
               for x, y, _ in job.runs[0].line.vertices]  # fmt: skip
    assert shapely.Polygon(corners).area == pytest.approx(ring.area, abs=1e-3)
    for found, given_ in zip(corners, points, strict=True):
        assert math.dist(found, given_) < 1e-5
    # walked by the lengths and turns that are set out, as with tape and theodolite
    fence = make_fence(job)
    legs = fence.layouts[0].legs
    heading, at = 0.0, [0.0, 0.0]
    for leg in legs:
        at[0] += leg.length * math.cos(math.radians(heading))
        at[1] += leg.length * math.sin(math.radians(heading))
        heading += leg.turn_end
    assert math.hypot(*at) < 0.1
    assert abs(heading) == pytest.approx(360.0, abs=1e-7)
    lines = station_lines(fence)
    # against the same fence near the origin, where nothing is lost
    near = traverse_lines(tmp_path, points)
    for line, other in zip(lines, near, strict=True):
        assert line.east - east * 1000.0 == pytest.approx(other.east, abs=0.01)
        assert line.north - east * 1000.0 == pytest.approx(other.north, abs=0.01)


def traverse_lines(folder: Path, points: list[tuple[float, float]]) -> Any:
    text = f"[[run]]\nclosed = true\npoints = {[[x * 1000, y * 1000] for x, y in points]}\n"
    return station_lines(make_fence(parse_job(text, "n.toml", folder)))


@pytest.mark.parametrize("name", ["orchard", "hillside", "cottage"])
def test_the_site_drawing_gives_the_line_back_where_it_was(name: str, tmp_path: Path) -> None:
    path = next(p for p in EXAMPLES if p.stem == name)
    fence = example_fence(path)
    data = write_site_dxf(fence)
    assert data == write_site_dxf(fence)
    doc = ezdxf.read(io.StringIO(data.decode()))
    assert not doc.audit().has_errors
    assert doc.header["$INSUNITS"] == 6
    found = parse_survey(data, "site.dxf", "DXF")
    line = found.line("W-FLINE-E-")
    run, origin = fence.job.runs[0], fence.job.origin
    assert length(line) == pytest.approx(run.line.length, abs=0.01)
    first = run.line.vertices[0]
    assert line.nodes[0].at == pytest.approx((first[0] + origin[0], first[1] + origin[1]), abs=0.01)
    levels = {round(node.level or 0.0, 1) for node in line.nodes}
    assert levels >= {round(z + origin[2], 1) for _, _, z in run.line.vertices}
    posts = {(round(p.x, 2), round(p.y, 2)) for p in found.points if p.code == "W-POSTS-E-"}
    assert posts == {(round(s.east, 2), round(s.north, 2)) for s in station_lines(fence)}


def test_the_site_drawing_names_its_grid(tmp_path: Path) -> None:
    (tmp_path / "s.csv").write_text(CSV)
    text = '[survey]\nfile = "s.csv"\ncrs = "EPSG:27700"\n[[run]]\nline = "FL"\n'
    data = write_site_dxf(make_fence(parse_job(text, "f.toml", tmp_path)))
    doc = ezdxf.read(io.StringIO(data.decode()))
    geo = doc.modelspace().get_geodata()
    assert geo is not None
    assert geo.get_crs()[0] == 27700
    assert tuple(geo.dxf.reference_point)[:2] == (400010.0, 300020.0)


def test_solids_and_models_tell_their_origin(tmp_path: Path) -> None:
    (tmp_path / "s.csv").write_text(CSV)
    from palewright.export.models.glb import write_glb
    from palewright.export.models.product import Product
    from palewright.export.models.step import write_step

    text = '[survey]\nfile = "s.csv"\n[[run]]\nline = "FL"\n'
    built = Product(make_fence(parse_job(text, "f.toml", tmp_path)))
    said = b"local origin at east 400010.000 m, north 300020.000 m, level 50.000 m"
    assert said in write_step(built)[:600]
    assert said in write_glb(built)
    plain = Product(make_fence(parse_job("[[run]]\npoints = [[0, 0], [1800, 0]]\n")))
    assert b"local origin" not in write_glb(plain)


# text and picture


def test_the_text_says_what_is_there_and_what_would_be_taken() -> None:
    found = csv(CSV)
    text = survey_text(found, found.line(""), "", {"units": "m", "crs": "EPSG:27700"})
    assert "4 points, 1 line" in text
    assert "FL: 3 points, 14.000 m, levels 50.100 to 50.800" in text
    assert "GL  1" in text
    assert 'units = "m"\ncrs = "EPSG:27700"\n\n[[run]]\nline = "FL"' in text


@pytest.mark.parametrize("suffix", [".svg", ".png", ".pdf"])
def test_the_small_plan_is_drawn(suffix: str) -> None:
    found = read_survey(ROOT / "examples/orchard-survey.csv")
    data = survey_picture(found, found.line("FL"), suffix)
    assert data.startswith({".svg": b"<?xml", ".png": b"\x89PNG", ".pdf": b"%PDF"}[suffix])
    assert data == survey_picture(found, found.line("FL"), suffix)
    if suffix == ".png":
        from PIL import Image

        with Image.open(io.BytesIO(data)) as image:
            assert image.size == (1782, 1260)  # A4 at 6 pixels a millimetre
            low, high = image.getextrema()
            assert low < 40
            assert high == 255
    if suffix == ".svg":
        assert b"start" in data
        assert b"86.52" in data


def test_a_line_in_points_stands_on_the_surveys_ground_too(tmp_path: Path) -> None:
    """And what is not known of the ground is told: no levels, far apart, beyond the last."""
    rows = ["e,n,z,code", "0,0.2,10.0,GL", "3,0.2,10.3,GL", "9,0.2,10.6,GL", "9,0.2,10.9,GL"]
    (tmp_path / "s.csv").write_text("\n".join(rows))
    spec = '[survey]\nfile = "s.csv"\n[[run]]\npoints = [[0, 0], ["{} m", 0]]\n'

    def told(east: float, more: str = "") -> dict[str, str]:
        fence = make_fence(parse_job(spec.format(east) + more, folder=tmp_path))
        return {f.code: f.line() for f in check(fence) if f.code.startswith(("GROUND", "SURVEY"))}

    fence = make_fence(parse_job(spec.format(9), folder=tmp_path))
    line = fence.job.runs[0].line
    assert [round(z) for _, z in line.knots] == [10000, 10300, 10600]
    assert (
        "points 3 and 4 are in one place at two levels, 10.6 and 10.9 m" in told(9)["SURVEY-NOTE"]
    )
    assert set(told(9)) == {"SURVEY-NOTE"}
    assert "14000 mm beyond it" in told(23)["GROUND-BEYOND"]
    assert set(told(9, '[[run]]\npoints = [[0, "20 m"], ["9 m", "20 m"]]\n')) == {
        "SURVEY-NOTE", "GROUND-UNKNOWN",
    }  # fmt: skip
    (tmp_path / "s.csv").write_text("\n".join([*rows[:2], "12,0.1,10.1,GL"]))
    assert "chainage 0 to 12000: levels are far apart" in told(12)["GROUND-FAR"]
    (tmp_path / "s.csv").write_text("\n".join([*rows[:2], "3,0.1,10.1,GL", "15,0.1,10.1,GL"]))
    for front in ("left", "right"):  # the way along the line is the user's
        found = told(20, f'front = "{front}"\n')
        assert "chainage 3000 to 15000: levels are far apart" in found["GROUND-FAR"]
        assert "run A, the last level: the line goes on" in found["GROUND-BEYOND"]
