"""Bays made in the workshop: how their panels are hung, worked out."""

from __future__ import annotations

from dataclasses import dataclass

from palewright.model.spec.panel_keys import Panels

HOLDS, LEG = 30.0, 50.0
"""A bracket or a bolt wants so much of a panel or of a post, and a bracket's leg is so long, mm
(common practice, no source)."""

LEAST_LEG = 25.0
"""The shortest leg that a bracket can have on a post, mm."""


@dataclass(frozen=True)
class PanelPlan:
    """How the panels of a run are hung. between : between the posts, on brackets, else on their
    face; clearance : at each end, or on the face between the rails of neighbours, mm; fixings : on
    each side; upright : width of the uprights at both ends, 0 for none, mm; carried : what two
    people carry, kg.
    """

    between: bool
    clearance: float
    fixings: int
    upright: float
    carried: float

    def fixed_rows(self, rails: int) -> tuple[int, ...]:
        """Return the rows of rails that are fixed at each end, from the lowest: the lowest and the
        highest, and those between as evenly as they go.

        >>> PanelPlan(True, 5.0, 2, 0.0, 33.0).fixed_rows(3)
        (0, 2)
        """
        step = (rails - 1) / max(1, self.fixings - 1)
        return tuple(round(step * number) for number in range(self.fixings))

    @property
    def held(self) -> str:
        """What holds it, in words: "bracket" or "bolt"."""
        return "bracket" if self.between else "bolt"

    @property
    def where(self) -> str:
        """Where it hangs, in words."""
        return "between the posts" if self.between else "on the face of the posts"


def panel_plan(panels: Panels, rails: int) -> PanelPlan | None:
    """Return how the panels of a run are hung; None where bays are built on site. rails : how many
    each has.
    """
    if not panels.made:
        return None
    return PanelPlan(
        panels.hung == "between posts",
        panels.clearance,
        panels.fixings or max(rails, 2),
        panels.uprights or 0.0,
        panels.carried,
    )
