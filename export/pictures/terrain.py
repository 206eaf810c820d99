"""The ground of a picture: a surface through the known levels, smooth away from the fence."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from palewright.model.fence.fence_model import FenceModel
from palewright.model.layout.run_layout import RunLayout

if TYPE_CHECKING:
    from numpy.typing import NDArray

STEP, BESIDE = 500.0, (700.0, 1500.0)
"""From sample to sample along a line, and how far beside it the ground is taken as level, mm."""

RINGS = (1.3, 1.8, 3.0, 6.0, 15.0, 60.0)
"""Rings of points round the fence, in its sizes."""

ROUND = 48
"""Points on a ring."""

CELLS = 40
"""Cells of the grid across the fence."""

MOST_SAMPLES = 3000
"""Samples of known ground that far points are worked out from."""


def terrain(fence: FenceModel, radius: float) -> NDArray[np.float64] | None:
    """Return points (n, 3) of the ground, mm, or None when it is level.

    radius : half the size of the fence, mm. Along the lines the points have the known levels;
    elsewhere levels are means of the known ones, weighted by 1 / distance squared (Shepard's
    inverse distance weighting).
    """
    known = np.array([spot for layout in fence.layouts for spot in _along(layout, 0.0)])
    if np.ptp(known[:, 2]) < 1.0:
        return None
    beside = [
        spot
        for layout in fence.layouts
        for away in BESIDE
        for side in (away, -away)
        for spot in _along(layout, side)
    ]
    low, high = known[:, :2].min(axis=0), known[:, :2].max(axis=0)
    middle = (low + high) / 2.0
    turns = np.arange(ROUND) * math.tau / ROUND
    rings = [
        middle + radius * ring * np.column_stack([np.cos(turns), np.sin(turns)]) for ring in RINGS
    ]
    size = max(2.0 * radius, 2000.0) * 1.2
    ticks = (np.arange(CELLS + 1) / CELLS - 0.5) * size
    grid = np.stack(np.meshgrid(middle[0] + ticks, middle[1] + ticks), axis=-1).reshape(-1, 2)
    far = np.concatenate([grid, *rings])
    sample = known[:: max(1, len(known) // MOST_SAMPLES)]
    apart = np.linalg.norm(far[:, None, :] - sample[None, :, :2], axis=2)
    kept = apart.min(axis=1) > BESIDE[-1] + 300.0
    weights = 1.0 / apart[kept] ** 2
    levels = weights @ sample[:, 2] / weights.sum(axis=1)
    return np.concatenate([known, np.array(beside), np.column_stack([far[kept], levels])])


def triangulated(points: NDArray[np.float64]) -> tuple[NDArray[np.float64], NDArray[np.int64]]:
    """Return points, without those in one place, and Delaunay's triangles (m, 3) over them, seen
    from above counterclockwise.
    """
    import shapely

    flat, first = np.unique(np.round(points[:, :2], 1), axis=0, return_index=True)
    number = {(float(x), float(y)): place for place, (x, y) in enumerate(flat)}
    mesh = shapely.delaunay_triangles(shapely.multipoints(flat))
    loops = shapely.get_coordinates(shapely.get_parts(mesh)).reshape(-1, 4, 2)[:, :3]
    triangles = np.array([[number[float(x), float(y)] for x, y in loop] for loop in loops])
    u, v = loops[:, 1] - loops[:, 0], loops[:, 2] - loops[:, 0]
    turned = u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0] < 0
    triangles[turned] = triangles[turned][:, [0, 2, 1]]
    return np.column_stack([flat, points[first, 2]]), triangles


def _along(layout: RunLayout, side: float) -> list[tuple[float, float, float]]:
    """Return points of the ground along a run's legs, moved to the back by `side` mm."""
    points = []
    for leg in layout.legs:
        count = max(1, math.ceil(leg.length / STEP))
        xs = {leg.length * number / count for number in range(count + 1)}
        xs |= {x for x, _ in leg.profile}
        for x in sorted(xs):
            # short of the corners beside the line, where the legs' strips would cross
            if side == 0.0 or abs(side) < x < leg.length - abs(side):
                east, north, _ = leg.frame.point((x, side, 0.0))
                points.append((east, north, leg.start[2] + leg.ground(x)))
    return points
