"""The guide: every code block runs, its tables are the program's, the site builds clean."""

from __future__ import annotations

import csv
import importlib.util
import re
import shlex
import subprocess
import sys
from pathlib import Path
from types import ModuleType

import pytest
from click.testing import CliRunner
from PIL import Image

from helpers import ROOT, filled_in

sys.path.append(str(ROOT / "benchmarks"))
from first_hour import ANSWERS, MADE

from palewright.cli.main import main
from palewright.model.basis.finding_register import REGISTER
from palewright.model.basis.findings import Severity
from palewright.model.checks.building_checks import check
from palewright.model.order.joints import make_fence
from palewright.model.rules.rule_sets import BUILT_IN, built_in
from palewright.reading import parse_job

DOCS = ROOT / "docs"
BLOCK = re.compile(r"^```(\w+)(?: title=\"([^\"]+)\")?\n(.*?)^```$", re.MULTILINE | re.DOTALL)


def shown(text: str) -> list[tuple[str, str]]:
    """Return the commands of a console block, each with what it is said to print."""
    parts = re.split(r"^\$ (.+)\n", text, flags=re.MULTILINE)[1:]
    return list(zip(parts[::2], parts[1::2], strict=True))


def assert_printed(said: str, printed: str) -> None:
    """Hold what is printed against what a page says; dots stand for anything, or for nothing."""
    wanted = ".*".join(re.escape(part) for part in said.rstrip("\n").split("..."))
    # lines of dots alone may stand for no line
    wanted = wanted.replace("\\\n.*\\\n", "\n(?:.*\n)?")
    assert re.fullmatch(wanted, printed.rstrip("\n"), re.DOTALL), printed


def blocks(page: str) -> list[tuple[str, str, str]]:
    """Return language, title and text of a page's code blocks."""
    return BLOCK.findall((DOCS / page).read_text("utf-8"))


@pytest.fixture(scope="module")
def build() -> ModuleType:
    spec = importlib.util.spec_from_file_location("docs_build", DOCS / "build.py")
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.mark.slow
def test_the_tutorial_runs_from_survey_to_site(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    ran = 0
    for language, title, text in blocks("tutorial.md"):
        if title:
            (tmp_path / title).write_text(text, "utf-8")
            continue
        assert language == "console"
        for line, said in shown(text):
            program, *arguments = shlex.split(line)
            assert program == "palewright"
            done = CliRunner().invoke(main, arguments)
            assert done.exit_code == 0, (line, done.output)
            assert_printed(said, done.output)
            assert "warn:" not in done.output
            if arguments[0] == "prices":  # what the reader is told to fill in
                rows = list(csv.reader((tmp_path / "prices.csv").open(newline="")))
                with (tmp_path / "prices.csv").open("w", newline="") as file:
                    csv.writer(file).writerows(filled_in(rows))
            ran += 1
    assert ran == 11
    for name in ("plum.png", "plum.html", "prices.csv", "quote/plum-quote.pdf",
                 "papers/plum-site.pdf", "out/plum-posts.csv"):  # fmt: skip
        assert (tmp_path / name).stat().st_size > 100


@pytest.mark.slow
def test_the_readmes_first_fence_prints_what_it_says(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The whole, installing too, in an empty root: benchmarks/first_hour.py."""
    monkeypatch.chdir(tmp_path)
    text = (ROOT / "README.md").read_text("utf-8").split("## Your first fence\n")[1]
    commands = shown(BLOCK.search(text)[3])
    assert len(commands) == 5
    for line, said in commands:
        answers = ANSWERS if "--ask" in line else None
        done = CliRunner().invoke(main, shlex.split(line)[1:], input=answers)
        assert done.exit_code == 0, (line, done.output)
        assert_printed(said, done.output)
    for name in MADE:
        assert (tmp_path / name).stat().st_size > 100


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_names_complete_themselves_as_the_page_says(shell: str) -> None:
    assert f"_PALEWRIGHT_COMPLETE={shell}_source palewright" in (DOCS / "install.md").read_text()
    done = CliRunner().invoke(
        main, prog_name="palewright", env={"_PALEWRIGHT_COMPLETE": f"{shell}_source"}
    )
    assert f"_PALEWRIGHT_COMPLETE={shell}_complete" in done.output


def test_every_how_to_builds(tmp_path: Path) -> None:
    count = 0
    for language, title, text in blocks("howto.md"):
        assert language == "toml" or title
        if title:
            (tmp_path / title).write_text(text, "utf-8")
        else:
            assert make_fence(parse_job(text, folder=tmp_path)).members
            count += 1
    assert count == 18


def test_every_way_of_building_builds_and_has_its_picture() -> None:
    page = blocks("ways.md")
    for language, title, text in page:
        assert language == "toml"
        assert make_fence(parse_job(text)).members
        if title:
            with Image.open(DOCS / "pictures" / f"{Path(title).stem}.png") as image:
                assert image.size == (1200, 500)
    assert page


def test_twelve_habits_take_thirty_lines_each_and_pass() -> None:
    page = blocks("habits.md")
    assert len(page) == 12
    for language, title, text in page:
        assert language == "toml"
        assert len(text.splitlines()) <= 30
        found = check(make_fence(parse_job(text)))
        assert not [finding.code for finding in found if finding.severity is Severity.STOP]
        with Image.open(DOCS / "pictures" / f"{Path(title).stem}.png") as image:
            assert image.size == (1200, 500)


def test_the_how_tos_do_what_they_say(tmp_path: Path) -> None:
    specs = {text for _, title, text in blocks("howto.md") if not title}
    children = next(text for text in specs if "children" in text)
    codes = {finding.code for finding in check(make_fence(parse_job(children)))}
    assert "GUARD-CLIMB" in codes
    assert "GUARD-GAP" not in codes
    for _, title, text in blocks("howto.md"):
        if title == "field.csv":
            (tmp_path / title).write_text(text, "utf-8")
    field = next(text for text in specs if "field.csv" in text)
    job = parse_job(field, folder=tmp_path)
    assert job.runs[0].ground.said.endswith("with 2 breaklines")
    assert job.runs[0].ground.outside == ()


def test_the_reference_is_the_schemas(build: ModuleType) -> None:
    made = build.reference()
    assert (DOCS / "reference.md").read_text("utf-8") == made, "run python docs/build.py"
    for key in ("curve_offset", "joints", "terrain", "cohesion", "kerf", "clearance"):
        assert f"| `{key}` |" in made


def test_the_page_of_findings_is_the_registers(build: ModuleType) -> None:
    page = build.findings()
    assert (DOCS / "findings.md").read_text("utf-8") == page, "run python docs/build.py"
    kinds = [kind for group in REGISTER.values() for kind in group]
    assert re.findall(r"^### ([A-Z-]+)$", page, re.MULTILINE) == [kind.code for kind in kinds]
    for kind in kinds:
        for words in (kind.means, kind.matters, kind.helps):
            assert words in page
    for name in BUILT_IN:
        for rule in built_in(name).rule:
            assert f"| `{rule.code}` | " in page
            assert rule.text in page


@pytest.mark.slow
def test_the_site_builds_without_a_warning(tmp_path: Path) -> None:
    site = tmp_path / "site"
    command = [sys.executable, "-m", "mkdocs", "build", "--strict", "--site-dir", str(site)]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    assert "WARNING" not in done.stderr
    for page in ("index.html", "tutorial/index.html", "reference/index.html", "howto/index.html",
                 "python/index.html", "findings/index.html"):  # fmt: skip
        text = (site / page).read_text("utf-8")
        assert "<h1" in text
        # nothing is fetched from elsewhere
        assert not re.search(r'(?:src|href)="https?://(?!www\.mkdocs\.org)', text)


@pytest.mark.parametrize("name", ["tutorial.png", "tutorial-workshop.png", "proposal.png"])
def test_pictures_are_there(name: str) -> None:
    with Image.open(DOCS / "pictures" / name) as image:
        assert image.width >= 1000
