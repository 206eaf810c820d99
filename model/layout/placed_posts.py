"""Posts in their places."""

from __future__ import annotations

from dataclasses import dataclass

from palewright.model.geometry.frames import Frame, Point
from palewright.model.geometry.shapes import Footing
from palewright.model.resolved.post_plan import PostPlan
from palewright.model.resolved.words import PostRole
from palewright.model.site.site_line import Leg

FOOTED = (PostRole.LINE, PostRole.END, PostRole.CORNER, PostRole.GATE)
"""The kinds of post that stand on a foot of their own, in the order lists show them."""


@dataclass(frozen=True)
class PlacedPost:
    """A post on the site.

    kind : what it is for, WALL for a plate on a wall; frame : on the ground in the post's middle,
    x along the post's width; chainage : mm from the user's start; label : run letter and number,
    counted from the user's start; rise : of the highest base of its bays over the ground, mm;
    step : between the bases of its bays, mm; drop : from the ground in its middle to the lowest
    at its hole, where the concrete ends, in whole steps, mm; top : height of its highest point
    over the ground without a cap, mm; footing : what fills its hole, none where none is dug;
    kept : whether it stands already; named : what the spec calls it; fence_on : on a wall, the side
    that fence is on along the leg, 1 or -1; host : label of the post of another run that a plate is
    on, empty on a wall; hold : how deep its screws go into that, taken : heights over the ground
    that the bolts of that run's rails take there, mm; floor : how high the plate's foot is
    over the ground at least, mm; lowered : how far the top rail goes
    down to it from its usual height, mm; pier : whether a plate is on a pier.
    """

    kind: PostRole
    plan: PostPlan
    frame: Frame
    chainage: float
    label: str
    rise: float
    step: float
    drop: float
    top: float
    footing: Footing | None
    kept: bool = False
    named: str = ""
    fence_on: int = 1
    host: str = ""
    hold: float = 0.0
    taken: tuple[float, ...] = ()
    floor: float = 0.0
    lowered: float = 0.0
    pier: bool = False

    @property
    def on_wall(self) -> bool:
        """Whether it is a plate on a wall."""
        return self.kind == PostRole.WALL and not self.host

    @property
    def held_by(self) -> str:
        """What a plate in place of a post is on: the label of a post, pier or wall."""
        return self.host or ("pier" if self.pier else "wall")

    @property
    def made(self) -> bool:
        """Whether it is a post that is made: no plate on a wall, and none that is kept."""
        return self.plan.foot.made

    @property
    def full_height(self) -> float:
        """Height over the ground with its cap and its finial, mm."""
        return self.top + self.plan.crown

    @property
    def corners(self) -> tuple[Point, ...]:
        """The four corners in plan, mm, site coordinates, anticlockwise."""
        w, d = self.plan.width / 2.0, self.plan.depth / 2.0
        return tuple(
            self.frame.point((x, y, 0.0))[:2] for x, y in ((-w, -d), (w, -d), (w, d), (-w, d))
        )

    def in_leg(self, leg: Leg) -> tuple[Point, ...]:
        """Return the four corners in the frame of a leg."""
        frame = leg.frame
        return tuple(frame.local((x, y, leg.start[2]))[:2] for x, y in self.corners)

    def extent(self, leg: Leg) -> tuple[float, float]:
        """Return the smallest and largest x of the post in a leg."""
        xs = [x for x, _ in self.in_leg(leg)]
        return min(xs), max(xs)
