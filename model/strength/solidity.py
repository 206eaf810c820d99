"""How much of a fence its members cover, seen square to it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.facets import faces_of
from palewright.model.geometry.shapes import Bar, Cap, Plate, Post
from palewright.model.layout.run_layout import Stretch
from palewright.model.parts.members import BOARD, CAP, PALE, POST, RAIL

if TYPE_CHECKING:
    import shapely

COVERING = (PALE, RAIL, POST, CAP, BOARD)


def outlines(fence: FenceModel, run: int, leg: int) -> Iterable[shapely.Polygon]:
    """Yield what each covering member of a leg shows of itself, in the leg's x and z, mm."""
    import shapely

    frame = fence.layouts[run].legs[leg].frame
    for member in fence.members:
        if member.run != run or member.leg != leg or member.kind not in COVERING:
            continue
        shape = member.shape
        if isinstance(shape, Plate):
            points = [(x, 0.0, z) for x, z in shape.outline.flatten()]
        elif isinstance(shape, (Bar, Post, Cap)):
            points = [point for face in faces_of(shape) for point in face]
        else:
            continue
        seen = [frame.local(member.frame.point(point)) for point in points]
        flat = [(x, z) for x, _, z in seen]
        if isinstance(shape, Plate):
            yield shapely.Polygon(flat)
        else:
            hull = shapely.MultiPoint(flat).convex_hull
            if isinstance(hull, shapely.Polygon):
                yield hull


def covered(fence: FenceModel, run: int, stretch: Stretch, bay: int) -> tuple[float, float]:
    """Return the area that members cover in a bay, and its whole area, mm2.

    The bay goes from post middle to post middle and from the pales' lowest feet to their highest
    tops; its whole area is its length times the longest pale.
    """
    import shapely

    own = [pale for pale in stretch.pales if pale.bay == bay] or list(stretch.pales)
    x0, x1 = stretch.xs[bay], stretch.xs[bay + 1]
    low, high = min(pale.foot for pale in own), max(pale.top for pale in own)
    window = shapely.box(x0, low, x1, high)
    shown = [
        polygon & window
        for polygon in outlines(fence, run, stretch.leg_number)
        if polygon.bounds[0] < x1 and polygon.bounds[2] > x0
    ]
    return shapely.union_all(shown).area, (x1 - x0) * max(pale.length for pale in own)


def solidity(fence: FenceModel, run: int, stretch: Stretch, bay: int) -> float:
    """Return the solidity of a bay: covered over whole area (EN 1991-1-4, 7.4.1)."""
    area, whole = covered(fence, run, stretch, bay)
    return min(area / whole, 1.0)
