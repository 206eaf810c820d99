"""How a leaf slides aside: how far, where its track lies, and where its carriages stand."""

from __future__ import annotations

from dataclasses import dataclass

from palewright.model.geometry.frames import Point
from palewright.model.geometry.shapes import tidy
from palewright.model.resolved.leaf_plans import CARRIAGE_INSET, SlidePlan

from .leaves import Leaf
from .run_layout import Opening

WHEELS_BEHIND, BEAM_BEHIND = 18.0, 32.0
"""From the pales' backs to the middle of wheels, and of a cantilever leaf's beam, at the least, mm.
"""

GUIDE_AT = 225.0
"""From the opening to the middle of the guide post of a sliding leaf, mm."""


@dataclass(frozen=True)
class SlidWay:
    """The way of a leaf that slides, mm along its leg.

    plan : how it slides; shut : from where to where it reaches, shut; opened : and open; travel :
    how far it goes, to the left where negative; post : the face of the post that it slides past;
    middle : y of the middle of its wheels; ground : the level of its track or footing over the
    gate's base.
    """

    plan: SlidePlan
    shut: Point
    opened: Point
    post: float
    middle: float
    ground: float

    @property
    def travel(self) -> float:
        """How far it goes along the leg."""
        return tidy(self.opened[0] - self.shut[0])

    @property
    def way(self) -> float:
        """1 where it opens to the right, seen from the front, else -1."""
        return -1.0 if self.plan.to_left else 1.0

    @property
    def whole(self) -> Point:
        """From where to where it takes up room on its way."""
        return min(self.shut[0], self.opened[0]), max(self.shut[1], self.opened[1])

    @property
    def guide(self) -> float:
        """Where its guide post stands: beside what is always behind the post."""
        return tidy(self.post + self.way * GUIDE_AT)

    @property
    def carriages(self) -> tuple[float, float]:
        """Middles of the carriages of a cantilever leaf, the one next to the opening first."""
        first = self.post + self.way * CARRIAGE_INSET
        return tidy(first), tidy(first + self.way * self.plan.apart)


def slid_way(opening: Opening, leaf: Leaf) -> SlidWay | None:
    """Return the way of a leaf that slides; None of one on hinges."""
    plan = leaf.plan.slide
    if plan is None:
        return None
    post = opening.start if plan.to_left else opening.end
    travel = post - (leaf.x1 if plan.to_left else leaf.x0)
    shut = leaf.x0, leaf.x1
    least = BEAM_BEHIND if plan.cantilever else WHEELS_BEHIND
    return SlidWay(
        plan,
        shut,
        (tidy(shut[0] + travel), tidy(shut[1] + travel)),
        post,
        leaf.back + max(leaf.plan.ledge[1] / 2.0, least),
        opening.ground - opening.base,
    )
