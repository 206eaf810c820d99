"""Details of pale heads and rail joints at large scale."""

from __future__ import annotations

from collections.abc import Iterator

from palewright.export.drawing.draft import style as layers
from palewright.export.drawing.draft.drafting import Draft
from palewright.export.drawing.draft.style import CUT_TIMBER
from palewright.export.drawing.draft.view import Dimension, Hatch, Item, Line, View
from palewright.model.geometry.frames import Point
from palewright.model.geometry.outlines import Outline
from palewright.model.geometry.post_shapes import Post
from palewright.model.geometry.shapes import Bar, Bolt
from palewright.model.layout.pale_heads import PaleHead
from palewright.model.order.fixings import HOLES, SCREWED
from palewright.model.parts.hardware import ARRIS_BRACKET_LENGTH, ARRIS_BRACKET_METAL, bolt_name
from palewright.model.parts.members import BRACKET
from palewright.model.resolved.job import RunJob
from palewright.model.resolved.pale_plan import in_words
from palewright.model.resolved.words import RailForm

from .callouts import Callout, callouts
from .dimensions import chain, level_chain, upright_chain
from .members_shown import break_line
from .titles import titled

CUT_OFF = 0.8
"""How much of a pale is shown below its head, in widths."""


def head_detail(of: PaleHead, draft: Draft) -> View:
    """Return a pale's head with what is needed to mark it out.

    x = 0 in the middle of the pale, y = 0 at its foot, which a break line cuts off.
    """
    n, first_tier = draft.n, draft.full(draft.style.first_tier)
    width, top, rise = of.width, of.length, of.rise
    spring = top - rise
    cut = max(spring - CUT_OFF * width, 0.0)
    half = width / 2
    head = of.outline.vertices[2:]
    marking = of.head.marking(width)
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
    notes = _head_notes(of, marking.centres, draft)
    return titled(f"Pale head{of.number}, {of.called}", items, draft, left=-half, notes=notes)


def _head_notes(of: PaleHead, centres: str, draft: Draft) -> list[str]:
    radii = sorted({round(e.radius, 1) for e in of.outline.edges if e.bulge})
    notes = [of.shape] if of.rise > 0.0 else []
    if radii:
        words = " and ".join(draft.figure(radius) for radius in radii)
        notes.append(f"arcs of radius {words}, {centres}")
    if of.rise == 0.0:
        notes.append("cut square")
    else:
        springs = in_words([draft.figure(length - of.rise) for length in of.lengths or [of.length]])
        whose = of.whose
        if of.lengths:
            whose = f"whole pales {in_words([draft.figure(one) for one in of.lengths])} long"
        notes.append(f"springing line {springs} over the foot of {whose}")
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
