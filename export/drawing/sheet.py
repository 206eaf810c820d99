"""Which views a fence is drawn in, at which scales, and where they stand in model space."""

from __future__ import annotations

from palewright.model.fence import Fence

from .details import head_detail
from .elevation import elevation
from .plan import plan
from .style import SCALES, Style, scale_for
from .view import View

PAPER_WIDTH, PAPER_HEIGHT = 340.0, 240.0
"""What a view may fill on an A3 sheet with its dimensions beside it, mm."""

BETWEEN = 40.0
"""Between the elevations of a drawing, mm on paper."""


def drawing_views(fence: Fence, style: Style) -> tuple[View, ...]:
    """Return the plan, the elevation of every leg and the head details of a fence.

    The plan stands at site coordinates; the elevations stand below it, one under the other, and
    the details to the right of the first.
    """
    points = [p for layout in fence.layouts for p in layout.run.line.vertices]
    west, east = min(p[0] for p in points), max(p[0] for p in points)
    south, north = min(p[1] for p in points), max(p[1] for p in points)
    plan_scale = max(
        scale_for(east - west, PAPER_WIDTH), scale_for(north - south, PAPER_HEIGHT), SCALES[4]
    )
    longest = max(leg.length for layout in fence.layouts for leg in layout.legs)
    scale = max(scale_for(longest, PAPER_WIDTH), SCALES[4])
    views = [plan(fence, plan_scale, style)]
    y = south - 120.0 * plan_scale
    for number, layout in enumerate(fence.layouts):
        x = west
        deepest = max(post.plan.embedment + layout.run.footings.bed for post in layout.posts)
        for leg in range(len(layout.legs)):
            view = elevation(fence, number, leg, scale, style, heights=leg == 0)
            y -= layout.run.height
            views.append(_moved(view, x, y))
            y -= deepest + (3 * style.tier + style.first_tier + BETWEEN) * scale
        detail = head_detail(layout, 5, style)
        right = east + 100.0 * max(scale, plan_scale) + number * 10 * layout.run.pales.width
        views.append(_moved(detail, right, south))
    return tuple(views)


def _moved(view: View, x: float, y: float) -> View:
    return View(view.title, view.scale, view.items, view.blocks, (x, y), view.titled_at)
