"""Sheets: packed views with frame, title block and scale bars."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from palewright.export.drawing.draft.paper import Mark, shifted
from palewright.export.drawing.draft.style import Style

from .free_paper import INSET
from .recorded import Placed
from .sheet_frame import (
    Fields,
    Size,
    frame_box,
    scale_bar,
    sheet_frame,
    title_box,
)

BAR_STEP = 8.0
"""Between scale bars, mm."""


@dataclass(frozen=True)
class Sheet:
    """A sheet with its views; the frame and title block are the first of them."""

    size: Size
    title: str
    placed: tuple[Placed, ...]

    @property
    def marks(self) -> tuple[Mark, ...]:
        """All that is printed, mm from the lower left corner of the paper."""
        return tuple(mark for one in self.placed for mark in shifted(one.recorded, *one.at))


def finished(
    packed: Sequence[tuple[str, Sequence[Placed]]],
    size: Size,
    fields: Callable[[str, int, int, str], Fields],
    style: Style,
    *,
    bars: bool = False,
) -> tuple[Sheet, ...]:
    """Return packed sheets with frames and title blocks, and scale bars if asked for.

    fields : from sheet title, number, count and scale to what the title block says.
    """
    sheets = []
    for number, (title, placed) in enumerate(packed, 1):
        ratios = {p.view.scale: p.view.scale_text for p in placed if p.view.scale_text}
        text = next(iter(ratios.values())) if len(ratios) == 1 else "as shown" if ratios else "-"
        filled = fields(title, number, len(packed), text)
        frame = sheet_frame(size, filled, style)
        extra = [Placed.of(frame, (0.0, 0.0), style)]
        if bars:
            block = title_box(size)
            left, low = frame_box(size).left + INSET + 4.0, block.low + INSET
            for n in sorted(ratios):
                extra.append(Placed.of(scale_bar(n, style), (left, low), style))
                low += BAR_STEP
        sheets.append(Sheet(size, title, (*extra, *placed)))
    return tuple(sheets)
