"""Which kinds of members may stand in which: data, no geometry."""

from __future__ import annotations

from .members import (
    ANCHOR,
    BOLT,
    FOOTING,
    POST,
    RAIL,
    WALL_PLATE,
    Kind,
)

GOES_THROUGH: dict[Kind, frozenset[Kind]] = {
    BOLT: frozenset({RAIL, POST, WALL_PLATE}),
    ANCHOR: frozenset({WALL_PLATE}),
}
"""What each kind goes through because it clamps it."""

POURED_TOGETHER = frozenset({frozenset({FOOTING}), frozenset({FOOTING, POST})})
"""Kinds that may stand in each other: holes that meet are filled as one, with all their posts in
it; checked apart.
"""


def may_share_room(one: Kind, other: Kind) -> bool:
    """Return whether members of these kinds may stand in each other."""
    if frozenset({one, other}) in POURED_TOGETHER:
        return True
    return other in GOES_THROUGH.get(one, ()) or one in GOES_THROUGH.get(other, ())
