"""From points and curves of a line, and levels near it, to a line of straight legs."""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from palewright.model.geometry.curves import Arc, Curve, Traced, chords
from palewright.model.geometry.frames import Point, Vector

from .site_line import SiteLine, level_at

SAME_PLACE = 1.0
"""Levels nearer together along the line than this are one, mm."""


@dataclass(frozen=True)
class Node:
    """A point of a line. at : (x, y), mm; level : of the ground, mm, or None where it is not
    known; curve : that leads here from the node before, None when straight.
    """

    at: Point
    level: float | None = None
    curve: Curve | None = None

    def moved(self, dx: float, dy: float, dz: float) -> Node:
        """Return this node moved by (dx, dy, dz) mm."""
        level = None if self.level is None else self.level + dz
        return Node((self.at[0] + dx, self.at[1] + dy), level, _moved(self.curve, dx, dy))


def path_length(nodes: tuple[Node, ...]) -> float:
    """Return the length of a line along its curves, mm."""
    return math.fsum(
        math.dist(a.at, b.at) if b.curve is None else b.curve.length for a, b in pairwise(nodes)
    )


def _moved(curve: Curve | None, dx: float, dy: float) -> Curve | None:
    match curve:
        case Arc((cx, cy), radius, start, sweep):
            return Arc((cx + dx, cy + dy), radius, start, sweep)
        case Traced(points):
            return Traced(tuple((x + dx, y + dy) for x, y in points))
        case None:
            return None


@dataclass(frozen=True)
class Chords:
    """A line with its curves cut into chords.

    points : (x, y), mm; levels : known ones, None elsewhere; bent : numbers of the points that
    only turn along a curve; offsets : of each leg from its curve, mm.
    """

    points: tuple[Point, ...]
    levels: tuple[float | None, ...]
    bent: frozenset[int]
    offsets: tuple[float, ...]

    def along(self, *, closed: bool) -> list[float]:
        """Return the distance along the line of each point, and of the first again in a ring."""
        ends = (*self.points[1:], self.points[0]) if closed else self.points[1:]
        places = [0.0]
        for a, b in zip(self.points, ends, strict=False):
            places.append(places[-1] + math.dist(a, b))
        return places

    def known(self, *, closed: bool) -> list[Point]:
        """Return (distance, level) of the points that have one, mm."""
        places = zip(self.along(closed=closed), self.levels, strict=False)
        return [(x, z) for x, z in places if z is not None]


def in_chords(
    nodes: tuple[Node, ...], *, closed: bool, bay: float, offset: float | None = None
) -> Chords:
    """Return a line with its curves cut into chords no longer than a bay.

    bay : longest bay, mm; offset : largest distance of a chord from its curve, mm, or None.
    """
    points = [nodes[0].at]
    levels = [nodes[0].level]
    bent: set[int] = set()
    offsets: list[float] = []
    for node in (*nodes[1:], *(nodes[:1] if closed else ())):
        if node.curve is None:
            offsets.append(0.0)
        else:
            spots, off = chords(node.curve, bay, offset)
            for spot in spots[1:-1]:
                bent.add(len(points))
                points.append(spot)
                levels.append(None)
            offsets.extend(off)
        points.append(node.at)
        levels.append(node.level)
    if closed:  # the first point came round again
        points.pop()
        levels.pop()
    return Chords(tuple(points), tuple(levels), frozenset(bent), tuple(offsets))


def site_line(
    cut: Chords, *, closed: bool, level: float = 0.0, levels: tuple[Point, ...] = ()
) -> SiteLine:
    """Return the line with its ground: straight between the levels that are known.

    Parameters
    ----------
    cut : Chords
        The line in plan, and levels at its points where they are known; they count first.
    closed : bool
        Whether the last point joins the first.
    level : float, mm
        Of the ground where nothing else is known.
    levels : tuple of (chainage, level), mm
        Known levels along the line; of two at one place the first counts.
    """
    points, along = cut.points, cut.along(closed=closed)
    length = along[-1]
    known = levels_joined(cut.known(closed=closed), [(x, z) for x, z in levels if x <= length])
    if closed and known:
        known = _closed(known, length)
    profile = tuple(known) or ((0.0, level),)
    vertices = tuple((x, y, level_at(profile, d)) for (x, y), d in zip(points, along, strict=False))
    knots = tuple(known) if len(known) > 1 else ()
    return SiteLine(vertices, closed, False, knots, cut.bent, cut.offsets)


def levels_joined(first: Sequence[Point], more: Sequence[Point]) -> list[Point]:
    """Return (place, level) in order, those of `first` before others at the same place."""
    result = list(first)
    taken = sorted(x for x, _ in first)
    for x, z in more:
        at = bisect_left(taken, x)
        if all(abs(x - other) > SAME_PLACE for other in taken[max(at - 1, 0) : at + 1]):
            result.append((x, z))
            taken.insert(at, x)
    return sorted(result)


def _closed(known: list[Point], length: float) -> list[Point]:
    """Return the levels of a ring with the level where it closes at both ends."""
    (x0, z0), (x1, z1) = known[0], known[-1]
    room = x0 + length - x1
    seam = z0 if room < SAME_PLACE else z1 + (z0 - z1) * (length - x1) / room
    inner = [(x, z) for x, z in known if SAME_PLACE < x < length - SAME_PLACE]
    return [(0.0, seam), *inner, (length, seam)]


def levels_beside(
    cut: Chords, *, closed: bool, spots: tuple[Vector, ...], within: float
) -> list[Point]:
    """Return (distance, level) of spot levels, each where it is nearest to the line.

    spots : (x, y, level), mm; within : how far from the line they may lie, mm.
    """
    if not spots:
        return []
    import shapely  # only surveys have spot levels

    along = cut.along(closed=closed)
    ends = (*cut.points[1:], cut.points[0]) if closed else cut.points[1:]
    legs = [shapely.LineString(pair) for pair in zip(cut.points, ends, strict=False)]
    tree = shapely.STRtree(legs)
    places = [shapely.Point(x, y) for x, y, _ in spots]
    pairs = tree.query_nearest(places, max_distance=max(within, 1e-9), all_matches=False).T
    return [
        (along[leg] + float(legs[leg].project(places[spot])), spots[spot][2]) for spot, leg in pairs
    ]
