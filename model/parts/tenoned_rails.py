"""Rails that are tenoned into mortises in the posts at both ends."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise

from palewright.model.geometry.frames import Point
from palewright.model.geometry.shapes import Bar, Tenoned, tidy
from palewright.model.geometry.tenons import NEAR, Tenon
from palewright.model.layout.run_layout import Stretch
from palewright.model.layout.spans import StretchEnd
from palewright.model.resolved.job import RunJob
from palewright.model.resolved.words import PostRole

from .bay_rails import rails_by_bay
from .members import Piece

FIT = 1.0
"""What is left between tenons that meet in a corner post, mm (common practice, no source)."""


def tenoned_rails(run: RunJob, stretch: Stretch, groups: list[str]) -> Iterator[Piece]:
    """Yield the rails of a stretch with their tenons."""

    def made(bay: int, bar: Bar) -> Tenoned:
        return Tenoned(bar, *(rail_tenon(run, stretch, bay, right=end) for end in (False, True)))

    for _, _, rail in rails_by_bay(run, stretch, groups, made):
        yield rail


ALONE = (PostRole.END, PostRole.GATE, PostRole.CORNER)
"""Posts with rails on one side, whose tenons need not make room for others; of corners, pairs."""


def rail_tenon(run: RunJob, stretch: Stretch, bay: int, *, right: bool) -> Tenon | None:
    """Return the tenon at an end of the rails of a bay; mitred with that of the other leg where
    they would meet in a corner post, None where there is no room for it.
    """
    plan = run.rails.tenon
    assert plan is not None
    secant = stretch.settings[bay].secant
    # of the two in a post that from the right is behind, seen from where the run begins
    points = plan.plan(secant, behind=right == run.from_far_end)
    room = plan.mortise(secant) if plan.meet != "butt" else ()
    limit = stretch.last if right else stretch.first
    outer = bay == (len(stretch.settings) - 1 if right else 0)
    if outer and limit.kind == PostRole.CORNER and not limit.pair:
        points, room = _mitred(run, stretch, (bay, limit), points, right=right), ()
    elif outer and limit.kind in ALONE:
        points, room = room or points, ()
    kept = tuple((tidy(u), tidy(y)) for u, y in points)
    if len(kept) < 3 or sum(u < NEAR for u, _ in kept) < 2 or max(u for u, _ in kept) < FIT:
        return None
    shared = tuple((tidy(u), tidy(y)) for u, y in room)
    return Tenon(kept, tidy(plan.foot), tidy(plan.foot + plan.height), shared)


def _mitred(
    run: RunJob,
    stretch: Stretch,
    place: tuple[int, StretchEnd],
    points: tuple[Point, ...],
    *,
    right: bool,
) -> tuple[Point, ...]:
    """Return what is left of a tenon before the plane in which a corner is mitred. place : number
    of the bay, and how the stretch ends there.
    """
    bay, limit = place
    rail, secant = stretch.bay_rails[bay], stretch.settings[bay].secant
    _, front = run.rails.faces(run.face)
    way = 1.0 if right else -1.0
    slope = -way * math.tan(math.radians(limit.turn) / 2.0)  # of the mitre, dx/dy
    shoulder, cut = (rail.x1, rail.right) if right else (rail.x0, rail.left)

    def room(spot: Point) -> float:
        u, y = spot
        mitre = limit.x + slope * (y - front)
        return (way * (mitre - shoulder - cut * y) - FIT / 2.0) * secant - u

    kept: list[Point] = []
    for (a, b), (c, d) in pairwise((*points, points[0])):
        one, other = room((a, b)), room((c, d))
        if one >= 0.0:
            kept.append((a, b))
        if (one < 0.0) != (other < 0.0):
            share = one / (one - other)
            kept.append((a + share * (c - a), b + share * (d - b)))
    return tuple(dict.fromkeys(kept))
