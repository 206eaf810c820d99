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
        return tuple(mark for one in self.placed for mark in shifted(one.recorded, *one.at))


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
    the last of them. Sheets that follow one another become one where their views fit on it the
    tallest first. foot : mm kept free at the bottom.
    """
    reached: dict[str, int] = {}
    sheets: list[list[Stack]] = []
    free: list[list[Box]] = []
    empty = free_boxes(size, foot)
    for stack in _stacks(views, style, empty):
        number, spot = len(sheets), None
        row = stack.placed[0].view.row
        first = max(0, len(sheets) - OPEN_SHEETS, reached.get(row, 0))
        for number in range(first, len(sheets)):
            spot = _spot(free[number], stack)
            if spot is not None:
                break
        if spot is None:
            number = len(sheets)
            sheets.append([])
            free.append(empty)
            spot = _spot(empty, stack) or (empty[0].left, empty[0].high)
        if row:
            reached[row] = number
        sheets[number].append(stack.moved(spot))
        free[number] = _without(free[number], stack.taken(spot))
    return [[one for stack in sheet for one in stack.placed] for sheet in _joined(sheets, empty)]


@dataclass(frozen=True)
class Stack:
    """Views that stay together, each under the one before it. left, high, width, height : of what
    they cover, mm.
    """

    placed: tuple[Placed, ...]
    left: float
    high: float
    width: float
    height: float

    @staticmethod
    def of(placed: Sequence[Placed]) -> Stack:
        """Measure placed views."""
        boxes = [
            (x0 + x, y0 + y, x1 + x, y1 + y)
            for one in placed
            for (x, y), (x0, y0, x1, y1) in ((one.at, bounds(one.recorded)),)
        ]
        left, low = min(box[0] for box in boxes), min(box[1] for box in boxes)
        right, high = max(box[2] for box in boxes), max(box[3] for box in boxes)
        return Stack(tuple(placed), left, high, right - left, high - low)

    def moved(self, spot: Point) -> Stack:
        """Return the views with their upper left corner at a spot."""
        dx, dy = spot[0] - self.left, spot[1] - self.high
        placed = (replace(one, at=(one.at[0] + dx, one.at[1] + dy)) for one in self.placed)
        return Stack(tuple(placed), *spot, self.width, self.height)

    def taken(self, spot: Point) -> Box:
        """Return the paper that they take with their upper left corner at a spot."""
        x, top = spot
        return Box(
            x - BETWEEN, top - self.height - BETWEEN, x + self.width + BETWEEN, top + BETWEEN
        )


def _joined(sheets: list[list[Stack]], empty: list[Box]) -> list[list[Stack]]:
    """Return sheets with those made one that follow each other and fit on one sheet."""
    room = sum(box.width * box.height for box in empty)
    result: list[list[Stack]] = []
    for sheet in sheets:
        both = [*result[-1], *sheet] if result else sheet
        if result and sum(one.width * one.height for one in both) < room:
            on_one = _on_one(sorted(both, key=lambda one: -one.height), empty)
            if on_one is not None:
                result[-1] = on_one
                continue
        result.append(sheet)
    return result


def _on_one(stacks: Sequence[Stack], empty: list[Box]) -> list[Stack] | None:
    """Return stacks placed on one sheet in their order, or None where they do not fit."""
    free, placed = empty, []
    for stack in stacks:
        spot = _spot(free, stack)
        if spot is None:
            return None
        placed.append(stack.moved(spot))
        free = _without(free, stack.taken(spot))
    return placed


def _stacks(views: Sequence[View], style: Style, empty: list[Box]) -> Iterator[Stack]:
    """Yield views that stay together as one; alone where an empty sheet has no room for all."""
    columns: list[list[View]] = []
    for view in views:
        if view.under and columns:
            columns[-1].append(view)
        else:
            columns.append([view])
    for column in columns:
        stacked: list[Placed] = []
        low = 0.0
        for view in column:
            recorded = on_paper(view, style)
            _, bottom, _, top = bounds(recorded)
            stacked.append(Placed(view, (0.0, low - top), recorded))
            low += bottom - top - BETWEEN
        stack = Stack.of(stacked)
        if len(stacked) == 1 or _spot(empty, stack) is not None:
            yield stack
        else:
            yield from (Stack.of([one]) for one in stacked)


def _spot(free: list[Box], stack: Stack) -> Point | None:
    least_width, least_height = stack.width - 1e-6, stack.height - 1e-6
    fits = [box for box in free if box.width >= least_width and box.height >= least_height]
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
