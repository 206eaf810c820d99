"""A typical bay and the gates, from the front and from the back."""

from __future__ import annotations

import math

from palewright.export.drawing.draft.figures import Figures
from palewright.export.drawing.draft.lettering import text_width
from palewright.export.drawing.draft.scales import Scale
from palewright.export.drawing.draft.style import Style
from palewright.export.drawing.draft.view import Block, Dimension, Insert, Item, Line, Text, View
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.frames import Frame, Point
from palewright.model.layout.leaves import Leaf, brace_of
from palewright.model.layout.run_layout import Opening, RunLayout, Stretch
from palewright.model.parts.members import FOOTING, METAL, Member

from .dimensions import chain
from .front import members_near
from .members_shown import Scene, Window, ground_line, show
from .titles import titled

PAST = 220.0
"""How much is shown beyond the posts of a bay, mm."""


def typical_bay(
    fence: FenceModel, run: int, scale: Scale, style: Style, figures: Figures, *, back: bool
) -> View:
    """Return a bay of the longest stretch from the front, with the gap, or from the back."""
    layout = fence.layouts[run]
    stretch = max(layout.stretches, key=lambda s: s.xs[-1] - s.xs[0])
    bay = (len(stretch.xs) - 1) // 2
    x0, x1 = stretch.xs[bay], stretch.xs[bay + 1]
    n = scale.n
    span = (x0 - PAST, x1 + PAST)
    zero = stretch.settings[bay].base((x0 + x1) / 2.0)
    view, window, ground = _facing(layout, stretch.leg_number, span, zero, back=back)
    scene = Scene()
    members = members_near(fence, run, stretch.leg_number, *span)
    show(scene, members, view, window, blocks=not back, ground=ground, buried=False)
    ground_line(scene, ground, (window.left, window.right), n)
    items = scene.items
    row = stretch.row
    top = max(y for item in items for y in _ups(item, scene.blocks))
    if not back and row.count > 1:
        _gap(layout, stretch, (x0 + x1) / 2.0, items, zero, top, n, style, figures)
    side = "back" if back else "front"
    first, last = (stretch.posts[bay + end].label for end in (0, 1))
    if back:
        first, last = last, first
    for label, x in ((first, window.left + PAST), (last, window.right - PAST)):
        # clear of the post's own top, and in one row on level ground
        items.append(Text(label, (x, top + 1.6 * style.text * n), style.text, "centre"))
    title = f"Typical bay {first} to {last}, {side}"
    return titled(title, items, scale, style, figures, blocks=scene.blocks.values())


def _ups(item: Item, blocks: dict[str, Block]) -> list[float]:
    """Return heights that an item of timber reaches."""
    match item:
        case Line(vertices):
            return [y for _, y, _ in vertices]
        case Insert(block=name, at=(_, y)):
            return [y + z for line in blocks[name].lines for _, z, _ in line.vertices]
        case _:
            return []


def _gap(
    layout: RunLayout,
    stretch: Stretch,
    middle: float,
    items: list[Item],
    zero: float,
    top: float,
    n: float,
    style: Style,
    figures: Figures,
) -> None:
    row = stretch.row
    width = layout.run.pales.width
    edges = row.edges
    number = min(range(len(edges) - 1), key=lambda i: abs(edges[i] + width - middle))
    start = edges[number] + width
    setting = stretch.settings[stretch.bay_at(start)]
    y = setting.base(start) - zero + layout.run.shoulder
    spots: list[Point] = [(start, y), (edges[number + 1], y)]
    tier = layout.run.height + style.first_tier * n
    if any(setting.slope for setting in stretch.settings):
        tier = top + 4.0 * style.text * n  # over the labels
    items.extend(chain(spots, (0.0, tier), 0.0, n, style, figures))


def _facing(
    layout: RunLayout, leg: int, span: Point, zero: float, *, back: bool
) -> tuple[Frame, Window, tuple[Point, ...]]:
    """Return the view of a span of a leg from the front or the back, and its ground.

    zero : level over the leg's start that is y = 0 in the view, mm.
    """
    frame = layout.legs[leg].frame @ Frame.at(0.0, 0.0, zero)
    ground = tuple((x, z - zero) for x, z in layout.legs[leg].profile)
    if not back:
        return frame, Window(left=span[0], right=span[1]), ground
    ground = tuple((-x, z) for x, z in reversed(ground))
    turned = Frame(
        frame.origin,
        (-frame.x[0], -frame.x[1], -frame.x[2]),
        (-frame.y[0], -frame.y[1], -frame.y[2]),
    )
    return turned, Window(left=-span[1], right=-span[0]), ground


def gate_view(
    fence: FenceModel,
    run: int,
    opening: Opening,
    scale: Scale,
    style: Style,
    figures: Figures,
    *,
    back: bool,
) -> View:
    """Return a gate between its posts from the front or from the back.

    Front: the clear opening, clearances and leaves, the gate posts' depth. Back: the brace.
    """
    layout = fence.layouts[run]
    job = layout.run
    n = scale.n
    leg = opening.leg
    ends = [post.extent(leg) for post in opening.posts]
    span = (ends[0][0] - 120.0, ends[1][1] + 120.0)
    view, window, ground = _facing(layout, opening.leg_number, span, opening.base, back=back)
    scene = Scene()
    members = members_near(fence, run, opening.leg_number, *span)
    posts = [post.label for post in opening.posts]
    kept = [m for m in members if m.kind != FOOTING or m.station in posts]
    show(scene, kept, view, window, blocks=False, ground=ground, buried=not back)
    ground_line(scene, ground, (window.left, window.right), n)
    items = scene.items
    made = opening.leaves
    at_posts = [post.frame.origin[2] - leg.start[2] - opening.base for post in opening.posts]
    deepest = job.posts.gate.embedment + job.footings.bed - min(at_posts)
    top = max(
        job.height,
        *(z + post.top for z, post in zip(at_posts, opening.posts, strict=True)),
    )
    if back:
        for leaf in made:
            _brace(layout, leaf, items, n, style, figures)
        _ledge(layout, made[0], items, n, style, figures)
    else:
        low = -deepest - style.first_tier * n
        _gate_widths(opening, made, items, (low, -deepest, top), n, style, figures)
        _gate_heights(layout, opening, made[0], items, window, at_posts[0], n, style, figures)
    shown = posts[::-1] if back else posts
    outer = (-ends[1][0] - ends[1][1], -ends[0][0] - ends[0][1]) if back else (
        sum(ends[0]), sum(ends[1])
    )  # fmt: skip
    for label, twice in zip(shown, outer, strict=True):
        spot = (twice / 2.0, top + 1.6 * style.text * n)
        items.append(Text(label, spot, style.text, "centre"))
    side = "back" if back else "front"
    title = f"Gate {opening.number + 1} of run {job.letter}, {side}"
    if not back:
        title += f", opens {opening.spec.swing}"
    notes = _ironmongery(fence, layout, opening, figures) if back else []
    return titled(title, items, scale, style, figures, left=window.left, notes=notes)


def _ironmongery(
    fence: FenceModel, layout: RunLayout, opening: Opening, figures: Figures
) -> list[str]:
    """Return what metal parts a gate has, by mark."""
    group = f"{layout.run.letter} gate {opening.number + 1}"
    counts: dict[str, tuple[int, Member]] = {}
    for member in fence.members:
        if member.group == group and member.kind.material == METAL:
            count, _ = counts.get(member.mark, (0, member))
            counts[member.mark] = (count + 1, member)
    lines = []
    for mark, (count, member) in counts.items():
        sizes = " x ".join(figures.text(size) for size in member.shape.size)
        lines.append(f"{count} {member.kind.name} {mark}, {sizes}")
    return lines


def _gate_widths(
    opening: Opening,
    made: tuple[Leaf, ...],
    items: list[Item],
    levels: tuple[float, float, float],
    n: float,
    style: Style,
    figures: Figures,
) -> None:
    """Add opening below, and clearances and leaves above.

    levels : of the lower dimension line, the bottom of the holes and the top of the posts.
    """
    low, foot, top = levels
    ends: list[Point] = [(opening.start, foot), (opening.end, foot)]
    items.extend(chain(ends, (0.0, low), 0.0, n, style, figures))
    xs = [opening.start, *(x for leaf in made for x in (leaf.x0, leaf.x1)), opening.end]
    if len(made) == 2:  # both sides alike: the left half and the middle say all
        xs = xs[:4]
    elif made[0].hinge_left is False:
        xs = xs[::-1]
    y = top + 3.2 * style.text * n
    tier = y + style.first_tier * 0.6 * n
    spots = sorted((x, y) for x in xs)
    items.extend(chain(list(spots), (0.0, tier), 0.0, n, style, figures))


def _gate_heights(
    layout: RunLayout,
    opening: Opening,
    leaf: Leaf,
    items: list[Item],
    window: Window,
    at_post: float,
    n: float,
    style: Style,
    figures: Figures,
) -> None:
    job = layout.run
    x = window.left - style.first_tier * n
    ground = opening.ground - opening.base
    if abs(job.gates.ground_clearance - (leaf.foot - ground)) < 1e-6:
        spots: list[Point] = [(window.left, ground), (window.left, leaf.foot)]
        items.extend(chain(spots, (x, 0.0), 90.0, n, style, figures, aside=False))
    gate, line = job.posts.gate, job.posts.line
    if gate.embedment != line.embedment:
        spots = [(window.left, at_post - gate.embedment), (window.left, at_post)]
        items.extend(
            chain(spots, (x - style.side_tier * n, 0.0), 90.0, n, style, figures, aside=False)
        )
    if gate.above_rail != line.above_rail:
        spots = [
            (window.right, job.rails.tops[-1]),
            (window.right, job.rails.tops[-1] + gate.above_rail),
        ]
        side = window.right + style.first_tier * n
        items.extend(chain(spots, (side, 0.0), 90.0, n, style, figures, aside=False))


def _brace(
    layout: RunLayout, leaf: Leaf, items: list[Item], n: float, style: Style, figures: Figures
) -> None:
    """Add the brace's width, square across it, seen from the back."""
    job = layout.run
    height = job.gates.ledge[0]
    foot = leaf.ledges[0] + height
    brace = brace_of(leaf.width, leaf.ledges[1] - foot, job.gates.brace)
    if brace is None or leaf.stands:
        return
    # seen from the back the brace leans the other way
    lean = 180.0 - brace.degrees if leaf.hinge_left else brace.degrees
    direction = (math.cos(math.radians(lean)), math.sin(math.radians(lean)))
    across = (-direction[1], direction[0])
    middle = (-(leaf.x0 + leaf.x1) / 2.0, foot + brace.rise / 2.0)
    half = job.gates.brace / 2.0
    ends = [
        (middle[0] + sign * half * across[0], middle[1] + sign * half * across[1])
        for sign in (-1, 1)
    ]
    degrees = (lean + 90.0) % 180.0
    degrees = degrees - 180.0 if degrees > 90.0 else degrees
    # the figure stands above the brace, clear of it
    way = 1.0 if across[1] > 0 else -1.0
    room = text_width(figures.text(job.gates.brace), style.text) / 2.0
    away = half + (room + style.tick) * n
    spot = (middle[0] + way * away * across[0], middle[1] + way * away * across[1])
    items.append(Dimension(ends[0], ends[1], ends[0], degrees, text_at=spot))


def _ledge(
    layout: RunLayout, leaf: Leaf, items: list[Item], n: float, style: Style, figures: Figures
) -> None:
    """Add the ledge's height where it is not that of the rails."""
    job = layout.run
    if job.gates.ledge == job.rails.section:
        return
    x = -leaf.x0 if leaf.hinge_left else -leaf.x1
    spots: list[Point] = [(x, leaf.ledges[0]), (x, leaf.ledges[0] + job.gates.ledge[0])]
    side = max(-leaf.x0, -leaf.x1) + (220.0 + style.first_tier * n)
    items.extend(chain(spots, (side, 0.0), 90.0, n, style, figures, aside=False))
