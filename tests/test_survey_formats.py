"""LandXML and GSI files, and files that are something else."""

from __future__ import annotations

import contextlib
import math
import random
import time
from pathlib import Path

import pytest
from hostile_files import mutated_bytes
from test_tape import TAPE

from palewright.model.basis.errors import PalewrightError
from palewright.model.order.joints import make_fence
from palewright.model.survey.extents import length
from palewright.model.survey.points_and_lines import Asked, Survey, SurveyError
from palewright.model.survey.survey_files import kind_of, parse_survey, read_survey
from palewright.reading import read_job

LANDXML = """<?xml version="1.0"?>
<LandXML xmlns="http://www.landxml.org/schema/LandXML-1.2" version="1.2">
 <Units><Metric linearUnit="meter" areaUnit="squareMeter"/></Units>
 <CoordinateSystem epsgCode="27700"/>
 <CgPoints>
  <CgPoint name="1" code="FL">300010.0 400000.0 50.1</CgPoint>
  <CgPoint name="2" code="FL">300010.0 400009.0 50.3</CgPoint>
  <CgPoint name="3" code="TREE">300020.0 400009.0</CgPoint>
 </CgPoints>
 <Alignments>
  <Alignment name="front"><CoordGeom>
   <Line><Start pntRef="1"/><End pntRef="2"/></Line>
   <Curve rot="cw" radius="5"><Center>300005.0 400009.0</Center>
    <End>300005.0 400014.0</End><Start>300010.0 400009.0</Start></Curve>
   <IrregularLine><Start>300005 400014</Start><End>300000 400014</End>
    <PntList2D>300005 400014 300003 400014.5 300000 400014</PntList2D></IrregularLine>
  </CoordGeom></Alignment>
 </Alignments>
 <Surfaces><Surface name="ground"><SourceData><Breaklines>
   <Breakline brkType="standard" name="ditch">
    <PntList3D>300010.2 400000 50.0 300010.2 400009 50.4</PntList3D></Breakline>
  </Breaklines></SourceData>
  <Definition surfType="TIN"><Pnts><P id="1">300010.1 400000 50.0</P><P id="2">300010.1 400009 50.4
  </P><P id="3">300000 400014 50.9</P></Pnts><Faces><F>1 2 3</F></Faces></Definition>
 </Surface></Surfaces>
</LandXML>
"""

GSI8 = """110001+00000001 81..00+00012000 82..00+00005000 83..00+00050100 71....+000000FL
110002+00000002 81..00+00021000 82..00+00005000 83..00+00050400 71....+000000FL
110003+00000003 21.324+17920860 22.324+07567500
"""
GSI16 = (
    "*110001+0000000000000FR1 81..08+0000000001200000 82..08+0000000000500000 "
    "83..08-0000000000005000\n"
    "*110002+0000000000000FR2 81..08+0000000002100000 82..08+0000000000500000\n"
)


def landxml(text: str, **options: str) -> Survey:
    return parse_survey(text.encode(), "s.xml", "LandXML", Asked(**options))


def test_landxml_points_alignments_breaklines_and_surfaces() -> None:
    """North stands before east, as LandXML 1.2 has it."""
    found = landxml(LANDXML)
    assert found.crs == "EPSG:27700"
    first = found.points[0]
    assert (first.x, first.y, first.level) == (400_000_000.0, 300_010_000.0, 50_100.0)
    assert found.points[2].level is None
    assert found.codes == {"FL": 2, "TREE": 1, "ground": 3}
    front = found.line("front")
    # 9 m, a quarter of a circle of 5 m, and two straights by Pythagoras
    true = 9.0 + 2.5 * math.pi + math.hypot(2.0, 0.5) + math.hypot(3.0, 0.5)
    assert length(front) / 1000.0 == pytest.approx(true, abs=1e-6)
    arc = front.nodes[2].curve
    assert arc is not None
    assert arc.point(0.5) == pytest.approx(
        (400_009_000.0 + 5000.0 * math.sqrt(0.5), 300_005_000.0 + 5000.0 * math.sqrt(0.5))
    )
    assert found.line("ditch").nodes[1].level == 50_400.0
    assert found.line("FL").nodes[1].at == (400_009_000.0, 300_010_000.0)


def test_a_fence_stands_on_a_landxml_surface(tmp_path: Path) -> None:
    (tmp_path / "site.xml").write_text(LANDXML)
    spec = tmp_path / "a.toml"
    spec.write_text('[survey]\nfile = "site.xml"\nground = ["ground"]\n[[run]]\nline = "FL"\n')
    job = make_fence(read_job(spec)).job
    line = job.runs[0].line
    # over 50 m; the line's own levels come first, between them its faces tell the ground
    assert [round(z) for _, z in line.knots] == [100, 9, 300]
    assert sum("off the surface; it counts there" in note for note in job.notes) == 1
    assert line.length == pytest.approx(9000.0)


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("<LandXML ", "<LandXML", "s.xml:2: is not XML"),
        ("</LandXML>", "", "is not XML"),
        ("LandXML", "Land", "is XML, but no LandXML"),
        ('<?xml version="1.0"?>', '<!DOCTYPE x [<!ENTITY a "b">]>', "has declarations of its own"),
        ("<Units>.*</Units>", "", "unit"),
        ("300010.0 400000.0 50.1", "300010.0 400000.0 high", "a CgPoint is not numbers"),
        ("300010.0 400000.0 50.1", "300010.0", "a CgPoint has 1 numbers, not 2 or 3"),
        ("300010.0 400000.0 50.1", "nan 400000.0", "a CgPoint is out of range"),
        ('<Start pntRef="1"/>', '<Start pntRef="9"/>', "there is no point '9'"),
        ("Curve", "Spiral", "alignment 'front' has a Spiral, which is not read"),
        ('rot="cw"', "", "a Curve of 'front' has no centre or no rot"),
        ("<Start>300005 400014</Start>", "<Start>300004 400014</Start>", "has a gap before a"),
        ("50.0 300010.2", "300010.2", "a PntList3D is not whole points"),
    ],
)
def test_broken_landxml_gets_one_message(old: str, new: str, said: str) -> None:
    text = LANDXML.replace(old, new)
    if said == "unit":
        text = text.replace('linearUnit="meter"', "")
        text = text.replace('<CoordinateSystem epsgCode="27700"/>', "")
        said = "does not say its unit"
    with pytest.raises(SurveyError) as caught:
        landxml(text)
    assert said in str(caught.value)


def test_feet_of_a_landxml_are_said() -> None:
    feet = LANDXML.replace("Metric", "Imperial").replace('"meter"', '"foot"')
    feet = feet.replace('<CoordinateSystem epsgCode="27700"/>', "")
    found = landxml(feet)
    assert found.points[0].x == pytest.approx(400_000 * 304.8)
    assert "taken as the international foot" in found.notes[0]
    assert landxml(feet, units="us-ft").points[0].x == pytest.approx(400_000 * 1.2e6 / 3937)


def test_gsi_words_of_8_and_16_digits() -> None:
    found = parse_survey(GSI8.encode(), "s.gsi", "GSI")
    assert [(p.number, p.x, p.y, p.level, p.code) for p in found.points] == [
        ("1", 12_000.0, 5000.0, 50_100.0, "FL"), ("2", 21_000.0, 5000.0, 50_400.0, "FL"),
    ]  # fmt: skip
    assert found.notes == ("1 points without coordinates are left out",)
    assert length(found.line("FL")) == 9000.0
    found = parse_survey(GSI16.encode(), "s.gsi", "GSI")
    assert [(p.number, p.x, p.y, p.level) for p in found.points] == [
        ("FR1", 12_000.0, 5000.0, -50.0), ("FR2", 21_000.0, 5000.0, None),
    ]  # fmt: skip
    with pytest.raises(SurveyError, match="its measurements are no coordinates"):
        parse_survey(GSI8.splitlines()[2].encode(), "s.gsi", "GSI")
    with pytest.raises(SurveyError, match="word 81 is no length"):
        parse_survey(GSI8.replace("81..00", "81..02").encode(), "s.gsi", "GSI")


@pytest.mark.parametrize(
    ("name", "data", "kind"),
    [
        ("a.xml", LANDXML.encode(), "LandXML"),
        ("a.txt", LANDXML.encode(), "LandXML"),
        ("a.txt", GSI8.encode(), "GSI"),
        ("a.txt", GSI16.encode(), "GSI"),
        ("a.txt", b'{"type": "Point", "coordinates": [1, 2]}', "GeoJSON"),
        ("a.txt", b"  0\r\nSECTION\r\n", "DXF"),
        ("a.gsi", b"e,n\n1,2\n", "GSI"),
        ("a.pts", b"\xef\xbb\xbfe,n\n1,2\n", "CSV"),
        ("a.csv", b"\0\1\2", None),
    ],
)
def test_content_decides_what_a_file_is(name: str, data: bytes, kind: str | None) -> None:
    assert kind_of(data, Path(name).suffix) == kind


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"PK\3\4", "is a packed file, as spreadsheets are: save it as CSV, DXF, GeoJSON or"),
        (b"AC1032", "is a DWG drawing: save it as DXF"),
        (b"%PDF-1.7", "is a PDF, which holds a picture of a plan and no coordinates"),
        (b"SQLite format 3\0", "is no GeoPackage that can be read"),
        (b"\x00\x00\x27\x0a\0\0", "needs site.shx beside it"),
    ],
)
def test_what_is_no_survey_is_told_what_to_do(tmp_path: Path, data: bytes, said: str) -> None:
    path = tmp_path / "site.csv"
    path.write_bytes(data)
    with pytest.raises(SurveyError) as caught:
        read_survey(path)
    assert said in str(caught.value)


@pytest.mark.parametrize("name", ["LandXML", "GSI", "tape"])
def test_mutated_ones_are_read_or_refused_in_time(name: str) -> None:
    sound = {"LandXML": LANDXML, "GSI": GSI8 + GSI16, "tape": TAPE}[name].encode()
    rng = random.Random(3)
    for _ in range(300):
        data = mutated_bytes(rng, sound)
        start = time.process_time()
        with contextlib.suppress(PalewrightError):
            parse_survey(data, "f", name)
        assert time.process_time() - start < 2.0


def test_much_that_was_taped_is_adjusted_in_time() -> None:
    """A chain of 98 points, each from the two before it and one more: 290 lengths."""
    places = [complex(0, 0), complex(4000, 0)]
    rows = []
    for number in range(98):
        places.append(places[-2] + complex(4000, 3000 if number % 2 else -3000))
        for back in (1, 2, 3):
            if back < len(places):
                names = f'"P{len(places) - 1}", "P{len(places) - 1 - back}"'
                rows.append(f"[{names}, {abs(places[-1] - places[-1 - back]):.1f}]")
    sides = ", ".join(
        f'P{n} = "{"left" if n % 2 else "right"} of P{n - 2} P{n - 1}"' for n in range(2, 100)
    )
    text = f"known = {{ P0 = [0, 0], P1 = [4000, 0] }}\nlengths = [{', '.join(rows)}]\n"
    start = time.process_time()
    with contextlib.suppress(SurveyError):
        parse_survey(f"{text}sides = {{ {sides} }}\n".encode(), "t.toml", "tape")
    assert time.process_time() - start < 2.0
    many = text.replace("lengths = [", "lengths = [" + '["P0", "X", 5000],' * 400)
    with pytest.raises(SurveyError, match="more than 400 measurements"):
        parse_survey(many.encode(), "t.toml", "tape")


METRES = "<LandXML><Units><Metric linearUnit='meter'/></Units>{}</LandXML>"
FAR_POINTS = ",".join(
    f'{{"type":"Point","coordinates":[{n % 360 - 180 + n * 1e-5:.5f},{n * 7 % 160 - 80}]}}'
    for n in range(30_000)
)
HARMFUL = {
    "codes in degrees": ("CSV", "E,N,code\n" + "".join(f"{n % 180},{n % 80},c{n}\n" for n in
                                                       range(30_000))),
    "points over the globe": (
        "GeoJSON", f'{{"type":"GeometryCollection","geometries":[{FAR_POINTS}]}}',
    ),
    "surfaces in surfaces": (
        "LandXML",
        METRES.format("<Surface>" * 30_000 + "<P>1 2 3</P>" + "</Surface>" * 30_000),
    ),
}  # fmt: skip


@pytest.mark.parametrize("what", HARMFUL)
def test_surveys_made_to_do_harm_are_read_or_refused_in_time(what: str) -> None:
    kind, text = HARMFUL[what]
    start = time.process_time()
    with contextlib.suppress(SurveyError):
        parse_survey(text.encode(), "s", kind, Asked(crs="EPSG:4258" if kind == "CSV" else ""))
    assert time.process_time() - start < 2.0


def test_a_landxml_list_of_another_name_is_passed_over_and_levels_have_bounds() -> None:
    line = "<Start>1 2</Start><End>1 3</End><PntListX>1 2</PntListX>"
    piece = f"<Alignment><CoordGeom><IrregularLine>{line}</IrregularLine></CoordGeom></Alignment>"
    assert length(landxml(METRES.format(piece)).lines[0]) == pytest.approx(1000.0)
    with pytest.raises(SurveyError, match="a CgPoint is out of range"):
        landxml(METRES.format('<CgPoint name="1">1 2 1e308</CgPoint>'))
