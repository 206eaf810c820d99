"""Details of bevels on the long edges of posts."""

from __future__ import annotations

from collections.abc import Iterator

from palewright.export.drawing.draft import style as layers
from palewright.export.drawing.draft.drafting import Draft
from palewright.export.drawing.draft.style import CUT_TIMBER
from palewright.export.drawing.draft.view import Hatch, Item, Line, Text, View
from palewright.model.geometry.frames import Point
from palewright.model.resolved.post_plan import RAIL_CLEAR, PostPlan

from .dimensions import level_chain, upright_chain
from .members_shown import break_line
from .titles import titled

SHOWN = 60.0
"""How much of the post is shown under a bevel, and how much of the bevel over its stop, mm."""


def bevel_detail(plan: PostPlan, name: str, draft: Draft) -> View:
    """Return where the bevels of a post begin, from the front, and the post's section in them.

    x = 0 in the post's middle, y = 0 where they begin; the section stands beside it.
    """
    bevel, style = plan.bevel, draft.style
    assert bevel is not None
    w, d = plan.width / 2.0, plan.depth / 2.0
    c, high, first_tier = bevel.size, bevel.stop + SHOWN, draft.full(style.first_tier)
    apart = 2.0 * w + draft.full(style.first_tier * 2.0 + 18.0)
    items: list[Item] = [
        *_front(w, (c, bevel.stop, high), draft),
        *_section((w, d), c, (apart, high - 2.0 * d), draft),
    ]
    if bevel.stop:
        items += upright_chain([(w, 0.0), (w, bevel.stop)], w + first_tier, draft, aside=True)
    low = min(-SHOWN, high - 2.0 * d) - (style.first_tier + style.tier + style.subtitle) * draft.n
    items.append(Text("front", (0.0, low + 4.0 * draft.n), style.text, "centre"))
    items.append(Text("section", (apart, low + 4.0 * draft.n), style.text, "centre"))
    figure = draft.figure
    notes = [
        f"four long edges at 45°, from {figure(bevel.from_ground)} over the ground to "
        f"{figure(bevel.from_top)} under the",
        f"lowest part of the top; {figure(RAIL_CLEAR)} clear of the rails, with a stop at each end",
    ]
    return titled(f"Bevels of {name}", items, draft, left=-w, notes=notes)


def _front(w: float, sizes: tuple[float, float, float], draft: Draft) -> Iterator[Item]:
    """Yield the post's front. sizes : of the bevel, of its stop, and how high it is shown."""
    c, stop, high = sizes
    for side in (-1.0, 1.0):
        inner: tuple[Point, ...] = (
            (side * w, -SHOWN), (side * w, 0.0), (side * (w - c), stop), (side * (w - c), high),
        )  # fmt: skip
        yield Line.through(inner, layers.POSTS)
        yield Line.through(((side * w, 0.0), (side * w, high)), layers.POSTS)
    for y in (-SHOWN, high):
        yield break_line(((-w, y), (w, y)), draft)


def _section(half: tuple[float, float], c: float, at: Point, draft: Draft) -> Iterator[Item]:
    """Yield the post's section. half : of its sizes; c : of its bevels; at : middle of its front,
    which is below.
    """
    (w, d), (x, y) = half, at
    loop: tuple[Point, ...] = (
        (x - w + c, y), (x + w - c, y), (x + w, y + c), (x + w, y + 2.0 * d - c),
        (x + w - c, y + 2.0 * d), (x - w + c, y + 2.0 * d), (x - w, y + 2.0 * d - c),
        (x - w, y + c),
    )  # fmt: skip
    yield Line.through(loop, layers.POSTS, closed=True)
    yield Hatch(loop, CUT_TIMBER)
    first_tier = draft.full(draft.style.first_tier)
    yield from level_chain([(x + w - c, y), (x + w, y)], y - first_tier, draft)
