"""Ramped bays at the ends of a run: how far they go down, and what cannot be made of them."""

from __future__ import annotations

from collections.abc import Iterator

from palewright.model.basis.errors import Problem
from palewright.model.basis.units import format_length
from palewright.model.geometry.frames import Point
from palewright.model.spec.spec_tables import Run

from .job import RunJob
from .pale_plan import PalePlan

BETWEEN_RAILS = 20.0
"""Least room between the end of a ramp's rail and the rail below it, mm (common practice, no
source)."""


def ramps_of(run: Run, pales: PalePlan, *, turned: bool) -> Point:
    """Return how far the first and the last bay go down to the ends of a line, mm, 0 for not at
    all. turned : the line in the model runs against the spec's.
    """
    full = pales.clearance + pales.longest
    told = {ramp.at: max(0.0, full - ramp.height) for ramp in run.ramp}
    first, last = told.get("start", 0.0), told.get("end", 0.0)
    return (last, first) if turned else (first, last)


def ramp_problems(resolved: RunJob, run: Run) -> Iterator[Problem]:
    """Yield ramps that go up, or down to the rail below, or that other keys leave no place for."""
    seen: set[str] = set()
    rails, full = resolved.rails, resolved.height
    below = rails.tops[-2] if len(rails.tops) > 1 else 0.0
    deepest = rails.tops[-1] - rails.section[0] - BETWEEN_RAILS - below
    for number, ramp in enumerate(run.ramp):
        path = (*resolved.path, "ramp", number)
        if ramp.at in seen:
            yield Problem((*path, "at"), "there is one ramp at an end")
        seen.add(ramp.at)
        if resolved.line.closed:
            yield Problem(path, "a closed run has no ends to go down to")
        if not rails.over_posts:
            text = "rails between posts do not go down; a ramp needs them on the posts' faces"
            yield Problem(path, text)
        if resolved.top_line.shape != "straight":
            text = f"a top line with shape '{resolved.top_line.shape}' has no ramp; set it straight"
            yield Problem(path, text)
        if resolved.capping is not None:
            yield Problem(path, "a capping rail goes on level or raked; a ramp has none")
        if ramp.height >= full:
            text = f"the fence is only {format_length(full, 0)} mm high; a ramp goes down"
            yield Problem((*path, "height"), text)
        elif full - ramp.height > deepest:
            least = format_length(full - max(deepest, 0.0), 0)
            text = (
                f"the top rail would come down to the rail below it; at least {least} mm, or "
                "set the rails lower that are under the top one (rails.tops)"
            )
            yield Problem((*path, "height"), text)
