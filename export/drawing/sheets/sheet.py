"""Sheets: views packed on paper, one after the other, as many sheets as they need."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from palewright.export.drawing.draft.paper import Mark, bounds, on_paper, shifted
from palewright.export.drawing.draft.style import Style
from palewright.export.drawing.draft.view import View
from palewright.model.geometry.frames import Point

from .sheet_frame import (
    Box,
    Fields,
    Size,
    frame_box,
    scale_bar,
    sheet_frame,
    title_box,
)

INSET, BETWEEN = 7.0, 6.0
"""From the frame to the nearest view, and between views, mm."""

OPEN_SHEETS = 3
"""How many sheets back a view may still fill a gap; more would tear related views apart."""

BAR_STEP = 9.0
"""Between scale bars, mm."""


@dataclass(frozen=True)
class Placed:
    """A view on a sheet.

    at : where its own origin stands on the paper, mm; recorded : the view on paper, its origin at
    (0, 0), made once for packing, printing and viewports.
    """

    view: View
    at: Point
    recorded: tuple[Mark, ...]

    @staticmethod
    def of(view: View, at: Point, style: Style) -> Placed:
        """Record a view and place it."""
        return Placed(view, at, on_paper(view, style))


@dataclass(frozen=True)
class Sheet:
    """A sheet with its views; the frame and title block are the first of them."""

    size: Size
    title: str
    placed: tuple[Placed, ...]

    @property
    def marks(self) -> tuple[Mark, ...]:
        """All that is printed, mm from the lower left corner of the paper."""
        return tuple(_marks_of(self.placed))


def free_boxes(size: Size, foot: float = 0.0) -> list[Box]:
    """Return the parts of a sheet that views may fill: above and beside the title block.

    foot : mm kept free along the bottom of the frame.
    """
    frame, title = frame_box(size), title_box(size)
    left, right = frame.left + INSET, frame.right - INSET
    boxes = [Box(left, title.high + INSET, right, frame.high - INSET)]
    if title.left - left > 40.0:
        boxes.append(Box(left, frame.low + INSET + foot, title.left - INSET, frame.high - INSET))
    return boxes


def pack(
    views: Sequence[View], size: Size, style: Style, *, foot: float = 0.0
) -> list[list[Placed]]:
    """Return the views placed on sheets, each as far up and left as it fits.

    The free paper of a sheet is kept as the largest rectangles that nothing covers. A view goes
    on the first of the last few sheets that has room; one that fits no empty sheet gets one of
    its own all the same. Views that are read one after the other never go back to a sheet before
    the last of them. foot : mm kept free at the bottom.
    """
    reached: dict[str, int] = {}
    sheets: list[list[Placed]] = []
    free: list[list[Box]] = []
    for column in _columns(views, size, style, foot):
        left, low, right, high = bounds(tuple(_marks_of(column)))
        width, height = right - left, high - low
        number, spot = len(sheets), None
        row = column[0].view.row
        first = max(0, len(sheets) - OPEN_SHEETS, reached.get(row, 0))
        for number in range(first, len(sheets)):
            spot = _spot(free[number], width, height)
            if spot is not None:
                break
        if spot is None:
            number = len(sheets)
            sheets.append([])
            free.append(free_boxes(size, foot))
            empty = free[number]
            spot = _spot(empty, width, height) or (empty[0].left, empty[0].high)
        if row:
            reached[row] = number
        x, top = spot
        for one in column:
            at = (one.at[0] + x - left, one.at[1] + top - high)
            sheets[number].append(replace(one, at=at))
        taken = Box(x - BETWEEN, top - height - BETWEEN, x + width + BETWEEN, top + BETWEEN)
        free[number] = _without(free[number], taken)
    return sheets


def _columns(
    views: Sequence[View], size: Size, style: Style, foot: float
) -> Iterator[tuple[Placed, ...]]:
    """Yield views that stay together, each under the one before it; alone where an empty sheet
    has no room for all of them.
    """
    columns: list[list[View]] = []
    for view in views:
        if view.under and columns:
            columns[-1].append(view)
        else:
            columns.append([view])
    empty = free_boxes(size, foot)
    for column in columns:
        stacked: list[Placed] = []
        low = 0.0
        for view in column:
            recorded = on_paper(view, style)
            _, bottom, _, top = bounds(recorded)
            stacked.append(Placed(view, (0.0, low - top), recorded))
            low += bottom - top - BETWEEN
        left, bottom, right, top = bounds(tuple(_marks_of(stacked)))
        if len(stacked) == 1 or _spot(empty, right - left, top - bottom) is not None:
            yield tuple(stacked)
        else:
            yield from ((one,) for one in stacked)


def _marks_of(placed: Sequence[Placed]) -> Iterator[Mark]:
    for one in placed:
        yield from shifted(one.recorded, *one.at)


def _spot(free: list[Box], width: float, height: float) -> Point | None:
    fits = [box for box in free if box.width >= width - 1e-6 and box.height >= height - 1e-6]
    if not fits:
        return None
    best = max(fits, key=lambda box: (round(box.high, 3), -box.left))
    return best.left, best.high


def _without(free: list[Box], taken: Box) -> list[Box]:
    """Return the largest free rectangles once `taken` is covered."""
    cut: list[Box] = []
    for box in free:
        apart = (
            taken.left >= box.right
            or taken.right <= box.left
            or taken.low >= box.high
            or taken.high <= box.low
        )
        if apart:
            cut.append(box)
            continue
        if taken.left > box.left:
            cut.append(replace(box, right=taken.left))
        if taken.right < box.right:
            cut.append(replace(box, left=taken.right))
        if taken.low > box.low:
            cut.append(replace(box, high=taken.low))
        if taken.high < box.high:
            cut.append(replace(box, low=taken.high))
    kept = [box for box in cut if box.width > 15.0 and box.height > 8.0]
    return [
        box
        for number, box in enumerate(kept)
        if not any(
            _inside(box, other) and (not _inside(other, box) or place < number)
            for place, other in enumerate(kept)
            if place != number
        )
    ]


def _inside(inner: Box, outer: Box) -> bool:
    return (
        inner.left >= outer.left
        and inner.right <= outer.right
        and inner.low >= outer.low
        and inner.high <= outer.high
    )


def finished(
    packed: Sequence[tuple[str, list[Placed]]],
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
