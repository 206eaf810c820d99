"""A run laid out: posts, stretches between fixed posts, gate openings, pales in their places.

Distances x run along a leg from its start (see `site_line`); the front of the fence is at
negative y.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from palewright.model.basis.units import format_length as mm
from palewright.model.geometry.frames import Frame, Point
from palewright.model.resolved.job import PostPlan, RunJob
from palewright.model.resolved.words import PostRole
from palewright.model.site.site_line import Leg
from palewright.model.spec.infill_keys import GateSpec

from .bases import BayBase

MEET = 30.0
"""From this turn on (degrees) the pales of two legs meet edge to edge at the corner; below it
they keep half a gap each, so that a nearly straight line shows no double pale."""

FOOTED = (PostRole.LINE, PostRole.END, PostRole.CORNER, PostRole.GATE)
"""The kinds of post that stand in the ground, in the order lists show them."""


@dataclass(frozen=True)
class PlacedPost:
    """A post on the site.

    kind : what it is for, WALL for a plate on a wall; frame : on the ground in the post's middle,
    x along the post's width; chainage : mm from the user's start; label : run letter and number,
    counted from the user's start; rise : of the highest base of its bays over the ground, mm;
    step : between the bases of its bays, mm; drop : from the ground in its middle to the lowest
    at its hole, where the concrete ends, in whole steps, mm.
    """

    kind: PostRole
    plan: PostPlan
    frame: Frame
    chainage: float
    label: str = ""
    rise: float = 0.0
    step: float = 0.0
    drop: float = 0.0

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


@dataclass(frozen=True)
class StretchEnd:
    """How a stretch ends on one side.

    x : where the line of the stretch ends (post centre, corner, or edge of the opening);
    kind : END, WALL, CORNER or GATE; turn : degrees, at corners; pair : whether a corner
    has a post on either side instead of one in it.
    """

    x: float
    kind: PostRole
    turn: float = 0.0
    pair: bool = False


@dataclass(frozen=True)
class Stretch:
    """Fence between two neighbouring fixed posts of one leg.

    leg : number of the leg; posts : numbers of its posts from first to last; xs : their x;
    first, last : how it ends; settings : of its bays; rows : of each row of rails the numbers of
    the posts it is jointed at, ends included; as few joints as can be when empty.
    """

    leg: int
    posts: tuple[int, ...]
    xs: tuple[float, ...]
    first: StretchEnd
    last: StretchEnd
    settings: tuple[BayBase, ...] = ()
    rows: tuple[tuple[int, ...], ...] = ()

    @property
    def bays(self) -> tuple[float, ...]:
        """Lengths of the bays, centre to centre, mm."""
        return tuple(b - a for a, b in zip(self.xs, self.xs[1:], strict=False))

    def bay_at(self, x: float) -> int:
        """Return the number of the bay that x lies in; beyond the posts the nearest one."""
        return min(max(bisect_right(self.xs, x) - 1, 0), len(self.xs) - 2)


@dataclass(frozen=True)
class Opening:
    """A gate opening. start, end : x of the gate posts' faces; posts : numbers of its posts;
    base : that its heights count from, and ground : its highest ground, mm over the leg's start.
    """

    leg: int
    start: float
    end: float
    posts: tuple[int, int]
    spec: GateSpec
    number: int
    base: float = 0.0
    ground: float = 0.0


@dataclass(frozen=True)
class SetPale:
    """A pale in its place.

    x : of its middle; bay : number of its bay; top : level of its head, mm over the leg's start;
    length : overall, mm; bevels : dx/dy of its left and right side.
    """

    x: float
    bay: int
    top: float
    length: float
    bevels: tuple[float, float] = (0.0, 0.0)

    @property
    def foot(self) -> float:
        """Level of its foot, mm over the leg's start."""
        return self.top - self.length


@dataclass(frozen=True)
class RunLayout:
    """A run with its posts. pales : in their places, stretch by stretch, once they are set."""

    run: RunJob
    posts: tuple[PlacedPost, ...]
    stretches: tuple[Stretch, ...]
    openings: tuple[Opening, ...]
    pales: tuple[tuple[SetPale, ...], ...] = ()

    @cached_property
    def legs(self) -> tuple[Leg, ...]:
        """The legs of the run's line."""
        return self.run.line.legs


def place_of(layout: RunLayout, stretch: Stretch, bay: int | None = None) -> str:
    """Return where a stretch or one of its bays is: "A01 to A05, chainage 0 to 7200"."""
    numbers = stretch.posts if bay is None else stretch.posts[bay : bay + 2]
    first, last = layout.posts[numbers[0]], layout.posts[numbers[-1]]
    low, high = sorted((first.chainage, last.chainage))
    return f"{first.label} to {last.label}, chainage {mm(low, 0)} to {mm(high, 0)}"


def gate_place(layout: RunLayout, opening: Opening) -> str:
    """Return which gate an opening is: "run A, gate 1"."""
    return f"run {layout.run.letter}, gate {opening.number + 1}"


def footed_posts(layout: RunLayout) -> Iterator[tuple[PostRole, list[PlacedPost]]]:
    """Yield the posts in the ground by kind; those of a kind stand equally deep."""
    for kind in FOOTED:
        posts = [post for post in layout.posts if post.kind == kind]
        if posts:
            yield kind, posts


def stations_of_leg(layout: RunLayout, leg_number: int) -> list[tuple[float, PlacedPost]]:
    """Return the posts of a leg from left to right, with their x on the line."""
    found: dict[int, float] = {}
    half = layout.run.posts.gate.width / 2.0
    for stretch in layout.stretches:
        if stretch.leg == leg_number:
            found.update(zip(stretch.posts, stretch.xs, strict=True))
    for opening in layout.openings:
        if opening.leg == leg_number:
            found[opening.posts[0]] = opening.start - half
            found[opening.posts[1]] = opening.end + half
    return [(x, layout.posts[number]) for number, x in sorted(found.items(), key=lambda i: i[1])]
