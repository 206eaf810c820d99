"""The detail of a plate on a wall or on a post: from its side, with what holds it there."""

from __future__ import annotations

from collections.abc import Iterator

from palewright.export.drawing.draft import style as layers
from palewright.export.drawing.draft.drafting import Draft
from palewright.export.drawing.draft.style import CUT_TIMBER, CUT_WALL
from palewright.export.drawing.draft.view import Hatch, Item, Line, View
from palewright.model.basis.units import format_length as mm
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.outlines import Outline
from palewright.model.geometry.post_shapes import Post
from palewright.model.geometry.shapes import Rod
from palewright.model.layout.placed_posts import PlacedPost
from palewright.model.parts.hardware import ANCHOR_HEAD
from palewright.model.parts.members import ANCHOR, COACH_SCREW, PLATES

from .callouts import Callout, callouts
from .dimensions import level_chain, upright_chain
from .titles import titled

WALL_OVER, GROUND_LONG = 8.0, 14.0
"""How far the wall is shown over the plate, and the ground before it, mm on paper."""


def wall_plate(fence: FenceModel, run: int, post: PlacedPost, draft: Draft) -> View:
    """Return a plate on a wall or a post seen along its face, the wall or the post to the left.

    x = 0 on that face, y = 0 on the ground at the plate.
    """
    members = fence.of_post[run, post.label]
    plate = next(m for m in members if m.kind in PLATES)
    assert isinstance(plate.shape, Post)
    ground = post.frame.origin[2]
    hold = post.hold if post.host else fence.layouts[run].run.walls.hold
    width, foot = plate.shape.width, plate.frame.origin[2] - ground
    top = foot + plate.shape.length
    rods = [
        (m.frame.origin[2] - ground, m.shape)
        for m in members
        if m.kind in (ANCHOR, COACH_SCREW) and isinstance(m.shape, Rod)
    ]
    rods.sort(key=lambda rod: rod[0])
    items = list(_post(fence, run, post, draft) if post.host else _wall(hold, width, top, draft))
    outline = Outline.rectangle(0.0, foot, width, top)
    items.append(Line(outline.vertices, layers.POSTS, closed=True))
    for z, rod in rods:
        half = rod.diameter / 2.0
        body = Outline.rectangle(-hold, z - half, rod.length - hold, z + half)
        items.append(Line(body.vertices, layers.METAL, closed=True))
    items += _sizes(hold, width, [foot, *(z for z, _ in rods), top], draft)
    items += callouts(
        list(_words(fence, (run, post), plate.shape, rods, (foot, top), draft)), items, draft
    )
    note = "heights over the ground at the plate; plates of other lengths by the list of members"
    gap = draft.figure(fence.layouts[run].run.walls.gap)
    if post.host:
        title = f"Plate {post.label} on post {post.host}, from its side"
        notes = [note, f"rails and pales end {gap} or more from the post"]
        if post.taken:
            notes.append("the plate's back is recessed over the nuts of the post's own bolts")
        return titled(title, items, draft, notes=notes)
    on = post.held_by
    title = f"Wall plate {post.label}, from its side"
    if on != "wall":
        title = f"Plate {post.label} on the {on}, from its side"
    notes = [note, f"rails and pales end {gap} from the {on}"]
    pier = fence.layouts[run].run.piers[0 if post.fence_on > 0 else 1]
    if post.pier and pier is not None:
        across = f"{draft.figure(pier.along)} along the run, {draft.figure(pier.across)} across it"
        notes.append(f"the pier is {across}, its middle on the line")
    return titled(title, items, draft, notes=notes)


def _post(fence: FenceModel, run: int, post: PlacedPost, draft: Draft) -> Iterator[Item]:
    """Yield the post that a plate is on as far as it is over the ground, and the ground."""
    host = fence.layouts[run].run.hosts[0 if post.fence_on > 0 else 1]
    behind = next(p for one in fence.layouts for p in one.posts if p.label == post.host)
    assert host is not None
    top = behind.frame.origin[2] + behind.top - post.frame.origin[2]
    low = -draft.full(3.0)
    loop = ((-host.depth, low), (0.0, low), (0.0, top), (-host.depth, top))
    yield Hatch(loop, CUT_TIMBER)
    yield Line.through(loop[1:] + loop[:1], layers.POSTS)
    right = post.plan.width + draft.full(GROUND_LONG)
    yield Line.through(((0.0, 0.0), (right, 0.0)), layers.GROUND)


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
    placed: tuple[int, PlacedPost],
    plate: Post,
    rods: list[tuple[float, Rod]],
    span: tuple[float, float],
    draft: Draft,
) -> Iterator[Callout]:
    run, post = placed
    walls, figure = fence.layouts[run].run.walls, draft.figure
    foot, top = span
    size = f"{figure(plate.width)} x {figure(plate.depth)}, {figure(plate.length)} long"
    named = "wall plate" if post.held_by == "wall" else f"plate on {post.held_by}"
    yield Callout(f"{named} {size}", (plate.width / 2.0, foot + 0.7 * (top - foot)))
    if rods and post.host:
        z, rod = rods[-1]
        long = mm(rod.length - ANCHOR_HEAD)
        words = f"coach screw {walls.anchor} x {long}, {figure(post.hold)} into the post"
        yield Callout(words, (rod.length - post.hold - rod.diameter / 2.0, z))
    elif rods:
        z, rod = rods[-1]
        words = f"anchor {walls.anchor} x {mm(rod.length)}, {figure(walls.hold)} into the "
        words += post.held_by
        yield Callout(words, (rod.length - walls.hold - rod.diameter / 2.0, z))
