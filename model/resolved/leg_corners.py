"""Legs by length and turn made the corners of a line, closed where it comes back to its start."""

from __future__ import annotations

import math
from collections.abc import Sequence

from palewright.model.basis.directions import TURNS
from palewright.model.basis.errors import KeyPath, Problem
from palewright.model.basis.units import format_length
from palewright.model.site.path import Node
from palewright.model.site.traverse import (
    TriangleError,
    balanced_turns,
    bearing_of,
    compass_rule,
    corner_angle,
    step,
)
from palewright.model.spec.spec_tables import Run

from .leg_levels import levelled, one_way_problems
from .walked import Walked

WORST = 20.0
"""A line that misses its start by more than its length over this is a blunder, not an error of
measuring (common practice, no source)."""

WORST_TURNS = 5.0
"""Turns that miss a full turn by more than this for the whole line are a blunder, degrees (common
practice, no source)."""


def walked_line(
    run: Run, bay: float, path: KeyPath, *, first: bool
) -> tuple[Walked | None, list[Problem]]:
    """Return the line of a run given by its legs, or what is wrong with them.

    bay : longest bay, mm; path : of the run; first : whether it is the first of the spec, which
    may start anywhere.
    """
    place: KeyPath = (*path, "leg")
    problems = [
        Problem((*place, number, *([key] if key else [])), text)
        for number, leg in enumerate(run.leg)
        for key, text in (*_slips(run, number), *one_way_problems(leg))
    ]
    if run.first_point is None and not first:
        text = "a run by legs, beside other runs, needs to know where it starts: [east, north]"
        problems.append(Problem((*path, "first_point"), text))
    if run.first_point is not None and run.first_point.through is not None:
        problems.append(Problem((*path, "first_point", "through"), "no arc leads to the start"))
    if problems:
        return None, problems
    turns: list[float | None] = []
    for number in range(len(run.leg)):
        try:
            turns.append(_turn(run, number))
        except TriangleError as error:
            problems.append(Problem((*place, number, "across"), str(error)))
    if problems:
        return None, problems
    figure = _figure(run, turns, place)
    return (None, [figure]) if isinstance(figure, Problem) else levelled(run, bay, path, figure)


def _joins(run: Run, number: int) -> bool:
    """Tell whether a leg is the one back to the start that was not measured."""
    leg = run.leg[number]
    return run.closed and number == len(run.leg) - 1 and number > 0 and leg.length is None


def _slips(run: Run, number: int) -> list[tuple[str, str]]:
    """Return what is wrong with one leg by itself: (key, text)."""
    leg = run.leg[number]
    if _joins(run, number):
        told = [
            key for key in ("turn", "bearing", "across", "arms") if getattr(leg, key) is not None
        ]
        text = "follows from the others where the last leg has no length; give its length too"
        return [(key, text) for key in told]
    if leg.length is None:
        last = "; only the last leg of a closed run may be without" if not run.closed else ""
        return [("", f"a leg needs its length{last}")]
    if not number and leg.bearing is None and any(one.bearing is not None for one in run.leg):
        return [("bearing", "other legs have bearings, so this one needs its own")]
    if not number and not run.closed and (leg.turn or leg.across or leg.arms):
        key = "turn" if leg.turn else "across" if leg.across else "arms"
        text = "there is no corner before the first leg; say its bearing where that is known"
        return [(key, text)]
    return _turn_slips(run, number)


def _turn_slips(run: Run, number: int) -> list[tuple[str, str]]:
    leg, last = run.leg[number], len(run.leg) - 1
    corner = leg.turn is not None or leg.across is not None or leg.arms is not None
    if number and leg.bearing is not None and corner:
        return [("bearing", "a leg has a bearing or a turn, not both")]
    if leg.arms is not None and leg.across is None:
        return [("arms", "needs `across`, the length between the ends of the arms")]
    if leg.across is not None:
        if leg.turn is None:
            side = 'to which side does the line turn? say turn = "left" or turn = "right"'
            return [("across", side)]
        if leg.turn.degrees is not None:
            text = (
                'the turn follows from `across`: say its side alone, as turn = "left"; what is '
                "measured twice goes into a tape file"
            )
            return [("turn", text)]
        before = run.leg[number - 1].length
        if leg.arms is None and before is None:
            return [("across", "needs `arms`: the leg before has no length")]
    if number and not corner and leg.bearing is None and not (run.closed and number == last):
        return [("", f"says no turn from the leg before: turn = {TURNS}, or a bearing")]
    if not number and leg.turn is not None:
        others = run.leg[1:]
        if any(other.bearing is not None for other in others):
            return [("turn", "the turn into the first leg counts only where all legs have turns")]
        if any(other.turn is None for other in others):
            return [("turn", "is one too many: the last leg has no turn or no length")]
    return []


def _turn(run: Run, number: int) -> float | None:
    """Return the turn into a leg, degrees, to the right positive; None where none was measured."""
    leg = run.leg[number]
    if leg.turn is None:
        return None
    if leg.across is None:
        return leg.turn.side * (90.0 if leg.turn.degrees is None else leg.turn.degrees)
    before = run.leg[number - 1].length or 0.0
    arms = leg.arms or (before, leg.length or 0.0)
    return leg.turn.side * (180.0 - corner_angle(*arms, leg.across))


def _figure(run: Run, turns: list[float | None], place: KeyPath) -> Walked | Problem:
    """Return the line in plan, closed where it comes back to its start."""
    at = run.first_point.at if run.first_point is not None else (0.0, 0.0)
    start, last = complex(*at), len(run.leg) - 1
    lengths = [leg.length for leg in run.leg if leg.length is not None]
    measured = math.fsum(lengths)
    turn_miss, used = None, list(turns)
    if turns[0] is not None:  # of a closed run: the last turn, into the first leg
        told = [turn for turn in turns if turn is not None]
        wanted = math.copysign(360.0, math.fsum(told))
        evened, turn_miss = balanced_turns(told, wanted)
        if abs(turn_miss) > WORST_TURNS:
            return Problem(
                (*place, 0, "turn"), f"the turns of all legs add up to {abs(sum(told)):.4g} "
                "degrees; round a closed line they make 360",
            )  # fmt: skip
        used = list(evened)
    legs = _ways(run, used)
    bearings = any(leg.bearing is not None for leg in run.leg)
    told_turns = tuple(turns)
    if not run.closed or run.leg[last].length is None:
        nodes, here = [Node(_pair(start))], start
        for way in legs:
            here += way
            nodes.append(Node(_pair(here)))
        return Walked(run.leg, tuple(nodes), told_turns, length=measured, bearings=bearings)
    closed = compass_rule(start, legs, start)
    if abs(closed.miss) > measured / WORST:
        off, ratio = abs(closed.miss), measured / abs(closed.miss)
        return Problem(
            (*place, last), f"the legs end {format_length(off)} mm from the start, 1 in {ratio:.1f}"
            " of their length: a length or a turn is wrong, or a leg is missing; a last leg that "
            "was not measured is written as an empty [[run.leg]]",
        )  # fmt: skip
    corners = (start, *closed.places[:-1])
    return Walked(
        run.leg, tuple(Node(_pair(corner)) for corner in corners), told_turns, closed.miss,
        turn_miss, None, measured, bearings,
    )  # fmt: skip


def _ways(run: Run, turns: Sequence[float | None]) -> list[complex]:
    """Return east and north of each leg that was measured."""
    ways: list[complex] = []
    bearing = 0.0
    for number, (leg, turn) in enumerate(zip(run.leg, turns, strict=True)):
        if leg.length is None:
            break
        if leg.bearing is not None:
            bearing = leg.bearing
        elif number and turn is not None:
            bearing += turn
        elif number:  # the last of a closed run, its length alone measured: back to the start
            bearing = bearing_of(-sum(ways, 0j))
        ways.append(step(bearing, leg.length))
    return ways


def _pair(place: complex) -> tuple[float, float]:
    """Return a place to a millionth of a millimetre, so that square corners stay square."""
    return round(place.real, 6) + 0.0, round(place.imag, 6) + 0.0
