"""Fixtures: the examples with their solids, and hypothesis settings."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from filelock import FileLock
from hypothesis import HealthCheck, settings

from browser import chromium_running
from helpers import EXAMPLES, ROOT, example_fence
from palewright.export.models.product import Product

# the many processes that tests start need not compile all modules anew
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)

# fixed seeds: the same run everywhere, and a failure is found again
settings.register_profile(
    "palewright",
    derandomize=True,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much],
)
settings.load_profile("palewright")


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Begin with the longest tests, so that no worker has one of them left at the end."""
    longest = ("test_versions", "test_same_bytes")
    items.sort(key=lambda item: not item.nodeid.split("/")[-1].startswith(longest))


@pytest.fixture(scope="session", params=EXAMPLES, ids=lambda path: path.stem)
def built(request: pytest.FixtureRequest) -> Product:
    """Each example with its solids and meshes, made once."""
    return Product(example_fence(request.param))


@pytest.fixture(scope="module")
def chromium() -> Iterator[Any]:
    """A browser for the tests of one file: its driver allows no other at the time."""
    with chromium_running() as browser:
        yield browser


@pytest.fixture(scope="session")
def node_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the page's sources, what checks them, and the packages of its lock file."""
    folder = tmp_path_factory.mktemp("node")
    page = ROOT / "export/page"
    for name in ("package.json", "package-lock.json", "tsconfig.json", "eslint.config.mjs"):
        shutil.copy(page / name, folder)
    shutil.copytree(page / "source", folder / "source")
    command = ["npm", "ci", "--no-audit", "--no-fund"]
    subprocess.run(command, cwd=folder, check=True, capture_output=True)
    return folder


@pytest.fixture(scope="session")
def wheel(tmp_path_factory: pytest.TempPathFactory, worker_id: str) -> Path:
    """The project's wheel, made once for all workers: two at a time spoil each other's."""
    shared = tmp_path_factory.getbasetemp()
    folder = (shared if worker_id == "master" else shared.parent) / "wheel"
    with FileLock(f"{folder}.lock"):
        if not folder.exists():
            shutil.rmtree(ROOT / "build", ignore_errors=True)  # it keeps files that are gone
            subprocess.run(
                [sys.executable, "-m", "pip", "wheel", "-qq", "--no-deps", "--no-build-isolation",
                 "-w", str(folder), str(ROOT)],
                check=True,
            )  # fmt: skip
    (file,) = folder.glob("palewright-*.whl")
    return file


@pytest.fixture(scope="session")
def cottage() -> Product:
    """The cottage example."""
    return Product(example_fence(ROOT / "examples" / "cottage.toml"))
