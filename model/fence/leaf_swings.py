"""What gate leaves come upon as they swing: members, things on the site, and the ground.

In plan a leaf is the outlines of what hangs on it, each between two levels, turned about its hinge
in steps; so is what stands. That is exact for upright pieces, and on the safe side for others.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from palewright.model.geometry.convex import outer_points
from palewright.model.geometry.frames import Point
from palewright.model.geometry.shapes import Plate
from palewright.model.layout.leaves import Leaf
from palewright.model.layout.run_layout import Opening, RunLayout
from palewright.model.layout.side_ground import Side, ground_beside
from palewright.model.parts.members import IN_HOLE, PIN, SOCKET, Member
from palewright.model.parts.touching import PRESSED
from palewright.model.site.features import Feature

from .fence_model import FenceModel
from .leaf_hinges import LeafHinge, leaf_hinges

if TYPE_CHECKING:
    import shapely

STEP = 3.0
"""Leaves are turned so far from one look to the next, degrees."""

SQUARE_OPEN = 90.0
"""How far a leaf has to open where the spec does not say, degrees."""

BESIDE = 5000.0
"""Members whose origins are farther from a hinge than the leaf and this are not looked at, mm."""

REACH, FINE = 300.0, 0.5
"""What may stand out beyond a leaf, mm; and how finely it is said where it stops, degrees."""

STANDS = ("house", "wall", "hedge", "fence", "tree")
"""Kinds of things on a site that a leaf comes up against."""


@dataclass(frozen=True)
class Swing:
    """How far a leaf opens. wanted : as the spec says, or a right angle; free : until it comes upon
    something, degrees; met : what, empty where there is nothing; lowest : least height over the
    ground on the way, mm; lowest_at : where, degrees.
    """

    wanted: float
    free: float
    met: str
    lowest: float
    lowest_at: float


@dataclass(frozen=True)
class InPlan:
    """A piece in plan. points : of its outline, (n, 2); low, high : its levels, mm; outline :
    of a plate that lies level and so need not be convex.
    """

    points: NDArray[np.float64]
    low: float
    high: float
    called: str
    outline: tuple[Point, ...] = ()

    @property
    def area(self) -> shapely.Geometry:
        """What it takes up."""
        import shapely

        if self.outline:
            return shapely.Polygon(self.outline)
        return shapely.MultiPoint(self.points).convex_hull


def swings_of(fence: FenceModel, run: int) -> list[tuple[Opening, Leaf, Swing]]:
    """Return how far each leaf of a run opens that is on hinges."""
    layout = fence.layouts[run]
    hung = hung_members(fence, run)
    return [
        (opening, leaf, _swing(fence, layout, (opening, leaf, hinge), hung.get(number, [])))
        for number, ((opening, leaf), hinge) in enumerate(
            zip(layout.hung, leaf_hinges(layout), strict=True)
        )
        if hinge.slides is None
    ]


def hung_members(fence: FenceModel, run: int) -> dict[int, list[Member]]:
    """Return what hangs on each leaf of a run, by its number."""
    layout = fence.layouts[run]
    hung: dict[int, list[Member]] = {}
    for line in layout.openings:
        group = f"{layout.run.letter} gate {line.number + 1}"
        for member in fence.by_group.get((run, group), ()):
            if member.leaf is not None:
                hung.setdefault(member.leaf, []).append(member)
    return hung


def _swing(
    fence: FenceModel,
    layout: RunLayout,
    place: tuple[Opening, Leaf, LeafHinge],
    hung: Sequence[Member],
) -> Swing:
    opening, leaf, hinge = place
    wanted = leaf.plan.opens or SQUARE_OPEN
    turns = [min(STEP * number, wanted) for number in range(math.ceil(wanted / STEP) + 1)]
    around = fence.around(hinge.axis[:2], leaf.width + BESIDE)
    moving = [in_plan(member) for member in hung]
    names = {member.name for member in hung}
    near = (
        in_plan(member)
        for member in around
        if member.name not in names
        and member.kind not in (*IN_HOLE, SOCKET, PIN)
        and not _beside(member, opening)
        and math.dist(member.frame.origin[:2], hinge.axis[:2]) < leaf.width + BESIDE
    )
    axis, reach = np.array(hinge.axis[:2]), leaf.width + REACH
    standing = [
        piece
        for piece in near
        if np.all(piece.points.min(axis=0) < axis + reach)
        and np.all(piece.points.max(axis=0) > axis - reach)
    ]
    free, met = _free(moving, standing, things_standing(fence.job.features), (hinge, turns))
    lowest, at = _lowest(fence, layout, place, [turn for turn in turns if turn <= free])
    return Swing(wanted, free, met, lowest, at)


def _beside(member: Member, opening: Opening) -> bool:
    """Tell whether a member hangs on the other leaf of the same gate, which opens too."""
    return member.leaf is not None and member.group.endswith(f"gate {opening.number + 1}")


def in_plan(member: Member) -> InPlan:
    """Return a member in plan, with its levels and what it is called."""
    frame = member.frame
    points = outer_points(member.shape) @ np.array([frame.x, frame.y, frame.z]) + frame.origin
    called = f"post {member.station}" if member.station else f"{member.kind.name} {member.mark}"
    outline: tuple[Point, ...] = ()
    if isinstance(member.shape, Plate) and abs(frame.y[2]) > 0.5:
        corners = member.shape.outline.flatten()
        outline = tuple(frame.point((x, 0.0, z))[:2] for x, z in corners)
    return InPlan(points[:, :2], points[:, 2].min(), points[:, 2].max(), called, outline)


def things_standing(features: Sequence[Feature]) -> list[tuple[shapely.Geometry, str]]:
    """Return what stands on the site, in plan, with what it is called."""
    import shapely

    found = []
    for feature in features:
        if feature.goes or feature.kind not in STANDS:
            continue
        if feature.closed and len(feature.points) > 2:
            area = shapely.Polygon(feature.points)
        elif len(feature.points) > 1:
            area = shapely.LineString(feature.points).buffer(max(feature.width, 1.0) / 2.0)
        else:
            area = shapely.Point(feature.points[0]).buffer(max(feature.width, 1.0) / 2.0)
        found.append((area, feature.called))
    return found


def _free(
    moving: list[InPlan],
    standing: list[InPlan],
    things: list[tuple[shapely.Geometry, str]],
    turning: tuple[LeafHinge, list[float]],
) -> tuple[float, str]:
    """Return how far a leaf turns before it comes upon something, degrees, and upon what."""
    import shapely

    hinge, turns = turning
    if not standing and not things:
        return turns[-1], ""
    hulls = [piece.area for piece in standing]
    shrunk = shapely.buffer(np.array(hulls), -PRESSED, quad_segs=1, join_style="mitre")
    solid = [*shrunk, *(area for area, _ in things)]
    tree = shapely.STRtree(solid)
    for before, turn in zip([0.0, *turns], turns, strict=False):
        shapes = [_turned(piece, hinge, turn) for piece in moving]
        ones, others = tree.query(shapes, predicate="intersects")
        for one, other in zip(ones.tolist(), others.tolist(), strict=True):
            met = met_with(_lifted(moving[one], hinge, turn), other, standing, things)
            if not met:
                continue
            if turn - before > FINE:
                finer = np.arange(before + FINE, turn + FINE / 2.0, FINE).tolist()
                return _free(moving, standing, things, (hinge, [before, *finer]))
            return before, met
    return turns[-1], ""


def _lifted(piece: InPlan, hinge: LeafHinge, turn: float) -> InPlan:
    """Return a piece of a leaf as far up as rising hinges have lifted it."""
    up = hinge.lift * turn / 90.0
    return replace(piece, low=piece.low + up, high=piece.high + up) if up else piece


def met_with(
    piece: InPlan,
    other: int,
    standing: list[InPlan],
    things: list[tuple[shapely.Geometry, str]],
) -> str:
    """Return what a piece of a leaf meets, empty where it passes over or under it.

    other : its number, things on the site after members.
    """
    if other >= len(standing):
        return things[other - len(standing)][1]
    it = standing[other]
    return it.called if min(piece.high, it.high) - max(piece.low, it.low) > PRESSED else ""


def _turned(piece: InPlan, hinge: LeafHinge, turn: float) -> shapely.Geometry:
    """Return a piece of a leaf that stands open by so much, in plan."""
    import shapely

    angle = math.radians(turn * hinge.way)
    cos, sin = math.cos(angle), math.sin(angle)
    axis = np.array(hinge.axis[:2])
    about = (piece.points - axis) @ np.array([[cos, sin], [-sin, cos]])
    return shapely.MultiPoint(about + axis).convex_hull


def _lowest(
    fence: FenceModel,
    layout: RunLayout,
    place: tuple[Opening, Leaf, LeafHinge],
    turns: list[float],
) -> tuple[float, float]:
    """Return the least height of a leaf's foot over the ground on its way, and where it is."""
    opening, leaf, hinge = place
    foot = opening.leg.start[2] + opening.base + leaf.foot
    side: Side = "front" if opening.spec.swing == "out" else "back"
    reach = np.linspace(0.0, leaf.width, 9)[1:]
    shut = math.atan2(opening.leg.frame.x[1], opening.leg.frame.x[0])
    shut += 0.0 if leaf.hinge_left else math.pi
    found = []
    for turn in turns:
        angle = shut + math.radians(turn * hinge.way)
        way = np.array([math.cos(angle), math.sin(angle)])
        places = np.array(hinge.axis[:2]) + reach[:, None] * way
        levels = ground_under(fence, layout, (opening, side), places)
        lifted = foot + leaf.plan.lift * turn / 90.0
        found.append((round(lifted - float(max(levels)), 2), turn))
    return min(found)


def ground_under(
    fence: FenceModel,
    layout: RunLayout,
    where: tuple[Opening, Side],
    places: NDArray[np.float64],
) -> list[float]:
    """Return the level of the ground at places: as surveyed, else that of the side a leaf is on."""
    opening, side = where
    leg, ground = opening.leg, fence.job.ground
    surveyed = ground.levels_at(places) if ground is not None else np.full(len(places), math.nan)
    levels = []
    for (x, y), level in zip(places.tolist(), surveyed.tolist(), strict=True):
        if math.isnan(level):
            along = leg.frame.local((x, y, 0.0))[0]
            along = min(max(along, 0.0), leg.length)
            beside = ground_beside(layout, opening.leg_number, (along, along), side)
            level = leg.start[2] + max(z for _, z in beside)
        levels.append(level)
    return levels
