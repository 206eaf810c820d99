from __future__ import annotations

import json
import tomllib
from pathlib import Path

import jsonschema
import pytest

from helpers import EXAMPLES, ROOT
from palewright.model.basis.errors import SpecError
from palewright.model.checks.building_checks import check
from palewright.model.order.joints import make_fence
from palewright.model.spec.schema import spec_schema
from palewright.reading import parse_job, read_job

GOOD = """\
[[run]]
points = [[0, 0], [9000, 0]]
"""


def problems(text: str) -> list[str]:
    with pytest.raises(SpecError) as caught:
        parse_job(text, "f.toml")
    assert caught.value.exit_code == 2
    return str(caught.value).splitlines()


def test_the_smallest_spec_is_a_fence() -> None:
    job = parse_job(GOOD)
    assert job.runs[0].line.length == 9000.0


def test_all_mistakes_come_at_once_with_line_value_and_what_is_allowed() -> None:
    found = problems(
        """\
[[run]]
points = [[0, 0], [9000, "x m"]]
frint = "left"

  [[run.gate]]
  at = "1 m"
  leaves = 3

[pales]
widht = 90
gap = -5
head = { shape = "clipped", acros = 3 }

[posts]
top = "dome"
layout = "even"
"""
    )
    expected = [
        ("f.toml:2: run[1].points[2][2]:", "'1.8 m'", '"x m"'),
        ("f.toml:3: run[1].frint:", "did you mean 'front'", '"left"'),
        ("f.toml:7: run[1].gate[1].leaves:", "1 or 2", "3"),
        ("f.toml:10: pales.widht:", "did you mean 'width'", "90"),
        ("f.toml:11: pales.gap:", "0 or more", "-5"),
        ("f.toml:12: pales.head.acros:", "did you mean 'across'", "3"),
        ("f.toml:15: posts.top:", "'flat', 'weathered', 'pyramid', 'chamfered'", '"dome"'),
        ("f.toml:16: posts.layout:", "'equal' or 'standard'", '"even"'),
    ]
    assert len(found) == len(expected), "\n".join(found)
    for line, (start, allowed, value) in zip(found, expected, strict=True):
        assert line.startswith(start), line
        assert allowed in line
        assert value in line


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("[[run]\n", "f.toml:1: a heading stands alone, in brackets that close; write [[run]]"),
        ("", "run: this key is required"),
        ("run = 3\n", "f.toml:1: run: must be a list"),
        (GOOD + "closed = true\n", "three points"),
        ("[[run]]\npoints = [[0,0],[0,0.5],[9000,0]]\n", "less than 1 mm apart"),
        ("[[run]]\npoints = [[0,0],[9000,0],[0,500]]\n", "turns back to"),
        (
            "[[run]]\npoints = [[0,0],[9000,0],[9000,5000],[4000,5000],[4000,-5000]]\n",
            "crosses or touches itself",
        ),
        (
            "[[run]]\npoints=[[0,0],[5000,0],[5000,5000],[0,5000],[0,0]]\nclosed = true\n",
            "repeats the first",
        ),
        (
            "[[run]]\npoints = [[0,0],[9000,0],[9000,5000],[0,5000],[0,60]]\n",
            "stand in its own way",
        ),
        ("[[run]]\npoints = [[0,0],[nan,0]]\n", "run[1].points[2][1]"),
        ("[[run]]\npoints = [[0,0],[inf,0]]\n", "run[1].points[2][1]"),
        ("[[run]]\npoints = [[0,0],[true,0]]\n", "a length is a number"),
        ("[[run]]\npoints = [[0,0],[1e12,0]]\n", "must be 2e+10 or less"),
        (GOOD + "[pales]\nhead='pointed-arch'\nwidth=100\n[posts]\nsection=[400,400]\n", "a hole"),
        (GOOD + "[pales.head]\nshape='clipped'\nacross=50\ndown=20\n", "leave no flat"),
        (GOOD + "[pales.head]\nshape='segmental'\nrise=50\n", "less than half the width"),
        (GOOD + "[pales.head]\nshape='pointed-arch'\nrise=50\n", "more than half the width"),
        (GOOD + "[pales.head]\nshape='ogee'\nrise=40\n", "at least half the width"),
        (GOOD + "[pales.head]\nshape='pointed'\ntip=100\n", "does not fit"),
        (GOOD + "[pales.head]\nshape='free'\npoints=[[0,0],[50,20]]\n", "x = the width"),
        (
            GOOD + "[pales.head]\nshape='free'\npoints=[[0,0],[80,50],[20,50],[90,10],[100,0]]\n",
            "crosses itself",
        ),
        (GOOD + "[pales]\nlength=40\nhead='round'\n", "only 40 mm long"),
        (GOOD + "[rails]\ntops=[300, 320]\n", "would overlap"),
        (GOOD + "[rails]\ntops=[40, 800]\n", "stand in the ground"),
        (GOOD + "[rails]\ntops=[240, 800]\ncount=3\n", "2 heights for 3 rails"),
        (GOOD + "[pales]\ngap=60\ngap_max=50\n", "less than the wanted gap"),
        (GOOD + "[footings]\nsize=90\n", "does not take a post"),
        (GOOD + "[[run.gate]]\nat = 8900\n", "too near to the end of the run"),
        (GOOD + "[[run.gate]]\nat = 99000\n", "only 9000 mm long"),
        (GOOD + "[[run.gate]]\nat = 3000\n[[run.gate]]\nat = 3500\n", "another gate"),
        (GOOD + "[[run.gate]]\nat = 3000\nopening = 20\n", "more than the clearances"),
        (GOOD + "[[run.gate]]\nat = 3000\n[gates]\nground_clearance=950\n", "leaf's pales"),
        (GOOD + "[rails]\nform='arris'\n[posts]\ntop='cap'\nabove_rail=1\n", "meet the pales"),
        (GOOD + "[pales]\nwidth=0.02\ngap=0.01\nhead='square'\n", "at most 200000"),
        ("a = 1\n" * 3, "f.toml:2: is not TOML: neither a heading in [ ] nor a key"),
    ],
)
def test_bad_specs_get_a_clear_message(text: str, said: str) -> None:
    found = "\n".join(problems(text))
    assert said in found, found
    assert "Traceback" not in found


def test_mistakes_of_one_key_do_not_hide_those_between_keys() -> None:
    text = GOOD + "colour = 'green'\n[[run.gate]]\nat = 99000\n[rails]\ntops = [300, 320]\n"
    text += "[pales]\nhead = 'square'\ngap = '6 cubits'\n"
    found = "\n".join(problems(text))
    assert "run[1].colour: unknown key" in found
    assert "gate[1].at: the run is only 9000 mm long" in found
    assert "pales.gap: 'cubits' is not a unit of length; allowed: mm, cm, m, in, ft" in found
    assert "rails.tops: rails 75 mm high would overlap" in found


def test_a_run_takes_over_what_it_does_not_change() -> None:
    job = parse_job(
        GOOD
        + "[run.pales]\nlength = 1200\n\n[run.posts.gate]\nembedment = 900\n\n"
        + "[pales]\nwidth = 70\nlength = 800\n\n[posts.gate]\nsection = [150, 150]\n"
    )
    run = job.runs[0]
    assert (run.pales.widest, run.pales.longest) == (70.0, 1200.0)
    assert (run.posts.gate.width, run.posts.gate.embedment) == (150.0, 900.0)


def test_a_mistake_taken_over_by_a_run_is_said_where_it_stands() -> None:
    text = GOOD + "[run.pales]\nlength = 1200\n\n[pales]\nwidth = 60\n"
    text += "head = { shape = 'clipped', across = 30, down = 9 }\n"
    found = problems(text)
    assert found[0].startswith("f.toml:8: pales.head: cannot be cut")


def test_windows_line_ends_and_byte_order_mark(tmp_path: Path) -> None:
    path = tmp_path / "a.toml"
    path.write_bytes(b"\xef\xbb\xbf" + GOOD.replace("\n", "\r\n").encode() + b"gate = 1\r\n")
    with pytest.raises(SpecError, match=r"a\.toml:3: run\[1\]\.gate"):
        read_job(path)


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"a = \xff\n", "not UTF-8"),
        (b"#" * 5_000_000, "the most that is read"),
        (None, "cannot be read"),
    ],
)
def test_files_that_are_no_spec(tmp_path: Path, data: bytes | None, said: str) -> None:
    path = tmp_path / "a.toml"
    if data is not None:
        path.write_bytes(data)
    with pytest.raises(SpecError, match=said):
        read_job(path)


def test_the_schema_is_a_schema_and_fits_the_examples() -> None:
    schema = spec_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    validator = jsonschema.Draft202012Validator(schema)
    for path in [*EXAMPLES, ROOT / "cli" / "starter.toml"]:
        validator.validate(json.loads(json.dumps(tomllib.loads(path.read_text("utf-8")))))
    bad = {"run": [{"points": [[0, 0], [1, 1]], "fornt": "left"}]}
    assert [error.validator for error in validator.iter_errors(bad)] == ["additionalProperties"]
    head = {"run": [{"points": [[0, 0], [1, 1]]}], "pales": {"head": "dome"}}
    assert not validator.is_valid(head)


def test_runs_and_gates_go_by_their_names() -> None:
    run = "[[run]]\n{}points = [[0, {y}], [9000, {y}]]\n[[run.gate]]\n{}at = 3000\n"
    text = run.format('name = "lane"\n', 'name = "garden gate"\n', y=0)
    text += run.format("", "", y=5000) + run.format('name = "back"\n', "", y=20000)
    text += run.format('name = "back"\n', "", y=30000)
    fence = make_fence(parse_job(text + "[limits]\naccess = 1200\n"))
    assert [run.called for run in fence.job.runs] == ["lane", "run B", "back C", "back D"]
    told = [f.where for f in check(fence) if f.code == "ACCESS-NARROW"]
    assert told == [
        "lane, garden gate", "run B, gate 1", "back C, gate 1", "back D, gate 1",
    ]  # fmt: skip
