"""The rails of a run, worked out."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from palewright.model.spec.infill_keys import Rails
from palewright.model.spec.panel_keys import Panels

from .pale_plan import PalePlan
from .panel_plan import PanelPlan, panel_plan
from .post_plan import PostPlans
from .rail_ways import WAYS, RailWay, setback_of
from .tenon_plan import TenonPlan, tenon_plan

LOW_FENCE = 1200.0
"""Up to this height two rails, above it three, mm (common practice, no source)."""


@dataclass(frozen=True)
class RailPlan:
    """The rails of a run. form : the word of its way; section : height and thickness, mm; tops :
    heights of their top edges over ground, lowest first, mm; stock_length : longest to be had, mm;
    bolt : its size; setback : how far their fronts are behind the posts' faces, mm, under 0 before
    them; tenon : of each end, None for none; panels : how bays are hung whole, None where rails
    are fixed one by one.
    """

    form: str
    section: tuple[float, float]
    tops: tuple[float, ...]
    stock_length: float
    joints: Literal["fewest", "least timber"]
    corners: Literal["mitre", "butt"]
    bolt: str
    setback: float
    tenon: TenonPlan | None = None
    panels: PanelPlan | None = None

    @property
    def way(self) -> RailWay:
        """How they are held."""
        return WAYS[self.form]

    @property
    def over_posts(self) -> bool:
        """Whether they go on over posts, else each ends at the sides of two."""
        return self.way.over_posts

    @property
    def bolted(self) -> bool:
        """Whether a bolt goes through each and its post."""
        return self.way.bolted

    @property
    def before_posts(self) -> float:
        """How far the rails stand out before the posts' faces, mm, under 0 behind them."""
        return -self.setback

    @property
    def flat_back(self) -> bool:
        """Whether pales can be fixed to the rails' backs."""
        return self.way.flat_back

    @property
    def notch(self) -> float:
        """How deep they are let into the posts' faces, mm, where they go on over posts; else 0."""
        return self.setback + self.section[1] if self.over_posts else 0.0

    @property
    def let_in(self) -> bool:
        """Whether timber is cut out of the posts for them."""
        return self.way.let_in

    @property
    def boards_between(self) -> bool:
        """Whether gravel boards stand between the posts, not on their faces behind the pales."""
        return not self.over_posts or self.notch > 0.0

    @property
    def triangular(self) -> bool:
        """Whether their section is a triangle with its flat side to the front."""
        return self.form == "arris"

    def faces(self, face: float) -> tuple[float, float]:
        """Return how far their backs and fronts are before the line. face : of the posts, mm."""
        return face - (self.setback + self.section[1]), face - self.setback

    @property
    def set_words(self) -> str:
        """Where they stand across the posts, in words."""
        return "in the middle of the posts" if self.setback > 0.0 else "flush with their front"


def rail_plan(rails: Rails, pales: PalePlan, posts: PostPlans, panels: Panels) -> RailPlan:
    """Return the rails of a run; their tops as usual where the spec gives none."""
    if panels.made and panels.hung == "between posts" and rails.form == "face":
        rails = rails.model_copy(update={"form": "between"})
    tops = rails.tops or _default_tops(rails, pales)
    setback = setback_of(rails, posts)
    return RailPlan(
        rails.form,
        rails.section,
        tops,
        rails.stock_length,
        rails.joints,
        rails.corners,
        rails.bolt,
        setback,
        tenon_plan(rails, posts, setback),
        panel_plan(panels, len(tops)),
    )


def _default_tops(rails: Rails, pales: PalePlan) -> tuple[float, ...]:
    """Rails set in from the foot and the shoulder of the pales by 12 %, 90 to 200 mm."""
    count = rails.count or (2 if pales.clearance + pales.longest <= LOW_FENCE else 3)
    inset = min(max(0.12 * pales.shortest, 90.0), 200.0)
    first = pales.clearance + inset + rails.section[0]
    last = pales.shoulder - inset
    if pales.crown and rails.form == "face":  # a capping rail is fixed to it
        last = pales.clearance + pales.longest
    if count == 1:
        return (last,)
    step = (last - first) / (count - 1)
    tops = [round(first + step * number, 1) for number in range(count)]
    return (*tops[:-1], last) if pales.crown else tuple(tops)
