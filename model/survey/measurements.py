"""What may be measured between points: kinds, what each would be, and how it hangs on places."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from palewright.model.basis.errors import PalewrightError

Coordinate = tuple[str, str]
"""A point's name, and "x", "y" or "z"; a set-up of the level has "i", its line of sight."""


class AdjustmentError(PalewrightError):
    """Measurements that fix no figure."""


@dataclass(frozen=True)
class Distance:
    """A level distance between two points, mm."""

    a: str
    b: str
    value: float
    sigma: float


@dataclass(frozen=True)
class Angle:
    """The angle at a point from one to another, radians clockwise; sigma : radians."""

    at: str
    back: str
    fore: str
    value: float
    sigma: float


@dataclass(frozen=True)
class Bearing:
    """The direction from a to b, radians clockwise from north; sigma : radians."""

    a: str
    b: str
    value: float
    sigma: float


@dataclass(frozen=True)
class Along:
    """How far along the line from a to b the foot of a point is, mm from a."""

    point: str
    a: str
    b: str
    value: float
    sigma: float


@dataclass(frozen=True)
class Offset:
    """How far a point is from the line from a to b, mm, to its left positive."""

    point: str
    a: str
    b: str
    value: float
    sigma: float


@dataclass(frozen=True)
class Rise:
    """How much higher b is than a, mm."""

    a: str
    b: str
    value: float
    sigma: float


@dataclass(frozen=True)
class Reading:
    """What a staff on a point reads at a set-up of the level, mm."""

    setup: str
    point: str
    value: float
    sigma: float


Measurement = Distance | Angle | Bearing | Offset | Along | Rise | Reading


def names_of(one: Measurement) -> tuple[str, ...]:
    """Return the points that a measurement is between; set-ups of the level are none."""
    match one:
        case Distance(a, b) | Rise(a, b) | Bearing(a, b):
            return a, b
        case Offset(point, a, b) | Along(point, a, b):
            return point, a, b
        case Angle(at, back, fore):
            return at, back, fore
        case Reading(point=point):
            return (point,)


def worked(
    one: Measurement, places: Mapping[Coordinate, float]
) -> tuple[float, dict[Coordinate, float]]:
    """Return what a measurement would be, and its slopes by the coordinates in it."""
    match one:
        case Rise(a, b):
            return places[b, "z"] - places[a, "z"], {(a, "z"): -1.0, (b, "z"): 1.0}
        case Reading(setup, point):
            height = places[setup, "i"] - places[point, "z"]
            return height, {(setup, "i"): 1.0, (point, "z"): -1.0}
        case Distance(a, b):
            dx, dy, length = _apart(places, a, b)
            ex, ey = dx / length, dy / length
            return length, {(a, "x"): -ex, (a, "y"): -ey, (b, "x"): ex, (b, "y"): ey}
        case Offset(point, a, b):
            dx, dy, length = _apart(places, a, b)
            nx, ny = -dy / length, dx / length
            px, py = places[point, "x"] - places[a, "x"], places[point, "y"] - places[a, "y"]
            share = (px * dx + py * dy) / length**2
            return nx * px + ny * py, {
                (point, "x"): nx, (point, "y"): ny,
                (a, "x"): -(1.0 - share) * nx, (a, "y"): -(1.0 - share) * ny,
                (b, "x"): -share * nx, (b, "y"): -share * ny,
            }  # fmt: skip
        case Along(point, a, b):
            dx, dy, length = _apart(places, a, b)
            ux, uy = dx / length, dy / length
            px, py = places[point, "x"] - places[a, "x"], places[point, "y"] - places[a, "y"]
            off = (ux * py - uy * px) / length  # how the foot swings with the far end
            return ux * px + uy * py, {
                (point, "x"): ux, (point, "y"): uy,
                (a, "x"): -ux + uy * off, (a, "y"): -uy - ux * off,
                (b, "x"): -uy * off, (b, "y"): ux * off,
            }  # fmt: skip
        case Bearing(a, b):
            dx, dy, length = _apart(places, a, b)
            east, north = dy / length**2, -dx / length**2
            return math.atan2(dx, dy) % math.tau, {
                (a, "x"): -east, (a, "y"): -north, (b, "x"): east, (b, "y"): north,
            }  # fmt: skip
        case Angle(at, back, fore):
            slopes: dict[Coordinate, float] = {}
            turn = 0.0
            for end, sign in ((fore, 1.0), (back, -1.0)):
                dx, dy, length = _apart(places, at, end)
                turn += sign * math.atan2(dx, dy)
                east, north = sign * dy / length**2, -sign * dx / length**2
                for key, slope in (((end, "x"), east), ((end, "y"), north),
                                   ((at, "x"), -east), ((at, "y"), -north)):  # fmt: skip
                    slopes[key] = slopes.get(key, 0.0) + slope
            return turn % (2.0 * math.pi), slopes


def _apart(places: Mapping[Coordinate, float], a: str, b: str) -> tuple[float, float, float]:
    dx, dy = places[b, "x"] - places[a, "x"], places[b, "y"] - places[a, "y"]
    length = math.hypot(dx, dy)
    if length < 1e-9:
        raise AdjustmentError(f"{a} and {b} are in one place")
    return dx, dy, length
