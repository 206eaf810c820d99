"""Gates between their posts, from the front and from the back."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property

from palewright.export.drawing.draft.drafting import Draft
from palewright.export.drawing.draft.lettering import text_width
from palewright.export.drawing.draft.style import DIMENSIONS
from palewright.export.drawing.draft.view import Dimension, Item, Line, Text, View
from palewright.model.basis.text import titled_text
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.frames import Point
from palewright.model.layout.leaf_frames import SetBrace, set_braces
from palewright.model.layout.leaves import Leaf
from palewright.model.layout.run_layout import Opening
from palewright.model.lists.leaf_words import leaf_words
from palewright.model.parts.members import FRAMING, IN_HOLE, KEEP, METAL, RECEIVER, Member
from palewright.model.resolved.job import RunJob

from .bays import OVER_POSTS, facing_of
from .callouts import Callout, callouts
from .dimensions import level_chain, one_dimension, upright_chain
from .front import members_near
from .members_shown import Facing, ground_line, show
from .projection import project
from .titles import titled

UP_BRACE, OVER_PALES = 0.32, 1.5
"""Where a brace is measured, from its middle upwards as a share of its rise; and from the highest
that is shown to the figure, mm on paper."""

PAST = 120.0
"""How much is shown beyond the posts of a gate, mm."""


@dataclass(frozen=True)
class GateShown:
    """A gate as it is drawn, from the front or from the back."""

    fence: FenceModel
    run_number: int
    opening: Opening
    draft: Draft
    back: bool

    @property
    def run(self) -> RunJob:
        """The run that the gate is in."""
        return self.fence.layouts[self.run_number].run

    @cached_property
    def ends(self) -> tuple[Point, Point]:
        """From where to where both posts reach along the leg, mm."""
        first, last = (post.extent(self.opening.leg) for post in self.opening.posts)
        return first, last

    @cached_property
    def span(self) -> Point:
        """What is shown of the leg, mm: both posts, and the whole of a leaf that laps them."""
        leaves = self.opening.leaves
        low, high = min(leaf.x0 for leaf in leaves), max(leaf.x1 for leaf in leaves)
        holes = [post.plan.foot.dug for post in self.opening.posts]
        wide = max(
            one.half_hole - post.plan.width / 2.0 + PAST / 4.0 if one else 0.0
            for one, post in zip(holes, self.opening.posts, strict=True)
        )
        past = max(PAST, wide)
        return min(self.ends[0][0], low) - past, max(self.ends[1][1], high) + past

    @cached_property
    def facing(self) -> Facing:
        """How it is looked at."""
        return facing_of(self.opening.leg, self.span, self.opening.base, back=self.back)

    @cached_property
    def at_posts(self) -> tuple[float, ...]:
        """The ground at each post over the gate's base, mm."""
        opening = self.opening
        return tuple(
            post.frame.origin[2] - opening.leg.start[2] - opening.base for post in opening.posts
        )

    @property
    def deepest(self) -> float:
        """How far the deeper hole goes below the gate's base, mm."""
        return max(post.plan.foot.deep for post in self.opening.posts) - min(self.at_posts)

    @property
    def top(self) -> float:
        """The highest of pales and posts over the gate's base, mm."""
        tops = (z + p.full_height for z, p in zip(self.at_posts, self.opening.posts, strict=True))
        leaves = (leaf.foot + leaf.height for leaf in self.opening.leaves)
        return max(self.run.height, *leaves, *tops)


def gate_view(fence: FenceModel, run: int, opening: Opening, draft: Draft, *, back: bool) -> View:
    """Return a gate between its posts from the front or from the back.

    Front: the clear opening, clearances and leaves, the gate posts' depth. Back: the brace.
    """
    shown = GateShown(fence, run, opening, draft, back)
    window = shown.facing.window
    items: list[Item] = [
        *_members(shown),
        *ground_line(shown.facing.ground, (window.left, window.right), draft),
        *(_from_back(shown) if back else _from_front(shown)),
        *_post_labels(shown),
    ]
    side = "back" if back else "front"
    title = f"{titled_text(shown.opening.called)}, {shown.run.called}, {side}"
    if not back:
        slide = opening.leaves[0].plan.slide
        way = f"opens {opening.spec.swing}"
        if slide is not None:
            way = f"slides to the {'left' if slide.to_left else 'right'}"
        title += f", {way}"
    notes = [] if back else [*_leaf_notes(shown), *_holes(shown)]
    if back:
        asked, notes = _ironmongery(shown)
        items += callouts(asked, items, draft, lift=0.5)
    return titled(title, items, draft, left=window.left, notes=notes)


def _members(shown: GateShown) -> Iterator[Item]:
    labels = [post.label for post in shown.opening.posts]
    near = members_near(shown.fence, shown.run_number, shown.opening.leg_number, *shown.span)
    kept = [m for m in near if m.kind not in IN_HOLE or m.station in labels]
    yield from show(kept, shown.facing, blocks=False, buried=not shown.back)


def _from_front(shown: GateShown) -> Iterator[Dimension]:
    yield from _widths(shown)
    yield from _heights(shown)


def _from_back(shown: GateShown) -> Iterator[Item]:
    for leaf in shown.opening.leaves:
        yield from _brace(shown, leaf)
    yield from _ledge(shown.run, shown.opening.leaves[0], shown.draft)


def _post_labels(shown: GateShown) -> Iterator[Text]:
    first, last = (sum(end) for end in shown.ends)
    posts = shown.opening.posts
    places = ((posts[1], -last), (posts[0], -first)) if shown.back else (
        (posts[0], first), (posts[1], last)
    )  # fmt: skip
    draft = shown.draft
    for post, twice in places:
        spot = (twice / 2.0, shown.top + OVER_POSTS * draft.text * draft.n)
        yield Text(post.label, spot, draft.text, "centre")


def _leaf_notes(shown: GateShown) -> list[str]:
    """Say how the leaves differ from the fence."""
    plan, heads = shown.opening.leaves[0].plan, shown.run.pales.heads_said
    return leaf_words(plan, heads, shown.draft.figure)


def _holes(shown: GateShown) -> list[str]:
    """Say what holes the gate's posts stand in."""
    dug = [post.plan.foot.dug for post in shown.opening.posts]
    hole = next((one.hole for one in dug if one is not None), None)
    return [] if hole is None else [f"holes {shown.draft.figures.dug(hole)}"]


def _ironmongery(shown: GateShown) -> tuple[list[Callout], list[str]]:
    """Return what a leaf is held by and hangs on, each mark with a leader to one of its parts; and
    in words what is on the other side of the pales.
    """
    group = f"{shown.run.letter} gate {shown.opening.number + 1}"
    own: dict[str, list[Member]] = {}
    for member in shown.fence.by_group.get((shown.run_number, group), ()):
        if member.kind.material == METAL or member.kind in FRAMING:
            own.setdefault(member.mark, []).append(member)
    asked, hidden = [], []
    frame = shown.opening.leg.frame
    for mark, members in own.items():
        *section, length = members[0].size
        sizes = [*map(shown.draft.figure, section), shown.draft.usual(length)]
        words = f"{len(members)} {members[0].kind.name} {mark}, {' x '.join(sizes)}"
        before = frame.local(members[0].frame.origin)[1] < shown.opening.leaves[0].back - 1.0
        spots = [spot for spot in (_middle(shown, member) for member in members) if spot]
        if before and members[0].kind not in (RECEIVER, KEEP):
            hidden.append(f"on the front: {words}")
        else:
            asked.append(Callout(words, max(spots)))
    return asked, hidden


def _middle(shown: GateShown, member: Member) -> Point | None:
    """Return the middle of what a view shows of a member, mm; None where that is nothing."""
    loops = project(member, shown.facing.frame).loops
    xs, ys = zip(*(point for loop in loops for point in loop), strict=True)
    window = shown.facing.window
    low, high = max(min(xs), window.left), min(max(xs), window.right)
    return ((low + high) / 2.0, (min(ys) + max(ys)) / 2.0) if low < high else None


def _widths(shown: GateShown) -> Iterator[Dimension]:
    """Yield the opening below, and clearances and leaves above."""
    draft, opening, leaves = shown.draft, shown.opening, shown.opening.leaves
    first_tier = draft.full(draft.style.first_tier)
    foot = -shown.deepest
    ends = [(opening.start, foot), (opening.end, foot)]
    yield from level_chain(ends, foot - first_tier, draft)
    xs = [opening.start, *(x for leaf in leaves for x in (leaf.x0, leaf.x1)), opening.end]
    if leaves[0].plan.slide is not None:
        xs.sort()
    if len(leaves) == 2:  # both sides alike: the left half and the middle say all
        xs = xs[:4]
    elif leaves[0].hinge_left is False:
        xs = xs[::-1]
    y = shown.top + 3.2 * draft.text * draft.n
    tier = y + draft.style.first_tier * 0.6 * draft.n
    yield from level_chain(sorted((x, y) for x in xs), tier, draft)


def _heights(shown: GateShown) -> Iterator[Dimension]:
    """Yield the leaf's clearance from the ground, and how gate posts differ from line posts."""
    run, draft, window = shown.run, shown.draft, shown.facing.window
    opening, leaf = shown.opening, shown.opening.leaves[0]
    x = window.left - draft.full(draft.style.first_tier)
    ground = opening.ground - opening.base
    if abs(run.gates.ground_clearance - (leaf.foot - ground)) < 1e-6:
        yield from upright_chain([(window.left, z) for z in (ground, leaf.foot)], x, draft)
    gate, line = opening.posts[0].plan, run.posts.line
    if gate.embedment != line.embedment:
        at_post = shown.at_posts[0]
        depth = [(window.left, at_post - gate.embedment), (window.left, at_post)]
        yield from upright_chain(depth, x - draft.full(draft.style.side_tier), draft)
    over = opening.posts[1].plan.above_rail
    if over != line.above_rail:
        rail = run.rails.tops[-1]
        above = [(window.right, rail), (window.right, rail + over)]
        yield from upright_chain(above, window.right + draft.full(draft.style.first_tier), draft)


def _brace(shown: GateShown, leaf: Leaf) -> Iterator[Item]:
    """Yield the brace's width, square across it, seen from the back: its figure over the pales,
    which would run through it.
    """
    draft = shown.draft
    places = set_braces(leaf)
    spot = places[0] if places else None
    if spot is None or spot.brace is None or leaf.stands:
        return
    brace, foot = spot.brace, spot.low
    # seen from the back the brace leans the other way
    lean = math.radians(180.0 - brace.degrees if spot.to_right else brace.degrees)
    along = (math.cos(lean), math.sin(lean))
    across = (-along[1], along[0]) if along[0] > 0.0 else (along[1], -along[0])
    room = text_width(draft.figure(leaf.plan.brace), draft.text) / 2.0 * draft.n
    centre = (-_middle_x(leaf, spot), foot + brace.rise / 2.0)
    middle, away = _measured_at(shown, centre, (along, across), (brace.rise, room))
    half = leaf.plan.brace / 2.0
    ends = [
        (middle[0] + sign * half * across[0], middle[1] + sign * half * across[1])
        for sign in (-1, 1)
    ]
    degrees = math.degrees(math.atan2(across[1], across[0]))
    degrees = degrees - 180.0 if degrees > 90.0 else degrees
    figure = (middle[0] + away * across[0], middle[1] + away * across[1])
    plain = one_dimension((ends[0], ends[1]), ends[0], degrees, draft)
    yield replace(plain, text_at=figure)
    far = away - room - draft.full(draft.style.gap)
    tip = (middle[0] + far * across[0], middle[1] + far * across[1])
    yield Line.through((ends[1], tip), DIMENSIONS)


def _measured_at(
    shown: GateShown, centre: Point, ways: tuple[Point, Point], sizes: tuple[float, float]
) -> tuple[Point, float]:
    """Return where on its axis a brace is measured, and how far from there its figure is, mm: over
    the pales, where no label of a post is in its way.

    centre : the brace's middle; ways : along it and across; sizes : its rise, and half the figure.
    """
    draft, (along, across), (rise, room) = shown.draft, ways, sizes
    tall = draft.full(draft.text)
    labels = [(text.at[0], draft.width(text.text) / 2.0) for text in _post_labels(shown)]
    best = []
    for up in (UP_BRACE, UP_BRACE + 0.1, *(UP_BRACE - 0.12 * part for part in range(1, 6))):
        reach = up * rise / along[1]
        middle = (centre[0] + reach * along[0], centre[1] + reach * along[1])
        over = shown.top + draft.full(OVER_PALES + draft.text / 2.0) - middle[1]
        away = over / max(across[1], 0.35) + room  # a steep one is measured nearly level
        x = middle[0] + away * across[0]
        clear = min(abs(x - at) - half - room - 0.2 * tall for at, half in labels)
        best.append((middle, away))
        if clear > 0.0:
            return middle, away
    return best[0]


def _middle_x(leaf: Leaf, spot: SetBrace) -> float:
    """Return the middle of a brace's room along the leg, mm."""
    x0, x1 = (leaf.x0, leaf.x1) if leaf.plan.braces == 1 else (spot.x0, spot.x1)
    return (x0 + x1) / 2.0


def _ledge(run: RunJob, leaf: Leaf, draft: Draft) -> Iterator[Dimension]:
    """Yield the ledge's height where it is not that of the rails."""
    if leaf.plan.ledge == run.rails.section:
        return
    x = -leaf.x0 if leaf.hinge_left else -leaf.x1
    height = [(x, leaf.ledges[0]), (x, leaf.ledges[0] + leaf.plan.ledge[0])]
    side = max(-leaf.x0, -leaf.x1) + (220.0 + draft.style.first_tier * draft.n)
    yield from upright_chain(height, side, draft)
