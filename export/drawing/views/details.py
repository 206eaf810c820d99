"""Details of pale heads, post tops and rail joints at large scale."""

from __future__ import annotations

from collections.abc import Iterator

from palewright.export.drawing.draft import style as layers
from palewright.export.drawing.draft.drafting import Draft
from palewright.export.drawing.draft.style import CUT_TIMBER
from palewright.export.drawing.draft.view import Dimension, Hatch, Item, Line, Text, View
from palewright.model.geometry.frames import Point
from palewright.model.geometry.outlines import Outline
from palewright.model.geometry.shapes import (
    Bar,
    Bolt,
    Cap,
    FlatTop,
    Post,
    PyramidTop,
    WeatheredTop,
)
from palewright.model.order.fixings import HOLES, SCREWED
from palewright.model.parts.hardware import ARRIS_BRACKET_LENGTH, ARRIS_BRACKET_METAL, bolt_name
from palewright.model.parts.members import BRACKET
from palewright.model.resolved.job import RunJob
from palewright.model.resolved.pale_plan import PaleKind, in_words
from palewright.model.resolved.words import RailForm

from .callouts import Callout, callouts
from .dimensions import chain, level_chain, upright_chain
from .members_shown import break_line
from .titles import titled

CUT_OFF = 0.8
"""How much of a pale is shown below its head, in widths."""


def head_detail(run: RunJob, kind: PaleKind, draft: Draft) -> View:
    """Return a pale's head of a kind with what is needed to mark it out.

    x = 0 in the middle of the pale, y = 0 at its foot, which a break line cuts off.
    """
    n, first_tier = draft.n, draft.full(draft.style.first_tier)
    width, top = kind.width, kind.length
    rise = kind.rise
    spring = top - rise
    cut = max(spring - CUT_OFF * width, 0.0)
    half = width / 2
    head = kind.outline.vertices[2:]
    marking = kind.head.marking(width)
    items: list[Item] = [
        Line(_without_doubles(((half, cut, 0.0), *head, (-half, cut, 0.0))), layers.PALES),
        break_line(((-half, cut), (half, cut)), draft),
        Line.through(((0.0, cut - 2.0 * n), (0.0, top + 2.0 * n)), layers.AXIS),
        *level_chain([(-half, cut), (half, cut)], cut - first_tier, draft),
    ]
    if rise > 0.0:
        ups = [(half, spring + up) for up in marking.ups]
        items += upright_chain(ups, half + first_tier, draft, aside=True)
    if marking.across:
        items += level_chain([(x, top) for x in marking.across], top + first_tier, draft)
    notes = _head_notes(run, kind, marking.centres, draft)
    which = f" {run.pales.head_number(kind)}" if len(run.pales.headed) > 1 else ""
    return titled(f"Pale head{which}, {run.called}", items, draft, left=-half, notes=notes)


def _head_notes(run: RunJob, kind: PaleKind, centres: str, draft: Draft) -> list[str]:
    radii = sorted({round(e.radius, 1) for e in kind.outline.edges if e.bulge})
    notes = [kind.head_shape] if kind.rise > 0.0 else []
    if radii:
        words = " and ".join(draft.figure(radius) for radius in radii)
        notes.append(f"arcs of radius {words}, {centres}")
    if kind.rise == 0.0:
        notes.append("cut square")
    else:
        alike = [one for one in run.pales.sorts if (one.head, one.width) == (kind.head, kind.width)]
        springs = in_words([draft.figure(one.spring) for one in alike])
        whole = "a whole pale"
        if len(run.pales.sorts) > 1:
            longs = in_words([draft.figure(one.length) for one in alike])
            whole = f"whole pales {longs} long"
        notes.append(f"springing line {springs} over the foot of {whole}")
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


def post_top_detail(post: Post, cap: Cap | None, name: str, draft: Draft) -> View:
    """Return the top of a post from the front and from the side, with its section and its cap."""
    n, style = draft.n, draft.style
    tall = 1.6 * max(post.width, post.depth)
    w, d = post.width / 2.0, post.depth / 2.0
    apart = w + d + (style.first_tier * 2.0 + 14.0) * n
    front, side, rise = _top_outlines(post, tall)
    items: list[Item] = []
    for outline, half, x in ((front, w, 0.0), (side, d, apart)):
        moved = tuple((px + x, py) for px, py in (outline[1], *outline[2:], outline[0]))
        items.append(Line.through(moved, layers.POSTS))
        items.append(break_line(((x - half, 0.0), (x + half, 0.0)), draft))
        low = -draft.full(style.first_tier)
        items += level_chain([(x - half, 0.0), (x + half, 0.0)], low, draft)
    items += _edges_of_top(post, tall)
    if rise:
        edge = apart + d
        heights = [(edge, tall - rise), (edge, tall)]
        right = edge + draft.full(style.first_tier)
        items += upright_chain(heights, right, draft, aside=True)
    if cap is not None:
        items += _cap(post, cap, tall, apart, draft)
    y = -(style.first_tier + style.tier + style.subtitle) * n
    items.append(Text("front", (0.0, y + 4.0 * n), style.text, "centre"))
    items.append(Text("side", (apart, y + 4.0 * n), style.text, "centre"))
    return titled(f"Top of {name}", items, draft, left=-w, notes=[_top_words(post, cap)])


def _top_words(post: Post, cap: Cap | None) -> str:
    """Say how the top of a post is made."""
    if cap is not None:
        return "cap with a four-way top" if cap.rise else "flat cap"
    match post.top:
        case WeatheredTop():
            return "falls to the back"
        case PyramidTop():
            return "four-way, its point in the middle"
        case FlatTop():
            return "cut square"


def _top_outlines(post: Post, tall: float) -> tuple[list[Point], list[Point], float]:
    """Return the top of a post from the front and the side, and how high its cut is, mm."""
    w, d = post.width / 2.0, post.depth / 2.0
    front: list[Point] = [(-w, 0.0), (w, 0.0), (w, tall), (-w, tall)]
    side: list[Point] = [(-d, 0.0), (d, 0.0), (d, tall), (-d, tall)]
    match post.top:
        case WeatheredTop(fall):
            side[2] = (d, tall - fall)
            return front, side, fall
        case PyramidTop(rise):
            front = [*front[:2], (w, tall - rise), (0.0, tall), (-w, tall - rise)]
            side = [*side[:2], (d, tall - rise), (0.0, tall), (-d, tall - rise)]
            return front, side, rise
        case FlatTop():
            return front, side, 0.0


def _edges_of_top(post: Post, tall: float) -> Iterator[Line]:
    """Yield the edge of a post's cut seen from the front."""
    w = post.width / 2.0
    match post.top:
        case WeatheredTop(fall):
            yield Line.through(((-w, tall - fall), (w, tall - fall)), layers.HIDDEN)
        case PyramidTop(rise):
            yield Line.through(((-w, tall - rise), (w, tall - rise)), layers.POSTS)
        case FlatTop():
            return


def _cap(post: Post, cap: Cap, tall: float, apart: float, draft: Draft) -> Iterator[Item]:
    """Yield a post's cap from the front and from the side, with its sizes."""
    first_tier = draft.full(draft.style.first_tier)
    shoulder, tip = tall + cap.thickness, tall + cap.thickness + cap.rise
    for half, x in ((cap.width / 2.0, 0.0), (cap.depth / 2.0, apart)):
        yield Line.through(cap_outline(cap, half, x, tall), layers.POSTS, closed=True)
        if cap.rise:
            yield Line.through(((x - half, shoulder), (x + half, shoulder)), layers.POSTS)
    edge = apart + cap.depth / 2.0
    heights = [(edge, tall), (edge, shoulder), *([(edge, tip)] if cap.rise else [])]
    yield from upright_chain(heights, edge + first_tier, draft, aside=True)
    if edge - apart > post.depth / 2.0:
        over = [(apart + post.depth / 2.0, tip), (edge, tip)]
        yield from level_chain(over, tip + first_tier, draft)


def cap_outline(cap: Cap, half: float, x: float, z: float) -> tuple[Point, ...]:
    """Return a cap seen from its side: half its width, its middle at x, its underside at z."""
    shoulder = z + cap.thickness
    tip = [(x, shoulder + cap.rise)] if cap.rise else []
    return (x - half, z), (x + half, z), (x + half, shoulder), *tip, (x - half, shoulder)


def rail_detail(run: RunJob, rail: Bar, post: Post, bolt: Bolt | None, draft: Draft) -> View:
    """Return a rail joint on a post: from the front, and in plan, with its bolts."""
    if run.rails.form == RailForm.ARRIS:
        return _arris_detail(rail, post, draft)
    height, thickness = _extent(rail)
    reach = post.width / 2.0 + 100.0
    # the plan is below the front, the rails' backs and the post's front at y = base
    base = -40.0 - draft.full(16.0) - post.depth - thickness
    items: list[Item] = [
        *_joint_front(height, post, bolt, reach, draft),
        *_joint_plan(thickness, post, bolt, reach, base, draft),
    ]
    items += callouts(
        list(_joint_words(run, post, bolt, (thickness, base), draft)), items, draft, lift=0.5
    )
    notes = ["upper and lower joints on different posts"]
    return titled("Rail joint on a post, front and plan", items, draft, left=-reach, notes=notes)


def _extent(rail: Bar) -> tuple[float, float]:
    """Return the height and the thickness of a rail's section, mm."""
    ys, zs = zip(*rail.section, strict=True)
    return max(zs) - min(zs), max(ys) - min(ys)


def _joint_front(
    height: float, post: Post, bolt: Bolt | None, reach: float, draft: Draft
) -> Iterator[Item]:
    """Yield a joint from the front: x = 0 in the post's middle, y = 0 at the rail's underside."""
    w = post.width / 2.0
    for low, high in ((-40.0, 0.0), (height, height + 40.0)):
        for x in (-w, w):
            yield Line.through(((x, low), (x, high)), layers.POSTS)
    for x in (-reach, 0.0):
        loop = Outline.rectangle(x, 0.0, x + reach, height)
        yield Line(loop.vertices, layers.RAILS, closed=True)
    for x in (-w, w):
        yield Line.through(((x, 0.0), (x, height)), layers.HIDDEN)
    for y in (-40.0, height + 40.0):
        yield break_line(((-w, y), (w, y)), draft)
    yield from _beside([(reach, 0.0), (reach, height)], reach, draft)
    if bolt is not None:
        for x in (-w / 2.0, w / 2.0):
            yield _circle(x, height / 2.0, bolt.head_diameter / 2.0)


def _joint_plan(
    thickness: float, post: Post, bolt: Bolt | None, reach: float, base: float, draft: Draft
) -> Iterator[Item]:
    """Yield a joint from above, the rails' backs and the post's front at y = base."""
    w, d = post.width / 2.0, post.depth
    loop: tuple[Point, ...] = ((-w, base), (w, base), (w, base + d), (-w, base + d))
    yield Line.through(loop, layers.POSTS, closed=True)
    yield Hatch(loop, CUT_TIMBER)
    for x in (-reach, 0.0):
        rail = Outline.rectangle(x, base - thickness, x + reach, base)
        yield Line(rail.vertices, layers.RAILS, closed=True)
    yield from _beside([(reach, base - thickness), (reach, base)], reach, draft)
    if bolt is not None:
        for x in (-w / 2.0, w / 2.0):
            yield from bolt_lines(bolt, (x, base - thickness))


def _beside(points: list[Point], x: float, draft: Draft) -> list[Dimension]:
    """Return upright dimensions one tier to the right of x."""
    return upright_chain(points, x + draft.full(draft.style.first_tier), draft, aside=True)


def _arris_detail(rail: Bar, post: Post, draft: Draft) -> View:
    """Return the section of an arris rail, and its ends at a post in plan with their sleeves."""
    height, depth = _extent(rail)
    first_tier = draft.full(draft.style.first_tier)
    across: list[Point] = [(0.0, 0.0), (depth, height / 2.0)]
    items: list[Item] = [
        Line.through(rail.section, layers.RAILS, closed=True),
        Hatch(rail.section, CUT_TIMBER),
        *upright_chain([(0.0, 0.0), (0.0, height)], -first_tier, draft),
        *chain(across, (0.0, -first_tier), 0.0, draft),
        *_arris_plan(depth, post, draft),
    ]
    metal = (
        f"sleeve of {draft.figure(ARRIS_BRACKET_METAL)} metal, its edges square to the back faces"
    )
    screws = f"{SCREWED[BRACKET]} screws to post and rail"
    notes = [f"sheet-metal sleeve round the back of the rail, {screws};", metal]
    return titled("Arris rail, section, and plan at a post", items, draft, notes=notes)


def _arris_plan(depth: float, post: Post, draft: Draft) -> Iterator[Item]:
    """Yield both ends at a post beside the section: the front is below, flat faces level."""
    w, d = post.width / 2.0, post.depth
    reach = w + ARRIS_BRACKET_LENGTH + 60.0
    middle = depth + 12.0 * draft.n + reach
    outline = Outline.rectangle(middle - w, 0.0, middle + w, d)
    yield Line(outline.vertices, layers.POSTS, closed=True)
    yield Hatch(tuple((x, y) for x, y, _ in outline.vertices), CUT_TIMBER)
    for side in (-1.0, 1.0):
        near, far = middle + side * w, middle + side * reach
        sleeve = middle + side * (w + ARRIS_BRACKET_LENGTH)
        for a, b, high, layer in (
            (near, far, depth, layers.RAILS),
            (near, sleeve, depth + ARRIS_BRACKET_METAL, layers.METAL),
        ):
            loop = Outline.rectangle(min(a, b), 0.0, max(a, b), high)
            yield Line(loop.vertices, layer, closed=True)


def _joint_words(
    run: RunJob, post: Post, bolt: Bolt | None, plan: tuple[float, float], draft: Draft
) -> Iterator[Callout]:
    """Yield what a joint in plan is made of. plan : thickness of the rails, y of their backs."""
    thickness, base = plan
    w = post.width / 2.0
    size = f"{draft.figure(post.width)} x {draft.figure(post.depth)}"
    yield Callout(f"post {size}", (0.8 * w, base + 0.7 * post.depth))
    yield Callout("rails butt on the middle of the post", (w + 25.0, base - thickness / 2.0))
    if bolt is not None:
        hole = draft.figure(HOLES[run.rails.bolt])
        words = f"{bolt_name(bolt)}, washer, nut; head let in; hole {hole}"
        yield Callout(words, (w / 2.0, base + 0.3 * post.depth))


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
