"""Things on the site, and the places along a line that they keep free of posts."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from palewright.model.geometry.frames import Point

from .site_line import Leg

if TYPE_CHECKING:
    from shapely import Geometry

Points = NDArray[np.float64]

SOLID = ("house", "wall", "kerb", "road", "path", "manhole", "pipe", "cable", "tree")
"""Kinds in which no hole is dug, whether or not a width to keep clear is given."""

SERVICES = ("pipe", "cable")
"""Kinds that lie in the ground and can hurt who digs there."""


@dataclass(frozen=True)
class Feature:
    """A thing on the site about the job's origin.

    kind, name : as in the spec; points : of its line, or of its middle, mm; closed : whether the
    line closes round an area; width : across the line or what is round, clear : from its edge to
    the nearest hole, None where nobody said, height : over the ground, mm; level : of a benchmark
    in the model, mm, or None; goes : whether it is taken down; place : where in the spec;
    land : "site" or "other", of a boundary that is the edge of an applicant's land, else empty.
    """

    kind: str
    name: str
    points: tuple[Point, ...]
    closed: bool
    width: float
    clear: float | None
    height: float
    level: float | None
    goes: bool
    place: int
    land: str = ""

    @property
    def called(self) -> str:
        """Its name, or what it is."""
        return self.name or self.kind

    @cached_property
    def bounds(self) -> tuple[float, float, float, float]:
        """Least east and north, greatest east and north of what it keeps free, mm."""
        xs, ys = zip(*self.points, strict=True)
        reach = self.reach
        return min(xs) - reach, min(ys) - reach, max(xs) + reach, max(ys) + reach

    @cached_property
    def side_arrays(self) -> tuple[Points, Points]:
        """Where the parts of its line start and end, (n, 2) each, mm."""
        sides = np.array(self.sides, dtype=np.float64)
        return sides[:, 0], sides[:, 1]

    @property
    def sides(self) -> tuple[tuple[Point, Point], ...]:
        """The parts of its line; of a point one without length."""
        if len(self.points) == 1:
            return ((self.points[0], self.points[0]),)
        ends = (*self.points[1:], self.points[0]) if self.closed else self.points[1:]
        return tuple(zip(self.points, ends, strict=False))

    def crossings(self, leg: Leg) -> list[float]:
        """Return where its line crosses a leg, x from the leg's start, mm; its end not counted."""
        starts, ends = (_in_leg(points, leg) for points in self.side_arrays)
        over = np.flatnonzero((starts[:, 1] > 0.0) != (ends[:, 1] > 0.0))
        ax, ay = starts[over].T
        bx, by = ends[over].T
        xs = (ax + (bx - ax) * ay / (ay - by)).tolist()
        return [x for x in xs if 0.0 <= x < leg.length]

    @property
    def keeps_clear(self) -> bool:
        """Whether no hole may be dug in it or near it."""
        return not self.goes and (self.clear is not None or self.kind in SOLID)

    @property
    def reach(self) -> float:
        """From the middle of its line to where a hole may begin, mm."""
        return self.width / 2.0 + (self.clear or 0.0)


@dataclass(frozen=True)
class Footprint:
    """What a post takes up in plan, about its middle. radius : of a round hole; along, across :
    half of a square one, mm.
    """

    radius: float
    along: float
    across: float


def bounds_of(features: Sequence[Feature]) -> Points:
    """Return the bounds of what features keep free, (n, 4), mm."""
    return np.array([feature.bounds for feature in features], dtype=np.float64).reshape(-1, 4)


def bounds_near(bounds: Points, box: tuple[float, float, float, float], away: float) -> list[int]:
    """Return the numbers of the bounds that come nearer to a box than a distance, mm."""
    x0, y0, x1, y1 = box
    near = (bounds[:, 0] <= x1 + away) & (bounds[:, 2] >= x0 - away)
    near &= (bounds[:, 1] <= y1 + away) & (bounds[:, 3] >= y0 - away)
    return [int(number) for number in np.flatnonzero(near)]


def leg_box(leg: Leg) -> tuple[float, float, float, float]:
    """Return the bounds of a leg, mm."""
    (ax, ay, _), (bx, by, _) = leg.start, leg.end
    return min(ax, bx), min(ay, by), max(ax, bx), max(ay, by)


def kept_free(feature: Feature, leg: Leg, hole: Footprint) -> Iterator[Point]:
    """Yield the open intervals of x on a leg in which a hole would come too near a feature, mm."""
    reach = feature.reach + hole.radius
    starts, ends = (_in_leg(points, leg) for points in feature.side_arrays)
    ys, xs = (np.stack((starts[:, axis], ends[:, axis])) for axis in (1, 0))
    far, past = reach + hole.across, reach + hole.along
    near = (ys.min(0) < far) & (ys.max(0) > -far)
    near &= (xs.max(0) > -past) & (xs.min(0) < leg.length + past)
    for number in np.flatnonzero(near):
        (ax, ay), (bx, by) = starts[number].tolist(), ends[number].tolist()
        spread = _within((ax, ay), (bx, by), reach, hole.across)
        if spread is not None:
            yield spread[0] - hole.along, spread[1] + hole.along
    if feature.closed:
        over = np.flatnonzero((ys[0] > 0.0) != (ys[1] > 0.0))
        share = ys[0, over] / (ys[0, over] - ys[1, over])
        crossings = np.sort(xs[0, over] + (xs[1, over] - xs[0, over]) * share).tolist()
        yield from zip(crossings[::2], crossings[1::2], strict=True)


def _in_leg(points: Points, leg: Leg) -> Points:
    """Return places (n, 2) in plan in a leg's own x and y, mm."""
    frame = leg.frame
    axes = np.array([frame.x[:2], frame.y[:2]])
    return np.asarray((points - np.array(leg.start[:2])) @ axes.T)


def _within(a: Point, b: Point, reach: float, across: float) -> Point | None:
    """Return the smallest and largest x, within `across` of y = 0, that is nearer than `reach` to
    the straight from a to b; None where there is none.

    What is so near is two discs and the band between them, which together are convex.
    """
    xs: list[float] = []
    for x, y in (a, b):
        off = abs(y - min(max(y, -across), across))
        if off < reach:
            half = math.sqrt(reach * reach - off * off)
            xs += (x - half, x + half)
    length = math.dist(a, b)
    if length > 0.0:
        nx, ny = -(b[1] - a[1]) / length * reach, (b[0] - a[0]) / length * reach
        band = [
            (a[0] + nx, a[1] + ny),
            (b[0] + nx, b[1] + ny),
            (b[0] - nx, b[1] - ny),
            (a[0] - nx, a[1] - ny),
        ]
        for (px, py), (qx, qy) in itertools.pairwise([*band, band[0]]):
            xs += (x for x, y in ((px, py),) if abs(y) <= across)
            for edge in {-across, across}:
                if (py > edge) != (qy > edge):
                    xs.append(px + (qx - px) * (edge - py) / (qy - py))
    if not xs or max(xs) - min(xs) <= 0.0:
        return None
    return min(xs), max(xs)


def shape_of(feature: Feature) -> Geometry:
    """Return a feature in plan without its width: a point, a line or an area."""
    import shapely  # only sites with features ask

    if len(feature.points) == 1:
        return shapely.Point(feature.points[0])
    if feature.closed and len(feature.points) > 2:
        return shapely.Polygon(feature.points)
    return shapely.LineString(feature.points)
