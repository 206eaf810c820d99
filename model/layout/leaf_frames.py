"""What holds a leaf's pales together: stiles, uprights and braces between its ledges."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from .leaves import BRACE_INSET, Brace, Leaf, brace_of


@dataclass(frozen=True)
class SetBrace:
    """A brace in its place, or the room for one.

    x0, x1 : from where to where it may reach along the leg; low, rise : of its room between two
    ledges over the gate's base, mm; to_right : whether it rises to the right, seen from the front;
    brace : its cuts, None where it does not fit.
    """

    x0: float
    x1: float
    low: float
    rise: float
    to_right: bool
    brace: Brace | None


@dataclass(frozen=True)
class Upright:
    """An upright of a leaf. x0, x1 : along the leg; low, high : over the gate's base, mm."""

    x0: float
    x1: float
    low: float
    high: float


def fields(leaf: Leaf) -> Iterator[tuple[float, float]]:
    """Yield from where to where the room between each two ledges goes, over the base, mm."""
    for low, high in pairwise(leaf.ledges):
        yield low + leaf.plan.ledge[0], high


def stiles(leaf: Leaf) -> tuple[Upright, ...]:
    """Return the stiles of a framed leaf, left and right, as high as its ledges reach."""
    plan = leaf.plan
    if not plan.framed:
        return ()
    low, high = leaf.ledges[0], leaf.ledges[-1] + plan.ledge[0]
    return (
        Upright(leaf.x0, leaf.x0 + plan.stile, low, high),
        Upright(leaf.x1 - plan.stile, leaf.x1, low, high),
    )


def middle_uprights(leaf: Leaf) -> tuple[Upright, ...]:
    """Return the uprights between braces side by side, from left to right, field by field."""
    half = leaf.plan.brace / 2.0
    return tuple(
        Upright(middle - half, middle + half, *field)
        for field in fields(leaf)
        for middle in _middles(leaf)
    )


def _middles(leaf: Leaf) -> list[float]:
    """Return x of the middles of uprights: they part the leaf evenly."""
    count, middle = leaf.plan.braces, (leaf.x0 + leaf.x1) / 2.0
    share = leaf.width / max(count, 1)
    return [middle + share * (place - count / 2.0) for place in range(1, count)]


def set_braces(leaf: Leaf) -> tuple[SetBrace, ...]:
    """Return the braces of a leaf, field by field from below, each from left to right."""
    plan = leaf.plan
    if plan.braces == 0:
        return ()
    inset = plan.stile if plan.framed else BRACE_INSET
    half, middles = plan.brace / 2.0, _middles(leaf)
    lefts = [leaf.x0 + inset, *(middle + half for middle in middles)]
    rights = [*(middle - half for middle in middles), leaf.x1 - inset]
    columns = list(zip(lefts, rights, strict=True))
    to_right = leaf.hinge_left == plan.pressed
    return tuple(
        SetBrace(
            x0,
            x1,
            low,
            high - low,
            to_right,
            brace_of(
                (leaf.width - 2.0 * (inset - BRACE_INSET))
                if plan.braces < 2
                else x1 - x0 + 2.0 * BRACE_INSET,
                high - low,
                plan.brace,
            ),
        )
        for low, high in fields(leaf)
        for x0, x1 in columns
    )
