"""The rails of a run, worked out."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from palewright.model.spec.infill_keys import Rails
from palewright.model.spec.panel_keys import Panels

from .pale_plan import PalePlan
from .panel_plan import PanelPlan, panel_plan
from .words import RailForm

LOW_FENCE = 1200.0
"""Up to this height two rails, above it three, mm (common practice, no source)."""


@dataclass(frozen=True)
class RailPlan:
    """The rails of a run. section : height and thickness, mm; tops : heights of their top edges
    over ground, lowest first, mm; stock_length : longest to be had, mm; bolt : its size; panels :
    how bays are hung whole, None where rails are fixed one by one.
    """

    form: RailForm
    section: tuple[float, float]
    tops: tuple[float, ...]
    stock_length: float
    joints: Literal["fewest", "least timber"]
    corners: Literal["mitre", "butt"]
    bolt: str
    panels: PanelPlan | None = None

    @property
    def between_posts(self) -> bool:
        """Whether they end on the posts' sides, flush with their front."""
        return self.form != RailForm.FACE or (self.panels is not None and self.panels.between)

    @property
    def bolted(self) -> bool:
        """Whether they are bolted to the posts' faces."""
        return self.form == RailForm.FACE and not self.between_posts

    @property
    def set_words(self) -> str:
        """Where they stand across the posts, in words."""
        return "flush with their front"

    @property
    def before_posts(self) -> float:
        """How far the rails stand out before the posts' faces, mm."""
        return 0.0 if self.between_posts else self.section[1]

    @property
    def flat_back(self) -> bool:
        """Whether pales can be fixed to the rails' backs."""
        return self.form == RailForm.FACE

    def faces(self, face: float) -> tuple[float, float]:
        """Return how far their backs and fronts are before the line, mm. face : of the posts."""
        front = face + self.before_posts
        return front - self.section[1], front


def rail_plan(rails: Rails, pales: PalePlan, panels: Panels) -> RailPlan:
    """Return the rails of a run; their tops as usual where the spec gives none."""
    tops = rails.tops or _default_tops(rails, pales)
    return RailPlan(
        RailForm(rails.form),
        rails.section,
        tops,
        rails.stock_length,
        rails.joints,
        rails.corners,
        rails.bolt,
        panel_plan(panels, len(tops)),
    )


def _default_tops(rails: Rails, pales: PalePlan) -> tuple[float, ...]:
    """Rails set in from the foot and the shoulder of the pales by 12 %, 90 to 200 mm."""
    count = rails.count or (2 if pales.clearance + pales.longest <= LOW_FENCE else 3)
    inset = min(max(0.12 * pales.shortest, 90.0), 200.0)
    first = pales.clearance + inset + rails.section[0]
    last = pales.shoulder - inset
    if count == 1:
        return (last,)
    step = (last - first) / (count - 1)
    return tuple(round(first + step * number, 1) for number in range(count))
