"""Which shots of a surveyed line are on straights and which on arcs: the fewest pieces.

Breaks stand at shots, and a dynamic programme finds the cheapest sequence of windows (the idea:
Gribov, arXiv 1811.05659), in time by the number of shots times the longest window.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

LONGEST_STRAIGHT, LONGEST_ARC = 1000, 200
"""Most shots in the window of one piece; longer ones are put together afterwards."""

STRAIGHTS_FOR_ARC = 3
"""What so many straights do for is no arc: straights with slight bends stay straights."""

ROOM = 0.75
"""Share of the tolerance that an arc may use while the ends of it are not yet tied down."""

NONE = 1 << 40
"""Pieces of a way that there is not."""

BATCH = 16
"""Windows of arcs that are looked at together."""


@dataclass(frozen=True)
class ArcLimits:
    """What counts as shots along a curve.

    points : fewest shots on an arc, 0 for no arcs; apart : most between neighbouring shots, mm;
    turn : most at a shot, degrees; radius : largest, mm.
    """

    points: int = 5
    apart: float = 10_000.0
    turn: float = 25.0
    radius: float = 500_000.0


@dataclass(frozen=True)
class ShotSpan:
    """Shots on one piece, from the number first to last, both in it; whether that is an arc."""

    first: int
    last: int
    arc: bool


def shot_spans(shots: Array, tolerance: float, limits: ArcLimits) -> tuple[ShotSpan, ...]:
    """Return the fewest pieces that shots are on, each within the tolerance.

    Parameters
    ----------
    shots : (n, 2) float, mm
        In their order, near the origin, no neighbours in one place.
    tolerance : float, mm
        Farthest that a shot may lie off its piece.
    limits : ArcLimits
        What may be an arc.
    """
    gaps = np.hypot(*np.diff(shots, axis=0).T)
    lines = [_straights(shots, first, tolerance) for first in range(len(shots) - 1)]
    straight = _seen(lines)
    best = _Best(len(shots), 4.0 * tolerance**2)
    for first, found in enumerate(lines):
        best.take(first, False, *found)
        arcs = _arcs(shots, gaps, first, tolerance, limits)
        if arcs is not None:
            bent = arcs[0] > straight[first]
            best.take(first, True, arcs[0][bent], arcs[1][bent])
    return tuple(_together(shots, best.way(), tolerance, limits))


def _seen(lines: list[tuple[Any, Array]]) -> list[int]:
    """Return for each shot the last one that few straights lead to."""
    farthest = [int(ends[-1]) for ends, _ in lines]
    farthest.append(len(lines))
    result = list(range(len(farthest)))
    for _ in range(STRAIGHTS_FOR_ARC):
        result = [farthest[at] for at in result]
    return result


class _Best:
    """The cheapest way to each shot, by the kind of its last piece: pieces, arcs, squares.

    A piece starts at the shot where another ends, or where one of them is an arc at the next:
    they touch somewhere between. Of equal ones those that share a shot are taken.
    """

    def __init__(self, count: int, between: float) -> None:
        self.pieces = np.full((2, count), NONE)
        self.arcs = np.zeros((2, count), np.int64)
        self.squares = np.zeros((2, count))
        self.before = np.zeros((2, count, 3), np.int64)  # first shot, last one before, its kind
        self.pieces[0, 0] = 0
        self.between = between

    def take(self, first: int, arc: bool, ends: Any, squares: Array) -> None:
        """Try pieces of a kind from a shot to ends."""
        kind = int(arc)
        start = min(
            (int(self.pieces[old, at]), int(self.arcs[old, at]),
             float(self.squares[old, at]) + (self.between if at < first else 0.0), at, old)
            for old in (0, 1)
            for at in ((first, first - 1) if first > 1 and (arc or old) else (first,))
        )  # fmt: skip
        if start[0] >= NONE or not len(ends):
            return
        pieces, arcs, total = start[0] + 1, start[1] + kind, start[2] + squares
        same = pieces == self.pieces[kind, ends]
        fewer = same & (arcs < self.arcs[kind, ends])
        nearer = same & (arcs == self.arcs[kind, ends]) & (total < self.squares[kind, ends])
        better = (pieces < self.pieces[kind, ends]) | fewer | nearer
        won = ends[better]
        self.pieces[kind, won], self.arcs[kind, won] = pieces, arcs
        self.squares[kind, won] = total[better]
        self.before[kind, won] = first, start[3], start[4]

    def way(self) -> list[ShotSpan]:
        """Return the pieces of the cheapest way to the last shot."""
        last = self.pieces.shape[1] - 1
        kind = min(
            (int(self.pieces[k, last]), int(self.arcs[k, last]), float(self.squares[k, last]), k)
            for k in (0, 1)
        )[3]
        result = []
        while last > 0:
            first, other, old = self.before[kind, last].tolist()
            result.append(ShotSpan(first, last, bool(kind)))
            last, kind = other, old
        return result[::-1]


def _straights(shots: Array, first: int, tolerance: float) -> tuple[Any, Array]:
    """Return where straights from a shot may end, and the squares of what lies off them.

    A straight may go to a shot that is seen through all gates of the width of the tolerance.
    """
    x, y = (shots[first + 1 : first + 1 + LONGEST_STRAIGHT] - shots[first]).T
    far = np.maximum(np.hypot(x, y), 1e-9)
    way = np.unwrap(np.arctan2(y, x))
    half = np.where(far > tolerance, np.arcsin(np.minimum(tolerance / far, 1.0)), math.pi)
    left = np.minimum.accumulate(way + half)
    right = np.maximum.accumulate(way - half)
    fits = np.ones(len(x), bool)
    fits[1:] = (way[1:] <= left[:-1]) & (way[1:] >= right[:-1])
    fits &= far >= np.maximum.accumulate(far) - 2.0 * tolerance  # never back again
    ux, uy = x / far, y / far
    squares = uy**2 * np.cumsum(x * x) - 2.0 * ux * uy * np.cumsum(x * y) + ux**2 * np.cumsum(y * y)
    (at,) = np.nonzero(fits)
    return at + first + 1, np.maximum(squares[at], 0.0)


def _arcs(
    shots: Array, gaps: Array, first: int, tolerance: float, limits: ArcLimits
) -> tuple[Any, Array] | None:
    """Return where arcs from a shot may end, and the squares of what lies off them."""
    wide = gaps[first : first + LONGEST_ARC] > limits.apart
    count = int(np.argmax(wide)) if wide.any() else len(wide)
    if count < limits.points - 1:
        return None
    near = shots[first : first + count + 1] - shots[first]
    centres, radii = circles(near)
    ends: list[Any] = []
    squares: list[Array] = []
    for start in range(limits.points - 1, count + 1, BATCH):
        lasts = np.arange(start, min(start + BATCH, count + 1))
        part = near[: lasts[-1] + 1]
        off = np.hypot(*(part[None] - centres[lasts, None]).transpose(2, 0, 1))
        off = np.abs(off - radii[lasts, None])
        off[np.arange(len(part)) > lasts[:, None]] = 0.0
        fits = (off.max(axis=1) <= tolerance * ROOM) & (radii[lasts] <= limits.radius)
        if not fits.any() and ends:
            break
        if not fits.any() and off[0].max() > 4.0 * tolerance:
            break  # what is far off a circle already is no start of an arc
        ends.append(lasts[fits] + first)
        squares.append((off[fits] ** 2).sum(axis=1))
    if not ends:
        return None
    return np.concatenate(ends), np.concatenate(squares)


def circles(shots: Array) -> tuple[Array, Array]:
    """Return centres and radii of the circles through the first 1, 2, 3 ... shots, nearly.

    Least squares of x2 + y2 = 2 a x + 2 b y + c, which is linear in a, b and c. Where shots are
    in one line the radius is infinite.
    """
    x, y = (shots - shots[0]).T
    z = x * x + y * y
    count = np.arange(1.0, len(x) + 1.0)
    mx, my, mz = (np.cumsum(v) / count for v in (x, y, z))
    uu = np.cumsum(x * x) - count * mx * mx
    uv = np.cumsum(x * y) - count * mx * my
    vv = np.cumsum(y * y) - count * my * my
    uz = np.cumsum(x * z) - count * mx * mz
    vz = np.cumsum(y * z) - count * my * mz
    twice = 2.0 * (uu * vv - uv * uv)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        a, b = (uz * vv - vz * uv) / twice, (vz * uu - uz * uv) / twice
        radii = np.sqrt(mz - 2.0 * a * mx - 2.0 * b * my + a * a + b * b)
    flat = ~np.isfinite(radii)
    centres = np.stack([np.where(flat, 0.0, a), np.where(flat, 0.0, b)], axis=1)
    return centres + shots[0], np.where(flat, np.inf, radii)


def _together(
    shots: Array, found: list[ShotSpan], tolerance: float, limits: ArcLimits
) -> list[ShotSpan]:
    """Return pieces, neighbours on one circle as one: windows have a longest."""
    result: list[ShotSpan] = []
    for piece in found:
        last = result[-1] if result else None
        if last is not None and (last.arc or piece.arc):
            part = shots[last.first : piece.last + 1]
            centres, radii = circles(part)
            off = np.abs(np.hypot(*(part - centres[-1]).T) - radii[-1])
            if off.max() <= tolerance * ROOM and radii[-1] <= limits.radius:
                result[-1] = ShotSpan(last.first, piece.last, True)
                continue
        result.append(piece)
    return result
