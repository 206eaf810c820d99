"""Where posts stand: fixed posts, stretches between them, bays and gate openings.

Distances x run along a leg from its start (see `line`); the front of the fence is at negative y.
"""

from __future__ import annotations

import itertools
import math
from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property

from .errors import Problem
from .geometry import Frame, Point, cos_sin
from .line import Leg
from .resolve import PostPlan, RunJob
from .setting import Place, Setting, settings_of
from .shapes import RoundHole, tidy
from .spacing import equal_bays, standard_bays
from .spec import GateSpec
from .units import format_length as mm

MEET = 30.0
"""From this turn on (degrees) the pales of two legs meet edge to edge at the corner; below it
they keep half a gap each, so that a nearly straight line shows no double pale."""

DROPS = 10.0
"""Concrete ends lower on slopes by a multiple of this, so that few footings differ, mm."""

SAME = 1.0
"""Posts nearer than this (mm) are one post."""


@dataclass(frozen=True)
class PlacedPost:
    """A post on the site.

    kind : "line", "end", "corner", "gate" or "wall" (a plate on a wall); frame : on the ground in
    the post's middle, x along the post's width; chainage : mm from the user's start; label : run
    letter and number, counted from the user's start; rise : of the highest base of its bays over
    the ground, mm; step : between the bases of its bays, mm; drop : from the ground in its middle
    to the lowest at its hole, where the concrete ends, in whole steps, mm.
    """

    kind: str
    plan: PostPlan
    frame: Frame
    chainage: float
    label: str = ""
    rise: float = 0.0
    step: float = 0.0
    drop: float = 0.0

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
    kind : "end", "wall", "corner" or "gate"; turn : degrees, at corners; pair : whether a corner
    has a post on either side instead of one in it.
    """

    x: float
    kind: str
    turn: float = 0.0
    pair: bool = False


@dataclass(frozen=True)
class Stretch:
    """Fence between two neighbouring fixed posts of one leg.

    leg : number of the leg; posts : numbers of its posts from first to last; xs : their x;
    first, last : how it ends; settings : of its bays; rows : of each row of rails the numbers of
    the posts it is jointed at, ends included; as few joints as can be when empty.
    """

    leg: int
    posts: tuple[int, ...]
    xs: tuple[float, ...]
    first: Limit
    last: Limit
    settings: tuple[Setting, ...] = ()
    rows: tuple[tuple[int, ...], ...] = ()

    @property
    def bays(self) -> tuple[float, ...]:
        """Lengths of the bays, centre to centre, mm."""
        return tuple(b - a for a, b in zip(self.xs, self.xs[1:], strict=False))

    def bay_at(self, x: float) -> int:
        """Return the number of the bay that x lies in; beyond the posts the nearest one."""
        return min(max(bisect_right(self.xs, x) - 1, 0), len(self.xs) - 2)


@dataclass(frozen=True)
class Opening:
    """A gate opening. start, end : x of the gate posts' faces; posts : numbers of its posts;
    base : that its heights count from, and ground : its highest ground, mm over the leg's start.
    """

    leg: int
    start: float
    end: float
    posts: tuple[int, int]
    spec: GateSpec
    number: int
    base: float = 0.0
    ground: float = 0.0


@dataclass(frozen=True)
class SetPale:
    """A pale in its place.

    x : of its middle; bay : number of its bay; top : level of its head, mm over the leg's start;
    length : overall, mm; bevels : dx/dy of its left and right side.
    """

    x: float
    bay: int
    top: float
    length: float
    bevels: tuple[float, float] = (0.0, 0.0)

    @property
    def foot(self) -> float:
        """Level of its foot, mm over the leg's start."""
        return self.top - self.length


@dataclass(frozen=True)
class RunLayout:
    """A run with its posts. pales : in their places, stretch by stretch, once they are set."""

    run: RunJob
    posts: tuple[PlacedPost, ...]
    stretches: tuple[Stretch, ...]
    openings: tuple[Opening, ...]
    pales: tuple[tuple[SetPale, ...], ...] = ()

    @cached_property
    def legs(self) -> tuple[Leg, ...]:
        """The legs of the run's line."""
        return self.run.line.legs


def place_of(layout: RunLayout, stretch: Stretch, bay: int | None = None) -> str:
    """Return where a stretch or one of its bays is: "A01 to A05, chainage 0 to 7200"."""
    numbers = stretch.posts if bay is None else stretch.posts[bay : bay + 2]
    first, last = layout.posts[numbers[0]], layout.posts[numbers[-1]]
    low, high = sorted((first.chainage, last.chainage))
    return f"{first.label} to {last.label}, chainage {mm(low, 0)} to {mm(high, 0)}"


def gate_place(layout: RunLayout, opening: Opening) -> str:
    """Return which gate an opening is: "run A, gate 1"."""
    return f"run {layout.run.letter}, gate {opening.number + 1}"


def footed_posts(layout: RunLayout) -> Iterator[tuple[str, list[PlacedPost]]]:
    """Yield the posts in the ground by kind; those of a kind stand equally deep."""
    for kind in ("line", "end", "corner", "gate"):
        posts = [post for post in layout.posts if post.kind == kind]
        if posts:
            yield kind, posts


@dataclass(frozen=True)
class _Fixed:
    x: float
    kind: str
    opening: int | None = None  # gate whose opening starts here
    closes: int | None = None  # gate whose opening ends here
    at_start: bool = False  # of a leg
    pair: bool = False  # one of two posts at a corner


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
        at = len(posts) - 1
        if number == 0 or marks[0].pair:
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
            if closing and not following.pair:
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
    return _on_ground(RunLayout(run, _labelled(run, posts), tuple(stretches), tuple(openings)))


def _on_ground(layout: RunLayout) -> RunLayout:
    """Return the layout with the settings of its bays and gates, and its posts as high as these."""
    run, legs = layout.run, layout.legs
    half = run.pales.width / 2.0
    keyed: list[tuple[tuple[int, float], Place, int, int]] = []
    for number, stretch in enumerate(layout.stretches):
        for bay, (x0, x1) in enumerate(itertools.pairwise(stretch.xs)):
            low = min(x0, stretch.first.x) if bay == 0 else x0
            high = max(x1, stretch.last.x) if bay == len(stretch.xs) - 2 else x1
            place = Place(stretch.leg, x0, x1, (low - half, high + half))
            keyed.append(((stretch.leg, x0), place, number, bay))
    for number, opening in enumerate(layout.openings):
        place = Place(opening.leg, opening.start, opening.end, (opening.start, opening.end))
        keyed.append(((opening.leg, opening.start), place, number, -1))
    keyed.sort(key=lambda item: item[0])
    found = settings_of(run, legs, [place for _, place, _, _ in keyed])
    bays: dict[int, dict[int, Setting]] = {}
    openings = list(layout.openings)
    bases: dict[int, list[float]] = {}
    for (_, place, number, bay), setting in zip(keyed, found, strict=True):
        leg = legs[place.leg]
        if bay >= 0:
            bays.setdefault(number, {})[bay] = setting
            stretch = layout.stretches[number]
            for end, x in ((bay, place.x0), (bay + 1, place.x1)):
                bases.setdefault(stretch.posts[end], []).append(leg.start[2] + setting.base(x))
            continue
        ground = leg.highest(place.x0, place.x1)
        base = setting.z0 if setting.follow == "level" else ground
        openings[number] = replace(openings[number], base=tidy(base), ground=ground)
        for post in openings[number].posts:
            bases.setdefault(post, []).append(leg.start[2] + base)
    places = _places(layout)
    posts = [
        replace(
            post,
            rise=max(0.0, tidy(max(bases[number]) - post.frame.origin[2])),
            step=tidy(max(bases[number]) - min(bases[number])),
            drop=_drop(layout, post, places[number]),
        )
        for number, post in enumerate(layout.posts)
    ]
    stretches = (
        replace(stretch, settings=tuple(bays[number][bay] for bay in range(len(stretch.xs) - 1)))
        for number, stretch in enumerate(layout.stretches)
    )
    return RunLayout(run, tuple(posts), tuple(stretches), tuple(openings))


def _places(layout: RunLayout) -> dict[int, list[tuple[int, float]]]:
    """Return for each post the legs it belongs to and its x there."""
    found: dict[int, list[tuple[int, float]]] = {}
    for stretch in layout.stretches:
        for number, x in zip(stretch.posts, stretch.xs, strict=True):
            found.setdefault(number, []).append((stretch.leg, x))
    for opening in layout.openings:
        frame = layout.legs[opening.leg].frame
        for number in opening.posts:
            x = frame.local(layout.posts[number].frame.origin)[0]
            found.setdefault(number, []).append((opening.leg, x))
    return found


def _drop(layout: RunLayout, post: PlacedPost, places: list[tuple[int, float]]) -> float:
    """Return how far the ground falls from a post's middle to the edge of its hole, mm."""
    half = layout.run.half_hole
    lowest = min(
        layout.legs[leg].start[2] + layout.legs[leg].lowest(x - half, x + half) for leg, x in places
    )
    fall = max(0.0, post.frame.origin[2] - lowest)
    return min(DROPS * math.ceil(fall / DROPS - 1e-6), post.plan.embedment / 2.0)


def _labelled(run: RunJob, posts: list[PlacedPost]) -> tuple[PlacedPost, ...]:
    order = sorted(range(len(posts)), key=lambda number: posts[number].chainage)
    digits = max(2, len(str(len(posts))))
    labels = {number: f"{run.letter}{place:0{digits}d}" for place, number in enumerate(order, 1)}
    return tuple(replace(post, label=labels[number]) for number, post in enumerate(posts))


def _fixed_posts(run: RunJob) -> tuple[list[list[_Fixed]], tuple[Problem, ...]]:
    """Return the fixed posts of each leg in order, and what is wrong with the gates."""
    legs = run.line.legs
    problems: list[Problem] = []
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
        start = _end_mark(run, leg, number, at_start=True)
        end = _end_mark(run, leg, number, at_start=False)
        marks = [start]
        for x0, x1, which in sorted(inside[number]):
            if abs(x0 - marks[-1].x) < SAME and marks[-1].kind in ("end", "gate"):
                marks[-1] = replace(marks[-1], kind="gate", opening=which)
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


def _end_mark(run: RunJob, leg: Leg, number: int, *, at_start: bool) -> _Fixed:
    """Return the fixed post at one end of a leg."""
    last = len(run.line.legs) - 1
    x = 0.0 if at_start else leg.length
    if not run.line.closed and number == (0 if at_start else last):
        if run.wall_start if at_start else run.wall_end:
            half = run.wall_plate.width / 2.0
            return _Fixed(x + (half if at_start else -half), "wall", at_start=at_start)
        return _Fixed(x, "end", at_start=at_start)
    if leg.bent_start if at_start else leg.bent_end:
        return _Fixed(x, "bend", at_start=at_start)
    turn = leg.turn_start if at_start else leg.turn_end
    if run.corners.posts == "pair" and abs(turn) >= MEET:
        setback = run.corners.setback or _setback(run, turn)
        return _Fixed(
            x + (setback if at_start else -setback), "corner", at_start=at_start, pair=True
        )
    return _Fixed(x, "corner", at_start=at_start)


def _setback(run: RunJob, turn: float) -> float:
    """Return how far from a corner the posts of a pair stand, mm.

    Their holes keep a spade's width of ground between them, and the posts are clear of the plane
    that halves the corner.
    """
    plan, hole = run.corner_post, run.hole()
    size = hole.diameter if isinstance(hole, RoundHole) else math.hypot(hole.width, hole.depth)
    half_tan = math.tan(math.radians(turn) / 2.0)
    clear = plan.width / 2.0 + max((plan.depth - run.face) * half_tan, -run.face * half_tan)
    apart = (size + 50.0) / (2.0 * math.cos(math.radians(turn) / 2.0))
    return float(math.ceil(max(clear + 5.0, apart) / 10.0) * 10)


def _reach(run: RunJob, mark: _Fixed) -> float:
    plans = {
        "end": run.end_post, "corner": run.corner_post, "gate": run.gate_post,
        "wall": run.wall_plate, "bend": run.line_post,
    }  # fmt: skip
    plan = plans[mark.kind]
    if mark.kind in ("corner", "bend") and not mark.pair:
        # it may stand at an angle and off the line
        return math.hypot(plan.width, plan.depth) / 2.0
    return plan.width / 2.0


def _crowded(run: RunJob, a: _Fixed, b: _Fixed, room: float) -> Problem:
    gate = b.opening if b.opening is not None else a.closes
    names = {
        "end": "the end of the run", "corner": "a corner", "gate": "another gate",
        "wall": "the wall", "bend": "a post on the curve (a gate needs a straight part)",
    }  # fmt: skip
    if gate is None:
        text = f"two corners or ends are {-room:.0f} mm too near each other for their posts"
        return Problem((*run.path, "points"), text)
    other = names[a.kind if b.opening is not None else b.kind]
    text = (
        f"the gate's post comes {-room:.0f} mm too near to {other}; move the gate, or put its "
        "post where the end post stands"
    )
    return Problem((*run.path, "gate", gate, "at"), text)


def _limit(run: RunJob, leg: Leg, mark: _Fixed) -> Limit:
    if mark.kind in ("corner", "bend"):
        x = 0.0 if mark.at_start else leg.length
        turn = leg.turn_start if mark.at_start else leg.turn_end
        return Limit(x, "corner", turn, mark.pair)
    if mark.kind == "wall":
        gap = run.walls.gap
        return Limit(gap if mark.at_start else leg.length - gap, "wall")
    if mark.kind == "end":
        half = run.end_post.width / 2.0
        return Limit(mark.x + (half if mark.x > 0.0 else -half), "end")
    half = run.gate_post.width / 2.0
    return Limit(mark.x + (half if mark.opening is not None else -half), "gate")


def _fixed_post(run: RunJob, legs: tuple[Leg, ...], number: int, mark: _Fixed) -> PlacedPost:
    leg = legs[number]
    if mark.kind in ("corner", "bend") and not mark.pair:
        first, second = leg, legs[(number + 1) % len(legs)]
        if mark.at_start:
            first, second = legs[number - 1], leg
        distance = leg.before if mark.at_start else leg.before + leg.length
        bend = mark.kind == "bend"
        plan, kind = (run.line_post, "line") if bend else (run.corner_post, "corner")
        return _corner_post(run, first, second, distance, plan, kind)
    plans = {
        "end": run.end_post, "gate": run.gate_post, "corner": run.corner_post,
        "wall": run.wall_plate,
    }  # fmt: skip
    return _post(run, leg, mark.x, mark.kind, plans[mark.kind])


def _post(run: RunJob, leg: Leg, x: float, kind: str, plan: PostPlan) -> PlacedPost:
    # thicker posts stand back, so that all front faces are in one plane for the rails
    back = plan.depth / 2.0 - run.face
    frame = leg.frame @ Frame.at(x, back, leg.ground(x))
    return PlacedPost(kind, plan, frame, run.line.chainage(leg.before + x))


def _corner_post(
    run: RunJob, first: Leg, second: Leg, distance: float, plan: PostPlan, kind: str
) -> PlacedPost:
    """Stand a corner post behind the face planes of both legs.

    At an outside corner it touches both planes from inside the angle. At an inside corner it
    touches the edge in which the planes meet, with a face (slight turns) or an edge.
    """
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
    return PlacedPost(kind, plan, frame @ place, chainage)
