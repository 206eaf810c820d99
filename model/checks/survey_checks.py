"""Checks of what a survey does not tell: no levels near, levels far apart, remarks on the file."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from palewright.model.basis import site_kinds
from palewright.model.basis.findings import Finding
from palewright.model.basis.text import plain
from palewright.model.basis.units import format_length as mm
from palewright.model.fence.fence_model import FenceModel
from palewright.model.resolved.job import RunJob

FAR = 10_000.0
"""Levels along a line that are farther apart are told of, mm (common practice, no source)."""

BEYOND = 3000.0
"""A line that goes on farther beyond its last level is told of, mm (common practice, no source)."""


def survey_findings(fence: FenceModel) -> Iterator[Finding]:
    """Yield where the ground under a surveyed fence is not known, and what its survey noted."""
    if not fence.job.surveyed:
        return
    for note in fence.job.notes:
        kind = site_kinds.SURVEY_DOUBT if "probably wrong" in note else site_kinds.SURVEY_NOTE
        yield kind.at(f"survey, {plain(note)}", "", "")
    for run in fence.job.runs:
        yield from _ground_of(run)


def _ground_of(run: RunJob) -> Iterator[Finding]:
    line, ground = run.line, run.ground
    if ground.said:
        yield site_kinds.GROUND_SURFACE.at(f"{run.called}, {ground.said}", "", "")
    for start, end in ground.outside:
        yield site_kinds.GROUND_OUTSIDE.at(
            f"{run.called}, chainage {mm(start, 0)} to {mm(end, 0)}",
            f"{mm(end - start, 0)} mm off the surface", "",
        )  # fmt: skip
    known = [line.length - x if line.turned else x for x, _ in line.knots]
    known.sort()
    if len(known) < 2:
        yield site_kinds.GROUND_UNKNOWN.at(run.called, "", "")
        return
    ends = (known[0], line.length - known[-1])
    for beyond, which in zip(ends, ("first", "last"), strict=True):
        if beyond > BEYOND and ground.by != "surface":  # else it is outside
            yield site_kinds.GROUND_BEYOND.at(
                f"{run.called}, the {which} level", f"{mm(beyond, 0)} mm beyond it",
                f"{mm(BEYOND, 0)} mm",
            )  # fmt: skip
    between = [
        (a, b)
        for a, b in pairwise(known)
        if not any(start < (a + b) / 2.0 < end for start, end in ground.outside)
    ]
    widest = max(between, key=lambda pair: pair[1] - pair[0], default=(0.0, 0.0))
    if widest[1] - widest[0] > FAR:
        yield site_kinds.GROUND_FAR.at(
            f"{run.called}, chainage {mm(widest[0], 0)} to {mm(widest[1], 0)}",
            f"{mm(widest[1] - widest[0], 0)} mm between levels", f"{mm(FAR, 0)} mm",
        )  # fmt: skip
