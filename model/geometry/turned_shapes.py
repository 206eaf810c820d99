"""Pieces turned on a lathe: zones on end about one axis, each a cone's, a drum's or a ball's."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from .frames import Point


@dataclass(frozen=True)
class TurnedZone:
    """Part of a turned piece between two levels. low, high : radii there, mm, the high one 0 at a
    tip; height : mm; ball : whether its side is part of a ball about the axis, else it is straight.
    """

    low: float
    high: float
    height: float
    ball: bool = False

    @property
    def volume(self) -> float:
        """Volume, mm3: of a cone's frustum, or of a ball between two planes (closed forms)."""
        a, b, h = self.low, self.high, self.height
        if self.ball:
            return math.pi * h * (3.0 * a * a + 3.0 * b * b + h * h) / 6.0
        return math.pi * h * (a * a + a * b + b * b) / 3.0

    @property
    def surface(self) -> float:
        """Area of its side, mm2."""
        if self.ball:
            return math.tau * self.radius * self.height
        return math.pi * (self.low + self.high) * math.hypot(self.height, self.high - self.low)

    @property
    def centre(self) -> float:
        """Height of the ball's middle over the lower level, mm."""
        return (self.high**2 - self.low**2 + self.height**2) / (2.0 * self.height)

    @property
    def radius(self) -> float:
        """Radius of the ball, mm."""
        return math.hypot(self.low, self.centre)

    @property
    def widest(self) -> float:
        """Largest radius, mm."""
        within = self.ball and 0.0 < self.centre < self.height
        return self.radius if within else max(self.low, self.high)

    def rings(self, parts: int) -> Iterator[Point]:
        """Yield radius and height over the lower level, mm, of both levels and of what lies
        between them where the side is round. parts : of it.
        """
        steps = parts if self.ball else 1
        start = math.atan2(-self.centre, self.low)
        stop = math.atan2(self.height - self.centre, self.high)
        for number in range(steps + 1):
            if number in (0, steps):
                yield (self.high, self.height) if number else (self.low, 0.0)
            else:
                turn = start + (stop - start) * number / steps
                yield self.radius * math.cos(turn), self.centre + self.radius * math.sin(turn)


@dataclass(frozen=True)
class Turned:
    """A piece turned about z, its foot at z = 0. zones : from the foot up."""

    zones: tuple[TurnedZone, ...]

    @property
    def height(self) -> float:
        """Overall height, mm."""
        return math.fsum(zone.height for zone in self.zones)

    @property
    def diameter(self) -> float:
        """Largest diameter, mm."""
        return 2.0 * max(zone.widest for zone in self.zones)

    @property
    def volume(self) -> float:
        """Volume, mm3."""
        return math.fsum(zone.volume for zone in self.zones)

    @property
    def size(self) -> tuple[float, float, float]:
        """Diameter (twice) and height."""
        return self.diameter, self.diameter, self.height

    def stacked(self) -> Iterator[tuple[float, TurnedZone]]:
        """Yield each zone with the height of its lower level, mm."""
        level = 0.0
        for zone in self.zones:
            yield level, zone
            level += zone.height

    def profile(self, parts: int) -> tuple[Point, ...]:
        """Return the right half of its outline from the foot up: radius and height, mm.

        parts : that stand for each round side.
        """
        points = [
            (radius, level + z) for level, zone in self.stacked() for radius, z in zone.rings(parts)
        ]
        return tuple(point for n, point in enumerate(points) if n == 0 or point != points[n - 1])
