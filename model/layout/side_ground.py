"""Ground beside a run that is at another level than along its line."""

from __future__ import annotations

from typing import Literal

from palewright.model.geometry.frames import Point
from palewright.model.resolved.job import RunJob
from palewright.model.site.site_line import profile_between

from .run_layout import RunLayout

Side = Literal["line", "front", "back"]
"""Whose ground is meant."""


def sides_apart(run: RunJob) -> tuple[Side, ...]:
    """Return the sides from which a run is measured: both where either has ground of its own."""
    return ("front", "back") if run.front_ground or run.back_ground else ("line",)


def side_words(side: Side) -> str:
    """Return where heights are measured from, as it follows a run's name.

    >>> side_words("line"), side_words("back")
    ('', ', from the back')
    """
    return "" if side == "line" else f", from the {side}"


def given_levels(run: RunJob, side: Side) -> tuple[Point, ...]:
    """Return the (distance, level) that were given for a side, mm; none for the line."""
    return run.front_ground if side == "front" else run.back_ground if side == "back" else ()


def ground_beside(
    layout: RunLayout, leg_number: int, span: tuple[float, float], side: Side
) -> tuple[Point, ...]:
    """Return the ground of a side over a span of a leg as (x, z), mm, z over the leg's start.

    Beyond the first and the last level of the side it is that of the line.
    """
    leg = layout.legs[leg_number]
    known = given_levels(layout.run, side)
    x0, x1 = span
    if not known:
        return leg.ground_between(x0, x1)
    own = tuple((x - leg.before, z - leg.start[2]) for x, z in known)
    low, high = max(x0, own[0][0]), min(x1, own[-1][0])
    if low > high:
        return leg.ground_between(x0, x1)
    points = [*profile_between(own, low, high)]
    if x0 < low:
        points = [*leg.ground_between(x0, low), *points]
    if x1 > high:
        points = [*points, *leg.ground_between(high, x1)]
    return tuple(points)
