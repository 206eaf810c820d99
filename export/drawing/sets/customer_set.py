"""The customer's sheets: a picture with the facts, plan and elevation."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import partial

from palewright.export.drawing.draft.scales import scales
from palewright.export.drawing.draft.style import SYMBOLS
from palewright.export.drawing.draft.view import Line, Picture, View
from palewright.export.drawing.sheets.packing import pack
from palewright.export.drawing.sheets.recorded import Recorded
from palewright.export.drawing.views.bays import typical_bay
from palewright.export.drawing.views.plan import block_plan
from palewright.export.drawing.views.table_views import table_view
from palewright.model.basis.text import plain
from palewright.model.lists.takeoff import (
    fence_height,
    fence_length,
    gate_count,
    pale_count,
    post_count,
)

from .brief import Brief, Groups, elevations, fitted_plan
from .detail_views import BAY, LARGEST, nearest

LARGEST_PLAN, LARGEST_IN_FULL = 100.0, 50.0
"""The plan is not drawn larger than 1:n when not chosen, and where there is room for it."""

MOST_FRONTS = 8
"""So many elevations are shown at most."""


def customer_views(brief: Brief) -> Groups:
    """Return the views of a set for the customer."""
    first = [*_pictures(brief), _facts(brief)]
    return [("proposal", first), ("plan and elevation", _drawn(brief))]


def _drawn(brief: Brief) -> list[View]:
    """Return the plan, the elevation with a gate or the longest, and what else there is room for on
    their sheet: other elevations, and a bay from nearby.
    """
    recorded = Recorded(brief.style)
    fronts = elevations(brief, overall=True)
    shown = {max(range(len(fronts)), key=lambda n: (_leaves(fronts[n]), len(fronts[n].items)))}
    plan = _plan_beside(brief, fronts[min(shown)], recorded)
    bays = list(_bay(brief))

    def views(numbers: set[int], more: Sequence[View] = ()) -> list[View]:
        return [plan, *(fronts[number] for number in sorted(numbers)), *more]

    def on_one(chosen: Sequence[View]) -> bool:
        return len(pack(chosen, brief.size, recorded).sheets) == 1

    for number in range(len(fronts)):
        if len(shown) < MOST_FRONTS and on_one(views(shown | {number})):
            shown.add(number)
    return views(shown, bays) if on_one(views(shown, bays)) else views(shown)


def _bay(brief: Brief) -> Iterator[View]:
    """Yield a bay as it looks from nearby, of the first run that has pales."""
    for run, layout in enumerate(brief.fence.layouts):
        if layout.stretches:
            draw = partial(typical_bay, brief.fence, run, back=False, gap=False)
            yield brief.enlargeable("bay", LARGEST["bay"], draw, nearest(brief, BAY).n)
            return


def _leaves(view: View) -> int:
    """Return how many gate leaves an elevation shows, by the signs of their hanging sides."""
    return sum(isinstance(item, Line) and item.layer == SYMBOLS for item in view.items)


def _pictures(brief: Brief) -> Iterator[View]:
    if brief.picture is None:
        return
    width, height = brief.room
    wide = min(width, (height - 4.0) * 2.0)
    item = Picture(brief.picture, (0.0, 0.0), wide, wide / 2.0)
    yield View("", 1.0, (item,), in_model=False, kind="picture")


def _facts(brief: Brief) -> View:
    fence, figures = brief.fence, brief.figures
    project = fence.job.project
    asked = (("for", project.client), ("site", project.site), ("finish", project.finish))
    length = fence_length(fence)
    high = fence_height(fence)
    facts = [
        ["what", "how much"],
        *([label, plain(text)] for label, text in asked if text),
        [f"length of fence, {figures.note}", f"{figures.text(length)}"],
        [f"highest point over ground, {figures.note}", f"{figures.text(high)}"],
        ["posts", str(post_count(fence))],
        ["pales", str(pale_count(fence))],
        ["gates", str(gate_count(fence))],
    ]
    return table_view("Your fence", facts, brief.style)


def _plan_beside(brief: Brief, other: View, recorded: Recorded) -> View:
    """Return the block plan, as large as leaves room on its sheet for another view."""
    plan = fitted_plan(block_plan, brief, LARGEST_PLAN)
    if brief.fence.job.sheets.plan_scale is not None:
        return plan
    for scale in scales(brief.figures.units):
        if len(pack([plan, other], brief.size, recorded).sheets) == 1:
            break
        if scale.n > plan.scale:
            plan = block_plan(brief.fence, brief.draft(scale))
    redrawing = brief.redrawing("plan", LARGEST_IN_FULL, partial(block_plan, brief.fence))
    return replace(plan, redrawing=redrawing)
