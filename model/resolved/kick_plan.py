"""The kick board of a run, worked out."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from palewright.model.geometry.frames import Point
from palewright.model.spec.infill_keys import KickBoard, Pales

USUAL, OVER_CONCRETE = 10.0, 5.0
"""From the ground to a kick board, and from concrete that slopes up to a post to one over it, mm
(common practice, no source)."""


@dataclass(frozen=True)
class KickPlan:
    """A kick board, sizes in mm. stands : on the face of the posts or between them; clearance : of
    it over the ground; longest : to be had.
    """

    stands: Literal["face", "between"]
    height: float
    thickness: float
    clearance: float
    longest: float

    @property
    def top(self) -> float:
        """Height of its top over the base, mm."""
        return self.clearance + self.height

    @property
    def section(self) -> tuple[Point, ...]:
        """Its (y, z) section."""
        wide, high = self.thickness, self.height
        return (0.0, 0.0), (wide, 0.0), (wide, high), (0.0, high)

    @property
    def set_words(self) -> str:
        """Where it stands, in words."""
        on_face = self.stands == "face"
        return "on the front of the posts" if on_face else "between the posts, flush in front"

    def front(self, face: float) -> float:
        """Return how far its front is before the line. face : of the posts, mm."""
        return face + (self.thickness if self.stands == "face" else 0.0)


def kick_plan(spec: KickBoard | None, concrete: float) -> KickPlan | None:
    """Return the kick board that a spec asks for. concrete : how high it rises to posts, mm."""
    if spec is None or spec.stands == "none":
        return None
    usual = max(USUAL, concrete + OVER_CONCRETE if concrete else 0.0)
    clearance = usual if spec.clearance is None else spec.clearance
    return KickPlan(spec.stands, *spec.section, clearance, spec.stock_length)


def over_kick_board(pales: Pales, spec: KickBoard | None, plan: KickPlan | None) -> Pales:
    """Return pales as written, or with their feet over a kick board where nothing says how high."""
    if plan is None or spec is None or "clearance" in pales.model_fields_set:
        return pales
    return pales.model_copy(update={"clearance": plan.top + spec.gap})
