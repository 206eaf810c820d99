"""What a stretch of fence or a gate leaf shows to the wind: its height and how much is covered."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.convex import outer_points
from palewright.model.geometry.facets import faces_of
from palewright.model.geometry.metal_caps import MetalCap
from palewright.model.geometry.post_shapes import Post
from palewright.model.geometry.prisms import Prism
from palewright.model.geometry.shapes import Bar, Cap, Plate, bar_of
from palewright.model.geometry.turned_shapes import Turned
from palewright.model.layout.leaves import Leaf
from palewright.model.layout.run_layout import Opening, RunLayout, Stretch
from palewright.model.parts.members import (
    BOARD,
    CAP,
    CAPPING,
    FINIAL,
    FRAMING,
    KEPT_POST,
    KICK_BOARD,
    LEDGE,
    METAL_CAP,
    PALE,
    PANEL_UPRIGHT,
    PLATES,
    POSTS,
    RAIL,
    Member,
)
from palewright.model.site.site_line import Leg

if TYPE_CHECKING:
    import shapely

ROUND = 8
"""Chords that stand for each round side of a turned piece."""

COVERING = (
    PALE, RAIL, PANEL_UPRIGHT, CAPPING, KICK_BOARD, *POSTS, KEPT_POST, *PLATES, CAP, METAL_CAP,
    FINIAL, BOARD,
    *FRAMING,
)  # fmt: skip

Key = tuple[int, int, bool]

NEAR = 1e-6
"""A pale this near to a post's middle stands in it, mm."""


@dataclass(frozen=True)
class Shown:
    """What a part of a fence shows to the wind. top, foot : of its pales over the ground, mm, with
    what lies on them, as if the tallest stood everywhere; lift : of the base over the ground where
    they do, mm; solidity : share of its area that members cover.
    """

    top: float
    foot: float
    lift: float
    solidity: float

    @property
    def height(self) -> float:
        """Height of the pales, mm."""
        return self.top - self.foot

    @property
    def middle(self) -> float:
        """Height of the wind's resultant over the ground, mm."""
        return (self.top + self.foot) / 2.0


def outlines(fence: FenceModel) -> dict[Key, list[shapely.Polygon]]:
    """Return what covering members show of themselves, in their leg's x and z, mm, by run, leg
    and whether they hang on a gate; posts and caps show on every leg that ends at them.
    """
    shown: dict[Key, list[shapely.Polygon]] = {}
    meeting = [_meeting(layout) for layout in fence.layouts]
    for member in fence.members:
        if member.kind not in COVERING:
            continue
        for leg in meeting[member.run].get(member.station, (member.leg,)):
            polygon = _outline(fence.layouts[member.run].legs[leg], member)
            if polygon is not None:
                key = member.run, leg, member.leaf is not None
                shown.setdefault(key, []).append(polygon)
    return shown


def _meeting(layout: RunLayout) -> dict[str, tuple[int, ...]]:
    """Return the legs that meet at posts, by the posts' labels."""
    legs: dict[str, tuple[int, ...]] = {}
    for stretch in layout.stretches:
        for post in stretch.posts:
            legs[post.label] = (*legs.get(post.label, ()), stretch.leg_number)
    return {label: tuple(dict.fromkeys(own)) for label, own in legs.items()}


def _outline(leg: Leg, member: Member) -> shapely.Polygon | None:
    import shapely

    shape = bar_of(member.shape) or member.shape
    if isinstance(shape, Prism) or (isinstance(shape, Plate) and member.kind == LEDGE):
        points = [(x, y, z) for x, y, z in outer_points(shape)]  # its outline lies in plan
    elif isinstance(shape, Plate):
        points = [(x, 0.0, z) for x, z in shape.outline.flatten()]
    elif isinstance(shape, Turned):
        right = shape.profile(ROUND)
        points = [(x, 0.0, z) for x, z in (*right, *((-r, z) for r, z in reversed(right)))]
    elif isinstance(shape, (Bar, Post, Cap, MetalCap)):
        points = [point for face in faces_of(shape) for point in face]
    else:
        return None
    frame = leg.frame
    flat = [(x, z) for x, _, z in (frame.local(member.frame.point(p)) for p in points)]
    if isinstance(shape, Turned) or (isinstance(shape, Plate) and member.kind != LEDGE):
        # what a top line cuts too steeply crosses itself; the checks stop it
        return shapely.make_valid(shapely.Polygon(flat))
    hull = shapely.MultiPoint(flat).convex_hull
    return hull if isinstance(hull, shapely.Polygon) else None


def covered(polygons: Iterable[shapely.Polygon], stretch: Stretch) -> tuple[float, float]:
    """Return the area that members cover in a stretch, and its whole area, mm2.

    Each bay goes from post middle to post middle and from the pales' lowest feet to their highest
    tops; its whole area is its length times its longest pale.
    """
    import shapely

    tree = shapely.STRtree(list(polygons))
    area = whole = 0.0
    for bay, (x0, x1) in enumerate(pairwise(stretch.xs)):
        # a pale before a post shows in the bays on either side
        own = [
            pale for pale in stretch.pales if pale.bay == bay or x0 - NEAR <= pale.x <= x1 + NEAR
        ] or list(stretch.pales)
        crown, sill = stretch.row.plan.crown, stretch.row.plan.sill
        low = min(pale.foot for pale in own) - sill
        high = max(pale.top for pale in own) + crown
        window = shapely.box(x0, low, x1, high)
        near = sorted(tree.query(window))
        shown = shapely.union_all([tree.geometries[number] for number in near]) & window
        area += shown.area
        whole += (x1 - x0) * (max(pale.length for pale in own) + crown + sill)
    return area, whole


def shown_by_stretch(polygons: Iterable[shapely.Polygon], stretch: Stretch) -> Shown:
    """Return what a stretch with pales shows (solidity: EN 1991-1-4, 7.4.1)."""
    area, whole = covered(polygons, stretch)
    leg, pales = stretch.leg, stretch.pales
    heights = [
        (
            pale.top - leg.ground(pale.x),
            stretch.settings[pale.bay].base(pale.x) - leg.ground(pale.x),
        )
        for pale in pales
    ]
    top, lift = max(heights)
    foot = max(top - max(pale.length for pale in pales) - stretch.row.plan.sill, 0.0)
    top += stretch.row.plan.crown
    return Shown(top, foot, lift, min(area / whole, 1.0))


def shown_by_leaf(polygons: Iterable[shapely.Polygon], opening: Opening, leaf: Leaf) -> Shown:
    """Return what a gate leaf shows, over the lowest ground of its opening."""
    import shapely

    lift = opening.base - opening.leg.lowest(opening.start, opening.end)
    low = opening.base + leaf.foot
    window = shapely.box(leaf.x0, low, leaf.x1, low + leaf.height)
    area = (shapely.union_all(list(polygons)) & window).area
    foot = lift + leaf.foot
    return Shown(foot + leaf.height, foot, lift, min(area / window.area, 1.0))
