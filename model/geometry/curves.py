"""Curved parts of a line, and the chords that posts are set out on.

A curve is walked by its share, 0 at its start and 1 at its end, in equal steps of length.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

from .frames import Point

FLATTEST = 1e-9
"""Three points nearer to a straight line than this (relative to their distance) make no arc."""


@dataclass(frozen=True)
class Arc:
    """A circular arc in plan. start, sweep : radians, anticlockwise positive; lengths mm."""

    centre: Point
    radius: float
    start: float
    sweep: float

    @property
    def length(self) -> float:
        """Length along the arc, mm."""
        return self.radius * abs(self.sweep)

    def point(self, share: float) -> Point:
        """Return the point at a share of the arc's length."""
        angle = self.start + self.sweep * share
        return (
            self.centre[0] + self.radius * math.cos(angle),
            self.centre[1] + self.radius * math.sin(angle),
        )

    def turned_round(self) -> Arc:
        """Return this arc walked from its other end."""
        return Arc(self.centre, self.radius, self.start + self.sweep, -self.sweep)

    def offset(self, first: float, last: float) -> float:
        """Return the largest distance between the arc and its chord between two shares, mm.

        The sagitta of a chord that spans the angle t: r (1 - cos(t / 2)).
        """
        return self.radius * (1.0 - math.cos(self.sweep * (last - first) / 2.0))


@dataclass(frozen=True)
class Traced:
    """A curve known by points close together, as a spline flattened. points : mm."""

    points: tuple[Point, ...]

    @cached_property
    def _along(self) -> tuple[float, ...]:
        total = [0.0]
        for a, b in pairwise(self.points):
            total.append(total[-1] + math.dist(a, b))
        return tuple(total)

    @property
    def length(self) -> float:
        """Length along the points, mm."""
        return self._along[-1]

    def point(self, share: float) -> Point:
        """Return the point at a share of the curve's length."""
        at = min(max(share, 0.0), 1.0) * self.length
        number = min(max(bisect_right(self._along, at) - 1, 0), len(self.points) - 2)
        (x0, y0), (x1, y1) = self.points[number], self.points[number + 1]
        step = self._along[number + 1] - self._along[number]
        part = (at - self._along[number]) / step if step else 0.0
        return x0 + (x1 - x0) * part, y0 + (y1 - y0) * part

    def turned_round(self) -> Traced:
        """Return this curve walked from its other end."""
        return Traced(self.points[::-1])

    def offset(self, first: float, last: float) -> float:
        """Return the largest distance between the curve and its chord between two shares, mm."""
        a, b = self.point(first), self.point(last)
        chord = math.dist(a, b)
        low, high = first * self.length, last * self.length
        between = [p for p, s in zip(self.points, self._along, strict=True) if low < s < high]
        if chord == 0.0:
            return max((math.dist(a, p) for p in between), default=0.0)
        return max(
            (
                abs((b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0])) / chord
                for p in between
            ),
            default=0.0,
        )


Curve = Arc | Traced


def arc_through(start: Point, middle: Point, end: Point) -> Arc | None:
    """Return the arc from start to end through a point between, or None when they are in line.

    >>> arc = arc_through((0.0, 0.0), (10.0, 10.0), (20.0, 0.0))
    >>> round(arc.radius, 9), round(arc.length, 6)
    (10.0, 31.415927)
    """
    ax, ay = middle[0] - start[0], middle[1] - start[1]
    bx, by = end[0] - start[0], end[1] - start[1]
    twice = 2.0 * (ax * by - ay * bx)
    if abs(twice) <= FLATTEST * (ax * ax + ay * ay + bx * bx + by * by):
        return None
    a2, b2 = ax * ax + ay * ay, bx * bx + by * by
    cx, cy = (by * a2 - ay * b2) / twice, (ax * b2 - bx * a2) / twice
    first = math.atan2(-cy, -cx)
    last = math.atan2(by - cy, bx - cx)
    turn = (last - first) % math.tau
    # the middle point lies to the right of the chord when the arc turns anticlockwise
    if twice < 0.0:
        turn -= math.tau
    return Arc((start[0] + cx, start[1] + cy), math.hypot(cx, cy), first, turn)


def chords(
    curve: Curve, longest: float, offset: float | None = None
) -> tuple[tuple[Point, ...], tuple[float, ...]]:
    """Return where posts stand on a curve, and how far each chord is off it.

    Parameters
    ----------
    curve : Curve
        What to set out on.
    longest : float, mm
        Longest bay, measured along the curve, so that no chord is longer.
    offset : float or None, mm
        Largest distance between curve and chord; None for no limit.

    Returns
    -------
    points : tuple of (x, y), mm
        From the curve's start to its end, equal steps along it.
    offsets : tuple of float, mm
        Largest distance between the curve and each chord.
    """
    count = max(1, math.ceil(curve.length / longest * (1.0 - 1e-9)))
    while True:
        shares = [number / count for number in range(count + 1)]
        offsets = tuple(curve.offset(a, b) for a, b in pairwise(shares))
        worst = max(offsets)
        if offset is None or worst <= offset or count >= MOST_CHORDS:
            return tuple(curve.point(share) for share in shares), offsets
        # a chord's offset falls with the square of its length
        count = max(count + 1, math.floor(count * math.sqrt(worst / offset)))


MOST_CHORDS = 5000
"""Bays that one curve is cut into at most."""
