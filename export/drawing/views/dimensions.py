"""Arranging dimensions: chains, tiers, and where a figure goes that has no room on its line."""

from __future__ import annotations

import itertools
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
    last = len(points) - 2
    figures = figures or draft.figures.running(along_line)
    for number, (start, end) in enumerate(itertools.pairwise(points)):
        a, b = along_line[number], along_line[number + 1]
        figure = figures[number] if figures[number] != draft.usual(abs(b - a)) else ""
        width = draft.width(figures[number])
        if width + style.tick * scale <= abs(b - a):  # the strokes take half of theirs each
            dimensions.append(Dimension(start, end, base, degrees, figure=figure))
            continue
        past = (width / 2.0 + (style.tick + style.gap) * scale) * (1 if b > a else -1)
        along, up = (a + b) / 2.0, (style.gap + style.text / 2.0) * scale
        if number == 0 and aside:
            along = a - past
        elif number == last:
            along = b + past
        else:
            row = _row(rows, along - width / 2.0, along + width / 2.0, scale)
            beyond = style.overrun + style.gap + style.text / 2.0 + row * ROW * style.text
            up = away * beyond * scale
        spot = along * cos - (across + up) * sin, along * sin + (across + up) * cos
        dimensions.append(Dimension(start, end, base, degrees, spot, figure))
    return dimensions


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


def _row(rows: list[float], start: float, end: float, scale: float) -> int:
    """Return the first row beyond the line in which a figure has room, and take it."""
    for number, taken in enumerate(rows):
        if start > taken + scale:
            rows[number] = end
            return number
    rows.append(end)
    return len(rows) - 1


def beyond(dimensions: Sequence[Dimension], base: float, draft: Draft) -> float:
    """Return how far (mm at full size) level figures stand out below a dimension line at y."""
    lows = [d.text_at[1] - draft.text / 2.0 * draft.n for d in dimensions if d.text_at is not None]
    return max(0.0, base - min(lows, default=base))
