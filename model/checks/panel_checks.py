"""Checks of panels: what two people carry, room for their brackets, whether they repeat."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from palewright.model.basis import panel_kinds as panels
from palewright.model.basis.findings import Finding
from palewright.model.basis.units import format_length as mm
from palewright.model.fence.fence_model import FenceModel
from palewright.model.layout.run_layout import RunLayout
from palewright.model.order.panel_lines import panel_lines, panels_by_mark
from palewright.model.parts.panels import bracket_rooms
from palewright.model.resolved.panel_plan import LEAST_LEG

MANY = 4
"""So many panels or more are worth a jig, if they repeat (common practice, no source)."""


def panel_findings(fence: FenceModel) -> Iterator[Finding]:
    """Yield what is wrong or doubtful of the panels of a fence."""
    by_mark = panels_by_mark(fence)
    heavy = [
        (line, by_mark[line.mark][0].plan.carried)
        for line in panel_lines(fence)
        if line.weight > by_mark[line.mark][0].plan.carried + 1e-9
    ]
    if heavy:
        worst, most = max(heavy, key=lambda one: one[0].weight / one[1])
        others = sum(line.count for line, _ in heavy) - 1
        yield panels.PANEL_HEAVY.at(
            f"panel {worst.mark}, {worst.bays[0]}" + (f", and {others} more" if others else ""),
            f"{worst.weight:.0f} kg",
            f"{most:g} kg",
        )
    for layout in fence.layouts:
        yield from _brackets(layout)
    counts = Counter(panel.mark for panel in fence.panels)
    lone = sum(count == 1 for count in counts.values())
    if len(fence.panels) >= MANY and lone > len(fence.panels) / 2:
        yield panels.PANEL_ODD.at(
            "panels", f"{lone} of {len(fence.panels)} differ", "half of them or fewer"
        )


def _brackets(layout: RunLayout) -> Iterator[Finding]:
    """Yield posts whose sides have no room for brackets behind the rails."""
    plan = layout.run.panels
    if plan is None or not plan.between:
        return
    for stretch in layout.stretches:
        for label, room in bracket_rooms(layout.run, stretch):
            if room < LEAST_LEG - 0.05:
                yield panels.PANEL_BRACKET.at(
                    f"{layout.run.called}, post {label}", f"{mm(max(room, 0.0))} mm of its side",
                    f"{mm(LEAST_LEG)} mm or more",
                )  # fmt: skip
