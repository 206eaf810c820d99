"""The line of a fence on the site: corners, chainage, levels and the frame of each leg.

The line runs through the centres of the line posts. Inside the model it always runs so that the
front of the fence is on its right: seen from the front, distance along a leg grows from left to
right. A line given the other way round is turned, and only what people read (chainages, post
numbers) is counted from the start they gave.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from .geometry import Frame, Point, Vector


@dataclass(frozen=True)
class Leg:
    """One straight part of a line.

    start, end : (x, y, level), mm; before : float, mm, length of the legs before it;
    turn_start, turn_end : float, degrees, the turn of the line where the leg starts and ends,
    positive to the left, which is away from the front: the corner is then an outside corner.
    """

    start: Vector
    end: Vector
    before: float
    turn_start: float
    turn_end: float

    @property
    def length(self) -> float:
        """Plan length, mm."""
        return math.dist(self.start[:2], self.end[:2])

    @property
    def frame(self) -> Frame:
        """Frame of the leg: x along it, y to the back of the fence, z up, at the start."""
        length = self.length
        ux = (self.end[0] - self.start[0]) / length
        uy = (self.end[1] - self.start[1]) / length
        return Frame(self.start, (ux, uy, 0.0), (-uy, ux, 0.0))

    def ground(self, x: float) -> float:
        """Return the ground level at distance x (mm) along the leg, over the leg's start, mm."""
        return (self.end[2] - self.start[2]) * x / self.length


@dataclass(frozen=True)
class SiteLine:
    """A line of legs, front on the right.

    vertices : (x, y, level) triples, mm; closed : whether the last vertex joins the first;
    turned : whether the line runs against the order in which the user gave it.
    """

    vertices: tuple[Vector, ...]
    closed: bool = False
    turned: bool = False

    @staticmethod
    def through(points: tuple[Vector, ...], *, closed: bool, front_left: bool) -> SiteLine:
        """Return the line through `points` with its front on the given side of travel."""
        if not front_left:
            return SiteLine(points, closed, False)
        if closed:
            # keep the user's first vertex first
            return SiteLine((points[0], *reversed(points[1:])), True, True)
        return SiteLine(tuple(reversed(points)), False, True)

    @property
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
            legs.append(Leg(start, end, before, turns[number], after))
            before += legs[-1].length
        return tuple(legs)

    @property
    def length(self) -> float:
        """Whole plan length, mm."""
        last = self.legs[-1]
        return last.before + last.length

    def chainage(self, distance: float) -> float:
        """Return the chainage, counted from the user's start, at a distance along this line."""
        return self.length - distance if self.turned else distance

    def distance(self, chainage: float) -> float:
        """Return the distance along this line at a chainage counted from the user's start."""
        return self.length - chainage if self.turned else chainage


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
