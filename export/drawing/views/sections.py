"""Sections: upright through the fence and a footing, and in plan through a corner."""

from __future__ import annotations

import math

from palewright.export.drawing.draft import style as layers
from palewright.export.drawing.draft.figures import Figures
from palewright.export.drawing.draft.scales import Scale
from palewright.export.drawing.draft.style import CUT_CONCRETE, CUT_GROUND, CUT_TIMBER, Style
from palewright.export.drawing.draft.view import Dimension, Hatch, Item, Line, View
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.frames import Frame, Point
from palewright.model.geometry.outlines import Outline
from palewright.model.geometry.shapes import (
    Bar,
    Bolt,
    FlatTop,
    Footing,
    Plate,
    Post,
    PyramidTop,
    RoundHole,
    SquareHole,
    WeatheredTop,
)
from palewright.model.layout.footings import footing_of
from palewright.model.layout.placed_posts import PlacedPost
from palewright.model.layout.run_layout import RunLayout, stations_of_leg
from palewright.model.parts.members import BOLT, BRACKET, PALE, POST, RAIL, Member
from palewright.model.resolved.words import PostRole, RailForm

from .details import bolt_lines, cap_outline
from .dimensions import chain
from .plan import bar_plan
from .projection import view_frame
from .titles import titled


def fence_section(
    fence: FenceModel, run: int, scale: Scale, style: Style, figures: Figures
) -> View:
    """Return the section through the fence at a line post, front to the left.

    x = 0 on the line of the fence, y = 0 on the ground.
    """
    layout = fence.layouts[run]
    job = layout.run
    n = scale.n
    post = section_post(layout)
    footing = footing_of(job, post.plan)
    top = job.rails.tops[-1] + post.plan.above_rail  # where the base lies on the ground
    front, back = -job.face, post.plan.depth - job.face
    middle = (front + back) / 2.0
    items: list[Item] = []
    half = _half_hole(footing)
    _concrete(items, footing, middle, half)
    reach = 25.0 * n
    for x0, x1 in ((middle - half - reach, middle - half), (middle + half, middle + half + reach)):
        strip = ((x0, -6.0 * n), (x1, -6.0 * n), (x1, 0.0), (x0, 0.0))
        items.append(Hatch(strip, CUT_GROUND))
        items.append(Line.through(((x0, 0.0), (x1, 0.0)), layers.GROUND))
    match post.plan.top:
        case WeatheredTop(fall):
            tip = [(back, top - fall), (front, top)]
        case PyramidTop(rise):
            tip = [(back, top - rise), (middle, top), (front, top - rise)]
        case FlatTop():
            tip = [(back, top), (front, top)]
    foot = -post.plan.embedment
    items.append(Line.through(((front, foot), (back, foot), *tip), layers.POSTS, closed=True))
    cap = post.plan.cap
    if cap is not None:
        loop = cap_outline(cap, cap.depth / 2.0, middle, top)
        items.append(Line.through(loop, layers.POSTS, closed=True))
    _rails_and_pale(fence, run, items, post)
    _section_dimensions(layout, post, items, (middle, half, back), top, n, style, figures)
    title = f"Section at a {post.kind} post, run {job.letter}"
    notes = [] if _flat(layout) else ["heights over the base of the bay; ground as on elevations"]
    return titled(title, items, scale, style, figures, left=-job.pale_front - reach, notes=notes)


def _flat(layout: RunLayout) -> bool:
    """Tell whether all bays stand level on level ground."""
    settings = [setting for stretch in layout.stretches for setting in stretch.settings]
    return all(post.rise == 0.0 for post in layout.posts) and not any(s.slope for s in settings)


def section_post(layout: RunLayout) -> PlacedPost:
    """Return the post that a run is cut at: a line post, or the first that stands in the ground."""
    footed = [post for post in layout.posts if post.kind != PostRole.WALL]
    return next((post for post in footed if post.kind == PostRole.LINE), footed[0])


def _half_hole(footing: Footing) -> float:
    match footing.hole:
        case RoundHole(diameter):
            return diameter / 2.0
        case SquareHole(_, depth):
            return depth / 2.0


def _concrete(items: list[Item], footing: Footing, middle: float, half: float) -> None:
    d = footing.post_depth / 2.0
    high = footing.weathering
    if high and isinstance(footing.hole, RoundHole):
        high = footing.cone_height * (1.0 - d / half)
    loop = (
        (middle - half, 0.0), (middle - half, -footing.depth), (middle + half, -footing.depth),
        (middle + half, 0.0), (middle + d, high), (middle + d, -footing.embedment),
        (middle - d, -footing.embedment), (middle - d, high),
    )  # fmt: skip
    items.append(Line.through(loop, layers.CONCRETE, closed=True))
    items.append(Hatch(loop, CUT_CONCRETE))


def _rails_and_pale(fence: FenceModel, run: int, items: list[Item], post: PlacedPost) -> None:
    job = fence.layouts[run].run
    rail = next(m.shape for m in fence.members if m.kind == RAIL and m.run == run)
    assert isinstance(rail, Bar)
    start = -job.face - (job.rails.section[1] if job.rails.form == RailForm.FACE else 0.0)
    height = job.rails.section[0]
    for top in job.rails.tops:
        loop = tuple((start + y, top - height + z) for y, z in rail.section)
        items.append(Line.through(loop, layers.RAILS, closed=True))
        items.append(Hatch(loop, CUT_TIMBER))
    foot, head = job.pales.clearance, job.height
    pale = Outline.rectangle(-job.pale_front, foot, -job.pale_back, head)
    items.append(Line(pale.vertices, layers.PALES, closed=True))
    if job.shoulder < head:
        side = ((-job.pale_front, job.shoulder), (-job.pale_back, job.shoulder))
        items.append(Line.through(side, layers.METAL))
    bolt = _bolt_at(fence, run, post)
    if bolt is None:
        return
    for top in job.rails.tops:
        for line in bolt_lines(bolt, (0.0, 0.0)):
            # from upright to level: y of the bolt becomes x of the section
            spots = tuple((start + y, top - height / 2.0 + x, b) for x, y, b in line.vertices)
            items.append(Line(spots, layers.METAL, closed=True))


def _bolt_at(fence: FenceModel, run: int, post: PlacedPost) -> Bolt | None:
    """Return the first bolt through a post, or None when its rails have none."""
    for member in fence.members:
        if member.run == run and isinstance(member.shape, Bolt):
            x, y, _ = post.frame.local(member.frame.origin)
            if abs(x) < post.plan.width / 2.0 and abs(y) < 300.0:
                return member.shape
    return None


def _section_dimensions(
    layout: RunLayout,
    post: PlacedPost,
    items: list[Item],
    across: tuple[float, float, float],
    top: float,
    n: float,
    style: Style,
    figures: Figures,
) -> None:
    job = layout.run
    middle, half, back = across
    embedment, bed = post.plan.embedment, job.footings.bed
    left = min(-job.pale_front, middle - half)
    x = left - style.first_tier * n
    pales: list[Point] = [(left, z) for z in (0.0, job.pales.clearance, job.height)]
    items.extend(chain(pales, (x, 0.0), 90.0, n, style, figures, aside=False))
    right = max(back, middle + half)
    x = right + style.first_tier * n
    if job.footings.weathering:
        spots: list[Point] = [(right, 0.0), (right, job.footings.weathering)]
        items.extend(chain(spots, (x, 0.0), 90.0, n, style, figures, aside=False))
    spots = [(right, job.rails.tops[-1]), (right, top)]
    items.extend(chain(spots, (x, 0.0), 90.0, n, style, figures, aside=False))
    x += style.side_tier * n
    # above ground the rails, nearest first; below it the post and its bed
    below = [-embedment - bed, -embedment, 0.0] if bed else [-embedment, 0.0]
    items.extend(chain([(right, z) for z in below], (x, 0.0), 90.0, n, style, figures))
    for rail in job.rails.tops:
        items.append(Dimension((right, 0.0), (right, rail), (x, 0.0), 90.0))
        x += style.side_tier * n
    low = -embedment - bed
    spots = [(middle - half, low), (middle + half, low)]
    items.extend(chain(spots, (0.0, low - style.first_tier * n), 0.0, n, style, figures))
    high = max(job.height, top)
    spots = [(-job.pale_front, job.height), (-job.pale_back, job.height)]
    items.extend(chain(spots, (0.0, high + style.first_tier * n), 0.0, n, style, figures))


CORNER_REACH = 330.0
"""How far a corner's plan reaches along its legs, mm."""


def corner_plan(
    fence: FenceModel, run: int, leg_number: int, scale: Scale, style: Style, figures: Figures
) -> View:
    """Return the plan section through the corner at the start of a leg, under the top rail.

    x runs along the leg before the corner, y to the back of it; the corner is at (0, 0).
    """
    import shapely

    layout = fence.layouts[run]
    job = layout.run
    leg = layout.legs[leg_number]
    before = layout.legs[leg_number - 1]
    corner = Frame((*leg.start[:2], leg.start[2]), before.frame.x, before.frame.y)
    levels = _rail_levels(layout, leg_number)
    items: list[Item] = []
    shown = shapely.Point(0.0, 0.0).buffer(CORNER_REACH + job.pale_front, 64)
    post_shape: tuple[Point, ...] = ()
    for member in fence.members:
        if member.run != run:
            continue
        x, y, _ = corner.local(member.frame.origin)
        if abs(x) > 9000 or abs(y) > 9000:
            continue
        if member.kind in (RAIL, BOLT, BRACKET) and member.leg not in levels:
            continue
        loop, layer, cut = _cut(member, corner, levels.get(member.leg, 0.0))
        if not loop:
            continue
        area = shapely.Polygon(loop).intersection(shown)
        if area.is_empty or area.area < 1.0:
            continue
        edge = shapely.LinearRing(loop).intersection(shown)
        for part in shapely.get_parts(shapely.line_merge(edge)):
            spots = tuple((float(a), float(b)) for a, b in part.coords)
            if len(spots) > 1:  # an outline may lie outside what is shown, all around it
                items.append(Line.through(spots, layer))
        if cut and area.geom_type == "Polygon":
            ring = tuple((float(a), float(b)) for a, b in area.exterior.coords[:-1])
            items.append(Hatch(ring, CUT_TIMBER))
        if member.kind == POST:
            post_shape = tuple(loop)
    reach = CORNER_REACH + job.pale_front
    turn = view_frame(leg.frame, corner).x
    ends = ((-reach, 0.0), (0.0, 0.0), (turn[0] * reach, turn[1] * reach))
    items.append(Line.through(ends, layers.AXIS))
    label = stations_of_leg(layout, leg_number)[0][1].label
    other = stations_of_leg(layout, leg_number - 1 if leg_number else len(layout.legs) - 1)[-1][1]
    paired = other.label != label
    label = f"{other.label} and {label}" if paired else label
    angle = 180.0 - abs(leg.turn_start)
    kind = "posts" if paired else "post"
    notes = [f"turn of {abs(leg.turn_start):.1f}°, angle {angle:.1f}°; {kind} {label}"]
    if paired:
        first, second = _setbacks(layout, leg_number)
        notes.append(
            f"middles of the posts {figures.text(first)} and {figures.text(second)} from the corner"
        )
    elif post_shape:
        cx = sum(x for x, _ in post_shape) / 4.0
        cy = sum(y for _, y in post_shape) / 4.0
        if abs(cx) > 0.5 or abs(cy) > 0.5:
            notes.append(
                f"middle of the post {figures.text(abs(cx))} along and {figures.text(abs(cy))} "
                "across from the corner"
            )
    return titled(f"Plan section at corner {label}", items, scale, style, figures, notes=notes)


def _rail_levels(layout: RunLayout, leg_number: int) -> dict[int, float]:
    """Return the middle of the top rail at a corner for both legs, over the corner's ground, mm."""
    job = layout.run
    up = job.rails.tops[-1] - job.rails.section[0] / 2.0
    found = {}
    corner = layout.legs[leg_number].start[2]
    for stretch in layout.stretches:
        start = stretch.leg.start[2] - corner
        if stretch.leg_number == leg_number and stretch.first.kind == PostRole.CORNER:
            found[stretch.leg_number] = start + stretch.settings[0].base(stretch.first.x) + up
        elif (
            stretch.leg_number == (leg_number - 1) % len(layout.legs)
            and stretch.last.kind == PostRole.CORNER
        ):
            found[stretch.leg_number] = start + stretch.settings[-1].base(stretch.last.x) + up
    return found


def _setbacks(layout: RunLayout, leg_number: int) -> tuple[float, float]:
    """Return how far the last post of the leg before and the first of a leg are from the corner."""
    before = (leg_number - 1) % len(layout.legs)
    last = stations_of_leg(layout, before)[-1][0]
    return layout.legs[before].length - last, stations_of_leg(layout, leg_number)[0][0]


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
        case Plate(outline) if member.role == "rail to rail" and abs(low - level) < 80.0:
            spots = [
                corner.local(member.frame.point((x, 0.0, z)))[:2] for x, z in outline.flatten()
            ]
            return spots, layers.METAL, False
        case Bolt() as bolt if abs(low - level) < 60.0:
            half, end = bolt.diameter / 2.0, bolt.head_height + bolt.length
            loop, layer = [(-half, 0.0), (half, 0.0), (half, end), (-half, end)], layers.METAL
    spots = [corner.local(member.frame.point((x, y, 0.0)))[:2] for x, y in loop]
    return spots, layer, cut


def _holds(member: Member, corner: Frame, level: float) -> bool:
    """Tell whether a rail is at a level where it comes nearest to the corner."""
    bar = member.shape
    assert isinstance(bar, Bar)
    ends = [corner.local(member.frame.point((x, 0.0, 0.0))) for x in (0.0, bar.length)]
    near = min(ends, key=lambda end: math.hypot(end[0], end[1]))
    return near[2] - 20.0 < level < near[2] + bar.size[0] + 20.0
