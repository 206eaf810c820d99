"""Which kinds of members may stand in which: data, no geometry."""

from __future__ import annotations

from itertools import product

from .members import (
    ANCHOR,
    BOLT,
    BURIED,
    CARRIAGE,
    CHEEK,
    COACH_SCREW,
    END_STOP,
    FOOT_BOLT,
    GATE_STOP,
    GUIDE_PLATE,
    IN_HOLE,
    KEPT_POST,
    LEDGE,
    PLATES,
    POST,
    POST_PLATE,
    POSTS,
    RAIL,
    ROLLER,
    SET_POSTS,
    SHOE_PLATE,
    SLAB_ANCHOR,
    SOCKET,
    STILE,
    TRACK,
    WHEEL,
    Kind,
)

GOES_THROUGH: dict[Kind, frozenset[Kind]] = {
    BOLT: frozenset({RAIL, *POSTS, KEPT_POST, *PLATES}),
    FOOT_BOLT: frozenset({POST, CHEEK}),
    SLAB_ANCHOR: frozenset({SHOE_PLATE}),
    ANCHOR: frozenset(PLATES),
    COACH_SCREW: frozenset({POST_PLATE, POST}),
    LEDGE: frozenset({STILE}),
    RAIL: frozenset({POST, KEPT_POST, *PLATES}),
    GATE_STOP: frozenset(IN_HOLE),
    SOCKET: frozenset(IN_HOLE),
    TRACK: frozenset(BURIED),
    END_STOP: frozenset(IN_HOLE),
    CARRIAGE: frozenset((WHEEL, *IN_HOLE)),
    ROLLER: frozenset({GUIDE_PLATE}),
}
"""What each kind goes through because it clamps it, is tenoned or let into it or cast into it.

Rails do so where they are let in alone (`RailPlan.let_in`); elsewhere the checks find it.
"""

BITES: dict[Kind, frozenset[Kind]] = {COACH_SCREW: frozenset({POST})}
"""What each kind holds in by its thread, in a pilot hole."""

POURED_TOGETHER = frozenset(
    frozenset(pair) for pair in [*product(BURIED, BURIED), *product(BURIED, SET_POSTS)]
)
"""Kinds that may stand in each other: holes that meet are filled as one, with all their posts in
it; checked apart.
"""


GIVES = {frozenset({BOLT}): 6.0}
"""How deep kinds may stand in each other, mm, because that is mended on site: washers that meet are
clipped or set edge over edge (common practice, no source)."""

PRESSED = 0.5
"""Other members may press into each other by this much, mm: less than timber swells and shrinks."""


def gives(one: Kind, other: Kind) -> float:
    """Return how deep members of these kinds may stand in each other, mm."""
    return GIVES.get(frozenset({one, other}), PRESSED)


def goes_through(one: Kind, other: Kind) -> bool:
    """Return whether members of the one kind go through members of the other."""
    return other in GOES_THROUGH.get(one, ())


def may_share_room(one: Kind, other: Kind) -> bool:
    """Return whether members of these kinds may stand in each other."""
    if frozenset({one, other}) in POURED_TOGETHER:
        return True
    return goes_through(one, other) or goes_through(other, one)
