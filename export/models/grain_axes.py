"""Which axis of its own coordinates a member's grain runs along."""

from __future__ import annotations

from palewright.model.parts.members import (
    BOARD,
    BOLT,
    BRACE,
    CAP,
    CAPPING,
    KICK_BOARD,
    LATCH,
    LEDGE,
    PANEL_UPRIGHT,
    RAIL,
    STILE,
    STRAP,
    UPRIGHT,
    Kind,
)

LYING = frozenset(
    {
        RAIL,
        PANEL_UPRIGHT,
        CAPPING,
        KICK_BOARD,
        LEDGE,
        STILE,
        UPRIGHT,
        BRACE,
        BOARD,
        CAP,
        STRAP,
        LATCH,
    }
)
"""Kinds whose grain, or length, runs along x of their shapes, as that of every bar does; a cap is
cut from a board (common practice, no source).
"""


def grain_axis(kind: Kind) -> int:
    """Return 0, 1 or 2 for x, y or z of the shape's own coordinates.

    >>> from palewright.model.parts.members import PALE
    >>> grain_axis(RAIL), grain_axis(PALE)
    (0, 2)
    """
    if kind in LYING:
        return 0
    return 1 if kind == BOLT else 2
