"""Posts put in their places: on the line, and behind the face planes of both legs at corners."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from palewright.model.geometry.frames import Frame, Point, cos_sin
from palewright.model.resolved.job import HostPost, RunJob
from palewright.model.resolved.run_joins import plate_seat
from palewright.model.resolved.words import PostRole
from palewright.model.site.site_line import Leg, turns_by

from .fixed_posts import SAME, FixedPost


@dataclass(frozen=True)
class PostPlace:
    """Where a post stands. frame, chainage, kept, named, fence_on : see PlacedPost; raised : how
    much higher it stands than others of its kind, mm; gate : whose post it is; host : the post that
    a plate is on, where it is on no wall; lowered, pier : see PlacedPost.
    """

    kind: PostRole
    frame: Frame
    chainage: float
    kept: bool = False
    named: str = ""
    fence_on: int = 1
    raised: float = 0.0
    gate: int | None = None
    host: HostPost | None = None
    lowered: float = 0.0
    pier: bool = False


def fixed_post(run: RunJob, legs: tuple[Leg, ...], number: int, mark: FixedPost) -> PostPlace:
    """Return the post at a mark of leg `number` in its place."""
    leg = legs[number]
    if mark.bent:
        return _bent_gate_post(run, legs, number, mark)
    if mark.kind in (PostRole.CORNER, PostRole.BEND) and not mark.pair:
        first, second = leg, legs[(number + 1) % len(legs)]
        if mark.at_start:
            first, second = legs[number - 1], leg
        distance = leg.before if mark.at_start else leg.before + leg.length
        kind = PostRole.LINE if mark.kind == PostRole.BEND else mark.kind
        return _corner_post(run, first, second, distance, kind)
    place = post_on_line(run, leg, mark.x, mark.kind, gate=mark.gate)
    if mark.host is not None:
        return _plate_on_post(run, leg, place, mark)
    return replace(place, fence_on=1 if mark.at_start or mark.resumes else -1, pier=mark.pier)


def _bent_gate_post(run: RunJob, legs: tuple[Leg, ...], number: int, mark: FixedPost) -> PostPlace:
    """Stand a post of a gate, at which the line turns, square to its gate.

    It stands back so far that the rails of the other leg pass its face.
    """
    ends_gate = mark.closes is not None
    leg = legs[number] if ends_gate else legs[(number + 1) % len(legs)]
    place = post_on_line(run, leg, leg.length if ends_gate else 0.0, mark.kind, gate=mark.gate)
    lean = (
        run.post_plan(mark.kind, mark.gate).width
        / 2.0
        * math.tan(math.radians(abs(legs[number].turn_end)))
    )
    return replace(place, frame=place.frame @ Frame.at(0.0, lean, 0.0))


def _plate_on_post(run: RunJob, leg: Leg, place: PostPlace, mark: FixedPost) -> PostPlace:
    """Lay a plate flat on the face of another run's post."""
    assert mark.host is not None
    lean = mark.host.lean
    _, y = plate_seat(lean, run.walls.plate, run.face, at_start=mark.at_start)
    frame = leg.frame @ Frame.turned(mark.x, y, leg.ground(mark.x), lean)
    side = 1 if mark.at_start else -1
    return replace(place, frame=frame, host=mark.host, fence_on=side)


def post_on_line(
    run: RunJob, leg: Leg, x: float, kind: PostRole, *, gate: int | None = None
) -> PostPlace:
    """Return a post on the line of a leg, at x. gate : whose post it is."""
    plan = run.post_plan(kind, gate)
    # thicker posts stand back, so that all front faces are in one plane for the rails
    back = plan.depth / 2.0 - run.face
    frame = leg.frame @ Frame.at(x, back, leg.ground(x))
    distance = leg.before + x
    place = PostPlace(kind, frame, run.line.chainage(distance), gate=gate)
    return _as_said(run, place, distance)


def _as_said(run: RunJob, place: PostPlace, distance: float) -> PostPlace:
    """Return a post at a distance along the line, kept and named as the spec says."""
    for spot in run.set_posts:
        if abs(spot.distance - distance) < SAME:
            return replace(place, kept=spot.kept, named=spot.name)
    return place


def _corner_post(
    run: RunJob, first: Leg, second: Leg, distance: float, kind: PostRole
) -> PostPlace:
    """Stand a corner post behind the face planes of both legs.

    At an outside corner it touches both planes from inside the angle. At an inside corner it
    touches the edge in which the planes meet, with a face (slight turns) or an edge.
    """
    plan = run.post_plan(kind)
    turn = first.turn_end
    frame = first.frame
    edge_on = turns_by(turn, 45.0)
    back = -1.0 if run.from_far_end else 1.0
    angle = turn / 2.0 - (math.copysign(45.0, turn) * back if edge_on else 0.0)
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
        near = (-back * plan.width / 2.0 if edge_on else 0.0, -plan.depth / 2.0)
        shift = (
            meeting[0] - near[0] * ax[0] - near[1] * ay[0],
            meeting[1] - near[0] * ax[1] - near[1] * ay[1],
        )
    chainage = run.line.chainage(distance)
    if run.line.closed and chainage > run.line.length - 1e-6:
        chainage = 0.0  # the line ends where it started
    place = Frame.turned(length + shift[0], shift[1], first.ground(length), angle)
    return _as_said(run, PostPlace(kind, frame @ place, chainage), distance)
