"""The plates of a run on walls and on posts of other runs, worked out."""

from __future__ import annotations

from dataclasses import dataclass

from palewright.model.geometry.top_cuts import FlatTop
from palewright.model.spec.post_keys import Walls
from palewright.model.spec.spec_tables import Run

from .post_feet import BY_ITSELF
from .post_plan import PostPlan

PLATED = ("wall", "run", "pier")
"""Ends of a run that have a plate in place of a post."""


@dataclass(frozen=True)
class WallPlan:
    """Where a run meets walls, or posts of other runs. at_start, at_end : whether its line, as it
    runs in the model, starts or ends at one; plate : in place of a post; anchor : its size; hold :
    how deep it goes into the wall, spacing : of anchors, gap : from the wall to rails and pales,
    mm.
    """

    at_start: bool
    at_end: bool
    plate: PostPlan
    anchor: str
    hold: float
    spacing: float
    gap: float


def wall_plan(walls: Walls, run: Run, *, turned: bool) -> WallPlan:
    """Return where a run meets walls or other runs; turned : its line runs against the spec's."""
    at_start, at_end = run.starts.at in PLATED, run.ends.at in PLATED
    if turned:
        at_start, at_end = at_end, at_start
    plate = PostPlan(*walls.section, BY_ITSELF, 0.0, FlatTop(), None)
    return WallPlan(at_start, at_end, plate, walls.anchor, walls.hold, walls.spacing, walls.gap)
