"""Posts that other runs end at: how high they have to be, and what a plate on them meets."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from palewright.model.geometry.shapes import tidy
from palewright.model.resolved.job import Guest, HostPost, RunJob

from .fixed_posts import SAME
from .set_out import bases_between, labels_of, set_out

UNPIERCED = 20.0
"""A screw in a post ends so far before its other side, mm (common practice, no source)."""

OVER_GROUND = 30.0
"""How far a plate keeps from the ground at its post, clear of concrete that rises to that, mm."""

SOLD_BY = 10.0
"""Coach screws are sold in lengths of whole such steps, mm (common practice, no source)."""


@dataclass(frozen=True)
class OnHost:
    """What a plate on a post of another run meets. label : of the post; hold : how deep screws go
    into it, mm; taken : levels of its rails' bolts, floor : of what fills its hole, about the
    origin, mm.
    """

    label: str
    hold: float
    taken: tuple[float, ...]
    floor: float


def on_host(run: RunJob, host: HostPost) -> OnHost:
    """Return what the plate of a run meets on the post of another."""
    other = host.run
    out = set_out(other)
    number = next(
        n
        for n, place in enumerate(out.places)
        if abs(place.chainage - other.line.chainage(host.distance)) < SAME
    )
    label = labels_of(other, out.places)[number]
    plate = run.walls.plate.width
    sold = math.floor((plate + min(run.walls.hold, host.depth - UNPIERCED)) / SOLD_BY) * SOLD_BY
    half = other.rails.section[0] / 2.0
    last = len(out.places) - 1
    lower = (other.ramps[0] if number == 0 else 0.0) + (other.ramps[1] if number == last else 0.0)
    tops = (*other.rails.tops[:-1], other.rails.tops[-1] - lower)
    taken = {
        round(level + top - half, 6) for at, level in _levels(other) if at == number for top in tops
    }
    bolted = other.rails.bolted
    floor = out.places[number].frame.origin[2] + OVER_GROUND
    return OnHost(label, sold - plate, tuple(sorted(taken)) if bolted else (), floor)


def lifts(
    run: RunJob, chainages: Mapping[int, float], bases: Mapping[int, float]
) -> dict[int, float]:
    """Return how much higher posts stand than their own rails ask, for runs that end at them, mm.

    chainages, bases : of the posts by number, the highest base beside each about the origin, mm.
    """
    lifted: dict[int, float] = {}
    for guest in run.guests:
        number = next(
            n for n, at in chainages.items() if abs(at - run.line.chainage(guest.distance)) < SAME
        )
        top = max(level for at, level in _levels(guest.run) if at == _end(guest))
        more = tidy(top + _needed(run, guest) - bases[number] - run.rails.tops[-1])
        if more > 0.0:
            lifted[number] = max(more, lifted.get(number, 0.0))
    return lifted


def _needed(run: RunJob, guest: Guest) -> float:
    """Return how high over the base of its guest a post reaches, its own `above_rail` left off:
    over its rails; and where its cap would stand over pales between posts, over these.
    """
    other = guest.run
    drop = other.ramps[0 if guest.at_start else 1]
    kinds = (run.posts.line, run.posts.end)
    capped = any(plan.cap is not None and plan.cap.depth > plan.depth for plan in kinds)
    if capped and not other.rails.over_posts:
        least = min(plan.above_rail for plan in kinds)
        return max(other.rails.tops[-1], other.height - least) - drop
    return other.rails.tops[-1] - drop


def _end(guest: Guest) -> int:
    """Return the number of the post in whose place a guest has its plate."""
    return 0 if guest.at_start else len(set_out(guest.run).places) - 1


def _levels(run: RunJob) -> Iterator[tuple[int, float]]:
    """Yield the bases beside the posts of a run by number, about the origin, mm."""
    parts = set_out(run).parts
    for part, settings in zip(parts, bases_between(run, parts), strict=True):
        start = run.line.legs[part.leg].start[2]
        if part.gate is not None:
            continue  # no run ends at a post of a gate alone
        for bay, setting in enumerate(settings):
            yield part.numbers[bay], start + setting.z0
            yield part.numbers[bay + 1], start + setting.z1
