"""Lines of levels read from a staff, reduced by rise and fall.

Rise and fall (any textbook of levelling): within one set-up of the level each point is higher than
the one before by what its reading is less; sum of back sights less sum of fore sights, sum of rises
less sum of falls, and last level less first are the same figure.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise


@dataclass(frozen=True)
class StaffReading:
    """A staff reading. kind : "back", "intermediate" or "fore"; setup : number of the set-up of the
    level, from 1; value : mm; key : where it stands in the file.
    """

    point: str
    kind: str
    setup: int
    value: float
    key: str = ""


@dataclass(frozen=True)
class BookRow:
    """A row of a level book, all mm. back, intermediate, fore : readings; rise : over the row
    before, negative where it falls, None in the first; level : reduced; adjusted : most likely.
    """

    point: str
    back: float | None
    intermediate: float | None
    fore: float | None
    rise: float | None
    level: float
    adjusted: float


@dataclass(frozen=True)
class BookLine:
    """One line of levels. closings : (point, reduced, wanted) where it comes to a level that is
    known, or to a point of its own again, mm.
    """

    rows: tuple[BookRow, ...]
    setups: int
    closings: tuple[tuple[str, float, float], ...]

    @property
    def sights(self) -> tuple[float, float]:
        """Sums of back sights and of fore sights, mm."""
        return (
            math.fsum(row.back or 0.0 for row in self.rows),
            math.fsum(row.fore or 0.0 for row in self.rows),
        )

    @property
    def rises_and_falls(self) -> tuple[float, float]:
        """Sums of rises and of falls, mm, both positive."""
        rises = [row.rise for row in self.rows if row.rise is not None]
        return math.fsum(r for r in rises if r > 0.0), math.fsum(-r for r in rises if r < 0.0)

    @property
    def change(self) -> float:
        """Last reduced level less the first, mm."""
        return self.rows[-1].level - self.rows[0].level


def lines_of(readings: Sequence[StaffReading]) -> list[list[StaffReading]]:
    """Return readings by line: a back sight on another point than the last fore sight begins one.

    readings : in the order of the book, each set-up from its back sight to its fore sight.
    """
    lines: list[list[StaffReading]] = []
    for reading in readings:
        if reading.kind == "back" and (not lines or lines[-1][-1].point != reading.point):
            lines.append([])
        lines[-1].append(reading)
    return lines


def reduced(
    line: Sequence[StaffReading], known: Mapping[str, float], adjusted: Mapping[str, float]
) -> BookLine:
    """Return a line of levels reduced by rise and fall.

    Parameters
    ----------
    line : sequence of StaffReading
        As `lines_of` gives them.
    known : mapping of point to level, mm
        The line counts from the first of its points that is among them, else from the adjusted
        level of its first.
    adjusted : mapping of point to level, mm
        Of all points of the line.

    Examples
    --------
    >>> line = [StaffReading("A", "back", 1, 1500.0), StaffReading("B", "fore", 1, 1200.0)]
    >>> book = reduced(line, {"A": 50_000.0}, {"A": 50_000.0, "B": 50_300.0})
    >>> [(row.point, row.rise, row.level) for row in book.rows]
    [('A', None, 50000.0), ('B', 300.0, 50300.0)]
    """
    heights = [0.0]
    rises: list[float | None] = [None]
    for before, reading in pairwise(line):
        gained = before.value - reading.value if reading.kind != "back" else 0.0
        heights.append(heights[-1] + gained)
        rises.append(gained)
    # what the line counts from, and so closes on by itself
    start = next((n for n, one in enumerate(line) if one.point in known), 0)
    first = line[start].point
    base = known.get(first, adjusted[first]) - heights[start]
    rows: list[BookRow] = []
    seen: dict[str, float] = {}
    closings: list[tuple[str, float, float]] = []
    for number, (reading, height, rise) in enumerate(zip(line, heights, rises, strict=True)):
        level, point, value = height + base, reading.point, reading.value
        if reading.kind == "back" and rows:  # where the level was moved: the row of the fore sight
            rows[-1] = replace(rows[-1], back=value)
            continue
        back, inter, fore = (
            value if reading.kind == kind else None for kind in ("back", "intermediate", "fore")
        )
        rows.append(BookRow(point, back, inter, fore, rise, level, adjusted[point]))
        wanted = None if number == start else known.get(point, seen.get(point))
        if wanted is not None:
            closings.append((point, level, wanted))
        seen.setdefault(point, level)
    return BookLine(tuple(rows), len({one.setup for one in line}), tuple(closings))
