"""Checks of gates as they swing: what they come upon, and the ground under them."""

from __future__ import annotations

from collections.abc import Iterator

from palewright.model.basis import gate_kinds as gates
from palewright.model.basis.findings import Finding
from palewright.model.basis.units import format_length as mm
from palewright.model.fence.fence_model import FenceModel
from palewright.model.fence.leaf_swings import swings_of
from palewright.model.layout.run_layout import gate_place


def swing_findings(fence: FenceModel) -> Iterator[Finding]:
    """Yield leaves that do not open as far as they have to, and such as come near the ground."""
    least = fence.job.limits.ground
    for run, layout in enumerate(fence.layouts):
        for opening, leaf, swing in swings_of(fence, run):
            where = gate_place(layout, opening)
            if swing.met:
                yield gates.SWING_BLOCKED.at(
                    f"{where} and {swing.met}",
                    f"opens to {swing.free:g} degrees",
                    f"{swing.wanted:g} degrees",
                )
            shut = leaf.foot - (opening.ground - opening.base)
            if swing.lowest < min(least, shut) - 0.05:
                yield gates.SWING_GROUND.at(
                    where,
                    f"{mm(swing.lowest)} mm over the ground, opened by {swing.lowest_at:g} degrees",
                    f"{mm(least)} mm or more",
                )
