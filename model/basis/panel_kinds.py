"""Kinds of findings about bays that are made whole in the workshop; see `finding_register`."""

from __future__ import annotations

from .findings import FindingKind, Severity

PANEL_HEAVY = FindingKind(
    "PANEL-HEAVY", Severity.WARN,
    means="a panel is heavier than what two people carry",
    matters="It is carried at arm's length over holes and wet concrete, and held level while it is "
    "fixed.",
    helps="Make the bays shorter (posts.bay) or the pales thinner, hang it with a third person or "
    "a machine, or set panels.carried to what your team carries. Wet timber weighs more: "
    "timber.density.",
    source="panels.carried; two thirds of twice 25 kg, guidance on lifting by teams, from memory",
)  # fmt: skip
PANEL_BRACKET = FindingKind(
    "PANEL-BRACKET", Severity.WARN,
    means="a post leaves a bracket of a panel too little side to be screwed to",
    matters="The panel hangs by its brackets alone.",
    helps="Use a deeper post there, thinner rails, or hang the panels on the posts' face "
    "(panels.hung).",
    source="common practice, no source",
)  # fmt: skip
PANEL_ODD = FindingKind(
    "PANEL-ODD", Severity.NOTE,
    means="most panels are like no other, so that each is set out on the bench by itself",
    matters="A jig pays where panels repeat; on ground that is not even, bays and lengths of pales "
    "differ.",
    helps="Step the bays (slopes.follow), let lengths of pales group (slopes.group), or build "
    "these bays on site (run.panels with made = false).",
    source="common practice, no source",
)  # fmt: skip
