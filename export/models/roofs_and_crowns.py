"""What makes a block a house and a pole a tree: a gable roof, a crown of leaves; symbols only."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from shapely import Polygon

PITCH, MOST_ROOF = 35.0, 0.45
"""How steep a roof is, degrees, and how much of a house's height it is at most."""

OVERHANG = 250.0
"""How far a roof is over its walls, mm."""

RECTANGULAR = 0.9
"""Houses that fill so much of the rectangle round them have a gable roof."""

CROWN_FOOT, CROWN_WIDE = 0.3, 0.28
"""Where a crown begins and how far it reaches, in heights of the tree; a common shape, as nobody
gave one."""

ROUND, RINGS = 30, 16
"""Points round a crown and from its foot to its top."""

Triangles = tuple["NDArray[np.float64]", "NDArray[np.int64]", "NDArray[np.int64]"]
"""Points (n, 3), mm; triangles (m, 3); flat or curved face of each (m,)."""


def roof_rise(area: Polygon, height: float) -> float:
    """Return how high a gable roof over a house is, mm; 0 where its outline is no rectangle.

    height : of the ridge over the ground, mm.
    """
    import shapely

    around = shapely.minimum_rotated_rectangle(area)
    if area.area < RECTANGULAR * around.area:
        return 0.0
    spots = shapely.get_coordinates(around)
    short = min(math.dist(spots[0], spots[1]), math.dist(spots[1], spots[2]))
    return min(math.tan(math.radians(PITCH)) * short / 2.0, MOST_ROOF * height)


def gable_roof(area: Polygon, eaves: float, rise: float) -> Triangles:
    """Return a roof with its ridge along the longer sides. eaves : level, rise : mm."""
    import shapely

    spots = shapely.get_coordinates(shapely.minimum_rotated_rectangle(area))[:4]
    if math.dist(spots[0], spots[1]) < math.dist(spots[1], spots[2]):
        spots = np.roll(spots, -1, axis=0)
    a, b, c, d = spots
    along, across = (v / np.linalg.norm(v) for v in (b - a, c - b))
    # over the eaves the roof runs on down its slope
    drop = OVERHANG * rise / (math.dist(b, c) / 2.0)
    low = [
        a - OVERHANG * (along + across), b + OVERHANG * (along - across),
        c + OVERHANG * (along + across), d + OVERHANG * (across - along),
    ]  # fmt: skip
    high = [(a + d) / 2.0 - OVERHANG * along, (b + c) / 2.0 + OVERHANG * along]
    points = np.array(
        [*((x, y, eaves - drop) for x, y in low), *((x, y, eaves + rise) for x, y in high)]
    )
    triangles = np.array(
        [[0, 1, 5], [0, 5, 4], [2, 3, 4], [2, 4, 5], [0, 4, 3], [1, 2, 5], [0, 3, 2], [0, 2, 1]]
    )
    return points[triangles].reshape(-1, 3), _own(triangles), np.array([0, 0, 1, 1, 2, 3, 4, 4])


def crown(x: float, y: float, ground: float, height: float) -> Triangles:
    """Return a tree's crown as an ellipsoid that is not quite even, mm."""
    turns = np.arange(ROUND) * math.tau / ROUND
    rises = np.linspace(-math.pi / 2.0, math.pi / 2.0, RINGS)
    middle = ground + height * (1.0 + CROWN_FOOT) / 2.0
    up = height * (1.0 - CROWN_FOOT) / 2.0
    waves = 3.0 * turns[None, :] + 4.0 * rises[:, None], 7.0 * turns[None, :] - 9.0 * rises[:, None]
    uneven = 1.0 + 0.07 * np.sin(waves[0]) + 0.04 * np.sin(waves[1])
    flat = CROWN_WIDE * height * np.cos(rises)[:, None] * uneven
    points = np.stack(
        [
            x + flat * np.cos(turns),
            y + flat * np.sin(turns),
            np.broadcast_to(middle + up * np.sin(rises)[:, None], flat.shape),
        ],
        axis=-1,
    ).reshape(-1, 3)
    triangles = []
    for ring in range(RINGS - 1):
        for spot in range(ROUND):
            i, j = ring * ROUND + spot, ring * ROUND + (spot + 1) % ROUND
            triangles += [[i, j, j + ROUND], [i, j + ROUND, i + ROUND]]
    corners = np.array(triangles)
    return points, corners, np.zeros(len(corners), dtype=np.int64)


def _own(triangles: NDArray[np.int64]) -> NDArray[np.int64]:
    return np.arange(triangles.size).reshape(-1, 3)
