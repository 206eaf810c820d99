"""Which diagonal stands where four levels lie on one circle, as on a grid: both are Delaunay's.

Left to rounding it would change where the site is moved or mirrored. The one with the smaller fall
stands; of two alike the higher.
"""

from __future__ import annotations

from collections import deque
from typing import TYPE_CHECKING

from .kept_edges import Edge, TurnedEdges

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

TIE = 1e-9
"""How far a corner is from the circle of three others, by their size, where it is on it."""

ALIKE = 1e-6
"""Falls and levels that differ by less are alike, mm."""


def ties_in(at: NDArray[np.float64], corners: NDArray[np.int64]) -> list[Edge]:
    """Return the edges whose two triangles have one circle. at : (n, 2) near the origin, mm."""
    import numpy as np

    ways = corners[:, [0, 1, 2, 1, 2, 0, 2, 0, 1]].reshape(-1, 3)  # edge, and its apex
    low, high = ways[:, :2].min(axis=1), ways[:, :2].max(axis=1)
    code = low * np.int64(len(at)) + high
    order = np.argsort(code, kind="stable")
    twins = np.flatnonzero(np.diff(code[order]) == 0)
    one, other = ways[order[twins]], ways[order[twins + 1]]
    rows = [at[one[:, n]] - at[other[:, 2]] for n in range(3)]
    squares = [(row**2).sum(axis=1) for row in rows]
    value = sum(squares[n] * _cross(rows[(n + 1) % 3], rows[(n + 2) % 3]) for n in range(3))
    size = np.maximum.reduce(squares)
    tied = np.abs(value) <= TIE * size**2
    return [(a, b) for a, b in one[tied, :2].tolist()]


def _cross(a: NDArray[np.float64], b: NDArray[np.float64]) -> NDArray[np.float64]:
    product: NDArray[np.float64] = a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]
    return product


def even_diagonals(mesh: TurnedEdges, levels: list[float], ties: list[Edge]) -> None:
    """Turn edges that might as well be the other diagonal until each is the one that stands."""

    def order(a: int, b: int) -> tuple[float, float]:
        return abs(levels[a] - levels[b]), -(levels[a] + levels[b])

    waiting = deque(ties)
    while waiting:
        u, v = waiting.popleft()
        across = mesh.across(u, v)
        if across is None:
            continue
        r, s = across
        (fall, high), (other_fall, other_high) = order(u, v), order(r, s)
        better = other_fall < fall - ALIKE or (
            other_fall < fall + ALIKE and other_high < high - ALIKE
        )
        if better and mesh.on_one_circle(u, v, TIE):
            mesh.turn(u, v)
            waiting.extend(((u, s), (s, v), (v, r), (r, u)))
