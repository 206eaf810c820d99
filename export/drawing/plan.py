"""The plan of a fence in site coordinates: x east, y north."""

from __future__ import annotations

import itertools
import math

from palewright.model.fence import Fence
from palewright.model.gates import leaves
from palewright.model.geometry import Frame, Outline, Point, cos_sin
from palewright.model.layout import RunLayout
from palewright.model.members import CAP, FOOTING, LEDGE, PALE, POST, RAIL, Member
from palewright.model.shapes import Bar, Plate, Post

from . import style as layers
from .dimensions import text_width
from .elevation import stations_of_leg
from .style import Style
from .view import Arc, Block, Dimension, Insert, Item, Line, Text, View

LINE_PAST = 4.0
"""How far the fence line runs past its ends, mm on paper."""


def plan(fence: Fence, scale: int, style: Style) -> View:
    """Return the plan of all runs: line, posts with labels, rails, pales and gate swings."""
    items: list[Item] = []
    blocks: dict[str, Block] = {}
    for member in fence.members:
        _member(member, items, blocks)
    for layout in fence.layouts:
        _line(layout, items, scale)
        _labels(layout, items, scale, style)
        _lengths(layout, items, scale, style)
        _swings(layout, items)
    points = [point for item in items for point in _points(item)]
    below = (
        min(x for x, _ in points),
        min(y for _, y in points) - (style.overrun + 2.0 * style.subtitle) * scale,
    )
    return View("Plan", scale, tuple(items), tuple(blocks.values()), titled_at=below)


def _points(item: Item) -> list[Point]:
    """Return points that mark how far an item reaches."""
    match item:
        case Line(vertices):
            return [(x, y) for x, y, _ in vertices]
        case Arc(centre=(x, y), radius=radius):
            return [(x - radius, y - radius), (x + radius, y + radius)]
        case Dimension(start, end, base, degrees):
            # the ends of the dimension line: the measured points moved across onto its base
            cos, sin = cos_sin(degrees)
            lift = -(base[0] - start[0]) * sin + (base[1] - start[1]) * cos
            return [(x - lift * sin, y + lift * cos) for x, y in (start, end)]
        case Insert(at=at) | Text(at=at):
            return [at]


def _member(member: Member, items: list[Item], blocks: dict[str, Block]) -> None:
    match member.shape:
        case Plate(outline, thickness) if member.kind == PALE:
            name = f"{member.mark}-PLAN"
            if name not in blocks:
                x0, _, x1, _ = outline.bounds
                box = Outline.rectangle(x0, 0.0, x1, thickness)
                blocks[name] = Block(name, (Line(box.vertices, layers.PALES, closed=True),))
            spot = member.frame.origin
            turn = math.degrees(math.atan2(member.frame.x[1], member.frame.x[0]))
            items.append(Insert(name, (spot[0], spot[1]), layers.PALES, turn))
        case Bar(section=section) if member.kind in (RAIL, LEDGE):
            bar = member.shape
            ys = [y for y, _ in section]
            near, far = min(ys), max(ys)
            loop = [
                (bar.end_x(bar.left, 0.0, (near, 0.0)), near),
                (bar.end_x(bar.right, bar.length, (near, 0.0)), near),
                (bar.end_x(bar.right, bar.length, (far, 0.0)), far),
                (bar.end_x(bar.left, 0.0, (far, 0.0)), far),
            ]
            items.append(_placed(loop, member.frame, layers.RAILS))
        case Post(width, depth) if member.kind == POST:
            w, d = width / 2.0, depth / 2.0
            items.append(_placed([(-w, -d), (w, -d), (w, d), (-w, d)], member.frame, layers.POSTS))
        case _:
            assert member.kind not in (POST, RAIL, PALE, LEDGE) or member.kind in (CAP, FOOTING)


def _placed(loop: list[Point], frame: Frame, layer: layers.Layer) -> Line:
    points = tuple(frame.point((x, y, 0.0))[:2] for x, y in loop)
    return Line.through(points, layer, closed=True)


def _line(layout: RunLayout, items: list[Item], scale: int) -> None:
    points = [(x, y) for x, y, _ in layout.run.line.vertices]
    if layout.run.line.closed:
        items.append(Line.through(tuple(points), layers.AXIS, closed=True))
        return
    past = LINE_PAST * scale
    first, last = layout.legs[0].frame, layout.legs[-1].frame
    points[0] = first.point((-past, 0.0, 0.0))[:2]
    points[-1] = last.point((layout.legs[-1].length + past, 0.0, 0.0))[:2]
    items.append(Line.through(tuple(points), layers.AXIS))


def _labels(layout: RunLayout, items: list[Item], scale: int, style: Style) -> None:
    """Put each post's label behind it, at corners half-way between the backs of both legs."""
    backs: dict[str, list[Point]] = {}
    for number, leg in enumerate(layout.legs):
        for _, post in stations_of_leg(layout, number):
            backs.setdefault(post.label, []).append(leg.frame.y[:2])
    for post in layout.posts:
        x = sum(back[0] for back in backs[post.label])
        y = sum(back[1] for back in backs[post.label])
        long = math.hypot(x, y)
        x, y = x / long, y / long
        # out of a narrow corner the label moves farther, to stay clear of both legs
        spread = 2.0 / long if len(backs[post.label]) == 2 else 1.0
        half = text_width(post.label, style.text) / 2.0 * abs(x) + style.text / 2.0 * abs(y)
        away = max(post.plan.depth, post.plan.width) / 2.0 + (half + style.gap * 1.5) * scale
        at = post.frame.origin
        spot = at[0] + x * away * spread, at[1] + y * away * spread - style.text / 2.0 * scale
        items.append(Text(post.label, spot, style.text, "centre"))


def _lengths(layout: RunLayout, items: list[Item], scale: int, style: Style) -> None:
    """Dimension each leg from corner to corner on the front, and the gates in it."""
    for number, leg in enumerate(layout.legs):
        frame = leg.frame
        degrees = upright(math.degrees(math.atan2(frame.x[1], frame.x[0])))
        front = -layout.run.pale_front

        def at(x: float, y: float, frame: Frame = frame) -> Point:
            spot = frame.point((x, y, 0.0))
            return spot[0], spot[1]

        clear = style.first_tier * scale
        stops = [0.0, leg.length]
        for opening in layout.openings:
            if opening.leg == number:
                stops += [opening.start, opening.end]
                if opening.spec.swing == "out":  # past the arc of the leaves
                    widest = max(leaf.width for leaf in leaves(layout.run, opening))
                    clear = max(clear, widest + style.offset * scale)
        tier = front - clear
        stops.sort()
        if len(stops) > 2:
            for a, b in itertools.pairwise(stops):
                items.append(Dimension(at(a, front), at(b, front), at(0.0, tier), degrees))
            tier -= style.tier * scale
        items.append(Dimension(at(0.0, front), at(leg.length, front), at(0.0, tier), degrees))


def _swings(layout: RunLayout, items: list[Item]) -> None:
    """Draw each leaf open at a right angle, and the arc it swings through."""
    for opening in layout.openings:
        frame = layout.legs[opening.leg].frame
        out = opening.spec.swing == "out"
        y = -layout.run.pale_front if out else -layout.run.pale_back + layout.run.ledge[1]
        for leaf in leaves(layout.run, opening):
            hinge = leaf.x0 if leaf.hinge_left else leaf.x1
            free = leaf.x1 if leaf.hinge_left else leaf.x0
            centre = frame.point((hinge, y, 0.0))
            shut = frame.point((free, y, 0.0))
            side = -leaf.width if out else leaf.width
            wide = frame.point((hinge, y + side, 0.0))
            items.append(Line.through((centre[:2], wide[:2]), layers.SYMBOLS))
            turns = [
                math.degrees(math.atan2(spot[1] - centre[1], spot[0] - centre[0]))
                for spot in (shut, wide)
            ]
            if (leaf.hinge_left and out) or (not leaf.hinge_left and not out):
                turns.reverse()
            items.append(Arc(centre[:2], leaf.width, turns[0], turns[1], layers.SYMBOLS))


def upright(degrees: float) -> float:
    """Return a direction turned by half a turn where text along it would stand on its head.

    >>> upright(180.0), upright(-90.0), upright(45.0)
    (0.0, 90.0, 45.0)
    """
    turned = (degrees + 90.0) % 180.0 - 90.0
    return 90.0 if turned <= -90.0 + 1e-9 else turned
