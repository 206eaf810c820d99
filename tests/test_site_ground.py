"""The ground of a spec: from a survey's surface, from levels near the line, of each side."""

from __future__ import annotations

import base64
import io
import math
from pathlib import Path
from typing import Any

import ezdxf
import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from lxml import etree
from scipy.interpolate import LinearNDInterpolator

from helpers import fence_of
from palewright.export.drawing.draft import style as layers
from palewright.export.drawing.draft.drafting import Draft
from palewright.export.drawing.draft.scales import Scale
from palewright.export.drawing.draft.style import Style
from palewright.export.drawing.draft.view import Line, Text, View
from palewright.export.drawing.sets.survey_plan import survey_plan
from palewright.export.drawing.views.elevation import elevation
from palewright.export.drawing.views.front import fronts_of, parts_of_front
from palewright.export.drawing.views.plan import block_plan, setting_out_plan
from palewright.export.drawing.views.sections import fence_section
from palewright.export.drawing.writers.ground_dxf import write_ground_dxf
from palewright.export.models.landxml_file import write_landxml
from palewright.export.models.product import Product
from palewright.export.page.page_scene import scene_of
from palewright.export.papers.survey_text import ground_in, survey_picture, survey_text
from palewright.export.pictures.ground_block import ground_block
from palewright.model.basis.errors import OutputError, SpecError
from palewright.model.checks.building_checks import check
from palewright.model.checks.measures import MEASURES
from palewright.model.fence.fence_model import FenceModel
from palewright.model.layout.heights import highest_point
from palewright.model.lists.takeoff import station_lines
from palewright.model.order.joints import make_fence
from palewright.model.site.site_line import level_at
from palewright.model.survey.survey_files import parse_survey
from palewright.reading import parse_job

EAST, NORTH = 427_600.0, 432_800.0
"""Where the invented field is on its grid, m."""

HEAD = "point,east,north,level,code"


def field(x: float, y: float) -> float:
    """Ground of the field, m: it rises to the north-east, in waves."""
    return 50.0 + 0.05 * x + 0.02 * y + 0.3 * math.sin(x / 6.0) * math.cos(y / 5.0)


def row(number: int, x: float, y: float, z: float, code: str) -> str:
    return f"{number},{EAST + x:.3f},{NORTH + y:.3f},{z:.3f},{code}"


def scattered(seed: int = 1, count: int = 150) -> list[str]:
    rng = np.random.default_rng(seed)
    places = rng.uniform((-3.0, -3.0), (40.0, 30.0), (count, 2)).tolist()
    return [row(n, x, y, field(x, y), "GL") for n, (x, y) in enumerate(places)]


def points(*places: tuple[float, float]) -> str:
    inside = ", ".join(f'["{EAST + x:.3f} m", "{NORTH + y:.3f} m"]' for x, y in places)
    return f"[{inside}]"


def fence_on(folder: Path, rows: list[str], run: str, survey: str = "") -> FenceModel:
    (folder / "s.csv").write_text("\n".join([HEAD, *rows]))
    text = f'[survey]\nfile = "s.csv"\n{survey}\n[[run]]\n{run}\n'
    return make_fence(parse_job(text, "f.toml", folder))


def told(fence: FenceModel) -> list[tuple[str, str]]:
    kinds = ("GROUND-OUTSIDE", "GROUND-SURFACE", "GROUND-DROP", "GROUND-UNKNOWN", "GROUND-BEYOND",
             "GROUND-FAR", "SURVEY-NOTE")  # fmt: skip
    return [(f.code, f.where) for f in check(fence) if f.code in kinds]


@given(
    st.tuples(st.floats(0.0, 36.0), st.floats(0.0, 26.0)),
    st.tuples(st.floats(0.0, 36.0), st.floats(0.0, 26.0)),
    st.sampled_from(["left", "right"]),
    st.integers(1, 5),
)
@settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
def test_every_post_stands_on_the_ground_of_another_triangulation(
    tmp_path_factory: Any, a: tuple[float, float], b: tuple[float, float], front: str, seed: int
) -> None:
    """To 1 mm, on a national grid, wherever the line crosses, whichever side is the front."""
    a, b = (tuple(round(v, 3) for v in p) for p in (a, b))
    if math.dist(a, b) < 4.0:
        return
    rows = scattered(seed)
    fence = fence_on(
        tmp_path_factory.mktemp("g"), rows, f'points = {points(a, b)}\nfront = "{front}"'
    )
    assert fence.job.runs[0].ground.by == "surface"
    known = np.array([[float(cell) for cell in line.split(",")[1:4]] for line in rows])
    truth = LinearNDInterpolator(known[:, :2] - (EAST, NORTH), known[:, 2])
    for line in station_lines(fence):
        # ends move along the line to keep their faces: the place itself is asked
        level = float(truth(line.east / 1000.0 - EAST, line.north / 1000.0 - NORTH))
        if math.isfinite(level):
            assert line.ground / 1000.0 == pytest.approx(level, abs=1e-3)


def test_levels_along_a_line_stay_what_they_are_and_a_key_chooses(tmp_path: Path) -> None:
    beside = [row(n, n, 0.3 * (-1) ** n, 50.0 + 0.1 * n, "GL") for n in range(13)]
    run = f"points = {points((0, 0), (12, 0))}"
    near = fence_on(tmp_path, beside, run).job.runs[0]
    assert near.ground.by == "near"
    assert len(near.line.knots) == 13
    made = fence_on(tmp_path, beside, run, 'ground_as = "surface"')
    assert made.job.runs[0].ground.by == "surface"
    assert made.job.ground is not None
    wide = [*beside, *scattered()]
    assert fence_on(tmp_path, wide, run).job.runs[0].ground.by == "surface"
    kept = fence_on(tmp_path, wide, run, 'ground_as = "near"')
    assert kept.job.runs[0].ground.by == "near"
    assert kept.job.ground is None
    assert told(kept) == []
    ((code, where),) = told(fence_on(tmp_path, wide, run))
    assert code == "GROUND-SURFACE"
    assert "run A, a surface of" in where
    ((code, where),) = told(fence_on(tmp_path, beside, run))
    assert (code, "levels near the line" in where) == ("GROUND-SURFACE", True)


@pytest.mark.parametrize("front", ["left", "right"])
def test_a_line_that_leaves_the_surface_says_from_where_to_where(
    front: str, tmp_path: Path
) -> None:
    corners = [row(n, x, y, 50.0 + x / 10.0, "GL") for n, (x, y) in
               enumerate(((0, -9), (20, -9), (20, 9), (0, 9), (10, 0)))]  # fmt: skip
    run = f'points = {points((-4, 1), (30, 1))}\nfront = "{front}"\n'
    fence = fence_on(tmp_path, corners, run, 'ground_as = "surface"')
    outside = [where for code, where in told(fence) if code == "GROUND-OUTSIDE"]
    assert outside == ["run A, chainage 0 to 4000", "run A, chainage 24000 to 34000"]
    # with levels of the user's own there it is known
    more = run + 'levels = [[0, "49.6 m"], ["34 m", "53 m"]]\n'
    known = fence_on(tmp_path, corners, more, 'ground_as = "surface"')
    assert [code for code, _ in told(known)] == ["GROUND-SURFACE"]
    line = known.job.runs[0].line
    assert level_at(line.knots, line.distance(29_000.0)) == pytest.approx(
        52_500.0 - known.job.origin[2]
    )
    half = run + 'levels = [["2 m", "49.6 m"], ["32 m", "53 m"]]\n'
    partly = fence_on(tmp_path, corners, half, 'ground_as = "surface"')
    outside = [where for code, where in told(partly) if code == "GROUND-OUTSIDE"]
    assert outside == ["run A, chainage 0 to 2000", "run A, chainage 32000 to 34000"]
    away = f"points = {points((90, 1), (99, 1))}"
    codes = [code for code, _ in told(fence_on(tmp_path, corners, away, 'ground_as = "surface"'))]
    assert codes == ["GROUND-OUTSIDE", "GROUND-UNKNOWN", "GROUND-SURFACE"]


def test_a_level_of_the_users_own_counts_first_and_is_told_where_it_differs(tmp_path: Path) -> None:
    run = f'points = {points((2, 5), (30, 5))}\nlevels = [["10 m", "60 m"]]'
    fence = fence_on(tmp_path, scattered(), run)
    line = fence.job.runs[0].line
    assert level_at(line.knots, 10_000.0) + fence.job.origin[2] == pytest.approx(60_000.0)
    notes = [where for code, where in told(fence) if code == "SURVEY-NOTE"]
    assert len(notes) == 1
    assert "a run: the level given at chainage 10000 is +9" in notes[0]
    assert "mm off the surface; it counts there" in notes[0]


def test_breaklines_and_what_is_no_ground_are_named(tmp_path: Path) -> None:
    bank = [
        row(200 + k + 20 * part, 5.0 * k - 2.0, 12.0 - part, 53.0 - 2.0 * part, code)
        for part, code in enumerate(("TOP", "FOOT"))
        for k in range(9)
    ]
    eaves = [row(300, 20.0, 11.5, 70.0, "EAVES")]
    rows = [*scattered(), *bank, *eaves]
    run = f"points = {points((20.5, 6), (20.5, 18))}"
    keys = 'breaklines = ["TOP", "foot"]\nnot_ground = ["EAVES"]'
    fence = fence_on(tmp_path, rows, run, keys)
    line, base = fence.job.runs[0].line, fence.job.origin[2]
    assert level_at(line.knots, 5000.0) + base == pytest.approx(51_000.0)
    assert level_at(line.knots, 5500.0) + base == pytest.approx(52_000.0)
    assert level_at(line.knots, 6000.0) + base == pytest.approx(53_000.0)
    assert "with 2 breaklines" in fence.job.runs[0].ground.said
    spiked = fence_on(tmp_path, rows, run).job.runs[0].line
    assert max(z for _, z in spiked.knots) > max(z for _, z in line.knots) + 3000.0
    for wrong, said in (
        ('breaklines = ["TOP"]\nreach = "1 mm"', "survey.breaklines: breaklines would be cut into"),
        ('breaklines = ["TPO"]', "survey.breaklines[1]: the survey has no line 'TPO'"),
        ('not_ground = ["X"]', "survey.not_ground[1]: the survey has no points 'X'"),
        ('surface = "EG"', "survey.surface: the survey has no surface 'EG'; there are: none"),
    ):
        with pytest.raises(SpecError) as caught:
            fence_on(tmp_path, rows, run, wrong)
        assert said in str(caught.value)
        assert len(str(caught.value).splitlines()) == 1
    flat = [row(n, 3.0 * n, 2.0 * n, 50.0, "GL") for n in range(5)]
    with pytest.raises(SpecError, match="make no triangle"):
        fence_on(tmp_path, flat, run, 'ground_as = "surface"')


def test_breaklines_without_levels_are_left_out_and_told(tmp_path: Path) -> None:
    doc = ezdxf.new()
    doc.units = 6
    model = doc.modelspace()
    model.add_lwpolyline([(0, 4), (20, 4)], dxfattribs={"layer": "EDGE"})
    model.add_polyline3d([(0, 8, 1), (20, 8, 2)], dxfattribs={"layer": "KERB"})
    for x, y in ((-1, -1), (21, -1), (21, 15), (-1, 15), (7, 2)):
        model.add_point((x, y, 1.0), dxfattribs={"layer": "LEVELS"})
    doc.saveas(tmp_path / "s.dxf")
    text = ('[survey]\nfile = "s.dxf"\nbreaklines = ["EDGE", "KERB"]\n'
            "[[run]]\npoints = [[1000, 6000], [19000, 10000]]\n")  # fmt: skip
    fence = make_fence(parse_job(text, "f.toml", tmp_path))
    assert any("breakline" in where and "has no levels: left out" in where for code, where in
               told(fence) if code == "SURVEY-NOTE")  # fmt: skip
    line = fence.job.runs[0].line
    at = line.length / 2.0
    assert level_at(line.knots, at) == pytest.approx(1500.0)


XML = """<LandXML xmlns="http://www.landxml.org/schema/LandXML-1.2" version="1.2">
<Units><Metric linearUnit="meter"/></Units><Surfaces>{}</Surfaces></LandXML>"""

TWO_FACES = (
    '<Surface name="{}"><Definition surfType="TIN"><Pnts><P id="7">0 0 10</P><P id="8">0 20 {}</P>'
    '<P id="11">20 20 12</P><P id="12">20 0 12</P></Pnts><Faces><F>7 8 11</F>'
    "<F{}>7 11 12</F>{}</Faces></Definition></Surface>"
)


def on_surfaces(folder: Path, xml: str, keys: str = "") -> FenceModel:
    (folder / "s.xml").write_text(XML.format(xml))
    text = (f'[survey]\nfile = "s.xml"\n{keys}\n'
            "[[run]]\npoints = [[15000, 2000], [15000, 19000]]\n")  # fmt: skip
    return make_fence(parse_job(text, "f.toml", folder))


def test_the_faces_of_a_file_are_taken_as_they_are(tmp_path: Path) -> None:
    fence = on_surfaces(tmp_path, TWO_FACES.format("EG", 10, "", ""))
    assert fence.job.runs[0].ground.said == "surface 'EG' of the survey"
    assert fence.job.ground is not None
    assert len(fence.job.ground.triangles) == 2
    assert told(fence) == [
        ("GROUND-SURFACE", "run A, surface 'EG' of the survey"),
        ("GROUND-FAR", "run A, chainage 0 to 13000"),
    ]
    line = fence.job.runs[0].line
    assert [(round(x), round(z)) for x, z in line.knots] == [(0, 10200), (13000, 11500),
                                                             (17000, 11900)]  # fmt: skip
    hidden = on_surfaces(tmp_path, TWO_FACES.format("EG", 10, ' i="1"', "<F>7 8 99</F>"))
    wheres = dict(told(hidden))
    assert wheres["GROUND-OUTSIDE"] == "run A, chainage 13000 to 17000"
    notes = [where for code, where in told(hidden) if code == "SURVEY-NOTE"]
    assert any("1 invisible faces are left out" in note for note in notes)
    assert any("1 faces name points that it does not have" in note for note in notes)
    twice = on_surfaces(tmp_path, TWO_FACES.format("EG", 10, "", "<F>7 8 12</F><F>11 7 8</F>"))
    notes = [where for code, where in told(twice) if code == "SURVEY-NOTE"]
    assert notes == ["survey, surface 'EG': 1 faces lie over others and are left out"]
    assert twice.job.runs[0].line.knots == line.knots


def test_of_several_surfaces_one_is_said(tmp_path: Path) -> None:
    both = TWO_FACES.format("EG", 10, "", "") + TWO_FACES.format("FG", 30, "", "")
    with pytest.raises(SpecError, match=r"say which is the ground: 'EG', 'FG'"):
        on_surfaces(tmp_path, both)
    for keys in ('surface = "fg"', 'ground = ["FG"]'):
        assert on_surfaces(tmp_path, both, keys).job.runs[0].ground.said == (
            "surface 'FG' of the survey"
        )


def test_breaklines_of_a_file_without_faces_make_the_surface(tmp_path: Path) -> None:
    xml = (
        '<Surface name="EG"><SourceData><DataPoints><PntList3D>0 0 10 0 20 10 20 20 10 20 0 10'
        '</PntList3D></DataPoints><Breaklines><Breakline brkType="wall" name="edge"><PntList3D>'
        "5 0 14 5 20 14</PntList3D></Breakline></Breaklines></SourceData></Surface>"
    )
    fence = on_surfaces(tmp_path, xml)
    line = fence.job.runs[0].line
    assert level_at(line.knots, 3000.0) == pytest.approx(14_000.0)
    notes = " ".join(where for _, where in told(fence))
    assert "is a wall: only its own line is taken" in notes
    assert "with 1 breakline" in notes


# what goes out


def bank(folder: Path, keys: str = "") -> FenceModel:
    line = [row(900 + n, x, y, field(x, y), "FL") for n, (x, y) in
            enumerate(((2.0, 3.0), (20.0, 6.0), (33.0, 24.0)))]  # fmt: skip
    edge = [
        row(950 + k, 10.0 + 5.0 * k, 15.0, field(10.0 + 5.0 * k, 15.0), "TOP") for k in range(5)
    ]
    run = 'line = "FL"\nname = "hedge <side> & lane"'
    survey = f'breaklines = ["TOP"]\ncrs = "EPSG:27700"\n{keys}'
    return fence_on(folder, [*scattered(7), *line, *edge], run, survey)


def test_the_landxml_reads_back_as_the_same_ground_and_line(tmp_path: Path) -> None:
    fence = bank(tmp_path)
    data = write_landxml(fence)
    assert data == write_landxml(fence)
    found = parse_survey(data, "out.xml", "LandXML")
    assert found.crs == "EPSG:27700"
    (given_surface,) = found.surfaces
    job = fence.job
    assert job.ground is not None
    site = job.ground.moved(*job.origin)
    assert given_surface.surface.triangles == site.triangles
    assert np.abs(given_surface.surface.xyz - site.xyz).max() < 1e-3
    names = {line.name: line for line in found.lines}
    line = names["hedge <side> & lane"]
    for node, vertex in zip(line.nodes, job.runs[0].line.vertices, strict=True):
        place = tuple(a + b for a, b in zip(vertex, job.origin, strict=True))
        assert (*node.at, node.level) == pytest.approx(place, abs=1e-3)
    assert sum(one.kind == "breakline" for one in found.lines) == 1
    posts = [p for p in found.points if p.code == "post"]
    assert len(posts) == len(fence.layouts[0].posts)
    # and a fence from that file stands where this one does
    (tmp_path / "out.xml").write_bytes(data)
    text = '[survey]\nfile = "out.xml"\n[[run]]\nline = "hedge <side> & lane"\n'
    again = make_fence(parse_job(text, "g.toml", tmp_path))
    for one, other in zip(station_lines(fence), station_lines(again), strict=True):
        assert (one.east, one.north, one.ground) == pytest.approx(
            (other.east, other.north, other.ground), abs=0.01
        )


def test_the_landxml_has_the_published_structure(tmp_path: Path) -> None:
    """Elements and attributes that LandXML 1.2 asks for (landxml.org documentation; the pressure
    unit's name and the profile's parts from memory).
    """
    tree = etree.fromstring(write_landxml(bank(tmp_path)))
    space = {"l": "http://www.landxml.org/schema/LandXML-1.2"}
    assert tree.tag == f"{{{space['l']}}}LandXML"
    assert {"version", "date", "time"} <= set(tree.attrib)
    (units,) = tree.xpath("l:Units/l:Metric", namespaces=space)
    assert units.get("linearUnit") == "meter"
    assert {"areaUnit", "volumeUnit", "temperatureUnit", "pressureUnit"} <= set(units.attrib)
    (alignment,) = tree.xpath("l:Alignments/l:Alignment", namespaces=space)
    assert {"name", "length", "staStart"} <= set(alignment.attrib)
    lines = alignment.xpath("l:CoordGeom/l:Line", namespaces=space)
    assert [[child.tag.split("}")[1] for child in line] for line in lines] == [["Start", "End"]] * 2
    stations = [[float(word) for word in pvi.text.split()] for pvi in
                alignment.xpath("l:Profile/l:ProfAlign/l:PVI", namespaces=space)]  # fmt: skip
    assert all(len(pair) == 2 for pair in stations)
    assert [s for s, _ in stations] == sorted({s for s, _ in stations})
    assert stations[-1][0] == pytest.approx(float(alignment.get("length")), abs=1e-6)
    (surface,) = tree.xpath("l:Surfaces/l:Surface", namespaces=space)
    assert [child.tag.split("}")[1] for child in surface] == ["SourceData", "Definition"]
    (definition,) = surface.xpath("l:Definition", namespaces=space)
    assert definition.get("surfType") == "TIN"
    idents = {p.get("id") for p in definition.xpath("l:Pnts/l:P", namespaces=space)}
    faces = [f.text.split() for f in definition.xpath("l:Faces/l:F", namespaces=space)]
    assert all(len(set(face)) == 3 and set(face) <= idents for face in faces)
    plain = write_landxml(fence_of({"run": [{"points": [[0, 0], [5000, 0]]}]}))
    assert not etree.fromstring(plain).xpath("//l:Surface", namespaces=space)


def test_the_ground_goes_out_as_3d_faces(tmp_path: Path) -> None:
    fence = bank(tmp_path)
    data = write_ground_dxf(fence)
    assert data == write_ground_dxf(fence)
    doc = ezdxf.read(io.StringIO(data.decode()))
    assert not doc.audit().has_errors
    assert doc.header["$INSUNITS"] == 6
    model = doc.modelspace()
    surface = fence.job.ground
    assert surface is not None
    faces = list(model.query("3DFACE"))
    assert len(faces) == len(surface.triangles)
    heights = [v.z for face in faces for v in face.wcs_vertices()]
    zs = (surface.xyz[surface.corners][:, :, 2] + fence.job.origin[2]) / 1000.0
    assert (min(heights), max(heights)) == pytest.approx((zs.min(), zs.max()), abs=1e-6)
    flat = [
        line
        for line in model.query("LWPOLYLINE")
        if line.dxf.layer.startswith(layers.CONTOUR.name[:6])
    ]
    assert flat
    assert all(round(line.dxf.elevation * 10.0, 6) % 1.0 == 0.0 for line in flat)
    breaks = [line for line in model.query("POLYLINE") if line.dxf.layer == layers.BREAKS.name]
    assert [len(line.vertices) for line in breaks] == [5]
    assert [line.dxf.layer for line in model.query("POLYLINE")].count(layers.AXIS.name) == 1
    with pytest.raises(OutputError, match="no run stands on a surface"):
        write_ground_dxf(fence_of({"run": [{"points": [[0, 0], [5000, 0]]}]}))


def draft(n: float) -> Draft:
    return Draft(Scale(n, f"1:{n:g}"), Style())


def lines_on(view: View, *wanted: layers.Layer) -> list[Line]:
    return [item for item in view.items if isinstance(item, Line) and item.layer in wanted]


@pytest.mark.parametrize("make", [setting_out_plan, block_plan])
def test_plans_have_contours_round_the_fence(make: Any, tmp_path: Path) -> None:
    fence = bank(tmp_path)
    view = make(fence, draft(100.0))
    drawn = lines_on(view, layers.CONTOUR, layers.INDEX_CONTOUR)
    surface = fence.job.ground
    assert surface is not None
    assert len(drawn) > 10
    for line in drawn:
        levels = surface.levels_at(np.array([v[:2] for v in line.vertices])) + fence.job.origin[2]
        levels = levels[np.isfinite(levels)]
        assert np.ptp(levels) < 0.05
        assert levels[0] % 100.0 == pytest.approx(0.0, abs=0.05) or (
            levels[0] % 100.0 == pytest.approx(100.0, abs=0.05)
        )
    words = [item.text for item in view.items if isinstance(item, Text)]
    assert "contours every 0.1 m" in words or "contours every 0.2 m" in words
    none = make(bank(tmp_path, "contours = 0"), draft(100.0))
    assert not lines_on(none, layers.CONTOUR, layers.INDEX_CONTOUR)
    wide = make(bank(tmp_path, "contours = 500"), draft(100.0))
    assert 0 < len(lines_on(wide, layers.CONTOUR, layers.INDEX_CONTOUR)) < len(drawn)


def test_the_block_of_ground_is_the_surface_cut_off_round_the_fence(tmp_path: Path) -> None:
    fence = bank(tmp_path)
    surface = fence.job.ground
    assert surface is not None
    ends = np.array(fence.job.runs[0].line.vertices)  # as the page sizes a fence
    block = ground_block(fence, float(np.linalg.norm(ends.max(axis=0) - ends.min(axis=0))) / 2.0)
    assert block is not None
    points, triangles = block.top
    levels = surface.levels_at(points[:, :2])
    assert np.nanmax(np.abs(levels - points[:, 2])) < 0.5  # corners are joined to 0.1 mm in plan
    at = points[triangles]
    middles = at.mean(axis=1)
    assert np.nanmax(np.abs(surface.levels_at(middles[:, :2]) - middles[:, 2])) < 0.5
    base = block.plain[0][0, 2]
    assert points[:, 2].min() > base
    sides = block.sides[0]
    assert sides[:, 2].min() == pytest.approx(base)
    # every side hangs on an edge of the top, and together they go round it once
    tops = {tuple(np.round(p, 6)) for p in points}
    assert {tuple(np.round(p, 6)) for p in sides if p[2] > base} <= tops
    ground = scene_of(Product(fence), "bank")["ground"]
    shown = np.frombuffer(base64.b64decode(ground["points"]), "<f4").reshape(-1, 3)
    tints = np.frombuffer(base64.b64decode(ground["tints"]), "<f4").reshape(-1, 3)
    count = 3 * (len(triangles) + len(block.sides[1]) + 2)
    assert shown.shape == tints.shape == (count, 3)
    assert (tints == 1.0).all(axis=1).sum() == 3 * len(triangles)
    assert ground_block(fence_of({"run": [{"points": [[0, 0], [5000, 0]]}]}), 3000.0) is None


def test_a_survey_without_levels_has_a_plan_and_says_so() -> None:
    """No level is not level 0."""
    for rows in (["1,0,0,,F", "2,5,0,,F", "3,5,5,,F"], ["1,0,0,0,F", "2,5,0,,F", "3,5,5,,F"]):
        found = parse_survey("\n".join([HEAD, *rows]).encode(), "s.csv", "CSV")
        text = survey_text(found, found.line("F"), "", {})
        levelled = rows[0].split(",")[3] == "0"
        assert ("no levels" in text) is not levelled
        assert ("level 0.000 to 0.000" in text) is levelled
        if not levelled:
            assert "ground: no levels in the file; give them in a spec" in text
        data = survey_picture(found, found.line("F"), ".svg")
        assert b"north is up" in data
        assert b"contours" not in data


def test_a_surveys_plan_and_text_tell_of_its_surface() -> None:
    rows = [HEAD, *scattered(3), row(901, 2, 3, 50.2, "FL"), row(902, 30, 20, 51.9, "FL")]
    found = parse_survey("\n".join(rows).encode(), "s.csv", "CSV")
    line = found.line("FL")
    assert "ground: a surface of" in survey_text(found, line, "", {})
    ground, wrong = ground_in(found, line)
    assert wrong == ""
    sheet = survey_plan(found, line, ground.surface)
    (placed,) = sheet.placed
    drawn = [item for item in placed.view.items if isinstance(item, Line)]
    assert any(item.layer == layers.INDEX_CONTOUR for item in drawn)
    # points of one code in no order are no line
    assert sum(item.layer == layers.CHECK for item in drawn) == 0


# each side its own ground

SIDES = {
    "points": [[0, 0], [9000, 0]],
    "levels_front": [[0, -450], [9000, -300]],
    "levels_back": [[2000, 250], [6000, 400]],
}


def sided(**more: Any) -> FenceModel:
    return fence_of({"run": [{**SIDES, **more}]})


def test_heights_are_measured_from_both_sides() -> None:
    layout = sided().layouts[0]
    own = highest_point(layout)
    assert own == pytest.approx(950.0)
    # the lowest ground in front, under the first pale
    pale = layout.stretches[0].pales[0]
    low = -450.0 + 150.0 * max(pale.x - 50.0, 0.0) / 9000.0
    assert highest_point(layout, "front") == pytest.approx(950.0 - low, abs=1.0)
    # behind, the ground is higher in the middle alone: there it is lower than elsewhere
    assert highest_point(layout, "back") == pytest.approx(950.0)
    heights = MEASURES["height"](sided(), 0)
    assert [where for where, _ in heights] == ["run A, from the front", "run A, from the back"]
    least = dict(MEASURES["least height"](sided(), 0))
    back = next(value for where, value in least.items() if where.endswith("from the back"))
    assert back == pytest.approx(950.0 - 400.0, abs=10.0)
    plain_ground = fence_of({"run": [{"points": SIDES["points"]}]})
    assert [where for where, _ in MEASURES["height"](plain_ground, 0)] == ["run A"]


def test_sides_are_the_same_whichever_way_the_line_is_given() -> None:
    turned = fence_of({"run": [{
        "points": [[9000, 0], [0, 0]], "front": "left",
        "levels_front": [[0, -300], [9000, -450]],
        "levels_back": [[3000, 400], [7000, 250]],
    }]})  # fmt: skip
    one, other = sided().layouts[0], turned.layouts[0]
    for side in ("front", "back"):
        assert highest_point(one, side) == pytest.approx(highest_point(other, side))
    assert np.array(one.run.front_ground) == pytest.approx(np.array(other.run.front_ground))
    drops = [[f.where for f in check(fence) if f.code == "GROUND-DROP"] for fence in
             (sided(), turned)]  # fmt: skip
    assert drops == [
        ["run A, chainage 6000, 750 mm lower at the front"],
        ["run A, chainage 3000, 750 mm lower at the front"],
    ]
    assert not [f for f in check(sided(levels_front=[[0, -250], [9000, -200]], levels_back=[]))
                if f.code == "GROUND-DROP"]  # fmt: skip


@pytest.mark.parametrize(
    ("keys", "said"),
    [
        ("levels_front = [[0, -300]]", "run[1].levels_front: two levels or more"),
        ("levels_back = [[0, 300], [90000, 300]]", "run[1].levels_back[2]: the run is only 9000"),
        ("levels_back = [[0, 300], [0, 900], [4000, 300]]", "chainage 0 has two levels, 300 and"),
        ("levels = [[9000, 300]]", "run[1].levels[1]: the line's point there has level 100"),
        ("levels = [[4000, 300], [4000, 900]]", "run[1].levels[2]: chainage 4000 has two levels"),
    ],
)
def test_levels_that_cannot_be(keys: str, said: str) -> None:
    with pytest.raises(SpecError) as caught:
        parse_job(f"[[run]]\npoints = [[0, 0], [9000, 0, 100]]\n{keys}\n", "f.toml")
    assert said in str(caught.value)
    assert len(str(caught.value).splitlines()) == 1


@pytest.mark.parametrize("overall", [True, False])
def test_elevations_show_the_ground_of_each_side(overall: bool) -> None:
    fence = sided()
    (front,) = fronts_of(fence.layouts[0])
    (part,) = parts_of_front(0, front, 1e6)
    view = elevation(fence, part, draft(50.0), overall=overall)
    drawn = lines_on(view, layers.SIDE_GROUND)
    assert [[v[:2] for v in line.vertices] for line in drawn] == [
        [(0.0, -450.0), (9000.0, -300.0)],
        [(2000.0, 250.0), (6000.0, 400.0)],
    ]
    words = [item.text for item in view.items if isinstance(item, Text)]
    assert "ground in front -300" in words
    assert "ground behind 400" in words
    if overall:
        assert any(text.startswith("greatest height over the ground in front: 1") for text in words)


def test_sections_show_the_step_to_either_side() -> None:
    fence = sided(levels_back=[[0, 200], [9000, 200]])
    view = fence_section(fence, 0, draft(10.0))
    levels = sorted({v[1] for line in lines_on(view, layers.GROUND) for v in line.vertices})
    assert levels == pytest.approx([-420.0, 200.0])
    assert len(lines_on(view, layers.SIDE_GROUND)) == 2
    words = [item.text for item in view.items if isinstance(item, Text)]
    assert "ground in front is 420 lower at A02 than along the fence" in words
    assert "ground behind is 200 higher at A02 than along the fence" in words
