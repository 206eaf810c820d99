"""The fence as it stands, each post, rail and footing with how far the wind uses it."""

from __future__ import annotations

import statistics
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from itertools import pairwise
from typing import TYPE_CHECKING

from palewright.model.basis.text import plain
from palewright.model.fence.fence_model import FenceModel
from palewright.model.layout.placed_posts import PlacedPost
from palewright.model.layout.run_layout import Opening, RunLayout
from palewright.model.strength.assess import NEARLY, FenceStrength, PostUse, RailUse, assess
from palewright.model.strength.steps import used_figure

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

Draw = Callable[["Canvas"], None]

PAGE = 595.28, 841.89
"""A4, points."""

EDGE, HEAD = 48.0, 92.0
ABOVE, BELOW, LABELS = 62.0, 26.0, 44.0
"""Of a strip: the tallest post, the deepest footing, and what figures need, points."""

BAY = 42.0
"""A bay of usual length, points."""

CLOSE = 22.0
"""Posts nearer to each other than this have their figures one over the other, points."""

OVER_INK, FULL_INK = (0.72, 0.1, 0.08), 0.42
"""Colour of a member that is used over what it has; grey of one that is just used up."""


@dataclass(frozen=True)
class Strip:
    """A part of a run that is drawn in one row. low, high : distances along the run, mm."""

    layout: RunLayout
    low: float
    high: float
    posts: tuple[PostUse, ...]
    rails: tuple[RailUse, ...]
    gates: tuple[Opening, ...]


@dataclass(frozen=True)
class Enlargement:
    """Points for a mm along the fence, and for a mm of height above and below ground."""

    along: float
    up: float
    down: float


def strength_pages(fence: FenceModel) -> list[Draw]:
    """Return what draws each page."""
    strength = assess(fence)
    if not strength.posts:
        return []
    scale = _scale(fence, strength)
    strips = list(_strips(fence, strength, scale))
    each = int((PAGE[1] - EDGE - HEAD) / (ABOVE + BELOW + LABELS))
    title = f"Wind on {plain(fence.job.project.name)}"
    groups = [strips[start : start + each] for start in range(0, len(strips), each)]
    return [partial(_page, title, group, scale) for group in groups]


def _scale(fence: FenceModel, strength: FenceStrength) -> Enlargement:
    bays = [bay for layout in fence.layouts for one in layout.stretches for bay in one.bays]
    along = BAY / statistics.median(bays or [2000.0])
    tallest = max(one.placed.top for one in strength.posts)
    deepest = max(_deep(one.placed) for one in strength.posts)
    return Enlargement(along, ABOVE / tallest, BELOW / deepest if deepest else 1.0)


def _deep(post: PlacedPost) -> float:
    """Return how far a post or its hole goes below the ground, mm."""
    return post.plan.foot.deep if post.footing is None else post.footing.depth


def _strips(fence: FenceModel, strength: FenceStrength, scale: Enlargement) -> Iterator[Strip]:
    room = (PAGE[0] - 2.0 * EDGE) / scale.along
    for run, layout in enumerate(fence.layouts):
        posts = [one for one in strength.posts if one.run == run]
        rails = [one for one in strength.rails if one.run == run]
        low = 0.0
        while posts and low < layout.run.line.length + NEARLY:
            high = low + room - 600.0  # room for half a figure at either end
            here = tuple(one for one in posts if low <= _at(one.placed) < high)
            yield Strip(
                layout,
                low,
                high,
                here,
                tuple(one for one in rails if any(low <= x < high for x in _along(layout, one))),
                tuple(one for one in layout.openings if low <= _at(one.posts[0]) < high),
            )
            low = high


def _at(post: PlacedPost) -> float:
    return post.chainage


def _along(layout: RunLayout, rail: RailUse) -> list[float]:
    """Return where the posts of a rail are, mm; the last bay of a ring ends at its length."""
    length = layout.run.line.length
    places = [_at(post) for post in rail.posts]
    if max(places) - min(places) > length / 2.0 and layout.run.line.closed:
        places = [place + length if place < length / 2.0 else place for place in places]
    return sorted(places)


def _page(title: str, strips: list[Strip], scale: Enlargement, canvas: Canvas) -> None:
    top = PAGE[1] - EDGE
    canvas.setFont("Helvetica-Bold", 12)
    canvas.drawString(EDGE, top - 8.0, title.encode("latin-1", "replace").decode("latin-1"))
    canvas.setFont("Helvetica", 8)
    canvas.drawString(
        EDGE,
        top - 22.0,
        "Demand over resistance of every post, rail (with bolts and nails) and footing; the worst "
        "of its checks. 1.00 is just enough.",
    )
    x = EDGE
    for value in (0.1, 0.4, 0.7, 1.0, 1.2):
        _tone(canvas, value)
        canvas.rect(x, top - 38.0, 22.0, 8.0, stroke=1, fill=1)
        canvas.setFillGray(0.0)
        words = "over" if value > 1.0 else f"{value:.1f}"
        canvas.drawString(x + 26.0, top - 37.0, words)
        x += 56.0
    for row, strip in enumerate(strips):
        ground = PAGE[1] - HEAD - (row + 1) * (ABOVE + BELOW + LABELS) + BELOW + 14.0
        _strip(canvas, strip, scale, ground)


def _tone(canvas: Canvas, used: float) -> None:
    """Set the fill of a member: darker the more it is used, another colour when over."""
    if used > 1.0 + NEARLY:
        canvas.setFillColorRGB(*OVER_INK)
    else:
        canvas.setFillGray(0.97 - (0.97 - FULL_INK) * max(used, 0.0))


def _figure(canvas: Canvas, x: float, y: float, used: float) -> None:
    over = used > 1.0 + NEARLY
    canvas.setFont("Helvetica-Bold" if over else "Helvetica", 6.0)
    if over:
        canvas.setFillColorRGB(*OVER_INK)
    else:
        canvas.setFillGray(0.0)
    canvas.drawCentredString(x, y, used_figure(used))


def _strip(canvas: Canvas, strip: Strip, scale: Enlargement, ground: float) -> None:
    def at(chainage: float) -> float:
        return EDGE + 12.0 + (chainage - strip.low) * scale.along

    canvas.setStrokeGray(0.0)
    canvas.setLineWidth(0.6)
    end = min(strip.high, strip.layout.run.line.length)
    canvas.line(EDGE, ground, at(end) + 12.0, ground)
    canvas.setLineWidth(0.3)
    raised = _raised([at(_at(one.placed)) for one in strip.posts])
    for one, higher in zip(strip.posts, raised, strict=True):
        _post(canvas, one, at(_at(one.placed)), higher, ground, scale)
    for rail in strip.rails:
        _rail(canvas, strip, rail, [at(x) for x in _along(strip.layout, rail)], ground, scale)
    canvas.setFillGray(0.3)
    canvas.setFont("Helvetica-Oblique", 6.0)
    for gate in strip.gates:
        middle = (at(_at(gate.posts[0])) + at(_at(gate.posts[1]))) / 2.0
        canvas.drawCentredString(middle, ground + ABOVE / 2.0, "gate")


def _raised(xs: list[float]) -> list[bool]:
    """Return for posts from left to right whether their figures stand over their neighbour's."""
    raised = [False] * len(xs)
    for number, (a, b) in enumerate(pairwise(xs), 1):
        raised[number] = abs(b - a) < CLOSE and not raised[number - 1]
    return raised


def _post(
    canvas: Canvas, one: PostUse, x: float, higher: bool, ground: float, scale: Enlargement
) -> None:
    post = one.placed
    deep, high = _deep(post) * scale.down, post.top * scale.up
    if one.footing is not None:
        _tone(canvas, one.footing)
        canvas.rect(x - 6.0, ground - deep, 12.0, deep, stroke=1, fill=1)
    _tone(canvas, one.post)
    canvas.rect(x - 2.5, ground - deep * 0.8, 5.0, deep * 0.8 + high, stroke=1, fill=1)
    away = 7.0 if higher else 0.0
    if one.footing is not None:
        _figure(canvas, x, ground - deep - 7.0 - away, one.footing)
    lift = 14.0 if higher else 0.0
    _figure(canvas, x, ground + high + 3.0 + lift, one.post)
    canvas.setFillGray(0.0)
    canvas.setFont("Helvetica", 6.0)
    canvas.drawCentredString(x, ground + high + 10.0 + lift, post.label)


def _rail(
    canvas: Canvas, strip: Strip, rail: RailUse, xs: list[float], ground: float, scale: Enlargement
) -> None:
    tops, (height, _) = strip.layout.run.rails.tops, strip.layout.run.rails.section
    left, right = max(xs[0], EDGE), min(xs[-1], PAGE[0] - EDGE)
    thick = max(height * scale.up, 3.0)
    y = ground + tops[rail.row] * scale.up - thick
    _tone(canvas, rail.used)
    canvas.rect(left + 3.5, y, right - left - 7.0, thick, stroke=1, fill=1)
    if right - left > CLOSE:
        # beside the middle, where a post may stand
        first = next(x for x in xs[1:] if x > left)
        _figure(canvas, (left + min(first, right)) / 2.0, y + thick + 1.5, rail.used)
