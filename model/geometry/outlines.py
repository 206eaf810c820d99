"""Plane outlines of lines and arcs, and frames that place things in space.

An outline is a closed loop of vertices, anticlockwise, each with a *bulge* for the edge that
leaves it: the tangent of a quarter of the arc's included angle, 0 for a straight edge, positive
when the arc turns anticlockwise. That is how DXF polylines carry arcs (DXF reference, LWPOLYLINE
group code 42), so an arc stays an arc in every output.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from .frames import Point


@dataclass(frozen=True)
class Edge:
    """One edge of an outline. start, end : mm; bulge : tan(included angle / 4)."""

    start: Point
    end: Point
    bulge: float

    @property
    def chord(self) -> float:
        """Distance from start to end, mm."""
        return math.dist(self.start, self.end)

    @property
    def angle(self) -> float:
        """Included angle of the arc, radians, signed; 0 when straight."""
        return 4.0 * math.atan(self.bulge)

    @property
    def radius(self) -> float:
        """Radius of the arc, mm; infinite when straight."""
        if self.bulge == 0.0:
            return math.inf
        return self.chord / (2.0 * abs(math.sin(self.angle / 2.0)))

    @property
    def middle(self) -> Point:
        """The point half-way along the edge, mm."""
        (x0, y0), (x1, y1) = self.start, self.end
        # to the right of the direction of travel an anticlockwise arc swells outwards
        return (
            (x0 + x1) / 2.0 + (y1 - y0) * self.bulge / 2.0,
            (y0 + y1) / 2.0 - (x1 - x0) * self.bulge / 2.0,
        )

    @property
    def centre(self) -> Point:
        """Centre of the arc, mm. Only for edges with a bulge."""
        (x0, y0), (x1, y1) = self.start, self.end
        factor = (1.0 / self.bulge - self.bulge) / 4.0
        return (x0 + x1) / 2.0 - (y1 - y0) * factor, (y0 + y1) / 2.0 + (x1 - x0) * factor

    def segment_area(self) -> float:
        """Area between arc and chord, mm2, positive when the arc swells to the right."""
        if self.bulge == 0.0:
            return 0.0
        angle = self.angle
        return self.radius**2 * (angle - math.sin(angle)) / 2.0

    def points(self, tolerance: float) -> Iterator[Point]:
        """Yield points along the edge, without its end, no farther off the arc than `tolerance`.

        tolerance : float, mm, the largest distance between arc and chord.
        """
        yield self.start
        if self.bulge == 0.0:
            return
        radius, angle = self.radius, self.angle
        step = 2.0 * math.acos(max(-1.0, 1.0 - tolerance / radius))
        count = max(1, math.ceil(abs(angle) / step - 1e-9))
        cx, cy = self.centre
        first = math.atan2(self.start[1] - cy, self.start[0] - cx)
        for number in range(1, count):
            turn = first + angle * number / count
            yield cx + radius * math.cos(turn), cy + radius * math.sin(turn)

    def moment_beyond(self, x: float) -> float:
        """Return the integral of (X - x)^2 / 2 dY along the part of the edge beyond x."""
        (x0, y0), (x1, y1) = self.start, self.end
        if self.bulge == 0.0:
            a, b = x0 - x, x1 - x
            if a <= 0.0 and b <= 0.0:
                return 0.0
            if a == b:
                return a * a / 2.0 * (y1 - y0)
            low, high = max(a, 0.0), max(b, 0.0)
            return (high**3 - low**3) / 6.0 * (y1 - y0) / (b - a)
        (cx, _), r = self.centre, self.radius
        first = math.atan2(y0 - self.centre[1], x0 - cx)
        d = cx - x

        def primitive(t: float) -> float:
            # of (d + r cos t)^2 / 2 * r cos t
            sin, cos = math.sin(t), math.cos(t)
            return r / 2.0 * (d * d * sin + d * r * (t + sin * cos) + r * r * (sin - sin**3 / 3.0))

        cuts = [0.0, self.angle]
        if abs(d) < r:
            turn = math.acos(-d / r)  # where the arc's circle crosses x
            for crossing in (turn, -turn):
                for lap in (-1, 0, 1, 2):
                    t = crossing + lap * math.tau - first
                    if 0.0 < t / self.angle < 1.0:
                        cuts.append(t)
        cuts.sort(key=abs)
        total = 0.0
        for a, b in itertools.pairwise(cuts):
            if d + r * math.cos(first + (a + b) / 2.0) > 0.0:
                total += primitive(first + b) - primitive(first + a)
        return total


@dataclass(frozen=True)
class Outline:
    """A closed plane loop. vertices : (x, y, bulge) triples, mm, anticlockwise."""

    vertices: tuple[tuple[float, float, float], ...]

    @staticmethod
    def polygon(points: Iterable[Point]) -> Outline:
        """Return the outline with straight edges through `points`."""
        return Outline(tuple((x, y, 0.0) for x, y in points))

    @staticmethod
    def rectangle(x0: float, y0: float, x1: float, y1: float) -> Outline:
        """Return the rectangle between two opposite corners (lower left, upper right)."""
        return Outline.polygon(((x0, y0), (x1, y0), (x1, y1), (x0, y1)))

    @property
    def edges(self) -> tuple[Edge, ...]:
        """The edges in order, the last one closing the loop."""
        rest = (*self.vertices[1:], self.vertices[0])
        return tuple(
            Edge((x0, y0), (x1, y1), bulge)
            for (x0, y0, bulge), (x1, y1, _) in zip(self.vertices, rest, strict=True)
        )

    @property
    def area(self) -> float:
        """Enclosed area, mm2, exact for arcs; positive when anticlockwise."""
        total = 0.0
        for edge in self.edges:
            (x0, y0), (x1, y1) = edge.start, edge.end
            total += (x0 * y1 - x1 * y0) / 2.0 + edge.segment_area()
        return total

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """Smallest x, smallest y, largest x and largest y, mm, arcs included."""
        xs, ys = [], []
        for edge in self.edges:
            xs.append(edge.start[0])
            ys.append(edge.start[1])
            if edge.bulge:
                (cx, cy), radius = edge.centre, edge.radius
                first = math.atan2(edge.start[1] - cy, edge.start[0] - cx)
                for quarter in range(-8, 9):
                    turn = quarter * math.pi / 2.0 - first
                    if 0.0 < turn / edge.angle < 1.0:
                        xs.append(cx + radius * math.cos(turn + first))
                        ys.append(cy + radius * math.sin(turn + first))
        return min(xs), min(ys), max(xs), max(ys)

    def flatten(self, tolerance: float = 0.01) -> tuple[Point, ...]:
        """Return the loop as points, arcs replaced by chords within `tolerance` (mm)."""
        return tuple(point for edge in self.edges for point in edge.points(tolerance))

    def moment_beyond(self, x: float) -> float:
        """Return the first moment of the area beyond x about the upright line there, mm3.

        By Green's theorem the integral of (X - x) over that area is that of (X - x)^2 / 2 along
        its boundary in y, to which the line itself adds nothing.
        """
        return math.fsum(edge.moment_beyond(x) for edge in self.edges)

    def moved(self, dx: float, dy: float) -> Outline:
        """Return this outline shifted by (dx, dy) mm."""
        return Outline(tuple((x + dx, y + dy, bulge) for x, y, bulge in self.vertices))

    def mirrored(self) -> Outline:
        """Return this outline turned over about the y axis, still anticlockwise."""
        count = len(self.vertices)
        flipped = []
        for number in range(count - 1, -1, -1):
            x, y, _ = self.vertices[number]
            flipped.append((-x, y, self.vertices[number - 1][2]))
        return Outline(tuple(flipped))


def polygon_area(points: Iterable[Point]) -> float:
    """Return the signed area of a polygon, mm2, positive when anticlockwise."""
    return Outline.polygon(points).area


def polygon_centroid(points: tuple[Point, ...]) -> Point:
    """Return the centroid of a polygon, mm."""
    area = polygon_area(points)
    sx = sy = 0.0
    for (x0, y0), (x1, y1) in zip(points, (*points[1:], points[0]), strict=True):
        weight = x0 * y1 - x1 * y0
        sx += (x0 + x1) * weight
        sy += (y0 + y1) * weight
    return sx / (6.0 * area), sy / (6.0 * area)
