"""The holes of a run and what fills them, and its plates on walls, worked out."""

from __future__ import annotations

import math
from dataclasses import dataclass

from palewright.model.geometry.shapes import Hole, RoundHole, SquareHole
from palewright.model.geometry.top_cuts import FlatTop
from palewright.model.spec.post_keys import Footings, Walls
from palewright.model.spec.spec_tables import Run

from .post_plan import PostPlan

WEATHERING = 25.0
"""Height of the concrete at a post over the ground, mm (common practice)."""


@dataclass(frozen=True)
class FootingPlan:
    """The footings of a run. hole : dug for each post; bed : of what fills it under the post, mm;
    weathering : height of the concrete at the post, mm; poured : whether it is filled with
    concrete, else with gravel.
    """

    hole: Hole
    bed: float
    weathering: float
    poured: bool = True

    @property
    def fill(self) -> str:
        """What the holes are filled with, in a word."""
        return "concrete" if self.poured else "gravel"

    def bears(self, plan: PostPlan) -> tuple[float, float, str]:
        """Return how wide what presses on the ground is, mm: the diameter or the diagonal, and the
        width square to a side; and what it is: the concrete, or in gravel the post alone.
        """
        if not self.poured:
            return math.hypot(plan.width, plan.depth), min(plan.width, plan.depth), "post"
        if isinstance(self.hole, RoundHole):
            return self.hole.diameter, self.hole.diameter, "hole"
        return math.hypot(self.hole.width, self.hole.depth), 2.0 * self.half_hole, "hole"

    def deep(self, plan: PostPlan) -> float:
        """Return how deep what presses on the ground goes, mm; a bed of gravel is no part of it."""
        return plan.embedment + (self.bed if self.poured else 0.0)

    @property
    def half_hole(self) -> float:
        """Half the size of the hole along the run, mm."""
        return (self.hole.diameter if isinstance(self.hole, RoundHole) else self.hole.width) / 2.0


def hole_text(hole: Hole) -> str:
    """Return a hole's size in words."""
    if isinstance(hole, RoundHole):
        return f"{hole.diameter:g} mm diameter"
    return f"{hole.width:g} x {hole.depth:g} mm"


def footing_plan(footings: Footings) -> FootingPlan:
    """Return the holes of a run."""
    size = footings.size
    along, across = size if isinstance(size, tuple) else (size, size)
    hole = RoundHole(along) if footings.hole == "round" else SquareHole(along, across)
    poured = footings.fill == "concrete"
    usual = WEATHERING if poured else 0.0
    weathering = usual if footings.weathering is None else footings.weathering
    return FootingPlan(hole, footings.bed, weathering, poured)


@dataclass(frozen=True)
class WallPlan:
    """Where a run meets walls. at_start, at_end : whether its line, as it runs in the model,
    starts or ends at one; plate : in place of a post; anchor : its size; hold : how deep it goes
    into the wall, spacing : of anchors, gap : from the wall to rails and pales, mm.
    """

    at_start: bool
    at_end: bool
    plate: PostPlan
    anchor: str
    hold: float
    spacing: float
    gap: float


def wall_plan(walls: Walls, run: Run, *, turned: bool) -> WallPlan:
    """Return where a run meets walls; turned : its line runs against the spec's."""
    at_start, at_end = run.starts == "wall", run.ends == "wall"
    if turned:
        at_start, at_end = at_end, at_start
    plate = PostPlan(*walls.section, 0.0, 0.0, FlatTop(), None)
    return WallPlan(at_start, at_end, plate, walls.anchor, walls.hold, walls.spacing, walls.gap)
