"""The detail of a plate on a wall: from its side, with its anchors in the wall."""

from __future__ import annotations

from collections.abc import Iterator

from palewright.export.drawing.draft import style as layers
from palewright.export.drawing.draft.drafting import Draft
from palewright.export.drawing.draft.style import CUT_WALL
from palewright.export.drawing.draft.view import Hatch, Item, Line, View
from palewright.model.basis.units import format_length as mm
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.outlines import Outline
from palewright.model.geometry.post_shapes import Post
from palewright.model.geometry.shapes import Rod
from palewright.model.layout.placed_posts import PlacedPost
from palewright.model.parts.members import ANCHOR, WALL_PLATE

from .callouts import Callout, callouts
from .dimensions import level_chain, upright_chain
from .titles import titled

WALL_OVER, GROUND_LONG = 8.0, 14.0
"""How far the wall is shown over the plate, and the ground before it, mm on paper."""


def wall_plate(fence: FenceModel, run: int, post: PlacedPost, draft: Draft) -> View:
    """Return a plate on a wall seen along the wall's face, the wall to the left.

    x = 0 on the wall's face, y = 0 on the ground at the plate.
    """
    members = fence.of_post[run, post.label]
    plate = next(m for m in members if m.kind == WALL_PLATE)
    assert isinstance(plate.shape, Post)
    ground, hold = post.frame.origin[2], fence.layouts[run].run.walls.hold
    width, foot = plate.shape.width, plate.frame.origin[2] - ground
    top = foot + plate.shape.length
    rods = [
        (m.frame.origin[2] - ground, m.shape)
        for m in members
        if m.kind == ANCHOR and isinstance(m.shape, Rod)
    ]
    rods.sort(key=lambda rod: rod[0])
    items = list(_wall(hold, width, top, draft))
    outline = Outline.rectangle(0.0, foot, width, top)
    items.append(Line(outline.vertices, layers.POSTS, closed=True))
    for z, rod in rods:
        half = rod.diameter / 2.0
        body = Outline.rectangle(-hold, z - half, rod.length - hold, z + half)
        items.append(Line(body.vertices, layers.METAL, closed=True))
    items += _sizes(hold, width, [foot, *(z for z, _ in rods), top], draft)
    items += callouts(list(_words(fence, run, plate.shape, rods, (foot, top), draft)), items, draft)
    title = f"Wall plate {post.label}, from its side"
    note = "heights over the ground at the plate; plates of other lengths by the list of members"
    gap = draft.figure(fence.layouts[run].run.walls.gap)
    return titled(title, items, draft, notes=[note, f"rails and pales end {gap} from the wall"])


def _wall(hold: float, width: float, top: float, draft: Draft) -> Iterator[Item]:
    """Yield the wall, deep enough for the anchors, and the ground before it."""
    deep, high = -hold - draft.full(4.0), top + draft.full(WALL_OVER)
    low = -draft.full(3.0)
    yield Hatch(((deep, low), (0.0, low), (0.0, high), (deep, high)), CUT_WALL)
    yield Line.through(((0.0, low), (0.0, high)), layers.WALL)
    yield Line.through(((0.0, 0.0), (width + draft.full(GROUND_LONG), 0.0)), layers.GROUND)


def _sizes(hold: float, width: float, levels: list[float], draft: Draft) -> Iterator[Item]:
    """Yield heights of the plate and its anchors beside it, widths over and under it."""
    tier = draft.full(draft.style.first_tier)
    right = width + tier
    yield from upright_chain([(width, z) for z in (0.0, *levels)], right, draft)
    top = levels[-1] + draft.full(WALL_OVER)
    yield from level_chain([(0.0, top), (width, top)], top + tier, draft)
    if len(levels) > 2:
        low = -draft.full(3.0)
        yield from level_chain([(-hold, low), (0.0, low)], low - tier, draft)


def _words(
    fence: FenceModel,
    run: int,
    plate: Post,
    rods: list[tuple[float, Rod]],
    span: tuple[float, float],
    draft: Draft,
) -> Iterator[Callout]:
    walls, figure = fence.layouts[run].run.walls, draft.figure
    foot, top = span
    size = f"{figure(plate.width)} x {figure(plate.depth)}, {figure(plate.length)} long"
    yield Callout(f"wall plate {size}", (plate.width / 2.0, foot + 0.7 * (top - foot)))
    if rods:
        z, rod = rods[-1]
        words = f"anchor {walls.anchor} x {mm(rod.length)}, {figure(walls.hold)} into the wall"
        yield Callout(words, (rod.length - walls.hold - rod.diameter / 2.0, z))
