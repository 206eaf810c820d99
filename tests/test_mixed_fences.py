"""Random fences that mix what a spec can choose: on slopes, round corners, beside gates.

A thousand when thorough; else they are left out: which fences are drawn in a long process of tests
differs from those that are drawn by itself.
"""

from __future__ import annotations

import copy
import itertools
import math
from typing import Any

import pytest
from choice_cells import listed, mesh_faults, on_page, ordered
from every_choice import BESIDE, Choice, Data, choices, with_choice
from exact_clashes import exact_clashes
from hypothesis import HealthCheck, Phase, assume, event, given, settings
from hypothesis import strategies as st

from helpers import THOROUGH, fence_of
from palewright.export.models.product import Product
from palewright.model.basis.errors import SpecError
from palewright.model.basis.findings import Severity
from palewright.model.checks.building_checks import check
from palewright.model.layout.run_layout import RunLayout, stations_of_leg
from strategies import sloping_specs, specs

FENCES = 1000

EXACT = 70
"""Up to how many members the kernel looks for clashes too."""

MIXABLE = [
    choice
    for choice in choices()
    if not any("others" in BESIDE.get(name, {}) for name in (choice.key, choice.name))
]
"""Choices that need no other run."""


@st.composite
def mixed(draw: st.DrawFn) -> Data:
    """A random fence with a few choices made in it, whatever it had there before."""
    spec = copy.deepcopy(draw(st.one_of(specs(), sloping_specs())))
    made: list[Choice] = draw(
        st.lists(st.sampled_from(MIXABLE), min_size=1, max_size=5, unique_by=lambda c: c.key)
    )
    for choice in made:
        if _of_gates(choice) and not spec["run"][0].get("gate"):
            continue
        with_choice(spec, choice)
    return spec


def _of_gates(choice: Choice) -> bool:
    beside = (BESIDE.get(name, {}).get("run", {}) for name in (choice.key, choice.name))
    return choice.key.startswith("run.gate.") or any("gate" in run for run in beside)


@pytest.mark.slow
@pytest.mark.skipif(not THOROUGH, reason="run when thorough, in a process of its own")
@given(mixed())
@settings(
    max_examples=FENCES,
    deadline=None,
    phases=[Phase.explicit, Phase.reuse, Phase.generate],  # making one smaller takes minutes
    suppress_health_check=[HealthCheck.filter_too_much, HealthCheck.too_slow],
)
def test_mixed_fences_hold_together(data: dict[str, Any]) -> None:
    try:
        fence = fence_of(data)
    except (AssertionError, SpecError, ValueError):
        assume(False)
        raise
    stops = {finding.code for finding in check(fence) if finding.severity is Severity.STOP}
    event(f"stopped by {sorted(stops)}" if stops else "passes")
    built = Product(fence)
    if not stops and len(fence.members) <= EXACT:
        assert exact_clashes(built) == []
    for layout in fence.layouts:
        _gaps_are_equal(layout)
        _chains_close(layout)
    assert not [*listed(built), *ordered(built), *on_page(built)]
    for group in fence.by_mark.values():
        assert mesh_faults(group[0].shape) == ()


def _gaps_are_equal(layout: RunLayout) -> None:
    for stretch in layout.stretches:
        places = iter(stretch.row.places)
        for _, spacing in stretch.row.parts:
            pales = list(itertools.islice(places, spacing.count))
            ends = [(place.edge, place.edge + place.kind.width) for place in pales]
            gaps = [after - before for (_, before), (after, _) in itertools.pairwise(ends)]
            assert gaps == pytest.approx([spacing.gap] * len(gaps), abs=1e-6)
        assert next(places, None) is None


def _chains_close(layout: RunLayout) -> None:
    for number, leg in enumerate(layout.legs):
        xs = [x for x, _ in stations_of_leg(layout, number)]
        assert xs == sorted(xs)
        assert xs[0] >= -1e-6
        assert xs[-1] <= leg.length + 1e-6
    for stretch in layout.stretches:
        whole = stretch.xs[-1] - stretch.xs[0]
        assert math.fsum(stretch.bays) == pytest.approx(whole, abs=1e-6)
