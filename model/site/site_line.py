"""The line of a fence on the site: corners, chainage, levels and the frame of each leg.

The line runs through the centres of the line posts. Inside the model it always runs so that the
front of the fence is on its right: seen from the front, distance along a leg grows from left to
right. A line given the other way round is turned, and only what people read (chainages, post
numbers) is counted from the start they gave.
"""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from dataclasses import dataclass
from functools import cached_property

from palewright.model.geometry.frames import Frame, Point, Vector


@dataclass(frozen=True)
class Leg:
    """One straight part of a line.

    start, end : (x, y, level), mm; before : float, mm, length of the legs before it;
    turn_start, turn_end : float, degrees, the turn of the line where the leg starts and ends,
    positive to the left, which is away from the front: the corner is then an outside corner;
    knots : (x, z) pairs between the ends where the ground changes its slope, z over the start;
    bent_start, bent_end : whether that turn belongs to a curve that the leg is a chord of;
    offset : largest distance between the leg and the curve, mm.
    """

    start: Vector
    end: Vector
    before: float
    turn_start: float
    turn_end: float
    knots: tuple[Point, ...] = ()
    bent_start: bool = False
    bent_end: bool = False
    offset: float = 0.0

    @property
    def length(self) -> float:
        """Plan length, mm."""
        return math.dist(self.start[:2], self.end[:2])

    @cached_property
    def frame(self) -> Frame:
        """Frame of the leg: x along it, y to the back of the fence, z up, at the start."""
        length = self.length
        ux = (self.end[0] - self.start[0]) / length
        uy = (self.end[1] - self.start[1]) / length
        return Frame(self.start, (ux, uy, 0.0), (-uy, ux, 0.0))

    @cached_property
    def profile(self) -> tuple[Point, ...]:
        """The ground along the leg: (x, z) from its start to its end, z over the start, mm."""
        return (0.0, 0.0), *self.knots, (self.length, self.end[2] - self.start[2])

    def ground(self, x: float) -> float:
        """Return the ground level at distance x (mm) along the leg, over the leg's start, mm.

        Straight between the known levels; level beyond the leg's ends.
        """
        return level_at(self.profile, x)

    def ground_between(self, x0: float, x1: float) -> tuple[Point, ...]:
        """Return the ground from x0 to x1 as (x, z) points, mm."""
        return profile_between(self.profile, x0, x1)

    def highest(self, x0: float, x1: float) -> float:
        """Return the highest ground between two places, over the leg's start, mm."""
        return max(z for _, z in self.ground_between(x0, x1))

    def lowest(self, x0: float, x1: float) -> float:
        """Return the lowest ground between two places, over the leg's start, mm."""
        return min(z for _, z in self.ground_between(x0, x1))


def level_at(profile: tuple[Point, ...], x: float) -> float:
    """Return the level at x on a profile of (x, level) points in order; level beyond its ends.

    >>> level_at(((0.0, 0.0), (10.0, 5.0)), 4.0), level_at(((0.0, 0.0), (10.0, 5.0)), 12.0)
    (2.0, 5.0)
    """
    if x <= profile[0][0]:
        return profile[0][1]
    if x >= profile[-1][0]:
        return profile[-1][1]
    number = bisect_right(profile, x, key=lambda point: point[0])
    (x0, z0), (x1, z1) = profile[number - 1], profile[number]
    return z0 + (z1 - z0) * (x - x0) / (x1 - x0)


def profile_between(profile: tuple[Point, ...], x0: float, x1: float) -> tuple[Point, ...]:
    """Return a profile of (x, level) points in order from x0 to x1, with its levels at both.

    >>> profile_between(((0.0, 0.0), (10.0, 5.0), (20.0, 5.0)), 4.0, 12.0)
    ((4.0, 2.0), (10.0, 5.0), (12.0, 5.0))
    """
    first = bisect_right(profile, x0, key=lambda point: point[0])
    last = bisect_left(profile, x1, key=lambda point: point[0])
    ends = (x0, level_at(profile, x0)), (x1, level_at(profile, x1))
    return ends[0], *profile[first:last], ends[1]


@dataclass(frozen=True)
class SiteLine:
    """A line of legs, front on the right.

    vertices : (x, y, level) triples, mm; closed : whether the last vertex joins the first;
    turned : whether the line runs against the order in which the user gave it;
    knots : (distance, level) pairs in order, where levels are known; bent : numbers of the
    vertices that only turn along a curve; offsets : of each leg from its curve, mm, or none.
    """

    vertices: tuple[Vector, ...]
    closed: bool = False
    turned: bool = False
    knots: tuple[Point, ...] = ()
    bent: frozenset[int] = frozenset()
    offsets: tuple[float, ...] = ()

    def facing(self, *, front_left: bool) -> SiteLine:
        """Return this line with its front on the right, given on which side it is now."""
        if not front_left:
            return self
        count = len(self.vertices)
        # a ring keeps the user's first vertex first
        order = [0, *range(count - 1, 0, -1)] if self.closed else [*range(count - 1, -1, -1)]
        length = self.length
        return SiteLine(
            tuple(self.vertices[number] for number in order),
            self.closed,
            not self.turned,
            tuple((length - x, level) for x, level in reversed(self.knots)),
            frozenset(place for place, number in enumerate(order) if number in self.bent),
            self.offsets[::-1],
        )

    @cached_property
    def legs(self) -> tuple[Leg, ...]:
        """The legs in order."""
        ends = (*self.vertices[1:], self.vertices[0]) if self.closed else self.vertices[1:]
        starts = self.vertices if self.closed else self.vertices[:-1]
        pairs = list(zip(starts, ends, strict=True))
        turns = [
            turn_between(direction(*pairs[number - 1]), direction(*pair))
            for number, pair in enumerate(pairs)
        ]
        if not self.closed:
            turns[0] = 0.0
        legs = []
        before = 0.0
        for number, (start, end) in enumerate(pairs):
            last = number == len(pairs) - 1
            after = (turns[0] if self.closed else 0.0) if last else turns[number + 1]
            length = math.dist(start[:2], end[:2])
            following = 0 if last and self.closed else number + 1
            legs.append(
                Leg(
                    start,
                    end,
                    before,
                    turns[number],
                    after,
                    self._knots_between(before, length, start[2]),
                    number in self.bent,
                    following in self.bent,
                    self.offsets[number] if self.offsets else 0.0,
                )
            )
            before += length
        return tuple(legs)

    def _knots_between(self, before: float, length: float, level: float) -> tuple[Point, ...]:
        first = bisect_left(self.knots, before + NEAR, key=lambda knot: knot[0])
        last = bisect_left(self.knots, before + length - NEAR, key=lambda knot: knot[0])
        return tuple((x - before, z - level) for x, z in self.knots[first:last])

    @property
    def length(self) -> float:
        """Whole plan length, mm; the last leg ends just there."""
        last = self.legs[-1]
        return last.before + last.length

    def chainage(self, distance: float) -> float:
        """Return the chainage, counted from the user's start, at a distance along this line."""
        return self.length - distance if self.turned else distance

    def distance(self, chainage: float) -> float:
        """Return the distance along this line at a chainage counted from the user's start."""
        return self.length - chainage if self.turned else chainage


def turns_by(turn: float, least: float) -> bool:
    """Tell whether a line turns at least so far, degrees; at just so far, rounding decides not.

    >>> turns_by(-45.0 + 1e-12, 45.0), turns_by(44.0, 45.0)
    (True, False)
    """
    return abs(turn) > least - 1e-6


NEAR = 1e-6
"""Levels nearer to a vertex than this are the vertex's own, mm."""


def direction(start: Vector, end: Vector) -> Point:
    """Return the plan direction from start to end, a unit vector."""
    length = math.dist(start[:2], end[:2])
    return (end[0] - start[0]) / length, (end[1] - start[1]) / length


def turn_between(first: Point, second: Point) -> float:
    """Return the turn from one plan direction to the next, degrees, positive to the left.

    >>> turn_between((1.0, 0.0), (0.0, 1.0))
    90.0
    """
    return math.degrees(
        math.atan2(
            first[0] * second[1] - first[1] * second[0],
            first[0] * second[0] + first[1] * second[1],
        )
    )
