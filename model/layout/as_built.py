"""A fence as its posts were found to stand: lines, stations and openings worked out again.

A post that stands out of the line by more than a rail can be packed turns the line: its bays get
lines of their own, with their rails cut and bevelled to them.
"""

from __future__ import annotations

import difflib
import itertools
import math
from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass, field, replace

import numpy as np

from palewright.model.basis.errors import KeyPath, Problem
from palewright.model.geometry.frames import Point, Vector
from palewright.model.resolved.job import Job, RunJob, Stood
from palewright.model.resolved.words import PostRole
from palewright.model.site.site_line import Leg, SiteLine
from palewright.model.spec.as_built_keys import Measured

from .lay_out import lay_out
from .placed_posts import PlacedPost
from .run_layout import RunLayout, stations_of_leg

PACKED = 10.0
"""A rail is packed out, or drawn to a post, that is so far out of line, mm (common practice)."""

AGREE = 3.0
"""Two measurements of one post that differ by more are asked about, mm."""

FARTHEST = 1000.0
"""A post farther from its planned place was not set by this plan, mm."""


@dataclass
class _Stand:
    """Where a post stands: the leg it is counted with, x along it in plan, and what is measured."""

    leg: int
    x: float
    post: PlacedPost
    along: float | None = None
    across: float = 0.0
    height: float | None = None

    def moved(self, layout: RunLayout) -> Point:
        """Return how far it stands from its planned place on the site, mm."""
        frame = layout.legs[self.leg].frame
        along = -(self.along or 0.0) if layout.run.line.turned else self.along or 0.0
        (ux, uy, _), (vx, vy, _) = frame.x, frame.y
        return along * ux - self.across * vx, along * uy - self.across * vy

    def along_leg(self, layout: RunLayout, leg: Leg) -> float:
        """Return how far it stands beyond its place along a leg, as chainage goes, mm."""
        dx, dy = self.moved(layout)
        far = dx * leg.frame.x[0] + dy * leg.frame.x[1]
        return -far if layout.run.line.turned else far


@dataclass
class _Line:
    """A line as built, as it grows: nodes, and of each its distance in plan."""

    vertices: list[Vector] = field(default_factory=list)
    planned: list[float] = field(default_factory=list)
    bent: set[int] = field(default_factory=set)

    def add(self, at: Vector, planned: float, *, bent: bool) -> None:
        """Add a node."""
        if bent:
            self.bent.add(len(self.vertices))
        self.vertices.append(at)
        self.planned.append(planned)


@dataclass(frozen=True)
class _Carry:
    """Places of posts along the line in plan, in order, and along the line as built, mm."""

    planned: tuple[float, ...]
    built: tuple[float, ...]

    @classmethod
    def of(
        cls, line: SiteLine, built: SiteLine, grown: _Line, posts: list[tuple[float, Vector]]
    ) -> _Carry:
        """Return the places of the corners and ends and of the posts between them."""
        known = dict(zip(grown.planned, (leg.before for leg in built.legs), strict=False))
        known[line.length] = built.length
        for planned, at in posts:
            leg = built.legs[bisect_right(grown.planned, planned + 1e-6) - 1]
            x, _, _ = leg.frame.local(at)
            known[planned] = leg.before + min(max(x, 0.0), leg.length)
        order = sorted(known)
        return cls(tuple(order), tuple(known[planned] for planned in order))

    def at(self, planned: float) -> float:
        """Return the place as built of the post nearest to a distance in plan."""
        after = min(bisect_right(self.planned, planned), len(self.planned) - 1)
        near = min((max(after - 1, 0), after), key=lambda n: abs(self.planned[n] - planned))
        return self.built[near]

    def between(self, planned: float) -> float:
        """Return a place that is no post's, in its share between the posts beside it."""
        return float(np.interp(planned, self.planned, self.built))


def built_job(job: Job) -> tuple[Job, list[Problem]]:
    """Return a job with its runs as they were measured, and what is wrong with the measurements.

    The job's runs must be without problems.
    """
    if not job.measured:
        return job, []
    layouts = [lay_out(run) for run in job.runs]
    stands = [_stands(layout) for layout in layouts]
    problems = list(_told(job, layouts, stands))
    if problems:
        return job, problems
    runs = []
    for layout, standing in zip(layouts, stands, strict=True):
        changed = any(
            stand.along or stand.across or stand.height is not None for stand in standing.values()
        )
        runs.append(_as_built(layout, standing) if changed else layout.run)
    return replace(job, runs=tuple(runs), planned=job.runs), []


def _stands(layout: RunLayout) -> dict[str, _Stand]:
    """Return the posts of a run by label, each with the first leg that it stands at as the user
    goes: a corner with the leg before it.
    """
    stands: dict[str, _Stand] = {}
    legs = range(len(layout.legs))
    for number in reversed(legs) if layout.run.line.turned else legs:
        for x, post in stations_of_leg(layout, number):
            stands.setdefault(post.label, _Stand(number, x, post))
    return dict(sorted(stands.items(), key=lambda item: item[1].post.chainage))


def _told(job: Job, layouts: list[RunLayout], stands: list[dict[str, _Stand]]) -> Iterator[Problem]:
    """Enter the measurements in the posts; yield what is wrong with them."""
    runs = {label: number for number, posts in enumerate(stands) for label in posts}
    bays: list[tuple[int, Measured]] = []
    for number, told in enumerate(job.measured):
        path: KeyPath = ("measured", number)
        wrong = [label for label in (told.post, told.to) if label and label not in runs]
        if wrong:
            near = difflib.get_close_matches(wrong[0], list(runs), 1)
            hint = f"; did you mean '{near[0]}'?" if near else ""
            yield Problem((*path, "post"), f"there is no post '{wrong[0]}'{hint}")
            continue
        if (told.clear is None) != (not told.to):
            yield Problem((*path, "to"), "a bay has both: to, the next post, and clear")
            continue
        if told.to:
            bays.append((number, told))
            if told.along is None and told.across is None and told.height is None:
                continue
        if told.along is None and told.across is None and told.height is None:
            yield Problem((*path, "post"), "give along, across or height, or to and clear")
            continue
        stand = stands[runs[told.post]][told.post]
        fixed = stand.post.kind == PostRole.CORNER and layouts[runs[told.post]].run.corners
        if fixed and fixed.posts == "pair":
            yield Problem((*path, "post"), "a post of a pair at a corner is not worked in")
        elif max(abs(told.along or 0.0), abs(told.across or 0.0)) > FARTHEST:
            text = f"is more than {FARTHEST:.0f} mm from its place; change the plan instead"
            yield Problem((*path, "post"), f"{told.post} {text}")
        else:
            stand.along, stand.height = told.along, told.height
            stand.across = told.across or 0.0
    for number, told in sorted(bays, key=lambda bay: _place_of(stands, runs, bay[1])):
        layout = layouts[runs[told.post]]
        problem = _tape_bay(layout, stands[runs[told.post]], told)
        if problem:
            yield Problem(("measured", number, problem[0]), problem[1])
    for layout, standing in zip(layouts, stands, strict=True):
        yield from _out_of_order(layout, standing)


def _place_of(stands: list[dict[str, _Stand]], runs: dict[str, int], told: Measured) -> Point:
    return runs[told.post], stands[runs[told.post]][told.post].post.chainage


def _tape_bay(
    layout: RunLayout, standing: dict[str, _Stand], told: Measured
) -> tuple[str, str] | None:
    """Enter a bay that was taped between its posts' faces; return the key that is wrong and why."""
    assert told.clear is not None
    order = list(standing)
    following = order[(order.index(told.post) + 1) % len(order)]
    if told.to != following:
        return "to", f"the next post after {told.post} is {following}"
    # the leg that ends at one of them holds both, but round a corner with a pair of posts
    for number in sorted({standing[told.post].leg, standing[told.to].leg}):
        posts = {post.label: (x, post) for x, post in stations_of_leg(layout, number)}
        if told.post in posts and told.to in posts:
            leg = layout.legs[number]
            break
    else:
        return "to", f"{told.post} and {told.to} are in no one straight part"
    (x0, first), (x1, last) = posts[told.post], posts[told.to]
    onward = x1 > x0
    faces = first.extent(leg)[1 if onward else 0], last.extent(leg)[0 if onward else 1]
    longer = told.clear - abs(faces[1] - faces[0])
    along = standing[told.post].along_leg(layout, leg) + longer
    stand = standing[told.to]
    if stand.along is None:
        stand.along = along
        return None if abs(along) <= FARTHEST else ("clear", "puts the post far from its place")
    if abs(stand.along_leg(layout, leg) - along) > AGREE:
        return "clear", (
            f"{told.to} would be {along:+.0f} mm from its place by this bay, and is "
            f"{stand.along:+.0f} by what else is measured; measure both again"
        )
    return None


def _as_built(layout: RunLayout, standing: dict[str, _Stand]) -> RunJob:
    """Return a run with its line through its posts as they stand."""
    line, legs = layout.run.line, layout.legs
    grown = _Line()
    corners = [_corner(layout, standing, number) for number in range(len(line.vertices))]
    found: list[tuple[float, Vector]] = []  # posts between corners: distance in plan, place
    for number, leg in enumerate(legs):
        inner = []
        for x, post in stations_of_leg(layout, number):
            near = post.plan.width if post.kind == PostRole.WALL else 1.0
            if near < x < leg.length - near:
                dx, dy = standing[post.label].moved(layout)
                at = leg.frame.point((x, 0.0, 0.0))
                bends = post.kind != PostRole.WALL  # a plate is fixed where the fence comes to it
                inner.append((x, (at[0] + dx, at[1] + dy, leg.start[2] + leg.ground(x)), bends))
        end = corners[(number + 1) % len(corners)]
        grown.add(corners[number], leg.before, bent=number in line.bent)
        posts = [(x, at) for x, at, bends in inner if bends]
        for place in _turning(corners[number], [at for _, at in posts], end):
            x, at = posts[place]
            grown.add(at, leg.before + x, bent=True)
        found += ((leg.before + x, at) for x, at, _ in inner)
    if not line.closed:
        grown.add(corners[-1], line.length, bent=False)
    built = _new_line(line, grown)
    return _with_line(layout, standing, built, _Carry.of(line, built, grown, found))


def _corner(layout: RunLayout, standing: dict[str, _Stand], number: int) -> Vector:
    """Return where a corner or an end of the line is, moved with its post."""
    line, legs = layout.run.line, layout.legs
    x, y, z = line.vertices[number]
    ends_here = number > 0 or line.closed
    which = (number - 1) % len(legs) if ends_here else 0
    at = legs[which].length if ends_here else 0.0
    for place, post in stations_of_leg(layout, which):
        near = layout.run.walls.plate.width if post.kind == PostRole.WALL else 1.0
        if abs(place - at) < near:
            dx, dy = standing[post.label].moved(layout)
            return x + dx, y + dy, z
    return x, y, z


def _turning(start: Vector, places: list[Vector], end: Vector) -> list[int]:
    """Return the posts at which the line has to turn, in order (Douglas and Peucker's rule)."""
    line = [start, *places, end]
    kept: list[int] = []
    parts = [(0, len(line) - 1)]
    while parts:
        a, b = parts.pop()
        away, worst = max(
            ((_off(line[a], line[b], line[at]), at) for at in range(a + 1, b)), default=(0.0, a)
        )
        if away > PACKED:
            kept.append(worst - 1)
            parts += [(a, worst), (worst, b)]
    return sorted(kept)


def _off(a: Vector, b: Vector, at: Vector) -> float:
    """Return how far a place is from the straight from a to b in plan, mm."""
    length = math.dist(a[:2], b[:2])
    return abs((b[0] - a[0]) * (at[1] - a[1]) - (b[1] - a[1]) * (at[0] - a[0])) / length


def _new_line(line: SiteLine, grown: _Line) -> SiteLine:
    """Return the line as built with its ground."""
    built = SiteLine(tuple(grown.vertices), line.closed, line.turned, (), frozenset(grown.bent))
    carry = _Carry.of(line, built, grown, [])
    knots = tuple((carry.between(x), level) for x, level in line.knots)
    offsets = line.offsets if len(built.legs) == len(line.offsets) else ()
    return replace(built, knots=knots, offsets=offsets)


def _with_line(
    layout: RunLayout, standing: dict[str, _Stand], built: SiteLine, carry: _Carry
) -> RunJob:
    """Return the run on its line as built, with its openings and its line posts there."""
    run = layout.run
    gates = list(run.gates.openings)
    for opening in layout.openings:
        half = run.posts.of_gate(opening.number).width / 2.0
        before = opening.leg.before
        start = carry.at(before + opening.start - half) + half
        end = carry.at(before + opening.end + half) - half
        middle = built.chainage((start + end) / 2.0)
        gate = gates[opening.number]
        gates[opening.number] = gate.model_copy(update={"at": middle, "opening": end - start})
    gaps = []
    for gap in run.breaks:
        reach = run.post_plan(PostRole.WALL if gap.walls else PostRole.END).width / 2.0
        ends = carry.at(gap.start - reach) + reach, carry.at(gap.end + reach) - reach
        gaps.append(replace(gap, start=ends[0], end=ends[1]))
    line_posts = [
        leg.before + x
        for number, leg in enumerate(layout.legs)
        for x, post in stations_of_leg(layout, number)
        if post.kind == PostRole.LINE and 1.0 < x < leg.length - 1.0
    ]
    return replace(
        run,
        line=built,
        gates=replace(run.gates, openings=tuple(gates)),
        breaks=tuple(gaps),
        stations=tuple(carry.at(x) for x in line_posts),
        stood=tuple(Stood(label, s.moved(layout), s.height) for label, s in standing.items()),
        set_posts=tuple(replace(p, distance=carry.at(p.distance)) for p in run.set_posts),
        zones=(),
    )


def _out_of_order(layout: RunLayout, standing: dict[str, _Stand]) -> Iterator[Problem]:
    """Yield posts that would stand at or beyond the next one."""
    for number, leg in enumerate(layout.legs):
        places = [
            (x + (-1.0 if layout.run.line.turned else 1.0)
             * standing[post.label].along_leg(layout, leg), post)
            for x, post in stations_of_leg(layout, number)
        ]  # fmt: skip
        for (x0, first), (x1, last) in itertools.pairwise(places):
            if x1 - x0 < (first.plan.width + last.plan.width) / 2.0:
                text = f"{first.label} and {last.label} would stand in each other"
                yield Problem(("measured",), text)
