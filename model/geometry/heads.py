"""Pale heads: the outline of the top of a pale, and what can be cut from which width.

A head is drawn over the *springing line*, where the straight sides end: x from 0 to the width, y
from 0 up to the rise. `head_top` returns the vertices from the right side over the top to the
left side, which `pale_outline` closes with the straight part of the pale.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

from .frames import Point
from .outlines import Outline

Vertices = tuple[tuple[float, float, float], ...]


class HeadError(ValueError):
    """A head that cannot be cut from the given pale; the text says why."""


@dataclass(frozen=True)
class Square:
    """A square-cut head."""

    def rise(self, width: float) -> float:
        """Height of the head over the springing line, mm."""
        return 0.0


@dataclass(frozen=True)
class Clipped:
    """Both corners cut off straight. across, down : mm, measured along the top and the side."""

    across: float
    down: float

    def rise(self, width: float) -> float:
        """Height of the head over the springing line, mm."""
        return self.down


@dataclass(frozen=True)
class Pointed:
    """Two straight cuts meeting in the middle. height : mm; blunt : mm, width of a flat tip."""

    height: float
    blunt: float = 0.0

    def rise(self, width: float) -> float:
        """Height of the head over the springing line, mm."""
        return self.height


@dataclass(frozen=True)
class Round:
    """A half circle over the whole width."""

    def rise(self, width: float) -> float:
        """Height of the head over the springing line, mm."""
        return width / 2.0


@dataclass(frozen=True)
class Segmental:
    """A flat arc over the whole width. height : mm, less than half the width."""

    height: float

    def rise(self, width: float) -> float:
        """Height of the head over the springing line, mm."""
        return self.height


@dataclass(frozen=True)
class PointedArch:
    """Two arcs that leave the sides without a kink and meet in a point. height : mm."""

    height: float

    def rise(self, width: float) -> float:
        """Height of the head over the springing line, mm."""
        return self.height


@dataclass(frozen=True)
class Ogee:
    """Two S-curves, hollow above and full below, meeting in a point. height : mm."""

    height: float

    def rise(self, width: float) -> float:
        """Height of the head over the springing line, mm."""
        return self.height


@dataclass(frozen=True)
class Free:
    """A head through given points. points : mm, from the left side (x = 0) to the right side."""

    points: tuple[Point, ...]

    def rise(self, width: float) -> float:
        """Height of the head over the springing line, mm."""
        return max(y for _, y in self.points)


Head = Square | Clipped | Pointed | Round | Segmental | PointedArch | Ogee | Free


def head_top(head: Head, width: float) -> Vertices:
    """Return the outline of `head` on a pale of `width`, from the right side to the left.

    Parameters
    ----------
    head : Head
        What to cut.
    width : float
        Of the pale, mm.

    Returns
    -------
    tuple of (x, y, bulge), mm, y measured from the springing line

    Raises
    ------
    HeadError
        When the head cannot be cut from a pale of that width.

    Notes
    -----
    Pointed arch with rise h over half-width b: the arcs are centred on the springing line, so
    r = (h^2 + b^2) / (2 b). Ogee of two equal radii: the upper centre lies level with the tip
    and the centres are 2 r apart, so r = (h^2 + b^2) / (4 b); the curve turns over at half
    height and half of the half-width. Both follow from the right triangle of centre, springing
    and tip.
    """
    half = width / 2.0
    match head:
        case Square():
            return (width, 0.0, 0.0), (0.0, 0.0, 0.0)
        case Clipped(across, down):
            _check(across > 0 and down > 0, "both sides of the clip must be more than 0")
            _check(
                across < half,
                f"clips of {across:g} mm leave no flat on a pale {width:g} mm wide "
                f"(each must be less than {half:g} mm across)",
            )
            return (
                (width, 0.0, 0.0),
                (width - across, down, 0.0),
                (across, down, 0.0),
                (
                    0.0,
                    0.0,
                    0.0,
                ),
            )
        case Pointed(height, blunt):
            _check(height > 0, "the height must be more than 0")
            _check(
                0 <= blunt < width,
                f"a tip {blunt:g} mm wide does not fit a pale {width:g} mm wide",
            )
            if blunt == 0:
                return (width, 0.0, 0.0), (half, height, 0.0), (0.0, 0.0, 0.0)
            right, left = half + blunt / 2.0, half - blunt / 2.0
            return (width, 0.0, 0.0), (right, height, 0.0), (left, height, 0.0), (0.0, 0.0, 0.0)
        case Round():
            return (width, 0.0, 1.0), (0.0, 0.0, 0.0)
        case Segmental(height):
            _check(
                0 < height < half,
                f"a segmental head rises more than 0 and less than half the width ({half:g} mm); "
                "for exactly half use 'round'",
            )
            return (width, 0.0, height / half), (0.0, 0.0, 0.0)
        case PointedArch(height):
            _check(
                height > half,
                f"a pointed arch rises more than half the width ({half:g} mm); "
                "for exactly half use 'round'",
            )
            radius = (height**2 + half**2) / (2.0 * half)
            bulge = math.tan(math.atan2(height, radius - half) / 4.0)
            return (width, 0.0, bulge), (half, height, bulge), (0.0, 0.0, 0.0)
        case Ogee(height):
            _check(
                height >= half,
                f"an ogee rises at least half the width ({half:g} mm), or its lower curve "
                "would dip before it turns",
            )
            radius = (height**2 + half**2) / (4.0 * half)
            turn = math.atan2(height / 2.0, radius - half / 2.0)
            bulge = math.tan(turn / 4.0)
            return (
                (width, 0.0, bulge),
                (width * 0.75, height / 2.0, -bulge),
                (half, height, -bulge),
                (width * 0.25, height / 2.0, bulge),
                (0.0, 0.0, 0.0),
            )
        case Free(points):
            return _free_top(points, width)


def pale_outline(head: Head, width: float, length: float) -> Outline:
    """Return the whole outline of a pale, centred on x = 0, foot at y = 0.

    Parameters
    ----------
    head : Head
        What to cut.
    width, length : float
        Of the pale, mm; the length includes the head.

    Raises
    ------
    HeadError
        When the head cannot be cut from that width, or is taller than the pale is long.

    Examples
    --------
    >>> pale_outline(Clipped(30, 30), 100, 1000).area
    99100.0
    """
    top = head_top(head, width)
    rise = head.rise(width)
    _check(
        rise < length,
        f"the head is {rise:g} mm high and the pale only {length:g} mm long",
    )
    spring = length - rise
    half = width / 2.0
    foot = ((-half, 0.0, 0.0), (half, 0.0, 0.0))
    loop = (*foot, *((x - half, y + spring, bulge) for x, y, bulge in top))
    return Outline(loop)


def _free_top(points: tuple[Point, ...], width: float) -> Vertices:
    _check(len(points) >= 2, "a free head needs two points or more")
    _check(
        points[0][0] == 0.0 and abs(points[-1][0] - width) < 1e-9,
        f"the points run from x = 0 to x = the width of the pale ({width:g} mm)",
    )
    _check(
        all(0.0 <= x <= width and y >= 0.0 for x, y in points),
        f"every point lies within the pale: x from 0 to {width:g} mm, y not below 0",
    )
    loop = [(0.0, -1.0), *points, (width, -1.0)]
    _check(not _crosses_itself(loop), "the outline touches or crosses itself")
    tail = [] if points[-1][1] == 0.0 else [(width, 0.0)]
    lead = [] if points[0][1] == 0.0 else [(0.0, 0.0)]
    return tuple((x, y, 0.0) for x, y in [*tail, *reversed(points), *lead])


def _crosses_itself(path: list[Point]) -> bool:
    import shapely  # only free outlines need it

    repeated = any(a == b for a, b in itertools.pairwise(path))
    return repeated or not shapely.LinearRing(path).is_simple


def _check(holds: bool, message: str) -> None:
    if not holds:
        raise HeadError(message)
