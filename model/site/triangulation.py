"""From levels and breaklines to a surface of triangles (Delaunay's, with breaklines as edges)."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from palewright.model.geometry.frames import Vector

from .breakline_nodes import BreakLine, CornerBook, GroundError, pieces_of, told_twice
from .even_diagonals import even_diagonals, ties_in
from .kept_edges import TurnedEdges
from .surface import Surface, Triangle

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

MOST_TOLD = 5
"""Places that a remark names."""

FLAT = 1e-9
"""A triangle's area by the square of its longest side, under which it is only a line."""


@dataclass(frozen=True)
class Triangulated:
    """What levels and breaklines came to. surface : None where they span no triangle; remarks :
    in words, a line each.
    """

    surface: Surface | None
    remarks: tuple[str, ...] = ()


def triangulated(
    spots: tuple[Vector, ...], breaks: tuple[BreakLine, ...] = (), reach: float = math.inf
) -> Triangulated:
    """Return the surface through spot levels, with breaklines as edges.

    Parameters
    ----------
    spots : tuple of (x, y, level), mm
        Of several levels at one place the first counts.
    breaks : tuple of BreakLine
        Lines along which the ground bends; a step has one for its top and one for its foot.
    reach : float, mm
        Triangles with a longer side are left out: what lies across is not known.

    Raises
    ------
    GroundError
        When a coordinate is no number, or breaklines are beyond all measure.
    """
    import numpy as np

    every = [*spots, *(point for line in breaks for point in line.points)]
    if not every:
        return Triangulated(None)
    if not np.isfinite(np.array(every, dtype=float)).all():
        raise GroundError("a level or its place is no number")
    east, north = min(x for x, _, _ in every), min(y for _, y, _ in every)
    corners = CornerBook()
    for x, y, z in spots:
        corners.add((x - east, y - north, z), "spot level")
    about = tuple(
        BreakLine(line.name, tuple((x - east, y - north, z) for x, y, z in line.points))
        for line in breaks
    )
    pieces = pieces_of(about, corners, reach / 2.0)
    remarks = _two_level_remarks(told_twice(corners, (east, north)))
    xyz = np.array(corners.at)
    triangles = delaunay(xyz[:, :2])
    kept: list[tuple[int, int]] = []
    ties = ties_in(xyz[:, :2], triangles) if len(triangles) else []
    if (pieces or ties) and len(triangles):
        mesh = TurnedEdges(xyz[:, :2], triangles)
        lost: dict[int, None] = {}
        for a, b, number in pieces:
            if mesh.keep(a, b):
                kept.append((min(a, b), max(a, b)))
            else:
                lost[number] = None
        even_diagonals(mesh, xyz[:, 2].tolist(), ties)
        triangles = np.array(mesh.triangles(), dtype=np.int64)
        remarks += [f"breakline '{breaks[n].name}' could not be kept whole" for n in lost]
    triangles = _usable(xyz, triangles, reach)
    if not len(triangles):
        return Triangulated(None, tuple(remarks))
    points = tuple((x + east, y + north, z) for x, y, z in corners.at)
    held: tuple[Triangle, ...] = tuple((a, b, c) for a, b, c in triangles.tolist())
    return Triangulated(Surface(points, held, tuple(sorted(set(kept)))), tuple(remarks))


def _two_level_remarks(places: list[str]) -> list[str]:
    """Return a remark on places that have two levels, naming the first of them."""
    if not places:
        return []
    more = f"; and {len(places) - MOST_TOLD} more places" if len(places) > MOST_TOLD else ""
    return [f"two levels in one place: {'; '.join(places[:MOST_TOLD])}{more}"]


def delaunay(at: NDArray[np.float64]) -> NDArray[np.int64]:
    """Return Delaunay's triangles (m, 3), anticlockwise, of places (n, 2), each given once.

    None where all lie on one straight line. The places are near the origin.
    """
    import numpy as np
    import shapely

    if len(at) < 3:
        return np.empty((0, 3), dtype=np.int64)
    parts = shapely.get_coordinates(shapely.delaunay_triangles(shapely.multipoints(at)))
    loops = parts.reshape(-1, 4, 2)[:, :3]
    codes = at[:, 0] + 1j * at[:, 1]
    order = np.argsort(codes)
    found = np.searchsorted(codes[order], loops[:, :, 0] + 1j * loops[:, :, 1])
    corners = order[found]
    u, v = loops[:, 1] - loops[:, 0], loops[:, 2] - loops[:, 0]
    turned = u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0] < 0.0
    corners[turned] = corners[turned][:, ::-1]
    # in one order, whatever the library's: each from its lowest corner
    first = corners.argmin(axis=1)
    corners = np.stack([corners[np.arange(len(corners)), (first + k) % 3] for k in range(3)], 1)
    ordered: NDArray[np.int64] = corners[np.lexsort(corners.T[::-1])]
    return ordered


def _usable(
    xyz: NDArray[np.float64], triangles: NDArray[np.int64], reach: float
) -> NDArray[np.int64]:
    """Return the triangles that have an area, and no side longer than the reach, mm."""
    import numpy as np

    if not len(triangles):
        return triangles
    at = xyz[triangles][:, :, :2]
    sides = np.linalg.norm(at - np.roll(at, -1, axis=1), axis=2).max(axis=1)
    u, v = at[:, 1] - at[:, 0], at[:, 2] - at[:, 0]
    area = u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]
    kept: NDArray[np.int64] = triangles[(area > FLAT * sides**2) & (sides <= reach)]
    return kept
