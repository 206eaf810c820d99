"""A line as it was walked, and what of it did not close."""

from __future__ import annotations

from dataclasses import dataclass

from palewright.model.basis.units import format_length
from palewright.model.site.path import Node
from palewright.model.spec.leg_keys import LegSpec


@dataclass(frozen=True)
class Walked:
    """A line as it was walked.

    legs : as they were given; nodes : of the line, its corners with their levels; turns : of the
    line into each leg as measured, degrees, to the right positive, None where nothing was; miss :
    (east, north) by which it did not come back to its start, turn_miss : degrees by which the
    turns did not add up, level_miss : mm by which the levels did not, each None where that was not
    measured; length : of the legs that were measured, mm; bearings : whether one was given.
    """

    legs: tuple[LegSpec, ...]
    nodes: tuple[Node, ...]
    turns: tuple[float | None, ...]
    miss: complex | None = None
    turn_miss: float | None = None
    level_miss: float | None = None
    length: float = 0.0
    bearings: bool = False

    @property
    def misclosure(self) -> str:
        """What did not close and how it was shared out, in words; empty where nothing was left."""
        said = []
        if self.miss is not None:
            off = abs(self.miss)
            ratio = f", 1 in {self.length / off:.0f}" if off >= 0.05 else ""
            said.append(
                f"the legs end {format_length(off)} mm from the start{ratio}, shared out over the "
                "legs by the compass rule"
            )
        if self.turn_miss is not None:
            said.append(f"the turns miss 360 degrees by {abs(self.turn_miss):.2f}, shared alike")
        if self.level_miss is not None:
            said.append(
                f"the levels miss by {format_length(abs(self.level_miss))} mm, shared out by length"
            )
        return "; ".join(said)
