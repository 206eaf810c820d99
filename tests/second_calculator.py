"""The wind on a fence worked out a second time, sharing no code with the program's own.

From the standards' formulas as `docs/wind-by-hand.md` and the facts named in
`tests/published/test_strength.py` have them, by other means: covered areas by integration over
vertical lines, beams by their stiffness matrix, depths by a general root finder, forces as
vectors. Only the geometry of the fence, which other tests hold to its solids, is taken from it.
Lengths mm, forces N.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from scipy.optimize import brentq

from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.facets import faces_of
from palewright.model.geometry.shapes import Plate
from palewright.model.layout.run_layout import RunLayout

COVERS = {"pale", "rail", "post", "wall plate", "post cap", "gravel board", "gate ledge",
          "gate brace"}  # fmt: skip

ROUGHNESS = {"0": 0.003, "I": 0.01, "II": 0.05, "III": 0.3, "IV": 1.0}
LEAST = {"0": 1.0, "I": 1.0, "II": 2.0, "III": 5.0, "IV": 10.0}

GRADES = {"C16": (16.0, 3.2, 2.2, 8000.0, 310.0), "C18": (18.0, 3.4, 2.2, 9000.0, 320.0),
          "C24": (24.0, 4.0, 2.5, 11000.0, 350.0)}  # fmt: skip

BOLTS = {  # hole, head across, washer across, stress area
    "M8": (9.0, 20.65, 25.0, 36.6),
    "M10": (11.0, 24.65, 30.0, 58.0),
    "M12": (13.0, 30.65, 36.0, 84.3),
}

BEARING = {"bedrock": 188.5, "soft rock": 62.8, "gravel": 31.4, "sand": 23.6, "clay": 15.7}

NAIL_SIZES = [(40, 2.65), (50, 2.65), (65, 3.35), (75, 3.75), (100, 4.5), (125, 5.6)]

Used = dict[str, float]


def velocity_pressure(wind: Any, height: float) -> float:
    """EN 1991-1-4, 4.3 to 4.5, N/mm2; height in mm."""
    z0 = ROUGHNESS[wind.terrain]
    log = math.log(max(height / 1e3, LEAST[wind.terrain]) / z0)
    mean = 0.19 * (z0 / 0.05) ** 0.07 * log * wind.orography * wind.velocity
    return (1 + 7 / (wind.orography * log)) * 0.5 * wind.density * mean**2 * 1e-6


def wall_coefficient(phi: float, away: float, slender: float, height: float, back: float) -> float:
    """EN 1991-1-4, Table 7.9 and 7.4.1 (2)."""
    zone = int(np.searchsorted([0.3, 2.0, 4.0], away / height, side="right"))
    free = np.interp(slender, [3, 5, 10], [[2.3, 2.9, 3.4], [1.4, 1.8, 2.1], [1.2, 1.4, 1.7],
                                           [1.2, 1.2, 1.2]][zone])  # fmt: skip
    corner = [2.1, 1.8, 1.4, 1.2][zone]
    solid = np.interp(min(back / height, 1.0), [0, 1], [free, corner])
    return float(np.interp(phi, [0.8, 1.0], [1.2, solid]))


def ends_around(layout: RunLayout, at: float, opened: bool) -> list[list[tuple[float, float]]]:
    """Return, for each straight part that a place lies in, its two ends as (place, how far the
    fence goes on round the corner); an empty list in a ring without corners.
    """
    legs, length = layout.legs, layout.run.line.length
    ring = layout.run.line.closed
    marks: list[tuple[float, float]] = []
    for leg in legs if ring else legs[1:]:
        if abs(leg.turn_start) >= 30.0:
            marks.append((leg.before, leg.before))
    if opened:
        marks += [(o.leg.before + o.start, o.leg.before + o.end) for o in layout.openings]
    gaps = {(o.leg.before + o.start, o.leg.before + o.end) for o in layout.openings}
    if ring:
        if not marks:
            return [[]]
        marks = [(a + k * length, b + k * length) for k in (-2, -1, 0, 1, 2, 3) for a, b in marks]
        gaps = {(a + k * length, b + k * length) for k in (-2, -1, 0, 1, 2, 3) for a, b in gaps}
    else:
        marks += [(-1e9 if not layout.run.walls.at_start else -1e8, 0.0),
                  (length, 1e9 if not layout.run.walls.at_end else 1e8)]  # fmt: skip
    marks.sort()
    parts = []
    for number, (before, after) in enumerate(zip(marks, marks[1:], strict=False)):
        if after[0] - before[1] <= 1e-6 or not before[1] - 1e-6 <= at <= after[0] + 1e-6:
            continue

        def beyond(mark: tuple[float, float], other: tuple[float, float] | None) -> float:
            if abs(mark[0]) == 1e8 or abs(mark[1]) == 1e8:
                return math.inf
            if mark in gaps or abs(mark[0]) == 1e9 or abs(mark[1]) == 1e9 or other is None:
                return 0.0
            return abs(other[0] - mark[1]) if other > mark else abs(mark[0] - other[1])

        left = marks[number - 1] if number else None
        right = marks[number + 2] if number + 2 < len(marks) else None
        parts.append([(before[1], beyond(before, left)), (after[0], beyond(after, right))])
    return parts


def coefficient(layout: RunLayout, span: tuple[float, float], opened: bool, phi: float,
                height: float) -> float:  # fmt: skip
    """Return the largest coefficient on the whole area in a span, by looking at its ends and at
    places between.
    """
    if phi <= 0.8:
        return 1.2
    length = layout.run.line.length
    worst = 0.0
    inside = [o.leg.before + x for o in layout.openings for x in (o.start, o.end)]
    inside += [leg.before for leg in layout.legs]
    places = {*np.linspace(span[0], span[1], 5), *(x for x in inside if span[0] <= x <= span[1])}
    for at in places:
        turns = (at, at - length, at + length) if layout.run.line.closed else (at,)
        for place in turns:
            for ends in ends_around(layout, place, opened):
                if not ends:
                    worst = max(worst, wall_coefficient(phi, 1e9, 10.0, height, 1.0))
                slender = (ends[1][0] - ends[0][0]) / height if ends else 10.0
                for x, back in ends:
                    away = max(abs(place - x), 0.0)
                    worst = max(worst, wall_coefficient(phi, away, slender, height, back))
    return worst


@dataclass(frozen=True)
class Outline:
    """A polygon in a leg's plane. points : (n, 2) x and z."""

    points: np.ndarray

    @cached_property
    def first(self) -> float:
        """Where it begins."""
        return float(self.points[:, 0].min())

    @cached_property
    def last(self) -> float:
        """Where it ends."""
        return float(self.points[:, 0].max())

    @cached_property
    def edges(self) -> np.ndarray:
        """Its sloping edges: left x, left z, right x, right z."""
        a, b = self.points, np.roll(self.points, -1, axis=0)
        turned = a[:, :1] > b[:, :1]
        edges = np.hstack([np.where(turned, b, a), np.where(turned, a, b)])
        return edges[edges[:, 2] > edges[:, 0]]

    def at(self, x: float) -> tuple[float, float]:
        """Return the lowest and highest z on a vertical line between its ends."""
        edges = self.edges[(self.edges[:, 0] <= x) & (x <= self.edges[:, 2])]
        t = (x - edges[:, 0]) / (edges[:, 2] - edges[:, 0])
        z = edges[:, 1] + t * (edges[:, 3] - edges[:, 1])
        return float(z.min()), float(z.max())


def outlines_of(fence: FenceModel, run: int, leg_number: int, leaf: bool) -> list[Outline]:
    """Project members on the plane of a leg."""
    frame = fence.layouts[run].legs[leg_number].frame
    ends = {
        post.label
        for stretch in fence.layouts[run].stretches
        if stretch.leg_number == leg_number
        for post in stretch.posts
    }
    outlines = []
    for member in fence.members:
        own = member.leg == leg_number or member.station in ends
        if member.run != run or not own or member.kind.name not in COVERS:
            continue
        if (member.leaf is not None) != leaf:
            continue
        shape = member.shape
        if isinstance(shape, Plate):
            corners = [(x, 0.0, z) for x, z in shape.outline.flatten()]
        else:
            corners = [point for face in faces_of(shape) for point in face]
        local = np.array([frame.local(member.frame.point(point)) for point in corners])
        flat = local[:, [0, 2]]
        outlines.append(Outline(flat if isinstance(shape, Plate) else hull(flat)))
    return outlines


def hull(points: np.ndarray) -> np.ndarray:
    """Return the convex hull of points."""
    from scipy.spatial import ConvexHull

    return points[ConvexHull(points).vertices]


def covered_area(outlines: list[Outline], x0: float, x1: float, low: float, high: float) -> float:
    """Integrate what is covered on vertical lines, between all the corners' places."""
    near = [o for o in outlines if o.last > x0 and o.first < x1]
    cuts = {x0, x1}
    for outline in near:
        cuts |= {float(x) for x in outline.points[:, 0] if x0 < x < x1}
    area = 0.0
    places = sorted(cuts)
    for a, b in zip(places, places[1:], strict=False):
        if b - a < 1e-9:
            continue
        lines = min(max(2, math.ceil((b - a) / 10.0)), 6)
        for n in range(lines):
            x = a + (b - a) * (n + 0.5) / lines
            spans = sorted(o.at(x) for o in near if o.first < x < o.last)
            reach = low
            for bottom, top in spans:
                bottom, top = max(bottom, reach), min(top, high)
                if top > bottom:
                    area += (top - bottom) * (b - a) / lines
                    reach = top
    return area


def beam(xs: list[float], first: float, last: float) -> tuple[list[float], float, float]:
    """Solve a beam on supports under a load of 1 by its stiffness matrix.

    Returns reactions, the largest moment between supports and the largest over one.
    """
    size = 2 * len(xs)
    stiff, load = np.zeros((size, size)), np.zeros(size)
    for n, (a, b) in enumerate(zip(xs, xs[1:], strict=False)):
        span = b - a
        own = np.array([[12, 6 * span, -12, 6 * span],
                        [6 * span, 4 * span**2, -6 * span, 2 * span**2],
                        [-12, -6 * span, 12, -6 * span],
                        [6 * span, 2 * span**2, -6 * span, 4 * span**2]]) / span**3  # fmt: skip
        rows = slice(2 * n, 2 * n + 4)
        stiff[rows, rows] += own
        load[rows] += np.array([span / 2, span**2 / 12, span / 2, -(span**2) / 12])
    # overhanging ends push on and turn the outer supports
    load[0] += first
    load[1] -= first**2 / 2
    load[size - 2] += last
    load[size - 1] += last**2 / 2
    turns = list(range(1, size, 2))
    solved = np.zeros(size)
    solved[turns] = np.linalg.solve(stiff[np.ix_(turns, turns)], load[turns])
    reactions = list((load - stiff @ solved)[0::2])
    over, between = 0.0, 0.0
    for n, x in enumerate(xs):
        left = x - xs[0] + first
        moment = sum(reactions[k] * (x - xs[k]) for k in range(n)) - left**2 / 2
        over = max(over, abs(moment))
    for n, (a, b) in enumerate(zip(xs, xs[1:], strict=False)):
        at = np.linspace(a, b, 20001)
        moments = sum(reactions[k] * (at - xs[k]) for k in range(n + 1))
        between = max(between, float((moments - (at - xs[0] + first) ** 2 / 2).max()))
    return reactions, between, over


def rail_ways(heights: list[float], foot: float, top: float) -> list[np.ndarray]:
    """Return what share of an even load on pales each rail takes, by each assumption."""
    if len(heights) == 1:
        return [np.array([1.0])]
    z = np.array(heights)
    # a rigid pale on equal springs: u = a + b z with sum k u = 1 and sum k u z = middle
    matrix = np.array([[len(z), z.sum()], [z.sum(), (z**2).sum()]])
    a, b = np.linalg.solve(matrix, [1.0, (foot + top) / 2])
    ways = [a + b * z]
    if len(z) > 2 and heights[0] >= foot and heights[-1] <= top:
        reactions, _, _ = beam(heights, heights[0] - foot, top - heights[-1])
        ways.append(np.array(reactions) / (top - foot))
    return ways


class Calculator:
    """One run of a fence, with what all its checks share."""

    def __init__(self, fence: FenceModel, number: int) -> None:
        """Take the geometry of a run."""
        self.fence, self.number = fence, number
        self.layout = fence.layouts[number]
        self.run = self.layout.run
        job = fence.job
        assert job.wind is not None
        self.wind, self.strength, self.soil = job.wind, job.strength, job.soil
        self.kmod = {"short-term": 0.7, "instantaneous": 0.9}[job.wind.duration]
        self._leaves: dict[tuple[int, int], tuple[float, float, float]] = {}
        self.shown = [self._stretch(n) for n in range(len(self.layout.stretches))]

    def _stretch(self, order: int) -> tuple[float, float, float, float] | None:
        """Return top and foot over the ground, lift of the base, and solidity of a stretch."""
        stretch = self.layout.stretches[order]
        if not stretch.pales:
            return None
        outlines = outlines_of(self.fence, self.number, stretch.leg_number, False)
        solid = whole = 0.0
        for bay, (x0, x1) in enumerate(zip(stretch.xs, stretch.xs[1:], strict=False)):
            own = [p for p in stretch.pales if p.bay == bay or x0 - 1e-6 <= p.x <= x1 + 1e-6]
            own = own or list(stretch.pales)
            low, high = min(p.foot for p in own), max(p.top for p in own)
            solid += covered_area(outlines, x0, x1, low, high)
            whole += (x1 - x0) * max(p.length for p in own)
        tops = [
            (p.top - stretch.leg.ground(p.x),
             stretch.settings[p.bay].base(p.x) - stretch.leg.ground(p.x))
            for p in stretch.pales
        ]  # fmt: skip
        top, lift = max(tops)
        longest = max(p.length for p in stretch.pales)
        return top, max(top - longest, 0.0), lift, min(solid / whole, 1.0)

    def pressure(self, top: float, phi: float, span: tuple[float, float], opened: bool) -> float:
        """Return the pressure on the whole area, N/mm2."""
        if self.wind.force is not None and phi <= 0.8:
            c = self.wind.force * phi
        else:
            c = coefficient(self.layout, span, opened, phi, top)
        return velocity_pressure(self.wind, top) * c * self.wind.shelter

    def rail_heights(self, lift: float) -> list[float]:
        """Return the middles of rails over the ground."""
        return [t - self.run.rails.section[0] / 2 + lift for t in self.run.rails.tops]

    def rails(self, order: int) -> Iterator[tuple[int, list[int], list[float], float, float]]:
        """Yield row, posts, reactions, and moments between and over posts for a load of 1."""
        stretch = self.layout.stretches[order]
        xs = stretch.xs
        out = abs(xs[0] - stretch.first.x), abs(stretch.last.x - xs[-1])
        if self.run.rails.form == "face":
            pieces = [(p.row, p.bays[0], p.bays[1] + 1) for p in stretch.rails]
        else:
            rows = range(len(self.run.rails.tops))
            pieces = [(row, bay, bay + 1) for row in rows for bay in range(len(xs) - 1)]
        for row, a, b in pieces:
            first, last = out[0] * (a == 0), out[1] * (b == len(xs) - 1)
            yield row, list(range(a, b + 1)), *beam(list(xs[a : b + 1]), first, last)

    def check_rails(self) -> Iterator[tuple[tuple[int, int, tuple[int, ...]], Used]]:
        """Yield every rail by stretch, row and posts with its utilisations."""
        height, thick = self.run.rails.section
        face = self.run.rails.form == "face"
        fm, _, across, _, density = GRADES[self.strength.rails]
        factor = self.kmod / self.strength.factor
        bending = fm * factor * (min((150 / thick) ** 0.2, 1.3) if thick < 150 else 1.0)
        hole, head, washer, stress_area = BOLTS[self.run.rails.bolt]
        for order, shown in enumerate(self.shown):
            if shown is None:
                continue
            top, foot, lift, phi = shown
            stretch = self.layout.stretches[order]
            ways = rail_ways(self.rail_heights(lift), foot, top)
            for row, places, reactions, between, over in self.rails(order):
                span = tuple(stretch.leg.before + stretch.xs[places[k]] for k in (0, -1))
                w = max(self.pressure(top, phi, span, o) for o in (False, True))
                share = max(abs(way[row]) for way in ways)
                q = self.wind.wind_factor * w * (top - foot) * share
                used = {}
                modulus = height * thick**2 / (6 if face else 24)
                used["bending of the rail between posts"] = q * between / modulus / bending
                if over > 1:
                    net = (height - hole) * thick**2 / 6 if face else modulus
                    name = "bending of the rail over a post"
                    name += ", its bolt hole taken out" if face else ""
                    used[name] = q * over / net / bending
                if face:
                    d = float(self.run.rails.bolt[1:]) + 1
                    ring = math.pi / 4 * 3
                    posts = GRADES[self.strength.posts][2]
                    timber = min(across * (head**2 - d**2), posts * (washer**2 - d**2)) * ring
                    steel = 0.9 * 400 * stress_area / 1.25
                    holds = min(timber * factor, steel)
                    used["pull on the bolt of a rail"] = q * max(map(abs, reactions)) / holds
                if self.fence.job.fixings.pales == "nails":
                    used["pull on the nails of a pale"] = self._nails(q, density)
                yield (order, row, tuple(places)), used

    def _nails(self, q: float, density: float) -> float:
        """EN 1995-1-1, 8.3.2; a nail of the stock at least 2.5 times as long as the pale is
        thick.
        """
        pales = self.run.pales
        length, d = self._nail(pales.thickness)
        point = length - pales.thickness
        grip = min(max(point / (4 * d) - 2, 0), 1)
        withdraw = 2 / 3 * grip * 20e-6 * density**2 * d * point
        own = GRADES[self.strength.pales][4]
        head = 20e-6 * own**2 * d * pales.thickness + 70e-6 * own**2 * (2 * d) ** 2
        holds = min(withdraw, head) * self.kmod / self.strength.factor
        return q * (pales.widest + pales.gap_max) / (holds * self.fence.job.fixings.crossing)

    def _nail(self, thick: float) -> tuple[float, float]:
        behind = self.run.rails.section[1]
        fits = [n for n in NAIL_SIZES if n[0] >= 2.5 * thick and n[0] <= thick + behind]
        shorter = [n for n in NAIL_SIZES if n[0] <= thick + behind]
        return fits[0] if fits else (shorter or NAIL_SIZES)[-1 if shorter else 0]

    def check_post(self, number: int) -> Used:
        """Return the utilisations of a post and its footing, the worst of all loads."""
        worst: Used = {}
        for case in self._cases(number):
            for name, value in case.items():
                worst[name] = max(worst.get(name, 0.0), value)
        return worst

    def _cases(self, number: int) -> Iterator[Used]:
        hung = list(self._hung(number))
        run = self.run
        lift = [self.shown[n] for n, s in enumerate(self.layout.stretches) if number in s.numbers]
        bolt = min((self.rail_heights(s[2])[0] for s in lift if s is not None), default=None)
        weight = [
            9.81
            * mass
            * (
                leaf.width / 2
                + run.gates.hinge_clearance
                + self.layout.posts[number].plan.width / 2
            )
            for leaf, mass, _ in hung
        ]
        for opened in (False, True):
            pushes = list(self._pushes(number, opened))
            for leg in dict.fromkeys(leg for leg, _, _, _ in pushes):
                n = np.array(leg.frame.y[:2])
                force, moment, tops = np.zeros(2), np.zeros(2), []
                for other, size, arm, top in pushes:
                    m = np.array(other.frame.y[:2])
                    turned = float(n @ m)
                    force = force + size * turned * abs(turned) * m
                    moment = moment + size * arm * turned * abs(turned) * m
                    if abs(turned * turned) > 1e-9:
                        tops.append(top)
                leaf = (sum(weight) if opened else max(weight)) if hung else 0.0
                across, along = (0.0, leaf) if not opened else (leaf, 0.0)
                yield self._post(number, force, moment, across, along, max(tops), bolt,
                                 self.wind.duration)  # fmt: skip
        if hung:
            x = np.array(self.layout.posts[number].frame.x[:2])
            whole = sum(weight)
            for leaf, _, (top, foot, phi) in hung:
                c = 1.2
                if self.wind.force is not None and phi <= 0.8:
                    c = self.wind.force * phi
                elif phi > 0.8:
                    c = wall_coefficient(phi, 0.0, leaf.width / top, top, 0.0)
                w = velocity_pressure(self.wind, top) * c * self.wind.shelter
                size = w * (top - foot) * leaf.width
                yield self._post(number, size * x, size * (top + foot) / 2 * x, whole, 0.0, top,
                                 None, self.wind.duration)  # fmt: skip
            zero = np.zeros(2)
            reach = max(leaf.width for leaf, _, _ in hung)
            reach += run.gates.hinge_clearance + self.layout.posts[number].plan.width / 2
            person = self.strength.leaf_load * reach
            for opened in (False, True):
                own = whole if opened else max(weight)
                for load, term in ((0.0, "permanent"), (person, "short-term")):
                    across, along = (own, 0.0) if opened else (0.0, own)
                    live = (load, 0.0) if opened else (0.0, load)
                    yield self._post(number, zero, zero, across, along, 0.0, None, term, live)

    def _hung(self, number: int) -> Iterator[Any]:
        """Yield the leaves on a post with mass, and top, foot and solidity."""
        run = self.run
        for opening in self.layout.openings:
            for order, leaf in enumerate(opening.leaves):
                if opening.numbers[0 if leaf.hinge_left else 1] != number:
                    continue
                yield leaf, self._mass(leaf), self._leaf(opening, order)
        assert run is self.layout.run

    def _mass(self, leaf: Any) -> float:
        run = self.run
        width, thick = leaf.plan.ledge
        volume = sum(leaf.lengths) * run.pales.widest * run.pales.thickness
        volume += len(leaf.ledges) * leaf.width * width * thick
        plan = leaf.plan
        if plan.framed:
            high = leaf.ledges[-1] + width - leaf.ledges[0]
            volume += 2 * high * plan.stile * thick
        if plan.braces:
            volume += (
                plan.braces
                * math.hypot(leaf.width / plan.braces, leaf.height)
                * (plan.brace * thick)
            )
            volume += (plan.braces - 1) * leaf.height * plan.brace * thick
        return volume * 1e-9 * self.fence.job.timber.density

    def _leaf(self, opening: Any, order: int) -> tuple[float, float, float]:
        """Return top and foot over the lowest ground of the opening, and solidity of a leaf."""
        if (opening.number, order) not in self._leaves:
            self._leaves[opening.number, order] = self._leaf_shown(opening, order)
        return self._leaves[opening.number, order]

    def _leaf_shown(self, opening: Any, order: int) -> tuple[float, float, float]:
        leaf = opening.leaves[order]
        low = min(z for _, z in opening.leg.ground_between(opening.start, opening.end))
        foot = opening.base - low + leaf.foot
        outlines = outlines_of(self.fence, self.number, opening.leg_number, True)
        base = opening.base + leaf.foot
        area = covered_area(outlines, leaf.x0, leaf.x1, base, base + leaf.height)
        return foot + leaf.height, foot, min(area / (leaf.width * leaf.height), 1.0)

    def _pushes(self, number: int, opened: bool) -> Iterator[tuple[Any, float, float, float]]:
        """Yield leg, force without factors, its height, and top of the fence."""
        for order, shown in enumerate(self.shown):
            stretch = self.layout.stretches[order]
            if shown is None or number not in stretch.numbers:
                continue
            top, foot, lift, phi = shown
            place = stretch.numbers.index(number)
            at = stretch.leg.before + stretch.xs[place]
            heights = np.array(self.rail_heights(lift))
            carried = np.zeros(len(heights))
            for row, places, reactions, _, _ in self.rails(order):
                if place in places:
                    carried[row] += reactions[places.index(place)]
            w = self.pressure(top, phi, (at, at), opened) * (top - foot)
            each = [np.abs(way * carried) for way in rail_ways(list(heights), foot, top)]
            worst = max(each, key=lambda one: float(one @ heights))
            if worst.sum() > 1e-6:
                yield stretch.leg, w * worst.sum(), float(worst @ heights / worst.sum()), top
        for opening in () if opened else self.layout.openings:
            if number in opening.numbers:
                last = number == opening.numbers[1]
                top, foot, phi = self._leaf(opening, len(opening.leaves) - 1 if last else 0)
                at = opening.leg.before + (opening.end if last else opening.start)
                w = self.pressure(top, phi, (at, at), False)
                size = w * (top - foot) * (opening.end - opening.start) / 2
                yield opening.leg, size, (top + foot) / 2, top

    def _post(
        self,
        number: int,
        force: np.ndarray,
        moment: np.ndarray,
        across: float,
        along: float,
        top: float,
        bolt: float | None,
        term: str,
        live: tuple[float, float] = (0.0, 0.0),
    ) -> Used:
        """Return the utilisations under a wind's force and moment (vectors in plan), weight's
        moments square to the front and along it, and a person's.
        """
        post = self.layout.posts[number]
        b, d = post.plan.width, post.plan.depth
        fm, fv, _, modulus, _ = GRADES[self.strength.posts]
        kmod = {"permanent": 0.5, "short-term": 0.7, "instantaneous": 0.9}[term]
        factor = kmod / self.strength.factor
        x, y = np.array(post.frame.x[:2]), np.array(post.frame.y[:2])
        g, q = self.wind.weight_factor, self.wind.wind_factor
        my, mx = abs(float(moment @ y)), abs(float(moment @ x))
        fy = abs(float(force @ y))
        design = [q * my + g * across + q * live[0], q * mx + g * along + q * live[1]]

        def size(depth: float) -> float:
            return min((150 / depth) ** 0.2, 1.3) if depth < 150 else 1.0

        def bent(front: float, width: float) -> float:
            r = front / (width * d**2 / 6) / (fm * size(d) * factor)
            s = design[1] / (d * b**2 / 6) / (fm * size(b) * factor)
            return max(r + 0.7 * s, 0.7 * r + s)

        used = {"bending of the post at the ground": bent(design[0], b)}
        total = float(np.hypot(*force))
        if total > 0.0:
            if bolt is not None and bolt > 0 and my > 1e-6 and self.run.rails.form == "face":
                hole = BOLTS[self.run.rails.bolt][0]
                used["bending of the post at its lowest bolt"] = bent(
                    max(design[0] - q * fy * bolt, 0.0), b - hole
                )
            shear = 1.5 * q * total / (0.67 * b * d)
            used["shear of the post"] = shear / (fv * factor)
            e = float(np.hypot(*moment)) / total
            turned = mx > 1e-6 * total * e
            inertia = b * d * min(b, d) ** 2 / 12 if turned else b * d**3 / 12
            sway = total * e**2 * (3 * top - e) / (6 * modulus * inertia)
            used["sway of the post's top"] = sway / (self.strength.sway * top)
        whole = math.hypot(my + across + live[0], mx + along + live[1])
        return used | self._footing(number, total, whole)

    def _footing(self, number: int, force: float, moment: float) -> Used:
        """IBC 1807.3.2.1, Broms in clay and in sand. N, Nmm."""
        post = self.layout.posts[number]
        hole = self.run.footings.hole
        soil = self.soil
        deep = post.plan.embedment + self.run.footings.bed
        wide = hole.diameter if hasattr(hole, "diameter") else math.hypot(hole.width, hole.depth)
        lateral = (soil.lateral or BEARING[soil.kind]) * 1e-6  # N/mm2 for each mm
        doubled = post.kind != "gate" if soil.doubled is None else soil.doubled
        lateral *= 2 if doubled else 1

        def pole(depth: float) -> float:
            # d = A/2 (1 + sqrt(1 + 4.36 h / A)) is d^2 = A d + 1.09 A h
            a_of = 2.34 / (lateral * depth / 3 * wide)
            return depth**2 - a_of * force * depth - 1.09 * a_of * moment

        used = {"depth of the footing": root(pole) / deep}
        across = hole.diameter if hasattr(hole, "diameter") else hole.width
        p, m = soil.safety * force, soil.safety * moment
        if soil.cohesion is not None:
            c = soil.cohesion * 1e-3
            f = p / (9 * c * across)
            largest = m + p * (1.5 * across + 0.5 * f)
            depth = 1.5 * across + f + math.sqrt(largest / (2.25 * c * across))
            used["depth of the footing in clay"] = depth / deep
        if soil.friction is not None:
            kp = math.tan(math.radians(45 + soil.friction / 2)) ** 2
            gamma = soil.weight * 1e-6

            def sand(depth: float) -> float:
                return 0.5 * gamma * across * kp * depth**3 - p * depth - m

            used["depth of the footing in granular ground"] = root(sand) / deep
        return used


def root(function: Callable[[float], float]) -> float:
    """Return where an increasing function is 0, between 0.01 mm and 100 m."""
    return float(brentq(function, 1e-2, 1e5, xtol=1e-9, rtol=1e-12))
