"""The project itself: packages, style, types, readme."""

from __future__ import annotations

import email
import os
import re
import shutil
import subprocess
import sys
import tarfile
import zipfile
from pathlib import Path

import pytest

from helpers import ROOT

PYTHONS = ("3.11", "3.12", "3.13")
ROOMS = ("model", "export", "cli", "palewright")


@pytest.mark.parametrize("room", ["model", "export", "cli"])
def test_only_the_kernels_rooms_import_it(room: str) -> None:
    allowed = {
        "model/solids/bodies.py", "export/models/assembly.py", "export/models/product.py",
        "export/models/step_kernel.py", "palewright/door.py",
    }  # fmt: skip
    for path in (ROOT / room).rglob("*.py"):
        if re.search(r"^\s*(from|import) (cadquery|OCP)\b", path.read_text("utf-8"), re.M):
            assert str(path.relative_to(ROOT)) in allowed


def test_modules_stay_small() -> None:
    for room in ROOMS:
        for path in (ROOT / room).rglob("*.py"):
            assert len(path.read_text("utf-8").splitlines()) <= 600, path


@pytest.mark.parametrize("command", [["check"], ["format", "--check"]], ids=["lint", "format"])
def test_style(command: list[str]) -> None:
    run = [sys.executable, "-m", "ruff", *command, "."]
    done = subprocess.run(run, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr


def test_types(tmp_path: Path) -> None:
    """The rooms are where a type checker looks for them: linked together under one name."""
    package = tmp_path / "palewright"
    package.mkdir()
    rooms = [ROOT / "model", ROOT / "export", ROOT / "cli"]
    for path in (*rooms, *(p for p in (ROOT / "palewright").iterdir() if p.is_file())):
        (package / path.name).symlink_to(path)
    done = subprocess.run(
        [sys.executable, "-m", "mypy", "-p", "palewright"],
        cwd=ROOT, env={**os.environ, "MYPYPATH": str(tmp_path)},
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stdout + done.stderr


@pytest.mark.slow
def test_the_archive_is_complete(wheel: Path, tmp_path: Path) -> None:
    """It holds every file that is kept, and makes the same wheel."""
    kept = subprocess.run(
        ["git", "ls-files", "-co", "--exclude-standard"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
    )
    tree = tmp_path / "tree"
    for name in kept.stdout.splitlines():
        if (ROOT / name).is_file():
            (tree / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(ROOT / name, tree / name)
    code = f"import setuptools.build_meta as b; print(b.build_sdist({str(tmp_path)!r}))"
    subprocess.run([sys.executable, "-c", code], cwd=tree, capture_output=True, check=True)
    with tarfile.open(tmp_path / "palewright-0.1.0.tar.gz") as archive:
        archive.extractall(tmp_path / "unpacked", filter="data")
    unpacked = tmp_path / "unpacked" / "palewright-0.1.0"
    there = {path.relative_to(unpacked).as_posix() for path in unpacked.rglob("*")}
    left = {name for name in kept.stdout.splitlines() if name not in there}
    assert left <= {".gitignore", "MANIFEST.in"}, left
    subprocess.run(
        [sys.executable, "-m", "pip", "wheel", "-qq", "--no-deps", "--no-build-isolation", "-w",
         str(tmp_path), str(unpacked)],
        check=True,
    )  # fmt: skip
    with zipfile.ZipFile(wheel) as one, zipfile.ZipFile(tmp_path / wheel.name) as other:
        assert sorted(one.namelist()) == sorted(other.namelist())
        for name in one.namelist():
            assert name.endswith("RECORD") or one.read(name) == other.read(name), name


@pytest.mark.slow
def test_the_wheel_holds_what_it_needs_and_runs(wheel: Path, tmp_path: Path) -> None:
    """Built, unpacked and run on its own: no file of the checkout is used."""
    with zipfile.ZipFile(wheel) as archive:
        names = archive.namelist()
        archive.extractall(tmp_path / "site")
    for name in (
        "palewright/py.typed",
        "palewright/cli/starter.toml",
        "palewright/model/rules/planning-england.toml",
        "palewright/export/drawing/draft/fonts/LiberationSans-Regular.ttf",
        "palewright/export/page/bundle.js",
        "palewright/export/page/page.html",
        "palewright/export/page/page.css",
        "palewright/export/page/LICENSE-three.txt",
    ):
        assert name in names
    assert not [name for name in names if name.startswith(("model/", "export/", "cli/"))]
    packed = {name for name in names if name.endswith(".py")}
    files = {path.relative_to(ROOT) for room in ROOMS for path in (ROOT / room).rglob("*.py")}
    own = (path for path in files if "node_modules" not in path.parts)
    named = (path.as_posix().removeprefix("palewright/") for path in own)
    assert packed == {f"palewright/{name}" for name in named}
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


def test_the_wheel_says_what_it_is(wheel: Path) -> None:
    with zipfile.ZipFile(wheel) as packed:
        name = next(n for n in packed.namelist() if n.endswith(".dist-info/METADATA"))
        told = email.message_from_bytes(packed.read(name))
    assert told["Author"] == "the palewright developers"
    assert told["License-Expression"] == "Apache-2.0"
    assert "timber" in told["Keywords"].split(",")
    classes = told.get_all("Classifier")
    assert len(set(classes)) == len(classes) >= 10
    # classifiers are known by their first words, and name the Pythons that are tested
    roots = {"Development Status", "Environment", "Intended Audience", "Natural Language",
             "Operating System", "Programming Language", "Topic", "Typing"}  # fmt: skip
    assert {one.split(" :: ")[0] for one in classes} == roots
    pythons = {one.rsplit(" :: ", 1)[1] for one in classes if ":: Python :: 3." in one}
    assert pythons == set(PYTHONS)


@pytest.mark.parametrize(
    "name", ["CONTRIBUTING.md", "SECURITY.md", "CHANGELOG.md", "DEVELOPERS.md"]
)
def test_the_papers_name_files_that_are_there(name: str) -> None:
    text = (ROOT / name).read_text("utf-8")
    for target in re.findall(r"\]\(([^)#:]+)\)", text):
        assert (ROOT / target).exists(), target
    for path in re.findall(r"`((?:model|export|cli|tests|docs|benchmarks)/[\w/.]+)`", text):
        assert (ROOT / path).exists(), path


def test_the_readme_is_true() -> None:
    text = (ROOT / "README.md").read_text("utf-8")
    for link in re.findall(r"\]\(([^)#]+)\)", text):
        if not link.startswith("http"):
            assert (ROOT / link).exists(), link
    for command in re.findall(r"^\$ (.+)$", text, re.M):
        if command.startswith("sh "):
            assert (ROOT / command.split()[1]).exists()
    assert "model/" not in text, "nobody is sent into the source"
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
