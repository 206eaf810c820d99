"""Arranging dimensions: chains, tiers, and where a figure goes that has no room on its line."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

from palewright.export.drawing.draft.drafting import Draft
from palewright.export.drawing.draft.view import Dimension
from palewright.model.geometry.frames import Point, cos_sin

ROW = 1.4
"""From row to row of figures beyond a dimension line, in heights of the figures."""


def chain(
    points: Sequence[Point],
    base: Point,
    degrees: float,
    draft: Draft,
    *,
    aside: bool = True,
    figures: Sequence[str] = (),
) -> list[Dimension]:
    """Return a chain of dimensions that closes: each begins where the one before ends.

    A figure that is wider than its dimension stands beside the chain when it is the first or the
    last, and beyond the dimension line, on the side away from the object, when it is between
    others (or the first, and `aside` is false); neighbours there stand one beyond the other.

    Parameters
    ----------
    points : sequence of (x, y), mm
        In the order of measurement.
    base : (x, y), mm
        A point on the dimension line.
    degrees : float
        Direction of measurement.
    draft : Draft
        Scale, sizes on paper and figures.
    aside : bool
        Whether the first figure may stand before the chain.
    figures : sequence of str
        What is written instead of lengths that are rounded from the first on.
    """
    style, scale = draft.style, draft.n
    cos, sin = cos_sin(degrees)
    along_line = [x * cos + y * sin for x, y in points]
    across = -base[0] * sin + base[1] * cos
    object_at = -points[0][0] * sin + points[0][1] * cos
    away = -1.0 if object_at > across else 1.0
    rows: list[float] = []  # how far the figures of each row beyond the line reach
    dimensions = []
    figures = figures or draft.figures.running(along_line)
    widths = [draft.width(figure) for figure in figures]
    on_line = _on_line(along_line, widths, draft)
    for number, (start, end) in enumerate(itertools.pairwise(points)):
        a, b = along_line[number], along_line[number + 1]
        figure = figures[number] if figures[number] != draft.usual(abs(b - a)) else ""
        width = widths[number]
        if width + style.tick * scale <= abs(b - a):  # the strokes take half of theirs each
            dimensions.append(Dimension(start, end, base, degrees, figure=figure))
            continue
        past = (width / 2.0 + (style.tick + style.gap) * scale) * (1 if b > a else -1)
        along, up = (a + b) / 2.0, (style.gap + style.text / 2.0) * scale
        if number == 0 and aside:
            along = a - past
        elif number == len(points) - 2:
            along = b + past
        else:
            reach = along - width / 2.0, along + width / 2.0
            up = away * _lift(rows, reach, on_line if away > 0.0 else (), draft)
        spot = along * cos - (across + up) * sin, along * sin + (across + up) * cos
        dimensions.append(Dimension(start, end, base, degrees, spot, figure))
    return dimensions


def _on_line(
    along_line: Sequence[float], widths: Sequence[float], draft: Draft
) -> list[tuple[float, float]]:
    """Return from where to where figures stand over the line, where those that have no room on it
    may stand beyond them.
    """
    scale = draft.n
    return [
        ((a + b - width) / 2.0 - scale, (a + b + width) / 2.0 + scale)
        for (a, b), width in zip(itertools.pairwise(along_line), widths, strict=True)
        if width + draft.style.tick * scale <= abs(b - a)
    ]


def one_dimension(
    ends: tuple[Point, Point], base: Point, degrees: float, draft: Draft
) -> Dimension:
    """Return a dimension between two points that is part of no chain."""
    cos, sin = cos_sin(degrees)
    (x0, y0), (x1, y1) = ends
    length = abs((x1 - x0) * cos + (y1 - y0) * sin)
    figure = draft.figure(length)
    return Dimension(*ends, base, degrees, figure="" if figure == draft.usual(length) else figure)


def level_chain(
    points: Sequence[Point], y: float, draft: Draft, figures: Sequence[str] = ()
) -> list[Dimension]:
    """Return a chain that measures along x, its dimension line at y."""
    return chain(points, (0.0, y), 0.0, draft, figures=figures)


def upright_chain(
    points: Sequence[Point], x: float, draft: Draft, *, aside: bool = False
) -> list[Dimension]:
    """Return a chain that measures along y, its dimension line at x."""
    return chain(points, (x, 0.0), 90.0, draft, aside=aside)


def _lift(rows: list[float], reach: Point, on_line: Sequence[Point], draft: Draft) -> float:
    """Return how far beyond the line the middle of a figure stands, mm, in the first row in which
    it has room, and take it: not the first one where figures stand over the line on that side.
    """
    (start, end), style = reach, draft.style
    least = int(any(a < end and b > start for a, b in on_line))
    rows += [-math.inf] * (least - len(rows))
    free = (n for n, taken in enumerate(rows) if n >= least and start > taken + draft.n)
    row = next(free, len(rows))
    rows[row:] = [end, *rows[row + 1 :]]
    return draft.full(style.overrun + style.gap + style.text / 2.0 + row * ROW * style.text)


def beyond(dimensions: Sequence[Dimension], base: float, draft: Draft) -> float:
    """Return how far (mm at full size) level figures stand out below a dimension line at y."""
    lows = [d.text_at[1] - draft.text / 2.0 * draft.n for d in dimensions if d.text_at is not None]
    return max(0.0, base - min(lows, default=base))
