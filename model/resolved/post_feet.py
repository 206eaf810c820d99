"""How posts stand: a value for each way, which says what is dug, how deep, and what holds."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import ClassVar

from palewright.model.geometry.shapes import Footing, Hole, RoundHole, SquareHole, tidy

from .footing_plan import FootingPlan


@dataclass(frozen=True)
class GroundBearing:
    """What a post presses on the ground with, under its loads. width : diameter or diagonal, square
    : width square to a side, deep : below the ground, all mm; what : it is; mend : what would help.
    """

    width: float
    square: float
    deep: float
    what: str
    mend: str


@dataclass(frozen=True)
class Foot:
    """How a post stands. This one is of what stands by itself: a plate on a wall, a post that is
    kept; other ways say otherwise what they differ in.

    made : whether a post is made that stands so.
    """

    made: ClassVar[bool] = False
    way: ClassVar[str] = "as it stands"

    @property
    def embedment(self) -> float:
        """Depth of the post's timber below the ground, mm; under 0 where it ends above it."""
        return 0.0

    @property
    def dug(self) -> FootingPlan | None:
        """The hole that is dug and what fills it, none where nothing is dug."""
        return None

    @property
    def deep(self) -> float:
        """How far what is dug or driven goes below the ground, mm."""
        return 0.0

    @property
    def taken(self) -> Hole | None:
        """What is broken of the ground in plan, None where nothing goes into it."""
        return None

    @property
    def room(self) -> Hole:
        """What it takes up in plan, whether in the ground or on it."""
        return self.taken or SquareHole(0.0, 0.0)

    @property
    def aside(self) -> float:
        """From the post's middle back to the middle of what is dug, mm."""
        return 0.0

    @property
    def bears(self) -> GroundBearing | None:
        """What presses on the ground, None where a post has none of its own to be checked."""
        return None

    @property
    def buried(self) -> bool:
        """Whether timber stands in the ground, which asks for a higher use class."""
        return self.embedment > 0.0

    def filled(self, drop: float = 0.0) -> Footing | None:
        """Return what fills the hole; drop : how far it ends below the ground at the post, mm."""
        return None


@dataclass(frozen=True)
class InHole(Foot):
    """A post in a hole that is filled with concrete or gravel. footings : the hole; width, depth :
    of the post, below : how deep it stands in the ground, mm.
    """

    footings: FootingPlan
    width: float
    depth: float
    below: float

    made: ClassVar[bool] = True
    way: ClassVar[str] = "in a hole"

    @property
    def embedment(self) -> float:
        """Depth of the post below the ground, mm."""
        return self.below

    @property
    def dug(self) -> FootingPlan:
        """The hole that is dug."""
        return self.footings

    @property
    def deep(self) -> float:
        """Depth of the hole, mm."""
        return self.below + self.footings.bed

    @property
    def taken(self) -> Hole:
        """The hole in plan."""
        return self.footings.hole

    @property
    def bears(self) -> GroundBearing:
        """The concrete presses on the ground, or in gravel the post alone, whose bed is no part."""
        if not self.footings.poured:
            mend = "a deeper post (posts.embedment), concrete (footings.fill) or shorter bays"
            diagonal = math.hypot(self.width, self.depth)
            return GroundBearing(diagonal, min(self.width, self.depth), self.below, "post", mend)
        return _concrete(self.footings, self.deep, "posts.embedment")

    def filled(self, drop: float = 0.0) -> Footing:
        """Return the concrete or the gravel round the post."""
        told = self.footings
        below = tidy(self.below - drop)
        return Footing(told.hole, told.bed, below, self.width, self.depth, told.weathering)


def _concrete(footings: FootingPlan, deep: float, key: str) -> GroundBearing:
    """Return what concrete that fills a hole bears by. key : of the spec, that makes it deeper."""
    hole = footings.hole
    mend = f"a deeper hole ({key}), a wider one (footings.size) or shorter bays"
    if isinstance(hole, RoundHole):
        return GroundBearing(hole.diameter, hole.diameter, deep, "hole", mend)
    diagonal = math.hypot(hole.width, hole.depth)
    return GroundBearing(diagonal, 2.0 * footings.half_hole, deep, "hole", mend)


BY_ITSELF = Foot()
"""Of plates on walls and posts that are kept."""
