"""Checks of lines given by legs as they were walked: whether they come back to their start."""

from __future__ import annotations

import math
from collections.abc import Iterator

from palewright.model.basis import site_kinds
from palewright.model.basis.findings import Finding
from palewright.model.basis.units import format_length as mm
from palewright.model.fence.fence_model import FenceModel
from palewright.model.resolved.walked import Walked

GOOD_RATIO = 200.0
"""A line walked with a tape closes to its length over this (common practice, no source)."""

GOOD_TURNS, GOOD_LEVELS = 1.0, 30.0
"""Degrees by which turns, and mm by which falls may add up wrongly (common practice, no source)."""

LEAST = 0.05
"""Less than this, mm or hundredths of a degree, is rounding and not told."""


def leg_findings(fence: FenceModel) -> Iterator[Finding]:
    """Yield what did not close of the lines given by legs."""
    for run in fence.job.runs:
        walked = run.walked
        if walked is None or not _told(walked):
            continue
        yield site_kinds.LEGS_MISCLOSURE.at(
            run.called, "", "", text=f"{site_kinds.LEGS_MISCLOSURE.means}: {walked.misclosure}"
        )
        for measured, allowed in _bad(walked):
            yield site_kinds.LEGS_CLOSE_BADLY.at(run.called, measured, allowed)


def _told(walked: Walked) -> bool:
    misses = (abs(walked.miss or 0.0), 100.0 * (walked.turn_miss or 0.0), walked.level_miss or 0.0)
    return any(abs(miss) >= LEAST for miss in misses)


def _bad(walked: Walked) -> Iterator[tuple[str, str]]:
    """Yield what closes worse than it should: measured, allowed."""
    off = abs(walked.miss or 0.0)
    if off > walked.length / GOOD_RATIO:
        ratio = math.floor(walked.length / off)
        yield f"1 in {ratio}", f"1 in {GOOD_RATIO:g}"
    if abs(walked.turn_miss or 0.0) > GOOD_TURNS:
        yield f"turns miss by {abs(walked.turn_miss or 0.0):.1f} degrees", f"{GOOD_TURNS:g} degrees"
    if abs(walked.level_miss or 0.0) > GOOD_LEVELS:
        yield f"levels miss by {mm(abs(walked.level_miss or 0.0))} mm", f"{mm(GOOD_LEVELS)} mm"
