"""What a set of sheets is made from, and scales at which views fit its paper."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial

from palewright.export.drawing.draft.drafting import Draft
from palewright.export.drawing.draft.figures import Figures, Units
from palewright.export.drawing.draft.paper import bounds, on_paper
from palewright.export.drawing.draft.scales import Scale, scale_for, scale_named, scales
from palewright.export.drawing.draft.style import Style
from palewright.export.drawing.draft.view import Redrawing, View
from palewright.export.drawing.sheets.free_paper import free_boxes
from palewright.export.drawing.sheets.sheet import BAR_STEP
from palewright.export.drawing.sheets.sheet_frame import SIZES, Box, Size
from palewright.export.drawing.views.elevation import elevation
from palewright.export.drawing.views.front import FrontPart, fronts_of, parts_of_front
from palewright.export.drawing.views.table_views import ROW, rows_within, table_views
from palewright.model.fence.fence_model import FenceModel
from palewright.model.lists.takeoff import fence_length

LARGEST_ELEVATION = 50.0
"""Elevations are not drawn larger than 1:n when not chosen."""

LARGEST_IN_FULL = 20.0
"""Nor larger than this where there is room for it."""

ELEVATION_SIDES = 54.0
"""Paper beside an elevation for its heights and the ground line, mm."""

MOST_PARTS = 8
"""From this many parts on, elevations are drawn at the next smaller scale."""

SURE = 0.8
"""Share of the lines' extent that a plan takes whatever it shows of them."""

Groups = list[tuple[str, list[View]]]
"""Views of a set by what their sheets are titled with."""


@dataclass(frozen=True)
class Brief:
    """What a set is made from. size : of its sheets; style : with how its figures are written;
    picture : PNG of the fence, where there is one; largest_elevation : elevations are not drawn
    larger than 1:n when not chosen.
    """

    fence: FenceModel
    size: Size
    style: Style
    picture: bytes | None = None
    largest_elevation: float = LARGEST_ELEVATION

    @property
    def figures(self) -> Figures:
        """How lengths are written."""
        return self.style.figures

    @property
    def feet(self) -> bool:
        """Whether lengths are written in feet and inches."""
        return self.figures.units is Units.FEET

    @property
    def room(self) -> tuple[float, float]:
        """Width and height of the largest free part of an empty sheet, mm."""
        box = max(free_boxes(self.size), key=lambda b: b.width * b.height)
        return box.width, box.height

    @property
    def rows(self) -> int:
        """How many rows of a table an empty sheet takes."""
        return max(5, int((self.room[1] - 12.0) / ROW) - 1)

    def draft(self, scale: Scale) -> Draft:
        """Return how views at a scale are drawn."""
        return Draft(scale, self.style)

    def fine_draft(self, scale: Scale) -> Draft:
        """Return how views of what is made are drawn: sections and details, to a tenth of a mm."""
        return Draft(scale, replace(self.style, figures=replace(self.figures, whole=False)))

    def fine_draft_at(self, n: float) -> Draft:
        """Return how views at 1:n of what is made are drawn."""
        return self.fine_draft(scale_named(n, self.figures.units))

    def enlargeable(
        self, kin: str, largest: float, draw: Callable[[Draft], View], n: float
    ) -> View:
        """Return a view of what is made at 1:n, that is drawn larger where there is room.

        kin : views of one kin share a scale; largest : the largest 1:n that is of use.
        """
        redrawing = Redrawing(kin, largest, lambda scale: draw(self.fine_draft(scale)))
        return replace(draw(self.fine_draft_at(n)), redrawing=redrawing)

    def redrawing(self, kin: str, largest: float, draw: Callable[[Draft], View]) -> Redrawing:
        """Return how a view of what is set out, or shown as a whole, is drawn larger."""
        return Redrawing(kin, largest, lambda scale: draw(self.draft(scale)))

    def draft_at(self, n: float) -> Draft:
        """Return how views at 1:n are drawn."""
        return self.draft(scale_named(n, self.figures.units))


def tables_within(
    brief: Brief, title: str, rows: Sequence[Sequence[str]], most: float = math.inf
) -> list[View]:
    """Return a table in pieces that fit a sheet, no wider than it or than `most` (mm)."""
    within = rows_within(rows, min(brief.room[0] - 0.5, most), brief.style)
    return table_views(title, within, brief.style, brief.rows)


def brief_of(fence: FenceModel, style: Style, picture: bytes | None, *, metres: bool) -> Brief:
    """Return what a set of a fence is made from. metres : instead of millimetres, for those who
    do not build.
    """
    options = fence.job.sheets
    units = Units.FEET if options.units == "ft-in" else Units.MILLIMETRES
    if metres and units is Units.MILLIMETRES:
        units = Units.METRES
    figures = Figures(units, whole=options.decimals == 0)
    return Brief(fence, SIZES[options.size], replace(style, figures=figures), picture)


def fitted_plan(make: Callable[[FenceModel, Draft], View], brief: Brief, largest: float) -> View:
    """Return a plan at the chosen scale, or at the largest at which it fits an empty sheet.

    largest : the plan is not drawn larger than 1:n.
    """
    chosen = brief.fence.job.sheets.plan_scale
    if chosen is not None:
        return make(brief.fence, brief.draft_at(chosen))
    return as_large_as_fits(make, brief, largest)


def as_large_as_fits(
    make: Callable[[FenceModel, Draft], View], brief: Brief, largest: float
) -> View:
    """Return a plan at the largest scale from 1:largest down at which it fits an empty sheet."""
    boxes = free_boxes(brief.size, 2 * BAR_STEP)
    for scale in _from_extents(brief, largest):
        view = make(brief.fence, brief.draft(scale))
        left, low, right, top = bounds(on_paper(view, brief.style))
        if some_hold(boxes, (right - left, top - low)):
            return view
    return view


def fitting_by_extents(brief: Brief, largest: float) -> Scale:
    """Return the scale chosen for plans, or the largest that one may fit at."""
    chosen = brief.fence.job.sheets.plan_scale
    if chosen is not None:
        return scale_named(chosen, brief.figures.units)
    return _from_extents(brief, largest)[0]


def _from_extents(brief: Brief, largest: float) -> list[Scale]:
    """Return scales for a plan without those of which it need not be drawn to know that it does
    not fit; the smallest in any case.
    """
    boxes = free_boxes(brief.size, 2 * BAR_STEP)
    lines = (layout.run.line for layout in brief.fence.layouts)
    xs, ys = zip(*(v[:2] for line in lines for v in line.vertices), strict=True)
    wide, high = SURE * (max(xs) - min(xs)), SURE * (max(ys) - min(ys))
    choices = [scale for scale in scales(brief.figures.units) if scale.n >= largest * 0.96]
    fit = [scale for scale in choices if some_hold(boxes, (wide / scale.n, high / scale.n))]
    return fit or choices[-1:]


def some_hold(boxes: list[Box], size: tuple[float, float]) -> bool:
    """Tell whether any of the free parts of a sheet holds a width and height, mm."""
    return any(box.width >= size[0] and box.height >= size[1] for box in boxes)


def elevations(brief: Brief, *, overall: bool) -> list[View]:
    """Return the front elevations of all runs, cut into parts that fit the paper.

    overall : with the greatest height and the length alone, for a planning drawing.
    """
    draft, parts = elevation_parts(brief)
    views: list[View] = []
    for part in parts:
        draw = partial(elevation, brief.fence, part, overall=overall)
        redrawing = None
        if brief.fence.job.sheets.elevation_scale is None:
            redrawing = brief.redrawing("elevations", LARGEST_IN_FULL, draw)
        views.append(replace(draw(draft), row="elevations", redrawing=redrawing))
    return views


def elevation_parts(brief: Brief) -> tuple[Draft, list[FrontPart]]:
    """Return how the elevations of all runs are drawn, and the parts that fit the paper."""
    width = brief.room[0] - ELEVATION_SIDES
    draft = brief.draft(_elevation_scale(brief, width))
    return draft, [
        part
        for run, layout in enumerate(brief.fence.layouts)
        for front in fronts_of(layout)
        for part in parts_of_front(run, front, width * draft.n)
    ]


def _elevation_scale(brief: Brief, width: float) -> Scale:
    """Return the chosen scale; else as large as the longest leg allows, but a long fence not over
    too many parts.
    """
    fence, units = brief.fence, brief.figures.units
    chosen = fence.job.sheets.elevation_scale
    if chosen is not None:
        return scale_named(chosen, units)
    longest = max(front.length for layout in fence.layouts for front in fronts_of(layout))
    scale = scale_for(longest, width, units, largest=brief.largest_elevation * 0.96)
    total = fence_length(fence)
    for candidate in scales(units):
        large = candidate.n >= brief.largest_elevation * 0.96
        if large and total / candidate.n / width < MOST_PARTS:
            return candidate if candidate.n < scale.n else scale
    return scale
