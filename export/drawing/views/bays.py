"""A typical bay of a fence, from the front and from the back."""

from __future__ import annotations

from collections.abc import Iterator

from palewright.export.drawing.draft.drafting import Draft
from palewright.export.drawing.draft.view import Dimension, Insert, Item, Line, Text, View
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.frames import Frame, Point
from palewright.model.layout.run_layout import Stretch
from palewright.model.resolved.job import RunJob
from palewright.model.resolved.words import WedgeFill
from palewright.model.site.site_line import Leg

from .dimensions import level_chain
from .front import members_near
from .members_shown import Facing, Window, ground_line, show
from .titles import titled

PAST = 220.0
"""How much is shown beyond the posts of a bay, mm."""

OVER_POSTS = 1.6
"""From the highest that is shown to the labels of posts, in heights of lettering."""


def typical_bay(fence: FenceModel, run: int, draft: Draft, *, back: bool, gap: bool = True) -> View:
    """Return a bay of the longest stretch from the front, with its gap if wanted, or the back."""
    layout = fence.layouts[run]
    stretch = max(layout.stretches, key=lambda s: s.xs[-1] - s.xs[0])
    bay = (len(stretch.xs) - 1) // 2
    x0, x1 = stretch.xs[bay], stretch.xs[bay + 1]
    span = (x0 - PAST, x1 + PAST)
    zero = stretch.settings[bay].base((x0 + x1) / 2.0)
    facing = facing_of(stretch.leg, span, zero, back=back)
    window = facing.window
    members = members_near(fence, run, stretch.leg_number, *span)
    items: list[Item] = [
        *show(members, facing, blocks=not back, buried=False),
        *ground_line(facing.ground, (window.left, window.right), draft),
    ]
    top = max(y for item in items for y in _ups(item))
    if gap and not back and stretch.row.count > 1:
        items += _gap(layout.run, stretch, (x0, x1), zero, top, draft)
    first, last = (stretch.posts[bay + end].label for end in (0, 1))
    if back:
        first, last = last, first
    for label, x in ((first, window.left + PAST), (last, window.right - PAST)):
        # clear of the post's own top, and in one row on level ground
        spot = (x, top + OVER_POSTS * draft.text * draft.n)
        items.append(Text(label, spot, draft.text, "centre"))
    side = "back" if back else "front"
    boarded = not back and stretch.settings[bay].fill == WedgeFill.BOARD
    notes = [_board_words(layout.run, draft)] if boarded else []
    if layout.run.pales.lapped and gap and not back:
        notes.append(layout.run.pales.words.figure)
    return titled(f"Typical bay {first} to {last}, {side}", items, draft, notes=notes)


def _board_words(run: RunJob, draft: Draft) -> str:
    """Say what gravel boards are sawn from and how far they stay over the ground."""
    height, thickness = (draft.figure(size) for size in run.slopes.board)
    over = draft.figure(run.slopes.board_clearance)
    return f"gravel boards {height} x {thickness}, cut off {over} over the ground"


def _ups(item: Item) -> list[float]:
    """Return heights that an item of timber reaches."""
    match item:
        case Line(vertices):
            return [y for _, y, _ in vertices]
        case Insert(block=block, at=(_, y)):
            return [y + z for line in block.lines for _, z, _ in line.vertices]
        case _:
            return []


def _gap(
    run: RunJob, stretch: Stretch, bay: Point, zero: float, top: float, draft: Draft
) -> Iterator[Dimension]:
    """Yield the gap between two pales nearest to a bay's middle. bay : x of its posts; top : the
    highest that is shown.
    """
    places = stretch.row.places
    rights = [place.edge + place.kind.width for place in places]
    middle = (bay[0] + bay[1]) / 2.0
    number = min(range(len(places) - 1), key=lambda i: abs(rights[i] - middle))
    start = rights[number]
    setting = stretch.settings[stretch.bay_at(start)]
    y = setting.base(start) - zero + run.shoulder
    tier = run.height + draft.full(draft.style.first_tier)
    if any(setting.slope for setting in stretch.settings):
        tier = top + 4.0 * draft.text * draft.n  # over the labels
    ends = sorted((start, places[number + 1].edge))
    yield from level_chain([(x, y) for x in ends], tier, draft)


def facing_of(leg: Leg, span: Point, zero: float, *, back: bool) -> Facing:
    """Return how a span of a leg is looked at from the front or the back.

    zero : level over the leg's start that is y = 0 in the view, mm.
    """
    frame = leg.frame @ Frame.at(0.0, 0.0, zero)
    ground = tuple((x, z - zero) for x, z in leg.profile)
    if not back:
        return Facing(frame, Window(left=span[0], right=span[1]), ground)
    turned = Frame(
        frame.origin,
        (-frame.x[0], -frame.x[1], -frame.x[2]),
        (-frame.y[0], -frame.y[1], -frame.y[2]),
    )
    ground = tuple((-x, z) for x, z in reversed(ground))
    return Facing(turned, Window(left=-span[1], right=-span[0]), ground)
