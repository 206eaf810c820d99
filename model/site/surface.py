"""The ground as a surface of triangles between levels."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from palewright.model.geometry.frames import Point, Vector

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

ON = 1e-3
"""What is nearer to a triangle or an edge than this lies on it, mm."""

Triangle = tuple[int, int, int]


@dataclass(frozen=True)
class Surface:
    """Ground that is flat in each triangle.

    points : (x, y, level), mm; triangles : numbers of their corners, anticlockwise seen from
    above; kept : pairs of numbers, edges along breaklines.
    """

    points: tuple[Vector, ...]
    triangles: tuple[Triangle, ...]
    kept: tuple[tuple[int, int], ...] = ()

    def moved(self, dx: float, dy: float, dz: float) -> Surface:
        """Return this surface moved by (dx, dy, dz) mm."""
        points = tuple((x + dx, y + dy, z + dz) for x, y, z in self.points)
        return Surface(points, self.triangles, self.kept)

    @cached_property
    def xyz(self) -> NDArray[np.float64]:
        """The points, (n, 3), mm."""
        import numpy as np

        return np.array(self.points, dtype=float).reshape(-1, 3)

    @cached_property
    def corners(self) -> NDArray[np.int64]:
        """The corners of the triangles, (m, 3)."""
        import numpy as np

        return np.array(self.triangles, dtype=np.int64).reshape(-1, 3)

    @cached_property
    def edges(self) -> NDArray[np.int64]:
        """The edges, each once, (k, 2), the lower number first."""
        return edges_of(self.corners, len(self.points))

    def breaks(self) -> list[list[int]]:
        """Return the kept edges joined to lines, as numbers of points."""
        beside: dict[int, list[int]] = {}
        for a, b in self.kept:
            beside.setdefault(a, []).append(b)
            beside.setdefault(b, []).append(a)
        free = dict.fromkeys(self.kept)
        chains = []
        # from ends and forks first, then round rings
        starts = sorted(beside, key=lambda corner: (len(beside[corner]) == 2, corner))
        for start in starts:
            for second in sorted(beside[start]):
                chain, here = [start], second
                while (min(chain[-1], here), max(chain[-1], here)) in free:
                    del free[min(chain[-1], here), max(chain[-1], here)]
                    chain.append(here)
                    onward = [other for other in beside[here] if other != chain[-2]]
                    if len(onward) != 1:
                        break
                    here = onward[0]
                if len(chain) > 1:
                    chains.append(chain)
        return chains

    def near(self, low: Point, high: Point) -> NDArray[np.int64]:
        """Return the corners (m, 3) of the triangles whose boxes reach into a box, mm."""
        at = self.xyz[self.corners][:, :, :2]
        inside = (at.max(axis=1) >= low).all(axis=1) & (at.min(axis=1) <= high).all(axis=1)
        chosen: NDArray[np.int64] = self.corners[inside]
        return chosen

    def within(self, low: Point, high: Point) -> Surface:
        """Return the triangles whose boxes reach into a box alone, with their points."""
        import numpy as np

        chosen = self.near(low, high)
        used, number = np.unique(chosen, return_inverse=True)
        new = {int(old): place for place, old in enumerate(used)}
        kept = tuple((new[a], new[b]) for a, b in self.kept if a in new and b in new)
        triangles = number.reshape(-1, 3).tolist()
        return Surface(
            tuple(self.points[old] for old in used),
            tuple((a, b, c) for a, b, c in triangles),
            kept,
        )

    def levels_at(self, places: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return the levels (n,) at places (n, 2), mm; NaN where there is no triangle."""
        import numpy as np
        import shapely

        result = np.full(len(places), np.nan)
        if not len(places) or not self.triangles:
            return result
        low, high = places.min(axis=0) - 1.0, places.max(axis=0) + 1.0
        chosen = self.near((low[0], low[1]), (high[0], high[1]))
        if not len(chosen):
            return result
        tree = shapely.STRtree(shapes_of(self.xyz, chosen))
        place, triangle = tree.query(shapely.points(places), predicate="dwithin", distance=ON)
        order = np.lexsort((triangle, place))
        first, at = np.unique(place[order], return_index=True)
        result[first] = plane_levels(self.xyz[chosen[triangle[order][at]]], places[first])
        return result


def edges_of(corners: NDArray[np.int64], count: int) -> NDArray[np.int64]:
    """Return the edges of triangles, each once, (k, 2). count : of points."""
    import numpy as np

    pairs = np.sort(corners[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2), axis=1)
    codes = np.unique(pairs[:, 0] * np.int64(max(count, 1)) + pairs[:, 1])
    return np.column_stack([codes // max(count, 1), codes % max(count, 1)])


def shapes_of(xyz: NDArray[np.float64], corners: NDArray[np.int64]) -> NDArray[np.object_]:
    """Return triangles as polygons in plan."""
    import shapely

    shapes: NDArray[np.object_] = shapely.polygons(xyz[corners[:, [0, 1, 2, 0]]][:, :, :2])
    return shapes


def plane_levels(
    triangles: NDArray[np.float64], places: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Return the level of each triangle (n, 3, 3) at its place (n, 2), by areas."""
    import numpy as np

    a, b, c = (triangles[:, number, :2] - places for number in range(3))
    shares = np.column_stack([_cross(b, c), _cross(c, a), _cross(a, b)])
    shares = np.maximum(shares, 0.0)  # on its edge, not past it
    total = shares.sum(axis=1)
    total[total == 0.0] = 1.0
    levels: NDArray[np.float64] = (shares * triangles[:, :, 2]).sum(axis=1) / total
    return levels


def _cross(a: NDArray[np.float64], b: NDArray[np.float64]) -> NDArray[np.float64]:
    product: NDArray[np.float64] = a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]
    return product
