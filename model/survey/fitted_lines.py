"""A surveyed line as straights and arcs: what a fence follows, from shots every few metres."""

from __future__ import annotations

import itertools
import math

from palewright.model.geometry.curves import Arc
from palewright.model.geometry.frames import Point, Vector
from palewright.model.site.path import Node
from palewright.model.site.site_line import turn_between

from .curve_search import STRAIGHTS_FOR_ARC, ArcLimits, ShotSpan, shot_spans
from .tangent_chains import SmoothPiece, chained

LONGEST_SWEEP, CUT_SWEEP = 3.3, 2.1
"""Arcs that turn by more than the first, radians, are cut in equal parts of at most the other, so
that a ring has nodes to hang on."""


def fitted(
    nodes: tuple[Node, ...], tolerance: float, limits: ArcLimits, *, closed: bool
) -> tuple[tuple[Node, ...], tuple[Vector, ...]]:
    """Return a line with its corners alone, shots along curves as arcs, and the levels passed by.

    Parameters
    ----------
    nodes : tuple of Node
        As surveyed; curves among them stay.
    tolerance : float, mm
        Farthest that a shot may lie off the line; 0 for a line through all shots.
    limits : ArcLimits
        What may be an arc.
    closed : bool
        Whether the last node joins the first.

    Returns
    -------
    nodes : tuple of Node
        Corners at shots, and between straights and arcs the points where they touch, mm.
    spots : tuple of (x, y, level), mm
        Levels of shots that are no node.
    """
    kept = corners(nodes, tolerance, closed=closed)
    if tolerance > 0.0 and limits.points and len(kept) > STRAIGHTS_FOR_ARC + 1:
        found = _with_arcs(nodes, kept, tolerance, limits, closed)
        if found is not None:
            return found
    return tuple(nodes[number] for number in kept), _passed(nodes, set(kept))


def _passed(nodes: tuple[Node, ...], kept: set[int]) -> tuple[Vector, ...]:
    return tuple(
        (*node.at, node.level)
        for number, node in enumerate(nodes)
        if number not in kept and node.level is not None
    )


def corners(nodes: tuple[Node, ...], tolerance: float, *, closed: bool) -> list[int]:
    """Return the numbers of the nodes that bend a line; others are off it by the tolerance, mm.

    Straight parts are simplified by Douglas and Peucker's rule; curves and what joins them stay.
    """
    if tolerance == 0.0 or len(nodes) < 3:
        return list(range(len(nodes)))
    import shapely  # only surveyed lines have points to spare

    fixed = {0, len(nodes) - 1}
    for number, node in enumerate(nodes):
        if node.curve is not None:
            fixed |= {number, (number - 1) % len(nodes)}
    if closed:  # the ring's far side, so that a part has two ends
        far = max(range(len(nodes)), key=lambda n: math.dist(nodes[0].at, nodes[n].at))
        fixed.add(far)
    kept: set[int] = set(fixed)
    for a, b in itertools.pairwise(sorted(fixed)):
        part = [nodes[number].at for number in range(a, b + 1)]
        if len(part) > 2 and len(set(part)) == len(part):
            slim = set(shapely.LineString(part).simplify(tolerance, preserve_topology=False).coords)
            kept |= {a + place for place, at in enumerate(part) if at in slim}
        else:
            kept |= set(range(a, b + 1))
    return sorted(kept)


def _with_arcs(
    nodes: tuple[Node, ...], kept: list[int], tolerance: float, limits: ArcLimits, closed: bool
) -> tuple[tuple[Node, ...], tuple[Vector, ...]] | None:
    """Return a line with arcs, or None where it has none."""
    count = len(nodes)
    around = (*nodes, nodes[0]) if closed else nodes
    places = [node.at for node in around]
    if any(math.dist(a, b) < 1.0 for a, b in itertools.pairwise(places)):
        return None  # told of later
    cuts = _cuts(around, kept, limits, closed)
    whole = closed and cuts == [0, count] and abs(_turn(places[-2], places[0], places[1])) < (
        limits.turn
    )  # fmt: skip
    made: list[Node] = [nodes[0]]
    stay = {0}
    bent = False
    for a, b in itertools.pairwise(cuts):
        chains = None
        if around[b].curve is None and b - a + 1 >= limits.points:
            chains = _arcs_of(places[a : b + 1], tolerance, limits, round_=whole)
        if chains is None:
            numbers = [n for n in (*kept, *([count] if closed else [])) if a < n <= b]
            made += [around[n] for n in numbers]
            stay |= {n % count for n in numbers}
            continue
        bent = True
        for part, pieces in chains:
            end = a + part.last
            if not pieces:
                inner = corners(around[a + part.first : end + 1], tolerance, closed=False)[1:]
                made += [around[a + part.first + n] for n in inner]
                stay |= {(a + part.first + n) % count for n in inner}
                continue
            made += _nodes(pieces, places[a], around[end])
            stay.add(end % count)
    if not bent:
        return None
    if closed:  # the first node came round again
        made[0] = made.pop()
    return tuple(made), _passed(nodes, stay)


def _turn(a: Point, b: Point, c: Point) -> float:
    """Return the bend at b on the way from a to c, degrees, to the left positive."""
    return turn_between((b[0] - a[0], b[1] - a[1]), (c[0] - b[0], c[1] - b[1]))


def _cuts(around: tuple[Node, ...], kept: list[int], limits: ArcLimits, closed: bool) -> list[int]:
    """Return the numbers of the nodes that no arc passes: ends, ends of curves, sharp corners.

    A corner is sharp both from shot to shot and from corner to corner: shots close together bend
    a line by their noise, and shots far apart by their distance.
    """
    places = [node.at for node in around]
    last = len(places) - 1
    cuts = {0, last}
    for number, node in enumerate(around):
        if node.curve is not None and number:
            cuts |= {number, number - 1}
    bends = [*kept, *([last] if closed else [])]
    for a, b, c in zip(bends, bends[1:], bends[2:], strict=False):
        if (
            abs(_turn(places[a], places[b], places[c])) > limits.turn
            and abs(_turn(places[b - 1], places[b], places[b + 1])) > limits.turn
        ):
            cuts.add(b)
    return sorted(cuts)


def _arcs_of(
    places: list[Point], tolerance: float, limits: ArcLimits, *, round_: bool
) -> list[tuple[ShotSpan, tuple[SmoothPiece, ...]]] | None:
    """Return the pieces of a part, m about its first place; None where all is straight."""
    import numpy as np  # with what searches: only where there may be arcs

    # the same from either end: searched from the one that is more to the west or south
    first, last = (places[1], places[-2]) if places[0] == places[-1] else (places[0], places[-1])
    back = last < first
    way = places[::-1] if back else places
    shots = np.array(way) - np.array(way[0])
    parts = shot_spans(shots, tolerance, limits)
    if not any(part.arc for part in parts):
        return None
    round_ = round_ and parts[0].arc == parts[-1].arc  # one piece, cut there
    chains = chained(shots / 1000.0, parts, tolerance / 1000.0, round_=round_)
    if not any(pieces and part.arc for part, pieces in chains):
        return None
    if not back:
        return chains
    end = len(places) - 1
    shift = (way[0][0] - places[0][0]) / 1000.0, (way[0][1] - places[0][1]) / 1000.0
    return [
        (ShotSpan(end - part.last, end - part.first, part.arc), _turned(pieces, shift))
        for part, pieces in reversed(chains)
    ]


def _turned(pieces: tuple[SmoothPiece, ...], shift: Point) -> tuple[SmoothPiece, ...]:
    """Return pieces walked the other way, moved."""
    result = []
    for piece in reversed(pieces):
        x, y, heading = piece.end
        start = x + shift[0], y + shift[1]
        result.append(SmoothPiece(start, heading + math.pi, piece.length, -piece.bend))
    return tuple(result)


def _nodes(pieces: tuple[SmoothPiece, ...], origin: Point, last: Node) -> list[Node]:
    """Return the nodes at the ends of pieces; the last one is a shot. origin : of pieces, mm."""
    result: list[Node] = []
    for number, piece in enumerate(pieces):
        x, y, _ = piece.end
        at = origin[0] + x * 1000.0, origin[1] + y * 1000.0
        level = None
        if number == len(pieces) - 1:
            at, level = last.at, last.level
        if not piece.bend:
            result.append(Node(at, level))
            continue
        radius, side = 1000.0 / abs(piece.bend), math.copysign(1.0, piece.bend)
        centre = (
            origin[0] + piece.start[0] * 1000.0 - math.sin(piece.heading) * radius * side,
            origin[1] + piece.start[1] * 1000.0 + math.cos(piece.heading) * radius * side,
        )
        sweep = piece.bend * piece.length
        count = 1 if abs(sweep) <= LONGEST_SWEEP else math.ceil(abs(sweep) / CUT_SWEEP)
        first = piece.heading - side * math.pi / 2.0
        for part in range(count):
            arc = Arc(centre, radius, first + sweep * part / count, sweep / count)
            end = at if part == count - 1 else arc.point(1.0)
            result.append(Node(end, level if part == count - 1 else None, arc))
    return result
