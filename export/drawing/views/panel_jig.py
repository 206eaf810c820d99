"""Where the stops of a panel's jig stand: round its rails, at its ends and under its pales."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

from palewright.model.fence.made_panels import MadePanel, PanelPiece
from palewright.model.geometry.frames import Point
from palewright.model.parts.members import PALE, RAIL

Loop = tuple[Point, ...]

BLOCK, LONG, MARGIN, STOP = 45.0, 150.0, 120.0, 60.0
"""Width and length of blocks beside rails, what the board stands out, and how wide the foot stop
and the end stops are, mm (common practice, no source)."""

INSET = 0.15
"""Share of a rail's length from its ends to the middle of the blocks beside it."""

LEVEL = 0.5
"""Feet that leave a straight line by less share one foot stop, mm."""


@dataclass(frozen=True)
class Jig:
    """The jig of a panel, in the panel's own coordinates, mm."""

    panel: MadePanel

    @property
    def board(self) -> tuple[Point, Point]:
        """The lower left and the upper right corner of its board."""
        right, top = self.panel.width, self.panel.height
        return (-MARGIN, -MARGIN), (right + MARGIN, top + MARGIN)

    def _rail_at(self, rail: PanelPiece, x: float) -> Point:
        """Return the levels of a rail's underside and top at x."""
        points = self.panel.points(rail)
        sides = []
        for edge in (rail.low[0], rail.high[0]):
            zs = [z for px, _, z in points if abs(px - edge) < 1.0]
            sides.append((edge, min(zs), max(zs)))
        (x0, a, b), (x1, c, d) = sides
        share = (x - x0) / (x1 - x0)
        return a + (c - a) * share, b + (d - b) * share

    def _beside(self, rail: PanelPiece, *, over: bool) -> list[Loop]:
        """Return the two blocks along one side of a rail."""
        length = rail.high[0] - rail.low[0]
        half = min(LONG, 0.25 * length) / 2.0
        loops: list[Loop] = []
        for share in (INSET, 1.0 - INSET):
            middle = rail.low[0] + share * length
            ends = [(x, self._rail_at(rail, x)[over]) for x in (middle - half, middle + half)]
            way = BLOCK if over else -BLOCK
            (x0, a), (x1, b) = ends
            far = ((x1, b + way), (x0, a + way))
            loops.append(((x0, a), (x1, b), *far))
        return loops

    @cached_property
    def under(self) -> tuple[Loop, ...]:
        """The blocks under each rail."""
        return tuple(b for rail in self.panel.of(RAIL) for b in self._beside(rail, over=False))

    @cached_property
    def blocks(self) -> tuple[Loop, ...]:
        """All its stops: under and over each rail, at both ends, and under the feet."""
        over = [b for rail in self.panel.of(RAIL) for b in self._beside(rail, over=True)]
        return (*self.under, *over, *self.ends, *self.feet)

    @cached_property
    def ends(self) -> list[Loop]:
        """A stop at each end of each rail, or of the uprights at these heights."""
        left, right = self.panel.framed[0][0], self.panel.framed[1][0]
        loops: list[Loop] = []
        for rail in self.panel.of(RAIL):
            for x, end, way in ((left, rail.low[0], -STOP), (right, rail.high[0], STOP)):
                low, high = self._rail_at(rail, end)
                x0, x1 = sorted((x, x + way))
                loops.append(((x0, low), (x1, low), (x1, high), (x0, high)))
        return loops

    @cached_property
    def feet(self) -> list[Loop]:
        """The foot stop: one batten where the feet lie in a line, else one at each pale."""
        pales = self.panel.of(PALE)
        first, last = pales[0], pales[-1]
        run = last.middle[0] - first.middle[0]
        slope = (last.low[2] - first.low[2]) / run if run else 0.0
        lines = [first.low[2] + slope * (p.middle[0] - first.middle[0]) for p in pales]
        straight = all(abs(p.low[2] - z) < LEVEL for p, z in zip(pales, lines, strict=True))
        if straight and abs(slope) < 1e-6:
            x0, x1, z = first.low[0], last.high[0], first.low[2]
            return [((x0, z - STOP), (x1, z - STOP), (x1, z), (x0, z))]
        return [
            ((p.low[0], p.low[2] - STOP), (p.high[0], p.low[2] - STOP), (p.high[0], p.low[2]),
             (p.low[0], p.low[2]))
            for p in pales
        ]  # fmt: skip

    @property
    def one_foot_stop(self) -> bool:
        """Whether all feet stand against one batten."""
        return len(self.feet) == 1

    @cached_property
    def gap(self) -> float | None:
        """The gap between neighbouring pales, under 0 where they lap; None with a single pale."""
        pales = self.panel.of(PALE)
        return pales[1].low[0] - pales[0].high[0] if len(pales) > 1 else None

    @property
    def spacers(self) -> tuple[Loop, ...]:
        """The spacer between the first two pales, over the highest rail."""
        gap = self.gap
        if gap is None or gap < 1.0:
            return ()
        pale, rail = self.panel.of(PALE)[0], self.panel.of(RAIL)[0]
        at = max(pale.high[0], rail.low[0])
        low = self._rail_at(rail, at)[1] + 0.15 * self.panel.height
        high = low + 0.3 * self.panel.height
        return (((pale.high[0], low), (pale.high[0] + gap, low), (pale.high[0] + gap, high),
                 (pale.high[0], high)),)  # fmt: skip

    def spacing_words(self, figure: Callable[[float], str]) -> str:
        """Return how pales are set, in the order of the work."""
        pales = self.panel.of(PALE)
        start = pales[0].low[0] - self.panel.framed[0][0]
        first = "flush with the left end"
        if abs(start) >= 0.05:
            side = "from the left end" if start > 0.0 else "past the left end"
            first = f"{figure(abs(start))} {side}"
        words = f"First pale {first}"
        if not self.one_foot_stop:
            words += ", each foot on its own stop"
        gap = self.gap
        if gap is None:
            return f"{words}."
        if gap < -0.05:
            return f"{words}, the outer ones last; neighbours lap by {figure(-gap)}."
        if gap < 1.0:
            return f"{words}, the others close to each other."
        return f"{words}, the others from left to right by the spacer, {figure(gap)} wide."
