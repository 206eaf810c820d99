"""The picture in lines on the first sheet of a set for building: the fence, or a part of it."""

from __future__ import annotations

from palewright.export.drawing.draft.scales import Scale, scales
from palewright.export.drawing.draft.view import View
from palewright.export.drawing.views.isometric import Standing, isometric_view, standing
from palewright.export.drawing.views.portions import (
    Portion,
    end_portion,
    gate_portion,
    labels_of_portion,
)
from palewright.model.fence.fence_model import FenceModel

from .brief import Brief

WIDE, HIGH = 185.0, 140.0
"""Paper that the picture may take, mm."""

MOST_MEMBERS = 700
"""Of a fence with more members some bays are drawn."""

LARGEST, SMALLEST = 20.0, 100.0
"""Scales 1:n between which the picture is drawn: smaller, pales would run into one another."""

BAYS = 2
"""Bays on either side of a gate or a corner."""


def key_isometric(brief: Brief) -> View:
    """Return the fence as an isometric view; of a long one, or where the paper is small, a gate
    or a corner with the bays beside it.
    """
    fence = brief.fence
    if len(fence.members) <= MOST_MEMBERS:
        whole = standing(fence)
        scale = _fitting(brief, whole)
        if scale is not None:
            return isometric_view(whole, "The fence, isometric", brief.draft(scale))
    portions = telling_portions(fence)
    part = standing(fence, portions)
    scale = _fitting(brief, part) or _smallest(brief)
    return isometric_view(part, _title(fence, portions), brief.draft(scale))


def telling_portions(fence: FenceModel) -> tuple[Portion, ...]:
    """Return the part of a fence that tells most of it: its first gate, else its first corner,
    else its beginning, with some bays.
    """
    for run, layout in enumerate(fence.layouts):
        for opening in layout.openings:
            return (gate_portion(layout, run, opening, (BAYS, BAYS)),)
    for run, layout in enumerate(fence.layouts):
        for number, leg in enumerate(layout.legs[1:], 1):
            if abs(leg.turn_start) > 10.0 and not leg.bent_start:
                return (
                    end_portion(layout, run, number - 1, BAYS, at_end=True),
                    end_portion(layout, run, number, BAYS, at_end=False),
                )
    return (end_portion(fence.layouts[0], 0, 0, 2 * BAYS, at_end=False),)


def _title(fence: FenceModel, portions: tuple[Portion, ...]) -> str:
    first = labels_of_portion(fence, portions[0])[0]
    last = labels_of_portion(fence, portions[-1])[-1]
    return f"Part of the fence, posts {first} to {last}, isometric"


def _fitting(brief: Brief, shown: Standing) -> Scale | None:
    """Return the largest scale at which the picture has room; None where it would be too small."""
    width, height = shown.size
    room = min(WIDE, brief.room[0]), min(HIGH, brief.room[1] - 15.0)
    for scale in scales(brief.figures.units):
        fits = width / scale.n <= room[0] and height / scale.n <= room[1]
        if LARGEST * 0.96 <= scale.n <= SMALLEST and fits:
            return scale
    return None


def _smallest(brief: Brief) -> Scale:
    return min(scales(brief.figures.units), key=lambda scale: abs(scale.n - SMALLEST))
