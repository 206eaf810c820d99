"""Fixtures: the examples with their solids, and hypothesis settings."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

from helpers import EXAMPLES, ROOT, example_fence
from palewright.export.built import Built

# fixed seeds: the same run everywhere, and a failure is found again
settings.register_profile(
    "palewright",
    derandomize=True,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much],
)
settings.load_profile("palewright")


@pytest.fixture(scope="session", params=EXAMPLES, ids=lambda path: path.stem)
def built(request: pytest.FixtureRequest) -> Built:
    """Each example with its solids and meshes, made once."""
    return Built(example_fence(request.param))


@pytest.fixture(scope="session")
def node_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the page's sources and the packages of its lock file."""
    folder = tmp_path_factory.mktemp("node")
    page = ROOT / "export/page"
    for name in ("package.json", "package-lock.json"):
        shutil.copy(page / name, folder)
    shutil.copytree(page / "source", folder / "source")
    command = ["npm", "ci", "--no-audit", "--no-fund"]
    subprocess.run(command, cwd=folder, check=True, capture_output=True)
    return folder


@pytest.fixture(scope="session")
def cottage() -> Built:
    """The cottage example."""
    return Built(example_fence(ROOT / "examples" / "cottage.toml"))
