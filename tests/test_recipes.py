"""What DEVELOPERS.md says one has to do, done on a copy of the tree."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import ezdxf
import pytest

from helpers import ROOT

SPEC = """
[[run]]
points = [[0, 0], [3600, 0]]

[pales]
head = { shape = "swallowtail", notch = 30 }
"""


def original(path: Path) -> Path:
    """Return the file of the project that a file of the copy is of."""
    return ROOT / ("palewright" if path.parent == Path() else "") / path


def run(folder: Path, *arguments: str) -> str:
    """Run the command line of the copy."""
    environment = {**os.environ, "PYTHONPATH": str(folder / "tree")}
    done = subprocess.run(
        [sys.executable, "-m", "palewright.cli", *arguments],
        cwd=folder, env=environment, capture_output=True, text=True,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    return done.stdout


@pytest.mark.slow
def test_a_head_shape_is_added_in_one_module(tmp_path: Path) -> None:
    tree = tmp_path / "tree" / "palewright"
    shutil.copytree(ROOT / "palewright", tree, ignore=shutil.ignore_patterns("__pycache__"))
    for room in ("model", "export", "cli"):
        skip = shutil.ignore_patterns("__pycache__", "node_modules")
        shutil.copytree(ROOT / room, tree / room, ignore=skip)
    text = (ROOT / "DEVELOPERS.md").read_text("utf-8")
    recipe = text[text.index("## How to add a head shape") :]
    block = re.search(r"```python\n(.*?)```", recipe, re.DOTALL)
    assert block is not None
    heads = tree / "model" / "geometry" / "heads.py"
    source = heads.read_text("utf-8")
    source = source.replace("\nHeadSpec = Annotated[", f"\n{block[1]}\n\nHeadSpec = Annotated[")
    heads.write_text(source.replace("| FreeHead", "| FreeHead | SwallowtailHead"), "utf-8")
    changed = [
        path.relative_to(tree)
        for path in tree.rglob("*.py")
        if path.read_bytes() != original(path.relative_to(tree)).read_bytes()
    ]
    assert changed == [Path("model/geometry/heads.py")]
    (tmp_path / "fence.toml").write_text(SPEC)
    # it is the copy that runs, and the schema knows the shape
    assert "SwallowtailHead" in json.loads(run(tmp_path, "schema"))["$defs"]
    checked = run(tmp_path, "check", "fence.toml")
    assert "stop:" not in checked
    assert "warn:" not in checked
    run(tmp_path, "build", "fence.toml", "-o", "out", "--only", "step,csv,sheets", "-q")
    run(tmp_path, "template", "fence.toml", "-o", "out")
    (line,) = ezdxf.readfile(tmp_path / "out" / "fence-head-A.dxf").modelspace()
    points = {(round(x, 3), round(y, 3)) for x, y in line.get_points("xy")}
    assert {(50.0, 30.0), (0.0, 0.0), (-50.0, 30.0)} <= points


def test_the_picture_of_the_rooms_is_the_imports() -> None:
    code = "import rooms, sys; sys.stdout.write(rooms.drawn())"
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT / "docs", check=True, capture_output=True, text=True
    )
    wanted = (ROOT / "docs" / "pictures" / "rooms.svg").read_text("utf-8")
    assert done.stdout == wanted, "run python docs/rooms.py"
