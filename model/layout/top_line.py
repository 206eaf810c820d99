"""Shaped top lines: dips, arches and waves over the line of a plain fence."""

from __future__ import annotations

import math

from palewright.model.resolved.job import RunJob

from .ramps import ramp_offset
from .spans import Span

STEPS = 200
"""Halvings that settle the catenary: more than a double has bits."""


def top_offset(run: RunJob, span: Span, bay: int, x: float) -> float:
    """Return how much higher the tops of pales are at x than those of a plain fence, mm.

    bay : number of the bay that the pale belongs to. Beyond the span's ends there is no offset.
    """
    line = run.top_line
    match line.shape:
        case "straight":
            return ramp_offset(run, span, bay, x)
        case "wave":
            start, end = span.xs[0], span.xs[-1]
            length = end - start
            waves = max(1, round(length / line.length))
            inside = min(max(x - start, 0.0), length)
            turn = math.cos(math.tau * waves * inside / length)
            return -line.rise / 2.0 * (1.0 - turn)
        case _:
            start, end = curve_ends(span, bay, line.over)
            half = (end - start) / 2.0
            away = x - (start + end) / 2.0
            height = (circle if line.curve == "circle" else catenary)(half, line.rise, away)
            return -height if line.shape == "dip" else height


def curve_ends(span: Span, bay: int, over: str) -> tuple[float, float]:
    """Return the ends of what a dip or an arch spans, mm along the leg."""
    if over == "stretch":
        return span.xs[0], span.xs[-1]
    return span.xs[bay], span.xs[bay + 1]


def circle(half: float, rise: float, away: float) -> float:
    """Return the height of a circular arc over its chord, mm.

    Parameters
    ----------
    half : float, mm
        Half the chord.
    rise : float, mm
        Height in the middle (the sagitta), no more than half the chord.
    away : float, mm
        From the middle of the chord; beyond its ends the height is 0.

    Source
    ------
    R = (c^2 / 4 + s^2) / (2 s) for a chord c and a sagitta s, from the right-angled triangle of
    radius, half chord and R - s.

    Examples
    --------
    >>> circle(1000.0, 100.0, 0.0), circle(1000.0, 100.0, 1000.0)
    (100.0, 0.0)
    """
    if abs(away) >= half:
        return 0.0
    radius = (half * half + rise * rise) / (2.0 * rise)
    return math.sqrt(max(radius * radius - away * away, 0.0)) - (radius - rise)


def catenary(half: float, rise: float, away: float) -> float:
    """Return the height of an upturned catenary over its chord, mm.

    half, rise, away : as in `circle`, the rise as large as you like.

    Source
    ------
    y = a cosh(x / a), with a from rise = a (cosh(half / a) - 1).
    """
    if abs(away) >= half:
        return 0.0
    a = half / catenary_share(rise / half)
    return rise - 2.0 * a * math.sinh(away / (2.0 * a)) ** 2  # cosh(t) - 1 = 2 sinh(t / 2)^2


def catenary_share(ratio: float) -> float:
    """Return s = half / a of a catenary whose rise is `ratio` of half its span.

    It solves (cosh s - 1) / s = ratio by halving; the left side grows with s.
    """
    low, high = 0.0, 1.0
    while math.cosh(high) - 1.0 < ratio * high:
        high *= 2.0
    for _ in range(STEPS):
        middle = (low + high) / 2.0
        if middle in (low, high):
            break
        if 2.0 * math.sinh(middle / 2.0) ** 2 < ratio * middle:
            low = middle
        else:
            high = middle
    return (low + high) / 2.0
