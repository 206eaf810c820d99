"""What a person gets from the commands: files, messages, exit codes."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner, Result

from helpers import EXAMPLES, ROOT
from palewright.cli import readiness
from palewright.cli.help_pages import Told
from palewright.cli.main import main
from palewright.export.outputs.files import write_files
from palewright.export.outputs.making import RECORD
from palewright.export.outputs.registry import OUTPUTS
from palewright.model.basis.errors import OutputError

WRITING = ("build", "picture", "sheets", "template", "prices")
COTTAGE = str(ROOT / "examples" / "cottage.toml")
SUFFIXES = ["-bays.csv", "-boards.csv", "-concrete.csv", "-cutting.csv", "-fixings.csv",
            "-members.csv", "-order.csv", "-plans.csv", "-posts.csv", "-setting-out.dxf",
            "-takeoff.json", ".3mf", ".ctb", ".dxf", ".glb", ".mtl", ".obj", ".pdf", ".step",
            ".stl", ".xlsx"]  # fmt: skip


def run(*arguments: str) -> Result:
    return CliRunner().invoke(main, list(arguments))


def test_build_writes_every_output(tmp_path: Path) -> None:
    out = tmp_path / "a folder" / "out"
    result = run("build", COTTAGE, "-o", str(out))
    assert result.exit_code == 0, result.output
    assert (out / RECORD).exists()
    (out / RECORD).unlink()
    assert sorted(path.name for path in out.iterdir()) == [f"cottage{s}" for s in SUFFIXES]
    assert "117 pales" in result.stdout
    for path in out.iterdir():
        assert path.name in result.stdout
        assert path.stat().st_size > 50


@pytest.mark.parametrize("settings", [
    {"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"},
    {"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0", "PYTHONIOENCODING": "utf-8"},
    {"PYTHONIOENCODING": "cp1252"},
])  # fmt: skip
def test_letters_that_a_terminal_does_not_know(tmp_path: Path, settings: dict[str, str]) -> None:
    spec = tmp_path / "sp é 🌳.toml"
    text = '[project]\nname = "gärden 🌳"\n[[run]]\npoints = [[0, 0], [9000, 0]]\n'
    spec.write_text(text, encoding="utf-8")
    environment = {**os.environ, **settings}
    out = str(tmp_path / "ö 'ut'")
    for command, code in (("build", 0), ("survey", 2)):
        extra = ["-o", out, "--only", "csv"] if command == "build" else []
        found = subprocess.run(
            [sys.executable, "-m", "palewright.cli", command, str(spec), *extra],
            capture_output=True, env=environment, check=False,
        )  # fmt: skip
        assert (found.returncode, b"Traceback" in found.stderr) == (code, False), found.stderr
    assert (tmp_path / "ö 'ut'" / "sp é 🌳-members.csv").exists()


def test_only_some_outputs(tmp_path: Path) -> None:
    result = run("build", COTTAGE, "-o", str(tmp_path), "--only", "csv, sheets", "-q")
    assert result.exit_code == 0
    assert result.output == ""
    suffixes = {path.suffix for path in tmp_path.iterdir() if path.name != RECORD}
    assert suffixes == {".csv", ".ctb", ".dxf", ".pdf"}
    result = run("build", COTTAGE, "-o", str(tmp_path), "--only", "stl,docx")
    assert result.exit_code == 2
    assert "no output 'docx'" in result.output
    for output in OUTPUTS:
        assert f"{output.name}: {output.help}" in result.output


@pytest.mark.parametrize("command", ["check", "build", "list", "picture", "sheets", "template"])
def test_a_bad_spec_ends_with_2_and_writes_nothing(tmp_path: Path, command: str) -> None:
    spec = tmp_path / "bad.toml"
    spec.write_text("[[run]]\npoints = [[0, 0], [9000, 0]]\n\n[pales]\nwidht = 3\n")
    out = tmp_path / "out.png" if command == "picture" else tmp_path / "out"
    extra = ["-o", str(out)] if command in WRITING else []
    result = run(command, str(spec), *extra)
    assert result.exit_code == 2
    assert f"{spec}:5: pales.widht: unknown key; did you mean 'width'?" in result.stderr
    assert "Traceback" not in result.output
    assert not out.exists()


def test_survey_shows_what_a_file_holds_and_draws_it(tmp_path: Path) -> None:
    survey = str(ROOT / "examples" / "orchard-survey.csv")
    plan = tmp_path / "plan.svg"
    result = run("survey", survey, "--line", "FL", "-o", str(plan))
    assert result.exit_code == 0, result.output
    assert "taken: FL" in result.stdout
    assert plan.read_bytes().startswith(b"<?xml")
    unsure = run("survey", survey)
    assert unsure.exit_code == 0
    assert "nothing would be taken:" in unsure.stdout
    assert "say which by its name: FL, GL, TREE" in unsure.stdout


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["none.csv"], "No such file"),
        (["a.pdf"], "a.pdf: cannot be read: No such file"),
        (["--line", "FX", str(ROOT / "examples" / "orchard-survey.csv")], "has no line 'FX'"),
        (["-o", "x.gif", "none.csv"], "must end in .png, .svg or .pdf"),
        (["--tolerance", "0", "none.csv"], "not a length over 0"),
    ],
)
def test_a_survey_that_cannot_be_used_gets_one_message(arguments: list[str], said: str) -> None:
    result = run("survey", *arguments)
    assert result.exit_code == 2
    assert said in result.stderr
    assert "Traceback" not in result.output


def test_faults_end_with_1_and_keep_the_old_files(tmp_path: Path) -> None:
    spec = tmp_path / "low.toml"
    spec.write_text("[[run]]\npoints = [[0, 0], [9000, 0]]\n[pales]\nclearance = -20\n")
    out = tmp_path / "out"
    write_files(out, {"low.step": b"old"})
    result = run("build", str(spec), "-o", str(out))
    assert result.exit_code == 1
    assert "stop: run A: the pales would stand in the ground" in result.stderr
    assert [path.name for path in out.iterdir()] == ["low.step"]
    assert (out / "low.step").read_bytes() == b"old"
    result = run("check", str(spec))
    assert result.exit_code == 1
    assert "PALE-IN-GROUND" in result.stdout


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_check_speaks_plainly(path: Path) -> None:
    result = run("check", str(path))
    assert result.exit_code == 0
    assert "buried pipes" in result.stdout
    assert "compliant" not in result.stdout


def test_check_and_the_model_load_no_kernel() -> None:
    code = (
        "import sys, palewright.model\n"
        "from click.testing import CliRunner\n"
        "from palewright.cli.main import main\n"
        f"result = CliRunner().invoke(main, ['check', {COTTAGE!r}])\n"
        "assert result.exit_code == 0, result.output\n"
        f"result = CliRunner().invoke(main, ['list', {COTTAGE!r}])\n"
        "assert result.exit_code == 0, result.output\n"
        "heavy = {'cadquery', 'OCP', 'vtkmodules', 'trimesh', 'ezdxf'} & set(sys.modules)\n"
        "assert not heavy, heavy\n"
    )
    subprocess.run([sys.executable, "-c", code], check=True)


def test_drawings_and_lists_load_no_kernel(tmp_path: Path) -> None:
    code = (
        "import sys\n"
        "from click.testing import CliRunner\n"
        "from palewright.cli.main import main\n"
        f"arguments = ['build', {COTTAGE!r}, '-o', {str(tmp_path)!r}, '--only', 'sheets,csv']\n"
        "result = CliRunner().invoke(main, arguments)\n"
        "assert result.exit_code == 0, result.output\n"
        "assert not {'cadquery', 'OCP'} & set(sys.modules)\n"
    )
    subprocess.run([sys.executable, "-c", code], check=True)


def test_help_loads_nothing_heavy() -> None:
    code = (
        "import sys\n"
        "from click.testing import CliRunner\n"
        "from palewright.cli.main import main\n"
        "assert CliRunner().invoke(main, ['--help']).exit_code == 0\n"
        "assert not {'pydantic', 'numpy', 'shapely', 'cadquery'} & set(sys.modules)\n"
    )
    subprocess.run([sys.executable, "-c", code], check=True)


def test_new_writes_a_spec_that_builds_as_it_stands(tmp_path: Path) -> None:
    spec = tmp_path / "mine.toml"
    assert run("new", str(spec)).exit_code == 0
    result = run("check", str(spec))
    assert result.exit_code == 0
    assert "warn" not in result.stdout
    assert run("build", str(spec), "-o", str(tmp_path / "out"), "--only", "step").exit_code == 0
    spec.write_text("mine")
    result = run("new", str(spec))
    assert result.exit_code == 2
    assert "is there already" in result.stderr
    assert spec.read_text() == "mine"
    assert run("new", str(spec), "--force").exit_code == 0
    assert run("new").stdout == spec.read_text("utf-8")


@pytest.mark.parametrize("purpose", ["build", "planning"])
def test_sheets(tmp_path: Path, purpose: str) -> None:
    result = run("sheets", COTTAGE, "-o", str(tmp_path), "--for", purpose)
    assert result.exit_code == 0, result.output
    names = sorted(path.name for path in tmp_path.iterdir())
    assert f"cottage-{purpose}.pdf" in names
    assert f"cottage-{purpose}.dxf" in names
    assert f"cottage-{purpose}-01.svg" in names
    result = run("sheets", COTTAGE, "-o", str(tmp_path), "--formats", "dwg")
    assert result.exit_code == 2
    assert "no format 'dwg'; there are: pdf, dxf, svg, dxf-flat" in result.output


@pytest.mark.slow
def test_the_customers_sheets_have_a_picture(tmp_path: Path) -> None:
    arguments = ["--for", "customer", "--formats", "pdf"]
    result = run("sheets", COTTAGE, "-o", str(tmp_path), *arguments)
    assert result.exit_code == 0, result.output
    assert (tmp_path / "cottage-customer.pdf").stat().st_size > 100_000


def test_template(tmp_path: Path) -> None:
    result = run("template", COTTAGE, "-o", str(tmp_path), "--paper", "A3", "--offset", "1/16 in")
    assert result.exit_code == 0, result.output
    assert sorted(path.name for path in tmp_path.iterdir()) == [
        "cottage-head-A.dxf", "cottage-head-A.pdf",
    ]  # fmt: skip
    assert run("template", COTTAGE, "-o", str(tmp_path), "--offset", "wide").exit_code == 2
    result = run("template", COTTAGE, "-o", str(tmp_path), "--offset", "-1 m")
    assert result.exit_code == 2
    assert "leaves nothing to cut" in result.stderr


def test_schema_is_json() -> None:
    assert json.loads(run("schema").stdout)["title"] == "palewright spec"


def test_list_prints_the_tables() -> None:
    result = run("list", COTTAGE)
    for word in ("members", "posts", "bays", "concrete", "PA1", "A01", "corner"):
        assert word in result.stdout
    assert "A01" not in run("list", COTTAGE, "--table", "members").stdout


def test_a_folder_that_cannot_be_written_is_said(tmp_path: Path) -> None:
    (tmp_path / "out").write_text("a file")
    result = run("build", COTTAGE, "-o", str(tmp_path / "out" / "x"), "--only", "csv")
    assert result.exit_code == 2
    assert "cannot be written" in result.stderr


def test_files_are_all_written_or_none(tmp_path: Path) -> None:
    write_files(tmp_path, {"a": b"old", "b": b"old"})
    (tmp_path / "c").mkdir()
    with pytest.raises(OutputError, match="cannot be written"):
        write_files(tmp_path, {"c/d/e": b"new", "a": b"new"})
    assert (tmp_path / "a").read_bytes() == b"old"
    assert sorted(path.name for path in tmp_path.iterdir()) == ["a", "b", "c"]


@pytest.mark.slow
def test_the_picture_shows_a_fence_on_grass(tmp_path: Path) -> None:
    from PIL import Image

    out = tmp_path / "cottage.png"
    result = run("picture", COTTAGE, "-o", str(out), "--width", "480", "--height", "240")
    assert result.exit_code == 0, result.output
    with Image.open(out) as image:
        assert image.size == (480, 240)
        colours = image.convert("RGB").getcolors(480 * 240)
    assert colours is not None
    green = sum(count for count, (r, g, b) in colours if g > r + 15 and g > b + 30)
    blue = sum(count for count, (r, g, b) in colours if b > r + 20 and b > g)
    wood = sum(count for count, (r, g, b) in colours if r > g > b + 25 and r > 90)
    assert green > 0.4 * 480 * 240
    assert blue > 0.05 * 480 * 240
    assert wood > 0.03 * 480 * 240


def test_there_is_no_template_for_pales_cut_along_the_curve(tmp_path: Path) -> None:
    spec = tmp_path / "dip.toml"
    spec.write_text(
        "[[run]]\npoints = [[0, 0], [5400, 0]]\n[top_line]\nshape = 'dip'\nheads = 'curve'\n"
    )
    result = run("template", str(spec), "-o", str(tmp_path / "out"))
    assert result.exit_code == 2
    assert "there is no head to draw" in result.stderr
    assert not (tmp_path / "out").exists()


def test_a_page_of_alternatives_is_written(tmp_path: Path) -> None:
    out = tmp_path / "both.html"
    terrace = str(ROOT / "examples" / "terrace.toml")
    result = run("page", COTTAGE, terrace, "-o", str(out), "--no-pictures")
    assert result.exit_code == 0, result.output
    text = out.read_text("utf-8")
    assert '"name":"Pointed, as drawn"' in text  # its option
    assert '"name":"terrace"' in text
    low = tmp_path / "low.toml"
    low.write_text("[[run]]\npoints = [[0, 0], [9000, 0]]\n[pales]\nclearance = -20\n")
    stopped = run("page", COTTAGE, str(low), "-o", str(tmp_path / "no.html"))
    assert stopped.exit_code == 1
    assert not (tmp_path / "no.html").exists()


def test_watch_ends_with_the_faults_it_starts_with(tmp_path: Path) -> None:
    spec = tmp_path / "bad.toml"
    spec.write_text("[[run]]\npints = [[0, 0], [9000, 0]]\n")
    result = run("watch", str(spec))
    assert result.exit_code == 2
    assert f"{spec}:2: run[1].pints: unknown key; did you mean 'points'?" in result.stderr


@pytest.mark.slow
@pytest.mark.parametrize("view", ["back", "corner", "gate", "eye-level"])
def test_pictures_of_other_views(view: str, tmp_path: Path) -> None:
    from PIL import Image

    out = tmp_path / "p.png"
    result = run("picture", COTTAGE, "-o", str(out), "--view", view, "--width", "320",
                 "--height", "200")  # fmt: skip
    assert result.exit_code == 0, result.output
    with Image.open(out) as image:
        assert image.size == (320, 200)
        red, green, blue = np.asarray(image.convert("RGB")).astype(int).transpose(2, 0, 1)
    timber = (red > green) & (green > blue + 20)
    assert timber.mean() > 0.03


def test_a_view_of_what_is_not_there_is_refused(tmp_path: Path) -> None:
    spec = tmp_path / "plain.toml"
    spec.write_text("[[run]]\npoints = [[0, 0], [5400, 0]]\n")
    for view in ("gate", "corner"):
        result = run("picture", str(spec), "-o", str(tmp_path / "p.png"), "--view", view)
        assert result.exit_code == 2
        assert f"there is no {view} in this fence" in result.stderr


@pytest.mark.parametrize(
    ("settings", "shown"),
    [({}, True), ({"NO_COLOR": "1"}, False), ({"TERM": "dumb"}, False)],
)
def test_colour_is_for_terminals_that_want_it(
    tmp_path: Path, settings: dict[str, str], shown: bool
) -> None:
    """NO_COLOR as no-color.org asks; a pipe gets none, whatever is set."""
    spec = tmp_path / "a.toml"
    spec.write_text("[[run]]\npoints = [[0, 0], [9000, 0]]\n[pales]\nclearance = -20\n")
    command = [sys.executable, "-m", "palewright.cli", "check", str(spec)]
    environment = {"PATH": os.environ["PATH"], "TERM": "xterm", **settings}
    main_end, end = os.openpty()
    subprocess.run(command, stdout=end, stderr=end, env=environment, check=False)
    os.close(end)
    said = b""
    while chunk := _read(main_end):
        said += chunk
    os.close(main_end)
    assert b"PALE-IN-GROUND" in said
    assert (b"\x1b[" in said) == shown
    piped = subprocess.run(command, capture_output=True, env=environment, check=False)
    assert b"\x1b[" not in piped.stdout + piped.stderr


def _read(terminal: int) -> bytes:
    try:
        return os.read(terminal, 65536)
    except OSError:  # the other end is closed
        return b""


def test_help_names_what_there_is_and_cuts_no_sentence() -> None:
    text = run("--help").output
    assert text.count("...") == 1  # COMMAND [ARGS]...
    flat = " ".join(text.split())
    for name, command in main.commands.items():
        assert isinstance(command, Told)
        assert command.examples, name
        first = " ".join((command.help or "").split("\n\n")[0].split())
        assert first.endswith(".")
        assert first in flat, name
        told = run(name, "--help").output
        assert all(example in told for example in command.examples), name
        assert all(example.startswith(f"palewright {name} ") or example == f"palewright {name}"
                   for example in command.examples)  # fmt: skip
    assert "130, 143" in text
    outputs = " ".join(run("build", "--help").output.split())
    assert all(f"{output.name} {output.help}" in outputs for output in OUTPUTS)
    for name in ("members", "boards", "plans"):
        assert name in run("list", "--help").output


def test_ready_says_what_is_there(monkeypatch: pytest.MonkeyPatch) -> None:
    result = run("ready")
    assert result.exit_code == 0, result.output
    assert "yes  CAD kernel, for solids, STEP and meshes: cadquery 2." in result.output
    assert "yes  pictures: one of " in result.output
    assert "All that is needed is here." in result.output
    monkeypatch.setitem(sys.modules, "cadquery", None)
    monkeypatch.setitem(sys.modules, "pyproj", None)
    monkeypatch.setattr(readiness, "OLDEST", (9, 9))
    result = run("ready")
    assert result.exit_code == 1
    assert " NO  Python: " in result.output
    assert "Something that is needed is missing." in result.output
