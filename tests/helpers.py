"""What many tests share: the examples, and fences from small pieces of spec."""

from __future__ import annotations

import os
import pickle
from collections.abc import Iterable, Sequence
from functools import cache, lru_cache
from pathlib import Path
from typing import Any

from palewright.model.fence.fence_model import FenceModel
from palewright.model.layout.as_built import built_job
from palewright.model.layout.fixed_posts import gate_problems
from palewright.model.order.joints import make_fence
from palewright.model.resolved.resolve import resolve
from palewright.model.spec.spec_tables import SpecTables
from palewright.reading import read_job

ROOT = Path(__file__).resolve().parent.parent
EXAMPLES = sorted((ROOT / "examples").glob("*.toml"))

THOROUGH = os.environ.get("PALEWRIGHT_THOROUGH", "") == "1"
"""Whether random fences are made in their full number and dear readers read every example."""


def usually(full: int, fewer: int) -> int:
    """Return how many random fences a test makes: all when thorough, else fewer."""
    return full if THOROUGH else fewer


def fence_of(data: dict[str, Any]) -> FenceModel:
    """Return the fence of a spec given as parsed TOML; the spec must be without problems.

    Fences are frozen, so that tests share those that they ask for again.
    """
    return _fence_of(pickle.dumps(data))


@lru_cache(maxsize=64)
def _fence_of(data: bytes) -> FenceModel:
    job = resolve(SpecTables.model_validate(pickle.loads(data)))
    problems = [*job.problems, *(p for run in job.runs for p in gate_problems(run))]
    assert not problems, problems
    job, problems = built_job(job)
    assert not problems, problems
    return make_fence(job)


def filled_in(rows: Iterable[Sequence[str]], price: str = "2.50") -> list[list[str]]:
    """Return the rows of a price file with a price in each that has none, and the currency."""
    cells = [[cell or price for cell in row] for row in rows]
    return [["currency", "", "GBP"] if row[0] == "currency" else row for row in cells]


def example_fence(path: Path) -> FenceModel:
    """Return the fence of an example, made once; of another file as it is now."""
    return _example_fence(path) if path in EXAMPLES else make_fence(read_job(path))


@cache
def _example_fence(path: Path) -> FenceModel:
    return make_fence(read_job(path))
