"""Where line posts stand between two fixed ones when they have to keep clear of zones.

The fewest bays that the zones allow, and of all ways to have so many the one whose bays are most
equal (least sum of squares). Both are exact. In a most equal answer every post that is not at the
edge of a zone has equal bays on both sides, as moving it would else even them out; so all answers
are chains of equal bays between edges of zones, of which a dynamic programme takes the best.
"""

from __future__ import annotations

import itertools
import math
from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from palewright.model.basis.errors import PalewrightError
from palewright.model.geometry.frames import Point

SLACK = 1e-6
"""What rounding may make of a length, mm."""

NEVER = 10**9
"""Bays to a place that is not reached."""


class NoWayError(PalewrightError):
    """No post can stand beyond a place. reached : the last that a post can have, mm."""

    def __init__(self, reached: float) -> None:
        super().__init__(f"no post can stand beyond {reached:.0f} mm")
        self.reached = reached


@dataclass(frozen=True)
class Between:
    """A length to set posts in. start, end : of the fixed posts; largest, least : bay, mm; closed :
    open intervals in which no post's middle may be, in order, none touching another.
    """

    start: float
    end: float
    largest: float
    least: float
    closed: tuple[Point, ...]

    def clear(self, x: float) -> bool:
        """Tell whether a post may stand at x."""
        place = bisect_right(self.closed, x, key=lambda zone: zone[0]) - 1
        return place < 0 or x >= self.closed[place][1] - SLACK or x <= self.closed[place][0] + SLACK

    def without_zones(self, parts: Iterable[Point]) -> list[Point]:
        """Return the intervals that are left of sorted ones, those that meet joined."""
        result: list[Point] = []
        for low, high in joined(parts):
            place = max(0, bisect_right(self.closed, low, key=lambda zone: zone[0]) - 1)
            for a, b in self.closed[place:]:
                if a >= high:
                    break
                if b <= low:
                    continue
                if a >= low - SLACK:
                    result.append((low, max(low, a)))
                low = b
                if low > high + SLACK:
                    break
            if low <= high + SLACK:
                result.append((low, max(low, high)))
        return result

    def mirrored(self) -> Between:
        """Return the same length seen from its other end."""
        ends = self.start + self.end
        closed = tuple((ends - b, ends - a) for a, b in reversed(self.closed))
        return Between(self.start, self.end, self.largest, self.least, closed)


def joined(parts: Iterable[Point]) -> list[Point]:
    """Return intervals in order, those that meet or overlap as one.

    >>> joined([(5.0, 6.0), (0.0, 2.0), (2.0, 3.0)])
    [(0.0, 3.0), (5.0, 6.0)]
    """
    result: list[Point] = []
    for low, high in sorted(parts):
        if result and low <= result[-1][1] + SLACK:
            result[-1] = (result[-1][0], max(result[-1][1], high))
        else:
            result.append((low, high))
    return result


def equal_posts(room: Between) -> tuple[float, ...]:
    """Return the places of line posts with the fewest and, of those, most equal bays, mm.

    Raises
    ------
    NoWayError
        When the zones leave no way.
    """
    edges = {x for zone in room.closed for x in zone if room.start < x < room.end}
    # the fixed posts themselves may stand in a zone
    nodes = [room.start, *sorted(x for x in edges if room.clear(x)), room.end]
    last = len(nodes) - 1
    least = _fewest(room, nodes)
    ends = room.start + room.end
    after = _fewest(room.mirrored(), [ends - x for x in reversed(nodes)])[::-1]
    count = least[last]
    if count == 1:
        return ()
    # of each edge and number of bays up to it: the least sum of squares, from where, in how many
    best: list[dict[int, tuple[float, int, int]]] = [{} for _ in nodes]
    best[0][0] = (0.0, -1, 0)
    for a, b in itertools.combinations(range(len(nodes)), 2):
        if not best[a] or least[b] + after[b] > count:
            continue
        length = nodes[b] - nodes[a]
        fewest = max(1, math.ceil((length - SLACK) / room.largest), least[b] - max(best[a]))
        most = min(count - after[b] - min(best[a]), math.floor((length + SLACK) / room.least))
        for bays in range(fewest, most + 1):
            if not _all_clear(room, nodes[a], length, bays):
                continue
            for used, (before, _, _) in best[a].items():
                total = used + bays
                cost = before + length * length / bays
                known = best[b].get(total)
                if total + after[b] <= count and (known is None or cost < known[0] * (1.0 - 1e-9)):
                    best[b][total] = (cost, a, bays)
    return tuple(_traced(nodes, best, last, count))


def _all_clear(room: Between, start: float, length: float, bays: int) -> bool:
    return all(room.clear(start + length * number / bays) for number in range(1, bays))


def _traced(
    nodes: list[float], best: list[dict[int, tuple[float, int, int]]], node: int, count: int
) -> list[float]:
    """Return the places between both ends, in order, that led to the last edge."""
    last = node
    places: list[float] = []
    while node > 0:
        _, before, bays = best[node][count]
        length = nodes[node] - nodes[before]
        part = [nodes[before] + length * number / bays for number in range(1, bays)]
        own = [nodes[node]] if node != last else []
        places = [*part, *own, *places]
        node, count = before, count - bays
    return places


def full_posts(room: Between) -> tuple[float, ...]:
    """Return the places of line posts with the fewest bays, each as long as it can be from the
    start on, mm.

    Raises
    ------
    NoWayError
        When the zones leave no way.
    """
    count = fewest_bays(room)
    # from where the end is reached in 1, 2, 3 bays, seen from the end
    back = room.mirrored()
    onward: list[list[Point]] = [[(room.end, room.end)]]
    for bays in range(1, count):
        farthest = room.start + (count - bays) * room.largest
        ends = [(room.start + room.end - b, room.start + room.end - a) for a, b in onward[-1]]
        parts = back.without_zones(_next(back, ends))
        seen = [(room.start + room.end - b, room.start + room.end - a) for a, b in parts]
        onward.append([(a, min(b, farthest)) for a, b in reversed(seen) if a <= farthest + SLACK])
    places = []
    x = room.start
    for bays in range(count - 1, 0, -1):
        low, high = x + room.least, x + room.largest
        x = max(min(b, high) for a, b in onward[bays] if a <= high + SLACK and b >= low - SLACK)
        places.append(x)
    return tuple(places)


def _next(room: Between, parts: Sequence[Point]) -> list[Point]:
    return [(a + room.least, b + room.largest) for a, b in parts]


def fewest_bays(room: Between) -> int:
    """Return the fewest bays that the zones allow.

    Raises
    ------
    NoWayError
        When the zones leave no way.
    """
    return _fewest(room, [room.start, room.end])[-1]


def _fewest(room: Between, nodes: list[float]) -> list[int]:
    """Return in how many bays each place in order is reached, many where it is not; the last is
    the end.
    """
    known = [0, *[NEVER] * (len(nodes) - 1)]
    if room.end - room.start <= room.largest + SLACK:
        known[-1] = 1
    parts: list[Point] = [(room.start, room.start)]
    count = 0
    while True:
        count += 1
        following = joined(_next(room, parts))
        inside = [(a, min(b, room.end)) for a, b in following if a < room.end]
        beyond = room.without_zones(inside)
        for low, high in beyond:
            first = bisect_left(nodes, low - SLACK)
            for node in range(first, min(bisect_right(nodes, high + SLACK), len(nodes) - 1)):
                known[node] = min(known[node], count)
        if any(a - SLACK <= room.end <= b + SLACK for a, b in following):
            known[-1] = min(known[-1], count)
        if known[-1] <= count:
            return known
        if not beyond:
            raise NoWayError(parts[-1][1])
        parts = beyond
