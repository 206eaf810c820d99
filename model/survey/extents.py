"""Lengths, areas and extents of surveyed lines."""

from __future__ import annotations

import math
from itertools import pairwise

from palewright.model.geometry.frames import Point

from .points_and_lines import Survey, SurveyLine

CURVE_STEPS = 32
"""Pieces that a curve is drawn and measured with."""


def outline(line: SurveyLine, steps: int = CURVE_STEPS) -> tuple[Point, ...]:
    """Return a line as points, its curves in pieces; the first point again at the end of a ring."""
    nodes = (*line.nodes, *(line.nodes[:1] if line.closed else ()))
    points = [nodes[0].at]
    for node in nodes[1:]:
        if node.curve is not None:
            points += [node.curve.point(number / steps) for number in range(1, steps)]
        points.append(node.at)
    return tuple(points)


def length(line: SurveyLine) -> float:
    """Return the plan length of a line along its curves, mm."""
    nodes = (*line.nodes, *(line.nodes[:1] if line.closed else ()))
    return math.fsum(
        b.curve.length if b.curve is not None else math.dist(a.at, b.at) for a, b in pairwise(nodes)
    )


def area(line: SurveyLine) -> float:
    """Return the area that a ring encloses, mm2, curves as pieces; 0 for an open line."""
    if not line.closed:
        return 0.0
    points = outline(line, 1000)
    x0, y0 = points[0]  # near the points, so that large coordinates lose nothing
    return abs(
        math.fsum(
            (a[0] - x0) * (b[1] - y0) - (b[0] - x0) * (a[1] - y0) for a, b in pairwise(points)
        )
        / 2.0
    )


def extent(survey: Survey) -> tuple[tuple[float, ...], tuple[float, ...]] | None:
    """Return the lowest and highest east, north and level of a survey, mm; None when empty.

    Without levels there are east and north alone.
    """
    points = [(p.x, p.y) for p in survey.points]
    points += [point for line in survey.lines for point in outline(line, 4)]
    levels = [p.level for p in survey.points if p.level is not None]
    levels += [n.level for line in survey.lines for n in line.nodes if n.level is not None]
    if not points:
        return None
    low = min(x for x, _ in points), min(y for _, y in points)
    high = max(x for x, _ in points), max(y for _, y in points)
    return ((*low, min(levels)), (*high, max(levels))) if levels else (low, high)
