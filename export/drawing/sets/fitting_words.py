"""Where the fittings of a gate leaf go and what holds them, in words of a table."""

from __future__ import annotations

from collections.abc import Iterator

from palewright.export.drawing.views.leaf_shown import LeafShown
from palewright.model.order.fixings import ANCHOR_ITEM, SCREWS, SET_IN, anchors_in, screws_in
from palewright.model.parts.gate_fittings import IN_GROUND, ON_RECEIVER
from palewright.model.parts.members import (
    BEAM,
    CARRIAGE,
    CHANNEL,
    CLOSER,
    END_STOP,
    GATE_BASE,
    GATE_STOP,
    GUIDE_PLATE,
    GUIDE_POST,
    HANDLE,
    KEEP,
    LATCHES,
    RECEIVER,
    ROLLER,
    SOCKET,
    TRACK,
    WHEEL,
    Kind,
    Member,
)

from .brief import Brief


def fitting_words(shown: LeafShown, member: Member, brief: Brief) -> Iterator[str]:
    """Yield where a latch, a keep, a bolt, a closer or a stop sits, and what holds it."""
    text = brief.figures.text
    low, high = shown.box(member)
    foot = shown.leaf.foot
    if member.kind in SLID_WORDS:
        yield from _slid_words(shown, member, brief)
        return
    place = _place(shown, member, brief)
    if member.kind == SOCKET or member.role == IN_GROUND:
        yield f"{place}, its top {text(abs(high[2] - foot))} {_side(high[2] - foot)} the feet"
        yield SET_IN
        return
    middle = (low[2] + high[2]) / 2.0
    yield f"{place}, middle {text(round(middle - foot, 2))} over the feet"
    yield f"{screws_in(member)} {screw_words()}" if screws_in(member) else "welded to it"
    if member.kind == HANDLE:
        yield "bored through pale and ledge for what works the latch"


SLID_WORDS: dict[Kind, tuple[str, str]] = {
    TRACK: ("level along its strip, under the wheels", ""),
    BEAM: ("under the lowest ledge, its slot down", ""),
    WHEEL: ("on its axle in the fork, its groove on the track", "in the beam, in pairs"),
    CARRIAGE: ("fork up into the lowest ledge", "upright on the footing, into the beam's slot"),
    CHANNEL: ("on the back of the top ledge, open below", ""),
    ROLLER: ("upright on the guide plate, in the channel", ""),
    GUIDE_PLATE: ("on the top of the guide post", ""),
    RECEIVER: ("on the back of the shutting post, round the leaf's free edge", ""),
    END_STOP: ("on the end of the beam, welded", "on the track, bolted through or welded"),
    GUIDE_POST: ("behind the leaf, set as the gate posts are", ""),
    GATE_BASE: ("in the ground, its top level with the highest ground in the opening", ""),
}
"""Where what leaves slide on goes, and where it goes that stands while others of its kind move, or
moves while they stand."""


def _slid_words(shown: LeafShown, member: Member, brief: Brief) -> Iterator[str]:
    """Yield where a piece goes that a leaf slides on, and what holds it."""
    text, (low, high) = brief.figures.text, shown.box(member)
    first, second = SLID_WORDS[member.kind]
    yield second if second and member.leaf is None else first
    where = sorted({round(shown.box(m)[0][0], 2) for m in shown.members if m.mark == member.mark})
    start = shown.opening.start
    places = " and ".join(text(x - start) for x in where)
    yield f"from {places} right of the left post's face, {text(high[0] - low[0])} long"
    if screws_in(member):
        yield f"{screws_in(member)} {screw_words()} each"
    if anchors_in(member):
        yield f"{anchors_in(member)} {ANCHOR_ITEM} each"
    if member.kind == GUIDE_POST:
        behind = low[1] - shown.leaf.back - shown.leaf.plan.ledge[1]
        yield f"its front {text(behind)} behind the leaf"


def screw_words() -> str:
    """Return the screws that hold ironmongery: "screws 4 x 40"."""
    length, diameter = SCREWS[0]
    return f"screws {diameter:g} x {length:g}"


def _side(over: float) -> str:
    return "over" if over >= 0.0 else "under"


def _place(shown: LeafShown, member: Member, brief: Brief) -> str:
    """Return where a fitting sits across the leaf."""
    low, high = shown.box(member)
    free = shown.leaf.x1 if shown.leaf.hinge_left else shown.leaf.x0
    away = brief.figures.text(abs((low[0] + high[0]) / 2.0 - free))
    before = "before" if low[1] < shown.leaf.front - 1.0 else "behind"
    if member.kind == GATE_STOP and member.role == IN_GROUND:
        return f"{before} the leaf, its middle {away} from the free edge"
    if member.kind == GATE_STOP:
        return f"an angle on the post's side, its lip {before} the leaf"
    if member.leaf is None and member.role != ON_RECEIVER:
        return "in the ground under the drop bolt" if member.kind == SOCKET else "on the post"
    if member.kind == KEEP and member.role == ON_RECEIVER:
        return "on the top of the receiver"
    if member.kind == KEEP:
        return "on the free edge"
    if member.kind in LATCHES:
        return "on the back, flush with the free edge"
    if member.kind == CLOSER:
        return "on the back, next to the hanging edge"
    side = "front" if member.kind == HANDLE else "back"
    return f"on the {side}, its axis {away} from the free edge"
