"""Where bays step: a post with rails at two heights, and the gravel boards under a bay."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

from palewright.export.drawing.draft.drafting import Draft
from palewright.export.drawing.draft.view import Dimension, Item, View
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.frames import Point
from palewright.model.geometry.shapes import Bolt
from palewright.model.layout.run_layout import RunLayout, Stretch
from palewright.model.order.fixings import BOARD_ENDS
from palewright.model.parts.hardware import bolt_name
from palewright.model.parts.members import BOARD, BOLT, POSTS, RAIL, Kind, Member

from .bays import PAST, facing_of
from .callouts import Callout, callouts
from .dimensions import one_dimension, upright_chain
from .front import members_near
from .members_shown import Facing, ground_line, show
from .projection import project
from .titles import titled

BESIDE = 330.0
"""How much is shown beside a post where bays step, mm."""

NO_PALES = "pales not shown"


@dataclass(frozen=True)
class SteppedPlace:
    """A post between two bays at different heights. at : number of the post in its stretch."""

    run: int
    stretch: Stretch
    at: int

    @property
    def step(self) -> float:
        """From the base of the bay before the post to that of the bay after it, mm."""
        x = self.stretch.xs[self.at]
        before, after = self.stretch.settings[self.at - 1 : self.at + 1]
        return after.base(x) - before.base(x)


def largest_step(layout: RunLayout, run: int) -> SteppedPlace | None:
    """Return the post of a run with the largest step between its bays; None without steps."""
    places = [
        SteppedPlace(run, stretch, at)
        for stretch in layout.stretches
        for at in range(1, len(stretch.xs) - 1)
    ]
    stepped = [place for place in places if abs(place.step) >= 1.0]
    return max(stepped, key=lambda place: round(abs(place.step), 1), default=None)


@dataclass(frozen=True)
class BareFront:
    """A piece of a leg from the front without its pales. span : of the leg, mm; zero : level over
    the leg's start that is y = 0.
    """

    fence: FenceModel
    run: int
    stretch: Stretch
    span: Point
    zero: float

    @cached_property
    def facing(self) -> Facing:
        """How it is looked at."""
        return facing_of(self.stretch.leg, self.span, self.zero, back=False)

    def members(self, kinds: Sequence[Kind]) -> list[Member]:
        """Return its members of some kinds."""
        near = members_near(self.fence, self.run, self.stretch.leg_number, *self.span)
        return [member for member in near if member.kind in kinds]

    def box(self, member: Member) -> tuple[float, float, float, float]:
        """Return left, low, right and top of what is shown of a member, mm."""
        drawn = project(member, self.facing.frame)
        xs, ys = zip(*(point for loop in drawn.loops for point in loop), strict=True)
        left, right = max(min(xs), self.span[0]), min(max(xs), self.span[1])
        return left, min(ys), right, max(ys)


def stepped_post(fence: FenceModel, place: SteppedPlace, draft: Draft) -> View:
    """Return a post where bays step, from the front: rails over the ground at the post on both
    sides, and the step. x = 0 at the start of the leg, y = 0 on the ground at the post.
    """
    stretch, at = place.stretch, place.at
    x, post, run = stretch.xs[at], stretch.posts[at], fence.layouts[place.run].run
    zero = post.frame.origin[2] - stretch.leg.start[2]
    front = BareFront(fence, place.run, stretch, (x - BESIDE, x + BESIDE), zero)
    members = front.members((*POSTS, RAIL, BOLT, BOARD))
    items: list[Item] = [
        *show(members, front.facing, buried=False),
        *ground_line(front.facing.ground, front.span, draft),
    ]
    bases = [setting.base(x) - zero for setting in stretch.settings[at - 1 : at + 1]]
    tier, left, right = draft.full(draft.style.first_tier), *front.span
    for edge, way, base in ((left, -1.0, bases[0]), (right, 1.0, bases[1])):
        heights = [(edge, base + top) for top in run.rails.tops]
        for number, spot in enumerate(heights):
            line = edge + way * (tier + number * draft.full(draft.style.side_tier))
            ends = ((edge, 0.0), spot)
            items.append(one_dimension(ends, (line, 0.0), 90.0, draft))
    steps: list[Point] = [(x, base + run.rails.tops[-1]) for base in bases]
    beside = x + post.plan.width / 2.0 + draft.full(7.0)
    items += upright_chain(sorted(steps, key=lambda one: one[1]), beside, draft)
    words = list(_post_callouts(front, members, post.label, draft))
    items += callouts(words, items, draft, lift=0.5)
    title = f"Stepped post {post.label}, front, {NO_PALES}"
    note = f"rail tops over the ground at {post.label}; other posts by the table of levels"
    return titled(title, items, draft, notes=[note])


def _post_callouts(
    front: BareFront, members: Sequence[Member], label: str, draft: Draft
) -> Iterator[Callout]:
    """Yield what stands at a stepped post."""
    for kind in (*POSTS, RAIL, BOLT, BOARD):
        own = [m for m in members if m.kind == kind and (kind not in POSTS or m.station == label)]
        boxes = [(front.box(member), member) for member in own]
        boxes = [(box, m) for box, m in boxes if box[0] < box[2]]
        if boxes:
            (x0, y0, x1, y1), member = max(boxes, key=lambda one: (one[0][2], one[0][3]))
            low = max(y0, 0.0) if kind in POSTS else y0
            spot = x0 + 0.75 * (x1 - x0), low + (0.42 if kind in POSTS else 0.5) * (y1 - low)
            yield Callout(_said(front, member, draft), spot)


def _said(front: BareFront, member: Member, draft: Draft) -> str:
    """Return size and fixing of a member."""
    run, told = front.fence.layouts[front.run].run, front.fence.job.fixings
    sizes = [draft.figure(size) for size in member.shape.size]
    if isinstance(member.shape, Bolt):
        return f"{bolt_name(member.shape)}, washer and nut"
    if member.kind == BOARD:
        high, thick = (draft.figure(size) for size in run.slopes.board)
        return f"gravel board {high} x {thick}, {BOARD_ENDS // 2} {told.pales} at each end"
    name = member.role if member.kind in POSTS else member.kind.name
    return f"{name} {sizes[0]} x {sizes[1]}"


def most_boards(fence: FenceModel, run: int) -> tuple[Stretch, int] | None:
    """Return the stretch and the number of its bay with the most gravel boards; None without."""
    found: list[tuple[int, float, Stretch, int]] = []
    for stretch in fence.layouts[run].stretches:
        frame = stretch.leg.frame
        boards = [
            frame.local(member.frame.origin)[0] + max(member.shape.size) / 2.0
            for _, member in fence.along[run, stretch.leg_number]
            if member.kind == BOARD
        ]
        for bay, (x0, x1) in enumerate(zip(stretch.xs, stretch.xs[1:], strict=False)):
            count = sum(x0 < x < x1 for x in boards)
            if count:
                found.append((count, -x0, stretch, bay))
    if not found:
        return None
    _, _, stretch, bay = max(found, key=lambda one: one[:2])
    return stretch, bay


def gravel_boards(fence: FenceModel, run: int, place: tuple[Stretch, int], draft: Draft) -> View:
    """Return the gravel boards of a bay from the front, with how high each is at its ends.

    x = 0 at the start of the leg, y = 0 at the base of the bay.
    """
    stretch, bay = place
    x0, x1 = stretch.xs[bay], stretch.xs[bay + 1]
    zero = stretch.settings[bay].base((x0 + x1) / 2.0)
    front = BareFront(fence, run, stretch, (x0 - PAST, x1 + PAST), zero)
    members = front.members((*POSTS, RAIL, BOARD))
    low_rails = [m for m in members if m.kind != RAIL or m.role.startswith("rail 1 ")]
    items: list[Item] = [
        *show(low_rails, front.facing, buried=False),
        *ground_line(front.facing.ground, front.span, draft),
    ]
    own = [m for m in members if m.kind == BOARD and x0 < _middle(front, m) < x1]
    items += _board_heights(front, own, draft)
    items += callouts(list(_board_callouts(front, own, draft)), items, draft, lift=0.5)
    job = fence.layouts[run].run
    first, last = (stretch.posts[bay + n].label for n in (0, 1))
    clear = draft.figure(job.slopes.board_clearance)
    meet = (
        "boards butt on the middle of the post"
        if not job.rails.boards_between
        else "boards stand between the posts"
    )
    notes = [f"{meet}; cut along the ground, {clear} over it, and clear of the concrete"]
    return titled(f"Gravel boards, bay {first} to {last}, front, {NO_PALES}", items, draft,
                  notes=notes)  # fmt: skip


def _middle(front: BareFront, member: Member) -> float:
    x0, _, x1, _ = front.box(member)
    return (x0 + x1) / 2.0


def _board_heights(front: BareFront, boards: Sequence[Member], draft: Draft) -> Iterator[Dimension]:
    """Yield the heights of boards beside the bay: of each whole one, and of what is left of the
    lowest at its higher end.
    """
    right = front.span[1]
    tier = draft.full(draft.style.first_tier)
    tops = sorted({round(front.box(member)[3], 2) for member in boards}, reverse=True)
    low = min(front.box(member)[1] for member in boards)
    levels: list[Point] = [(right, y) for y in (low, *sorted(tops))]
    yield from upright_chain(levels, right + tier, draft)


def _board_callouts(front: BareFront, boards: Sequence[Member], draft: Draft) -> Iterator[Callout]:
    """Yield each board with its mark, from the top down."""
    told = front.fence.job.fixings
    for member in boards:
        x0, y0, x1, y1 = front.box(member)
        sizes = " x ".join(draft.figure(size) for size in member.shape.size[:2])
        words = f"{member.mark} {sizes} x {draft.usual(member.shape.size[2])}"
        fixed = f"{BOARD_ENDS // 2} {told.pales} at each end"
        yield Callout(f"{words}, {fixed}", (_full_end(front, member, x0, x1), y1 - (y1 - y0) * 0.3))


def _full_end(front: BareFront, member: Member, x0: float, x1: float) -> float:
    """Return an x near the end of a board where it is whole."""
    loops = project(member, front.facing.frame).loops
    points = [point for loop in loops for point in loop]
    lowest = min(points, key=lambda point: (round(point[1], 1), -point[0]))
    share = 0.15 if lowest[0] < (x0 + x1) / 2.0 else 0.85
    return x0 + share * (x1 - x0)
