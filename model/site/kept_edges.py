"""A triangulation in which chosen pieces are edges: edges across a piece are turned round.

After S. W. Sloan, "A fast algorithm for generating constrained Delaunay triangulations", Computers
and Structures 47 (1993), 441-450 (from memory).
"""

from __future__ import annotations

from collections import deque
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

TURNS = 60
"""Turns of edges for each edge that a piece crosses, beyond which it is given up."""

Edge = tuple[int, int]


class TurnedEdges:
    """Triangles that can be changed. at : (x, y) of each corner, near the origin, mm."""

    def __init__(self, at: NDArray[np.float64], corners: NDArray[np.int64]) -> None:
        self.at: list[tuple[float, float]] = [(x, y) for x, y in at.tolist()]
        self.apex: dict[Edge, int] = {}  # what stands to the left of each edge
        self.beside: dict[int, int] = {}  # for each corner one that it has an edge to
        self.kept: set[Edge] = set()
        for a, b, c in corners.tolist():
            self.apex[a, b], self.apex[b, c], self.apex[c, a] = c, a, b
            self.beside[a], self.beside[b], self.beside[c] = b, c, a

    def side(self, a: int, b: int, c: int) -> float:
        """Return twice the area of a, b, c: positive where c is to the left of a to b."""
        (ax, ay), (bx, by), (cx, cy) = self.at[a], self.at[b], self.at[c]
        return (bx - ax) * (cy - ay) - (by - ay) * (cx - ax)

    def triangles(self) -> list[tuple[int, int, int]]:
        """Return the triangles, each from its lowest corner, in order."""
        return sorted((a, b, c) for (a, b), c in self.apex.items() if a < b and a < c)

    def keep(self, a: int, b: int) -> bool:
        """Make the piece from a to b an edge that stays; False where that cannot be."""
        if a not in self.beside or b not in self.beside:
            return False
        crossed = self._crossed(a, b)
        if crossed is None:
            return False
        new = self._cleared(a, b, crossed)
        if new is None:
            return False
        self.kept |= {(a, b), (b, a)}
        self._relaxed(new)
        return True

    def _crossed(self, a: int, b: int) -> list[Edge] | None:
        """Return the edges that a to b crosses, none where it is an edge; None where a corner or
        an edge that stays is in its way, or it leaves the triangles.
        """
        if (a, b) in self.apex or (b, a) in self.apex:
            return []
        first = self._towards(a, b)
        if first is None:
            return None
        right, left = first
        crossed = []
        while True:
            if (right, left) in self.kept:
                return None
            crossed.append((right, left))
            over = self.apex.get((left, right))
            if over is None:
                return None
            if over == b:
                return crossed
            side = self.side(a, b, over)
            if side == 0.0:
                return None
            right, left = (right, over) if side > 0.0 else (over, left)

    def _towards(self, a: int, b: int) -> Edge | None:
        """Return the edge over against a through which one leaves for b, its right end first."""
        start = self.beside[a]
        # anticlockwise round a, then clockwise, as a hull has an end both ways
        right: int | None = start
        while right is not None:
            left = self.apex.get((a, right))
            if left is not None and self.side(a, b, right) < 0.0 < self.side(a, b, left):
                return right, left
            right = left if left != start else None
        left = start
        while left is not None:
            before = self.apex.get((left, a))
            if before is not None and self.side(a, b, before) < 0.0 < self.side(a, b, left):
                return before, left
            left = before if before != start else None
        return None

    def _cleared(self, a: int, b: int, crossed: list[Edge]) -> list[Edge] | None:
        """Turn crossed edges until none is left; return those that came new, None if given up."""
        waiting = deque(crossed)
        new: list[Edge] = []
        for _ in range(TURNS * (len(crossed) + 10)):
            if not waiting:
                return new
            u, v = waiting.popleft()
            r, s = self.apex[u, v], self.apex[v, u]
            if self.side(r, s, u) * self.side(r, s, v) >= 0.0:
                waiting.append((u, v))  # its two triangles are not convex together
                continue
            self.turn(u, v)
            ends = {r, s} & {a, b}
            if not ends and self.side(a, b, r) * self.side(a, b, s) < 0.0:
                waiting.append((r, s))
            else:
                new.append((r, s))
        return None if waiting else new

    def turn(self, p: int, q: int) -> None:
        """Put the edge of the two other corners of its triangles in place of p to q."""
        r, s = self.apex.pop((p, q)), self.apex.pop((q, p))
        self.apex[s, q], self.apex[q, r], self.apex[r, s] = r, s, q
        self.apex[r, p], self.apex[p, s], self.apex[s, r] = s, r, p
        self.beside[p], self.beside[q] = s, r
        self.beside[r], self.beside[s] = p, q

    def _relaxed(self, new: list[Edge]) -> None:
        """Turn new edges that are not Delaunay's, as far as that brings others that are."""
        turned = True
        rounds = 0
        while turned and rounds < TURNS:
            turned, rounds = False, rounds + 1
            for number, (u, v) in enumerate(new):
                across = self.across(u, v)
                if across is not None and self._in_circle(u, v, *across):
                    self.turn(u, v)
                    new[number] = across
                    turned = True

    def across(self, u: int, v: int) -> Edge | None:
        """Return the other diagonal of the two triangles at an edge; None where it cannot turn."""
        if (u, v) in self.kept:
            return None
        r, s = self.apex.get((u, v)), self.apex.get((v, u))
        if r is None or s is None or self.side(r, s, u) * self.side(r, s, v) >= 0.0:
            return None
        return r, s

    def on_one_circle(self, u: int, v: int, most: float) -> bool:
        """Tell whether the corners of the two triangles at an edge lie on one circle."""
        value, size = self._circle(u, v, self.apex[u, v], self.apex[v, u])
        return abs(value) <= most * size**2

    def _in_circle(self, a: int, b: int, c: int, d: int) -> bool:
        """Tell whether d is clearly inside the circle through a, b, c (anticlockwise)."""
        value, size = self._circle(a, b, c, d)
        return value > 1e-12 * size**2

    def _circle(self, a: int, b: int, c: int, d: int) -> tuple[float, float]:
        """Return by how much d is inside the circle through a, b, c, and the largest square."""
        dx, dy = self.at[d]
        rows = [(x - dx, y - dy) for x, y in (self.at[a], self.at[b], self.at[c])]
        (ax, ay), (bx, by), (cx, cy) = rows
        a2, b2, c2 = (x * x + y * y for x, y in rows)
        value = ax * (by * c2 - cy * b2) - ay * (bx * c2 - cx * b2) + a2 * (bx * cy - by * cx)
        return value, max(a2, b2, c2)
