"""The ground in front of a fence and behind it, where it is at another level than along it."""

from __future__ import annotations

from collections.abc import Iterator

from palewright.export.drawing.draft import style as layers
from palewright.export.drawing.draft.drafting import Draft
from palewright.export.drawing.draft.view import Item, Line, Text
from palewright.model.geometry.frames import Point, Vector
from palewright.model.layout.side_ground import Side
from palewright.model.site.site_line import profile_between

from .front import Front

SIDES: tuple[tuple[Side, str], ...] = (
    ("front", "ground in front"), ("back", "ground behind"),
)  # fmt: skip

APART = 3.5
"""From the foot of one label to that of the next, mm on paper."""

PAST = 1.5
"""From the fence to a label, mm on paper."""


def sides_shown(front: Front, span: Point) -> list[tuple[str, tuple[Point, ...]]]:
    """Return the ground of each side between two places of a front, with what it is called."""
    left, right = span
    shown = []
    for side, words in SIDES:
        ground = front.side(side)
        if not ground or ground[-1][0] <= left or ground[0][0] >= right:
            continue
        low, high = max(left, ground[0][0]), min(right, ground[-1][0])
        shown.append((words, profile_between(ground, low, high)))
    return shown


def side_lines(
    front: Front, span: Point, origin: Vector, draft: Draft, beside: tuple[float, list[float]]
) -> Iterator[Item]:
    """Yield the ground of each side, and its level at its right end, beside the fence there.

    beside : how far the holes reach past the fence at its right, and feet of other words there, mm.
    """
    past, taken = beside
    used = list(taken)
    step = draft.full(APART)
    for words, ground in sides_shown(front, span):
        yield Line.through(ground, layers.SIDE_GROUND)
        level = draft.figures.site(ground[-1][1] + front.datum + origin[2], origin)
        unit = " m" if draft.figures.in_metres(origin) else ""
        y = ground[-1][1]
        away = 1.0 if all(y >= foot for foot in used) else -1.0
        while any(abs(y - foot) < step for foot in used):
            y += away * step / 4.0
        used.append(y)
        x = span[1] + past + draft.full(PAST)
        yield Text(f"{words} {level}{unit}", (x, y), draft.text)
