"""Where posts must stand: ends, corners, walls and gates, and which of them are too near."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass, replace

from palewright.model.basis.errors import Problem
from palewright.model.geometry.shapes import RoundHole
from palewright.model.resolved.job import RunJob
from palewright.model.resolved.words import PostRole
from palewright.model.site.site_line import Leg, turns_by

from .spans import MEET

SAME = 1.0
"""Posts nearer than this (mm) are one post."""


@dataclass(frozen=True)
class FixedPost:
    """A post that has to stand at x of its leg, before it is placed."""

    x: float
    kind: PostRole
    opening: int | None = None  # gate whose opening starts here
    closes: int | None = None  # gate whose opening ends here
    at_start: bool = False  # of a leg
    pair: bool = False  # one of two posts at a corner


def gate_problems(run: RunJob) -> tuple[Problem, ...]:
    """Return what is wrong with where the gates of a run stand."""
    return fixed_posts(run)[1]


def fixed_posts(run: RunJob) -> tuple[list[list[FixedPost]], tuple[Problem, ...]]:
    """Return the fixed posts of each leg in order, and what is wrong with the gates."""
    legs = run.line.legs
    problems: list[Problem] = []
    half = run.posts.gate.width / 2.0
    inside: list[list[tuple[float, float, int]]] = [[] for _ in legs]
    for number, gate in enumerate(run.gates.openings):
        path = (*run.path, "gate", number, "at")
        if gate.at > run.line.length:
            text = f"the run is only {run.line.length:.0f} mm long"
            problems.append(Problem(path, text))
            continue
        centre = run.line.distance(gate.at)
        leg_number = max(n for n, leg in enumerate(legs) if leg.before <= centre + 1e-9)
        x = centre - legs[leg_number].before
        reach = gate.opening / 2.0 + half
        inside[leg_number].append((x - reach, x + reach, number))
    fixed = []
    for number, leg in enumerate(legs):
        start = _end_mark(run, leg, number, at_start=True)
        end = _end_mark(run, leg, number, at_start=False)
        marks = [start]
        for x0, x1, which in sorted(inside[number]):
            if abs(x0 - marks[-1].x) < SAME and marks[-1].kind in (PostRole.END, PostRole.GATE):
                marks[-1] = replace(marks[-1], kind=PostRole.GATE, opening=which)
            else:
                marks.append(FixedPost(x0, PostRole.GATE, which))
            marks.append(FixedPost(x1, PostRole.GATE, None, which))
        if abs(marks[-1].x - end.x) < SAME and end.kind == PostRole.END and len(marks) > 1:
            marks[-1] = FixedPost(end.x, PostRole.GATE, None, marks[-1].closes)
        else:
            marks.append(end)
        for a, b in itertools.pairwise(marks):
            if a.opening is not None:
                continue
            room = b.x - a.x - (_reach(run, a) + _reach(run, b))
            if room < 0.0:
                problems.append(_crowded(run, number, (a, b), room))
        fixed.append(marks)
    return fixed, tuple(problems)


def _end_mark(run: RunJob, leg: Leg, number: int, *, at_start: bool) -> FixedPost:
    """Return the fixed post at one end of a leg."""
    last = len(run.line.legs) - 1
    x = 0.0 if at_start else leg.length
    if not run.line.closed and number == (0 if at_start else last):
        if run.walls.at_start if at_start else run.walls.at_end:
            half = run.walls.plate.width / 2.0
            return FixedPost(x + (half if at_start else -half), PostRole.WALL, at_start=at_start)
        return FixedPost(x, PostRole.END, at_start=at_start)
    if leg.bent_start if at_start else leg.bent_end:
        return FixedPost(x, PostRole.BEND, at_start=at_start)
    turn = leg.turn_start if at_start else leg.turn_end
    if run.corners.posts == "pair" and turns_by(turn, MEET):
        setback = run.corners.setback or _setback(run, turn)
        return FixedPost(
            x + (setback if at_start else -setback), PostRole.CORNER, at_start=at_start, pair=True
        )
    return FixedPost(x, PostRole.CORNER, at_start=at_start)


def _setback(run: RunJob, turn: float) -> float:
    """Return how far from a corner the posts of a pair stand, mm.

    Their holes keep a spade's width of ground between them, and the posts are clear of the plane
    that halves the corner.
    """
    plan, hole = run.posts.corner, run.footings.hole
    size = hole.diameter if isinstance(hole, RoundHole) else math.hypot(hole.width, hole.depth)
    half_tan = math.tan(math.radians(turn) / 2.0)
    clear = plan.width / 2.0 + max((plan.depth - run.face) * half_tan, -run.face * half_tan)
    apart = (size + 50.0) / (2.0 * math.cos(math.radians(turn) / 2.0))
    return float(math.ceil(max(clear + 5.0, apart) / 10.0) * 10)


def _reach(run: RunJob, mark: FixedPost) -> float:
    plan = run.post_plan(mark.kind)
    if mark.kind in (PostRole.CORNER, PostRole.BEND) and not mark.pair:
        # it may stand at an angle and off the line
        return math.hypot(plan.width, plan.depth) / 2.0
    return plan.width / 2.0


def _crowded(run: RunJob, leg: int, pair: tuple[FixedPost, FixedPost], room: float) -> Problem:
    a, b = pair
    gate = b.opening if b.opening is not None else a.closes
    names = {
        PostRole.END: "the end of the run",
        PostRole.CORNER: "a corner",
        PostRole.GATE: "another gate",
        PostRole.WALL: "the wall",
        PostRole.BEND: "a post on the curve (a gate needs a straight part)",
    }
    if gate is None:
        text = f"two corners or ends are {-room:.0f} mm too near each other for their posts"
        return Problem(run.leg_path(leg), text)
    width = run.gates.openings[gate].opening
    other = names[a.kind if b.opening is not None else b.kind]
    text = (
        f"the gate's post, its opening {width:.0f} mm wide, comes {-room:.0f} mm too near to "
        f"{other}; move the gate, or put its "
        "post where the end post stands"
    )
    return Problem((*run.path, "gate", gate, "at"), text)
