"""Contours of a surface: where it has a level, from edge to edge of its triangles."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from palewright.model.geometry.frames import Point

from .surface import Surface

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

STEPS = (1.0, 2.0, 5.0)
"""Heights between contours are these by powers of ten."""

MIDDLE = (2.0, 98.0)
"""Per cent of the levels from where to where contours are fitted to."""

WANTED = 20
"""Contours over a surface are about as many, or fewer."""

FOOT = 304.8

LEAST_STEP = 50.0
"""Levels are not measured finer, mm (common practice, no source)."""

MOST_CONTOURS = 400
"""Levels at which contours are drawn."""

INDEX = 5
"""Every so many contours one is thick and has its level written."""


@dataclass(frozen=True)
class Contour:
    """A line of one level. level, points : mm; closed : whether it comes round again; index :
    whether it is one of every fifth.
    """

    level: float
    points: tuple[Point, ...]
    closed: bool
    index: bool


def contour_step(low: float, high: float, *, feet: bool = False) -> float:
    """Return the height from contour to contour that suits ground between two levels, mm.

    feet : in whole or half feet.

    >>> contour_step(0.0, 900.0), contour_step(0.0, 12_000.0), contour_step(5.0, 5.0)
    (50.0, 1000.0, 50.0)
    >>> contour_step(0.0, 900.0, feet=True)
    152.4
    """
    unit, finest = (FOOT, FOOT / 2.0) if feet else (1.0, LEAST_STEP)
    least = max((high - low) / WANTED, finest) / unit
    power = 10.0 ** math.floor(math.log10(least))
    sizes = (power * step for step in (*STEPS, 10.0))
    return unit * next(size for size in sizes if size >= least * (1.0 - 1e-9))


def suited_step(surface: Surface, *, feet: bool = False) -> float:
    """Return the height from contour to contour that suits a surface but for its few highest and
    lowest levels, mm. feet : in whole or half feet.
    """
    import numpy as np

    levels = surface.xyz[np.unique(surface.corners)][:, 2]
    low, high = np.percentile(levels, MIDDLE)
    return contour_step(float(low), float(high), feet=feet)


def contours(surface: Surface, step: float, base: float = 0.0) -> tuple[Contour, ...]:
    """Return the contours of a surface at whole steps of level, lowest first.

    step : mm; none where it is 0, and wider where there would be too many; base : level of the
    site that is 0 in the surface, mm.
    """
    import numpy as np

    if step <= 0.0 or not surface.triangles:
        return ()
    levels = surface.xyz[:, 2][np.unique(surface.corners)] + base
    low, high = float(levels.min()), float(levels.max())
    while (high - low) / step > MOST_CONTOURS:
        step *= 10.0
    found: list[Contour] = []
    for number in range(math.ceil(low / step), math.floor(high / step) + 1):
        level = number * step
        for points, closed in _at_level(surface, level - base):
            found.append(Contour(level, points, closed, number % INDEX == 0))
    return tuple(found)


def _at_level(surface: Surface, level: float) -> Iterator[tuple[tuple[Point, ...], bool]]:
    """Yield the lines of one level, with whether each closes; higher ground is on its left."""
    import numpy as np

    xyz, corners = surface.xyz, surface.corners
    up = xyz[:, 2] >= level
    count = up[corners].sum(axis=1)
    crossed = corners[(count == 1) | (count == 2)]
    following: dict[tuple[int, int], tuple[int, int]] = {}
    for triangle in crossed.tolist():
        leaves = enters = (0, 0)
        for a, b in zip(triangle, (*triangle[1:], triangle[0]), strict=True):
            if up[a] and not up[b]:
                enters = (a, b)
            elif up[b] and not up[a]:
                leaves = (b, a)
        following[enters] = leaves
    # lines with ends first, from where nothing leads to
    starts = sorted(set(following) - set(following.values()))
    for start in [*starts, *sorted(following)]:
        if start not in following:
            continue
        chain = [start]
        while (edge := following.pop(chain[-1], None)) is not None:
            chain.append(edge)
            if edge == start:
                break
        points = _places(xyz, np.array(chain), level)
        closed = chain[-1] == start and len(chain) > 1
        if len(points) > 1:
            yield points, closed


def _places(xyz: NDArray[np.float64], edges: NDArray[np.int64], level: float) -> tuple[Point, ...]:
    """Return where edges (n, 2) have a level, those at one place once."""
    a, b = xyz[edges[:, 0]], xyz[edges[:, 1]]
    share = ((level - a[:, 2]) / (b[:, 2] - a[:, 2]))[:, None]
    at = a[:, :2] + share * (b[:, :2] - a[:, :2])
    points: list[Point] = []
    for x, y in at.tolist():
        if not points or math.dist(points[-1], (x, y)) > 1e-3:
            points.append((x, y))
    return tuple(points)
