"""Runs that start or end at a post of another run: where that post stands, and how the line of the
run that joins comes to its face.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from palewright.model.basis.errors import KeyPath, PalewrightError, Problem
from palewright.model.basis.units import format_length
from palewright.model.geometry.frames import Frame, Point
from palewright.model.site.site_line import Leg
from palewright.model.spec.end_keys import EndAtRun
from palewright.model.spec.spec_tables import Run, SpecTables

from .end_plan import moved_ends
from .job import Guest, HostPost, RunJob, run_letter
from .post_plan import PostPlan
from .sites import Site
from .zones import SetPost, leg_at

REACH = 500.0
"""How far from the line of another run the end of a run that joins it may be given, mm."""

FROM_CHAINAGE = 1000.0
"""How far from a post that is given by its chainage the end of the line may be given, mm."""

LEAST_SQUARE = 10.0
"""How far from square a run may come to a post's face, degrees: a rail then stands off the plate by
9 mm on 50, which its bolt draws up (common practice, no source)."""

BESIDE = 20.0
"""How far from the middle of a post's face the middle of a plate may be, mm."""

SAME_POST = 60.0
"""A post that is set this near to where a run joins is the one that it joins, mm."""

ROUNDS = 5
"""A line that is moved aside comes to its place in so many rounds."""

Again = Callable[[int, Run, Site], tuple[RunJob | None, list[Problem]]]
"""Resolves a run anew: its number, its keys and its line, to what it is and what is wrong."""


@dataclass(frozen=True)
class _Join:
    """An end of a run at a post of another.

    number, host : of both in the spec; path : of the key; at_start : of the line in the model;
    first : whether it is the line's first point as given; distance : of the post along the host's
    line, mm; set : whether a post is to be set there; lean, depth : see HostPost; move : of the
    line's end, mm.
    """

    number: int
    host: int
    path: KeyPath
    at_start: bool
    first: bool
    distance: float
    set: bool
    lean: float
    depth: float
    move: Point


class _NoJoinError(PalewrightError):
    """Why a run cannot end at a post of another."""


def plate_seat(lean: float, plate: PostPlan, face: float, *, at_start: bool) -> Point:
    """Return where the middle of a plate on a post's face is, in the frame of the leg about the end
    of the line on that face, mm: as far back as lets the rails pass its front edge.

    lean : of the face from square, degrees; face : of the posts' front from the line, mm.
    """
    cos, sin = math.cos(math.radians(lean)), math.sin(math.radians(lean))
    out = plate.width / 2.0 * (1.0 if at_start else -1.0)
    along = (plate.width / 2.0 * abs(sin) + plate.depth / 2.0 * cos - face - out * sin) / cos
    return out * cos - along * sin, out * sin + along * cos


def joined_runs(
    spec: SpecTables, runs: Sequence[RunJob], sites: Sequence[Site | None], again: Again
) -> tuple[list[RunJob], list[Problem]]:
    """Return the runs with those that end at posts of others brought to them, and what is wrong."""
    known = {int(run.path[1]): run for run in runs}
    wanted = list(_wanted(spec, known))
    if not wanted:
        return list(runs), []
    problems = [Problem(path, text) for path, text in _slips(spec, known, sites)]
    if problems:
        return list(runs), problems
    moves: dict[tuple[int, bool], Point] = {}
    joins: list[_Join] = []
    for _ in range(ROUNDS):
        joins, problems = _joins(spec, known, wanted)
        if problems or all(math.hypot(*join.move) < 1e-7 for join in joins):
            break
        for join in joins:
            old = moves.get((join.number, join.first), (0.0, 0.0))
            moves[join.number, join.first] = old[0] + join.move[0], old[1] + join.move[1]
        for number in {join.number for join in joins}:
            site = sites[number]
            assert site is not None
            ends = tuple(moves.get((number, first), (0.0, 0.0)) for first in (True, False))
            run, line = moved_ends(spec.run[number], site, (ends[0], ends[1]))
            found, wrong = again(number, run, line)
            if found is None:
                return list(runs), wrong
            known[number] = found
    if problems:
        return list(runs), problems
    return _linked(known, joins), []


def _wanted(spec: SpecTables, known: dict[int, RunJob]) -> Iterator[tuple[int, str, EndAtRun]]:
    for number in known:
        for key in ("starts", "ends"):
            end = getattr(spec.run[number], key)
            if isinstance(end, EndAtRun):
                yield number, key, end


def _slips(
    spec: SpecTables, known: dict[int, RunJob], sites: Sequence[Site | None]
) -> Iterator[tuple[KeyPath, str]]:
    """Yield ends that are at no run, at their own, or on a curve."""
    for number, key, end in _wanted(spec, known):
        path: KeyPath = ("run", number, key)
        if spec.measured:
            yield path, "fences with runs that end at each other are not drawn as measured yet"
        hosts = _named(spec, end.run)
        if not hosts:
            others = [run.name or run_letter(n) for n, run in enumerate(spec.run) if n != number]
            told = ", ".join(f"'{name}'" for name in others) or "none; there is one run"
            yield (*path, "run"), f"there is no such run; others: {told}"
        elif len(hosts) > 1:
            yield (*path, "run"), "several runs have this name; say its letter"
        elif hosts == [number]:
            yield (*path, "run"), "a run cannot end at itself; close it with closed = true"
        nodes = sites[number].nodes if sites[number] else ()  # type: ignore[union-attr]
        if len(nodes) > 1 and nodes[1 if key == "starts" else -1].curve is not None:
            yield (
                path,
                "the line comes to the other run on a curve; its last part has to be straight",
            )


def _named(spec: SpecTables, name: str) -> list[int]:
    """Return the numbers of the runs with a name, else of the one with a letter."""
    named = [n for n, run in enumerate(spec.run) if run.name.strip() == name.strip()]
    return named or [n for n in range(len(spec.run)) if run_letter(n) == name.strip()]


def _joins(
    spec: SpecTables, known: dict[int, RunJob], wanted: list[tuple[int, str, EndAtRun]]
) -> tuple[list[_Join], list[Problem]]:
    joins, problems = [], []
    for number, key, end in wanted:
        host = _named(spec, end.run)[0]
        if host not in known or known[number].line.closed:
            continue  # told already
        try:
            joins.append(_join(known[number], known[host], key, end.chainage))
        except _NoJoinError as error:
            problems.append(Problem(("run", number, key), str(error)))
    return joins, problems


@dataclass(frozen=True)
class _Face:
    """A face of a post of a host. leg : number, way : number of the axis of the leg's frame that it
    is square to, at : its place on that, mm; depth : of the post behind it, mm.
    """

    leg: int
    way: int
    at: float
    depth: float


def _join(run: RunJob, host: RunJob, key: str, chainage: float | None) -> _Join:
    """Return how an end of a run comes to a post of another.

    Raises
    ------
    _NoJoinError
        When it cannot.
    """
    first = key == "starts"
    at_start = first != run.line.turned
    leg = run.line.legs[0 if at_start else -1]
    inner, end = (leg.end, leg.start) if at_start else (leg.start, leg.end)
    aim = end[:2]
    if chainage is not None:
        aim = _aimed(run, leg, _at_chainage(host, chainage, end[:2]), at_start=at_start)
    way = _way(inner[:2], aim)
    face = _face(host, aim, way)
    frame = host.line.legs[face.leg].frame
    own = _own_frame(aim, way, at_start=at_start)
    lean = _lean(own, frame, face.way)
    if abs(lean) > LEAST_SQUARE + 1e-9:
        raise _NoJoinError(
            f"it comes to {host.called} at {90.0 - abs(lean):.1f} degrees; its rails lie on a "
            f"plate there from {90.0 - LEAST_SQUARE:g} on: give the line a corner before, or end "
            "it with a post of its own"
        )
    here = frame.local((*aim, frame.origin[2]))
    axis = (frame.x, frame.y)[face.way]
    speed = way[0] * axis[0] + way[1] * axis[1]
    far = (face.at - here[face.way]) / speed
    meets = aim[0] + far * way[0], aim[1] + far * way[1]
    seat = plate_seat(lean, run.walls.plate, run.face, at_start=at_start)
    middle = replace(own, origin=(*meets, 0.0)).point((*seat, 0.0))
    at = frame.local((*middle[:2], frame.origin[2]))
    distance, new = _post_at(host, face, at, chainage)
    return _Join(
        int(run.path[1]), int(host.path[1]), (*run.path, key), at_start, first, distance, new,
        lean, face.depth, (meets[0] - end[0], meets[1] - end[1]),
    )  # fmt: skip


def _way(start: Point, end: Point) -> Point:
    length = math.dist(start, end)
    return (end[0] - start[0]) / length, (end[1] - start[1]) / length


def _own_frame(end: Point, way: Point, *, at_start: bool) -> Frame:
    """Return the frame of a leg with its origin at an end of the line. way : that it comes by."""
    x, y = (-way[0], -way[1]) if at_start else way
    return Frame((*end, 0.0), (x, y, 0.0), (-y, x, 0.0))


def _at_chainage(host: RunJob, chainage: float, end: Point) -> Point:
    """Return the place on a host's line at a chainage, which `end` is to be near to."""
    if chainage > host.line.length:
        long = format_length(host.line.length, 0)
        raise _NoJoinError(f"{host.called} is only {long} mm long")
    number, x = leg_at(host.line.legs, host.line.distance(chainage))
    place = host.line.legs[number].frame.point((x, 0.0, 0.0))[:2]
    if math.dist(place, end) > FROM_CHAINAGE:
        raise _NoJoinError(
            f"the line ends {format_length(math.dist(place, end), 0)} mm from chainage "
            f"{format_length(chainage, 0)} of {host.called}; at most "
            f"{format_length(FROM_CHAINAGE, 0)} allowed"
        )
    return place


def _aimed(run: RunJob, leg: Leg, place: Point, *, at_start: bool) -> Point:
    """Return where a line has to end for its plate to stand in the middle of a post."""
    aside = plate_seat(0.0, run.walls.plate, run.face, at_start=at_start)[1]
    back = leg.frame.y
    return place[0] - aside * back[0], place[1] - aside * back[1]


def _lean(own: Frame, host: Frame, way: int) -> float:
    """Return how far a face is turned from square to a leg, degrees, anticlockwise."""
    axis = (host.x, host.y)[way]
    side = 1.0 if own.x[0] * axis[0] + own.x[1] * axis[1] > 0.0 else -1.0
    ax, ay = side * axis[0], side * axis[1]
    turn = math.atan2(own.x[0] * ay - own.x[1] * ax, own.x[0] * ax + own.x[1] * ay)
    return round(math.degrees(turn), 9) + 0.0


def _face(host: RunJob, end: Point, way: Point) -> _Face:
    """Return the face that a line comes to: the back of a post, or the free side of an end post."""
    legs = host.line.legs
    found: list[tuple[float, _Face | None]] = []
    for number, leg in enumerate(legs):
        x, y, _ = leg.frame.local((*end, leg.start[2]))
        wx = way[0] * leg.frame.x[0] + way[1] * leg.frame.x[1]
        wy = way[0] * leg.frame.y[0] + way[1] * leg.frame.y[1]
        half = host.posts.end.width / 2.0
        if abs(wx) > abs(wy):
            at = 0.0 if wx > 0.0 else leg.length
            own = _has_end_post(host, number, at)
            if own and math.hypot(x - at, y) <= REACH:
                side = at - math.copysign(half, wx)
                found.append((math.hypot(x - at, y), _Face(number, 0, side, 2.0 * half)))
            continue
        x -= y / wy * wx
        past = max(0.0, -x, x - leg.length)
        if math.hypot(y, past) <= REACH:
            plan = host.posts.line
            if any(
                _has_end_post(host, number, e) and abs(x - e) < SAME_POST for e in (0, leg.length)
            ):
                plan = host.posts.end
            back = _Face(number, 1, plan.depth - host.face, plan.depth)
            found.append((math.hypot(y, past), back if wy < 0.0 else None))
    if not found:
        raise _NoJoinError(
            f"the line does not come to {host.called}: it has to end within "
            f"{format_length(REACH, 0)} mm of its line, or of its end going on along it"
        )
    face = min(found, key=lambda one: one[0])[1]
    if face is None:
        raise _NoJoinError(
            f"it comes to the front of {host.called}, where its rails and pales are; a run joins "
            "from the back: turn the other run's front, or end this one with a post of its own"
        )
    if host.posts.line.cast or host.posts.end.cast:
        raise _NoJoinError(
            f"the posts of {host.called} are of concrete, which no coach screw holds in; end this "
            "run with a post of its own"
        )
    if face.way == 1 and max(-layer.back for layer in host.layers) > face.at + 0.5:
        raise _NoJoinError(
            f"{host.called} has pales on the back of its posts, where a plate would be; end this "
            "run with a post of its own"
        )
    if host.capping is not None and host.capping.on_posts:
        raise _NoJoinError(
            f"the capping rail of {host.called} lies over its posts and hangs over behind them; "
            "let it lie on the pales alone, or end this run with a post of its own"
        )
    return face


def _has_end_post(host: RunJob, number: int, x: float) -> bool:
    """Tell whether an end post stands at an end of a leg."""
    if host.line.closed:
        return False
    if x <= 0.0:
        return number == 0 and not host.walls.at_start
    return number == len(host.line.legs) - 1 and not host.walls.at_end


def _post_at(
    host: RunJob, face: _Face, at: tuple[float, ...], chainage: float | None
) -> tuple[float, bool]:
    """Return how far along a host's line the post of a plate stands, and whether it is set for it.

    at : the middle of the plate in the frame of the face's leg, mm.
    """
    leg = host.line.legs[face.leg]
    if face.way == 0:
        end = 0.0 if at[0] < leg.length / 2.0 else leg.length
        _near(host, at[1] - (host.posts.end.depth / 2.0 - host.face))
        return leg.before + end, False
    for x in (0.0, leg.length):
        if _has_end_post(host, face.leg, x) and abs(at[0] - x) < SAME_POST:
            _near(host, at[0] - x)
            return leg.before + x, False
    for spot in host.set_posts:
        if abs(spot.distance - leg.before - at[0]) < SAME_POST:
            if spot.kept:
                raise _NoJoinError(
                    "the post there is kept as it stands, so that nobody knows its height and its "
                    "face; end this run with a post of its own beside it"
                )
            _near(host, at[0] - (spot.distance - leg.before))
            return spot.distance, False
    room = host.posts.line.width + host.posts.corner.width
    if not room <= at[0] <= leg.length - room:
        raise _NoJoinError(
            f"it comes to {host.called} at a corner, or nearer than "
            f"{format_length(room, 0)} mm to one or to an end; a run joins a post that stands "
            "square: an end post, or one along the line"
        )
    if chainage is None:
        return leg.before + at[0], True
    distance = host.line.distance(chainage)
    _near(host, at[0] - (distance - leg.before))
    return distance, True


def _near(host: RunJob, aside: float) -> None:
    """Refuse a plate that is beside the middle of its post."""
    if abs(aside) > BESIDE:
        raise _NoJoinError(
            f"its plate comes {format_length(abs(aside), 0)} mm beside the middle of a post of "
            f"{host.called}; at most {format_length(BESIDE, 0)} allowed: move the line so far, or "
            "say the post's chainage"
        )


def _linked(known: dict[int, RunJob], joins: list[_Join]) -> list[RunJob]:
    """Return the runs with the posts set that others join, and each knowing the other."""
    places = dict(known)
    for number, run in known.items():
        more = tuple(
            SetPost(join.distance, False, "", join.path)
            for join in joins
            if join.host == number and join.set
        )
        if more:
            spots = sorted((*run.set_posts, *more), key=lambda spot: spot.distance)
            places[number] = replace(run, set_posts=tuple(spots))
    linked = []
    for number, run in places.items():
        hosts: list[HostPost | None] = [None, None]
        for join in joins:
            if join.number == number:
                host = HostPost(places[join.host], join.distance, join.lean, join.depth)
                hosts[0 if join.at_start else 1] = host
        guests = tuple(
            Guest(places[join.number], join.at_start, join.distance)
            for join in joins
            if join.host == number
        )
        linked.append(replace(run, hosts=(hosts[0], hosts[1]), guests=guests))
    return linked
