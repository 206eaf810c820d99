"""Fixtures: the examples with their solids, and hypothesis settings."""

from __future__ import annotations

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
def cottage() -> Built:
    """The cottage example."""
    return Built(example_fence(ROOT / "examples" / "cottage.toml"))
