"""Checks of what a fence is for: what it guards, what it keeps in, and who passes its gates."""

from __future__ import annotations

from collections.abc import Iterator

from palewright.model.basis import finding_register as register
from palewright.model.basis import gate_kinds as gates
from palewright.model.basis.findings import Finding
from palewright.model.basis.units import format_length as mm
from palewright.model.fence.fence_model import FenceModel
from palewright.model.layout.pale_rows import opening_of
from palewright.model.layout.run_layout import RunLayout, gate_place
from palewright.model.resolved.job import RunJob

PLAY = (89.0, 230.0)
"""Gaps between these let a child's body through and hold its head, mm (EN 1176-1)."""


def use_findings(fence: FenceModel, layout: RunLayout) -> Iterator[Finding]:
    """Yield gaps that do not hold, guards without rules, and leaves over a road."""
    run = layout.run
    gaps = [opening_of(layout.run, s.row) for s in layout.stretches if s.row.count > 1]
    gaps += [leaf.spacing.gap for o in layout.openings for leaf in o.leaves]
    if gaps:
        yield from _gaps(run, max(gaps))
    known = {guard for rules in fence.job.rules for rule in rules.rule for guard in rule.guards}
    for guard in run.guards:
        if guard not in known:
            yield register.GUARD_NO_RULES.at(
                run.called, f"guards: {guard}", "a rule set that knows it"
            )
    if {"pool", "children"} & set(run.guards):
        yield from _guarding_gates(layout)
    if run.beside == "road":
        for opening in layout.openings:
            if opening.spec.swing == "out":
                reach = max(leaf.width for leaf in opening.leaves)
                yield gates.LEAF_OVER_ROAD.at(
                    gate_place(layout, opening), f"{mm(reach)} mm out", "inwards"
                )


def _guarding_gates(layout: RunLayout) -> Iterator[Finding]:
    """Find gates that open inwards, or stay open, where the fence keeps people from something."""
    for opening in layout.openings:
        closes = opening.leaves[0].plan.closing
        if opening.spec.swing == "out" and closes:
            continue
        if opening.spec.slide is not None:
            said = "slides, not closing by itself"
            where = gate_place(layout, opening)
            yield gates.GATE_GUARD.at(where, said, "opens out, closing by itself")
            continue
        shuts = f"closing by {closes}" if closes else "not closing by itself"
        yield gates.GATE_GUARD.at(
            gate_place(layout, opening),
            f"opens {opening.spec.swing}, {shuts}",
            "opens out, closing by itself",
        )


def _gaps(run: RunJob, gap: float) -> Iterator[Finding]:
    where = run.called
    low, high = PLAY
    if "children" in run.guards and low < gap < high:
        yield register.GAP_PLAY.at(where, f"{mm(gap)} mm", f"{mm(low)} mm or less")
    kept = [*run.guards, *run.keeps_in]
    if kept and gap > run.pales.narrowest + 0.05:
        yield register.GAP_GUARD.at(
            f"{where}, for {', '.join(kept)}",
            f"{mm(gap)} mm",
            f"{mm(run.pales.narrowest)} mm or less",
        )
