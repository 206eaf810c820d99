"""Lines through points of one code, straight or curved as the codes say."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from palewright.model.geometry.curves import Arc, Curve, Traced, arc_through
from palewright.model.geometry.frames import Point, Vector
from palewright.model.site.path import Node

from .code_words import Chain
from .field_codes import shortened
from .points_and_lines import SurveyLine, SurveyPoint, as_ring

FAR_TIMES = 10.0
"""A gap is far where it is so many times the usual one of that code; common practice, no source."""

ROUND = 20.0
"""Shots of a curve this near to one arc are on it, mm."""

SMOOTH_STEP = 250.0
"""Length of the chords that a smooth curve is traced with, mm."""

LARGEST_SMOOTH = 2000
"""Most chords of a smooth curve."""


def coded_lines(
    points: Sequence[SurveyPoint], chains: Sequence[Chain], apart: float
) -> tuple[list[SurveyLine], list[str]]:
    """Return the lines that chains of points make, and what a reader should know of them.

    Parameters
    ----------
    points : sequence of SurveyPoint
        In mm.
    chains : sequence of Chain
        As `chains_of` gives them.
    apart : float, mm
        Where no word says that a line starts or ends, points farther apart than this, and than ten
        times the gap that is usual among them, are on lines of their own; 0 for one line always.
    """
    lines: list[SurveyLine] = []
    notes: list[str] = []
    for chain in chains:
        if len(chain.points) < 2:
            continue
        own = [points[number] for number in chain.points]
        if chain.told:
            lines.append(_told_line(chain, own, notes))
            continue
        parts = _near_ones(own, apart)
        kept = [part for part in parts if len(part) > 1]
        if len(parts) > 1:
            notes.append(_said_apart(chain, parts, apart))
        for number, part in enumerate(kept, 1):
            nodes, closed = as_ring([Node((p.x, p.y), p.level) for p in part])
            name = chain.name if len(kept) == 1 else f"{chain.name} #{number}"
            lines.append(SurveyLine(name, chain.group, f"{len(part)} points", nodes, closed))
    return lines, shortened(notes)


def _near_ones(own: list[SurveyPoint], apart: float) -> list[list[SurveyPoint]]:
    """Return points parted where they are far apart."""
    gaps = sorted(math.dist((a.x, a.y), (b.x, b.y)) for a, b in pairwise(own))
    far = max(apart, FAR_TIMES * gaps[(len(gaps) - 1) // 2])
    parts = [own[:1]]
    for a, b in pairwise(own):
        if apart and len(gaps) > 2 and math.dist((a.x, a.y), (b.x, b.y)) > far:
            parts.append([])
        parts[-1].append(b)
    return parts


def _said_apart(chain: Chain, parts: list[list[SurveyPoint]], apart: float) -> str:
    alone = [part[0].number for part in parts if len(part) == 1]
    text = (
        f"{chain.name}: no word says where its lines start, and points far apart (over "
        f"{apart / 1000.0:g} m, survey.codes.apart) are on {len(parts) - len(alone)} lines of "
        f"their own, after {', '.join(part[-1].number for part in parts[:-1][:5])}"
    )
    return text + (f"; on no line: {', '.join(alone[:5])}" if alone else "")


def _told_line(chain: Chain, own: list[SurveyPoint], notes: list[str]) -> SurveyLine:
    """Return a line with the curves that its codes tell of."""
    places = [(p.x, p.y) for p in own]
    curves: dict[int, Curve] = {}  # by the place where they end
    inner: set[int] = set()
    for first, last, tangent in chain.bends:
        curve: Curve | None
        if tangent and last == first + 1:
            curve = _tangent(places, first)
            if curve is None:
                notes.append(f"{chain.name}: the curve from {own[first].number} has no straight "
                             "beside it to run on from; straight there")  # fmt: skip
        else:
            curve = _through_all(places[first : last + 1])
        if curve is not None:
            curves[last] = curve
            inner |= set(range(first + 1, last))
    nodes = [
        Node(at, point.level, curves.get(place))
        for place, (at, point) in enumerate(zip(places, own, strict=True))
        if place not in inner
    ]
    spots: list[Vector] = [
        (own[place].x, own[place].y, level)
        for place in sorted(inner)
        if (level := own[place].level) is not None
    ]
    kind = f"{len(own)} points by field codes"
    kept, closed = as_ring(nodes)
    if closed and nodes[-1].curve is not None:
        kept = (Node(kept[0].at, kept[0].level, nodes[-1].curve), *kept[1:])
    return SurveyLine(chain.name, chain.group, kind, kept, closed or chain.closed, tuple(spots))


def _through_all(places: list[Point]) -> Curve | None:
    """Return a curve through shots: one arc where all are on it, else a smooth line; None where
    they are in one line.
    """
    start, end = places[0], places[-1]
    if len(set(places)) < len(places):
        return None
    middle = min(places[1:-1], key=lambda p: abs(math.dist(start, p) - math.dist(p, end)))
    arc = arc_through(start, middle, end)
    if len(places) == 3:
        return arc
    if arc is not None and all(abs(math.dist(arc.centre, p) - arc.radius) <= ROUND for p in places):
        return arc
    return _smooth(places)


def _smooth(places: list[Point]) -> Traced:
    """Return a cubic spline through shots, with natural ends, traced."""
    import numpy as np
    from scipy.interpolate import CubicSpline

    along = np.concatenate([[0.0], np.cumsum([math.dist(a, b) for a, b in pairwise(places)])])
    spline = CubicSpline(along, np.array(places) - np.array(places[0]), bc_type="natural")
    count = min(max(round(along[-1] / SMOOTH_STEP), 2 * len(places)), LARGEST_SMOOTH)
    steps = np.union1d(np.linspace(0.0, along[-1], count), along)
    x0, y0 = places[0]
    traced = [(float(x) + x0, float(y) + y0) for x, y in spline(steps)]
    return Traced((places[0], *traced[1:-1], places[-1]))


def _tangent(places: list[Point], first: int) -> Arc | None:
    """Return the arc from a place to the next that runs on from the straight before it, or into
    that after it.
    """
    start, end = places[first], places[first + 1]
    if first > 0:
        return _touching(places[first - 1], start, end)
    if first + 2 < len(places):
        back = _touching(places[first + 2], end, start)
        return back.turned_round() if back is not None else None
    return None


def _touching(before: Point, start: Point, end: Point) -> Arc | None:
    """Return the arc from start to end that touches the straight from before to start."""
    ux, uy = start[0] - before[0], start[1] - before[1]
    cx, cy = end[0] - start[0], end[1] - start[1]
    along = math.hypot(ux, uy)
    chord = math.hypot(cx, cy)
    if along < 1.0 or chord < 1.0:
        return None
    # the angle from tangent to chord is half of what the arc turns by
    half = math.atan2(ux * cy - uy * cx, ux * cx + uy * cy)
    if abs(half) < 1e-6 or abs(half) > math.pi - 1e-3:
        return None
    radius = chord / 2.0 / math.sin(half)  # to the left positive
    centre = start[0] - uy / along * radius, start[1] + ux / along * radius
    first = math.atan2(start[1] - centre[1], start[0] - centre[0])
    return Arc(centre, abs(radius), first, 2.0 * half)
