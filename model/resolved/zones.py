"""Where along a run no post may stand, and where one must."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from palewright.model.basis.errors import KeyPath, Problem
from palewright.model.geometry.shapes import Hole, RoundHole
from palewright.model.site.features import (
    Feature,
    Footprint,
    bounds_near,
    bounds_of,
    kept_free,
    leg_box,
)
from palewright.model.site.site_line import Leg, SiteLine
from palewright.model.spec.spec_tables import Run


@dataclass(frozen=True)
class Zone:
    """A part of a leg in which no post's middle may be. start, end : x, mm; what : is there; said :
    whether the run says so, else a thing on the site does.
    """

    start: float
    end: float
    what: str
    said: bool = False


@dataclass(frozen=True)
class SetPost:
    """A place where a post must stand. distance : along the line, mm; kept : whether it stands
    there already; name : what it is called; said : where in the spec, in its run or, of a post that
    another run ends at, in that.
    """

    distance: float
    kept: bool
    name: str
    said: KeyPath


@dataclass(frozen=True)
class Break:
    """A gap in a run. start, end : distances along the line of the faces beside it, mm; walls :
    whether the fence ends at masonry there; name : what it is called; number : in the spec.
    """

    start: float
    end: float
    walls: bool
    name: str
    number: int


def footprint(hole: Hole) -> Footprint:
    """Return what a post with its hole takes up."""
    if isinstance(hole, RoundHole):
        return Footprint(hole.diameter / 2.0, 0.0, 0.0)
    return Footprint(0.0, hole.width / 2.0, hole.depth / 2.0)


def zones_of(
    line: SiteLine, run: Run, features: Iterable[Feature], hole: Hole
) -> tuple[tuple[Zone, ...], ...]:
    """Return the zones of each leg that posts with their holes keep clear of.

    run : with its chainages along the line; features : about the job's origin.
    """
    place = footprint(hole)
    half = max(place.radius, place.along)
    clear = [feature for feature in features if feature.keeps_clear]
    bounds = bounds_of(clear)
    far = math.hypot(half, place.across) + place.radius
    zones = []
    for leg in line.legs:
        own = []
        for part in run.no_post:
            x0, x1 = sorted(line.distance(x) - leg.before for x in (part.start, part.end))
            if x1 > -half and x0 < leg.length + half:
                own.append(Zone(x0 - half, x1 + half, part.why or "no post", said=True))
        for near in bounds_near(bounds, leg_box(leg), far):
            feature = clear[near]
            own += (Zone(x0, x1, feature.called) for x0, x1 in kept_free(feature, leg, place)
                    if x1 > 0.0 and x0 < leg.length)  # fmt: skip
        zones.append(tuple(sorted(own, key=lambda zone: (zone.start, zone.end, zone.what))))
    return tuple(zones)


def set_posts_of(line: SiteLine, run: Run, path: KeyPath) -> tuple[SetPost, ...]:
    """Return the places where posts must stand, in the order of the line."""
    places = [
        SetPost(line.distance(spot.at), spot.kept, spot.name, (*path, "fixed", number, "at"))
        for number, spot in enumerate(run.fixed)
    ]
    return tuple(sorted(places, key=lambda spot: spot.distance))


def breaks_of(line: SiteLine, run: Run) -> tuple[Break, ...]:
    """Return the gaps of a run in the order of the line."""
    places = []
    for number, gap in enumerate(run.gap):
        start, end = sorted((line.distance(gap.start), line.distance(gap.end)))
        places.append(Break(start, end, gap.between == "walls", gap.name, number))
    return tuple(sorted(places, key=lambda gap: gap.start))


def place_problems(line: SiteLine, run: Run, path: KeyPath) -> Iterator[Problem]:
    """Yield chainages of zones, fixed posts and gaps that are not on the run, or run backwards."""
    over = f"the run is only {line.length:.0f} mm long"
    for key in ("no_post", "gap"):
        for number, part in enumerate(getattr(run, key)):
            if part.end <= part.start:
                yield Problem((*path, key, number, "end"), "it ends before it starts")
            elif part.start > line.length + 1.0 or (key == "gap" and part.end > line.length + 1.0):
                yield Problem((*path, key, number, "start"), over)
    if run.inset and not run.line_is.startswith("boundary"):
        yield Problem((*path, "inset"), "is kept from a boundary; line_is says that there is none")
    for number, spot in enumerate(run.fixed):
        if spot.at > line.length + 1.0:
            yield Problem((*path, "fixed", number, "at"), over)


def leg_at(legs: tuple[Leg, ...], distance: float) -> tuple[int, float]:
    """Return the number of the leg that a distance along the line lies in, and x in it."""
    number = max(n for n, leg in enumerate(legs) if leg.before <= distance + 1e-9)
    return number, distance - legs[number].before
