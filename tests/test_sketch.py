"""The sketch of what was measured: every figure there, none on another, on one sheet of A4."""

from __future__ import annotations

import itertools
import random
import time
from pathlib import Path

import pypdfium2
import pytest
import shapely
from click.testing import CliRunner

from palewright.cli.main import main
from palewright.export.drawing.draft.paper import Area, Label, Stroke
from palewright.export.drawing.sets.sketch_plan import sketch_sheet
from palewright.export.drawing.sheets.sheet import Sheet
from palewright.export.drawing.sheets.sheet_frame import frame_box, title_box
from palewright.model.resolved.leg_sketch import walked_survey
from palewright.model.survey.points_and_lines import Survey
from palewright.model.survey.survey_files import parse_survey
from palewright.reading import parse_job

TAPE = """
known = { A = [0, 0, "50 m"], B = ["9 m", 0], E = [0, "-6 m"] }
lengths = [
  ["A", "C", "5 m"], ["B", "C", "7.26 m"], ["E", "C", "10.440 m"], ["C", "D", "5 m"],
  ["A", "D", "8.944 m"], ["B", "D", "4.12 m"],
]
offsets = [["C", "A B", "4.002 m left"], ["D", "A B", "8 m", "4 m left"],
           ["T", "A B", "11.5 m", "2.4 m left"]]
angles = [["C", "A", "D", 233.13]]
rises = [["A", "C", "-120 mm"], ["C", "D", "40 mm"], ["A", "D", "-82 mm"]]
lines = { fence = ["C", "D", "T"] }
"""

LEGS = """
[[run]]
name = "orchard"
first_point = [0, 0, "50 m"]

[[run.leg]]
length = "12.4 m"
fall = "300 mm"
[[run.leg]]
length = "8 m"
turn = "right"
fall_per_metre = "20 mm"
[[run.leg]]
length = "9.15 m"
turn = "left"
across = "5 m"
arms = ["3 m", "4 m"]
fall_per_bay = "25 mm"
[[run.leg]]
length = "6 m"
turn = "right 45"
fall = 0
[[run.leg]]
length = "7 m"
turn = "right"
across = "12 m"
fall = "-100 mm"
"""

CLOSED = """
[sheets]
units = "ft-in"
[[run]]
closed = true
leg = [
  { bearing = "N 30 E", length = "60 ft", turn = "right", fall = "4 in" },
  { length = "40 ft 6 in", turn = "right", fall = 0 },
  { length = "60 ft 2 in", turn = "right 89-30", fall = "-2 in" },
  { length = "40 ft 3 in", turn = "right 90", fall = "-2 1/4 in" },
]
"""

TWO_RUNS = """
[[run]]
leg = [{ length = "3 m" }, { length = "1.2 m", turn = "left 45" },
       { length = "9 m", turn = "right 45" }]
[[run]]
first_point = ["4 m", 0]
leg = [{ length = "3 m" }]
"""


def tape(text: str) -> Survey:
    return parse_survey(text.encode(), "tape.toml", "tape")


def legs(text: str) -> Survey:
    found = walked_survey("garden.toml", parse_job(text))
    assert found is not None
    return found


def sheet_of(survey: Survey) -> Sheet:
    assert survey.sketch is not None
    return sketch_sheet(survey, survey.sketch, survey.lines[0] if survey.lines else None, "Garden")


def words(sheet: Sheet) -> str:
    return " ".join(mark.text for mark in sheet.marks if isinstance(mark, Label))


def assert_clear(sheet: Sheet) -> None:
    """Hold that no text meets another, nor the frame, nor a line of the fence."""
    labels = [mark for mark in sheet.marks if isinstance(mark, Label)]
    boxes = [shapely.Polygon(label.box()) for label in labels]
    for (a, one), (b, other) in itertools.combinations(zip(labels, boxes, strict=True), 2):
        assert one.intersection(other).area < 1e-6, (a.text, b.text)
    frame = frame_box(sheet.size)
    inside = shapely.box(frame.left, frame.low, frame.right, frame.high)
    for label, box in zip(labels, boxes, strict=True):
        if not inside.contains(box):  # names of the grid stand wholly outside
            assert len(label.text) == 1, label.text
            assert not inside.intersects(shapely.Polygon(label.box(descent=0.0)))
    for mark in sheet.marks:
        if isinstance(mark, Area) and mark.grey < 1.0:
            for label, box in zip(labels, boxes, strict=True):
                assert not box.intersects(shapely.Polygon(mark.points)), label.text
    heavy = [
        shapely.LineString(mark.points)
        for mark in sheet.marks
        if isinstance(mark, Stroke) and mark.layer.name in ("W-PALES-E-", "W-GROUNDE-")
    ]
    for line, (label, box) in itertools.product(heavy, zip(labels, boxes, strict=True)):
        assert not line.intersects(box), label.text


LANE = """
[sheets]
units = "ft-in"
[[run]]
name = "lane"
first_point = ["427661375 mm", "512345678 mm", "152 ft 3 in"]
leg = [{ length = "212 ft 6 1/2 in", bearing = "S 80 E", fall = "1 ft 2 in" },
       { length = "28 ft", turn = "right 12", fall = "-1 in" },
       { length = "40 ft", turn = "left 95-30", level = "150 ft" }]
"""


@pytest.mark.parametrize("survey", [tape(TAPE), legs(LEGS), legs(CLOSED), legs(LANE)])
def test_every_figure_is_there_and_clear(survey: Survey) -> None:
    sheet = sheet_of(survey)
    assert {sheet.size.width, sheet.size.height} == {210.0, 297.0}
    assert_clear(sheet)
    told = words(sheet)
    assert "No room" not in told
    assert survey.sketch is not None
    for mark in survey.sketch.marks:
        assert mark.said in told, mark
    for point in survey.points:
        assert point.number in told
    assert "1:" in told
    assert "What was measured" in told


def test_the_wrong_measurement_stands_out() -> None:
    told = words(sheet_of(tape(TAPE)))
    assert "7.26 m PROBABLY WRONG" in " ".join(told.split())
    assert "Probably wrong: B to C, by about 48.3 mm: measure again." in told
    assert "PROBABLY" not in words(sheet_of(tape(TAPE.replace("7.26", "7.211"))))


def test_north_is_shown_only_where_a_bearing_was_given() -> None:
    for survey, north in ((tape(TAPE), False), (legs(LEGS), False), (legs(CLOSED), True)):
        labels = [mark.text for mark in sheet_of(survey).marks if isinstance(mark, Label)]
        assert ("N" in labels) is north
        assert any("No bearing was measured: up is" in text for text in labels) is not north


def test_feet_of_offsets_have_the_mark_of_a_right_angle() -> None:
    """Where the feet are, to scale: as far along A to B as the points are east."""
    survey = tape(TAPE)
    sheet = sheet_of(survey)
    assert "1:100" in words(sheet)
    feet = []
    for mark in sheet.marks:
        if isinstance(mark, Stroke) and len(mark.points) == 3 and mark.layer.name == "W-METAL-E-":
            p, corner, r = (complex(*point) for point in mark.points)
            feet.append(p + r - corner)
    assert len(feet) == 3  # one for each offset
    c, d, t = sorted(feet, key=lambda foot: foot.real)
    east = {point.number: point.x / 100.0 for point in survey.points}  # mm on paper
    assert d - c == pytest.approx(east["D"] - east["C"], abs=1e-6)
    assert t - d == pytest.approx(east["T"] - east["D"], abs=1e-6)


def test_misclosures_are_said_on_the_sheet() -> None:
    told = words(sheet_of(legs(CLOSED)))
    assert "the legs end 187.8 mm from the start, 1 in 326" in told
    assert "shared out over the legs by the compass rule" in " ".join(told.split())
    assert "levels." in told  # in feet and inches, so that no unit is said


def test_runs_have_their_letters_where_there_are_two() -> None:
    survey = legs(TWO_RUNS)
    assert [point.number for point in survey.points] == ["A1", "A2", "A3", "A4", "B1", "B2"]
    assert_clear(sheet_of(survey))


@pytest.mark.parametrize("seed", range(12))
def test_crowded_sketches_say_what_found_no_room(seed: int) -> None:
    """Random sites, some with far more than a sheet holds: a figure is on it or in its notes."""
    rng = random.Random(seed)
    count = rng.choice((3, 8, 30))
    spread = rng.choice((2.0, 30.0, 4000.0))
    rows, names = [], []
    for n in range(count):
        along, away = rng.uniform(0.0, spread), rng.uniform(0.01, spread / 2.0)
        rows.append(
            f'["P{n}", "A B", "{along:.3f} m", "{away:.3f} m {rng.choice(("left", "right"))}"]'
        )
        names.append(f"P{n}")
    text = f'known = {{ A = [0, 0], B = ["{spread} m", 0] }}\noffsets = [{", ".join(rows)}]\n'
    survey = tape(text + f'lines = {{ f = ["{names[0]}", "{names[1]}"] }}\n')
    sheet = sheet_of(survey)
    assert_clear(sheet)
    assert survey.sketch is not None
    told = words(sheet)
    if "more lines" not in told:
        for mark in survey.sketch.marks:
            assert mark.said in told


def test_the_sketch_is_written_as_pdf_png_and_svg(tmp_path: Path) -> None:
    (tmp_path / "garden.toml").write_text(LEGS)
    (tmp_path / "tape.toml").write_text(TAPE)
    for file, suffix in itertools.product(("garden.toml", "tape.toml"), ("pdf", "png", "svg")):
        out = tmp_path / f"sketch.{suffix}"
        done = CliRunner().invoke(main, ["survey", str(tmp_path / file), "-o", str(out)])
        assert done.exit_code == 0, done.output
        again = out.read_bytes()
        CliRunner().invoke(main, ["survey", str(tmp_path / file), "-o", str(out)])
        assert out.read_bytes() == again
    page = pypdfium2.PdfDocument(tmp_path / "sketch.pdf")[0]
    assert sorted(round(x / 72.0 * 25.4) for x in page.get_size()) == [210, 297]
    assert "PROBABLY WRONG" in page.get_textpage().get_text_range()


def test_a_spec_shows_its_corners_and_a_spec_without_legs_says_so(tmp_path: Path) -> None:
    file = tmp_path / "garden.toml"
    file.write_text(LEGS)
    done = CliRunner().invoke(main, ["survey", str(file)])
    assert done.exit_code == 0
    assert "  3  east 8.000, north 12.400, level 49.540" in done.output
    assert "note: orchard: no more measured than needed, so that nothing is checked" in done.output
    file.write_text('[[run]]\npoints = [[0, 0], ["9 m", 0]]\n')
    done = CliRunner().invoke(main, ["survey", str(file)])
    assert done.exit_code == 2
    assert "is a spec, and none of its runs is given by legs" in done.output
    file.write_text('[[run]]\nleg = [{ length = "9 m" }, { length = "8 m", turn = 90 }]\n')
    done = CliRunner().invoke(main, ["survey", str(file)])
    assert done.exit_code == 2
    assert "leg[2].turn: to which side?" in done.output
    file.write_text('[[run]\nleg = [{ length = "9 m" }]\n')
    assert CliRunner().invoke(main, ["survey", str(file)]).exit_code == 2


def test_the_title_block_stays_clear_of_notes() -> None:
    sheet = sheet_of(tape(TAPE))
    block = title_box(sheet.size)
    notes = [m for m in sheet.marks if isinstance(m, Label) and m.text.startswith("Probably wrong")]
    assert notes[0].at[1] > block.high


def test_a_sketch_of_very_many_legs_takes_little_time() -> None:
    rows = "".join(
        f'[[run.leg]]\nlength = "3 m"\nturn = "{side}"\n'
        for _ in range(700)
        for side in ("left 60", "right 60")
    )
    survey = legs(f'[[run]]\n[[run.leg]]\nlength = "3 m"\n{rows}')
    began = time.perf_counter()
    sheet = sheet_of(survey)
    assert time.perf_counter() - began < 40.0
    assert "No room on the sketch for" in words(sheet)
    assert "more lines: palewright survey prints them all" in words(sheet)
