"""The capping rail of a run: where it lies, and its section."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from palewright.model.geometry.frames import Point

BESIDE_GROOVE = 4.0
"""Least timber on either side of a drip groove, mm (common practice, no source)."""


@dataclass(frozen=True)
class CappingPlan:
    """A capping rail, sizes in mm. over : what it lies on; front, back : of its edges before the
    line; overhang : past the fence's ends; behind : how far it hangs over at the back; falls, fall
    : of its top; longest : to be had.
    """

    over: Literal["pales", "posts"]
    front: float
    back: float
    thickness: float
    overhang: float
    behind: float
    falls: Literal["both", "front", "back", "none"]
    fall: float
    groove: float
    longest: float

    @property
    def width(self) -> float:
        """From edge to edge, mm."""
        return self.front - self.back

    @property
    def on_posts(self) -> bool:
        """Whether posts end under it."""
        return self.over == "posts"

    @property
    def grooves(self) -> tuple[float, ...]:
        """Where its drip grooves begin, behind its front edge, mm: each in the middle of what
        hangs over, where that has room for one.
        """
        if not self.groove:
            return ()
        need = self.groove + 2.0 * BESIDE_GROOVE
        starts = [(self.overhang - self.groove) / 2.0]
        if self.behind >= need:
            starts.append(self.width - (self.behind + self.groove) / 2.0)
        return tuple(starts)

    @property
    def edges(self) -> tuple[float, float]:
        """How thick it is at its front and its back edge, mm."""
        low = self.thickness - self.fall
        front = low if self.falls in ("both", "front") else self.thickness
        return front, low if self.falls in ("both", "back") else self.thickness

    @property
    def section(self) -> tuple[Point, ...]:
        """Its (y, z) section, its lower front edge at 0, anticlockwise seen from its right end."""
        wide, deep = self.width, self.groove
        under = [(0.0, 0.0)]
        for start in self.grooves:
            under += [(start, 0.0), (start, deep), (start + deep, deep), (start + deep, 0.0)]
        front, back = self.edges
        top = [(wide / 2.0, self.thickness)] if self.falls == "both" and self.fall else []
        return *under, (wide, 0.0), (wide, back), *top, (0.0, front)

    @property
    def falls_said(self) -> str:
        """Which way its top falls, in words; nothing where it does not."""
        if not self.fall or self.falls == "none":
            return ""
        return "to both edges" if self.falls == "both" else f"to the {self.falls}"
