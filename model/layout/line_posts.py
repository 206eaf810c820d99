"""Where line posts stand between two fixed ones: equal or standard bays, clear of zones."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

from palewright.model.basis.errors import KeyPath, Problem
from palewright.model.geometry.frames import Point
from palewright.model.resolved.footing_plan import half_of
from palewright.model.resolved.job import RunJob
from palewright.model.resolved.zones import Zone

from .post_setting import Between, NoWayError, equal_posts, fewest_bays, full_posts, joined
from .spacing import equal_bays, standard_bays

MOST_ZONES = 400
"""Most zones between two fixed posts."""


def line_posts(run: RunJob, leg: int, start: float, end: float) -> Iterator[float]:
    """Yield where line posts stand between two fixed posts of a leg, x, mm."""
    if run.stations is not None:
        before = run.line.legs[leg].before
        yield from (x - before for x in run.stations if start + 1.0 < x - before < end - 1.0)
        return
    for low, high in itertools.pairwise(_pins(run, leg, start, end)):
        if low > start:
            yield low
        yield from _between(run, leg, low, high)


def _pins(run: RunJob, leg: int, start: float, end: float) -> list[float]:
    """Return the ends of a part with the places between where a post must stand."""
    before = run.line.legs[leg].before
    places = [spot.distance - before for spot in run.set_posts]
    half = run.posts.line.width
    return [start, *(x for x in places if start + half < x < end - half), end]


def _between(run: RunJob, leg: int, start: float, end: float) -> tuple[float, ...]:
    room = _room(run, leg, start, end)
    equal = run.posts.layout == "equal"
    if not room.closed:
        bays = (equal_bays if equal else standard_bays)(end - start, run.posts.bay)
        if run.line.turned:
            bays = bays[::-1]  # the make-up bay comes last as the user counts
        return tuple(itertools.accumulate(bays[:-1], initial=start))[1:]
    back = run.from_far_end if equal else run.line.turned
    try:
        places = (equal_posts if equal else full_posts)(room.mirrored() if back else room)
    except NoWayError:
        return ()  # told by `zone_problems`
    return tuple(start + end - x for x in reversed(places)) if back else places


def _room(run: RunJob, leg: int, start: float, end: float) -> Between:
    return Between(
        start,
        end,
        run.posts.bay,
        max(2.0 * half_of(run.posts.line.foot.room), run.posts.line.width),
        tuple(_closed(run.zones[leg] if run.zones else (), start, end)),
    )


def _closed(zones: tuple[Zone, ...], start: float, end: float) -> list[Point]:
    return joined((zone.start, zone.end) for zone in zones if zone.end > start and zone.start < end)


def zone_problems(run: RunJob, parts: list[tuple[int, float, float]]) -> Iterator[Problem]:
    """Yield the places where zones leave no way to set posts.

    parts : leg, and x of the fixed posts, between which there is fence.
    """
    for leg, start, end in parts:
        for low, high in itertools.pairwise(_pins(run, leg, start, end)):
            room = _room(run, leg, low, high)
            path: KeyPath = (*run.path, "posts")
            if not room.closed:
                continue
            if len(room.closed) > MOST_ZONES:
                text = f"{len(room.closed)} zones without posts in one straight part"
                yield Problem(path, f"{text}; at most {MOST_ZONES}")
                continue
            try:
                fewest_bays(room)
            except NoWayError as error:
                yield Problem(path, _told(run, leg, room, error.reached))


def _told(run: RunJob, leg: int, room: Between, reached: float) -> str:
    """Return in words which zone leaves no place for a post, and by how much."""
    line = run.line
    before = line.legs[leg].before
    wanted = reached + room.largest
    low, high = next(
        (zone for zone in room.closed if zone[0] < wanted <= zone[1] + 1e-6),
        min(room.closed, key=lambda zone: abs(zone[1] - wanted)),
    )
    names = dict.fromkeys(
        zone.what for zone in run.zones[leg] if zone.end > low and zone.start < high
    )
    places = sorted(line.chainage(before + x) for x in (max(low, 0.0), high))
    last = line.chainage(before + reached)
    return (
        f"no post can stand from chainage {places[0]:.0f} to {places[1]:.0f} "
        f"({', '.join(names)}); from the last place before it, {last:.0f}, the bay would be "
        f"{high - reached:.0f} mm, {high - reached - room.largest:.0f} mm over the largest of "
        f"{room.largest:.0f}; allow a longer bay there, or move the line"
    )
