"""Skins of what is round about an axis: bolts, rods, and the concrete of footings."""

from __future__ import annotations

import math
from dataclasses import dataclass

from .frames import Vector, cross
from .shapes import Bolt, Footing, Rod, RoundHole
from .skins import (
    Ball,
    Cone,
    Cylinder,
    Flat,
    HyperbolaArc,
    Loop,
    Skin,
    SkinMaker,
    Sweep,
    back,
    chords,
)
from .turned_shapes import Turned, TurnedZone

Halves = tuple[Loop, Loop]
"""A circle in two halves."""


@dataclass(frozen=True)
class _Turning:
    """A maker of faces about an axis through the origin. u, v : unit vectors across the axis."""

    maker: SkinMaker
    u: Vector
    v: Vector

    @property
    def axis(self) -> Vector:
        return cross(self.u, self.v)

    def at(self, along: float, across: float = 0.0, aside: float = 0.0) -> Vector:
        """Return the point that lies so far along the axis and along u and v."""
        x, y, z = (
            along * a + across * u + aside * v
            for a, u, v in zip(self.axis, self.u, self.v, strict=True)
        )
        return x, y, z

    def circle(self, radius: float, along: float) -> Loop:
        """Return a circle, anticlockwise seen from where the axis goes."""
        return self.arc(radius, along, (0.0, math.tau), chords(radius, math.tau))

    def arc(self, radius: float, along: float, turns: tuple[float, float], parts: int) -> Loop:
        """Return part of a circle, or all of it. turns : radians from u towards v."""
        first, second = self.at(0.0, radius), self.at(0.0, 0.0, radius)
        sweep = Sweep(self.at(along), first, second, *turns, parts)
        start, end = (self.maker.corner(sweep.point(turn)) for turn in turns)
        return self.maker.curve(sweep, start, end)

    def up(self, *loops: Loop) -> None:
        """Add a flat face that looks along the axis. loops : anticlockwise seen from there."""
        self.maker.face(Flat(self.axis), loops[0], *(back(loop) for loop in loops[1:]))

    def down(self, *loops: Loop) -> None:
        """Add a flat face that looks against the axis. loops : as for `up`."""
        x, y, z = self.axis
        self.maker.face(Flat((-x, -y, -z)), back(loops[0]), *loops[1:])

    def drum(self, radius: float, low: Loop, high: Loop) -> None:
        """Add the round face between two circles, cut open along a seam."""
        starts = (self.maker.edges[circle[0] - 1].start for circle in (low, high))
        seam = self.maker.line(*starts)
        loop = (*low, *seam, *back(high), *back(seam))
        self.maker.face(Cylinder((0.0, 0.0, 0.0), self.axis, radius), loop)

    def halves(self, radius: float, along: float, parts: int) -> tuple[Loop, Loop]:
        """Return a circle as two halves, anticlockwise seen from where the axis goes."""
        return (
            self.arc(radius, along, (0.0, math.pi), parts),
            self.arc(radius, along, (math.pi, math.tau), parts),
        )

    def zone(self, zone: TurnedZone, along: float, rings: tuple[Halves, Halves]) -> None:
        """Add the side of a zone in two halves. rings : its circles, no edges where it ends in a
        tip.
        """
        surface = self._side(zone, along)
        sides = [self._rise(zone, along, way, rings) for way in (1.0, -1.0)]
        for half, (start, end) in enumerate(((0, 1), (1, 0))):
            loop = (*rings[0][half], *sides[end], *back(rings[1][half]), *back(sides[start]))
            self.maker.face(surface, loop)

    def _side(self, zone: TurnedZone, along: float) -> Cylinder | Cone | Ball:
        if zone.ball:
            return Ball(self.at(along + zone.centre), self.axis, zone.radius)
        wider = zone.high - zone.low
        if wider == 0.0:
            return Cylinder(self.at(along), self.axis, zone.low)
        x, y, z = self.axis
        axis = self.axis if wider > 0.0 else (-x, -y, -z)
        return Cone(self.at(along), axis, zone.low, math.atan2(abs(wider), zone.height))

    def _rise(
        self, zone: TurnedZone, along: float, way: float, rings: tuple[Halves, Halves]
    ) -> Loop:
        """Return the edge up a zone's side. way : 1 where the circles start, -1 opposite."""
        edges = self.maker.edges
        first = edges[rings[0][0][0] - 1]
        start = first.start if way > 0.0 else first.end
        if zone.high > 0.0:
            last = edges[rings[1][0][0] - 1]
            end = last.start if way > 0.0 else last.end
        else:
            end = self.maker.corner(self.at(along + zone.height))
        if not zone.ball:
            return self.maker.line(start, end)
        low = math.atan2(-zone.centre, zone.low)
        high = math.atan2(zone.height - zone.centre, zone.high)
        radius = zone.radius
        sweep = Sweep(
            self.at(along + zone.centre), self.at(0.0, way * radius), self.at(radius), low, high,
            chords(radius, high - low),
        )  # fmt: skip
        return self.maker.curve(sweep, start, end)

    def rectangle(self, width: float, depth: float, along: float) -> list[Vector]:
        """Return the corners of a rectangle about the axis, anticlockwise."""
        w, d = width / 2.0, depth / 2.0
        return [self.at(along, x, y) for x, y in ((-w, -d), (w, -d), (w, d), (-w, d))]


def rod_skin(rod: Rod) -> Skin | None:
    """Return the skin of a rod."""
    turning = _Turning(SkinMaker(), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0))
    radius = rod.diameter / 2.0
    low, high = turning.circle(radius, 0.0), turning.circle(radius, rod.length)
    turning.down(low)
    turning.drum(radius, low, high)
    turning.up(high)
    return turning.maker.skin()


def turned_skin(piece: Turned) -> Skin | None:
    """Return the skin of a turned piece, each side in two halves; None where a zone has no height,
    or one within has no width.
    """
    zones = piece.zones
    within = [zone.high for zone in zones[:-1]] + [zone.low for zone in zones]
    if min(within) <= 0.0 or min(zone.height for zone in zones) <= 0.0:
        return None
    turning = _Turning(SkinMaker(), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0))
    parts = chords(piece.diameter / 2.0, math.pi)
    floor = turning.halves(zones[0].low, 0.0, parts)
    turning.down(tuple(n for half in floor for n in half))
    low = floor
    for number, (level, zone) in enumerate(piece.stacked()):
        top = level + zone.height
        high = turning.halves(zone.high, top, parts) if zone.high > 0.0 else ((), ())
        turning.zone(zone, level, (low, high))
        after = zones[number + 1].low if number + 1 < len(zones) else 0.0
        outer = tuple(n for half in high for n in half)
        low = high
        if not after and outer:
            turning.up(outer)
        elif after and not math.isclose(after, zone.high, abs_tol=1e-9):
            low = turning.halves(after, top, parts)
            inner = tuple(n for half in low for n in half)
            if after < zone.high:
                turning.up(outer, inner)
            else:
                turning.down(inner, outer)
    return turning.maker.skin()


def bolt_skin(bolt: Bolt) -> Skin | None:
    """Return the skin of a bolt, or None where its parts do not follow each other as they should:
    head, shank, a washer wider than the nut, nut, and the end of the shank.
    """
    shank, head, washer = bolt.diameter / 2.0, bolt.head_diameter / 2.0, bolt.washer_diameter / 2.0
    nut = bolt.nut_width / math.sqrt(3.0)
    washer_end = bolt.grip + bolt.washer_height
    nut_end, end = washer_end + bolt.nut_height, bolt.head_height + bolt.length
    in_order = 0.0 < bolt.head_height < bolt.grip < washer_end < nut_end < end
    if not (in_order and shank < head and 2.0 * shank < bolt.nut_width and nut < washer):
        return None
    turning = _Turning(SkinMaker(), (0.0, 0.0, 1.0), (1.0, 0.0, 0.0))
    maker, circle = turning.maker, turning.circle
    turns = [math.radians(90.0 + 60.0 * number) for number in range(6)]  # a corner towards x
    ends = [
        [turning.at(y, nut * math.cos(turn), nut * math.sin(turn)) for turn in turns]
        for y in (washer_end, nut_end)
    ]
    under, over = circle(head, 0.0), circle(head, bolt.head_height)
    neck, grip = circle(shank, bolt.head_height), circle(shank, bolt.grip)
    inside, outside = circle(washer, bolt.grip), circle(washer, washer_end)
    out, tip = circle(shank, nut_end), circle(shank, end)
    turning.down(under)
    turning.drum(head, under, over)
    turning.up(over, neck)
    turning.drum(shank, neck, grip)
    turning.down(inside, grip)
    turning.drum(washer, inside, outside)
    turning.up(outside, maker.ring(ends[0]))
    maker.walls(*ends)
    turning.up(maker.ring(ends[1]), out)
    turning.drum(shank, out, tip)
    turning.up(tip)
    return maker.skin()


def footing_skin(footing: Footing) -> Skin | None:
    """Return the skin of a footing, or None where the post does not stand well within the hole."""
    turning = _Turning(SkinMaker(), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0))
    maker, width, depth = turning.maker, footing.post_width, footing.post_depth
    hole, deep, high = footing.hole, footing.depth, footing.weathering
    foot = turning.rectangle(width, depth, -footing.embedment)
    top = turning.rectangle(width, depth, high)
    if isinstance(hole, RoundHole):
        if math.hypot(width, depth) >= hole.diameter:
            return None
        if high > 0.0:
            return _cone_skin(footing, hole.diameter / 2.0)
        radius = hole.diameter / 2.0
        lower, upper = turning.circle(radius, -deep), turning.circle(radius, 0.0)
        turning.drum(radius, lower, upper)
    else:
        if width >= hole.width or depth >= hole.depth:
            return None
        rings = [turning.rectangle(hole.width, hole.depth, level) for level in (-deep, 0.0)]
        maker.walls(*rings)
        lower, upper = (maker.ring(ring) for ring in rings)
        if high > 0.0:
            maker.walls(rings[1], top)
    if high == 0.0:
        turning.up(upper, maker.ring(top))
    if footing.bed > 0.0:
        turning.up(maker.ring(foot))
        turning.down(lower)
    else:
        turning.down(lower, maker.ring(foot))
    maker.walls(foot[::-1], top[::-1])
    return maker.skin()


def _cone_skin(footing: Footing, radius: float) -> Skin | None:
    """Return the skin of a weathered round footing, a quarter for each side of the post.

    Seen from the axis a side of the post and the part of the hole's edge behind it fill one angle.
    The post's upright sides cut the cone in hyperbolas.
    """
    turning = _Turning(SkinMaker(), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0))
    maker, tip = turning.maker, footing.cone_height
    foot, top = (
        [
            maker.corner(spot)
            for spot in turning.rectangle(footing.post_width, footing.post_depth, z)
        ]
        for z in (-footing.embedment, footing.weathering)
    )
    around = Cylinder((0.0, 0.0, 0.0), turning.axis, radius)
    cone = Cone((0.0, 0.0, 0.0), (0.0, 0.0, -1.0), radius, math.atan(radius / tip))
    halves = (footing.post_width / 2.0, footing.post_depth / 2.0)
    lower: Loop = ()
    floor: Loop = ()
    for side, (nx, ny) in enumerate(((0.0, -1.0), (1.0, 0.0), (0.0, 1.0), (-1.0, 0.0))):
        after = (side + 1) % 4
        away, half = halves if nx else halves[::-1]
        angle, middle = math.atan2(half, away), math.atan2(ny, nx)
        parts = chords(radius, 2.0 * angle)
        low, high = (
            turning.arc(radius, z, (middle - angle, middle + angle), parts)
            for z in (-footing.depth, 0.0)
        )
        ends = [
            (maker.edges[edge[0] - 1].start, maker.edges[edge[0] - 1].end) for edge in (low, high)
        ]
        curve = HyperbolaArc(
            (away * nx, away * ny, tip), (0.0, 0.0, -tip * away / radius),
            (-away * ny, away * nx, 0.0), -angle, angle, parts,
        )  # fmt: skip
        edge = maker.curve(curve, top[side], top[after])
        rise = [maker.line(a, b) for a, b in zip(*ends, strict=True)]
        slope = [maker.line(ends[1][0], top[side]), maker.line(ends[1][1], top[after])]
        drop = [maker.line(top[side], foot[side]), maker.line(top[after], foot[after])]
        base = maker.line(foot[side], foot[after])
        maker.face(around, (*low, *rise[1], *back(high), *back(rise[0])))
        maker.face(cone, (*high, *slope[1], *back(edge), *back(slope[0])))
        maker.face(Flat((-nx, -ny, 0.0)), (*edge, *drop[1], *back(base), *back(drop[0])))
        lower, floor = (*lower, *low), (*floor, *base)
    if footing.bed > 0.0:
        turning.up(floor)
        turning.down(lower)
    else:
        turning.down(lower, floor)
    return maker.skin()
