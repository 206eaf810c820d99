"""Where posts must stand: ends, corners, walls and gates, and which of them are too near."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from palewright.model.basis.errors import Problem
from palewright.model.geometry.shapes import RoundHole
from palewright.model.resolved.job import HostPost, RunJob
from palewright.model.resolved.run_joins import plate_seat
from palewright.model.resolved.words import PostRole
from palewright.model.resolved.zones import leg_at
from palewright.model.site.site_line import Leg, turns_by

from .line_posts import zone_problems
from .spans import MEET

BARE = (PostRole.END, PostRole.BEND)
"""Kinds of post that a gate may take for its own."""

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
    broken: bool = False  # a gap in the run starts here
    resumes: bool = False  # a gap in the run ends here
    bent: bool = False  # the line turns at this post of a gate
    pier: bool = False  # the plate is on a pier
    host: HostPost | None = None  # whose face the plate is on, where that is no wall

    @property
    def gate(self) -> int | None:
        """The gate whose post it is, or one of the two."""
        return self.closes if self.opening is None else self.opening

    @property
    def fence_after(self) -> bool:
        """Whether there is fence from here on to the next."""
        return self.opening is None and not self.broken


def gate_problems(run: RunJob) -> tuple[Problem, ...]:
    """Return what is wrong with where the gates and gaps of a run stand, and where zones leave no
    place for posts.
    """
    fixed, problems = fixed_posts(run)
    if problems:
        return problems
    parts = [
        (number, a.x, b.x)
        for number, marks in enumerate(fixed)
        for a, b in itertools.pairwise(marks)
        if a.fence_after
    ]
    return (
        *_lost_posts(run, fixed, parts),
        *_no_ramps(run, fixed),
        *zone_problems(run, parts),
    )


def _no_ramps(run: RunJob, fixed: list[list[FixedPost]]) -> Iterator[Problem]:
    """Yield ramps at ends of a run where a gate or a gap is in place of a bay."""
    first, last = fixed[0][0], fixed[-1][-2:]
    ends = (PostRole.END, PostRole.WALL)
    open_start = first.kind not in ends or not first.fence_after
    open_end = last[1].kind not in ends or not last[0].fence_after
    for drop, no_bay in zip(run.ramps, (open_start, open_end), strict=True):
        if drop and no_bay:
            text = "a gate or a gap at that end of the run leaves no bay to go down"
            yield Problem((*run.path, "ramp"), text)


def _lost_posts(
    run: RunJob, fixed: list[list[FixedPost]], parts: list[tuple[int, float, float]]
) -> Iterator[Problem]:
    """Yield posts that are to be set where none can be: in a gate, a gap, or in another post."""
    apart = run.posts.line.width
    for spot in run.set_posts:
        leg, x = leg_at(run.line.legs, spot.distance)
        beside = [mark for mark in fixed[leg] if abs(mark.x - x) < SAME]
        there = any(mark.kind != PostRole.GATE for mark in beside) or (
            bool(beside) and spot.said[: len(run.path)] == run.path
        )
        free = any(n == leg and a + apart < x < b - apart for n, a, b in parts)
        if not there and not free:
            text = "is in a gate or a gap, or in a post that stands there anyway"
            if spot.said[: len(run.path)] != run.path:
                text = f"the place on {run.called} {text}; a run joins a line post or an end post"
            yield Problem(spot.said, text)


def fixed_posts(run: RunJob) -> tuple[list[list[FixedPost]], tuple[Problem, ...]]:
    """Return the fixed posts of each leg in order, and what is wrong with gates and gaps."""
    legs = run.line.legs
    inside, problems = _openings(run)
    fixed = []
    for number, leg in enumerate(legs):
        start = _end_mark(run, leg, number, at_start=True)
        end = _end_mark(run, leg, number, at_start=False)
        marks = [start]
        for first, last in sorted(inside[number], key=lambda pair: pair[0].x):
            if abs(first.x - marks[-1].x) < SAME and marks[-1].kind in (*BARE, PostRole.GATE):
                marks[-1] = _one_post(marks[-1], first)
            else:
                marks.append(first)
            marks.append(last)
        if abs(marks[-1].x - end.x) < SAME and end.kind in BARE and len(marks) > 1:
            marks[-1] = replace(marks[-1], x=end.x, bent=end.kind == PostRole.BEND)
        else:
            marks.append(end)
        for a, b in itertools.pairwise(marks):
            if not a.fence_after:
                continue
            room = b.x - a.x - (_reach(run, a) + _reach(run, b))
            if room < 0.0:
                problems.append(_crowded(run, number, (a, b), room))
        fixed.append(marks)
    _meeting_gates(fixed, closed=run.line.closed)
    problems.extend(_shared_posts(run, fixed))
    return fixed, tuple(problems)


def _shared_posts(run: RunJob, fixed: list[list[FixedPost]]) -> Iterator[Problem]:
    """Yield posts that two gates share and say different things of."""
    for mark in (mark for marks in fixed for mark in marks):
        if mark.opening is None or mark.closes is None:
            continue
        if run.posts.of_gate(mark.opening) != run.posts.of_gate(mark.closes):
            text = f"shares a post with gate[{mark.closes + 1}]; say the same of it there"
            yield Problem((*run.path, "gate", mark.opening, "post"), text)


def _openings(run: RunJob) -> tuple[list[list[tuple[FixedPost, FixedPost]]], list[Problem]]:
    """Return the posts beside gates and gaps of each leg, and what is wrong with them."""
    legs = run.line.legs
    problems: list[Problem] = []
    inside: list[list[tuple[FixedPost, FixedPost]]] = [[] for _ in legs]
    for number, gate in enumerate(run.gates.openings):
        if gate.at > run.line.length:
            text = f"the run is only {run.line.length:.0f} mm long"
            problems.append(Problem((*run.path, "gate", number, "at"), text))
            continue
        leg_number, x = leg_at(legs, run.line.distance(gate.at))
        reach = gate.opening / 2.0 + run.posts.of_gate(number).width / 2.0
        opens = FixedPost(x - reach, PostRole.GATE, number)
        inside[leg_number].append((opens, FixedPost(x + reach, PostRole.GATE, None, number)))
    for gap in run.breaks:
        leg_number, x = leg_at(legs, gap.start)
        kind = PostRole.WALL if gap.walls else PostRole.END
        half_end = run.post_plan(kind).width / 2.0
        far = x + gap.end - gap.start
        if far > legs[leg_number].length + SAME:
            text = "the gap goes round a corner; it has to lie in one straight part"
            problems.append(Problem((*run.path, "gap", gap.number), text))
            continue
        stops = FixedPost(x - half_end, kind, broken=True)
        inside[leg_number].append((stops, FixedPost(far + half_end, kind, resumes=True)))
    return inside, problems


def _one_post(there: FixedPost, first: FixedPost) -> FixedPost:
    """Return the post that ends what is before it and starts what is after it."""
    gate = PostRole.GATE in (there.kind, first.kind)
    kind = PostRole.GATE if gate else there.kind
    bent = there.bent or there.kind == PostRole.BEND
    return replace(there, kind=kind, opening=first.opening, broken=first.broken, bent=bent)


def _meeting_gates(fixed: list[list[FixedPost]], *, closed: bool) -> None:
    """Make one post of the ends of two legs that meet at a post of a gate."""
    for number, marks in enumerate(fixed):
        if number == len(fixed) - 1 and not closed:
            break
        after = fixed[(number + 1) % len(fixed)]
        last, first = marks[-1], after[0]
        if last.bent and first.kind == PostRole.BEND:
            after[0] = replace(first, kind=PostRole.GATE, bent=True)
        elif first.bent and last.kind == PostRole.BEND:
            marks[-1] = replace(last, kind=PostRole.GATE, bent=True)


def _end_mark(run: RunJob, leg: Leg, number: int, *, at_start: bool) -> FixedPost:
    """Return the fixed post at one end of a leg."""
    last = len(run.line.legs) - 1
    x = 0.0 if at_start else leg.length
    if not run.line.closed and number == (0 if at_start else last):
        if run.walls.at_start if at_start else run.walls.at_end:
            host = run.hosts[0 if at_start else 1]
            lean = 0.0 if host is None else host.lean
            seat = plate_seat(lean, run.walls.plate, run.face, at_start=at_start)
            pier = run.piers[0 if at_start else 1]
            return FixedPost(
                x + seat[0], PostRole.WALL, at_start=at_start, host=host, pier=pier is not None
            )
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
    plan, hole = run.posts.corner, run.posts.corner.foot.room
    size = hole.diameter if isinstance(hole, RoundHole) else math.hypot(hole.width, hole.depth)
    half_tan = math.tan(math.radians(turn) / 2.0)
    clear = plan.width / 2.0 + max((plan.depth - run.face) * half_tan, -run.face * half_tan)
    apart = (size + 50.0) / (2.0 * math.cos(math.radians(turn) / 2.0))
    return float(math.ceil(max(clear + 5.0, apart) / 10.0) * 10)


def _reach(run: RunJob, mark: FixedPost) -> float:
    plan = run.post_plan(mark.kind, mark.gate)
    if mark.bent or (mark.kind in (PostRole.CORNER, PostRole.BEND) and not mark.pair):
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
        PostRole.WALL: "the wall or post that the run ends at",
        PostRole.BEND: "a post on the curve (a gate needs a straight part)",
    }
    if gate is None and (a.resumes or b.broken):
        text = f"a gap comes {-room:.0f} mm too near to another post of the run"
        return Problem((*run.path, "gap"), text)
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
