"""The surveyed ground round a fence as a block that stands on a level plain."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from palewright.model.fence.fence_model import FenceModel
from palewright.model.site.surface import Surface, plane_levels, shapes_of

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from shapely import Geometry

ROUND_LEAST, ROUND_SHARE = 4000.0, 0.35
"""How far round the lines the ground is shown: at least, mm, and by half the fence's size."""

UNDER = 60.0
"""The plain under the lowest ground that is shown, mm."""

PLAIN = 60.0
"""How far the plain reaches, in half sizes of the fence."""

SPLINTER = 1.0
"""Pieces of ground smaller than this are not shown, mm2."""

Triangles = tuple["NDArray[np.float64]", "NDArray[np.int64]"]
"""Points (n, 3), mm, and triangles (m, 3)."""


@dataclass(frozen=True)
class GroundBlock:
    """Ground cut off round a fence. top : the surface; sides : down to the plain; plain : level,
    far and wide.
    """

    top: Triangles
    sides: Triangles
    plain: Triangles

    @property
    def parts(self) -> tuple[Triangles, Triangles, Triangles]:
        """Top, sides and plain."""
        return self.top, self.sides, self.plain


def ground_block(fence: FenceModel, radius: float) -> GroundBlock | None:
    """Return the surface that a fence stands on, cut off round the fence; None where it does not
    carry all of the fence.

    radius : half the size of the fence, mm. Nothing is made up beyond the surface: the plain is
    level.
    """
    import shapely

    surface = fence.job.ground
    grounds = [layout.run.ground for layout in fence.layouts]
    if surface is None or any(ground.by != "surface" or ground.outside for ground in grounds):
        return None
    corners = [v[:2] for layout in fence.layouts for v in layout.run.line.vertices]
    margin = max(ROUND_LEAST, ROUND_SHARE * radius)
    shown = shapely.multipoints(corners).convex_hull.buffer(margin, quad_segs=6)
    points, triangles = _cut(surface, shown)
    if not len(triangles):
        return None
    base = float(points[:, 2].min()) - UNDER
    sides = _sides(points, triangles, base)
    middle, reach = np.mean(corners, axis=0), PLAIN * radius
    plain = np.array(
        [[middle[0] + a * reach, middle[1] + b * reach, base] for a, b in
         ((-1, -1), (1, -1), (1, 1), (-1, 1))]
    )  # fmt: skip
    level = plain, np.array([[0, 1, 2], [0, 2, 3]])
    return GroundBlock((points, triangles), sides, level)


def _cut(surface: Surface, shown: Geometry) -> Triangles:
    """Return the triangles of a surface inside a convex area, cut at its edge, corners joined."""
    import shapely
    from shapely.geometry.polygon import orient

    low_x, low_y, high_x, high_y = shown.bounds
    corners = surface.near((low_x, low_y), (high_x, high_y))
    shapely.prepare(shown)
    shapes = shapes_of(surface.xyz, corners)
    whole = shapely.contains_properly(shown, shapes)
    at = [surface.xyz[corners[whole]].reshape(-1, 3)]
    for number in np.flatnonzero(~whole):
        piece = shapely.intersection(shapes[number], shown)
        if piece.geom_type != "Polygon" or piece.area < SPLINTER:
            continue
        loop = shapely.get_coordinates(orient(piece))[:-1]
        plane = np.repeat(surface.xyz[corners[number]][None], len(loop), axis=0)
        ring = np.column_stack([loop, plane_levels(plane, loop)])
        fans = [(0, k, k + 1) for k in range(1, len(ring) - 1)]
        at.append(ring[np.array(fans)].reshape(-1, 3))
    every = np.concatenate(at)
    _, first, places = np.unique(np.round(every, 1), axis=0, return_index=True, return_inverse=True)
    triangles = places.reshape(-1, 3)
    proper = (triangles != np.roll(triangles, 1, axis=1)).all(axis=1)
    return every[first], triangles[proper]


def _sides(points: NDArray[np.float64], triangles: NDArray[np.int64], base: float) -> Triangles:
    """Return upright sides down to a level from the edges that only one triangle has."""
    edges = triangles[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2)
    _, first, count = np.unique(
        np.sort(edges, axis=1), axis=0, return_index=True, return_counts=True
    )
    a, b = points[edges[first[count == 1]]].transpose(1, 0, 2)
    below = [side.copy() for side in (a, b)]
    for side in below:
        side[:, 2] = base
    quads = np.stack([a, below[0], below[1], b], axis=1).reshape(-1, 3)
    starts = 4 * np.arange(len(a))[:, None]
    return quads, np.concatenate([starts + np.array(half) for half in ((0, 1, 2), (0, 2, 3))])
