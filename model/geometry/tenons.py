"""Tenons: what stands on the shoulder of a bar.

Seen from above a tenon is a convex outline that starts on the shoulder, so that it may be square,
halved, scarfed or mitred; it is equally high all along, and follows the bar where that is laid on a
slope.
"""

from __future__ import annotations

from dataclasses import dataclass

from .frames import Point
from .outlines import polygon_area

NEAR = 1e-6
"""What is nearer to the shoulder or to an edge than this is on it, mm."""


@dataclass(frozen=True)
class Tenon:
    """A tenon. plan : (n, 2) mm, how far from the shoulder along the bar, and y of the bar,
    anticlockwise; low, high : z of the bar, mm; room : the plan of a mortise that it shares with
    another tenon, empty where it fills its own.
    """

    plan: tuple[Point, ...]
    low: float
    high: float
    room: tuple[Point, ...] = ()

    @property
    def whole(self) -> Tenon:
        """A tenon that fills the mortise."""
        return Tenon(self.room or self.plan, self.low, self.high)

    @property
    def volume(self) -> float:
        """Volume, mm3."""
        return polygon_area(self.plan) * (self.high - self.low)

    @property
    def length(self) -> float:
        """How far it reaches from the shoulder, mm."""
        return max(u for u, _ in self.plan)

    @property
    def root(self) -> tuple[float, float]:
        """From which y to which it stands on the shoulder, mm."""
        ys = [y for u, y in self.plan if u < NEAR]
        return min(ys), max(ys)

    @property
    def mean_length(self) -> float:
        """How far it reaches on an average over its root, mm."""
        return polygon_area(self.plan) / self.thickness

    @property
    def thickness(self) -> float:
        """How thick it is on the shoulder, mm."""
        low, high = self.root
        return high - low
