"""The wheel on other Pythons, and with the oldest dependencies that it says it works with."""

from __future__ import annotations

import importlib.metadata
import os
import re
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

from helpers import ROOT, THOROUGH
from palewright.export.outputs.making import RECORD

EXAMPLE = ROOT / "examples" / "terrace.toml"
WINDY = ROOT / "examples" / "headland.toml"
PYTHONS = ("3.11", "3.12", "3.13")
LOWEST = "3.11"
"""The Python that the oldest dependencies have wheels for."""


OURS = (
    "-members.csv", "-posts.csv", "-bays.csv", "-cutting.csv", "-concrete.csv", "-fixings.csv",
    "check.txt", ".glb",
)  # fmt: skip
"""What does not depend on libraries: an older solver takes another of several plans that cost the
same, older writers and kernels write their formats otherwise.
"""


def requirements() -> list[str]:
    """Return what the project and its extras for users ask for."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]
    extras = project["optional-dependencies"]
    return [*project["dependencies"], *extras["survey"], *extras["usdz"]]


def lowest() -> str:
    """Return constraints on the least versions that pyproject.toml names."""
    return "\n".join(re.sub(r">=([\d.]+).*", r"==\1", text) for text in requirements())


def the_same() -> str:
    """Return constraints on the versions that this Python has."""
    names = [re.match(r"[\w-]+", text) for text in requirements()]
    return "\n".join(f"{name[0]}=={importlib.metadata.version(name[0])}" for name in names if name)


def interpreter(version: str) -> str | None:
    """Return a Python of a version on this machine, or None."""
    if sys.version_info[:2] == tuple(int(part) for part in version.split(".")):
        return sys.executable
    homes = sorted(Path.home().glob(f".pyenv/versions/{version}.*/bin/python"))
    for path in (shutil.which(f"python{version}"), *map(str, homes)):
        # a name on the path may be a stub that finds no such Python
        if path and subprocess.run([path, "-c", ""], capture_output=True).returncode == 0:
            return path
    return None


def outputs(python: str | Path, folder: Path) -> dict[str, bytes]:
    """Return all that a Python makes of the example, by file; its pictures a quarter so wide."""
    environment = {key: value for key, value in os.environ.items() if key != "PYTHONPATH"}
    subprocess.run(
        [python, str(ROOT / "tests" / "every_output.py"), str(EXAMPLE), str(folder), "4"],
        check=True, cwd=folder.parent, env=environment,
    )  # fmt: skip
    (folder / RECORD).unlink()  # it knows which Python made the files
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def five_lines(python: Path, folder: Path) -> None:
    """Go through the front door in an environment with the wheel alone, from another folder."""
    code = f"""
import palewright as pw
fence = pw.read({str(WINDY)!r})
fence.check(); fence.order(); fence.wind()
pw.write(fence, "headland.step")
assembly = fence.to_assembly()
print(fence, len(assembly.objects))
"""
    done = subprocess.run([python, "-c", code], cwd=folder, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    assert done.stdout.startswith("<Fence ")
    assert (folder / "headland.step").read_bytes().startswith(b"ISO-10303-21")


@pytest.fixture(scope="session")
def here(tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    """What the Python that runs the tests makes of the example."""
    return outputs(sys.executable, tmp_path_factory.mktemp("here") / "out")


@pytest.mark.slow
@pytest.mark.parametrize("which", ["lowest", *PYTHONS])
def test_the_wheel_on_another_python_makes_the_same(
    which: str, wheel: Path, here: dict[str, bytes], tmp_path: Path
) -> None:
    version = LOWEST if which == "lowest" else which
    python = interpreter(version)
    if python is None:
        pytest.skip(f"no Python {version} on this machine")
    if which not in ("lowest", PYTHONS[-1]) and not THOROUGH:
        pytest.skip("stands between others; run when thorough")
    if which != "lowest" and python == sys.executable:
        pytest.skip("the Python that runs all the other tests")
    subprocess.run([python, "-m", "venv", str(tmp_path / "venv")], check=True)
    own = tmp_path / "venv" / "bin" / "python"
    bounds = tmp_path / "constraints.txt"
    bounds.write_text(lowest() if which == "lowest" else the_same())
    install = [own, "-m", "pip", "install", "-qq", "--no-compile", "--disable-pip-version-check"]
    subprocess.run([*install, f"{wheel}[survey,usdz]", "-c", str(bounds)], check=True)
    made = outputs(own, tmp_path / "made")
    ours = OURS if which == "lowest" else ("",)
    assert made.keys() == here.keys()
    five_lines(own, tmp_path)
    differ = [name for name, data in here.items() if name.endswith(ours) and made[name] != data]
    assert not differ
