"""Straight pieces of any section, with a plane cut at each end, and their skins.

A section is an outline of lines and arcs, convex or not: a half-round rail, a steel angle, a round
post. Where a cut is oblique, an arc of the section ends in part of an ellipse.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from .frames import Point, Vector
from .outlines import Edge, Outline
from .section_moments import SectionMoments, section_moments
from .skins import Cylinder, Flat, Loop, Skin, SkinMaker, Surface, Sweep, back, chords, unit

NEAR = 1e-6
"""An arc that swells less than this, mm, is straight, and a piece shorter than this is none."""


@dataclass(frozen=True)
class EndCut:
    """The plane that ends a bar: x = ky y + kz z from the bar's end. ky, kz : slopes."""

    ky: float = 0.0
    kz: float = 0.0

    @property
    def plan_angle(self) -> float:
        """Angle off square, seen from above, degrees."""
        return math.degrees(math.atan(self.ky))

    @property
    def side_angle(self) -> float:
        """Angle off square, seen from the front, degrees."""
        return math.degrees(math.atan(self.kz))

    @property
    def steepness(self) -> float:
        """How fast x grows where it grows the fastest."""
        return math.hypot(self.ky, self.kz)

    def x(self, point: Point) -> float:
        """Return x of the plane at a point of the section, from the bar's end, mm."""
        return self.ky * point[0] + self.kz * point[1]


SQUARE_CUT = EndCut()


@dataclass(frozen=True)
class Prism:
    """A straight piece along x with a section of lines and arcs and a plane cut at each end.

    section : in y and z, anticlockwise seen from +x; length : along the axis y = z = 0, which both
    cuts are measured from. The cuts do not meet within the section (`shortest` > 0).
    """

    section: Outline
    length: float
    left: EndCut = SQUARE_CUT
    right: EndCut = SQUARE_CUT

    def end_x(self, cut: EndCut, at: float, point: Point) -> float:
        """Return x of the cut at a section point; `at` is 0 or the length."""
        return at + cut.x(point)

    @cached_property
    def moments(self) -> SectionMoments:
        """Area, centroid and second moments of the section."""
        return section_moments(self.section)

    @property
    def volume(self) -> float:
        """Volume, mm3: section area times the length through the section's centroid."""
        middle = self.moments.centroid
        return self.moments.area * (self.length + self.right.x(middle) - self.left.x(middle))

    @property
    def overall(self) -> tuple[float, float]:
        """Smallest and largest x, mm."""
        return (
            _reach(self.section, self.left)[0],
            self.length + _reach(self.section, self.right)[1],
        )

    @property
    def shortest(self) -> float:
        """Length where its ends are the nearest to each other, mm."""
        closing = EndCut(self.right.ky - self.left.ky, self.right.kz - self.left.kz)
        return self.length + _reach(self.section, closing)[0]

    @property
    def size(self) -> tuple[float, float, float]:
        """Section height, section thickness and overall length."""
        y0, z0, y1, z1 = self.section.bounds
        low, high = self.overall
        return z1 - z0, y1 - y0, high - low

    def end(self, points: tuple[Point, ...], *, right: bool) -> list[Vector]:
        """Return section points as they lie on one of its ends, mm."""
        cut, at = (self.right, self.length) if right else (self.left, 0.0)
        return [(at + cut.x(point), *point) for point in points]


def prism_points(prism: Prism, tolerance: float) -> list[Vector]:
    """Return points of both ends, arcs by chords within a tolerance, mm."""
    points = prism.section.flatten(tolerance)
    return [*prism.end(points, right=False), *prism.end(points, right=True)]


def prism_facets(prism: Prism, tolerance: float) -> Iterator[tuple[int, tuple[Vector, ...]]]:
    """Yield flat faces, anticlockwise from outside, with the number of the section's edge that
    each is a part of, -1 for the left and -2 for the right end. tolerance : of arcs' chords, mm.
    """
    points = prism.section.flatten(tolerance)
    yield -1, tuple(prism.end(points, right=False)[::-1])
    yield -2, tuple(prism.end(points, right=True))
    for number, edge in enumerate(prism.section.edges):
        own = (*edge.points(tolerance), edge.end)
        left, right = prism.end(own, right=False), prism.end(own, right=True)
        for n in range(len(own) - 1):
            yield number, (left[n], left[n + 1], right[n + 1], right[n])


def prism_skin(prism: Prism) -> Skin | None:
    """Return the skin of a prism, or None where its cuts meet."""
    if prism.shortest < NEAR:
        return None
    maker = SkinMaker()
    steep = max(prism.left.steepness, prism.right.steepness)
    ends: tuple[list[int], list[int]] = ([], [])
    for edge in prism.section.edges:
        near, far = (
            [maker.corner(point) for point in prism.end((edge.start, edge.end), right=right)]
            for right in (False, True)
        )
        if near[0] == near[1]:
            continue
        left, right, surface = _edges(maker, prism, edge, (near, far), steep)
        sides = [maker.line(a, b) for a, b in zip(near, far, strict=True)]
        maker.face(surface, (*left, *sides[1], *back(right), *back(sides[0])))
        ends[0].extend(left)
        ends[1].extend(right)
    maker.face(_flat(prism.left, -1.0), back(tuple(ends[0])))
    maker.face(_flat(prism.right, 1.0), tuple(ends[1]))
    return maker.skin()


def _flat(cut: EndCut, way: float) -> Flat:
    return Flat(unit((way, -way * cut.ky, -way * cut.kz)))


def _edges(
    maker: SkinMaker,
    prism: Prism,
    edge: Edge,
    corners: tuple[list[int], list[int]],
    steep: float,
) -> tuple[Loop, Loop, Surface]:
    """Return an edge of the section on both ends, from its start to its end, and the surface
    between them.
    """
    (a, b), (c, d) = corners
    if abs(edge.bulge) * edge.chord / 2.0 < NEAR:
        (y0, z0), (y1, z1) = edge.start, edge.end
        side = Flat(unit((0.0, z1 - z0, y0 - y1)))
        return maker.line(a, b), maker.line(c, d), side
    parts = chords(edge.radius * math.hypot(1.0, steep), edge.angle)
    left, right = (
        maker.curve(_sweep(edge, cut, at, parts), *ends)
        for cut, at, ends in (
            (prism.left, 0.0, (a, b)),
            (prism.right, prism.length, (c, d)),
        )
    )
    drum = Cylinder((0.0, *edge.centre), (1.0, 0.0, 0.0), edge.radius, edge.bulge > 0.0)
    return left, right, drum


def _sweep(edge: Edge, cut: EndCut, at: float, parts: int) -> Sweep:
    """Return an arc of the section as it lies on a cut.

    Where the plane rises the fastest is one half axis of the ellipse, across it the other.
    """
    sign = math.copysign(1.0, edge.bulge)
    steep, turn = cut.steepness, math.atan2(cut.kz, cut.ky)
    cos, sin = math.cos(turn), math.sin(turn)
    (y, z), r = edge.centre, edge.radius
    start = sign * (math.atan2(edge.start[1] - z, edge.start[0] - y) - turn)
    return Sweep(
        (at + cut.x((y, z)), y, z),
        (r * steep, r * cos, r * sin),
        (0.0, -sign * r * sin, sign * r * cos),
        start,
        start + abs(edge.angle),
        parts,
    )


def _reach(section: Outline, cut: EndCut) -> tuple[float, float]:
    """Return the smallest and the largest x of a plane over a section, mm."""
    found = [cut.x(edge.start) for edge in section.edges]
    turn = math.atan2(cut.kz, cut.ky)
    for edge in section.edges:
        if not edge.bulge:
            continue
        (y, z), r = edge.centre, edge.radius
        first = math.atan2(edge.start[1] - z, edge.start[0] - y)
        for way in range(-4, 5):
            angle = turn + way * math.pi
            if 0.0 < (angle - first) / edge.angle < 1.0:
                found.append(cut.x((y + r * math.cos(angle), z + r * math.sin(angle))))
    return min(found), max(found)
