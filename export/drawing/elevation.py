"""The front elevation of one leg of a fence, with its dimensions."""

from __future__ import annotations

from palewright.model.fence import Fence
from palewright.model.geometry import Frame, Point
from palewright.model.layout import PlacedPost, RunLayout
from palewright.model.members import (
    BRACE,
    CAP,
    FOOTING,
    LEDGE,
    METAL,
    PALE,
    POST,
    RAIL,
    Member,
)
from palewright.model.pales import pale_row
from palewright.model.posts import post_top
from palewright.model.shapes import Footing, Plate, RoundHole, SquareHole

from . import style as layers
from .dimensions import chain
from .project import polylines, project, view_frame, visible
from .style import Layer, Style
from .view import Block, Dimension, Insert, Item, Line, Text, View, outline_line

GROUND_PAST = 12.0
"""How far the ground line runs past the fence, mm on paper."""

HATCH_EVERY, HATCH_LENGTH = 16.0, 2.5
"""Ground hatching: groups of three strokes, mm on paper."""


def elevation(
    fence: Fence, run: int, leg_number: int, scale: int, style: Style, *, heights: bool
) -> View:
    """Return the front elevation of a leg.

    x runs along the leg from its start, y up from the ground there. heights : whether to give
    the heights and depths as well, which are the same for all legs of a run.
    """
    layout = fence.layouts[run]
    members = members_of_leg(fence, run, leg_number)
    stations = stations_of_leg(layout, leg_number)
    items: list[Item] = []
    blocks: dict[str, Block] = {}
    _parts(layout, leg_number, members, items, blocks)
    left, right = _ends(layout, leg_number)
    _ground(items, left, right, scale)
    tops = [post_top(layout, post) for _, post in stations]
    top = max(layout.run.height, *tops)
    deepest = max(post.plan.embedment + layout.run.footings.bed for _, post in stations)
    lowest = _widths(layout, leg_number, stations, items, (left, right), deepest, scale, style)
    _labels(stations, items, top, scale, style)
    _openings(layout, leg_number, items, top, scale, style)
    if heights:
        _heights(layout, stations, items, left, scale, style)
    letter = layout.run.letter
    title = f"Front elevation {letter}{leg_number + 1}: posts {_span(stations)}"
    below = (left, lowest - (style.tier + style.subtitle) * scale)
    return View(title, scale, tuple(items), tuple(blocks.values()), titled_at=below)


def members_of_leg(fence: Fence, run: int, leg_number: int) -> list[Member]:
    """Return the members seen in a leg's elevation: its own, and the posts at its ends."""
    ends = {post.label for _, post in stations_of_leg(fence.layouts[run], leg_number)}
    return [
        member
        for member in fence.members
        if member.run == run and (member.leg == leg_number or member.station in ends)
        and (not member.station or member.station in ends)
    ]  # fmt: skip


def stations_of_leg(layout: RunLayout, leg_number: int) -> list[tuple[float, PlacedPost]]:
    """Return the posts of a leg from left to right, with their x on the line."""
    found: dict[int, float] = {}
    half = layout.run.gate_post.width / 2.0
    for stretch in layout.stretches:
        if stretch.leg == leg_number:
            found.update(zip(stretch.posts, stretch.xs, strict=True))
    for opening in layout.openings:
        if opening.leg == leg_number:
            found[opening.posts[0]] = opening.start - half
            found[opening.posts[1]] = opening.end + half
    return [(x, layout.posts[number]) for number, x in sorted(found.items(), key=lambda i: i[1])]


def _parts(
    layout: RunLayout,
    leg_number: int,
    members: list[Member],
    items: list[Item],
    blocks: dict[str, Block],
) -> None:
    import shapely

    view = layout.legs[leg_number].frame
    above = shapely.box(-1e12, 0.0, 1e12, 1e12)
    drawn = [project(member, view) for member in members if member.kind != FOOTING]
    for member, lines in visible(drawn):
        if member.kind == PALE:
            if member.mark not in blocks:
                assert isinstance(member.shape, Plate)
                line = outline_line(member.shape.outline, layers.PALES)
                blocks[member.mark] = Block(member.mark, (line,))
            x, _, z = view_frame(member.frame, view).origin
            items.append(Insert(member.mark, (x, z), layers.PALES))
            continue
        for part in polylines(lines.intersection(above)):
            items.append(Line.through(part, _layer(member)))
        for part in polylines(lines.difference(above)):
            items.append(Line.through(part, layers.HIDDEN))
    for member in members:
        if member.kind == FOOTING:
            items.append(Line.through(_hole(member, view), layers.HIDDEN))


def _hole(member: Member, view: Frame) -> tuple[Point, ...]:
    """Return the sides and the bottom of a footing's hole, from ground to ground."""
    footing = member.shape
    assert isinstance(footing, Footing)
    frame = view_frame(member.frame, view)
    x, _, z = frame.origin
    match footing.hole:
        case RoundHole(diameter):
            half = diameter / 2.0
        case SquareHole(width, depth):
            half = (width * abs(frame.x[0]) + depth * abs(frame.y[0])) / 2.0
    low = z - footing.depth
    return (x - half, z), (x - half, low), (x + half, low), (x + half, z)


def _layer(member: Member) -> Layer:
    if member.kind in (POST, CAP):
        return layers.POSTS
    if member.kind in (RAIL, LEDGE, BRACE):
        return layers.RAILS
    assert member.kind.material == METAL
    return layers.METAL


def _ends(layout: RunLayout, leg_number: int) -> tuple[float, float]:
    """Return the first and the last x that pales or posts of a leg reach."""
    leg = layout.legs[leg_number]
    xs = [x for _, post in stations_of_leg(layout, leg_number) for x in post.extent(leg)]
    for stretch in layout.stretches:
        if stretch.leg == leg_number:
            row = pale_row(layout, stretch)
            xs += [row.x0, row.x1]
    return min(xs), max(xs)


def _ground(items: list[Item], left: float, right: float, scale: int) -> None:
    start, end = left - GROUND_PAST * scale, right + GROUND_PAST * scale
    items.append(Line.through(((start, 0.0), (end, 0.0)), layers.GROUND))
    x = start + HATCH_LENGTH * scale
    size = HATCH_LENGTH * scale
    while x + size < end:
        for step in range(3):
            spot = x + step * size / 2.0
            stroke = ((spot, 0.0), (spot - size, -size))
            items.append(Line.through(stroke, layers.GROUND_HATCH))
        x += HATCH_EVERY * scale


def _widths(
    layout: RunLayout,
    leg_number: int,
    stations: list[tuple[float, PlacedPost]],
    items: list[Item],
    ends: tuple[float, float],
    deepest: float,
    scale: int,
    style: Style,
) -> float:
    """Add bays, their sum and the overall length; return the lowest dimension line."""
    tier = -deepest - style.first_tier * scale
    # from the concrete, so that extension lines do not run over the posts' feet
    spots: list[Point] = [(x, -deepest) for x, _ in stations]
    items.extend(chain(spots, (0.0, tier), 0.0, scale, style))
    if len(spots) > 2:
        tier -= style.tier * scale
        items.append(Dimension(spots[0], spots[-1], (0.0, tier)))
    tier -= style.tier * scale
    items.append(Dimension((ends[0], -deepest), (ends[1], -deepest), (0.0, tier)))
    return tier


def _labels(
    stations: list[tuple[float, PlacedPost]],
    items: list[Item],
    top: float,
    scale: int,
    style: Style,
) -> None:
    y = top + style.text * scale
    for x, post in stations:
        items.append(Text(post.label, (x, y), style.text, "centre"))


def _openings(
    layout: RunLayout, leg_number: int, items: list[Item], top: float, scale: int, style: Style
) -> None:
    """Add each gate's clear opening and the sign of its hanging side."""
    from palewright.model.gates import leaves

    tier = top + style.first_tier * scale
    for opening in layout.openings:
        if opening.leg != leg_number:
            continue
        over = top + 2.0 * style.text * scale  # over the posts' labels
        spots = [(opening.start, over), (opening.end, over)]
        items.extend(chain(spots, (0.0, tier), 0.0, scale, style))
        for leaf in leaves(layout.run, opening):
            hung, free = (leaf.x0, leaf.x1) if leaf.hinge_left else (leaf.x1, leaf.x0)
            foot, head = leaf.foot, leaf.foot + leaf.height
            sign = ((free, foot), (hung, (foot + head) / 2.0), (free, head))
            items.append(Line.through(sign, layers.SYMBOLS))


def _heights(
    layout: RunLayout,
    stations: list[tuple[float, PlacedPost]],
    items: list[Item],
    left: float,
    scale: int,
    style: Style,
) -> None:
    """Add heights and depths in tiers on the left, the nearest first."""
    run = layout.run
    first = stations[0][1]
    embedment, bed = first.plan.embedment, run.footings.bed
    pales = [0.0, run.pales.clearance, run.height]
    rails = [0.0, *run.tops, post_top(layout, first)]
    below = [-embedment - bed, -embedment, 0.0] if bed else [-embedment, 0.0]
    overall = max(run.height, rails[-1])
    x = left - style.first_tier * scale
    tiers = [below + pales[1:], rails]
    if overall not in (run.height, rails[-1]):
        tiers.append([0.0, overall])
    for spots in tiers:
        points: list[Point] = [(left, z) for z in spots]
        aside = spots[0] < 0.0
        items.extend(chain(points, (x, 0.0), 90.0, scale, style, aside=aside))
        x -= style.side_tier * scale


def _span(stations: list[tuple[float, PlacedPost]]) -> str:
    return f"{stations[0][1].label} to {stations[-1][1].label}"
