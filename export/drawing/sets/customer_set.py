"""The customer's sheets: a picture with the facts, plan and elevation."""

from __future__ import annotations

from collections.abc import Iterator

from palewright.export.drawing.draft.scales import scales
from palewright.export.drawing.draft.style import SYMBOLS
from palewright.export.drawing.draft.view import Line, Picture, View
from palewright.export.drawing.sheets.sheet import pack
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

LARGEST_PLAN = 100.0
"""The plan is not drawn larger than 1:n when not chosen."""


def customer_views(brief: Brief) -> Groups:
    """Return the views of a set for the customer."""
    shown = max(elevations(brief, overall=True), key=lambda view: (_leaves(view), len(view.items)))
    first = [*_pictures(brief), _facts(brief)]
    return [
        ("proposal", first),
        ("plan and elevation", [_plan_beside(brief, shown), shown]),
    ]


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


def _plan_beside(brief: Brief, other: View) -> View:
    """Return the block plan, as large as leaves room on its sheet for another view."""
    plan = fitted_plan(block_plan, brief, LARGEST_PLAN)
    if brief.fence.job.sheets.plan_scale is not None:
        return plan
    for scale in scales(brief.figures.units):
        if len(pack([plan, other], brief.size, brief.style)) == 1:
            break
        if scale.n > plan.scale:
            plan = block_plan(brief.fence, brief.draft(scale))
    return plan
