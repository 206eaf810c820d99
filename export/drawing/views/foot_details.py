"""The detail of a post's foot that stands in no plain hole: from its front and from its side."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from palewright.export.drawing.draft import style as layers
from palewright.export.drawing.draft.drafting import Draft
from palewright.export.drawing.draft.style import CUT_CONCRETE, CUT_GROUND
from palewright.export.drawing.draft.view import Dimension, Hatch, Item, Line, Text, View
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.convex import outer_points
from palewright.model.geometry.frames import Frame, Point
from palewright.model.geometry.shapes import Bolt
from palewright.model.layout.placed_posts import PlacedPost
from palewright.model.parts.members import (
    CHEEK,
    FOOT_BOLT,
    IN_HOLE,
    POST,
    SLAB_ANCHOR,
    STEEL_FEET,
    Member,
)
from palewright.model.resolved.post_feet import Foot

from .callouts import Callout, callouts
from .dimensions import level_chain, upright_chain
from .members_shown import hole_outline, layer_of
from .projection import polylines, seen_members, view_frame
from .rail_details import bolt_lines
from .titles import titled

OVER, APART, GROUND_LONG = 8.0, 34.0, 9.0
"""How far the post is shown over its steel, one view from the other, and the ground beside what
stands on it, mm on paper."""

FAR = 1e6


@dataclass(frozen=True)
class _Side:
    """A foot from one side. frame : of the view; x : where its middle is on paper, mm."""

    frame: Frame
    x: float


@dataclass(frozen=True)
class FootShown:
    """A post's foot as it is drawn. members : of the post, without what fills its hole."""

    fence: FenceModel
    post: PlacedPost
    members: tuple[Member, ...]
    filling: tuple[Member, ...]
    draft: Draft

    @property
    def foot(self) -> Foot:
        """How the post stands."""
        return self.post.plan.foot

    def box(self, members: list[Member]) -> tuple[tuple[float, ...], tuple[float, ...]]:
        """Return the least and the largest along, back and up of members about the post, mm."""
        points = [
            self.post.frame.local(member.frame.point(tuple(point)))
            for member in members
            for point in outer_points(member.shape).tolist()
        ]
        return tuple(map(min, zip(*points, strict=True))), tuple(
            map(max, zip(*points, strict=True))
        )

    def of(self, *kinds: object) -> list[Member]:
        """Return the members of some kinds."""
        return [member for member in self.members if member.kind in kinds]

    @property
    def top(self) -> float:
        """How high the foot is shown, mm over the ground."""
        return self.box(self.of(*STEEL_FEET))[1][2] + self.draft.full(OVER)


def foot_detail(fence: FenceModel, run: int, post: PlacedPost, names: str, draft: Draft) -> View:
    """Return a post's foot from its front, and beside it from its right side. names : the kinds of
    posts that stand so.

    x = 0 and y = 0 on the ground in the post's middle, of the first view.
    """
    own = fence.of_post[run, post.label]
    members = tuple(m for m in own if m.kind in (POST, *STEEL_FEET))
    filling = tuple(m for m in own if m.kind in IN_HOLE)
    shown = FootShown(fence, post, members, filling, draft)
    x, y, _ = post.frame.x
    low, high = shown.box([*members, *filling])
    beside = high[0] - low[1] + draft.full(APART)
    sides = (
        _Side(post.frame, 0.0),
        _Side(Frame(post.frame.origin, post.frame.y, (-x, -y, 0.0)), beside),
    )
    items: list[Item] = []
    for number, side in enumerate(sides):
        span = (low[number] + side.x, high[number] + side.x)
        items += _seen(shown, side)
        items += _ground(shown, span)
        items += _levels(shown, span[1]) if number else _depths(shown, span[0])
        items += _widths(shown, side, number)
        words = "from its side" if number else "from its front"
        at = (side.x, shown.top + 2.2 * draft.text * draft.n)
        items.append(Text(words, at, draft.text, "centre"))
    items += callouts(list(_words(shown, beside)), items, draft)
    title = f"Foot of {names} post, {fence.layouts[run].run.called}"
    notes = [f"stands {post.plan.foot.way}; heights over the ground in the post's middle"]
    return titled(title, items, draft, left=low[0], notes=notes)


def _seen(shown: FootShown, side: _Side) -> Iterator[Item]:
    """Yield what is seen of post and steel, and dashed what is in the ground."""
    import shapely

    above = shapely.box(-FAR, 0.0, FAR, shown.top)
    below = shapely.box(-FAR, -FAR, FAR, 0.0)
    for member, lines in seen_members(shown.members, side.frame):
        for region, layer in ((above, layer_of(member)), (below, layers.HIDDEN)):
            for part in polylines(lines.intersection(region)):
                yield Line.through(tuple((x + side.x, z) for x, z in part), layer)
    for member in shown.of(FOOT_BOLT):
        yield from _bolt(member, side)
    for member in shown.filling:
        hole = hole_outline(member, side.frame)
        yield Line.through(tuple((x + side.x, z) for x, z in hole), layers.HIDDEN)


def _bolt(member: Member, side: _Side) -> Iterator[Item]:
    """Yield a bolt that lies across a view, seen from its side."""
    bolt, frame = member.shape, view_frame(member.frame, side.frame)
    if not isinstance(bolt, Bolt) or abs(frame.y[0]) < 0.5:
        return
    x, _, z = frame.origin
    for line in bolt_lines(bolt, (0.0, 0.0)):
        # from upright to level, its head at the left or at the right
        turned = tuple(
            (side.x + x + y * frame.y[0], z + across, b) for across, y, b in line.vertices
        )
        yield Line(turned, layers.METAL, closed=True)


def _ground(shown: FootShown, span: Point) -> Iterator[Item]:
    """Yield the ground or the slab, beside and under what stands there."""
    past, deep = shown.draft.full(GROUND_LONG), shown.draft.full(6.0)
    left, right = span[0] - past, span[1] + past
    yield Line.through(((left, 0.0), (right, 0.0)), layers.GROUND)
    if shown.foot.on_slab:
        yield Hatch(((left, -deep), (right, -deep), (right, 0.0), (left, 0.0)), CUT_CONCRETE)
        return
    for x0, x1 in ((left, left + past * 0.6), (right - past * 0.6, right)):
        yield Hatch(((x0, -deep), (x1, -deep), (x1, 0.0), (x0, 0.0)), CUT_GROUND)


def _levels(shown: FootShown, right: float) -> Iterator[Dimension]:
    """Yield heights over the ground at the right: the seat, the post's foot, bolts, cheeks."""
    ups = {0.0, -shown.foot.embedment, shown.foot.seat}
    bolts = [shown.post.frame.local(m.frame.origin)[2] for m in shown.of(FOOT_BOLT)]
    ups |= {round(up, 4) for up in bolts}
    ups |= {round(shown.box([m])[1][2], 4) for m in shown.of(CHEEK)}
    chain = sorted(up for up in ups if up >= 0.0)
    tier = shown.draft.full(GROUND_LONG + shown.draft.style.first_tier)
    yield from upright_chain([(right, up) for up in chain], right + tier, shown.draft, aside=True)


def _depths(shown: FootShown, left: float) -> Iterator[Dimension]:
    """Yield depths in the ground at the left: of anchors, stems and what is driven."""
    lows = {0.0, *(round(shown.box([m])[0][2], 4) for m in shown.members), -shown.foot.deep}
    chain = sorted(low for low in lows if low <= 0.0)
    if len(chain) > 1:
        x = left - shown.draft.full(GROUND_LONG + shown.draft.style.first_tier)
        yield from upright_chain([(left, low) for low in chain], x, shown.draft)


def _widths(shown: FootShown, side: _Side, axis: int) -> Iterator[Item]:
    """Yield widths under a view: the edges of what is on the ground, and its anchors."""
    low = min(-shown.draft.full(6.0), shown.box([*shown.members, *shown.filling])[0][2])
    steel = [m for m in shown.of(*STEEL_FEET) if m.kind is not FOOT_BOLT]
    plates = [m for m in steel if m.kind is not SLAB_ANCHOR]
    least, most = shown.box(plates or shown.of(POST))
    xs = {round(least[axis], 4), round(most[axis], 4)}
    for member in shown.of(SLAB_ANCHOR):
        xs.add(round(shown.post.frame.local(member.frame.origin)[axis], 4))
    places = [(x + side.x, low) for x in sorted(xs)]
    if any(b[0] - a[0] > 1e-6 for a, b in pairwise(places)):
        tier = low - shown.draft.full(shown.draft.style.first_tier)
        yield from level_chain(places, tier, shown.draft)


def _words(shown: FootShown, beside: float) -> Iterator[Callout]:
    """Yield what holds the post, in words of the value that says so."""
    figure, plan = shown.draft.figure, shown.post.plan
    size = f"{figure(plan.width)} x {figure(plan.depth)}"
    yield Callout(f"post {size}", (beside, shown.top - shown.draft.full(2.0)))
    for words, z in shown.foot.parts(figure):
        yield Callout(words, (beside + plan.depth / 2.0 - 1.0, z))
