"""A first spec from options and from answers: what was said, and nothing else."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path

import jsonschema
import pytest
from click.testing import CliRunner, Result

from palewright.cli.main import main
from palewright.model.spec.first_words import HEADS
from palewright.model.spec.schema import spec_schema
from palewright.reading import read_job

SCHEMA = "palewright-schema.json"


def new(*arguments: str, answers: str | None = None) -> Result:
    return CliRunner().invoke(main, ["new", *arguments], input=answers)


def test_options_become_a_spec_of_what_they_say(tmp_path: Path) -> None:
    spec = tmp_path / "garden.toml"
    result = new(
        str(spec), "--name", 'Elm "Row"', "--leg", "9 m", "--leg", "5.25 m left", "--leg",
        "4m right 45", "--height", "1 m", "--head", "round", "--gate", "3.5 m wide 900 mm",
        "--gate", "12 m", "--ground", "slope", "--fall", "300 mm",
        "--walls", "end",
    )  # fmt: skip
    assert result.exit_code == 0, result.output
    assert result.output == f"{spec} written; next: palewright check {spec}\n"
    text = spec.read_text("utf-8")
    assert text.splitlines()[0] == "#:schema palewright-schema.json"
    assert tomllib.loads(text) == {
        "project": {"name": 'Elm "Row"'},
        "run": [
            {
                "points": [[0, 0], ["9 m", 0], ["9 m", 5250], [11828.4, 8078.4]],
                "ends": "wall",
                "levels": [[0, 0], [18250, -300]],
                "gate": [{"at": "3.5 m", "opening": 900}, {"at": "12 m"}],
            }
        ],
        "pales": {"length": 950, "head": "round"},
        "slopes": {"follow": "rake"},
    }
    # the line by hand: 4 m at 45 degrees is 4 / sqrt 2 = 2.8284 m each way
    jsonschema.validate(tomllib.loads(text), json.loads((tmp_path / SCHEMA).read_text("utf-8")))
    job = read_job(spec)
    assert job.runs[0].line.length == pytest.approx(18250.0, abs=0.1)
    check = CliRunner().invoke(main, ["check", str(spec)])
    assert check.exit_code == 0, check.output


def test_answers_become_the_same_spec_as_options(tmp_path: Path) -> None:
    asked, told = tmp_path / "asked.toml", tmp_path / "told.toml"
    answers = (
        "Elm Row\n9\n30 ft\n12 ft left\n\n3 ft\nround\n\n8.6 m\n1 m\n10 ft\n3 ft\nno\nsteps\n1 ft\n"
    )
    result = new(str(asked), "--ask", answers=answers)
    assert result.exit_code == 0, result.output
    assert '  9 what? say "9 m", mm, ft or in' in result.output
    assert "too near to a corner" in result.output
    options = ["--name", "Elm Row", "--leg", "30 ft", "--leg", "12 ft left", "--height", "3 ft",
               "--head", "round", "--gate", "10 ft wide 3 ft", "--ground", "steps",
               "--fall", "1 ft"]  # fmt: skip
    assert new(str(told), *options).exit_code == 0
    assert asked.read_text("utf-8") == told.read_text("utf-8")
    read = tomllib.loads(asked.read_text("utf-8"))
    assert read["run"][0]["points"] == [[0, 0], ["30 ft", 0], ["30 ft", "12 ft"]]
    assert read["pales"] == {"length": "2 ft 10 in", "clearance": "2 in", "head": "round"}
    assert read["sheets"] == {"units": "ft-in"}
    assert read["slopes"] == {"follow": "step"}
    assert read_job(asked).runs[0].line.length == pytest.approx(42 * 304.8)


def test_enter_takes_what_is_usual(tmp_path: Path) -> None:
    spec = tmp_path / "a.toml"
    result = new(str(spec), "--ask", answers="\n6 m\n\n\n\n\n\n\n")
    assert result.exit_code == 0, result.output
    assert tomllib.loads(spec.read_text("utf-8")) == {
        "run": [{"points": [[0, 0], ["6 m", 0]]}],
        "pales": {"length": 900, "head": "pointed"},
    }


def test_without_a_path_it_is_printed() -> None:
    result = new("--leg", "6 m")
    assert result.exit_code == 0
    assert tomllib.loads(result.output) == {"run": [{"points": [[0, 0], ["6 m", 0]]}]}
    assert "#:schema" not in result.output


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["--height", "1 m"], 'say the line: --leg "9 m" for each straight, or --ask'),
        (["--leg", "9"], '--leg 9: 9 what? say "9 m", mm, ft or in'),
        (["--leg", "nine"], "--leg nine: not a length"),
        (["--leg", "9 yards"], "'yards' is not a unit of length; allowed: mm, cm, m, in, ft"),
        (["--leg", "9 m left"], "the first leg has no turn before it"),
        (["--leg", "-9 m"], "a leg is longer than 0"),
        (["--leg", "9 m", "--leg", "3 m left 175"], "a turn is between 0 and 170 degrees, not 175"),
        (["--leg", "9 m", "--leg", "4 m"], 'does the line turn before it? say "4 m left"'),
        (["--leg", "9 m", "--height", "9 m"], "no height for a fence of pales"),
        (["--leg", "9 m", "--gate", "8.9 m"], "Error: run[1].gate[1].at: the gate's post"),
        (["--leg", "9 m", "--gate", "12 m"], 'a gate at "12 m" is beyond the line, "9 m" long'),
        (["--leg", "9 m", "--fall", "1 m"], "level ground has no fall; say slope or steps"),
        (["--leg", "9 m", "--ground", "slope"], "ground in a slope has a fall; say how much"),
        (["--leg", "9 m", "--height", "1 ft 1/2 cm"], "--height 1 ft 1/2 cm: not a length"),
    ],
)
def test_what_cannot_be_is_said_and_nothing_is_written(
    tmp_path: Path, arguments: list[str], said: str
) -> None:
    spec = tmp_path / "a.toml"
    result = new(str(spec), *arguments)
    assert result.exit_code == 2
    assert said in result.output
    assert not list(tmp_path.iterdir())


def test_nothing_is_replaced_unasked(tmp_path: Path) -> None:
    spec = tmp_path / "a.toml"
    spec.write_text("mine")
    assert new(str(spec), "--leg", "6 m").exit_code == 2
    assert spec.read_text() == "mine"
    assert new(str(spec), "--leg", "6 m", "--force").exit_code == 0


def test_the_heads_that_may_be_said_are_those_of_a_spec_but_the_free_one() -> None:
    named = spec_schema()["$defs"]["Pales"]["properties"]["head"]["anyOf"][-1]["enum"]
    assert sorted(HEADS) == sorted(named)
