"""Where the fittings of a gate leaf go and what holds them, in words of a table."""

from __future__ import annotations

from collections.abc import Iterator

from palewright.export.drawing.views.leaf_shown import LeafShown
from palewright.model.order.fixings import SCREWED, SCREWS, SET_IN
from palewright.model.parts.gate_fittings import IN_GROUND
from palewright.model.parts.members import CLOSER, GATE_STOP, HANDLE, KEEP, LATCHES, SOCKET, Member

from .brief import Brief


def fitting_words(shown: LeafShown, member: Member, brief: Brief) -> Iterator[str]:
    """Yield where a latch, a keep, a bolt, a closer or a stop sits, and what holds it."""
    text = brief.figures.text
    low, high = shown.box(member)
    foot = shown.leaf.foot
    place = _place(shown, member, brief)
    if member.kind == SOCKET or member.role == IN_GROUND:
        yield f"{place}, its top {text(abs(high[2] - foot))} {_side(high[2] - foot)} the feet"
        yield SET_IN
        return
    middle = (low[2] + high[2]) / 2.0
    yield f"{place}, middle {text(round(middle - foot, 2))} over the feet"
    yield f"{SCREWED[member.kind]} {screw_words()}"
    if member.kind == HANDLE:
        yield "bored through pale and ledge for what works the latch"


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
    before = "before" if low[1] < -shown.run.pale_front - 1.0 else "behind"
    if member.kind == GATE_STOP and member.role == IN_GROUND:
        return f"{before} the leaf, its middle {away} from the free edge"
    if member.kind == GATE_STOP:
        return f"an angle on the post's side, its lip {before} the leaf"
    if member.leaf is None:
        return "in the ground under the drop bolt" if member.kind == SOCKET else "on the post"
    if member.kind == KEEP:
        return "on the free edge"
    if member.kind in LATCHES:
        return "on the back, flush with the free edge"
    if member.kind == CLOSER:
        return "on the back, next to the hanging edge"
    side = "front" if member.kind == HANDLE else "back"
    return f"on the {side}, its axis {away} from the free edge"
