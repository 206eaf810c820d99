"""The project itself: packages, style, types, readme."""

from __future__ import annotations

import re
import subprocess
import sys
import tomllib
import zipfile
from pathlib import Path

import pytest

from helpers import ROOT

ROOMS = ("model", "export", "cli")


def folders() -> set[str]:
    found = set()
    for room in ROOMS:
        for path in (ROOT / room).rglob("*.py"):
            found.add("palewright." + ".".join(path.parent.relative_to(ROOT).parts))
    return found


def test_every_folder_is_packaged_and_typed() -> None:
    setup = tomllib.loads((ROOT / "pyproject.toml").read_text())["tool"]["setuptools"]
    assert set(setup["packages"]) == folders()
    for room in ROOMS:
        assert (ROOT / room / "py.typed").exists()


@pytest.mark.parametrize("room", [*ROOMS, "tests", "benchmarks"])
def test_nothing_imports_the_rooms_bare_or_backwards(room: str) -> None:
    banned = {"model": ("export", "cli"), "export": ("cli",)}.get(room, ())
    for path in (ROOT / room).rglob("*.py"):
        text = path.read_text("utf-8")
        assert not re.search(r"^\s*(from|import) (model|export|cli)\b", text, re.M), path
        for other in banned:
            assert f"palewright.{other}" not in text, path


@pytest.mark.parametrize("room", ["model", "export", "cli"])
def test_only_the_kernels_rooms_import_it(room: str) -> None:
    allowed = {"model/solids.py", "export/step.py", "export/built.py"}
    for path in (ROOT / room).rglob("*.py"):
        if re.search(r"^\s*(from|import) (cadquery|OCP)\b", path.read_text("utf-8"), re.M):
            assert str(path.relative_to(ROOT)) in allowed


def test_modules_stay_small() -> None:
    for room in ROOMS:
        for path in (ROOT / room).rglob("*.py"):
            assert len(path.read_text("utf-8").splitlines()) <= 600, path


@pytest.mark.parametrize(
    "command",
    [
        ["ruff", "check", "."],
        ["ruff", "format", "--check", "."],
        ["mypy", "-p", "palewright.model", "-p", "palewright.export", "-p", "palewright.cli"],
    ],
    ids=["lint", "format", "types"],
)
def test_lint_and_types(command: list[str]) -> None:
    done = subprocess.run(
        [sys.executable, "-m", *command], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr


@pytest.mark.slow
def test_the_wheel_holds_what_it_needs_and_runs(wheel: Path, tmp_path: Path) -> None:
    """Built, unpacked and run on its own: no file of the checkout is used."""
    with zipfile.ZipFile(wheel) as archive:
        names = archive.namelist()
        archive.extractall(tmp_path / "site")
    for name in (
        "palewright/model/py.typed",
        "palewright/export/py.typed",
        "palewright/cli/py.typed",
        "palewright/cli/starter.toml",
        "palewright/export/drawing/fonts/LiberationSans-Regular.ttf",
        "palewright/export/page/bundle.js",
        "palewright/export/page/page.html",
        "palewright/export/page/page.css",
        "palewright/export/page/LICENSE-three.txt",
    ):
        assert name in names
    assert not [name for name in names if name.startswith(("model/", "export/", "cli/"))]
    out = tmp_path / "out"
    example = str(ROOT / "examples" / "terrace.toml")
    code = (
        f"import sys; sys.path.insert(0, {str(tmp_path / 'site')!r})\n"
        "import palewright.model as m\n"
        f"assert m.__file__.startswith({str(tmp_path)!r}), m.__file__\n"
        "from palewright.cli.main import main\n"
        f"main(['build', {example!r}, '-o', {str(out)!r}, '--only', 'step,sheets,csv'])\n"
    )
    subprocess.run([sys.executable, "-I", "-c", code], check=True, cwd=tmp_path)
    assert (out / "terrace.step").exists()


def test_the_readme_is_true() -> None:
    text = (ROOT / "README.md").read_text("utf-8")
    for link in re.findall(r"\]\(([^)#]+)\)", text):
        if not link.startswith("http"):
            assert (ROOT / link).exists(), link
    for command in re.findall(r"^\$ (.+)$", text, re.M):
        if command.startswith("sh "):
            assert (ROOT / command.split()[1]).exists()
    commands = set(
        re.findall(
            r"palewright (build|check|list|page|picture|new|schema|sheets|survey|template|watch)\b",
            text,
        )
    )
    assert commands == {
        "build",
        "check",
        "list",
        "picture",
        "new",
        "page",
        "schema",
        "sheets",
        "survey",
        "template",
        "watch",
    }
