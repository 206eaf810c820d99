"""Ties: two lengths to each fixed post from points that are there, and lengths between runs."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from palewright.model.basis.text import plain
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.frames import Point
from palewright.model.layout.placed_posts import PlacedPost
from palewright.model.resolved.words import PostRole

REACH = 30_000.0
"""Ties are no longer than this, mm: the usual long tape (common practice, no source)."""

NEAREST = 12
"""How many of the nearest points ties are chosen from."""

LEAST_ANGLE, GOOD_ANGLE = 20.0, 45.0
"""Angle between two ties, degrees, under which they do not fix a post, and from which on points
that stand already are taken rather than posts set before (common practice, no source)."""

LEAST_TIE = 300.0
"""Points nearer than this give no direction, mm."""

TIED = (PostRole.END, PostRole.CORNER, PostRole.GATE)
"""The kinds of post that are tied."""

MEASURED_FROM = ("house", "wall", "kerb", "manhole", "benchmark", "fence", "boundary")
"""Kinds of things with points that a tape can be held to."""

BETWEEN_RUNS = 6000.0
"""Ends of runs farther apart than this are not measured from each other, mm."""


@dataclass(frozen=True)
class FixedPoint:
    """A point that ties are measured from. name : on paper; at : about the job's origin, mm;
    stands : whether it is there before the fence is.
    """

    name: str
    at: Point
    stands: bool


@dataclass(frozen=True)
class Tie:
    """How a post is found from two points.

    post : its label; at : its middle; points : what is measured from, none where no two points
    are in reach at a fair angle; lengths : from each to the post's middle, level, mm; angle :
    between both at the post, degrees.
    """

    post: str
    at: Point
    points: tuple[FixedPoint, ...] = ()
    lengths: tuple[float, ...] = ()
    angle: float = 0.0


@dataclass(frozen=True)
class _Cloud:
    """Points in a row, to be asked for the nearest."""

    points: tuple[FixedPoint, ...]

    @cached_property
    def places(self) -> NDArray[np.float64]:
        """Where they are, (n, 2), mm."""
        return np.array([point.at for point in self.points], dtype=np.float64).reshape(-1, 2)

    def near(self, at: Point, before: int | None = None) -> list[FixedPoint]:
        """Return the nearest points in reach. before : how many of them are there by then."""
        places = self.places[:before]
        away = np.hypot(places[:, 0] - at[0], places[:, 1] - at[1])
        fair = np.flatnonzero((away >= LEAST_TIE) & (away <= REACH))
        nearest = fair[np.argsort(away[fair].round(3), kind="stable")[:NEAREST]]
        return [self.points[int(number)] for number in nearest]


def fixed_points(fence: FenceModel) -> tuple[FixedPoint, ...]:
    """Return the corners of what stands on the site and is not taken down, each once."""
    found: dict[Point, FixedPoint] = {}
    for feature in fence.job.features:
        if feature.goes or feature.kind not in MEASURED_FROM:
            continue
        for number, at in enumerate(feature.points, 1):
            name = plain(feature.called)
            name += f" {number}" if len(feature.points) > 1 else ""
            found.setdefault(at, FixedPoint(name, at, stands=True))
    return tuple(found.values())


def ties(fence: FenceModel) -> tuple[Tie, ...]:
    """Return the ties of each end, corner and gate post, in the order of setting out.

    Points that stand on the site come first; where no two of them are in reach at a good angle
    posts are tied to those set before, which begins at plates on walls and each run's start.
    """
    standing = _Cloud(fixed_points(fence))
    posts = [
        post
        for layout in fence.layouts
        for post in sorted(layout.posts, key=lambda post: post.chainage)
        if post.kind in (*TIED, PostRole.WALL)
    ]
    fixed = _Cloud(tuple(FixedPoint(p.label, p.frame.origin[:2], stands=False) for p in posts))
    return tuple(
        _tie(post, standing, fixed, number)
        for number, post in enumerate(posts)
        if post.kind in TIED
    )


def tied_points(fence: FenceModel) -> tuple[FixedPoint, ...]:
    """Return the points on the site that posts are tied to, each once."""
    used = (point for tie in ties(fence) for point in tie.points if point.stands)
    return tuple(dict.fromkeys(used))


def _tie(post: PlacedPost, standing: _Cloud, fixed: _Cloud, number: int) -> Tie:
    at = post.frame.origin[:2]
    near = standing.near(at)
    best = _best(post.label, at, near)
    if best.angle < GOOD_ANGLE:
        before = fixed.near(at, number)
        best = max(
            (best, _best(post.label, at, [*near, *before])), key=lambda tie: round(_sine(tie), 6)
        )
    return best


def _sine(tie: Tie) -> float:
    return math.sin(math.radians(tie.angle))


def _best(label: str, at: Point, points: Sequence[FixedPoint]) -> Tie:
    """Return the tie that a slip of the tape moves least: short, and near a right angle."""
    best, least = Tie(label, at), math.inf
    for pair in combinations(points, 2):
        ways = [math.atan2(p.at[1] - at[1], p.at[0] - at[0]) for p in pair]
        turn = abs((ways[1] - ways[0] + math.pi) % math.tau - math.pi)
        if math.sin(turn) < math.sin(math.radians(LEAST_ANGLE)):
            continue
        lengths = tuple(math.dist(point.at, at) for point in pair)
        cost = round(sum(lengths) / math.sin(turn), 3)
        if cost < least:
            angle = math.degrees(turn)
            best, least = Tie(label, at, pair, lengths, min(angle, 180.0 - angle)), cost
    return best


@dataclass(frozen=True)
class RunGap:
    """The way from the end of one run to that of another. first, last : labels of the posts;
    ends : their middles; between : from middle to middle, clear : between their faces, mm.
    """

    first: str
    last: str
    ends: tuple[Point, Point]
    between: float
    clear: float


def run_gaps(fence: FenceModel) -> tuple[RunGap, ...]:
    """Return the lengths between ends of runs that are each other's nearest and not far apart."""
    ends = [
        (run, post)
        for run, layout in enumerate(fence.layouts)
        if not layout.run.line.closed and layout.posts
        for post in (layout.posts[0], layout.posts[-1])
        if not post.host  # a plate on a post of another run is where that post is
    ]
    nearest = [_nearest(place, ends) for place in range(len(ends))]
    gaps = []
    for place, other in enumerate(nearest):
        if other is None or other < place or nearest[other] != place:
            continue
        one, two = ends[place][1], ends[other][1]
        a, b = one.frame.origin[:2], two.frame.origin[:2]
        clear = _clear(one, two)
        gaps.append(RunGap(one.label, two.label, (a, b), math.dist(a, b), clear))
    return tuple(gaps)


def _nearest(place: int, ends: Sequence[tuple[int, PlacedPost]]) -> int | None:
    run, post = ends[place]
    away = [
        (round(math.dist(other.frame.origin[:2], post.frame.origin[:2]), 3), number)
        for number, (other_run, other) in enumerate(ends)
        if other_run != run
    ]
    near = [(far, number) for far, number in away if far <= BETWEEN_RUNS]
    return min(near)[1] if near else None


def _clear(one: PlacedPost, two: PlacedPost) -> float:
    """Return the least distance between two posts in plan, mm."""
    import shapely

    return float(shapely.distance(shapely.Polygon(one.corners), shapely.Polygon(two.corners)))
