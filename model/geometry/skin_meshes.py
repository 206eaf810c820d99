"""Triangles of skins, without the CAD kernel."""

from __future__ import annotations

from functools import lru_cache
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from .frames import Point, Vector, dot
from .skins import JOINED, Ball, Flat, Loop, Skin, SkinFace, between, unit

Triangles = tuple[tuple[int, int, int], ...]


def mesh_of_skin(
    skin: Skin,
) -> tuple[NDArray[np.float64], NDArray[np.int64], NDArray[np.int64]] | None:
    """Return a watertight mesh of a solid, or None where a face crosses itself or is too thin.

    Returns
    -------
    vertices : (n, 3) float, mm, shared between faces
    triangles : (m, 3) int, anticlockwise seen from outside
    faces : (m,) int, number of the face each triangle lies on
    """
    points = [*skin.points]
    chains: list[list[int]] = []
    for edge in skin.edges:
        inner = between(edge.curve) if edge.curve else []
        chains.append([edge.start, *range(len(points), len(points) + len(inner)), edge.end])
        points += inner
    rounded = np.round(np.array(points), JOINED) + 0.0
    spots: list[Vector] = [tuple(spot) for spot in rounded.tolist()]
    triangles: list[tuple[int, int, int]] = []
    owners: list[int] = []
    for number, face in enumerate(skin.faces):
        if isinstance(face.surface, Flat):
            loops = [[n for part in _gone(loop, chains) for n in part[:-1]] for loop in face.loops]
            made = _flat(loops, spots, face.surface.normal)
            if len(made) != sum(map(len, loops)) + 2 * len(loops) - 4:
                return None
        elif isinstance(face.surface, Ball):
            grid, more = _ball(_gone(face.loops[0], chains), spots, face.surface)
            spots += more
            made = tuple(t for low, high in pairwise(grid) for t in _strip(low, high[::-1]))
        else:
            curved = [n for n in face.loops[0] if skin.edges[abs(n) - 1].curve]
            there, *again = _gone(tuple(curved), chains)
            made = _strip(there, *again or [[_tip(face, skin)] * len(there)])
        triangles += made
        owners += [number] * len(made)
    return np.array(spots), np.array(triangles), np.array(owners)


def _tip(face: SkinFace, skin: Skin) -> int:
    """Return the corner of a cone's face that is its point: none of its curve's ends."""
    ends = {
        at
        for n in face.loops[0]
        if skin.edges[abs(n) - 1].curve
        for at in (skin.edges[abs(n) - 1].start, skin.edges[abs(n) - 1].end)
    }
    return next(at for at in skin.corners(face.loops[0]) if at not in ends)


def _ball(
    chains: list[list[int]], spots: list[Vector], ball: Ball
) -> tuple[list[list[int]], list[Vector]]:
    """Return the points of a ball's face row by row from its first curve on, and the new ones.

    chains : of its loop, a circle, a side, another circle unless there is a tip, the other side.
    """
    low, far, *circle, near = chains
    near = near[::-1]
    high = circle[0][::-1] if circle else [far[-1]] * len(low)
    grid: list[list[int]] = [low]
    more: list[Vector] = []
    for row in range(1, len(far) - 1):
        away = [a - b for a, b in zip(spots[far[row]], ball.centre, strict=True)]
        rise = dot((away[0], away[1], away[2]), ball.axis)
        level = [c + rise * a for c, a in zip(ball.centre, ball.axis, strict=True)]
        radius = np.sqrt(max(0.0, ball.radius**2 - rise**2))
        inner = []
        for at in low[1:-1]:
            out = [p - c for p, c in zip(spots[at], ball.centre, strict=True)]
            part = dot((out[0], out[1], out[2]), ball.axis)
            flat = [o - part * a for o, a in zip(out, ball.axis, strict=True)]
            x, y, z = unit((flat[0], flat[1], flat[2]))
            point = [q + radius * d for q, d in zip(level, (x, y, z), strict=True)]
            inner.append(len(spots) + len(more))
            more.append((round(point[0], JOINED), round(point[1], JOINED), round(point[2], JOINED)))
        grid.append([near[row], *inner, far[row]])
    return [*grid, high], more


def _gone(loop: Loop, chains: list[list[int]]) -> list[list[int]]:
    """Return the points of each edge of a loop in the order in which they are passed."""
    return [chains[n - 1] if n > 0 else chains[-n - 1][::-1] for n in loop]


def _strip(there: list[int], again: list[int]) -> Triangles:
    """Return the triangles of a round face between two curves, which its loop goes to and fro."""
    made = []
    for (a, b), (d, c) in zip(pairwise(there), pairwise(reversed(again)), strict=True):
        made += [t for t in ((a, b, c), (a, c, d)) if len(set(t)) == 3]
    return tuple(made)


def _flat(loops: list[list[int]], spots: list[Vector], normal: Vector) -> Triangles:
    """Return the triangles of a flat face, seen along the axis that it looks at the most."""
    axis = max(range(3), key=lambda n: (abs(normal[n]), n))
    u, v = ((1, 2), (2, 0), (0, 1))[axis]
    if normal[axis] < 0.0:
        u, v = v, u
    shadow = tuple(tuple((spots[n][u], spots[n][v]) for n in loop) for loop in loops)
    numbers = [n for loop in loops for n in loop]
    made = _triangulated(shadow)
    return tuple((numbers[a], numbers[b], numbers[c]) for a, b, c in made)


@lru_cache(maxsize=1024)
def _triangulated(loops: tuple[tuple[Point, ...], ...]) -> Triangles:
    """Return the triangles of an area by the numbers of its points, anticlockwise.

    Parts of different lengths have faces alike, which are done once.
    """
    if len(loops) == 1 and _convex(loops[0]):
        return tuple((0, n, n + 1) for n in range(1, len(loops[0]) - 1))
    import shapely

    numbers = {spot: n for n, spot in enumerate(spot for loop in loops for spot in loop)}
    area = shapely.Polygon(loops[0], loops[1:])
    try:
        parts = shapely.get_parts(shapely.constrained_delaunay_triangles(area))
    except shapely.errors.GEOSException:  # of a loop that crosses itself
        return ()
    corners = shapely.get_coordinates(shapely.orient_polygons(parts)).reshape(-1, 4, 2)[:, :3]
    made = []
    for triangle in corners.tolist():
        a, b, c = (numbers[x, y] for x, y in triangle)
        first = min((a, b, c), (b, c, a), (c, a, b))
        made.append(first)
    return tuple(sorted(made))


def _convex(loop: tuple[Point, ...]) -> bool:
    """Tell whether a loop turns left at every point."""
    (bx, by), (cx, cy) = loop[-2:]
    for dx, dy in loop:
        if (cx - bx) * (dy - cy) - (cy - by) * (dx - cx) <= 1e-9:
            return False
        bx, by, cx, cy = cx, cy, dx, dy
    return True
