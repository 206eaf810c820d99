"""Free paper of a sheet as the largest rectangles that nothing covers."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from palewright.model.geometry.frames import Point

from .sheet_frame import Box, Size, frame_box, title_box

INSET, BETWEEN = 7.0, 6.0
"""From the frame to the nearest view, and between views, mm."""

LEAST_WIDE, LEAST_HIGH = 15.0, 8.0
"""Free rectangles that are smaller hold nothing, mm."""

Rect = tuple[float, float, float, float]
"""Left, low, right and high side of a rectangle on paper, mm; packing tries so many that they are
plain tuples.
"""

Rule = Callable[[Rect, float, float], tuple[float, float]]
"""Which free rectangle is filled first with a width and height: the one with the least of these."""


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


def free_area(size: Size) -> float:
    """Return the paper of a sheet inside its frame without the title block, mm2."""
    frame, title = frame_box(size), title_box(size)
    return frame.width * frame.height - title.width * title.height


def _topmost(free: Rect, width: float, height: float) -> tuple[float, float]:
    return -round(free[3], 3), free[0]


def _leftmost(free: Rect, width: float, height: float) -> tuple[float, float]:
    return round(free[0], 3), -free[3]


def _closest(free: Rect, width: float, height: float) -> tuple[float, float]:
    return round(min(free[2] - free[0] - width, free[3] - free[1] - height), 3), -free[3]


RULES: tuple[Rule, ...] = (_topmost, _leftmost, _closest)
"""Ways to fill a sheet: in rows, in columns, each view where it leaves the narrowest strip."""


def spots(free: Sequence[Rect], width: float, height: float, rule: Rule) -> list[Point]:
    """Return the upper left corners at which a width and height fit, the best by a rule first."""
    least_width, least_height = width - 1e-6, height - 1e-6
    fits = [
        (*rule(one, width, height), one)
        for one in free
        if one[2] - one[0] >= least_width and one[3] - one[1] >= least_height
    ]
    return [(one[0], one[3]) for *_, one in sorted(fits)]


def without(free: Sequence[Rect], taken: Rect) -> list[Rect]:
    """Return the largest free rectangles once `taken` is covered."""
    left, low, right, high = taken
    apart: list[Rect] = []
    cut: list[Rect] = []
    for one in free:
        x0, y0, x1, y1 = one
        if left >= x1 or right <= x0 or low >= y1 or high <= y0:
            apart.append(one)
            continue
        if left - x0 > LEAST_WIDE:
            cut.append((x0, y0, left, y1))
        if x1 - right > LEAST_WIDE:
            cut.append((right, y0, x1, y1))
        if low - y0 > LEAST_HIGH:
            cut.append((x0, y0, x1, low))
        if y1 - high > LEAST_HIGH:
            cut.append((x0, high, x1, y1))
    kept = apart
    for one in dict.fromkeys(cut):
        if not any(_inside(one, other) for other in (*apart, *cut) if other != one):
            kept.append(one)
    return kept


def _inside(inner: Rect, outer: Rect) -> bool:
    return (
        inner[0] >= outer[0]
        and inner[1] >= outer[1]
        and inner[2] <= outer[2]
        and inner[3] <= outer[3]
    )
