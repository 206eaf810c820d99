"""From points and curves of a line, and levels near it, to a line of straight legs."""

from __future__ import annotations

import math
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
    cut: Chords,
    *,
    closed: bool,
    level: float = 0.0,
    levels: tuple[Point, ...] = (),
    spots: tuple[Vector, ...] = (),
    within: float = 0.0,
) -> SiteLine:
    """Return the line with its ground: straight between the levels that are known.

    Parameters
    ----------
    cut : Chords
        The line in plan, and levels at its points where they are known.
    closed : bool
        Whether the last point joins the first.
    level : float, mm
        Of the ground where nothing else is known.
    levels : tuple of (chainage, level), mm
        Known levels along the line. They count before spot levels.
    spots : tuple of (x, y, level), mm
        Spot levels; each counts where it is nearest to the line.
    within : float, mm
        How far from the line a spot may lie.
    """
    points = cut.points
    ends = (*points[1:], points[0]) if closed else points[1:]
    along = [0.0]
    for a, b in zip(points, ends, strict=False):
        along.append(along[-1] + math.dist(a, b))
    length = along[-1]
    known = [(x, z) for x, z in zip(along, cut.levels, strict=False) if z is not None]
    known = _joined(known, [(x, z) for x, z in levels if x <= length])
    known = _joined(known, _beside(points, ends, along, spots, within))
    if closed and known:
        known = _closed(known, length)
    profile = tuple(known) or ((0.0, level),)
    vertices = tuple((x, y, level_at(profile, d)) for (x, y), d in zip(points, along, strict=False))
    knots = tuple(known) if len(known) > 1 else ()
    return SiteLine(vertices, closed, False, knots, cut.bent, cut.offsets)


def _joined(first: list[Point], more: list[Point]) -> list[Point]:
    """Return levels in order, those of `first` before others at the same place."""
    result = list(first)
    taken = sorted(x for x, _ in first)
    for x, z in more:
        if all(abs(x - other) > SAME_PLACE for other in taken):
            result.append((x, z))
            taken.append(x)
    return sorted(result)


def _closed(known: list[Point], length: float) -> list[Point]:
    """Return the levels of a ring with the level where it closes at both ends."""
    (x0, z0), (x1, z1) = known[0], known[-1]
    room = x0 + length - x1
    seam = z0 if room < SAME_PLACE else z1 + (z0 - z1) * (length - x1) / room
    inner = [(x, z) for x, z in known if SAME_PLACE < x < length - SAME_PLACE]
    return [(0.0, seam), *inner, (length, seam)]


def _beside(
    points: tuple[Point, ...],
    ends: tuple[Point, ...],
    along: list[float],
    spots: tuple[Vector, ...],
    within: float,
) -> list[Point]:
    """Return spot levels at their places along the line."""
    if not spots:
        return []
    import shapely  # only surveys have spot levels

    legs = [shapely.LineString(pair) for pair in zip(points, ends, strict=False)]
    tree = shapely.STRtree(legs)
    places = [shapely.Point(x, y) for x, y, _ in spots]
    pairs = tree.query_nearest(places, max_distance=max(within, 1e-9), all_matches=False).T
    return [
        (along[leg] + float(legs[leg].project(places[spot])), spots[spot][2]) for spot, leg in pairs
    ]
