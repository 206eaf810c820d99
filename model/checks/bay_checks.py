"""Checks of bays: room between posts, length, and how far they leave a curve."""

from __future__ import annotations

from collections.abc import Iterator

from palewright.model.basis import finding_register as register
from palewright.model.basis.findings import Finding
from palewright.model.basis.units import format_length as mm
from palewright.model.layout.run_layout import RunLayout, Stretch, place_of

LEAST_ROOM = 250.0
"""Least room between posts for a spade, mm (common practice)."""


def bay_findings(stretch: Stretch, longest: float) -> Iterator[Finding]:
    """Yield bays that are too short to dig or longer than the limit; longest : mm."""
    leg = stretch.leg
    for bay, length in enumerate(stretch.bays):
        first, last = (stretch.posts[bay + end] for end in (0, 1))
        room = last.extent(leg)[0] - first.extent(leg)[1]
        where = place_of(stretch, bay)
        if room <= 0.0:
            yield register.POSTS_OVERLAP.at(where, f"{mm(room)} mm between them", "more than 0 mm")
        elif room < LEAST_ROOM:
            yield register.BAY_SHORT.at(where, f"{mm(room)} mm", f"{mm(LEAST_ROOM)} mm or more")
        if length > longest * (1.0 + 1e-9):
            yield register.BAY_LONG.at(where, f"{mm(length)} mm", f"{mm(longest)} mm or less")


def curve_findings(layout: RunLayout) -> Iterator[Finding]:
    """Yield how far straight bays leave the curve that they follow, at most once for a run."""
    run = layout.run
    offset = max(leg.offset for leg in layout.legs)
    if offset > 0.0:
        limit = run.posts.curve_offset
        yield register.CHORD_OFFSET.at(
            run.called, f"{mm(offset)} mm", f"{mm(limit)} mm" if limit else "no limit set"
        )
