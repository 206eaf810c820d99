"""What many tests share: the examples, and fences from small pieces of spec."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from palewright.model.fence import Fence, build_fence
from palewright.model.layout import gate_problems
from palewright.model.resolve import resolve
from palewright.model.spec import Spec
from palewright.model.spec_file import read_job

ROOT = Path(__file__).resolve().parent.parent
EXAMPLES = sorted((ROOT / "examples").glob("*.toml"))


def fence_of(data: dict[str, Any]) -> Fence:
    """Return the fence of a spec given as parsed TOML; the spec must be without problems."""
    job = resolve(Spec.model_validate(data))
    problems = [*job.problems, *(p for run in job.runs for p in gate_problems(run))]
    assert not problems, problems
    return build_fence(job)


def example_fence(path: Path) -> Fence:
    """Return the fence of an example."""
    return build_fence(read_job(path))
