"""Sites measured by tape: points, what is left over, what is asked, and a fence on them."""

from __future__ import annotations

import math
import re
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from palewright.cli.main import main
from palewright.model.order.joints import make_fence
from palewright.model.survey.extents import length
from palewright.model.survey.points_and_lines import Survey, SurveyError
from palewright.model.survey.survey_files import parse_survey
from palewright.reading import read_job

TAPE = """
known = { A = [0, 0, "50 m"], B = ["9 m", 0], E = [0, "-6 m"] }   # corners of the house
lengths = [
  ["A", "C", "5 m"],        # 3-4-5
  ["B", "C", "7.211 m"],    # root of 36 and 16 squared: 7.2111
  ["E", "C", "10.440 m"],   # root of 9 and 100: 10.4403
  ["C", "D", "5 m"],
  ["A", "D", "8.944 m"],    # root of 64 and 16: 8.9443
]
offsets = [["C", "A B", "4.002 m left"]]
angles = [["C", "A", "D", 233.13]]
rises = [["A", "C", "-120 mm"], ["C", "D", "40 mm"], ["A", "D", "-82 mm"]]
lines = { fence = ["C", "D"] }
"""


def tape(text: str) -> Survey:
    return parse_survey(text.encode(), "tape.toml", "tape")


def at(found: Survey) -> dict[str, tuple[float, float]]:
    return {point.number: (point.x, point.y) for point in found.points}


def test_points_stand_where_they_were_taped() -> None:
    """C at (3, 4) and D at (8, 4): by Pythagoras, measured to the millimetre."""
    found = tape(TAPE)
    places = at(found)
    assert places["A"] == (0.0, 0.0)
    assert places["C"] == pytest.approx((3000.0, 4000.0), abs=2.0)
    assert places["D"] == pytest.approx((8000.0, 4000.0), abs=3.0)
    assert length(found.line("fence")) == pytest.approx(5000.0, abs=1.0)
    levels = {point.number: point.level for point in found.points}
    assert levels["C"] == pytest.approx(49_880.0, abs=1.0)
    assert levels["D"] == pytest.approx(49_919.0, abs=1.0)
    assert found.notes[0].startswith("lengths: 7 measured, 3 more than needed; they agree to 0.")
    assert not [note for note in found.notes if "wrong" in note]


def test_a_blunder_is_named_with_its_size() -> None:
    found = tape(TAPE.replace('"B", "C", "7.211 m"', '"B", "C", "7.261 m"'))
    (note,) = [note for note in found.notes if "wrong" in note]
    told = re.fullmatch(r"probably wrong: B to C, by about ([\d.]+) mm: measure again", note)
    assert told is not None
    assert float(told[1]) == pytest.approx(50.0, abs=6.0)


@pytest.mark.parametrize("side", ["left", "right"])
def test_the_side_of_a_base_line_is_asked_for(side: str) -> None:
    text = 'known = { A = [0, 0], B = ["9 m", 0] }\n'
    text += 'lengths = [["A", "C", "5 m"], ["C", "B", "7 m"]]\n'
    with pytest.raises(SurveyError) as caught:
        tape(text)
    assert str(caught.value) == (
        'tape.toml: C may be on either side of A B: say sides = { C = "left of A B" }'
    )
    found = tape(text + f'sides = {{ C = "{side} of A B" }}\n')
    assert (at(found)["C"][1] > 0.0) == (side == "left")
    assert "nothing is checked" in found.notes[0]


def test_legs_and_turns_as_they_were_walked() -> None:
    """From a corner of the house, with right angles and one of 135 degrees."""
    found = tape(
        'known = { A = [0, 0], B = [0, "6 m"] }\n'
        'lengths = [["B", "C", "9 m"], ["C", "D", "4 m"]]\n'
        'angles = [["B", "A", "C", 270], ["C", "B", "D", 135]]\nlines = { f = ["B", "C", "D"] }\n'
    )
    # on from north to the east (270 clockwise from the way back), then 45 degrees to the left
    assert at(found)["C"] == pytest.approx((9000.0, 6000.0), abs=1e-3)
    turned = 4000.0 * math.sqrt(0.5)
    assert at(found)["D"] == pytest.approx((9000.0 + turned, 6000.0 + turned), abs=1e-3)


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("known = {", "knwon = {", "knwon is not known; allowed: known, lengths"),
        (', E = [0, "-6 m"]', "", ""),
        ('A = [0, 0, "50 m"]', "A = 3", "known.A is [east, north] or [east, north, level]"),
        ('"5 m"],        # 3-4-5', '"5 mtr"],', 'lengths[1] not a length; write "5 m"'),
        ('"5 m"],        # 3-4-5', '"-5 m"],', "lengths[1] is a length over 0 between two points"),
        ('["A", "C", "5 m"]', '["A", "5 m"]', 'lengths[1] is not ["A", "C", "10.36 m"]'),
        ("4.002 m left", "4.002 m", "offsets[1] needs its side of A B"),
        ('"A B"', '"A"', 'offsets[1] names a line by two points, as "A B"'),
        ("233.13", '"233"', "angles[1] has an angle in degrees"),
        ('["C", "D"] }', '["C", "X"] }', "lines.fence has no point 'X'; there are: A, B, E, C, D"),
        ("lengths = [", 'lengths = [["X", "Y", 5000],', "nothing fixes X: it needs two lengths"),
        ("rises", "accuracy = 0\nrises", "accuracy is between 0 and 1 m"),
    ],
)
def test_what_is_wrong_with_a_tape_is_said(old: str, new: str, said: str) -> None:
    text = TAPE.replace(old, new)
    if not said:
        with pytest.raises(SurveyError, match="nothing fixes E"):
            tape(text)
        return
    with pytest.raises(SurveyError) as caught:
        tape(text)
    assert said in str(caught.value)


def test_a_fence_stands_on_what_was_taped(tmp_path: Path) -> None:
    (tmp_path / "tape.toml").write_text(TAPE)
    spec = tmp_path / "garden.toml"
    spec.write_text('[survey]\nfile = "tape.toml"\n[[run]]\nline = "fence"\n')
    line = make_fence(read_job(spec)).job.runs[0].line
    assert line.length == pytest.approx(5000.0, abs=1.0)
    done: Any = CliRunner().invoke(main, ["survey", str(tmp_path / "tape.toml")])
    assert done.exit_code == 0
    assert "note: lengths: 7 measured, 3 more than needed" in done.output
    check = CliRunner().invoke(main, ["check", str(spec)]).output
    assert "[SURVEY-NOTE; geometry]" in check
