"""The axes that gate leaves turn about, and which way they open."""

from __future__ import annotations

from dataclasses import dataclass

from palewright.model.layout.run_layout import RunLayout, gate_place
from palewright.model.parts.gate_fittings import hinge_axis


@dataclass(frozen=True)
class LeafHinge:
    """How a leaf hangs. name : of its gate; axis : (x, y, z) of a place on it, mm; way : 1 where
    it opens counterclockwise seen from above, else -1;
    opens : how far it is to open, degrees, 0 where nobody says.
    """

    name: str
    axis: tuple[float, float, float]
    way: float
    opens: float = 0.0


def leaf_hinges(layout: RunLayout) -> list[LeafHinge]:
    """Return the hinge of each leaf of a run, in the order of the leaves' numbers."""
    hinges = []
    for opening, leaf in layout.hung:
        out = opening.spec.swing == "out"
        x, y = hinge_axis(layout.run, leaf, out=out)
        way = (1.0 if leaf.hinge_left else -1.0) * (-1.0 if out else 1.0)
        axis = opening.leg.frame.point((x, y, opening.base))
        hinges.append(LeafHinge(gate_place(layout, opening), axis, way, leaf.plan.opens))
    return hinges
