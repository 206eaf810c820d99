"""What a run's line marks: the middle of its posts, a face, or a boundary that nothing crosses."""

from __future__ import annotations

import math
from bisect import bisect_right
from dataclasses import dataclass, replace
from itertools import accumulate

from palewright.model.basis.errors import Problem
from palewright.model.geometry.frames import Point
from palewright.model.geometry.shapes import Hole, RoundHole
from palewright.model.site.path import Chords, Node, in_chords
from palewright.model.spec.infill_keys import Capping
from palewright.model.spec.post_keys import Posts
from palewright.model.spec.spec_tables import Run

from .pale_lay import layers_of
from .pale_plan import PalePlan
from .post_plan import PostPlans
from .rail_plan import RailPlan
from .sites import LineFaults, line_problems

FINEST = 8.0
"""A curve is cut no finer for the bays beside it, in parts of the largest bay."""


@dataclass(frozen=True)
class FenceDepth:
    """How far a fence reaches from the middle of its line posts, mm: to the faces of its posts, the
    front of its pales, and all of it with caps and concrete to the front and to the back.
    """

    face: float
    pale_front: float
    front: float
    back: float


def depth_of(
    posts: PostPlans,
    rails: RailPlan,
    pales: PalePlan,
    *,
    corners: bool,
    hung: Capping | None = None,
) -> FenceDepth:
    """Return how far the fence of a run reaches. corners : whether its line has any; hung : a
    capping rail on it.
    """
    face = posts.face
    layers = layers_of(pales.on, rails.faces(face), pales.thickness)
    pale_front = max(layer.front for layer in layers)
    front, back = max(pale_front, face + rails.before_posts), face
    for plan in posts.kinds:
        wide = max((one.size[1] for one in (plan.cap, plan.finial) if one), default=0.0)
        over = max(0.0, (wide - plan.depth) / 2.0)
        middle = plan.depth / 2.0 - face  # thicker posts stand back
        half, aside = _half_across(plan.foot.room, corners=corners), plan.foot.aside
        front = max(front, face + over, half - middle - aside)
        back = max(back, plan.depth - face + over, half + middle + aside)
    if hung is not None and hung.over != "none":
        edge = max(pale_front, face + rails.before_posts) + hung.overhang
        wide = hung.overhang + back if hung.width is None else hung.width - edge
        front, back = max(front, edge), max(back, wide if hung.over == "posts" else back)
    return FenceDepth(face, pale_front, front, back)


def _half_across(hole: Hole, *, corners: bool) -> float:
    """Return half of what a post takes up across the fence, mm."""
    if isinstance(hole, RoundHole):
        return hole.diameter / 2.0
    # at a corner an edge of it turns outward
    return math.hypot(hole.width, hole.depth) / 2.0 if corners else hole.depth / 2.0


def offset_of(run: Run, depth: FenceDepth) -> float:
    """Return how far the middle of the posts is behind the line that is given, mm; before it where
    negative.
    """
    match run.line_is:
        case "front of posts":
            return depth.face
        case "back of posts":
            return -depth.face
        case "front of pales":
            return depth.pale_front
        case "boundary in front":
            return depth.front + run.inset
        case "boundary behind":
            return -depth.back - run.inset
        case _:
            return 0.0


@dataclass(frozen=True)
class Carried:
    """Places along a given line, carried over to one beside it.

    points : of the given line; given, moved : distances of the corners along either, mm;
    setbacks : how much later each leg of the given line has the start of the moved one beside it.
    """

    points: tuple[Point, ...]
    given: tuple[float, ...]
    moved: tuple[float, ...]
    setbacks: tuple[float, ...]

    def at(self, chainage: float) -> float:
        """Return the chainage on the moved line that is beside one on the given line, mm."""
        if chainage >= self.given[-1]:
            return self.moved[-1] + chainage - self.given[-1]
        leg = min(max(bisect_right(self.given, chainage) - 1, 0), len(self.setbacks) - 1)
        x = chainage - self.given[leg] - self.setbacks[leg]
        return self.moved[leg] + min(max(x, 0.0), self.moved[leg + 1] - self.moved[leg])

    def run(self, run: Run) -> Run:
        """Return a run with its chainages carried over."""
        ends = {
            key: tuple(
                part.model_copy(update={"start": self.at(part.start), "end": self.at(part.end)})
                for part in getattr(run, key)
            )
            for key in ("part", "no_post", "gap")
        }
        spots = {
            key: tuple(
                spot.model_copy(update={"at": self.at(spot.at)}) for spot in getattr(run, key)
            )
            for key in ("gate", "fixed")
        }
        levels = {
            key: tuple((self.at(x), z) for x, z in getattr(run, key))
            for key in ("levels", "levels_front", "levels_back")
        }
        return run.model_copy(update={**ends, **spots, **levels})


def line_beside(
    nodes: tuple[Node, ...], ring: bool, posts: Posts, left: float, told: LineFaults
) -> tuple[Chords, Carried | None, list[Problem]]:
    """Return a line in chords, moved aside, how places on it go over, and what is wrong with it.

    left : to the left of its way, mm.
    """
    bay = posts.bay
    while bay * FINEST > posts.bay:
        cut = in_chords(nodes, closed=ring, bay=bay, offset=posts.curve_offset)
        problems = line_problems(cut, ring, told)
        if left == 0.0 or problems:
            return cut, None, problems
        moved, carried, problems = _moved_aside(cut, ring, left, told)
        over = _longest_chord(moved, ring) / posts.bay
        if problems or over <= 1.0 + 1e-9:
            return moved, carried, problems or line_problems(moved, ring, told)
        bay /= max(over, 1.02)  # on the outside of a curve chords are longer
    text = "on the curve no bay is short enough for a fence so far beside the line that is given"
    return cut, None, [told.whole(text)]


def _longest_chord(cut: Chords, ring: bool) -> float:
    ends = (*cut.points[1:], cut.points[0]) if ring else cut.points[1:]
    return max(
        (
            math.dist(a, b)
            for number, (a, b) in enumerate(zip(cut.points, ends, strict=False))
            if number in cut.bent or (number + 1) % len(cut.points) in cut.bent
        ),
        default=0.0,
    )


def _moved_aside(
    cut: Chords, ring: bool, left: float, told: LineFaults
) -> tuple[Chords, Carried, list[Problem]]:
    """Return a line moved aside, corners mitred, how places on it go over, and what is wrong.

    left : to the left of its way, mm. A leg that would be turned round is a problem.
    """
    points = cut.points
    pairs = list(zip(points, (*points[1:], points[0]), strict=True))[: None if ring else -1]
    ways = [_way(a, b) for a, b in pairs]
    moved = []
    for number, (x, y) in enumerate(points):
        before = ways[number - 1] if ring or number else ways[0]
        after = ways[number] if number < len(ways) else ways[-1]
        dot = before[0] * after[0] + before[1] * after[1]
        share = left / (1.0 + dot)
        moved.append((x - share * (before[1] + after[1]), y + share * (before[0] + after[0])))
    problems = []
    ends = (*moved[1:], moved[0]) if ring else moved[1:]
    for number, ((a, b), way) in enumerate(zip(zip(moved, ends, strict=False), ways, strict=True)):
        if (b[0] - a[0]) * way[0] + (b[1] - a[1]) * way[1] < 1.0:
            text = (
                f"leg {number + 1} is too short for the fence to stand {abs(left):.0f} mm "
                "beside the line that is given"
            )
            problems.append(told.whole(text))
    lengths = [math.dist(a, b) for a, b in pairs]
    beside = [math.dist(a, b) for a, b in zip(moved, ends, strict=False)]
    carried = Carried(
        points,
        (0.0, *accumulate(lengths)),
        (0.0, *accumulate(beside)),
        tuple(_setback(points[n], moved[n], way) for n, way in enumerate(ways)),
    )
    return replace(cut, points=tuple(moved)), carried, problems


def _way(a: Point, b: Point) -> Point:
    length = math.dist(a, b)
    return (b[0] - a[0]) / length, (b[1] - a[1]) / length


def _setback(given: Point, moved: Point, way: Point) -> float:
    return (moved[0] - given[0]) * way[0] + (moved[1] - given[1]) * way[1]
