"""Words behind the codes of points: where lines start, end, close and curve."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from palewright.model.basis.errors import SpecError
from palewright.model.geometry.curves import Arc, Traced
from palewright.model.survey.code_words import FieldCodes
from palewright.model.survey.extents import length
from palewright.model.survey.points_and_lines import Asked, Survey
from palewright.model.survey.survey_files import parse_survey
from palewright.reading import parse_job


def shots(*rows: tuple[float, float, str], **options: Any) -> Survey:
    """Return a survey of (east, north, code), m."""
    text = "".join(f"{n},{y},{x},{50 + n / 10},{code}\n" for n, (x, y, code) in enumerate(rows, 1))
    return parse_survey(text.encode(), "s.csv", "CSV", Asked(columns="PNEZD", **options))


def told(found: Survey) -> list[tuple[str, int, bool]]:
    return [(line.name, len(line.nodes), line.closed) for line in found.lines]


def test_words_start_end_and_close_lines_whatever_stands_between() -> None:
    found = shots(
        (0, 0, "FL1 B"), (0, 50, "FL2 BEG"), (5, 0, "FL1"), (3, 3, "TREE"), (5, 50, "fl2"),
        (9, 0, "FL1 E"), (9, 50, "FL2"), (9, 55, "FL2 CLS"), (20, 0, "FL1 B"), (29, 0, "FL1 end"),
    )  # fmt: skip
    assert told(found) == [("FL1 #1", 3, False), ("FL2", 4, True), ("FL1 #2", 2, False)]
    assert length(found.line("FL2")) == pytest.approx(1000 * (9 + 5 + math.hypot(9, 5)))
    assert found.codes == {"FL1": 5, "FL2": 4, "TREE": 1}
    assert found.notes == ()
    assert found.line("FL1 #2").nodes[0].level == 50_900.0


def test_a_name_may_have_blanks_and_remarks_are_left_out() -> None:
    found = shots(
        (0, 0, "BACK WALL B /by the oak"), (5, 0, "BACK WALL /gap here"), (9, 0, "BACK WALL E")
    )
    assert told(found) == [("BACK WALL", 3, False)]
    assert found.codes == {"BACK WALL": 3}


def test_codes_without_words_are_as_ever() -> None:
    """Blanks, slashes and single letters that tell of no line."""
    rows = [(0, 0, "W/L"), (5, 0, "W/L"), (0, 9, "TREE big oak"), (1, 9, "WALL N"),
            (6, 9, "WALL N"),
            (3, 3, "E"), (4, 4, "E"), (7, 7, "GATE / old"), (8, 8, "GATE / old")]  # fmt: skip
    found = shots(*rows)
    assert told(found) == [("W/L", 2, False), ("WALL N", 2, False), ("E", 2, False),
                           ("GATE / old", 2, False)]  # fmt: skip
    assert found.notes == ()


def test_walls_to_the_east_are_no_ends() -> None:
    found = shots((0, 0, "WALL E"), (5, 0, "WALL E"), (9, 0, "WALL E"), (0, 9, "MH B"))
    assert told(found) == [("WALL E", 3, False)]
    assert found.notes == (
        "codes that tell of no line are taken as they are: points 1 'WALL E', 2 'WALL E', "
        "3 'WALL E'",
        "codes that tell of no line are taken as they are: points 4 'MH B'",
    )
    off = shots((0, 0, "F B"), (5, 0, "F E"), codes=FieldCodes(read=False))
    assert off.codes == {"F B": 1, "F E": 1}


def test_what_is_not_understood_is_named_and_nothing_is_lost() -> None:
    found = shots((0, 0, "F B"), (5, 0, "F E"), (7, 0, "F B"), (8, 0, "F B oak"), (9, 0, "G B"),
                  (9, 5, "G CLS"), (11, 0, "H B EC"), (12, 0, "H E BC"))  # fmt: skip
    assert told(found) == [("F", 2, False), ("G", 2, False), ("H", 2, False)]
    assert len(found.points) == 8
    assert found.notes == (
        "F: point 3 is a line of one point",
        "G: point 6 closes a line of two points or one",
        "H: point 7 tells of a curve that has no start or too few points: straight there",
        "H: point 8 tells of a curve that has no start or too few points: straight there",
        "words behind a code are not understood: points 4 'F B oak' ('oak')",
    )


def test_a_curve_without_a_shot_between_is_straight_and_notes_are_few() -> None:
    rows = [(n, n % 3, f"F {'EC' if n % 2 else 'BC'}") for n in range(60)]
    found = shots(*rows)
    assert [node.curve for node in found.lines[0].nodes] == [None] * 60
    assert len(found.notes) == 6 and found.notes[-1] == "F: and 55 more of the kind"
    found = shots(*[(n, n % 3, f"F{n % 50} {'E' if n > 49 else 'B EC'}") for n in range(100)])
    assert len(found.lines) == 50 and found.notes[-1] == "and 10 more notes of the kind"


def on_arc(*degrees: float, radius: float = 10.0) -> list[tuple[float, float]]:
    return [(radius * math.sin(math.radians(d)), radius - radius * math.cos(math.radians(d)))
            for d in degrees]  # fmt: skip


@pytest.mark.parametrize(
    "words",
    [
        ["", "BC", "", "EC", ""], ["", "BC", "", "", ""], ["", "C3", "", "", ""],
        ["", "C3", "C3", "C3", ""], ["", "PC", "", "PT", ""],
    ],
    ids=["start and end", "start alone", "of three", "all three", "tangent"],
)  # fmt: skip
def test_three_shots_make_an_arc(words: list[str]) -> None:
    places = [(-9.0, 0.0), *on_arc(0, 40, 90), (10.0, 19.0)]
    found = shots(*[(*at, f"K {'B ' if not n else ''}{word}") for n, (at, word) in
                    enumerate(zip(places, words))])  # fmt: skip
    line = found.line("K")
    assert [node.curve is not None for node in line.nodes] == [False, False, True, False]
    arc = line.nodes[2].curve
    assert isinstance(arc, Arc) and arc.radius == pytest.approx(10_000.0)
    assert length(line) == pytest.approx(18_000 + 5000 * math.pi)
    assert line.spots == ((pytest.approx(10_000 * math.sin(math.radians(40))),
                           pytest.approx(10_000 * (1 - math.cos(math.radians(40)))),
                           pytest.approx(50_300.0)),)  # fmt: skip
    assert found.notes == ()


@pytest.mark.parametrize("side", [1, -1])
@pytest.mark.parametrize("back", [False, True])
def test_a_tangent_curve_needs_no_shot_between(side: int, back: bool) -> None:
    """A quarter of a circle of 10 m beside a straight, as known in closed form."""
    rows = [(-9.0, 0.0), (0.0, 0.0), (10.0, 10.0 * side)]
    words = ["B", "PC", "PT"]
    if back:
        rows, words = rows[::-1], ["B PC", "PT", ""]
    found = shots(*[(*at, f"K {word}") for at, word in zip(rows, words)])
    arc = found.lines[0].nodes[1 if back else 2].curve
    assert isinstance(arc, Arc) and arc.radius == pytest.approx(10_000.0)
    assert length(found.lines[0]) == pytest.approx(9000 + 5000 * math.pi)
    assert (
        math.dist(arc.point(0.5), (5000 * math.sqrt(2), (10_000 - 5000 * math.sqrt(2)) * side)) < 1
    )
    alone = shots((0, 0, "K B PC"), (5, 5, "K E PT"))
    assert "has no straight beside it" in alone.notes[0]
    assert length(alone.lines[0]) == pytest.approx(5000 * math.sqrt(2))


def test_a_curve_through_many_shots_is_an_arc_or_smooth() -> None:
    round_ = [(*at, f"K {word}") for at, word in zip(on_arc(0, 15, 40, 70, 90),
                                                      ["B BC", "", "", "", "E EC"])]  # fmt: skip
    line = shots(*round_).lines[0]
    assert isinstance(line.nodes[1].curve, Arc) and len(line.spots) == 3
    wavy = [(0, 0, "K B BC"), (5, 2, "K"), (10, 0, "K"), (15, -2, "K"), (20, 0, "K E EC")]
    curve = shots(*wavy).lines[0].nodes[1].curve
    assert isinstance(curve, Traced)
    for x, y, _ in wavy:  # through all shots, without a bend of more than a few degrees
        assert min(math.dist(p, (x * 1000, y * 1000)) for p in curve.points) < 1e-6
    ways = [math.atan2(b[1] - a[1], b[0] - a[0]) for a, b in zip(curve.points, curve.points[1:])]
    assert max(abs(b - a) for a, b in zip(ways, ways[1:])) < math.radians(4)


def test_points_far_apart_are_on_lines_of_their_own_and_that_is_told() -> None:
    near = [(n * 3.0, 0.0, "F") for n in range(4)] + [(n * 3.0, 90.0, "F") for n in range(4)]
    found = shots(*near, (500.0, 0.0, "F"))
    assert told(found) == [("F #1", 4, False), ("F #2", 4, False)]
    assert found.notes == (
        "F: no word says where its lines start, and points far apart (over 50 m, "
        "survey.codes.apart) are on 2 lines of their own, after 4, 8; on no line: 9",
    )
    assert len(shots(*near, codes=FieldCodes(apart=0.0)).lines) == 1
    assert len(shots(*near, codes=FieldCodes(apart=100e3)).lines) == 1
    # corners alone may be far apart: that is usual there
    assert len(shots((0, 0, "F"), (10, 0, "F"), (10, 90, "F"), (0, 90, "F")).lines) == 1
    assert len(shots((0, 0, "F"), (900, 0, "F")).lines) == 1


def test_the_words_are_the_users(tmp_path: Path) -> None:
    text = "1 0 0 50 F +\n2 0 9 50 F\n3 6 9 50 F -\n4 0 30 50 F +\n5 0 39 50 F -\n"
    (tmp_path / "s.txt").write_text(text)
    spec = (
        '[survey]\nfile = "s.txt"\ncolumns = "PNEZD"\ncodes = { begin = ["+"], end = ["-"] }\n'
        '[[run]]\nline = "F #1"\n'
    )
    assert parse_job(spec, "f.toml", tmp_path).runs[0].line.length == pytest.approx(15_000.0)
    for bad, said in ((spec.replace('"-"', '"+"'), "'+' stands for begin and for end"),
                      (spec.replace('"-"', '"- -"'), "survey.codes.end")):  # fmt: skip
        with pytest.raises(SpecError) as caught:
            parse_job(bad, "f.toml", tmp_path)
        assert said in str(caught.value) and len(str(caught.value).splitlines()) == 1


def test_codes_with_blanks_stand_last_under_a_heading_divided_by_blanks() -> None:
    text = "pt n e z code\n1 0 0 50 F B\n2 0 9 50 F\n3 6 9 50 F E\n"
    found = parse_survey(text.encode(), "s.txt", "CSV")
    assert told(found) == [("F", 3, False)]


def test_codes_of_landxml_and_gsi_are_read_too() -> None:
    points = "".join(f'<CgPoint name="{n}" code="F {w}">0 {n}</CgPoint>' for n, w in
                     enumerate(["B", "E", "B", "E"]))  # fmt: skip
    text = f"<LandXML><Units><Metric linearUnit='meter'/></Units>{points}</LandXML>"
    assert told(parse_survey(text.encode(), "s.xml", "LandXML")) == [
        ("F #1", 2, False), ("F #2", 2, False),
    ]  # fmt: skip
    wide = (
        "*11{0:04d}+000000000000000{0} 81..00+000000000000{0}000 82..00+0000000000005000 "
        "71....+{1:0>16}\n"
    )
    gsi = "".join(wide.format(n, w) for n, w in enumerate(["F1 B", "F1", "F1 E"], 1))
    assert told(parse_survey(gsi.encode(), "s.gsi", "GSI")) == [("F1", 3, False)]


def test_many_codes_are_read_in_time() -> None:
    import time

    rows = [(n % 97, n % 89, f"F{n % 5000} {'BC' if n % 3 else 'B'}") for n in range(40_000)]
    start = time.process_time()
    shots(*rows)
    one = [(n % 97, n % 89, "F C3") for n in range(20_000)]
    shots(*one)
    shots(*[(n % 97, n % 89, "F BC") for n in range(20_000)])
    shots((0, 0, "F B"), *[(n % 97, n % 89, "F BC /x") for n in range(20_000)])
    assert time.process_time() - start < 12.0


WORD = st.sampled_from(["B", "E", "CLS", "BC", "EC", "C3", "PC", "PT", "/x", "oak", "end"])


@given(
    st.lists(
        st.tuples(
            st.integers(0, 9), st.integers(0, 9), st.sampled_from(["F", "G", "f1"]),
            st.lists(WORD, max_size=3),
        ),
        min_size=1, max_size=25,
    )
)  # fmt: skip
@settings(max_examples=300, deadline=None)
def test_no_words_at_all_lose_a_point(rows: list[tuple[int, int, str, list[str]]]) -> None:
    """Every shot is still there, and lines go through shots alone."""
    found = shots(*[(x, y, " ".join([name, *words])) for x, y, name, words in rows])
    places = [(p.x, p.y) for p in found.points]
    assert places == [(x * 1000.0, y * 1000.0) for x, y, _, _ in rows]
    for line in found.lines:
        assert {node.at for node in line.nodes} <= set(places)
        assert all(math.isfinite(length(line)) for line in found.lines)
