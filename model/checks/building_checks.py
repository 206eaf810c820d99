"""Checks of a fence: what is wrong or doubtful, in plain words, without building anything.

Findings are advice. Their limits are trade rules of thumb unless a source is named, and they do
not stand in for local codes, the planning authority or a qualified designer.
"""

from __future__ import annotations

from collections.abc import Iterator

from palewright.model.basis.findings import Finding, Severity, in_imperial
from palewright.model.fence.fence_model import FenceModel
from palewright.model.layout.run_layout import RunLayout
from palewright.model.spec.spec_tables import Limits

from .bay_checks import bay_findings, curve_findings
from .board_checks import board_findings
from .clash_checks import clash_findings
from .clear_checks import clear_findings
from .drop_checks import drop_findings
from .fixing_checks import fixing_findings
from .foot_checks import standing_findings
from .ground_checks import ground_findings
from .height_checks import height_findings
from .hole_checks import embedment_findings, hole_room_findings, holes_that_meet
from .leaf_checks import gate_findings
from .leg_checks import leg_findings
from .pale_checks import foot_findings, row_findings
from .panel_checks import panel_findings
from .paper_checks import paper_findings
from .rail_checks import capping_findings, rail_findings, timber_findings
from .rule_findings import rule_findings
from .site_checks import site_findings
from .slender_checks import slender_findings
from .survey_checks import survey_findings
from .swing_checks import slide_findings, swing_findings
from .top_line_checks import top_line_findings
from .use_checks import use_findings
from .wind_findings import strength_findings

BUILDING = (
    "how it is built: geometry, rooms to work, gates, rails, holes, weather (common practice and "
    "limits of the spec)"
)

WET_CEMENT = "Wet cement burns skin and eyes: gloves, long sleeves, goggles; rinse at once."

BURIED = (
    "Before digging, ask for the plans of buried pipes and cables and trace them on the ground; "
    "treat every service as live."
)

UNCUT = " and keep the uncut end of each post in the ground"
"""What is left out where no post stands in the ground."""

CAUTIONS = (
    BURIED,
    WET_CEMENT,
    "Treated timber: gloves and a dust mask; never burn offcuts; brush preservative on every cut"
    f"{UNCUT}.",
    "Brace posts until the concrete is hard; get help with long posts and filled barrows.",
    "Wind is checked only where the spec gives it, and as advice. On exposed sites, next to the "
    "public, or where the fence guards a drop, water or children, have a qualified person design "
    "it.",
    "A gate must not open over a public road or footway; gates that children use need a latch "
    "and gaps to suit the local rules.",
    "Agree the boundary and the height with the neighbours and the planning authority first.",
)
"""Cautions for jobs; they defer to local codes and licensed practice."""


def cautions(fence: FenceModel) -> tuple[str, ...]:
    """Return the cautions for a job: of cement only where there is concrete, of digging only where
    anything is dug or driven, and those of how its posts stand.
    """
    fillings = {dug.poured for layout in fence.layouts for dug in layout.fillings}
    feet = dict.fromkeys(foot for layout in fence.layouts for foot in layout.feet)
    told = list(CAUTIONS)
    if True not in fillings:
        told.remove(WET_CEMENT)
        hard = "the gravel is rammed" if fillings else "they stand by themselves"
        told = [one.replace("the concrete is hard", hard) for one in told]
    if feet and not any(foot.taken for foot in feet):
        told.remove(BURIED)
    if feet and not any(foot.buried for foot in feet):
        told = [one.replace(UNCUT, "") for one in told]
    own = dict.fromkeys(foot.care for foot in feet if foot.care)
    return (*told[:1], *own, *told[1:])


def check(fence: FenceModel) -> tuple[Finding, ...]:
    """Return what is wrong or doubtful, stops first, then in the order of the fence; what two
    leaves of a gate have alike is said once.
    """
    rank = list(Severity)
    found = dict.fromkeys(_all_findings(fence))
    if not any(finding.severity is Severity.STOP for finding in found):
        # what stops already would only be said again
        found |= dict.fromkeys(clash_findings(fence))
    if fence.job.feet:
        found = dict.fromkeys(in_imperial(finding) for finding in found)
    return tuple(sorted(found, key=lambda finding: rank.index(finding.severity)))


def _all_findings(fence: FenceModel) -> Iterator[Finding]:
    for layout in fence.layouts:
        yield from _run_findings(layout, fence.job.limits)
    for layout in fence.layouts:
        yield from hole_room_findings(layout)
        yield from fixing_findings(fence, layout)
        yield from use_findings(fence, layout)
    yield from holes_that_meet(fence)
    yield from timber_findings(fence)
    yield from site_findings(fence)
    yield from clear_findings(fence)
    yield from board_findings(fence)
    yield from panel_findings(fence)
    yield from survey_findings(fence)
    yield from leg_findings(fence)
    yield from paper_findings(fence)
    yield from rule_findings(fence)
    yield from swing_findings(fence)
    yield from slide_findings(fence)
    yield from strength_findings(fence)


def _run_findings(layout: RunLayout, limits: Limits) -> Iterator[Finding]:
    run = layout.run
    yield from height_findings(run, limits.ground)
    yield from embedment_findings(layout)
    yield from standing_findings(layout)
    yield from capping_findings(run)
    yield from slender_findings(layout)
    yield from curve_findings(layout)
    yield from drop_findings(layout)
    for stretch in layout.stretches:
        yield from bay_findings(stretch, limits.bay)
        yield from row_findings(run, stretch)
        yield from ground_findings(run, stretch, limits.rake)
        yield from foot_findings(run, stretch, limits.open_foot)
        yield from top_line_findings(run, stretch)
        yield from rail_findings(layout, stretch)
    for opening in layout.openings:
        yield from gate_findings(layout, opening, limits)
