"""How gate leaves move: the axes that they turn about and which way, or how they slide."""

from __future__ import annotations

from dataclasses import dataclass

from palewright.model.geometry.frames import Vector
from palewright.model.layout.run_layout import RunLayout, gate_place
from palewright.model.layout.slides import slid_way
from palewright.model.parts.gate_fittings import hinge_axis


@dataclass(frozen=True)
class LeafHinge:
    """How a leaf hangs. name : of its gate; axis : (x, y, z) of a place on it, mm; way : 1 where
    it opens counterclockwise seen from above, else -1;
    opens : how far it is to open, degrees, 0 where nobody says; slides : where it goes instead of
    turning, (x, y, z) mm, None on hinges; lift : how far it rises to a right angle, mm.
    """

    name: str
    axis: tuple[float, float, float]
    way: float
    opens: float = 0.0
    slides: Vector | None = None
    lift: float = 0.0

    def risen(self, degrees: float) -> Vector:
        """Return how far the leaf has gone besides turning, when it is open by so much, mm."""
        if self.slides is not None:
            share = min(degrees / 90.0, 1.0)
            x, y, z = self.slides
            return x * share, y * share, z * share
        return 0.0, 0.0, self.lift * degrees / 90.0


def leaf_hinges(layout: RunLayout) -> list[LeafHinge]:
    """Return the hinge of each leaf of a run, in the order of the leaves' numbers."""
    hinges = []
    for opening, leaf in layout.hung:
        slid = slid_way(opening, leaf)
        if slid is not None:
            axis = opening.leg.frame.point((leaf.x0, leaf.front, opening.base))
            far = opening.leg.frame.direction((slid.travel, 0.0, 0.0))
            hinges.append(LeafHinge(gate_place(layout, opening), axis, 0.0, slides=far))
            continue
        out = opening.spec.swing == "out"
        x, y = hinge_axis(layout.run, leaf, out=out)
        way = (1.0 if leaf.hinge_left else -1.0) * (-1.0 if out else 1.0)
        axis = opening.leg.frame.point((x, y, opening.base))
        hinges.append(
            LeafHinge(gate_place(layout, opening), axis, way, leaf.plan.opens, lift=leaf.plan.lift)
        )
    return hinges
