"""How the tops of posts are cut: what each takes away, how it is drawn, and what it is called.

A post's front is at negative y; all heights are over its foot.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable
from dataclasses import dataclass

from .frames import Point, Vector

Face = tuple[Vector, ...]
Bulged = tuple[tuple[float, float, float], ...]
"""Points of an outline with the bulge of the edge that leaves each, see Outline."""

ROOF_PARTS = 16
"""Flat strips that stand for a round top where there are flat faces alone."""


@dataclass(frozen=True)
class PostCut:
    """What every top answers; as it is, one sawn square."""

    @property
    def rise(self) -> float:
        """Height of its highest point over its shoulder, mm."""
        return 0.0

    @property
    def words(self) -> str:
        """What stands under its detail."""
        return "cut square"

    def notes(self, width: float, text: Callable[[float], str]) -> tuple[str, ...]:
        """Return what else a detail says of it. width : of the post, mm; text : of a length."""
        return ()

    def volume(self, width: float, depth: float) -> float:
        """Return the volume over the shoulder, mm3."""
        return 0.0

    def shortest(self, length: float) -> float:
        """Return the length of the post between its short points, mm."""
        return length

    def outline(self, half: float, high: float, *, side: bool) -> Bulged:
        """Return the top as it is seen, from right to left, mm.

        half : of the post's size there; high : of its highest point; side : from the side, with
        the front to the left, or else from the front.
        """
        return (half, high, 0.0), (-half, high, 0.0)

    def edges(
        self, half: float, high: float, *, side: bool
    ) -> tuple[tuple[Point, Point, bool], ...]:
        """Return the edges within that outline, with whether they are seen."""
        return ()

    def gable(self, half: float, high: float, *, back: bool) -> tuple[Point, ...]:
        """Return the upper edge of the post's front or back, from right to left, mm."""
        z = high - self.rise
        return (half, z), (-half, z)

    def lids(self, w: float, d: float, high: float) -> tuple[Face, ...]:
        """Return the faces that are no upright side. w, d : half the post's sizes, mm."""
        z = high - self.rise
        return (((-w, -d, z), (w, -d, z), (w, d, z), (-w, d, z)),)

    def cut(self, text: Callable[[float], str]) -> str:
        """Return what the cutting list says of it. text : of a length."""
        return ""

    def refusal(self, width: float, depth: float) -> str:
        """Return why a post of a section cannot have it, or nothing."""
        return ""


@dataclass(frozen=True)
class FlatTop(PostCut):
    """A post top sawn square."""


@dataclass(frozen=True)
class WeatheredTop(PostCut):
    """A post top that slopes to the back. fall : mm, from front to back."""

    fall: float

    @property
    def rise(self) -> float:
        """See PostCut."""
        return self.fall

    @property
    def words(self) -> str:
        """See PostCut."""
        return "falls to the back"

    def volume(self, width: float, depth: float) -> float:
        """See PostCut: a wedge."""
        return width * depth * self.fall / 2.0

    def shortest(self, length: float) -> float:
        """See PostCut."""
        return length - self.fall

    def outline(self, half: float, high: float, *, side: bool) -> Bulged:
        """See PostCut."""
        return (half, high - self.fall if side else high, 0.0), (-half, high, 0.0)

    def edges(
        self, half: float, high: float, *, side: bool
    ) -> tuple[tuple[Point, Point, bool], ...]:
        """See PostCut."""
        low = high - self.fall
        return () if side else (((-half, low), (half, low), False),)

    def gable(self, half: float, high: float, *, back: bool) -> tuple[Point, ...]:
        """See PostCut."""
        z = high - self.fall if back else high
        return (half, z), (-half, z)

    def lids(self, w: float, d: float, high: float) -> tuple[Face, ...]:
        """See PostCut."""
        low = high - self.fall
        return (((-w, -d, high), (w, -d, high), (w, d, low), (-w, d, low)),)

    def cut(self, text: Callable[[float], str]) -> str:
        """See PostCut."""
        return f"falls {text(self.fall)} to the back"


@dataclass(frozen=True)
class PyramidTop(PostCut):
    """A four-way top with its point in the middle. height : to the point, mm."""

    height: float

    @property
    def rise(self) -> float:
        """See PostCut."""
        return self.height

    @property
    def words(self) -> str:
        """See PostCut."""
        return "four-way, its point in the middle"

    def volume(self, width: float, depth: float) -> float:
        """See PostCut: a pyramid."""
        return width * depth * self.height / 3.0

    def outline(self, half: float, high: float, *, side: bool) -> Bulged:
        """See PostCut."""
        low = high - self.height
        return (half, low, 0.0), (0.0, high, 0.0), (-half, low, 0.0)

    def edges(
        self, half: float, high: float, *, side: bool
    ) -> tuple[tuple[Point, Point, bool], ...]:
        """See PostCut."""
        low = high - self.height
        return () if side else (((-half, low), (half, low), True),)

    def lids(self, w: float, d: float, high: float) -> tuple[Face, ...]:
        """See PostCut."""
        z, tip = high - self.height, (0.0, 0.0, high)
        ring = ((-w, -d, z), (w, -d, z), (w, d, z), (-w, d, z))
        return tuple((ring[n], ring[(n + 1) % 4], tip) for n in range(4))

    def cut(self, text: Callable[[float], str]) -> str:
        """See PostCut."""
        return f"four-way, rises {text(self.height)}"


@dataclass(frozen=True)
class ChamferedTop(PostCut):
    """A flat top whose four edges are taken off at 45 degrees. size : up and across, mm."""

    size: float

    @property
    def rise(self) -> float:
        """See PostCut."""
        return self.size

    @property
    def words(self) -> str:
        """See PostCut."""
        return "all four edges chamfered at 45°"

    def volume(self, width: float, depth: float) -> float:
        """See PostCut: the flat's own prism, two wedges each way, and a pyramid's four corners."""
        c, a, b = self.size, width - 2.0 * self.size, depth - 2.0 * self.size
        return c * (a * b + c * (a + b) + 4.0 * c * c / 3.0)

    def outline(self, half: float, high: float, *, side: bool) -> Bulged:
        """See PostCut."""
        low, near = high - self.size, half - self.size
        return (half, low, 0.0), (near, high, 0.0), (-near, high, 0.0), (-half, low, 0.0)

    def edges(
        self, half: float, high: float, *, side: bool
    ) -> tuple[tuple[Point, Point, bool], ...]:
        """See PostCut."""
        low = high - self.size
        return (((-half, low), (half, low), True),)

    def lids(self, w: float, d: float, high: float) -> tuple[Face, ...]:
        """See PostCut."""
        rings = [
            ((-a, -b, z), (a, -b, z), (a, b, z), (-a, b, z))
            for a, b, z in ((w, d, high - self.size), (w - self.size, d - self.size, high))
        ]
        low, top = rings
        sides = ((low[n], low[(n + 1) % 4], top[(n + 1) % 4], top[n]) for n in range(4))
        return (*sides, top)

    def cut(self, text: Callable[[float], str]) -> str:
        """See PostCut."""
        return f"four edges chamfered {text(self.size)}"

    def refusal(self, width: float, depth: float) -> str:
        """See PostCut."""
        least = min(width, depth)
        if 2.0 * self.size < least:
            return ""
        return f"chamfers of {self.size:g} mm leave nothing flat on {least:g} mm; use a pyramid"


@dataclass(frozen=True)
class RoundTop(PostCut):
    """A top rounded from arris to arris, its axis from front to back. height : over the arrises,
    mm, at most half the post's width.
    """

    height: float

    @property
    def rise(self) -> float:
        """See PostCut."""
        return self.height

    @property
    def words(self) -> str:
        """See PostCut."""
        return "rounded from arris to arris"

    def notes(self, width: float, text: Callable[[float], str]) -> tuple[str, ...]:
        """See PostCut."""
        return (f"arc of radius {text(self.radius(width))}, its centre on the middle line",)

    def radius(self, width: float) -> float:
        """Return the radius of the arc over a width, mm."""
        return (width * width / 4.0 + self.height**2) / (2.0 * self.height)

    def turn(self, width: float) -> float:
        """Return half the angle that the arc over a width takes, radians."""
        return 2.0 * math.atan2(2.0 * self.height, width)

    def volume(self, width: float, depth: float) -> float:
        """See PostCut: a segment of a circle, as deep as the post."""
        angle = 2.0 * self.turn(width)
        return self.radius(width) ** 2 * (angle - math.sin(angle)) / 2.0 * depth

    def outline(self, half: float, high: float, *, side: bool) -> Bulged:
        """See PostCut."""
        if side:
            return (half, high, 0.0), (-half, high, 0.0)
        low = high - self.height
        return (half, low, self.height / half), (-half, low, 0.0)

    def edges(
        self, half: float, high: float, *, side: bool
    ) -> tuple[tuple[Point, Point, bool], ...]:
        """See PostCut."""
        low = high - self.height
        return (((-half, low), (half, low), True),) if side else ()

    def gable(self, half: float, high: float, *, back: bool) -> tuple[Point, ...]:
        """See PostCut: by chords."""
        radius, turn = self.radius(2.0 * half), self.turn(2.0 * half)
        turns = [turn - 2.0 * turn * n / ROOF_PARTS for n in range(ROOF_PARTS + 1)]
        inner = [(radius * math.sin(t), high - radius + radius * math.cos(t)) for t in turns[1:-1]]
        low = high - self.height
        return (half, low), *inner, (-half, low)

    def lids(self, w: float, d: float, high: float) -> tuple[Face, ...]:
        """See PostCut: in strips."""
        spots = self.gable(w, high, back=False)
        return tuple(
            ((x0, -d, z0), (x0, d, z0), (x1, d, z1), (x1, -d, z1))
            for (x0, z0), (x1, z1) in itertools.pairwise(spots)
        )

    def cut(self, text: Callable[[float], str]) -> str:
        """See PostCut."""
        return f"rounded from arris to arris, rises {text(self.height)}"

    def refusal(self, width: float, depth: float) -> str:
        """See PostCut."""
        if self.height <= width / 2.0:
            return ""
        return f"a round top rises {width / 2.0:g} mm at most on a post {width:g} mm wide"


PostTop = FlatTop | WeatheredTop | PyramidTop | ChamferedTop | RoundTop
