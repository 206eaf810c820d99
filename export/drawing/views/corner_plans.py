"""Plan sections through the corners of a fence, drawn from its members."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from palewright.export.drawing.draft import style as layers
from palewright.export.drawing.draft.drafting import Draft
from palewright.export.drawing.draft.style import CUT_CONCRETE, CUT_TIMBER
from palewright.export.drawing.draft.view import Hatch, Item, Line, View
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.frames import Frame, Point
from palewright.model.geometry.post_shapes import Post
from palewright.model.geometry.shapes import Bar, Bolt, Plate, Tenoned, bar_of
from palewright.model.layout.run_layout import RunLayout, stations_of_leg
from palewright.model.order.fixings import SCREWED
from palewright.model.parts.hardware import BRACKET_LEG, BRACKET_METAL, bolt_name
from palewright.model.parts.members import BOLT, BRACKET, CONCRETE_POST, PALE, POSTS, RAIL, Member
from palewright.model.resolved.words import PostRole

from .callouts import Callout, callouts
from .plan import bar_plan
from .projection import view_frame
from .titles import titled

if TYPE_CHECKING:
    from shapely import Geometry

REACH = 330.0
"""How far a corner's plan reaches along its legs beyond the pales' fronts, mm."""

NEAR = 9000.0
"""Members whose origins are farther from the corner than this are not looked at, mm."""


def corner_plan(fence: FenceModel, run: int, leg_number: int, draft: Draft) -> View:
    """Return the plan section through the corner at the start of a leg, under the top rail.

    x runs along the leg before the corner, y to the back of it; the corner is at (0, 0).
    """
    layout = fence.layouts[run]
    leg, before = layout.legs[leg_number], layout.legs[leg_number - 1]
    corner = Frame((*leg.start[:2], leg.start[2]), before.frame.x, before.frame.y)
    levels = _rail_levels(layout, leg_number)
    reach = REACH + layout.run.fence_front
    close = fence.around(leg.start[:2], math.hypot(NEAR, NEAR))
    near = [member for member in close if member.run == run and _is_near(member, corner)]
    items: list[Item] = []
    cuts: list[tuple[Member, Geometry]] = []
    for member in near:
        if member.kind in (RAIL, BOLT, BRACKET) and member.leg not in levels:
            continue
        lines, area = _cut_member(member, corner, levels.get(member.leg, 0.0), reach)
        items += lines
        if area is not None:
            cuts.append((member, area))
    turn = view_frame(leg.frame, corner).x
    ends = ((-reach, 0.0), (0.0, 0.0), (turn[0] * reach, turn[1] * reach))
    items.append(Line.through(ends, layers.AXIS))
    items += callouts(list(_words(cuts, fence, draft)), items, draft, lift=0.5)
    first = stations_of_leg(layout, leg_number)[0][1].label
    other = stations_of_leg(layout, leg_number - 1 if leg_number else len(layout.legs) - 1)[-1][1]
    paired = other.label != first
    label = f"{other.label} and {first}" if paired else first
    angle = 180.0 - abs(leg.turn_start)
    kind = "posts" if paired else "post"
    notes = [f"turn of {abs(leg.turn_start):.1f}°, angle {angle:.1f}°; {kind} {label}"]
    if paired:
        notes.append(_setback_note(layout, leg_number, draft))
    else:
        posts = [m for m in near if m.kind in POSTS and _shows(m, corner, reach)]
        notes += _middle_note(posts[-1:], corner, draft)
    return titled(f"Plan section at corner {label}", items, draft, notes=notes)


def _is_near(member: Member, corner: Frame) -> bool:
    x, y, _ = corner.local(member.frame.origin)
    return abs(x) <= NEAR and abs(y) <= NEAR


def _cut_member(
    member: Member, corner: Frame, level: float, reach: float
) -> tuple[list[Item], Geometry | None]:
    """Return what a level plane shows of a member within `reach` of the corner, and its area."""
    import shapely

    loop, layer, is_cut = _cut(member, corner, level)
    if not loop:
        return [], None
    shown = shapely.Point(0.0, 0.0).buffer(reach, 64)
    area = shapely.Polygon(loop).intersection(shown)
    if area.is_empty or area.area < 1.0:
        return [], None
    edge = shapely.LinearRing(loop).intersection(shown)
    items: list[Item] = []
    for part in shapely.get_parts(shapely.line_merge(edge)):
        points = tuple((float(a), float(b)) for a, b in part.coords)
        if len(points) > 1:  # an outline may lie outside what is shown, all around it
            items.append(Line.through(points, layer))
    if is_cut and area.geom_type == "Polygon":
        ring = tuple((float(a), float(b)) for a, b in area.exterior.coords[:-1])
        items.append(Hatch(ring, CUT_CONCRETE if member.kind == CONCRETE_POST else CUT_TIMBER))
    return items, area


NAMED = (*POSTS, RAIL, BOLT, BRACKET, PALE)
"""Kinds that have a callout, if they are there."""


def _words(
    cuts: Sequence[tuple[Member, Geometry]], fence: FenceModel, draft: Draft
) -> Iterator[Callout]:
    """Yield what stands at a corner: of each kind the piece of which most is shown."""
    import shapely

    told = fence.job.fixings
    bolts = shapely.union_all([area for member, area in cuts if member.kind == BOLT])
    for kind in NAMED:
        own = [(member, area) for member, area in cuts if member.kind == kind]
        if not own:
            continue
        member, area = max(own, key=lambda one: (round(one[1].area, 1), one[0].name))
        sizes = [draft.figure(size) for size in member.shape.size]
        words = f"{kind.name} {sizes[0]} x {sizes[1]}"
        if isinstance(member.shape, Bolt):
            words = f"{bolt_name(member.shape)}, washer and nut"
        elif kind in POSTS:
            words = f"{member.role} {sizes[0]} x {sizes[1]}"
        elif kind == PALE:
            words += f", {told.crossing} {told.pales} at each rail"
        elif kind == BRACKET:
            words = _bracket_words(member, draft)
        clear = area.difference(bolts) if kind != BOLT else area
        spot = clear.representative_point()
        yield Callout(words, (float(spot.x), float(spot.y)))


def _bracket_words(member: Member, draft: Draft) -> str:
    """Return what a bracket is: an angle of flat metal, or a sleeve round an arris rail."""
    plate = member.shape
    assert isinstance(plate, Plate)
    if _stands(member):
        metal, leg = draft.figure(BRACKET_METAL), draft.figure(BRACKET_LEG)
        high = draft.figure(plate.thickness)
        return f"bracket {high} x {metal}, legs up to {leg}, {SCREWED[BRACKET]} screws"
    return f"sleeve {draft.figure(plate.thickness)} long, {SCREWED[BRACKET]} screws"


def _stands(member: Member) -> bool:
    """Tell whether a bracket is an angle that stands upright, its outline its plan."""
    return abs(member.frame.y[2]) > 0.9


def _shows(member: Member, corner: Frame, reach: float) -> bool:
    """Tell whether any of a post is within `reach` of the corner."""
    import shapely

    loop, _, _ = _cut(member, corner, 0.0)
    shown = shapely.Point(0.0, 0.0).buffer(reach, 64)
    return bool(shapely.Polygon(loop).intersection(shown).area >= 1.0)


def _middle_note(posts: list[Member], corner: Frame, draft: Draft) -> list[str]:
    """Say where the middle of the corner's post is, unless it stands on the corner."""
    for post in posts:
        loop, _, _ = _cut(post, corner, 0.0)
        x, y = (abs(sum(point[axis] for point in loop) / 4.0) for axis in (0, 1))
        if x > 0.5 or y > 0.5:
            along, across = draft.figure(x), draft.figure(y)
            return [f"middle of the post {along} along and {across} across from the corner"]
    return []


def _rail_levels(layout: RunLayout, leg_number: int) -> dict[int, float]:
    """Return the middle of the top rail at a corner for both legs, over the corner's ground, mm."""
    job = layout.run
    up = job.rails.tops[-1] - job.rails.section[0] / 2.0
    levels = {}
    corner = layout.legs[leg_number].start[2]
    for stretch in layout.stretches:
        start = stretch.leg.start[2] - corner
        if stretch.leg_number == leg_number and stretch.first.kind == PostRole.CORNER:
            levels[stretch.leg_number] = start + stretch.settings[0].base(stretch.first.x) + up
        elif (
            stretch.leg_number == (leg_number - 1) % len(layout.legs)
            and stretch.last.kind == PostRole.CORNER
        ):
            levels[stretch.leg_number] = start + stretch.settings[-1].base(stretch.last.x) + up
    return levels


def _setback_note(layout: RunLayout, leg_number: int, draft: Draft) -> str:
    """Say how far the last post of the leg before and the first of a leg are from the corner."""
    before = (leg_number - 1) % len(layout.legs)
    last = stations_of_leg(layout, before)[-1][0]
    setbacks = (layout.legs[before].length - last, stations_of_leg(layout, leg_number)[0][0])
    first, second = (draft.figure(setback) for setback in setbacks)
    return f"middles of the posts {first} and {second} from the corner"


def _cut(member: Member, corner: Frame, level: float) -> tuple[list[Point], layers.Layer, bool]:
    """Return what a level plane shows of a member, its layer, and whether end grain is cut."""
    loop: list[Point] = []
    layer, cut = layers.RAILS, False
    low = member.frame.origin[2] - corner.origin[2]
    match member.shape:
        case Post(width, depth):
            w, d = width / 2.0, depth / 2.0
            loop, layer, cut = [(-w, -d), (w, -d), (w, d), (-w, d)], layers.POSTS, True
        case Plate() as plate if member.kind == PALE:
            loop, layer, cut = list(plate.plan()), layers.PALES, True
        case Bar() as bar if member.kind == RAIL and _holds(member, corner, level):
            loop = bar_plan(bar)
        case Tenoned(bar) if _holds(member, corner, level):
            loop = bar_plan(bar)
        case Plate(outline, thickness) if member.kind == BRACKET and abs(low - level) < 80.0:
            rows = (0.0,) if _stands(member) else (0.0, thickness)
            points = [
                corner.local(member.frame.point((x, y, z)))[:2]
                for x, z in outline.flatten()
                for y in rows
            ]
            return points if _stands(member) else _hull(points), layers.METAL, False
        case Bolt() as bolt if abs(low - level) < 60.0:
            half, end = bolt.diameter / 2.0, bolt.head_height + bolt.length
            loop, layer = [(-half, 0.0), (half, 0.0), (half, end), (-half, end)], layers.METAL
    points = [corner.local(member.frame.point((x, y, 0.0)))[:2] for x, y in loop]
    return points, layer, cut


def _hull(points: list[Point]) -> list[Point]:
    import shapely

    around = shapely.MultiPoint(points).convex_hull
    return [(float(x), float(y)) for x, y in shapely.get_coordinates(around)[:-1]]


def _holds(member: Member, corner: Frame, level: float) -> bool:
    """Tell whether a rail is at a level where it comes nearest to the corner."""
    bar = bar_of(member.shape)
    assert bar is not None
    ends = [corner.local(member.frame.point((x, 0.0, 0.0))) for x in (0.0, bar.length)]
    near = min(ends, key=lambda end: math.hypot(end[0], end[1]))
    return near[2] - 20.0 < level < near[2] + bar.size[0] + 20.0
