"""The ground of a surface along a line: a level wherever the line crosses an edge."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from palewright.model.geometry.frames import Point

from .surface import ON, Surface, edges_of

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

HAIR = 1.0
"""Parts of a line off the surface shorter than this are none, mm."""


@dataclass(frozen=True)
class Profile:
    """Ground along a line. knots : (distance, level), mm, where the line crosses or touches an
    edge, and at its points; outside : (from, to), parts of the line that are on no triangle.
    """

    knots: tuple[Point, ...]
    outside: tuple[Point, ...]

    def carried(self, length: float) -> float:
        """Return the share of a line of a length, mm, that is on the surface."""
        return 1.0 - sum(b - a for a, b in self.outside) / length


def profile_along(surface: Surface, points: tuple[Point, ...]) -> Profile:
    """Return the ground of a surface along a line; between the knots it is straight.

    points : of the line, the first again at the end of a ring.
    """
    import numpy as np
    import shapely

    line = np.array(points, dtype=float)
    starts, ways = line[:-1], np.diff(line, axis=0)
    lengths = np.hypot(ways[:, 0], ways[:, 1])
    befores = np.concatenate([[0.0], np.cumsum(lengths)])
    low, high = line.min(axis=0) - 1.0, line.max(axis=0) + 1.0
    chosen = surface.near((low[0], low[1]), (high[0], high[1]))
    if not len(chosen):
        return Profile((), ((0.0, float(befores[-1])),))
    xyz = surface.xyz
    edges = edges_of(chosen, len(xyz))
    legs = shapely.linestrings(np.stack([line[:-1], line[1:]], axis=1))
    tree = shapely.STRtree(shapely.linestrings(xyz[edges][:, :, :2]))
    leg, edge = tree.query(legs, predicate="dwithin", distance=ON)
    ends = xyz[edges[edge]]
    found = [
        _crossings(starts[leg], ways[leg], ends, befores[leg]),
        *(_touches(starts[leg], ways[leg], ends[:, number], befores[leg]) for number in (0, 1)),
        _line_points(surface, line, befores),
    ]
    knots = _one_each(np.concatenate(found))
    return Profile(
        tuple((float(x), float(z)) for x, z in knots),
        _outside(surface, knots[:, 0], line, befores),
    )


def _crossings(
    start: NDArray[np.float64],
    way: NDArray[np.float64],
    ends: NDArray[np.float64],
    before: NDArray[np.float64],
) -> NDArray[np.float64]:
    """Return (distance, level) where legs cross edges (n, 2, 3), parallel ones left out."""
    import numpy as np

    edge = ends[:, 1, :2] - ends[:, 0, :2]
    to = ends[:, 0, :2] - start
    long = np.hypot(way[:, 0], way[:, 1])
    across = way[:, 0] * edge[:, 1] - way[:, 1] * edge[:, 0]
    usable = np.abs(across) > 1e-9 * long * np.hypot(edge[:, 0], edge[:, 1])
    across = np.where(usable, across, 1.0)
    t = (to[:, 0] * edge[:, 1] - to[:, 1] * edge[:, 0]) / across
    s = (to[:, 0] * way[:, 1] - to[:, 1] * way[:, 0]) / across
    usable &= (t >= 0.0) & (t <= 1.0) & (s >= 0.0) & (s <= 1.0)
    level = ends[:, 0, 2] + s * (ends[:, 1, 2] - ends[:, 0, 2])
    crossing: NDArray[np.float64] = np.column_stack([before + t * long, level])[usable]
    return crossing


def _touches(
    start: NDArray[np.float64],
    way: NDArray[np.float64],
    at: NDArray[np.float64],
    before: NDArray[np.float64],
) -> NDArray[np.float64]:
    """Return (distance, level) of the corners (n, 3) that legs go through."""
    import numpy as np

    long = np.hypot(way[:, 0], way[:, 1])
    to = at[:, :2] - start
    along = (to * way).sum(axis=1) / long
    off = np.abs(to[:, 0] * way[:, 1] - to[:, 1] * way[:, 0]) / long
    on = (off <= ON) & (along >= 0.0) & (along <= long)
    touched: NDArray[np.float64] = np.column_stack([before + along, at[:, 2]])[on]
    return touched


def _line_points(
    surface: Surface, line: NDArray[np.float64], befores: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Return (distance, level) at the line's own points, as far as they are on the surface."""
    import numpy as np

    levels = surface.levels_at(line)
    known: NDArray[np.float64] = np.column_stack([befores, levels])[np.isfinite(levels)]
    return known


def _one_each(found: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return levels in order, one at each place."""
    import numpy as np

    found = found[np.lexsort((found[:, 1], found[:, 0]))]
    if not len(found):
        return found
    alone: NDArray[np.float64] = found[_apart(found[:, 0])]
    return alone


def _apart(places: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Tell of places in order which are no repetition of the one before."""
    import numpy as np

    return np.concatenate([[True], np.diff(places) > ON])


def _outside(
    surface: Surface,
    knots: NDArray[np.float64],
    line: NDArray[np.float64],
    befores: NDArray[np.float64],
) -> tuple[Point, ...]:
    """Return the parts of a line whose middles are on no triangle, joined where they meet."""
    import numpy as np

    ticks = np.unique(np.concatenate([befores, knots]))
    ticks = ticks[_apart(ticks)]
    middles = (ticks[:-1] + ticks[1:]) / 2.0
    leg = np.clip(np.searchsorted(befores, middles, side="right") - 1, 0, len(line) - 2)
    share = (middles - befores[leg]) / (befores[leg + 1] - befores[leg])
    places = line[leg] + share[:, None] * (line[leg + 1] - line[leg])
    on = np.isfinite(surface.levels_at(places))
    parts: list[list[float]] = []
    for number in np.flatnonzero(~on):
        a, b = float(ticks[number]), float(ticks[number + 1])
        if parts and a - parts[-1][1] <= ON:
            parts[-1][1] = b
        else:
            parts.append([a, b])
    return tuple((a, b) for a, b in parts if b - a > HAIR)
