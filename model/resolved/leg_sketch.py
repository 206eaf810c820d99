"""Runs given by legs as what a survey holds: corners, lines, and the marks of a sketch."""

from __future__ import annotations

from collections.abc import Iterator

from palewright.model.basis.units import feet_and_inches, format_length
from palewright.model.geometry.frames import Point
from palewright.model.spec.leg_keys import LegSpec
from palewright.model.survey.points_and_lines import Survey, SurveyLine, SurveyPoint
from palewright.model.survey.sketch_marks import Sketch, SketchMark

from .job import Job, RunJob
from .walked import Walked


def walked_survey(file: str, job: Job) -> Survey | None:
    """Return what was measured of the runs that are given by legs, None where there are none.

    file : names the spec in messages.
    """
    runs = [(run, run.walked) for run in job.runs if run.walked is not None]
    if not runs:
        return None
    feet = job.sheets.units == "ft-in"
    points: list[SurveyPoint] = []
    lines: list[SurveyLine] = []
    marks: list[SketchMark] = []
    notes: list[str] = []
    for run, walked in runs:
        letter = run.letter if len(runs) > 1 else ""
        for number, node in enumerate(walked.nodes, 1):
            points.append(SurveyPoint(f"{letter}{number}", *node.at, node.level, run.called))
        closed = run.line.closed
        kind = f"{len(walked.legs)} legs"
        lines.append(SurveyLine(run.called, run.called, kind, walked.nodes, closed))
        marks += _marks(walked, letter, feet=feet)
        notes += _notes(run, walked)
    north = all(walked.bearings for _, walked in runs)
    sketch = Sketch(tuple(marks), north, "no bearing was measured: up is the first leg", feet=feet)
    return Survey(file, "legs", tuple(points), tuple(lines), "", tuple(notes), sketch)


def _notes(run: RunJob, walked: Walked) -> Iterator[str]:
    if walked.misclosure:
        yield f"{run.called}: {walked.misclosure}"
    else:
        yield f"{run.called}: no more measured than needed, so that nothing is checked"


def _marks(walked: Walked, letter: str, *, feet: bool) -> Iterator[SketchMark]:
    """Yield what was measured of each leg and of the corner that it starts at."""
    nodes = walked.nodes
    count = len(nodes)
    for number, (leg, turn) in enumerate(zip(walked.legs, walked.turns, strict=True)):
        here, there = nodes[number].at, nodes[(number + 1) % count].at
        name = f"leg {letter}{number + 1}"
        ends = here, there
        if leg.length is not None:
            said = f"leg {letter}{number + 1}: {_length(leg.length, feet=feet)}"
            yield SketchMark("length", ends, said, name)
        if leg.bearing is not None:
            yield SketchMark("bearing", ends, f"bearing {leg.bearing:.6g}\N{DEGREE SIGN}", name)
        fall = _fall(leg, feet=feet)
        if fall:
            yield SketchMark("fall", ends, fall, name)
        if turn is None:
            continue
        before = nodes[number - 1].at
        if leg.across is not None:
            yield from _triangle(leg, (before, here, there), name, feet=feet)
        else:
            side = "right" if turn > 0.0 else "left"
            said = f"{side} {abs(turn):.6g}\N{DEGREE SIGN}" if turn else "straight"
            yield SketchMark("turn", (here, before, there), said, f"turn into {name}")


def _triangle(
    leg: LegSpec, corner: tuple[Point, Point, Point], name: str, *, feet: bool
) -> Iterator[SketchMark]:
    """Yield the length across a corner, and the arms that it was measured between."""
    before, here, there = corner
    assert leg.across is not None, "only a triangle has a length across"
    ends = [before, there]
    if leg.arms is not None:
        ends = [_toward(here, end, arm) for end, arm in zip(ends, leg.arms, strict=True)]
        for end, arm in zip(ends, leg.arms, strict=True):
            said = f"arm {_length(arm, feet=feet)}"
            yield SketchMark("tie", (here, end), said, f"before {name}")
    said = _length(leg.across, feet=feet)
    yield SketchMark("tie", (ends[0], ends[1]), said, f"across before {name}")


def _toward(a: Point, b: Point, length: float) -> Point:
    """Return the place at a length from a towards b, mm."""
    way = complex(*b) - complex(*a)
    place = complex(*a) + way / (abs(way) or 1.0) * length
    return place.real, place.imag


def _fall(leg: LegSpec, *, feet: bool) -> str:
    """Return how far the ground falls over a leg, in words; empty where that was not said."""
    told = (leg.fall, ""), (leg.fall_per_metre, " a metre"), (leg.fall_per_bay, " a bay")
    for value, over in told:
        if value is not None:
            if not value:
                return "level"
            way = "falls" if value > 0.0 else "rises"
            return f"{way} {_small(abs(value), feet=feet)}{over}"
    return ""


def _small(value: float, *, feet: bool) -> str:
    return feet_and_inches(value) if feet else f"{format_length(value)} mm"


def _length(value: float, *, feet: bool) -> str:
    """Return a measured length in metres to a tenth of a millimetre, or in feet and inches."""
    return feet_and_inches(value) if feet else f"{format_length(value / 1000.0, 4)} m"
