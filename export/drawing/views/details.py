"""Details of posts, rails and pales at large scale."""

from __future__ import annotations

from palewright.export.drawing.draft import style as layers
from palewright.export.drawing.draft.figures import Figures
from palewright.export.drawing.draft.scales import Scale
from palewright.export.drawing.draft.style import CUT_TIMBER, Style
from palewright.export.drawing.draft.view import Hatch, Item, Line, Text, View
from palewright.model.geometry.frames import Point
from palewright.model.geometry.heads import Clipped, Free, Ogee, Pointed, PointedArch, Segmental
from palewright.model.geometry.outlines import Outline
from palewright.model.geometry.shapes import (
    Bolt,
    Cap,
    FlatTop,
    PyramidTop,
    WeatheredTop,
    arris_section,
)
from palewright.model.layout.run_layout import RunLayout
from palewright.model.parts.hardware import ARRIS_BRACKET_LENGTH, ARRIS_BRACKET_METAL
from palewright.model.resolved.job import PostPlan
from palewright.model.resolved.words import RailForm

from .dimensions import chain
from .members_shown import break_line
from .titles import titled

CUT_OFF = 0.8
"""How much of a pale is shown below its head, in widths."""


def head_detail(layout: RunLayout, scale: Scale, style: Style, figures: Figures) -> View:
    """Return a pale's head with what is needed to mark it out.

    x = 0 in the middle of the pale, y = 0 at its foot, which a break line cuts off.
    """
    run = layout.run
    n = scale.n
    width, top = run.pales.width, run.pales.length
    rise = run.head_rise
    spring = top - rise
    cut = max(spring - CUT_OFF * width, 0.0)
    half = width / 2
    head = run.pales.outline.vertices[2:]
    items: list[Item] = [
        Line(_without_doubles(((half, cut, 0.0), *head, (-half, cut, 0.0))), layers.PALES),
        break_line(((-half, cut), (half, cut)), n),
        Line.through(((0.0, cut - 2.0 * n), (0.0, top + 2.0 * n)), layers.AXIS),
    ]
    low = cut - style.first_tier * n
    items.extend(chain([(-half, cut), (half, cut)], (0.0, low), 0.0, n, style, figures))
    if rise > 0.0:
        ups: list[Point] = [(half, spring + up) for up in _up_spots(layout, rise)]
        side = half + style.first_tier * n
        items.extend(chain(ups, (side, 0.0), 90.0, n, style, figures))
    tips = _tip_spots(layout)
    if tips:
        above = top + style.first_tier * n
        items.extend(chain([(x, top) for x in tips], (0.0, above), 0.0, n, style, figures))
    return titled(
        f"Pale head, run {run.letter}",
        items,
        scale,
        style,
        figures,
        left=-half,
        notes=_head_notes(layout, figures),
    )


def _head_notes(layout: RunLayout, figures: Figures) -> list[str]:
    run = layout.run
    radii = sorted({round(e.radius, 1) for e in run.pales.outline.edges if e.bulge})
    notes = []
    if radii:
        words = " and ".join(figures.text(radius) for radius in radii)
        where = {
            PointedArch: ", centres on the springing line",
            Ogee: ", centres level with springing line and tip",
            Segmental: ", centre on the middle line",
        }.get(type(run.pales.head), ", centre on the springing line")
        notes.append(f"arcs of radius {words}{where}")
    if run.head_rise == 0.0:
        notes.append("cut square")
    return notes


def _without_doubles(
    vertices: tuple[tuple[float, float, float], ...],
) -> tuple[tuple[float, float, float], ...]:
    """Leave out vertices that repeat the one before (a head may start at the break line)."""
    kept = [vertices[0]]
    for vertex in vertices[1:]:
        if abs(vertex[0] - kept[-1][0]) > 1e-9 or abs(vertex[1] - kept[-1][1]) > 1e-9:
            kept.append(vertex)
    return tuple(kept)


def _up_spots(layout: RunLayout, rise: float) -> list[float]:
    """Return the heights of the head's corners and turning points over the springing line."""
    match layout.run.pales.head:
        case Ogee():
            return [0.0, rise / 2.0, rise]
        case Free(points):
            return sorted({0.0, *(y for _, y in points)})
        case _:
            return [0.0, rise]


def _tip_spots(layout: RunLayout) -> list[float]:
    """Return where the head's corners are across the pale, for heads of straight cuts.

    Of a symmetrical head the left half says all.
    """
    head, half = layout.run.pales.head, layout.run.pales.width / 2.0
    match head:
        case Clipped(across, _):
            return [-half, -half + across]
        case Pointed(_, blunt) if blunt > 0.0:
            return [-blunt / 2.0, blunt / 2.0]
        case Ogee():
            return [-half, -half / 2.0, 0.0]
        case Free(points):
            return sorted({x - half for x, _ in points})
        case _:
            return []


def post_top_detail(
    plan: PostPlan, name: str, scale: Scale, style: Style, figures: Figures
) -> View:
    """Return the top of a post from the front and from the side, with its section."""
    n = scale.n
    tall = 1.6 * max(plan.width, plan.depth)
    w, d = plan.width / 2.0, plan.depth / 2.0
    apart = w + d + (style.first_tier * 2.0 + 14.0) * n
    rise = 0.0
    front: list[Point] = [(-w, 0.0), (w, 0.0), (w, tall), (-w, tall)]
    side: list[Point] = [(-d, 0.0), (d, 0.0), (d, tall), (-d, tall)]
    extra: list[Item] = []
    match plan.top:
        case WeatheredTop(fall):
            rise = fall
            side[2] = (d, tall - fall)
            extra.append(Line.through(((-w, tall - fall), (w, tall - fall)), layers.HIDDEN))
        case PyramidTop(height):
            rise = height
            front = [*front[:2], (w, tall - rise), (0.0, tall), (-w, tall - rise)]
            side = [*side[:2], (d, tall - rise), (0.0, tall), (-d, tall - rise)]
            extra.append(Line.through(((-w, tall - rise), (w, tall - rise)), layers.POSTS))
        case FlatTop():
            pass
    items: list[Item] = []
    for outline, half, x in ((front, w, 0.0), (side, d, apart)):
        moved = tuple((px + x, py) for px, py in (outline[1], *outline[2:], outline[0]))
        items.append(Line.through(moved, layers.POSTS))
        items.append(break_line(((x - half, 0.0), (x + half, 0.0)), n))
        low = -style.first_tier * n
        spots: list[Point] = [(x - half, 0.0), (x + half, 0.0)]
        items.extend(chain(spots, (0.0, low), 0.0, n, style, figures))
    items.extend(extra)
    if rise:
        edge = apart + d
        spots = [(edge, tall - rise), (edge, tall)]
        items.extend(chain(spots, (edge + style.first_tier * n, 0.0), 90.0, n, style, figures))
    if plan.cap is not None:
        _cap(plan, items, tall, apart, n, style, figures)
    y = -(style.first_tier + style.tier + style.subtitle) * n
    items.append(Text("front", (0.0, y + 4.0 * n), style.text, "centre"))
    items.append(Text("side", (apart, y + 4.0 * n), style.text, "centre"))
    return titled(f"Top of {name}", items, scale, style, figures, left=-w)


def _cap(
    plan: PostPlan,
    items: list[Item],
    tall: float,
    apart: float,
    n: float,
    style: Style,
    figures: Figures,
) -> None:
    cap = plan.cap
    assert cap is not None
    shoulder, tip = tall + cap.thickness, tall + cap.thickness + cap.rise
    for half, x in ((cap.width / 2.0, 0.0), (cap.depth / 2.0, apart)):
        items.append(Line.through(cap_outline(cap, half, x, tall), layers.POSTS, closed=True))
        if cap.rise:
            items.append(Line.through(((x - half, shoulder), (x + half, shoulder)), layers.POSTS))
    edge = apart + cap.depth / 2.0
    spots: list[Point] = [(edge, tall), (edge, shoulder), *([(edge, tip)] if cap.rise else [])]
    side = edge + style.first_tier * n
    items.extend(chain(spots, (side, 0.0), 90.0, n, style, figures, aside=True))
    over = [(apart + plan.depth / 2.0, tip), (edge, tip)]
    if edge - apart > plan.depth / 2.0:
        above = tip + style.first_tier * n
        items.extend(chain(over, (0.0, above), 0.0, n, style, figures))


def cap_outline(cap: Cap, half: float, x: float, z: float) -> tuple[Point, ...]:
    """Return a cap seen from its side: half its width, its middle at x, its underside at z."""
    shoulder = z + cap.thickness
    tip = [(x, shoulder + cap.rise)] if cap.rise else []
    return (x - half, z), (x + half, z), (x + half, shoulder), *tip, (x - half, shoulder)


def rail_detail(
    layout: RunLayout, bolt: Bolt | None, scale: Scale, style: Style, figures: Figures
) -> View:
    """Return a rail joint on a post: from the front, and in plan, with its bolts."""
    if layout.run.rails.form == RailForm.ARRIS:
        return _arris_detail(layout, scale, style, figures)
    run = layout.run
    n = scale.n
    height, thickness = run.rails.section
    w, d = run.posts.line.width / 2.0, run.posts.line.depth
    reach = w + 100.0
    items: list[Item] = []
    # front, x = 0 in the middle of the post, y = 0 at the underside of the rail
    for low, high in ((-40.0, 0.0), (height, height + 40.0)):
        for x in (-w, w):
            items.append(Line.through(((x, low), (x, high)), layers.POSTS))
    for x in (-reach, 0.0):
        loop = Outline.rectangle(x, 0.0, x + reach, height)
        items.append(Line(loop.vertices, layers.RAILS, closed=True))
    for x in (-w, w):
        items.append(Line.through(((x, 0.0), (x, height)), layers.HIDDEN))
    for y in (-40.0, height + 40.0):
        items.append(break_line(((-w, y), (w, y)), n))
    spots: list[Point] = [(reach, 0.0), (reach, height)]
    right = reach + style.first_tier * n
    items.extend(chain(spots, (right, 0.0), 90.0, n, style, figures))
    if bolt is not None:
        for x in (-w / 2.0, w / 2.0):
            items.append(_circle(x, height / 2.0, bolt.head_diameter / 2.0))
    # plan below it, the rails' backs and the post's front at y = base
    base = -40.0 - 16.0 * n - d - thickness
    post: tuple[Point, ...] = ((-w, base), (w, base), (w, base + d), (-w, base + d))
    items.append(Line.through(post, layers.POSTS, closed=True))
    items.append(Hatch(post, CUT_TIMBER))
    for x in (-reach, 0.0):
        loop = Outline.rectangle(x, base - thickness, x + reach, base)
        items.append(Line(loop.vertices, layers.RAILS, closed=True))
    spots = [(reach, base - thickness), (reach, base)]
    items.extend(chain(spots, (right, 0.0), 90.0, n, style, figures))
    if bolt is not None:
        for x in (-w / 2.0, w / 2.0):
            items.extend(bolt_lines(bolt, (x, base - thickness)))
    return titled(
        "Rail joint on a post, front and plan",
        items,
        scale,
        style,
        figures,
        left=-reach,
        notes=_joint_notes(layout, bolt, figures),
    )


def _arris_detail(layout: RunLayout, scale: Scale, style: Style, figures: Figures) -> View:
    """Return the section of an arris rail, and its ends at a post in plan with their sleeves."""
    run = layout.run
    n = scale.n
    height, depth = run.rails.section
    section = tuple((y, z) for y, z in arris_section(height, depth))
    items: list[Item] = [
        Line.through(section, layers.RAILS, closed=True),
        Hatch(section, CUT_TIMBER),
    ]
    spots: list[Point] = [(0.0, 0.0), (0.0, height)]
    left = -style.first_tier * n
    items.extend(chain(spots, (left, 0.0), 90.0, n, style, figures, aside=False))
    spots = [(0.0, 0.0), (depth, height / 2.0)]
    items.extend(chain(spots, (0.0, -style.first_tier * n), 0.0, n, style, figures))
    # plan beside it: the front is below, the rails' flat faces level with the post's
    w, d = run.posts.line.width / 2.0, run.posts.line.depth
    reach = w + ARRIS_BRACKET_LENGTH + 60.0
    middle = depth + 12.0 * n + reach
    post = Outline.rectangle(middle - w, 0.0, middle + w, d)
    items.append(Line(post.vertices, layers.POSTS, closed=True))
    items.append(Hatch(tuple((x, y) for x, y, _ in post.vertices), CUT_TIMBER))
    for side in (-1.0, 1.0):
        near, far = middle + side * w, middle + side * reach
        sleeve = middle + side * (w + ARRIS_BRACKET_LENGTH)
        for a, b, high, layer in (
            (near, far, depth, layers.RAILS),
            (near, sleeve, depth + ARRIS_BRACKET_METAL, layers.METAL),
        ):
            loop = Outline.rectangle(min(a, b), 0.0, max(a, b), high)
            items.append(Line(loop.vertices, layer, closed=True))
    return titled(
        "Arris rail, section, and plan at a post",
        items,
        scale,
        style,
        figures,
        notes=_joint_notes(layout, None, figures),
    )


def _joint_notes(layout: RunLayout, bolt: Bolt | None, figures: Figures) -> list[str]:
    if bolt is None:
        return ["sheet-metal sleeve round the back of the rail, nailed to post and rail"]
    return [
        f"{layout.run.rails.bolt} x {figures.text(bolt.length)} cup-head bolt, washer and nut;",
        "heads let in flush, upper and lower joints on different posts",
    ]


def _circle(x: float, y: float, radius: float) -> Line:
    return Line(((x - radius, y, 1.0), (x + radius, y, 1.0)), layers.METAL, closed=True)


def bolt_lines(bolt: Bolt, at: Point) -> list[Line]:
    """Return a bolt seen from its side, the top of its head at `at`, running up from there."""
    x, y = at

    def box(half: float, start: float, length: float) -> Line:
        low = y + start
        outline = Outline.rectangle(x - half, low, x + half, low + length)
        return Line(outline.vertices, layers.METAL, closed=True)

    return [
        box(bolt.head_diameter / 2.0, 0.0, bolt.head_height),
        box(bolt.diameter / 2.0, bolt.head_height, bolt.length),
        box(bolt.washer_diameter / 2.0, bolt.grip, bolt.washer_height),
        box(bolt.nut_width / 2.0, bolt.grip + bolt.washer_height, bolt.nut_height),
    ]
