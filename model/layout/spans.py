"""Fence between two fixed posts, before rails and pales are on it.

Distances x run along a leg from its start (see `site_line`); the front of the fence is at
negative y.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass

from palewright.model.resolved.words import PostRole
from palewright.model.site.site_line import Leg

from .bases import BayBase
from .placed_posts import PlacedPost

MEET = 30.0
"""From this turn on (degrees) the pales of two legs meet edge to edge at the corner; below it
they keep half a gap each, so that a nearly straight line shows no double pale."""


@dataclass(frozen=True)
class StretchEnd:
    """How a stretch ends on one side.

    x : where the line of the stretch ends (post centre, corner, or edge of the opening);
    kind : END, WALL, CORNER or GATE; turn : degrees, at corners; pair : whether a corner
    has a post on either side instead of one in it.
    """

    x: float
    kind: PostRole
    turn: float = 0.0
    pair: bool = False


@dataclass(frozen=True)
class Span:
    """Fence between two neighbouring fixed posts of one leg.

    leg_number, leg : that it stands on; numbers, posts : from first to last; xs : of the posts;
    first, last : how it ends; settings : of its bays.
    """

    leg_number: int
    leg: Leg
    numbers: tuple[int, ...]
    posts: tuple[PlacedPost, ...]
    xs: tuple[float, ...]
    first: StretchEnd
    last: StretchEnd
    settings: tuple[BayBase, ...]

    @property
    def bays(self) -> tuple[float, ...]:
        """Lengths of the bays, centre to centre, mm."""
        return tuple(b - a for a, b in zip(self.xs, self.xs[1:], strict=False))

    def bay_at(self, x: float) -> int:
        """Return the number of the bay that x lies in; beyond the posts the nearest one."""
        return min(max(bisect_right(self.xs, x) - 1, 0), len(self.xs) - 2)
