"""A front: what one elevation shows, a leg, or legs that turn little laid out flat; its parts.

x runs along the front from its start, z up from the ground there.
"""

from __future__ import annotations

import bisect
import math
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from operator import itemgetter

from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.frames import Frame, Point
from palewright.model.layout.placed_posts import PlacedPost
from palewright.model.layout.run_layout import RunLayout, stations_of_leg
from palewright.model.layout.side_ground import Side, given_levels
from palewright.model.parts.members import Member
from palewright.model.site.site_line import level_at, profile_between

from .members_shown import FAR

MOST_TURN = 15.0
"""Legs that turn less than this at a corner are drawn in one elevation, degrees."""


@dataclass(frozen=True)
class Front:
    """A front of a run. number : among the run's fronts, from 1; legs : its legs, in order."""

    layout: RunLayout
    number: int
    legs: tuple[int, ...]

    @cached_property
    def starts(self) -> dict[int, float]:
        """Where each leg starts along the front, mm."""
        first = self.layout.legs[self.legs[0]].before
        return {leg: self.layout.legs[leg].before - first for leg in self.legs}

    @property
    def length(self) -> float:
        """Length along the legs, mm."""
        last = self.legs[-1]
        return self.starts[last] + self.layout.legs[last].length

    @property
    def datum(self) -> float:
        """Level of the front's start in the model, mm."""
        return self.layout.legs[self.legs[0]].start[2]

    def rise(self, leg: int) -> float:
        """Return the level of a leg's start over the front's, mm."""
        return self.layout.legs[leg].start[2] - self.datum

    def view(self, leg: int) -> Frame:
        """Return the frame that shows a leg where it stands in the front."""
        frame = self.layout.legs[leg].frame
        return frame @ Frame.at(-self.starts[leg], 0.0, -self.rise(leg))

    def reach(self, leg: int) -> Point:
        """Return from where to where a leg is shown: at bends to the bend, else without end."""
        low = -FAR if leg == self.legs[0] else self.starts[leg]
        high = FAR if leg == self.legs[-1] else self.starts[leg] + self.layout.legs[leg].length
        return low, high

    @cached_property
    def ground(self) -> tuple[Point, ...]:
        """The ground along the front, (x, z)."""
        points: list[Point] = []
        for leg in self.legs:
            start, rise = self.starts[leg], self.rise(leg)
            profile = [(start + x, rise + z) for x, z in self.layout.legs[leg].profile]
            points += profile[1:] if points else profile
        return tuple(points)

    @cached_property
    def told(self) -> tuple[float, ...] | None:
        """Where along the front levels were given, mm; None where a surface has one everywhere."""
        run = self.layout.run
        if run.ground.by == "surface":
            return None
        before = self.layout.legs[self.legs[0]].before
        return tuple(x - before for x, _ in run.line.knots)

    def is_told(self, x: float) -> bool:
        """Tell whether the level at a place was given, or is that of a surface."""
        return self.told is None or any(abs(x - place) < 1.0 for place in self.told)

    @cached_property
    def known(self) -> Point:
        """From where to where along the front the ground is known, mm: at most to the ends of what
        stands on it; from one to a lower one where none of it is.
        """
        low, high = self.extent()
        if not self.told:
            return low, high
        first, last = self.told[0], self.told[-1]
        return low if first < 1.0 else first, high if last > self.length - 1.0 else last

    def ground_at(self, x: float) -> float:
        """Return the ground at x; level beyond the front's ends."""
        return level_at(self.ground, x)

    def side(self, side: Side) -> tuple[Point, ...]:
        """Return the ground of a side as (x, z), as far as it is at another level; else nothing."""
        known = given_levels(self.layout.run, side)
        if not known:
            return ()
        before = self.layout.legs[self.legs[0]].before
        own = tuple((x - before, z - self.datum) for x, z in known)
        low, high = max(0.0, own[0][0]), min(self.length, own[-1][0])
        if low >= high:
            return ()
        return profile_between(own, low, high)

    @property
    def level(self) -> bool:
        """Whether the ground is level all along."""
        zs = [z for _, z in self.ground]
        return max(zs) - min(zs) < 0.5

    @cached_property
    def stations(self) -> tuple[tuple[float, PlacedPost], ...]:
        """The posts from left to right, with their x on the line."""
        by_label: dict[str, tuple[float, PlacedPost]] = {}
        for leg in self.legs:
            for x, post in stations_of_leg(self.layout, leg):
                by_label.setdefault(post.label, (self.starts[leg] + x, post))
        return tuple(sorted(by_label.values(), key=lambda item: item[0]))

    def extent(self) -> Point:
        """Return the first and the last x that pales or posts reach."""
        xs = []
        for leg in self.legs:
            start = self.starts[leg]
            for _, post in stations_of_leg(self.layout, leg):
                xs += [start + x for x in post.extent(self.layout.legs[leg])]
            for stretch in self.layout.stretches_of[leg]:
                row = stretch.row
                xs += [start + row.x0, start + row.x1]
        return min(xs), max(xs)

    @cached_property
    def tops(self) -> tuple[Point, ...]:
        """(x, z) of the tops of posts with their caps, and of pales and gates, in order of x."""
        tops = []
        layout = self.layout
        for x, post in self.stations:
            tops.append((x, post.frame.origin[2] - self.datum + post.full_height))
        for leg in self.legs:
            start, rise = self.starts[leg], self.rise(leg)
            for stretch in layout.stretches_of[leg]:
                tops += [(start + pale.x, rise + pale.top) for pale in stretch.pales]
            for opening in layout.openings_of[leg]:
                top = rise + opening.base + layout.run.height
                tops += [(start + opening.start, top), (start + opening.end, top)]
                for leaf in (one for one in opening.leaves if one.plan.own):
                    tops += [(start + x, rise + opening.base + z) for x, z in leaf.outline()]
        return tuple(sorted(tops))

    @property
    def repeat(self) -> float:
        """About how long pales by turns take until the first comes again, mm; 0 where all alike."""
        pales = self.layout.run.pales
        return pales.mean_pitch * len(pales.kinds) if len(pales.sorts) > 1 else 0.0

    @cached_property
    def highest_leaf(self) -> float:
        """The highest top of gate leaves that are not as high as the fence, -inf without one."""
        tops = (
            self.rise(leg) + opening.base + leaf.foot + leaf.height
            for leg in self.legs
            for opening in self.layout.openings_of[leg]
            for leaf in opening.leaves
            if leaf.plan.own
        )
        return max(tops, default=-math.inf)

    def top_near(self, x: float, reach: float) -> float:
        """Return the highest top within a distance of x; of the nearest one where none is."""
        first = bisect.bisect_left(self.tops, x - reach, key=itemgetter(0))
        last = bisect.bisect_right(self.tops, x + reach, key=itemgetter(0))
        near = [z for _, z in self.tops[first:last]]
        return max(near) if near else min(self.tops, key=lambda top: abs(top[0] - x))[1]


def fronts_of(layout: RunLayout, most_turn: float = MOST_TURN) -> tuple[Front, ...]:
    """Return the fronts of a run: its legs, with those joined that a curve was cut into, and
    those that meet in a slight corner on one post.

    most_turn : degrees from which on the legs at a corner are fronts of their own.
    """
    groups: list[list[int]] = []
    for number, leg in enumerate(layout.legs):
        slight = abs(leg.turn_start) < most_turn and _share_post(layout, number)
        if groups and (leg.bent_start or slight):
            groups[-1].append(number)
        else:
            groups.append([number])
    return tuple(Front(layout, number, tuple(group)) for number, group in enumerate(groups, 1))


def _share_post(layout: RunLayout, leg: int) -> bool:
    """Tell whether a leg and the one before it stand on one post where they meet."""
    last, first = stations_of_leg(layout, leg - 1)[-1:], stations_of_leg(layout, leg)[:1]
    return [post.label for _, post in last] == [post.label for _, post in first]


Stations = tuple[tuple[float, PlacedPost], ...]


@dataclass(frozen=True)
class FrontPart:
    """A part of a front from one post to another. first, last : numbers among its posts."""

    run: int
    front: Front
    first: int
    last: int

    @property
    def at_start(self) -> bool:
        """Whether it has the front's first post."""
        return self.first == 0

    @property
    def at_end(self) -> bool:
        """Whether it has the front's last post."""
        return self.last == len(self.front.stations) - 1

    @property
    def stations(self) -> Stations:
        """The posts of the part with their x."""
        return self.front.stations[self.first : self.last + 1]


def parts_of_front(run: int, front: Front, longest: float) -> list[FrontPart]:
    """Return a front cut at posts into even parts, none over `longest` (mm) if bays allow."""
    xs = [x for x, _ in front.stations]
    count = max(1, math.ceil((xs[-1] - xs[0]) / longest))
    cuts = [0]
    for number in range(1, count):
        wanted = xs[0] + (xs[-1] - xs[0]) * number / count
        best = min(range(len(xs)), key=lambda i: abs(xs[i] - wanted))
        if cuts[-1] < best < len(xs) - 1:
            cuts.append(best)
    cuts.append(len(xs) - 1)
    return [FrontPart(run, front, a, b) for a, b in pairwise(cuts)]


def members_near(
    fence: FenceModel, run: int, leg_number: int, start: float, end: float
) -> list[Member]:
    """Return the members of a leg, and the posts at its ends, that may reach into a span of it.

    start, end : mm along the leg. A rail starts at most its stock length, or a bay, away from
    where it is seen.
    """
    layout = fence.layouts[run]
    frame = layout.legs[leg_number].frame
    reach = max(layout.run.rails.stock_length, layout.run.posts.bay) + 1000.0
    low, high = start - reach, end + reach
    ends = {post.label for _, post in stations_of_leg(layout, leg_number)}
    own = fence.along[run, leg_number]
    first = bisect.bisect_right(own, low, key=itemgetter(0))
    last = bisect.bisect_left(own, high, key=itemgetter(0))
    return [
        *(m for _, m in own[first:last] if not m.station or m.station in ends),
        *(
            member
            for label in sorted(ends)
            for member in fence.of_post.get((run, label), ())
            if member.leg != leg_number and low < frame.local(member.frame.origin)[0] < high
        ),
    ]
