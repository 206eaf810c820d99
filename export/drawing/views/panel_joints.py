"""How panels are hung on a post: both their ends in plan, with brackets or bolts."""

from __future__ import annotations

from collections.abc import Iterator

from palewright.export.drawing.draft import style as layers
from palewright.export.drawing.draft.drafting import Draft
from palewright.export.drawing.draft.style import CUT_TIMBER
from palewright.export.drawing.draft.view import Hatch, Item, Line, View
from palewright.model.geometry.frames import Point
from palewright.model.geometry.post_shapes import Post
from palewright.model.geometry.shapes import Bolt
from palewright.model.order.fixings import SCREWED
from palewright.model.parts.hardware import BRACKET_HEIGHT, BRACKET_METAL, HOLES, bolt_name
from palewright.model.parts.members import BRACKET
from palewright.model.resolved.job import RunJob
from palewright.model.resolved.panel_plan import LEG, PanelPlan

from .callouts import Callout, callouts
from .dimensions import level_chain, upright_chain
from .rail_details import bolt_lines
from .titles import titled

PAST = 70.0
"""How much of panels is shown past what holds them, mm."""


def panel_joint(run: RunJob, post: Post, bolt: Bolt | None, draft: Draft) -> View:
    """Return both panels at a post in plan, the front below, y = 0 at the posts' faces."""
    plan = run.panels
    assert plan is not None
    w = post.width / 2.0
    end = w + plan.clearance if plan.between else plan.clearance / 2.0
    reach = w + (LEG if plan.between else 0.0) + PAST
    items: list[Item] = [*_post(post)]
    for side in (-1.0, 1.0):
        items += _panel_end(run, plan, side, (end, reach))
        items += _held(run, plan, post, bolt, side)
    tier = draft.full(draft.style.first_tier)
    back, front = (-place for place in run.rails.faces(0.0))
    pales = -max(layer.front for layer in run.layers) + run.face
    ends = (-w, -end, end, w) if not plan.between else (-end, -w, w, end)
    items += level_chain([(x, pales) for x in ends], pales - tier, draft)
    right = reach + tier
    items += upright_chain([(reach, y) for y in (pales, front, back)], right, draft, aside=True)
    if abs(front) > 0.05 and abs(back) > 0.05:
        items += upright_chain([(-reach, y) for y in sorted((0.0, front))], -reach - tier, draft)
    items += callouts(list(_words(run, plan, post, bolt, draft)), items, draft, lift=0.5)
    return titled("Panels at a post, plan", items, draft, left=-reach)


def _loop(x0: float, x1: float, y0: float, y1: float) -> tuple[Point, ...]:
    low, high = sorted((x0, x1))
    return (low, y0), (high, y0), (high, y1), (low, y1)


def _post(post: Post) -> Iterator[Item]:
    loop = _loop(-post.width / 2.0, post.width / 2.0, 0.0, post.depth)
    yield Line.through(loop, layers.POSTS, closed=True)
    yield Hatch(loop, CUT_TIMBER)


def _panel_end(run: RunJob, plan: PanelPlan, side: float, xs: Point) -> Iterator[Item]:
    """Yield the rail and the upright of a panel's end. side : -1 left; xs : of its end, and as far
    as it is shown.
    """
    end, reach = xs
    back, front = (-place for place in run.rails.faces(0.0))
    if plan.upright:
        loop = _loop(side * end, side * (end + plan.upright), front, back)
        yield Line.through(loop, layers.RAILS, closed=True)
        yield Hatch(loop, CUT_TIMBER)
    loop = _loop(side * (end + plan.upright), side * reach, front, back)
    yield Line.through(loop, layers.RAILS, closed=True)


def _held(
    run: RunJob, plan: PanelPlan, post: Post, bolt: Bolt | None, side: float
) -> Iterator[Item]:
    """Yield what holds a panel's end."""
    w = post.width / 2.0
    back, front = (-place for place in run.rails.faces(0.0))
    if plan.between:
        long, m = min(LEG, post.depth - back), BRACKET_METAL
        angle = ((0.0, 0.0), (long, 0.0), (long, m), (m, m), (m, long), (0.0, long))
        metal = tuple((side * (w + x), back + y) for x, y in angle)
        yield Line.through(metal, layers.METAL, closed=True)
    elif bolt is not None:
        middle = (plan.clearance / 2.0 + w) / 2.0
        yield from bolt_lines(bolt, (side * middle, front))


def _words(
    run: RunJob, plan: PanelPlan, post: Post, bolt: Bolt | None, draft: Draft
) -> Iterator[Callout]:
    figure, w = draft.figure, post.width / 2.0
    back, front = (-place for place in run.rails.faces(0.0))
    yield Callout(f"post {figure(post.width)} x {figure(post.depth)}", (0.7 * w, 0.8 * post.depth))
    if plan.between:
        size = f"{figure(LEG)} x {figure(BRACKET_HEIGHT)} x {figure(BRACKET_METAL)}"
        words = f"bracket {size}, {SCREWED[BRACKET]} screws, {plan.fixings} on each side"
        yield Callout(words, (w + 0.8 * LEG, back + BRACKET_METAL / 2.0))
        kind = "upright" if plan.upright else "rail"
        middle = w + plan.clearance + min(plan.upright or 20.0, 20.0) / 2.0
        yield Callout(f"{kind} of the panel, square", (middle, (front + back) / 2.0))
    elif bolt is not None:
        hole = figure(HOLES[run.rails.bolt])
        words = f"{bolt_name(bolt)}, washer, nut; head let in; hole {hole}"
        at = (plan.clearance / 2.0 + w) / 2.0, 0.4 * post.depth
        yield Callout(f"{words}; {plan.fixings} on each side", at)
        yield Callout("rails of two panels", (w + 20.0, (front + back) / 2.0))
