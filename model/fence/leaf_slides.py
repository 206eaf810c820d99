"""What gate leaves come upon as they slide aside: members, things on the site, and the ground."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from palewright.model.layout.leaves import Leaf
from palewright.model.layout.run_layout import Opening, RunLayout
from palewright.model.layout.slides import SlidWay, slid_way
from palewright.model.parts.members import BURIED, SLIDING, Member
from palewright.model.parts.touching import PRESSED

from .fence_model import FenceModel
from .leaf_swings import (
    InPlan,
    ground_under,
    hung_members,
    in_plan,
    met_with,
    things_standing,
)

if TYPE_CHECKING:
    import shapely

GRADUAL = 25.0
"""Leaves are moved so far from one look to the next, mm."""

ASIDE = 1000.0
"""Members whose origins are farther beside a leaf's way than this are not looked at, mm."""

LOOKS = 41
"""So many places of the ground along a track are looked at."""


@dataclass(frozen=True)
class Slide:
    """How far a leaf slides. way : its way; free : until it comes upon something, mm; met : what,
    empty where there is nothing; over, under : how far the ground along its way comes over its
    track, and falls under it, at the most, mm; past : how far it goes past the end of its leg, mm;
    gates : what gates it stands behind when it is open.
    """

    way: SlidWay
    free: float
    met: str
    over: float
    under: float
    past: float
    gates: tuple[str, ...]

    @property
    def wanted(self) -> float:
        """How far it has to go, mm."""
        return abs(self.way.travel)


def slides_of(fence: FenceModel, run: int) -> list[tuple[Opening, Leaf, Slide]]:
    """Return how far each leaf of a run slides that does."""
    layout = fence.layouts[run]
    ways = [(opening, leaf, slid_way(opening, leaf)) for opening, leaf in layout.hung]
    if not any(way is not None for _, _, way in ways):
        return []
    hung = hung_members(fence, run)
    return [
        (opening, leaf, _slide(fence, layout, (opening, leaf, way), hung.get(number, [])))
        for number, (opening, leaf, way) in enumerate(ways)
        if way is not None
    ]


def _slide(
    fence: FenceModel, layout: RunLayout, place: tuple[Opening, Leaf, SlidWay], hung: list[Member]
) -> Slide:
    opening, _, way = place
    free, met = _free(fence, opening, way, hung)
    over, under = _ground(fence, layout, opening, way)
    leg, (low, high) = opening.leg, way.whole
    return Slide(
        way,
        free,
        met,
        over,
        under,
        max(0.0, -low, high - leg.length),
        tuple(
            other.called
            for other in layout.openings_of[opening.leg_number]
            if other is not opening and way.opened[0] < other.end and way.opened[1] > other.start
        ),
    )


def _free(
    fence: FenceModel, opening: Opening, way: SlidWay, hung: list[Member]
) -> tuple[float, str]:
    """Return how far a leaf slides before it comes upon something, mm, and upon what."""
    import shapely

    leg = opening.leg
    middle = leg.frame.point((sum(way.whole) / 2.0, way.middle, 0.0))[:2]
    half = (way.whole[1] - way.whole[0]) / 2.0
    names = {member.name for member in hung}
    # what it runs on and in, and what stops it, is no obstacle of its own
    own = (*SLIDING, *BURIED)
    standing = [
        in_plan(member)
        for member in fence.around(middle, half + ASIDE)
        if member.name not in names
        and member.kind not in BURIED
        and not (member.kind in own and member.group == hung[0].group)
    ]
    things = things_standing(fence.job.features)
    if not standing and not things:
        return abs(way.travel), ""
    moving = [in_plan(member) for member in hung if member.kind not in SLIDING]
    hulls = np.array([piece.area for piece in standing])
    shrunk = shapely.buffer(hulls, -PRESSED, quad_segs=1, join_style="mitre")
    solid = [*shrunk, *(area for area, _ in things)]
    tree = shapely.STRtree(solid)
    far = leg.frame.direction((way.travel, 0.0, 0.0))[:2]
    found: list[tuple[float, str]] = []
    for piece in moving:
        swept = _swept(piece, (0.0, 1.0), far)
        for other in tree.query(swept, predicate="intersects").tolist():
            met = met_with(piece, other, standing, things)
            if met:
                found.append((_until(piece, solid[other], far, abs(way.travel)), met))
    return min(found, default=(abs(way.travel), ""))


def _swept(
    piece: InPlan, shares: tuple[float, float], far: tuple[float, float]
) -> shapely.Geometry:
    """Return what a piece takes up in plan between two shares of its way; far : all of that, mm."""
    import shapely

    places = [piece.points + np.array(far) * share for share in shares]
    return shapely.MultiPoint(np.concatenate(places)).convex_hull


def _until(
    piece: InPlan, solid: shapely.Geometry, far: tuple[float, float], length: float
) -> float:
    """Return how far a piece goes until it meets what stands in its way, mm."""
    steps = max(1, math.ceil(length / GRADUAL))
    for step in range(steps):
        if _swept(piece, (step / steps, (step + 1) / steps), far).intersects(solid):
            return math.floor(step / steps * length)
    return math.floor(length)


def _ground(
    fence: FenceModel, layout: RunLayout, opening: Opening, way: SlidWay
) -> tuple[float, float]:
    """Return how far the ground behind a fence comes over a leaf's track and falls under it, mm."""
    leg = opening.leg
    track = leg.start[2] + opening.base + way.ground
    xs = np.linspace(*way.whole, LOOKS).tolist()
    places = np.array([leg.frame.point((x, way.middle, 0.0))[:2] for x in xs])
    levels = ground_under(fence, layout, (opening, "back"), places)
    return max(0.0, max(levels) - track), max(0.0, track - min(levels))
