"""Things on the site as simple solids for the page and pictures, as high as they are said to be."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.frames import Point
from palewright.model.lists.crossings import body_of, round_fence
from palewright.model.site.features import SERVICES, Feature

from .finishes import Finish

if TYPE_CHECKING:
    from shapely import Polygon

FLAT = 30.0
"""How high what has no height lies on the ground, mm, so that it is seen."""

LINE_WIDTH = 60.0
"""How wide what has no width is shown, mm."""

STONE = Finish("stone", 0.70, 0.64, 0.58)
GREEN = Finish("leaves", 0.36, 0.47, 0.27)
PAVED = Finish("paving", 0.47, 0.47, 0.48)
GRAVEL = Finish("gravel", 0.66, 0.61, 0.53)
MARKED = Finish("marked", 0.28, 0.36, 0.55)

FINISHES = {
    "house": STONE, "wall": STONE, "kerb": STONE, "hedge": GREEN, "tree": GREEN, "road": PAVED,
    "path": GRAVEL,
}  # fmt: skip


@dataclass(frozen=True)
class ThingMesh:
    """A thing as triangles. points : (n, 3), mm; triangles : (m, 3); faces : (m,), the flat side
    that each triangle is part of; ground : level under it, mm.
    """

    feature: Feature
    finish: Finish
    points: NDArray[np.float64]
    triangles: NDArray[np.int64]
    faces: NDArray[np.int64]
    ground: float


def thing_meshes(fence: FenceModel) -> list[ThingMesh]:
    """Return the things round the fence that stand or are marked on the ground."""
    import shapely  # only sites with features ask

    window = round_fence(fence)
    meshes = []
    for feature in fence.job.features if window is not None else ():
        body = body_of(feature)
        if body.area == 0.0:
            if len(feature.points) < 2 or feature.kind == "boundary":
                continue
            body = body.buffer(LINE_WIDTH / 2.0, cap_style="flat")
        parts = shapely.get_parts(shapely.make_valid(body.intersection(window)))
        for part in parts:
            if part.geom_type == "Polygon" and part.area > 1.0:
                meshes.append(_solid(feature, part, fence))
    return meshes


def _solid(feature: Feature, area: Polygon, fence: FenceModel) -> ThingMesh:
    """Return an area as a solid on the level of the ground that is known next to it."""
    import shapely

    spot = area.representative_point()
    low = _ground(fence, (spot.x, spot.y))
    standing = feature.height if feature.kind not in SERVICES and not feature.goes else 0.0
    high = low + (standing or FLAT)
    points: list[tuple[float, float, float]] = []
    faces: list[int] = []
    face = 0
    for triangle in shapely.get_parts(shapely.constrained_delaunay_triangles(area)):
        ring = shapely.get_coordinates(shapely.orient_polygons(triangle))[:3].tolist()
        points += ((x, y, high) for x, y in ring)
        faces.append(face)
    ring = shapely.get_coordinates(shapely.orient_polygons(area).exterior).tolist()
    for (ax, ay), (bx, by) in pairwise(ring):
        face += 1
        a, b, c, d = (ax, ay, low), (bx, by, low), (bx, by, high), (ax, ay, high)
        points += (a, b, c, a, c, d)
        faces += [face, face]
    return ThingMesh(
        feature,
        FINISHES.get(feature.kind, MARKED),
        np.array(points),
        np.arange(len(points)).reshape(-1, 3),
        np.array(faces),
        low,
    )


def _ground(fence: FenceModel, at: Point) -> float:
    """Return the level of the nearest ground of the fence, mm."""
    places = []
    for layout in fence.layouts:
        for leg in layout.legs:
            x, y, _ = leg.frame.local((*at, leg.start[2]))
            along = min(max(x, 0.0), leg.length)
            places.append(((x - along) ** 2 + y * y, leg.start[2] + leg.ground(along)))
    return min(places)[1]
