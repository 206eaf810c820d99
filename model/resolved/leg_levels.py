"""Levels along a line that was walked: falls of legs added up, closed where the line closes."""

from __future__ import annotations

import math
from dataclasses import replace

from palewright.model.basis.errors import KeyPath, Problem
from palewright.model.basis.units import format_length
from palewright.model.spec.leg_keys import LegSpec
from palewright.model.spec.spec_tables import Run

from .walked import Walked

FALLS = ("fall", "fall_per_metre", "fall_per_bay")
WAYS = (*FALLS, "level")

WORST_LEVELS = 20.0
"""Levels that miss by more than the line's length over this are a blunder (common practice, no
source)."""


def one_way_problems(leg: LegSpec) -> list[tuple[str, str]]:
    """Return that a leg says its ground in two ways: (key, text)."""
    told = [key for key in WAYS if getattr(leg, key) is not None]
    if len(told) < 2:
        return []
    return [(told[1], f"the leg has {told[0]} already; one of {', '.join(WAYS)}")]


def levelled(
    run: Run, bay: float, path: KeyPath, figure: Walked
) -> tuple[Walked | None, list[Problem]]:
    """Return a line with the levels of its corners, or what is wrong with them.

    bay : longest bay, mm; figure : the line in plan.
    """
    told = [_way(leg) for leg in run.leg]
    first = run.first_point.level if run.first_point is not None else None
    if not any(told):
        nodes = (replace(figure.nodes[0], level=first), *figure.nodes[1:])
        return replace(figure, nodes=nodes), []
    if first is None and "level" in run.model_fields_set:
        first = run.level
    problems = _gaps(run, told, first, path)
    if problems:
        return None, problems
    start = run.level if first is None else first
    levels: list[float | None] = [start]
    lengths = _lengths(figure, closed=run.closed)
    for leg, length in zip(run.leg, lengths, strict=True):
        levels.append(_end(leg, levels[-1], length, bay))
    if not run.closed or not told[-1]:
        kept = levels[: len(figure.nodes)]
        return _with(figure, kept), []
    miss = (levels[-1] or 0.0) - start
    if abs(miss) > math.fsum(lengths) / WORST_LEVELS:
        text = (
            f"the levels end {format_length(abs(miss))} mm {'over' if miss > 0 else 'under'} the "
            "start: one of the falls is wrong, or its sign (a rise is a negative fall)"
        )
        return None, [Problem((*path, "leg", len(run.leg) - 1, told[-1]), text)]
    along = [0.0]
    for length in lengths:
        along.append(along[-1] + length)
    shared = [
        None if level is None else level - miss * x / along[-1]
        for level, x in zip(levels[:-1], along, strict=False)
    ]
    return replace(_with(figure, shared), level_miss=miss), []


def _with(figure: Walked, levels: list[float | None]) -> Walked:
    nodes = tuple(
        replace(node, level=None if level is None else round(level, 6))
        for node, level in zip(figure.nodes, levels, strict=True)
    )
    return replace(figure, nodes=nodes)


def _way(leg: LegSpec) -> str:
    """Return the key in which a leg says its ground, or nothing."""
    return next((key for key in WAYS if getattr(leg, key) is not None), "")


def _gaps(run: Run, told: list[str], first: float | None, path: KeyPath) -> list[Problem]:
    """Return what is not known of the levels and would have to be guessed."""
    if "level" in told and first is None:
        text = 'legs have levels: the start needs its own, as first_point = [0, 0, "50 m"]'
        return [Problem((*path, "first_point"), text)]
    if not any(key in FALLS for key in told):
        return []
    # the last leg of a ring ends at the start, whose level is known
    open_legs = told[:-1] if run.closed else told
    return [
        Problem(
            (*path, "leg", number),
            "says neither how far the ground falls nor a level, as other legs do; "
            "fall = 0 where it is level",
        )
        for number, key in enumerate(open_legs)
        if not key
    ]


def _lengths(figure: Walked, *, closed: bool) -> list[float]:
    """Return the length of each leg as it came out, mm."""
    places = [node.at for node in figure.nodes]
    ends = [*places[1:], *(places[:1] if closed else [])]
    return [math.dist(a, b) for a, b in zip(places, ends, strict=False)]


def _end(leg: LegSpec, level: float | None, length: float, bay: float) -> float | None:
    """Return the level at the end of a leg."""
    if leg.level is not None:
        return leg.level
    if level is None:
        return None
    if leg.fall is not None:
        return level - leg.fall
    if leg.fall_per_metre is not None:
        return level - leg.fall_per_metre * length / 1000.0
    if leg.fall_per_bay is not None:
        return level - leg.fall_per_bay * length / bay
    return None
