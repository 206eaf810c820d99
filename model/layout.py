"""Where posts stand: fixed posts, stretches between them, bays and gate openings.

Distances x run along a leg from its start (see `line`); the front of the fence is at negative y.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from functools import cached_property

from .errors import Problem
from .geometry import Frame, Point, cos_sin
from .line import Leg
from .resolve import PostPlan, RunJob
from .spacing import equal_bays, standard_bays
from .spec import GateSpec

MEET = 30.0
"""From this turn on (degrees) the pales of two legs meet edge to edge at the corner; below it
they keep half a gap each, so that a nearly straight line shows no double pale."""

SAME = 1.0
"""Posts nearer than this (mm) are one post."""


@dataclass(frozen=True)
class PlacedPost:
    """A post on the site.

    kind : "line", "end", "corner" or "gate"; frame : on the ground in the post's middle, x along
    the post's width; chainage : mm from the user's start; label : run letter and number, counted
    from the user's start.
    """

    kind: str
    plan: PostPlan
    frame: Frame
    chainage: float
    label: str = ""

    @property
    def corners(self) -> tuple[Point, ...]:
        """The four corners in plan, mm, site coordinates, anticlockwise."""
        w, d = self.plan.width / 2.0, self.plan.depth / 2.0
        return tuple(
            self.frame.point((x, y, 0.0))[:2] for x, y in ((-w, -d), (w, -d), (w, d), (-w, d))
        )

    def in_leg(self, leg: Leg) -> tuple[Point, ...]:
        """Return the four corners in the frame of a leg."""
        frame = leg.frame
        return tuple(frame.local((x, y, leg.start[2]))[:2] for x, y in self.corners)

    def extent(self, leg: Leg) -> tuple[float, float]:
        """Return the smallest and largest x of the post in a leg."""
        xs = [x for x, _ in self.in_leg(leg)]
        return min(xs), max(xs)


@dataclass(frozen=True)
class Limit:
    """How a stretch ends on one side.

    x : where the line of the stretch ends (post centre, corner, or edge of the opening);
    kind : "end", "corner" or "gate"; turn : degrees, at corners.
    """

    x: float
    kind: str
    turn: float = 0.0


@dataclass(frozen=True)
class Stretch:
    """Fence between two neighbouring fixed posts of one leg.

    leg : number of the leg; posts : numbers of its posts from first to last; xs : their x;
    first, last : how it ends.
    """

    leg: int
    posts: tuple[int, ...]
    xs: tuple[float, ...]
    first: Limit
    last: Limit

    @property
    def bays(self) -> tuple[float, ...]:
        """Lengths of the bays, centre to centre, mm."""
        return tuple(b - a for a, b in zip(self.xs, self.xs[1:], strict=False))


@dataclass(frozen=True)
class Opening:
    """A gate opening. start, end : x of the gate posts' faces; posts : numbers of its posts."""

    leg: int
    start: float
    end: float
    posts: tuple[int, int]
    spec: GateSpec
    number: int


@dataclass(frozen=True)
class RunLayout:
    """A run with its posts."""

    run: RunJob
    posts: tuple[PlacedPost, ...]
    stretches: tuple[Stretch, ...]
    openings: tuple[Opening, ...]

    @cached_property
    def legs(self) -> tuple[Leg, ...]:
        """The legs of the run's line."""
        return self.run.line.legs


@dataclass(frozen=True)
class _Fixed:
    x: float
    kind: str
    opening: int | None = None  # gate whose opening starts here
    closes: int | None = None  # gate whose opening ends here


def stations_of_leg(layout: RunLayout, leg_number: int) -> list[tuple[float, PlacedPost]]:
    """Return the posts of a leg from left to right, with their x on the line."""
    found: dict[int, float] = {}
    half = layout.run.gate_post.width / 2.0
    for stretch in layout.stretches:
        if stretch.leg == leg_number:
            found.update(zip(stretch.posts, stretch.xs, strict=True))
    for opening in layout.openings:
        if opening.leg == leg_number:
            found[opening.posts[0]] = opening.start - half
            found[opening.posts[1]] = opening.end + half
    return [(x, layout.posts[number]) for number, x in sorted(found.items(), key=lambda i: i[1])]


def gate_problems(run: RunJob) -> tuple[Problem, ...]:
    """Return what is wrong with where the gates of a run stand."""
    return _fixed_posts(run)[1]


def lay_out(run: RunJob) -> RunLayout:
    """Return where the posts of a run stand, its stretches and its gate openings.

    The run's gates must be without problems (`gate_problems`).
    """
    legs = run.line.legs
    fixed, _ = _fixed_posts(run)
    posts: list[PlacedPost] = []
    stretches: list[Stretch] = []
    openings: list[Opening] = []
    first_number = 0
    for number, leg in enumerate(legs):
        marks = fixed[number]
        corner_first = number > 0
        at = len(posts) - 1
        if not corner_first:
            at = len(posts)
            posts.append(_fixed_post(run, legs, number, marks[0]))
        for this, following in itertools.pairwise(marks):
            xs = [this.x]
            numbers = [at]
            if this.opening is None:
                bays = (equal_bays if run.posts.layout == "equal" else standard_bays)(
                    following.x - this.x, run.posts.bay
                )
                if run.line.turned:
                    bays = bays[::-1]  # the make-up bay comes last as the user counts
                for bay in bays[:-1]:
                    xs.append(xs[-1] + bay)
                    numbers.append(len(posts))
                    posts.append(_post(run, leg, xs[-1], "line", run.line_post))
            closing = following is marks[-1] and run.line.closed and number == len(legs) - 1
            if closing:
                at = first_number
            else:
                at = len(posts)
                posts.append(_fixed_post(run, legs, number, following))
            xs.append(following.x)
            numbers.append(at)
            if this.opening is None:
                first, last = _limit(run, leg, this), _limit(run, leg, following)
                stretches.append(Stretch(number, tuple(numbers), tuple(xs), first, last))
            else:
                half = run.gate_post.width / 2.0
                openings.append(
                    Opening(
                        number,
                        this.x + half,
                        following.x - half,
                        (numbers[0], numbers[-1]),
                        run.gate_specs[this.opening],
                        this.opening,
                    )
                )
    return RunLayout(run, _labelled(run, posts), tuple(stretches), tuple(openings))


def _labelled(run: RunJob, posts: list[PlacedPost]) -> tuple[PlacedPost, ...]:
    order = sorted(range(len(posts)), key=lambda number: posts[number].chainage)
    digits = max(2, len(str(len(posts))))
    labels = {number: f"{run.letter}{place:0{digits}d}" for place, number in enumerate(order, 1)}
    return tuple(
        PlacedPost(post.kind, post.plan, post.frame, post.chainage, labels[number])
        for number, post in enumerate(posts)
    )


def _fixed_posts(run: RunJob) -> tuple[list[list[_Fixed]], tuple[Problem, ...]]:
    """Return the fixed posts of each leg in order, and what is wrong with the gates."""
    legs = run.line.legs
    problems: list[Problem] = []
    last_leg = len(legs) - 1
    half = run.gate_post.width / 2.0
    inside: list[list[tuple[float, float, int]]] = [[] for _ in legs]
    for number, gate in enumerate(run.gate_specs):
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
        start = _Fixed(0.0, "end" if number == 0 and not run.line.closed else "corner")
        end = _Fixed(leg.length, "end" if number == last_leg and not run.line.closed else "corner")
        marks = [start]
        for x0, x1, which in sorted(inside[number]):
            if abs(x0 - marks[-1].x) < SAME and marks[-1].kind in ("end", "gate"):
                marks[-1] = _Fixed(marks[-1].x, "gate", which, marks[-1].closes)
            else:
                marks.append(_Fixed(x0, "gate", which))
            marks.append(_Fixed(x1, "gate", None, which))
        if abs(marks[-1].x - end.x) < SAME and end.kind == "end" and len(marks) > 1:
            marks[-1] = _Fixed(end.x, "gate", None, marks[-1].closes)
        else:
            marks.append(end)
        for a, b in itertools.pairwise(marks):
            if a.opening is not None:
                continue
            room = b.x - a.x - (_reach(run, a) + _reach(run, b))
            if room < 0.0:
                problems.append(_crowded(run, a, b, room))
        fixed.append(marks)
    return fixed, tuple(problems)


def _reach(run: RunJob, mark: _Fixed) -> float:
    plan = {"end": run.end_post, "corner": run.corner_post, "gate": run.gate_post}[mark.kind]
    if mark.kind == "corner":  # it may stand at an angle and off the line
        return math.hypot(plan.width, plan.depth) / 2.0
    return plan.width / 2.0


def _crowded(run: RunJob, a: _Fixed, b: _Fixed, room: float) -> Problem:
    gate = b.opening if b.opening is not None else a.closes
    names = {"end": "the end of the run", "corner": "a corner", "gate": "another gate"}
    if gate is None:
        text = f"two corners are {-room:.0f} mm too near each other for their posts"
        return Problem((*run.path, "points"), text)
    other = names[a.kind if b.opening is not None else b.kind]
    text = (
        f"the gate's post comes {-room:.0f} mm too near to {other}; move the gate, or put its "
        "post where the end post stands"
    )
    return Problem((*run.path, "gate", gate, "at"), text)


def _limit(run: RunJob, leg: Leg, mark: _Fixed) -> Limit:
    if mark.kind == "corner":
        return Limit(mark.x, "corner", leg.turn_start if mark.x == 0.0 else leg.turn_end)
    if mark.kind == "end":
        half = run.end_post.width / 2.0
        return Limit(mark.x + (half if mark.x > 0.0 else -half), "end")
    half = run.gate_post.width / 2.0
    return Limit(mark.x + (half if mark.opening is not None else -half), "gate")


def _fixed_post(run: RunJob, legs: tuple[Leg, ...], number: int, mark: _Fixed) -> PlacedPost:
    leg = legs[number]
    if mark.kind != "corner":
        plan = run.end_post if mark.kind == "end" else run.gate_post
        return _post(run, leg, mark.x, mark.kind, plan)
    if mark.x == 0.0:
        return _corner_post(run, legs[number - 1], leg, leg.before)
    following = legs[(number + 1) % len(legs)]
    return _corner_post(run, leg, following, leg.before + leg.length)


def _post(run: RunJob, leg: Leg, x: float, kind: str, plan: PostPlan) -> PlacedPost:
    # thicker posts stand back, so that all front faces are in one plane for the rails
    back = plan.depth / 2.0 - run.face
    frame = leg.frame @ Frame.at(x, back, leg.ground(x))
    return PlacedPost(kind, plan, frame, run.line.chainage(leg.before + x))


def _corner_post(run: RunJob, first: Leg, second: Leg, distance: float) -> PlacedPost:
    """Stand a corner post behind the face planes of both legs.

    At an outside corner it touches both planes from inside the angle. At an inside corner it
    touches the edge in which the planes meet, with a face (slight turns) or an edge.
    """
    plan = run.corner_post
    turn = first.turn_end
    frame = first.frame
    edge_on = abs(turn) >= 45.0
    angle = turn / 2.0 - (math.copysign(45.0, turn) if edge_on else 0.0)
    cos, sin = cos_sin(angle)
    tcos, tsin = cos_sin(turn)
    # in the frame of the first leg: normals to the front of both legs, axes of the post
    normal_a, normal_b = (0.0, -1.0), (tsin, -tcos)
    ax, ay = (cos, sin), (-sin, cos)
    length = first.length

    def support(normal: Point) -> float:
        return plan.width / 2.0 * abs(normal[0] * ax[0] + normal[1] * ax[1]) + (
            plan.depth / 2.0 * abs(normal[0] * ay[0] + normal[1] * ay[1])
        )

    if abs(turn) < 1e-6:
        shift = (0.0, plan.depth / 2.0 - run.face)
    elif turn > 0:
        room_a, room_b = run.face - support(normal_a), run.face - support(normal_b)
        dy = -room_a
        shift = ((room_b + tcos * dy) / tsin, dy)
    else:
        half_tan = math.tan(math.radians(turn) / 2.0)
        meeting = (run.face * half_tan, -run.face)
        # the corner or the face of the post that points to the meeting line
        near = (-plan.width / 2.0 if edge_on else 0.0, -plan.depth / 2.0)
        shift = (
            meeting[0] - near[0] * ax[0] - near[1] * ay[0],
            meeting[1] - near[0] * ax[1] - near[1] * ay[1],
        )
    chainage = run.line.chainage(distance)
    if run.line.closed and chainage > run.line.length - 1e-6:
        chainage = 0.0  # the line ends where it started
    place = Frame.turned(length + shift[0], shift[1], first.ground(length), angle)
    return PlacedPost("corner", plan, frame @ place, chainage)
