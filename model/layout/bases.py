"""How bays stand on the ground: raked, stepped or with one level top line.

Heights in a spec are over the ground. On sloping ground they are over the *base* of each bay: a
straight line from post to post. It lies on the ground at both posts (rake), level on the highest
ground of the bay (step), or level on the highest ground of all neighbouring bays that share a top
line (level).
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from palewright.model.resolved.job import RunJob
from palewright.model.resolved.words import Follow, WedgeFill
from palewright.model.site.site_line import Leg


@dataclass(frozen=True)
class BayBase:
    """How a bay stands on the ground.

    x0, x1 : of its posts, mm along the leg; z0, z1 : of the base there, mm over the leg's start;
    follow : the ground; fill : what closes the wedge under a stepped bay.
    """

    x0: float
    x1: float
    z0: float
    z1: float
    follow: Follow = Follow.RAKE
    fill: WedgeFill = WedgeFill.NONE

    @property
    def slope(self) -> float:
        """Rise of the base over its run."""
        return (self.z1 - self.z0) / (self.x1 - self.x0)

    @property
    def secant(self) -> float:
        """True length along the base for each mm of plan."""
        return math.hypot(1.0, self.slope)

    def base(self, x: float) -> float:
        """Return the base at x, over the leg's start, mm; it goes on beyond the posts."""
        return self.z0 + (x - self.x0) * self.slope


@dataclass(frozen=True)
class Place:
    """A bay or a gate along a run. x0, x1 : of its posts; reach : of its pales, mm."""

    leg: int
    x0: float
    x1: float
    reach: tuple[float, float]


def bases_of(run: RunJob, legs: tuple[Leg, ...], places: list[Place]) -> list[BayBase]:
    """Return the setting of each place of a run, given in the order of the line."""
    bases: list[BayBase] = []
    for place in places:
        leg = legs[place.leg]
        middle = leg.before + (place.x0 + place.x1) / 2.0
        follow, fill = run.slopes.ways(run.line.chainage(middle))
        if follow == Follow.RAKE:
            z0, z1 = leg.ground(place.x0), leg.ground(place.x1)
        else:
            z0 = z1 = leg.highest(*place.reach)
        bases.append(BayBase(place.x0, place.x1, z0, z1, follow, fill))
    # on a ring a level top line may go on over its start: begin where it does not
    free = [number for number, setting in enumerate(bases) if setting.follow != Follow.LEVEL]
    turn = free[0] if run.line.closed and free else 0
    levelled = _levelled(legs, places[turn:] + places[:turn], bases[turn:] + bases[:turn])
    back = len(bases) - turn
    return levelled[back:] + levelled[:back]


def _levelled(legs: tuple[Leg, ...], places: list[Place], bases: list[BayBase]) -> list[BayBase]:
    """Lift neighbours that share a level top line to the highest of them."""
    result = list(bases)
    first = 0
    while first < len(bases):
        last = first
        while last < len(bases) and bases[last].follow == Follow.LEVEL:
            last += 1
        if last > first:
            starts = [legs[place.leg].start[2] for place in places[first:last]]
            high = max(s + m.z0 for s, m in zip(starts, bases[first:last], strict=True))
            for number, start in enumerate(starts, first):
                result[number] = replace(bases[number], z0=high - start, z1=high - start)
        first = max(last, first + 1)
    return result
