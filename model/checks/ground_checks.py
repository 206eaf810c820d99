"""Checks of bays against their ground: steep rakes, and rails that the ground reaches."""

from __future__ import annotations

from collections.abc import Iterator

from palewright.model.basis import finding_register as register
from palewright.model.basis.findings import Finding
from palewright.model.basis.units import format_length as mm
from palewright.model.layout.bases import BayBase
from palewright.model.layout.run_layout import Stretch, place_of
from palewright.model.resolved.job import RunJob


def rail_underside(run: RunJob, setting: BayBase) -> float:
    """Return how high the lowest rail's underside is over the base of a bay, mm."""
    return run.rails.tops[0] - run.rails.section[0] * setting.secant


def ground_findings(run: RunJob, stretch: Stretch, steepest: float) -> Iterator[Finding]:
    """Yield bays that rake too steeply or meet the ground; steepest : rise over run."""
    for bay, setting in enumerate(stretch.settings):
        where = place_of(stretch, bay)
        if abs(setting.slope) > steepest * (1.0 + 1e-9):
            yield register.RAKE_STEEP.at(
                where,
                f"1 in {1.0 / abs(setting.slope):.1f}",
                f"1 in {1.0 / steepest:.1f} or flatter",
            )
        under = rail_underside(run, setting)
        ground = stretch.leg.ground_between(setting.x0, setting.x1)
        room = min(setting.base(x) + under - level for x, level in ground)
        if room <= 0.0:
            yield register.RAIL_IN_GROUND.at(where, f"{mm(room)} mm", "more than 0 mm")
