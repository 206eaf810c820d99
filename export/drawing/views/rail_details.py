"""Details of how rails are held to posts, at large scale."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from palewright.export.drawing.draft import style as layers
from palewright.export.drawing.draft.drafting import Draft
from palewright.export.drawing.draft.style import CUT_CONCRETE, CUT_TIMBER
from palewright.export.drawing.draft.view import Dimension, Hatch, Item, Line, View
from palewright.model.geometry.frames import Point
from palewright.model.geometry.outlines import Outline
from palewright.model.geometry.post_shapes import Post
from palewright.model.geometry.shapes import Bar, Bolt, Tenoned, bar_of
from palewright.model.order.fixings import SCREWED
from palewright.model.parts.hardware import (
    ARRIS_BRACKET_LENGTH,
    ARRIS_BRACKET_METAL,
    BRACKET_HEIGHT,
    BRACKET_LEG,
    BRACKET_METAL,
    HOLES,
    bolt_name,
)
from palewright.model.parts.members import BRACKET
from palewright.model.resolved.job import RunJob

from .callouts import Callout, callouts
from .dimensions import chain, level_chain, upright_chain
from .members_shown import break_line
from .titles import titled


def rail_detail(
    run: RunJob, rail: Bar | Tenoned, post: Post, bolt: Bolt | None, draft: Draft
) -> View:
    """Return how a rail is held to a post."""
    bar = bar_of(rail)
    assert bar is not None
    return SHOWN[run.rails.form](run, bar, post, bolt, draft)


def _bolted_joint(run: RunJob, rail: Bar, post: Post, bolt: Bolt | None, draft: Draft) -> View:
    """Return a rail joint on a post: from the front, and in plan, with its bolts."""
    height, thickness = _extent(rail)
    reach = post.width / 2.0 + 100.0
    # the plan is below the front, the rails' backs and the post's front at y = base
    base = -40.0 - draft.full(16.0) - post.depth - thickness
    items: list[Item] = [
        *_joint_front(height, post, bolt, reach, draft),
        *_joint_plan(run, post, bolt, reach, base, draft),
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
    run: RunJob, post: Post, bolt: Bolt | None, reach: float, base: float, draft: Draft
) -> Iterator[Item]:
    """Yield a joint from above, the rails' backs and what they lie on of the post at y = base."""
    w, d = post.width / 2.0, post.depth - run.rails.notch
    thickness = run.rails.section[1]
    loop: tuple[Point, ...] = ((-w, base), (w, base), (w, base + d), (-w, base + d))
    yield Line.through(loop, layers.POSTS, closed=True)
    yield Hatch(loop, CUT_CONCRETE if run.posts.line.cast else CUT_TIMBER)
    for x in (-reach, 0.0):
        rail = Outline.rectangle(x, base - thickness, x + reach, base)
        yield Line(rail.vertices, layers.RAILS, closed=True)
    yield from _beside([(reach, base - thickness), (reach, base)], reach, draft)
    if run.rails.notch:
        front = base - run.rails.notch
        for x in (-w, w):
            yield Line.through(((x, base), (x, front)), layers.HIDDEN)
        tier = -reach - draft.full(draft.style.first_tier)
        yield from upright_chain([(-reach, front), (-reach, base)], tier, draft)
    if bolt is not None:
        for x in (-w / 2.0, w / 2.0):
            yield from bolt_lines(bolt, (x, base - thickness))


def _beside(points: list[Point], x: float, draft: Draft) -> list[Dimension]:
    """Return upright dimensions one tier to the right of x."""
    return upright_chain(points, x + draft.full(draft.style.first_tier), draft, aside=True)


def _arris_detail(run: RunJob, rail: Bar, post: Post, _: Bolt | None, draft: Draft) -> View:
    """Return the section of an arris rail, and its ends at a post in plan with their sleeves."""
    height, depth = run.rails.section
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
    yield Callout(f"{run.posts.line.called} {size}", (0.8 * w, base + 0.7 * post.depth))
    middle = "in a notch, on the middle" if run.rails.notch else "on the middle"
    yield Callout(f"rails butt {middle} of the post", (w + 25.0, base - thickness / 2.0))
    if bolt is not None:
        hole = draft.figure(HOLES[run.rails.bolt])
        words = f"{bolt_name(bolt)}, washer, nut; head let in; hole {hole}"
        yield Callout(words, (w / 2.0, base + 0.3 * post.depth))


def _hung_detail(run: RunJob, rail: Bar, post: Post, _: Bolt | None, draft: Draft) -> View:
    """Return the section of a rail between posts, and its ends at a post in plan with brackets."""
    height, depth = _extent(rail)
    first_tier = draft.full(draft.style.first_tier)
    items: list[Item] = [
        Line.through(rail.section, layers.RAILS, closed=True),
        Hatch(rail.section, CUT_TIMBER),
        *upright_chain([(0.0, 0.0), (0.0, height)], -first_tier, draft),
        *level_chain([(0.0, 0.0), (depth, 0.0)], -first_tier, draft),
        *_hung_plan(run, depth, post, draft),
    ]
    figure = draft.figure
    metal = f"angle brackets {figure(min(BRACKET_HEIGHT, height))} x {figure(BRACKET_METAL)}"
    notes = [
        f"rails {run.rails.set_words}, their ends cut to the posts' sides;",
        f"{metal}, legs up to {figure(BRACKET_LEG)}, {SCREWED[BRACKET]} screws to post and rail",
    ]
    return titled("Rail between posts, section, and plan at a post", items, draft, notes=notes)


def _hung_plan(run: RunJob, depth: float, post: Post, draft: Draft) -> Iterator[Item]:
    """Yield both ends at a post beside the section, the front below: y = 0 at the rails' fronts."""
    w, d = post.width / 2.0, post.depth
    setback = run.rails.setback
    reach = w + BRACKET_LEG + 60.0
    middle = depth + 14.0 * draft.n + reach
    outline = Outline.rectangle(middle - w, -setback, middle + w, d - setback)
    yield Line(outline.vertices, layers.POSTS, closed=True)
    yield Hatch(tuple((x, y) for x, y, _ in outline.vertices), CUT_TIMBER)
    long = min(BRACKET_LEG, d - setback - depth)
    for side in (-1.0, 1.0):
        near, far = middle + side * w, middle + side * reach
        loop = Outline.rectangle(min(near, far), 0.0, max(near, far), depth)
        yield Line(loop.vertices, layers.RAILS, closed=True)
        m = BRACKET_METAL
        angle = ((0.0, 0.0), (long, 0.0), (long, m), (m, m), (m, long), (0.0, long))
        metal = tuple((near + side * x, depth + y) for x, y in angle)
        yield Line.through(metal, layers.METAL, closed=True)
    if setback > 0.0:
        points = [(middle + reach, -setback), (middle + reach, 0.0)]
        yield from _beside(points, middle + reach, draft)


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


def _tenon_detail(run: RunJob, rail: Bar, post: Post, _: Bolt | None, draft: Draft) -> View:
    """Return the end of a rail from the front and in section with its tenon, and the tenons in a
    post in plan.
    """
    tenon = run.rails.tenon
    assert tenon is not None
    height, depth = _extent(rail)
    first_tier, figure = draft.full(draft.style.first_tier), draft.figure
    front, low = tenon.front, tenon.foot
    end = Outline.rectangle(front, low, front + tenon.thickness, low + tenon.height)
    items: list[Item] = [
        Line.through(rail.section, layers.RAILS, closed=True),
        Line(end.vertices, layers.RAILS, closed=True),
        Hatch(tuple((x, y) for x, y, _ in end.vertices), CUT_TIMBER),
        *upright_chain([(0.0, z) for z in _steps(low, tenon.height, height)], -first_tier, draft),
        *level_chain([(y, 0.0) for y in _steps(front, tenon.thickness, depth)], -first_tier, draft),
        *_tenon_plan(run, depth, post, draft),
    ]
    meet = {
        "butt": "tenons meet in the middle of the post",
        "lap": "tenons pass each other, each half as thick as the mortise",
        "scarf": "tenons pass each other, cut slanting to a quarter of the mortise",
    }[tenon.meet]
    mortise = f"mortise {figure(tenon.height)} x {figure(tenon.thickness)}"
    notes = [f"rails {run.rails.set_words}; {mortise}, tenons {figure(tenon.length)} long;", meet]
    return titled("Rail tenoned into posts, section, and plan at a post", items, draft, notes=notes)


def _steps(start: float, size: float, whole: float) -> list[float]:
    """Return the places of a tenon's sides across a rail, those that fall on its edges once."""
    return list(dict.fromkeys((0.0, start, start + size, whole)))


def _tenon_plan(run: RunJob, depth: float, post: Post, draft: Draft) -> Iterator[Item]:
    """Yield both tenons in a post beside the section, the front below: y = 0 at rails' fronts."""
    tenon, w, d = run.rails.tenon, post.width / 2.0, post.depth
    assert tenon is not None
    setback, reach = run.rails.setback, w + 110.0
    middle = depth + 14.0 * draft.n + reach
    outline = Outline.rectangle(middle - w, -setback, middle + w, d - setback)
    yield Line(outline.vertices, layers.POSTS, closed=True)
    yield Hatch(tuple((x, y) for x, y, _ in outline.vertices), CUT_TIMBER)
    for side in (-1.0, 1.0):
        near, far = middle + side * w, middle + side * reach
        loop = Outline.rectangle(min(near, far), 0.0, max(near, far), depth)
        yield Line(loop.vertices, layers.RAILS, closed=True)
        points = tenon.plan(1.0, behind=(side < 0.0) == run.from_far_end)
        spots = tuple((near - side * u, y) for u, y in points)
        yield Line.through(spots, layers.RAILS, closed=True)
    levels = sorted({-setback, 0.0, tenon.front, tenon.front + tenon.thickness, d - setback})
    yield from _beside([(middle + reach, y) for y in levels], middle + reach, draft)


SHOWN: dict[str, Callable[[RunJob, Bar, Post, Bolt | None, Draft], View]] = {
    "face": _bolted_joint,
    "notched": _bolted_joint,
    "arris": _arris_detail,
    "between": _hung_detail,
    "mortised": _tenon_detail,
}
"""How the joint at a post is drawn, by the word of the rails' way."""
