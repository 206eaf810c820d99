"""The leaves of a gate in its opening: edges, ledges, pales, and the brace between ledges."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

from palewright.model.geometry.frames import Point
from palewright.model.geometry.shapes import tidy
from palewright.model.resolved.job import RunJob
from palewright.model.resolved.leaf_plans import LeafPlan, SlidePlan

from .pale_turns import PalePlace, places, space_by_turns
from .spacing import Spacing
from .top_line import catenary, circle

MIDDLE_LEDGE = 1500.0
"""A leaf taller than this between its outer ledges gets a middle one, mm (common practice)."""

STEEP_ENOUGH, LEAST_REACH = 36.0, 0.7
"""A brace from corner to corner that would be flatter (degrees) is set at this angle and ends short
of the latch side, as long as it reaches so much of the leaf (common practice)."""

WHEEL_ROOM, BEAM_ROOM = 110.0, 160.0
"""From the ground to the lowest ledge of a leaf on a track and of a cantilever one, mm: their
wheels and their beam are under it."""

BRACE_INSET = 20.0
"""From the leaf's edges to the brace's ends along the ledges, mm."""


@dataclass(frozen=True)
class Leaf:
    """A gate leaf.

    x0, x1 : its edges along the leg; hinge_left : whether it hangs on the left, seen from the
    front; plan : how it is made; foot : of its pales over the gate's base; lengths : of these, from
    left to right; ledges : height of each ledge's underside over the base, lowest first; spacing :
    of its pales; keeps : whether its free side shuts against a post; stands : whether it is held by
    a drop bolt; front, back : y of its pales' fronts and backs in the leg, mm. The hanging side of
    a leaf that slides is the one that it opens to.
    """

    x0: float
    x1: float
    hinge_left: bool
    plan: LeafPlan
    foot: float
    lengths: tuple[float, ...]
    ledges: tuple[float, ...]
    spacing: Spacing
    keeps: bool
    stands: bool
    front: float
    back: float

    @property
    def width(self) -> float:
        """Width of the leaf, mm."""
        return self.x1 - self.x0

    @cached_property
    def pales(self) -> tuple[PalePlace, ...]:
        """Where its pales stand along the leg."""
        return places(self.plan.pales, self.spacing, self.x0)

    @cached_property
    def height(self) -> float:
        """Length of its longest pale, mm."""
        return max(self.lengths, default=self.plan.height - self.foot)

    def outline(self) -> tuple[Point, ...]:
        """Return what its pales fill as x and height over the gate's base, mm, anticlockwise."""
        tops = [
            (place.edge + x, self.foot + length)
            for place, length in zip(self.pales, self.lengths, strict=True)
            for x in (0.0, place.kind.width)
        ]
        level = len(set(self.lengths)) < 2
        high = self.foot + self.height
        tops = [(self.x0, high), (self.x1, high)] if level else tops
        return (self.x0, self.foot), (self.x1, self.foot), *reversed(tops)


@dataclass(frozen=True)
class Brace:
    """A brace tight between two ledges.

    degrees : of its axis over the horizontal; along : length of its cuts on the ledges, mm;
    run : level distance from one end of a side to the other, mm; rise : between the ledges, mm.
    """

    degrees: float
    along: float
    run: float
    rise: float


def leaves_of(
    run: RunJob, number: int, ends: Point, ground: float, base: float
) -> tuple[Leaf, ...]:
    """Return the leaves of a gate, from left to right.

    number : of the gate in its run; ends : x of the gate posts' faces; ground : its highest, base :
    what heights count from, mm over the leg's start; with a level top line the ground may lie below
    the base.
    """
    gates, spec, (start, end) = run.gates, run.gates.openings[number], ends
    foot = run.leaf_clearance + ground - base
    hinge, latch = gates.hinge_clearance, gates.latch_clearance
    spans: tuple[tuple[float, float, bool, bool, bool], ...]
    if spec.leaves == 2:
        middle = (start + end) / 2.0
        spans = (
            (start + hinge, middle - latch / 2.0, True, False, False),
            (middle + latch / 2.0, end - hinge, False, False, True),
        )
    elif spec.hinge == "left":
        spans = ((start + hinge, end - latch, True, True, False),)
    else:
        spans = ((start + latch, end - hinge, False, True, False),)
    plan = run.gates.leaves[number]
    ledges = _ledge_heights(run, plan, foot)
    front, back = -run.pale_front, -run.pale_back
    if plan.slide is not None:
        spans = (_slid(plan.slide, ends),)
        ledges = _over_wheels(ledges, plan.slide, ground - base)
        front = behind_posts(run) + plan.slide.clear
        back = front + run.pales.thickness
    made = []
    for x0, x1, left, keeps, stands in spans:
        spacing = space_by_turns(plan.pales, x1 - x0)
        standing = places(plan.pales, spacing, x0)
        first, last = (standing[n].kind.width / 2.0 if standing else 0.0 for n in (0, -1))
        # from the middle of the first pale to that of the last
        whole = (spans[0][0], spans[-1][1]) if plan.top.over == "gate" else (x0, x1)
        ends = whole[0] + spacing.start + first, whole[1] - spacing.start - last
        lengths = tuple(
            plan.height - foot + _offset(plan, ends, one.middle) - plan.pales.shorter(one.kind)
            for one in standing
        )
        made.append(
            Leaf(
                x0, x1, left, plan, foot, lengths, ledges, spacing, keeps, stands, front, back
            )
        )  # fmt: skip
    return tuple(made)


def _slid(slide: SlidePlan, ends: Point) -> tuple[float, float, bool, bool, bool]:
    """Return the edges of a leaf that slides, when it is shut, and how it goes."""
    (start, end), left = ends, slide.to_left
    near, far = (slide.tail, slide.lap) if left else (slide.lap, slide.tail)
    return start - near, end + far, left, True, False


def behind_posts(run: RunJob) -> float:
    """Return y of the backs of the posts of a run, or of pales that reach farther back, mm."""
    posts = max(plan.depth for plan in run.posts.kinds) - run.face
    return tidy(max(posts, *(-layer.back for layer in run.layers)))


def _over_wheels(ledges: tuple[float, ...], slide: SlidePlan, ground: float) -> tuple[float, ...]:
    """Return the undersides of ledges, the lowest no lower than wheels or a beam have their room.

    ground : over the gate's base, mm.
    """
    low = max(ledges[0], ground + (BEAM_ROOM if slide.cantilever else WHEEL_ROOM))
    middle = ((low + ledges[-1]) / 2.0,) if len(ledges) > 2 else ()
    return low, *middle, ledges[-1]


def _offset(plan: LeafPlan, ends: Point, x: float) -> float:
    """Return how much longer a pale at x is than at the ends of the leaf's top line, mm."""
    top = plan.top
    half = (ends[1] - ends[0]) / 2.0
    if top.shape == "straight" or half <= 0.0:
        return 0.0
    curve = circle if top.curve == "circle" else catenary
    height = tidy(curve(half, top.rise, abs(tidy(x - (ends[0] + ends[1]) / 2.0))))
    return -height if top.shape == "dip" else height


def raised_for(run: RunJob, number: int) -> float:
    """Return how much higher a gate's posts stand than others, so that its hinges have the same
    room below their tops, mm.
    """
    plan = run.gates.leaves[number]
    upper = plan.lowest - plan.head_rise - (run.shoulder - run.rails.tops[-1])
    return max(0.0, tidy(upper - run.rails.tops[-1])) if plan.own else 0.0


def _ledge_heights(run: RunJob, plan: LeafPlan, foot: float) -> tuple[float, ...]:
    height = plan.ledge[0]
    low, high = run.rails.tops[0] - height, run.rails.tops[-1] - height
    under = run.shoulder - run.rails.tops[-1]
    if plan.own:  # as far under the shortest pale's head as the fence's rail
        high = tidy(plan.lowest - plan.head_rise - under - height)
    low = max(low, foot) if foot >= 0.0 else foot + low
    if len(run.rails.tops) == 1:
        low = foot + under
    if plan.ledges == 3 or (plan.ledges is None and high - low - height > MIDDLE_LEDGE):
        return low, (low + high) / 2.0, high
    return low, high


def brace_of(width: float, rise: float, size: float) -> Brace | None:
    """Return the brace of a leaf, or None when it does not fit.

    Parameters
    ----------
    width, rise : float, mm
        Of the leaf, and between the ledges.
    size : float, mm
        Width of the brace.

    Notes
    -----
    A brace of width b, level run r between the ends of one side and rise H is cut to a length
    s = b sqrt(H^2 + r^2) / H along the ledges, and r + s is the room R. Put together,
    (H^2 - b^2) s^2 + 2 b^2 R s - b^2 (H^2 + R^2) = 0. A brace that would be too flat from corner to
    corner ends short of the latch side.
    """
    room = width - 2.0 * BRACE_INSET
    if rise <= size or room <= size:
        return None
    a = rise**2 - size**2
    b = 2.0 * size**2 * room
    c = -(size**2) * (rise**2 + room**2)
    along = (-b + math.sqrt(b * b - 4.0 * a * c)) / (2.0 * a)
    run = room - along
    if run < 0.0:
        return None
    degrees = math.degrees(math.atan2(rise, run))
    steep = math.radians(STEEP_ENOUGH)
    short = size / math.sin(steep), rise / math.tan(steep)
    if degrees < STEEP_ENOUGH and sum(short) >= LEAST_REACH * room:
        return Brace(STEEP_ENOUGH, *short, rise)
    return Brace(degrees, along, run, rise)
