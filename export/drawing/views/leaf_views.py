"""A gate leaf to be made at the bench: its front, its back and a section."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise

from palewright.export.drawing.draft import style as layers
from palewright.export.drawing.draft.drafting import Draft
from palewright.export.drawing.draft.style import CUT_TIMBER
from palewright.export.drawing.draft.view import Dimension, Hatch, Item, Line, Text, View
from palewright.model.basis.text import titled_text
from palewright.model.geometry.frames import Point, dot
from palewright.model.geometry.shapes import Plate
from palewright.model.parts.members import (
    BEAM,
    BRACE,
    BURIED,
    CARRIAGE,
    CHANNEL,
    FRAMING,
    GATE_BASE,
    GUIDE_PLATE,
    GUIDE_POST,
    HANDLE,
    LATCHES,
    LEDGE,
    METAL,
    PALE,
    RECEIVER,
    ROLLER,
    STILE,
    STRAP,
    TRACK,
    UPRIGHT,
    WHEEL,
    Member,
)

from .bays import facing_of
from .dimensions import level_chain, upright_chain
from .front import members_near
from .leaf_shown import LeafShown
from .members_shown import ground_line, show
from .titles import titled

PAST = 4.5
"""How much is shown of the posts, mm on paper."""


def leaf_view(shown: LeafShown, draft: Draft, *, back: bool) -> View:
    """Return a leaf from the front, with its widths, clearances and pales, or from the back, with
    its ledges, its brace and where its hinges sit. x runs along the paper to the right.
    """
    past = draft.full(PAST)
    left, right = shown.sides
    span = (left - past, right + past)
    facing = facing_of(shown.opening.leg, span, shown.opening.base, back=back)
    window = facing.window
    near = members_near(shown.fence, shown.run_number, shown.opening.leg_number, *span)
    labels = {post.label for post in shown.opening.posts}
    posts = [m for m in near if m.station in labels and m.kind not in BURIED]
    slides = shown.leaf.plan.slide is not None
    items: list[Item] = [
        # one that slides stands behind its posts: it is shown alone
        *show(
            [*shown.hung] if slides else [*posts, *shown.gate], facing, blocks=False, buried=False
        ),
        *ground_line(facing.ground, (window.left, window.right), draft),
        *(_back(shown, draft) if back else _front(shown, draft)),
    ]
    side = "back" if back else "front"
    return titled(f"{titled_text(shown.called)}, {side}", items, draft, left=window.left)


def _top(shown: LeafShown) -> float:
    """Return the highest that a front or back shows over the base, mm."""
    base = shown.opening.leg.start[2] + shown.opening.base
    tops = [p.frame.origin[2] - base + p.full_height for p in shown.opening.posts]
    return max(shown.leaf.foot + shown.leaf.height, *tops)


def _lowest(shown: LeafShown, draft: Draft) -> float:
    """Return the lowest of the leaf and of the ground that is shown over the base, mm."""
    past = draft.full(PAST)
    ends = shown.sides[0] - past, shown.sides[1] + past
    ground = (shown.opening.leg.ground(x) - shown.opening.base for x in ends)
    return min(shown.leaf.foot, *ground)


def _front(shown: LeafShown, draft: Draft) -> Iterator[Item]:
    leaf, tier = shown.leaf, draft.full(draft.style.first_tier)
    left, right = shown.sides
    top = _top(shown)
    ends = sorted({left, leaf.x0, leaf.x1, right})
    yield from level_chain([(x, top) for x in ends], top + tier, draft)
    edges = [leaf.x0 + edge for edge in shown.pale_edges]
    widths = [place.kind.width for place in leaf.pales]
    xs = [leaf.x0, *([edges[0]] if edges[0] > leaf.x0 + 0.05 else []), edges[0] + widths[0]]
    xs += edges[1:2]
    xs += [edges[1] + widths[1]] if len(edges) > 2 else []
    low = _lowest(shown, draft)
    yield from level_chain([(x, leaf.foot) for x in (*xs, leaf.x1)], low - tier, draft)
    heights = [shown.ground, leaf.foot, *(leaf.foot + end for end in _ends(leaf.lengths))]
    # on the side on which the ground is as high as the clearance is measured from
    ground, past = shown.opening.leg.ground, draft.full(PAST)
    side, way = (right + past, 1.0) if ground(right) > ground(left) + 0.5 else (left - past, -1.0)
    yield from upright_chain([(side, z) for z in heights], side + way * tier, draft)
    if draft.full(draft.text) < 0.8 * shown.run.pales.narrowest:
        middle = (leaf.ledges[0] + leaf.ledges[1]) / 2.0
        for member in shown.of(PALE):
            low_x, high_x = (corner[0] for corner in shown.box(member))
            spot = ((low_x + high_x) / 2.0 + draft.full(draft.text) / 2.0, middle)
            yield Text(member.mark, spot, draft.text, "centre", 90.0)
    for member in shown.of(STRAP):
        if shown.box(member)[0][1] < shown.leaf.front:
            yield from _mark_in(shown, member, draft, back=False)


def _ends(lengths: tuple[float, ...]) -> list[float]:
    """Return the shortest and the longest of a leaf's pales, mm; one where all are alike."""
    ends = [min(lengths), max(lengths)]
    return ends if ends[1] - ends[0] > 0.05 else ends[1:]


def _back(shown: LeafShown, draft: Draft) -> Iterator[Item]:
    leaf, tier = shown.leaf, draft.full(draft.style.first_tier)
    low, top = _lowest(shown, draft), _top(shown)
    braces = shown.brace_ends
    if braces:
        feet, heads = (sorted(x for ends in braces for x in ends[n]) for n in (0, 1))
        for own, z, y in ((feet, leaf.foot, low - tier), (heads, top, top + tier)):
            xs = sorted(-x for x in (leaf.x0, *own, leaf.x1))
            figures = draft.figures.closing([right - left for left, right in pairwise(xs)])
            # as the table of parts has them
            yield from level_chain([(x, z) for x in xs], y, draft, figures)
    height = shown.leaf.plan.ledge[0]
    heights = [leaf.foot, *(z for low in leaf.ledges for z in (low, low + height))]
    heights += [leaf.foot + end for end in _ends(leaf.lengths)]
    heights = [z for n, z in enumerate(heights) if n == 0 or z - heights[n - 1] > 0.05]
    past = draft.full(PAST)
    paper = (-shown.sides[1] - past, -1.0), (-shown.sides[0] + past, 1.0)
    chains = (heights, _hinges(shown)) if leaf.hinge_left else (_hinges(shown), heights)
    for (edge, way), zs in zip(paper, chains, strict=True):
        yield from upright_chain([(edge, z) for z in zs], edge + way * tier, draft)
    for member in shown.of(*FRAMING, *LATCHES, STRAP):
        if member.kind != STRAP or shown.box(member)[0][1] > shown.leaf.back:
            yield from _mark_in(shown, member, draft, back=True)


def _hinges(shown: LeafShown) -> list[float]:
    """Return the leaf's foot, and the heights of the middles of its hinges, or of the undersides
    of its receivers.
    """
    middles = [(low[2] + high[2]) / 2.0 for low, high in map(shown.box, shown.of(STRAP))]
    if shown.leaf.plan.slide is not None:
        middles = sorted({shown.box(one)[0][2] for one in shown.of(RECEIVER)})
    return [shown.leaf.foot, *sorted(middles)]


def _mark_in(shown: LeafShown, member: Member, draft: Draft, *, back: bool) -> Iterator[Text]:
    """Yield a member's mark inside it where it has room."""
    (x0, _, z0), (x1, _, z1) = shown.box(member)
    sign = -1.0 if back else 1.0
    height = draft.full(draft.text)
    x, z = sign * (x0 + x1) / 2.0, (z0 + z1) / 2.0
    if member.kind == BRACE:
        along = member.frame.x[2]
        level = math.hypot(member.frame.x[0], member.frame.x[1])
        lean = math.degrees(math.atan2(sign * along, level))
        if member.shape.size[0] > 1.3 * height:
            turn = math.radians(lean)
            half = height / 2.0
            spot = (x + half * math.sin(turn), z - half * math.cos(turn))
            yield Text(member.mark, spot, draft.text, "centre", lean)
    elif member.kind in (STILE, UPRIGHT):
        if x1 - x0 > 1.3 * height:
            # clear of a brace's end, a middle ledge, a closer and a drop bolt
            spot = (x + height / 2.0, z0 + 0.74 * (z1 - z0))
            yield Text(member.mark, spot, draft.text, "centre", 90.0)
    elif z1 - z0 > 1.2 * height and x1 - x0 > 1.2 * draft.width(member.mark):
        yield Text(member.mark, (x, z - height / 2.0), draft.text, "centre")


def leaf_section(shown: LeafShown, draft: Draft) -> View:
    """Return the upright section through a leaf, its front to the left, with the part marks."""
    items: list[Item] = [*_cut_pieces(shown, draft), *_thicknesses(shown, draft)]
    items += _section_marks(shown, draft)
    return titled(f"{titled_text(shown.called)}, section", items, draft)


def _cut_pieces(shown: LeafShown, draft: Draft) -> Iterator[Item]:
    seen: set[tuple[float, ...]] = set()
    for member in shown.of(PALE, *FRAMING, STRAP, *LATCHES, HANDLE):
        (_, y0, z0), (_, y1, z1) = shown.box(member)
        place = tuple(round(value, 2) for value in (y0, z0, y1, z1))
        if place in seen:
            continue
        seen.add(place)
        loop: tuple[Point, ...] = ((y0, z0), (y1, z0), (y1, z1), (y0, z1))
        if member.kind == PALE:
            yield Line.through(loop, layers.PALES, closed=True)
        elif member.kind.material == METAL:
            yield Line.through(loop, layers.METAL, closed=True)
        else:
            yield Line.through(loop, layers.RAILS, closed=True)
            if member.kind == LEDGE:
                yield Hatch(loop, CUT_TIMBER)
    yield from _slid_pieces(shown, draft)


def _slid_pieces(shown: LeafShown, draft: Draft) -> Iterator[Item]:
    """Yield what a sliding leaf runs on and is guided by as the section shows it: profiles as they
    are, the ground that they stand in or on, and posts and concrete down to a little below it.
    """
    if shown.leaf.plan.slide is None:
        return
    low = shown.ground - UNDER
    for member in shown.of(*SECTIONED):
        (_, y0, z0), (_, y1, z1) = shown.box(member)
        loop: tuple[Point, ...] = tuple(
            (y, max(z, low)) for y, z in ((y0, z0), (y1, z0), (y1, z1), (y0, z1))
        )
        if (
            isinstance(member.shape, Plate)
            and abs(member.frame.y[2]) < 0.5
            and _along(shown, member)
        ):
            corners = (member.frame.point((x, 0.0, z)) for x, z, _ in member.shape.outline.vertices)
            loop = tuple(shown.frame.local(corner)[1:] for corner in corners)
        timber = member.kind == GUIDE_POST
        yield Line.through(loop, layers.POSTS if timber else layers.METAL, closed=True)
    past = draft.full(PAST)
    ends = shown.leaf.front - past, max(shown.box(m)[1][1] for m in shown.of(*SECTIONED)) + past
    yield Line.through(tuple((y, shown.ground) for y in ends), layers.GROUND)


def _along(shown: LeafShown, member: Member) -> bool:
    """Tell whether a plate's outline is its section square to the leaf."""
    return abs(dot(member.frame.y, shown.frame.x)) > 0.5


SECTIONED = (BEAM, CHANNEL, CARRIAGE, WHEEL, TRACK, ROLLER, GUIDE_PLATE, GUIDE_POST, GATE_BASE)
"""What the section of a sliding leaf shows besides the leaf."""

UNDER = 250.0
"""How much of posts and concrete is shown under the ground, mm."""


def _thicknesses(shown: LeafShown, draft: Draft) -> Iterator[Dimension]:
    leaf, foot = shown.leaf, shown.leaf.foot
    ys = (leaf.front, leaf.back, leaf.back + leaf.plan.ledge[1])
    tier = draft.full(draft.style.first_tier)
    z, line = (foot, foot - tier)
    if leaf.plan.slide is not None:  # clear of what is in the ground
        z, line = (foot + leaf.height, foot + leaf.height + tier)
    yield from level_chain([(y, z) for y in ys], line, draft)


def _section_marks(shown: LeafShown, draft: Draft) -> Iterator[Text]:
    """Yield the marks beside what is cut: pales to the left, ledges and brace to the right."""
    boxes = [shown.box(m) for m in shown.of(PALE, *FRAMING, STRAP, *LATCHES, HANDLE)]
    back, front = max(high[1] for _, high in boxes), min(low[1] for low, _ in boxes)
    half, gap = draft.full(draft.text) / 2.0, draft.full(1.5)
    pales = list(dict.fromkeys(member.mark for member in shown.of(PALE)))
    middle = shown.leaf.foot + shown.leaf.height / 2.0 - half
    for row, mark in enumerate(pales):
        z = round(middle + (len(pales) / 2.0 - 0.5 - row) * 3.2 * half, 2)
        yield Text(mark, (front - gap, z), draft.text, "right")
    slid = SECTIONED if shown.leaf.plan.slide is not None else ()
    if slid:
        back = max(shown.box(one)[1][1] for one in shown.of(*slid))
    rows: dict[float, list[str]] = {}
    for member in shown.of(*FRAMING, *slid):
        (_, _, z0), (_, _, z1) = shown.box(member)
        beside = rows.setdefault(round((z0 + z1) / 2.0 - half, 2), [])
        if member.mark not in beside:
            beside.append(member.mark)
    if slid:
        yield from _spread(rows, back + gap, draft, shown.ground)
        return
    for z, marks in rows.items():
        for row, mark in enumerate(marks):
            yield Text(mark, (back + gap, z - row * 3.2 * half), draft.text, "left")


def _spread(rows: dict[float, list[str]], x: float, draft: Draft, ground: float) -> Iterator[Text]:
    """Yield marks at their heights in one row each, from above, none over another."""
    step, last = 1.6 * draft.full(draft.text), math.inf
    for z, marks in sorted(rows.items(), reverse=True):
        last = min(max(z, ground - UNDER), last - step)
        yield Text(", ".join(marks), (x, last), draft.text, "left")
