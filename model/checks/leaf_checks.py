"""Checks of gate leaves: pales, width, clearances and braces."""

from __future__ import annotations

import math
from collections.abc import Iterator

from palewright.model.basis import gate_kinds as gates
from palewright.model.basis.findings import Finding
from palewright.model.basis.units import format_length as mm
from palewright.model.layout.leaf_frames import fields, set_braces
from palewright.model.layout.leaves import MIDDLE_LEDGE, Leaf
from palewright.model.layout.run_layout import Opening, RunLayout, gate_place
from palewright.model.parts.gate_fittings import THIRD_HINGE
from palewright.model.parts.hardware import KEEP_HEIGHT, PIN_LENGTH
from palewright.model.resolved.job import RunJob
from palewright.model.spec.spec_tables import Limits

BRACE_ANGLES = (35.0, 60.0)
"""Between these angles over the level a brace works well, degrees (common practice)."""

ONE_OF_TWO = "wider than a leaf should hang, one of two as it is: narrow the opening"
FLAT = (
    "a brace this flat holds the leaf badly; set rails.tops further apart, or hang the leaf with "
    "two braces to a middle upright"
)
STEEP = "a brace this steep hardly reaches the latch; set rails.tops nearer to each other"


def gate_findings(layout: RunLayout, opening: Opening, limits: Limits) -> Iterator[Finding]:
    """Yield what is wrong with the leaves of a gate; of one without pales no more than that."""
    run = layout.run
    where = gate_place(layout, opening)
    for leaf in opening.leaves:
        if leaf.spacing.count == 0:
            yield gates.LEAF_NARROW.at(
                where, f"{mm(leaf.width)} mm", f"{mm(run.pales.widest)} mm or more"
            )
            continue
        slides = leaf.plan.slide is not None
        yield from _widths(opening, run, leaf, math.inf if slides else limits.leaf, where)
        yield from _under(leaf, where, opening.ground - opening.base, limits.ground)
        if not slides:
            yield from _swing(run, leaf, where)
        yield from _braces(leaf, where)
        widest = max(high - low for low, high in fields(leaf))
        if widest > MIDDLE_LEDGE:
            yield gates.LEDGES_FEW.at(where, f"{mm(widest)} mm", f"{mm(MIDDLE_LEDGE)} mm or less")
        yield from _beside_posts(opening, leaf, where)
        if not slides and leaf.height > THIRD_HINGE and len(leaf.ledges) < 3:
            high = f"a leaf {mm(leaf.height)} mm high on two"
            yield gates.HINGES_FEW.at(where, high, f"three over {mm(THIRD_HINGE)} mm")
        apart = leaf.ledges[-1] - leaf.ledges[0]
        if not slides and apart < leaf.width / 2.0 - 0.05:
            yield gates.HINGES_NEAR.at(
                where, f"{mm(apart)} mm", f"{mm(leaf.width / 2.0)} mm or more"
            )


def _beside_posts(opening: Opening, leaf: Leaf, where: str) -> Iterator[Finding]:
    """Find a hinge, or a keep, that is higher than the post it sits on."""
    middle = leaf.ledges[-1] + leaf.plan.ledge[0] / 2.0
    over = opening.leg.start[2] + opening.base
    hung = 0 if leaf.hinge_left else 1
    pins = [] if leaf.plan.slide is not None else [(hung, PIN_LENGTH / 2.0)]
    sides = [*pins, *([(1 - hung, KEEP_HEIGHT / 2.0)] if leaf.keeps else [])]
    for side, half in sides:
        post = opening.posts[side]
        high = post.frame.origin[2] - over + post.top
        if middle + half > high + 0.05:
            yield gates.HINGE_OFF_POST.at(
                where, f"{mm(middle + half)} mm up", f"{mm(high)} mm or less, the post's top"
            )


def _widths(
    opening: Opening, run: RunJob, leaf: Leaf, widest: float, where: str
) -> Iterator[Finding]:
    most = leaf.plan.pales.gap_max
    if leaf.spacing.gap > most * (1.0 + 1e-9):
        yield gates.LEAF_GAP_WIDE.at(where, f"{mm(leaf.spacing.gap)} mm", f"{mm(most)} mm or less")
    if leaf.width > widest:
        yield gates.LEAF_WIDE.at(
            where,
            f"{mm(leaf.width)} mm",
            f"{mm(widest)} mm or less",
            text=ONE_OF_TWO if len(opening.leaves) > 1 else "",
        )


def _under(leaf: Leaf, where: str, ground: float, least: float) -> Iterator[Finding]:
    """Find a leaf near the ground; ground : over the base that its heights count from, mm."""
    clearance = leaf.foot - ground
    if clearance < least:
        yield gates.LEAF_NEAR_GROUND.at(where, f"{mm(clearance)} mm", f"{mm(least)} mm or more")


def _swing(run: RunJob, leaf: Leaf, where: str) -> Iterator[Finding]:
    thickness = run.pales.thickness + leaf.plan.ledge[1]
    past = math.hypot(leaf.width, thickness) - leaf.width
    if past > run.gates.latch_clearance:
        yield gates.LEAF_BINDS.at(
            where, f"{mm(past)} mm past its edge", f"{mm(run.gates.latch_clearance)} mm or less"
        )


def _braces(leaf: Leaf, where: str) -> Iterator[Finding]:
    flattest, steepest = BRACE_ANGLES
    on_track = leaf.plan.slide is not None and not leaf.plan.slide.cantilever
    if leaf.plan.braces and not leaf.plan.pressed:
        yield gates.BRACE_PULLED.at(where, "from the latch side", "from the hanging side")
    for spot in set_braces(leaf):
        brace, rise = spot.brace, spot.rise
        if brace is None:
            room = f"{mm(spot.x1 - spot.x0)} x {mm(rise)} mm"
            yield gates.BRACE_NO_ROOM.at(
                where,
                f"{room} for a brace of {mm(leaf.plan.brace)} mm",
                "a diagonal between the ledges",
            )
        elif on_track:
            continue  # a leaf that is borne at both ends wants no more of them than to be square
        elif not flattest <= brace.degrees <= steepest:
            flat = brace.degrees < flattest
            # rounded away from the limit, so that 34.96 is not said to be 35
            tenths = brace.degrees * 10.0
            shown = (math.floor(tenths) if flat else math.ceil(tenths)) / 10.0
            yield gates.BRACE_ANGLE.at(
                where,
                f"{shown:g} degrees",
                f"{flattest:g} to {steepest:g} degrees",
                text=FLAT if flat else STEEP,
            )
