"""Checks of the heights that hold for a whole run: pales and rails over the ground."""

from __future__ import annotations

from collections.abc import Iterator

from palewright.model.basis import finding_register as register
from palewright.model.basis.findings import Finding
from palewright.model.basis.units import format_length as mm
from palewright.model.resolved.job import RunJob


def height_findings(run: RunJob, least_clearance: float) -> Iterator[Finding]:
    """Yield what is wrong with a run's heights; least_clearance : under its pales, mm."""
    where = run.called
    yield from _pale_feet(run, where, least_clearance)
    yield from _rails(run, where)


def _pale_feet(run: RunJob, where: str, least: float) -> Iterator[Finding]:
    clearance = run.pales.clearance
    if clearance < 0.0:
        yield register.PALE_IN_GROUND.at(where, f"{mm(clearance)} mm", "0 mm or more")
    elif clearance < least:
        yield register.PALE_NEAR_GROUND.at(where, f"{mm(clearance)} mm", f"{mm(least)} mm or more")
    concrete = _concrete_at_pales(run)
    if 0.0 <= clearance < concrete:
        yield register.PALE_IN_CONCRETE.at(
            where, f"{mm(clearance)} mm", f"{mm(concrete)} mm or more"
        )


def _concrete_at_pales(run: RunJob) -> float:
    """Return how high a line post's concrete stands where pales are nearest to its middle, mm."""
    plan = run.posts.line
    away = min(layer.back for layer in run.layers) - run.face + plan.depth / 2.0
    if run.between_posts:
        away = min(run.pale_back - run.face + plan.depth / 2.0, plan.width / 2.0)
    footing = plan.foot.filled()
    return 0.0 if footing is None else footing.height_at(away)


def _rails(run: RunJob, where: str) -> Iterator[Finding]:
    top, low = run.rails.tops[-1], run.rails.tops[0] - run.rails.section[0]
    if top > run.height:
        yield register.RAIL_OVER_PALES.at(where, f"{mm(top)} mm", f"{mm(run.height)} mm or less")
    elif top > run.shoulder:
        yield register.RAIL_BEHIND_HEADS.at(
            where, f"{mm(top)} mm", f"{mm(run.shoulder)} mm or less"
        )
    if low < run.pales.clearance:
        yield register.RAIL_UNDER_PALES.at(
            where, f"{mm(low)} mm", f"{mm(run.pales.clearance)} mm or more"
        )
