"""The holes of a run and what fills them, worked out."""

from __future__ import annotations

from dataclasses import dataclass, replace

from palewright.model.geometry.shapes import Hole, RoundHole, SquareHole
from palewright.model.spec.post_keys import Footings

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

    @property
    def half_hole(self) -> float:
        """Half the size of the hole along the run, mm."""
        return half_of(self.hole)


def half_of(hole: Hole) -> float:
    """Return half the size of a hole along the run, mm."""
    return (hole.diameter if isinstance(hole, RoundHole) else hole.width) / 2.0


def hole_text(hole: Hole) -> str:
    """Return a hole's size in words."""
    if isinstance(hole, RoundHole):
        return f"{hole.diameter:g} mm diameter"
    return f"{hole.width:g} x {hole.depth:g} mm"


def sized(plan: FootingPlan, size: float | tuple[float, float] | None) -> FootingPlan:
    """Return a hole of another size, of the same shape and fill; as it is for None."""
    if size is None:
        return plan
    return replace(plan, hole=_hole(size, round_one=isinstance(plan.hole, RoundHole)))


def _hole(size: float | tuple[float, float], *, round_one: bool) -> Hole:
    along, across = size if isinstance(size, tuple) else (size, size)
    return RoundHole(along) if round_one else SquareHole(along, across)


def footing_plan(footings: Footings) -> FootingPlan:
    """Return the holes of a run."""
    hole = _hole(footings.size, round_one=footings.hole == "round")
    poured = footings.fill == "concrete"
    usual = WEATHERING if poured else 0.0
    weathering = usual if footings.weathering is None else footings.weathering
    return FootingPlan(hole, footings.bed, weathering, poured)
