"""The panels of a fence by mark: how many, how large and how heavy, what each is made of."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from palewright.model.fence.fence_model import FenceModel
from palewright.model.fence.made_panels import MadePanel
from palewright.model.lists.bay_marks import marks_words
from palewright.model.parts.members import BRACKET

from .fixings import SCREWED
from .weights import weights


@dataclass(frozen=True)
class PanelLine:
    """Panels alike. mark : of them; count : how many; width, height : over all, mm; diagonals : of
    the frame, from lower left to upper right and the other, mm; weight : of one, kg; pieces : marks
    with how many each has; fixings : on each side; screws : of its brackets, of one panel; bays :
    the posts that each hangs between.
    """

    mark: str
    count: int
    width: float
    height: float
    diagonals: tuple[float, float]
    weight: float
    pieces: str
    fixings: int
    screws: int
    bays: tuple[str, ...]

    @property
    def square(self) -> bool:
        """Whether its frame is square."""
        return abs(self.diagonals[0] - self.diagonals[1]) < 0.1


@dataclass(frozen=True)
class PanelPart:
    """Pieces of one mark that panels of one mark are made of. each : in one panel; all : in all of
    them; length : mm.
    """

    panel: str
    mark: str
    part: str
    each: int
    all: int
    size: tuple[float, float, float]


def panels_by_mark(fence: FenceModel) -> dict[str, list[MadePanel]]:
    """Return the panels of a fence by mark."""
    found: dict[str, list[MadePanel]] = {}
    for panel in fence.panels:
        found.setdefault(panel.mark, []).append(panel)
    return found


def panel_lines(fence: FenceModel) -> tuple[PanelLine, ...]:
    """Return one line for each mark of panel."""
    if not fence.panels:
        return ()
    each = weights(fence).each
    lines = []
    for mark, panels in panels_by_mark(fence).items():
        one = panels[0]
        brackets = 2 * one.plan.fixings if one.plan.between else 0
        lines.append(
            PanelLine(
                mark,
                len(panels),
                one.width,
                one.height,
                one.diagonals,
                math.fsum(each[piece.mark] for piece in one.pieces),
                marks_words((member.mark, count) for member, count in one.counts()),
                one.plan.fixings,
                brackets * SCREWED[BRACKET],
                tuple(f"{panel.first} to {panel.last}" for panel in panels),
            )
        )
    return tuple(lines)


def panel_parts(fence: FenceModel) -> Iterator[PanelPart]:
    """Yield the cutting list by panel."""
    for mark, panels in panels_by_mark(fence).items():
        for member, count in panels[0].counts():
            yield PanelPart(
                mark, member.mark, member.kind.name, count, count * len(panels), member.size
            )
