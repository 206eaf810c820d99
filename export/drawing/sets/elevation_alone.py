"""The front elevations of a fence as one small drawing without a sheet round it."""

from __future__ import annotations

from itertools import islice

from palewright.export.drawing.draft.drafting import Draft
from palewright.export.drawing.draft.figures import Figures, Units
from palewright.export.drawing.draft.paper import bounds
from palewright.export.drawing.draft.scales import scale_for
from palewright.export.drawing.draft.style import Style
from palewright.export.drawing.sheets.recorded import Placed
from palewright.export.drawing.sheets.sheet import Sheet
from palewright.export.drawing.sheets.sheet_frame import Size
from palewright.export.drawing.views.elevation import elevation
from palewright.export.drawing.views.front import fronts_of, parts_of_front
from palewright.export.drawing.writers.svg import write_svg
from palewright.model.basis.text import plain
from palewright.model.fence.fence_model import FenceModel

WIDTH = 380.0
"""For the longest front, mm of paper."""

SMALLEST, LARGEST = 100.0, 20.0
"""Scales 1:n between which the fence is drawn; a longer front is cut into parts."""

MARGIN, BETWEEN = 5.0, 8.0
"""Round the drawing, and from one elevation to the next, mm of paper."""

MOST = 6
"""How many elevations are drawn; of a fence with more the first ones."""


def elevation_svg(fence: FenceModel) -> str:
    """Return the front elevations of a fence one below the other, as SVG for a page."""
    style = Style(figures=Figures(Units(fence.job.sheets.units)))
    parts = [
        (run, front) for run, layout in enumerate(fence.layouts) for front in fronts_of(layout)
    ]
    longest = max(front.length for _, front in parts)
    scale = scale_for(min(longest, WIDTH * SMALLEST), WIDTH, style.figures.units, largest=LARGEST)
    cut = (part for run, front in parts for part in parts_of_front(run, front, WIDTH * scale.n))
    views = [elevation(fence, part, Draft(scale, style), overall=True)
             for part in islice(cut, MOST)]  # fmt: skip
    placed, foot, right = [], -MARGIN, 0.0
    for view in views:
        at_rest = Placed.of(view, (0.0, 0.0), style)
        left, low, far, high = bounds(at_rest.recorded)
        placed.append(Placed(view, (MARGIN - left, foot - high), at_rest.recorded))
        foot += low - high - BETWEEN
        right = max(right, MARGIN + far - left)
    size = Size("", right + MARGIN, BETWEEN - foot - MARGIN)
    lifted = tuple(
        Placed(one.view, (one.at[0], one.at[1] + size.height), one.recorded) for one in placed
    )
    name = plain(fence.job.project.name)
    text = write_svg(Sheet(size, name, lifted), f"{name}: front elevation").decode("utf-8")
    return text[text.index("<svg") :]
