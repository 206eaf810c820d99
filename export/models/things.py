"""Things on the site as simple solids for the page and pictures, as high as they are said to be."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.frames import Frame
from palewright.model.lists.crossings import body_of, round_fence
from palewright.model.resolved.job import RunJob
from palewright.model.resolved.zones import leg_at
from palewright.model.site.features import SERVICES, Feature

from .finishes import Finish
from .roofs_and_crowns import crown, gable_roof, roof_rise

if TYPE_CHECKING:
    from shapely import Polygon

FLAT = 30.0
"""How high what has no height lies on the ground, mm, so that it is seen."""

LINE_WIDTH = 60.0
"""How wide what has no width is shown, mm."""

STEP, MOST_STEPS = 1000.0, 400
"""How long the sides are by which a thing follows the ground, mm, and how many it has at most."""

SEEN_BESIDE = 15_000.0
"""How far beside what plans show things are seen, mm."""

STONE = Finish("stone", 0.70, 0.64, 0.58)
GREEN = Finish("leaves", 0.36, 0.47, 0.27)
PAVED = Finish("paving", 0.47, 0.47, 0.48)
GRAVEL = Finish("gravel", 0.66, 0.61, 0.53)
TILES = Finish("roof tiles", 0.45, 0.33, 0.29)
BARK = Finish("bark", 0.36, 0.30, 0.25)
TALL = 1000.0
"""Trees over this have a crown over a trunk, mm."""
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
    """Return the things round the fence that stand or are marked on the ground, and the piers that
    runs stop at.
    """
    import shapely  # only sites with features ask

    near = round_fence(fence)
    window = near and near.buffer(SEEN_BESIDE)
    meshes = [_solid(pier, area, fence, pier.height) for pier, area in _piers(fence)]
    for feature in fence.job.features if window is not None else ():
        body = body_of(feature)
        if body.area == 0.0:
            if len(feature.points) < 2 or feature.kind == "boundary":
                continue
            body = body.buffer(LINE_WIDTH / 2.0, cap_style="flat")
        # what runs on is cut off, what stands alone is shown whole
        whole = feature.kind in ("house", "tree") and body.intersects(window)
        shown = body if whole else body.intersection(window)
        parts = shapely.get_parts(shapely.make_valid(shown))
        for part in parts:
            if part.geom_type == "Polygon" and part.area > 1.0:
                meshes += _solids(feature, part, fence)
    return meshes


def _solids(feature: Feature, area: Polygon, fence: FenceModel) -> list[ThingMesh]:
    """Return a thing's block, and the roof of a house or the crown of a tree."""
    standing = feature.height if feature.kind not in SERVICES and not feature.goes else 0.0
    if feature.kind == "house" and standing:
        rise = roof_rise(area, standing)
        block = _solid(feature, area, fence, standing - rise)
        if not rise:
            return [block]
        roof = gable_roof(area, float(block.points[:, 2].max()), rise)
        return [block, ThingMesh(feature, TILES, *roof, block.ground)]
    block = _solid(feature, area, fence, standing)
    if feature.kind == "tree" and standing > TALL:
        spot = area.centroid
        leaves = crown(spot.x, spot.y, block.ground, standing)
        trunk = replace(block, finish=BARK, points=_lower(block, standing))
        return [trunk, ThingMesh(feature, GREEN, *leaves, block.ground)]
    return [block]


def _lower(block: ThingMesh, standing: float) -> NDArray[np.float64]:
    """Return the points of a trunk that ends in its crown."""
    points = block.points.copy()
    points[:, 2] = np.minimum(points[:, 2], block.ground + 0.6 * standing)
    return points


PIER = -1
"""The place in the spec of a pier, which is no feature there."""


def _piers(fence: FenceModel) -> Iterator[tuple[Feature, Polygon]]:
    """Yield the masonry between faces that runs stop at: square in plan and as high as the fence,
    as only its faces are known.
    """
    for layout in fence.layouts:
        run = layout.run
        for at, end in enumerate(run.piers):
            if end is not None:
                leg = layout.legs[-at]
                x, far = (leg.length, leg.length + end.along) if at else (0.0, -end.along)
                yield _masonry(run, leg.frame, (x, far, end.across / 2.0), "pier")
        for gap in run.breaks:
            if not gap.walls:
                continue
            number, start = leg_at(layout.legs, gap.start)
            frame, wide = layout.legs[number].frame, gap.end - gap.start
            half = max(run.walls.plate.depth, wide) / 2.0
            yield _masonry(run, frame, (start, start + wide, half), gap.name or "pier")


def _masonry(
    run: RunJob, frame: Frame, sides: tuple[float, float, float], named: str
) -> tuple[Feature, Polygon]:
    """Return masonry as high as a run. sides : from and to along a leg's frame, half across, mm."""
    import shapely

    start, end, half = sides
    ring = [(start, -half), (end, -half), (end, half), (start, half)]
    points = tuple(frame.point((x, y, 0.0))[:2] for x, y in ring)
    pier = Feature("wall", named, points, True, 0.0, None, run.height, None, False, PIER)
    return pier, shapely.Polygon(points)


def _solid(feature: Feature, area: Polygon, fence: FenceModel, standing: float) -> ThingMesh:
    """Return an area as a solid that follows the ground; a house is level."""
    import shapely

    step = max(STEP, area.exterior.length / MOST_STEPS)
    area = shapely.orient_polygons(shapely.segmentize(area, step))
    tops = shapely.orient_polygons(
        shapely.get_parts(shapely.constrained_delaunay_triangles(area)), exterior_cw=False
    )
    roof = shapely.get_coordinates(tops).reshape(-1, 4, 2)[:, :3].reshape(-1, 2)
    ring = shapely.get_coordinates(area.exterior)
    spot = shapely.get_coordinates(area.representative_point())
    under, level, roof_high = np.split(
        ground_levels(fence, np.concatenate([spot, ring, roof])), [1, 1 + len(ring)]
    )
    if feature.kind == "house":
        low = np.full(len(ring), level.min())
        high, roof_high = np.full(len(ring), under[0]), np.full(len(roof), under[0])
    else:
        low = high = level
    up = standing or FLAT
    points = [np.column_stack([roof, roof_high + up])]
    faces = [np.zeros(len(roof) // 3, dtype=np.int64)]
    foot, head = np.column_stack([ring, low]), np.column_stack([ring, high + up])
    a, b, c, d = foot[:-1], foot[1:], head[1:], head[:-1]
    points.append(np.stack([a, b, c, a, c, d], axis=1).reshape(-1, 3))
    faces.append(np.repeat(np.arange(1, len(ring)), 2))
    corners = np.concatenate(points)
    return ThingMesh(
        feature,
        FINISHES.get(feature.kind, MARKED),
        corners,
        np.arange(len(corners)).reshape(-1, 3),
        np.concatenate(faces),
        float(under[0]),
    )


def ground_levels(fence: FenceModel, places: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the level of the ground (n,) at places (n, 2), mm: of the surface of the site where
    it reaches so far, else of the nearest ground of the fence.
    """
    surface = fence.job.ground
    levels = np.full(len(places), np.nan) if surface is None else surface.levels_at(places)
    unknown = np.flatnonzero(np.isnan(levels))
    if not len(unknown):
        return levels
    nearest = np.full(len(unknown), np.inf)
    for layout in fence.layouts:
        for leg in layout.legs:
            frame = leg.frame
            apart = places[unknown] - np.array(leg.start[:2])
            x = apart @ np.array(frame.x[:2])
            y = apart @ np.array(frame.y[:2])
            along = np.clip(x, 0.0, leg.length)
            away = (x - along) ** 2 + y**2
            closer = away < nearest
            nearest[closer] = away[closer]
            profile = np.array(leg.profile)
            found = leg.start[2] + np.interp(along[closer], profile[:, 0], profile[:, 1])
            levels[unknown[closer]] = found
    return levels
