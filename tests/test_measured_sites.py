"""Tape files with traverses, staff readings, bearings and offsets by chainage; what they refuse."""

from __future__ import annotations

import cmath
import math
import random
import re
import time
from pathlib import Path

import pytest
from click.testing import CliRunner
from hypothesis import given
from hypothesis import strategies as st

from palewright.cli.main import main
from palewright.model.checks.building_checks import check
from palewright.model.order.joints import make_fence
from palewright.model.survey.points_and_lines import Survey, SurveyError
from palewright.model.survey.survey_files import parse_survey
from palewright.reading import parse_job

BASE = 'known = { A = [0, 0, "50 m"], B = ["9 m", 0] }\n'


def tape(text: str) -> Survey:
    return parse_survey(text.encode(), "tape.toml", "tape")


def places(found: Survey) -> dict[str, tuple[float, float]]:
    return {point.number: (point.x, point.y) for point in found.points}


def test_offsets_stand_by_chainage_along_a_base() -> None:
    """Along A to B, then square off it to either side, or on it."""
    found = tape(
        BASE + 'offsets = [["C", "A B", "3.2 m", "6.02 m left"], '
        '["D", "A B", "12 ft", "2 ft 6 in right"], ["E", "A B", "11 m", 0]]\n'
    )
    at = places(found)
    assert at["C"] == pytest.approx((3200.0, 6020.0))
    assert at["D"] == pytest.approx((3657.6, -762.0))
    assert at["E"] == pytest.approx((11_000.0, 0.0))
    assert "nothing is checked" in found.notes[0]


def test_one_known_point_and_a_bearing_are_enough() -> None:
    found = tape(
        'known = { A = [0, 0] }\nlengths = [["A", "B", "10 m"]]\nbearings = [["A", "B", "N30E"]]\n'
    )
    assert places(found)["B"] == pytest.approx((5000.0, 10_000.0 * math.sqrt(0.75)))
    assert found.sketch is not None
    assert found.sketch.north
    backwards = tape(
        'known = { A = [0, 0] }\nbearings = [["B", "A", 210]]\nlengths = [["A", "B", "10 m"]]\n'
    )
    assert places(backwards)["B"] == pytest.approx(places(found)["B"])


LOOP = """
known = { A = [0, 0], E = [0, "-5 m"] }
[[traverse]]
from = "A"
back = "E"
adjust = "ADJUST"
legs = [["B", "straight", "10 m"], ["C", "right", "10.02 m"], ["D", "right 90", "10 m"],
        ["A", "angle 270", "10 m"]]
"""


def test_a_traverse_goes_by_the_compass_rule_or_by_least_squares() -> None:
    """A square with one side 20 mm long: the rule spreads that over the sides by their lengths."""
    compass = places(tape(LOOP.replace("ADJUST", "compass")))
    quarter = 20.0 * 10_000.0 / 40_020.0
    assert compass["B"] == pytest.approx((-quarter, 10_000.0))
    assert compass["C"] == pytest.approx((10_020.0 - 20.0 * 20_020.0 / 40_020.0, 10_000.0))
    least = tape(LOOP.replace("ADJUST", "least squares"))
    assert least.notes[0].startswith("lengths: 8 measured, 2 more than needed")
    # by least squares the angles give way, which are far less accurate than the lengths
    assert places(least)["C"][0] - places(least)["B"][0] == pytest.approx(10_020.0, abs=1.0)


def test_an_open_traverse_says_that_nothing_checks_it() -> None:
    found = tape(
        BASE + '[[traverse]]\nfrom = "A"\nlegs = [["C", "east", "3 m"], ["D", "left", "4 m"]]\n'
    )
    assert places(found)["D"] == pytest.approx((3000.0, 4000.0))
    assert found.notes == ("traverse 1, A to D: ends at no known point, so that nothing checks it",)


def test_a_check_across_a_traverse_is_held_against_it() -> None:
    rows = LOOP.replace("ADJUST", "compass").replace("10.02", "10")
    good = tape('lengths = [["B", "D", "14.143 m"]]\n' + rows)
    assert any(note.startswith("lengths: 1 measured, 1 more than needed") for note in good.notes)
    bad = tape('lengths = [["B", "D", "14.243 m"]]\n' + rows)
    assert "probably wrong: B to D, by about 100.9 mm: measure again" in bad.notes


def test_staff_readings_give_levels_and_what_they_close_by() -> None:
    found = tape(
        BASE + 'staff = [["A", "back", "1.4 m"], ["B", "intermediate", "1.5 m"], '
        '["T", "fore", "1.2 m"], ["T", "back", "1 m"], ["A", "fore", "1.206 m"]]\n'
    )
    levels = {point.number: point.level for point in found.points}
    # 6 mm too low after two set-ups: 3 mm each, of which half lies before B and T are read
    assert levels["B"] == pytest.approx(49_900.0 + 1.5)
    assert "levels A to A: A comes out 6 mm too low after 2 set-ups, shared out over them" in (
        found.notes
    )
    assert "levels of points whose place was not measured, m: T 50.203" in found.notes
    assert any(note.startswith("one of these is probably wrong") for note in found.notes) is False


def test_with_one_measurement_to_spare_no_one_is_blamed() -> None:
    """Two lengths and an offset of one point: which is 60 mm out cannot be told."""
    found = tape(
        BASE + 'lengths = [["A", "C", "5 m"], ["B", "C", "7.2111 m"]]\n'
        'offsets = [["C", "A B", "4.06 m left"]]\n'
    )
    (note,) = [note for note in found.notes if "wrong" in note]
    assert note == (
        "one of these is probably wrong, and nothing tells which: A to C, B to C, C from A B; "
        "measure one more"
    )


def test_accuracies_may_be_said_of_each_kind() -> None:
    """What is measured worse gives way more."""
    rows = BASE + 'lengths = [["A", "C", "5 m"], ["B", "C", "7.2111 m"]]\n'
    rows += 'offsets = [["C", "A B", "4.04 m left"]]\n'
    fine = tape('accuracy = { offsets = "1 mm", lengths = "50 mm" }\n' + rows)
    coarse = tape('accuracy = { offsets = "50 mm", lengths = "1 mm" }\n' + rows)
    assert places(fine)["C"][1] == pytest.approx(4040.0, abs=1.0)
    assert places(coarse)["C"][1] == pytest.approx(4000.0, abs=1.0)


def test_two_places_on_one_side_are_told_apart_by_one_more_length() -> None:
    with pytest.raises(SurveyError, match=r"C may be in two places, 6\.00 m apart: measure one"):
        tape(BASE + 'lengths = [["A", "C", "5 m"]]\noffsets = [["C", "A B", "4 m left"]]\n')


TRAVERSE = '[[traverse]]\nfrom = "A"\nlegs = [["C", "east", "3 m"]]\n'


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('bearings = [["A", "C", "N 95 E"]]', "bearings[1] is no bearing: a bearing from north"),
        ('bearings = [["A", "A", 5]]', "bearings[1] is a bearing from one point to another"),
        ('angles = [["A", "B", "A", 5]]', "angles[1] is an angle at one point between two others"),
        ('offsets = [["C", "A B", "3 m", "4 m"]]', 'needs its side of A B: "4 m left"'),
        ('offsets = [["A", "A B", "3 m", "4 m left"]]', "is of a point beside the line"),
        ('offsets = [["C", "A B", "-4 m left"]]', "is a length of 0 or more, and its side"),
        ('rises = [["A", "A", 5]]', "rises[1] is a rise from one point to another"),
        ('benchmarks = { A = "51 m" }', "benchmarks.A has a level in `known` already"),
        ('staff = [["A", "fore", "1 m"]]', "staff[1] follows no back sight"),
        ('staff = [["A", "back", "1 m"]]', "staff[1] ends a set-up: its last reading, on A, is a"),
        ('staff = [["A", "back", "1 m"], ["B", "back", "1 m"]]', "staff[1] ends a set-up"),
        ('staff = [["A", "back", "1 m"], ["A", "fore", "1 m"]]', "on the point of its own back"),
        ('staff = [["A", "up", "1 m"]]', 'staff[1] is not ["A", "back", "1.365 m"]'),
        ("accuracy = { length = 5 }", "accuracy.length is not known; allowed: lengths, offsets"),
        ('accuracy = { lengths = 0 }\nlengths = [["A", "C", 5000]]', "accuracy.lengths is between"),
        ("accuracy = { angles = 0 }", "accuracy.angles is between 0 and 20 degrees"),
        ("traverse = 3", "traverse is written under [[traverse]]"),
        (TRAVERSE.replace("from", "form"), "traverse[1].form is not known; allowed: from, back"),
        (TRAVERSE.replace('"A"', '"X"'), "traverse[1].from names X, which is not known"),
        (TRAVERSE.replace('"A"', "3"), "traverse[1].from names a point"),
        (TRAVERSE.replace('"east"', "90"), 'lies how? write "bearing 90" or "angle 90"'),
        (TRAVERSE.replace('"east"', '"90-30"'), 'write "bearing 90-30" or "angle 90-30"'),
        (TRAVERSE.replace('"east"', '"angle 90"'), "legs[1] needs `back`, the point that its"),
        (TRAVERSE.replace('"east"', '"left 300"'), "a turn is under 180 degrees"),
        (TRAVERSE.replace('"east"', '"eastish"'), "is no bearing: a bearing is degrees"),
        (TRAVERSE.replace('"3 m"', '"0 m"'), "legs[1] is a length over 0 to another point"),
        (TRAVERSE.replace('[["C"', '[["A"'), "legs[1] is a length over 0 to another point"),
        (TRAVERSE.replace('[["C", "east", "3 m"]]', "[]"), "traverse[1].legs is a list of"),
        (TRAVERSE.replace('[["C", "east", "3 m"]]', '[["C", "east"]]'), "legs[1] is not"),
        (TRAVERSE.replace('["C"', '["B", "east", "3 m"], ["C"'), "B is fixed already; say adjust"),
        (TRAVERSE.replace('["C"', '["D", "east", "3 m"], ["B"').replace('"3 m"]]', '"2 m"]]'),
         "traverse[1] ends 4000 mm from B, 1 in 1.2 of its length: a leg is wrong"),
        (TRAVERSE + 'ends = ["B", "east"]', "ends is an angle at the last point"),
        (TRAVERSE + 'ends = "B"', 'ends is not ["E", "angle 120"]'),
        (TRAVERSE + 'ends = ["B", "angle 120"]', "ends needs C and B known"),
        (TRAVERSE + 'adjust = "guess"', "adjust is 'compass' or 'least squares'"),
    ],
)  # fmt: skip
def test_what_is_no_measurement_is_refused(text: str, said: str) -> None:
    with pytest.raises(SurveyError) as caught:
        tape(BASE + text + "\n")
    assert said in str(caught.value)


def test_angles_that_miss_by_degrees_are_refused() -> None:
    text = LOOP.replace("ADJUST", "compass") + 'ends = ["E", "angle 100"]\n'
    with pytest.raises(SurveyError, match=r"ends misses by 10\.00 degrees: one of the angles"):
        tape(text)


@given(st.integers(0, 10_000))
def test_where_the_site_lies_and_how_it_is_turned_changes_nothing(seed: int) -> None:
    """The same measurements from known points moved and turned: the same figure, moved and turned.

    And from known points mirrored, with sides and angles the other way round, its mirror image.
    """
    rng = random.Random(seed)
    away, along = rng.uniform(2e3, 8e3), rng.uniform(0.0, 1.2e4)
    length, turn = rng.uniform(2e3, 9e3), rng.uniform(-80.0, 80.0)
    far = 9000.0 + cmath.rect(length, -math.radians(turn))
    across = abs(far - complex(along, away)) + 4.0
    sides = [f"{'right' if t > 0 else 'left'} {abs(t):.9f}" for t in (turn, -turn)]

    def site(way: complex, at: complex, *, mirrored: bool) -> dict[str, complex]:
        def known(place: complex) -> str:
            moved = at + (place.conjugate() if mirrored else place) * way
            return f"[{moved.real!r}, {moved.imag!r}]"

        side = "right" if mirrored else "left"
        found = tape(
            f"known = {{ A = {known(0j)}, B = {known(9000 + 0j)} }}\n"
            f'offsets = [["C", "A B", {along!r}, "{away!r} mm {side}"]]\n'
            f'lengths = [["C", "D", {across!r}]]\n'
            f'[[traverse]]\nfrom = "B"\nback = "A"\nadjust = "least squares"\n'
            f'legs = [["D", "{sides[mirrored]}", {length!r}]]\n'
        )
        return {p.number: complex(p.x, p.y) for p in found.points}

    plain = site(1 + 0j, 0j, mirrored=False)
    way = complex(math.cos(1.1), math.sin(1.1))
    moved = site(way, complex(4e8, 5e8), mirrored=False)
    other = site(1 + 0j, 0j, mirrored=True)
    for name, place in plain.items():
        assert abs(moved[name] - (complex(4e8, 5e8) + place * way)) < 0.01
        assert abs(other[name] - place.conjugate()) < 0.01


def test_hostile_tapes_take_little_time() -> None:
    began = time.perf_counter()
    for text in (
        BASE + "lengths = [" + '["A", "C", "5 m"],' * 100_000 + "]",
        BASE + "staff = [" + '["A", "back", 1], ["B", "fore", 1],' * 50_000 + "]",
        BASE + '[[traverse]]\nfrom = "A"\nlegs = [["C", "east", "3 m"]]\n' * 5000,
        BASE + 'bearings = [["A", "C", "' + "N" * 100_000 + '"]]',
        BASE + 'bearings = [["A", "C", nan]]',
        BASE + 'angles = [["A", "B", "C", 1e308]]',
        BASE + 'lengths = [["A", "C", 1e308]]',
        BASE + "benchmarks = { A = inf }",
    ):
        with pytest.raises(SurveyError):
            tape(text)
    assert time.perf_counter() - began < 20.0


def test_a_file_of_as_many_measurements_as_there_may_be() -> None:
    rows = ", ".join(f'["P{n}", "A B", "{n / 10:.1f} m", "2 m left"]' for n in range(95))
    checks = ", ".join(f'["P{n}", "P{n + 1}", "0.1 m"]' for n in range(94))
    began = time.perf_counter()
    found = tape(BASE + f"offsets = [{rows}]\nlengths = [{checks}]\n")
    assert len(found.points) == 97
    assert time.perf_counter() - began < 20.0


def test_the_level_book_is_printed(tmp_path: Path) -> None:
    file = tmp_path / "tape.toml"
    file.write_text(
        BASE
        + 'staff = [["A", "back", "1.4 m"], ["B", "fore", "1.55 m"]]\nlines = { f = ["A", "B"] }'
    )
    done = CliRunner().invoke(main, ["survey", str(file)])
    assert done.exit_code == 0
    assert re.search(r"^  B +1\.550 +0\.150 +49\.850 +49\.850$", done.output, re.MULTILINE)
    check = "check: back less fore -0.150, rises less falls -0.150, last less first -0.150"
    assert check in done.output


def test_what_may_be_wrong_instead_is_named_beside_it() -> None:
    """C to D is 50 mm too long; but for a rough offset, two other lengths of D explain it too."""
    found = tape(
        'known = { A = [0, 0, "50 m"], B = ["9 m", 0], E = [0, "-6 m"] }\n'
        'accuracy = { offsets = "30 mm" }\n'
        'lengths = [["A", "C", "9.219 m"], ["B", "C", "6.326 m"], ["E", "C", "13.892 m"],\n'
        '  ["B", "D", "15.009 m"], ["A", "D", "8.501 m"], ["C", "D", "11.152 m"]]\n'
        'offsets = [["D", "A B", "7.5 m left"]]\n'
        'sides = { C = "left of A B", D = "left of A B" }\n'
    )
    (note,) = [note for note in found.notes if note.startswith("probably wrong")]
    assert note.count(", or else ") >= 1
    assert re.search(r"C to D, by about (4[89]|5[0-3])(\.\d)? mm", note)
    assert found.sketch is not None
    doubts = {mark.name: mark.doubt for mark in found.sketch.marks if mark.doubt}
    assert set(doubts.values()) == {"perhaps wrong"}
    assert "C to D" in doubts


def test_a_measurement_that_is_probably_wrong_is_warned_of(tmp_path: Path) -> None:
    pairs = {"A C": "8.944 m", "B C": "4 m", "A D": "4 m", "B D": "8.944 m", "C D": "8 m"}
    for diagonal, doubted in (("8.944 m", False), ("8.844 m", True)):
        rows = ({**pairs, "A C": diagonal}).items()
        told = ", ".join(f'["{pair[0]}", "{pair[2]}", "{length}"]' for pair, length in rows)
        (tmp_path / "tape.toml").write_text(
            'known = { A = [0, 0], B = ["8 m", 0] }\n'
            'sides = { C = "left of A B", D = "left of A B" }\n'
            f'lengths = [{told}]\nlines = {{ back = ["C", "D"] }}\n'
        )
        spec = '[survey]\nfile = "tape.toml"\n[[run]]\nline = "back"\n'
        codes = {one.code for one in check(make_fence(parse_job(spec, folder=tmp_path)))}
        assert ("SURVEY-DOUBT" in codes) == doubted
