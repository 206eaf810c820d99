"""Checks of gates as they open: what they come upon, and the ground under them."""

from __future__ import annotations

from collections.abc import Iterator

from palewright.model.basis import gate_kinds as gates
from palewright.model.basis.findings import Finding
from palewright.model.basis.units import format_length as mm
from palewright.model.fence.fence_model import FenceModel
from palewright.model.fence.leaf_slides import Slide, slides_of
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


OVER_TRACK, UNDER_TRACK = 20.0, 150.0
"""So far ground may come over a track or the footing of carriages, and fall under it, mm (common
practice, no source)."""

LEAST_SHARE = 0.33
"""Least distance of the carriages of a cantilever leaf, as a share of its opening (common
practice, no source)."""


def slide_findings(fence: FenceModel) -> Iterator[Finding]:
    """Yield what is in the way of leaves that slide, and what to take care of."""
    for run, layout in enumerate(fence.layouts):
        for opening, leaf, slide in slides_of(fence, run):
            where = gate_place(layout, opening)
            plan = slide.way.plan
            if slide.met:
                yield gates.SLIDE_BLOCKED.at(
                    f"{where} and {slide.met}", f"slides {mm(slide.free)} mm",
                    f"{mm(slide.wanted)} mm",
                )  # fmt: skip
            if slide.gates:
                yield gates.SLIDE_GATE.at(where, f"stands behind {', '.join(slide.gates)}", "")
            yield from _track_ground(where, slide)
            if slide.past > 0.0:
                yield gates.SLIDE_PAST_END.at(where, f"{mm(slide.past)} mm past its end", "")
            share = plan.apart / opening.spec.opening
            if plan.cantilever and share < LEAST_SHARE - 1e-9:
                yield gates.SLIDE_TAIL.at(where, f"{share:g} of the opening", f"{LEAST_SHARE:g}")
            yield gates.SLIDE_CARE.at(where, f"a leaf of {mm(leaf.width)} mm slides", "")


def _track_ground(where: str, slide: Slide) -> Iterator[Finding]:
    """Yield ground along a leaf's way that is not level enough for what it runs on."""
    if slide.over > OVER_TRACK + 0.05:
        yield gates.TRACK_GROUND.at(
            where, f"{mm(slide.over)} mm over it", f"{mm(OVER_TRACK)} mm or less"
        )
    if slide.under > UNDER_TRACK + 0.05:
        yield gates.TRACK_GROUND.at(
            where, f"{mm(slide.under)} mm under it", f"{mm(UNDER_TRACK)} mm or less"
        )
