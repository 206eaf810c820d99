"""The workshop's papers: boards to saw, the cutting list, spacers, heads and tops, gates."""

from __future__ import annotations

from palewright.export.drawing.draft.view import View
from palewright.export.drawing.views.board_views import STEP, board_views
from palewright.export.drawing.views.table_views import table_views
from palewright.export.tables.order_tables import cutting_table
from palewright.model.fence.fence_model import FenceModel
from palewright.model.order.order_lines import Order, order

from .brief import Brief, Groups
from .detail_views import details
from .gate_leaves import leaf_groups
from .schedules import Rows, as_text, stop_rows

BOARDS_WIDTH, MOST_BOARDS = 185.0, 14
"""Width of a drawing of boards, mm on paper, and most boards in one."""


def workshop_views(brief: Brief) -> Groups:
    """Return the views of a set for the workshop."""
    fence = brief.fence
    return [
        ("boards, cutting list, spacers", _lists(brief, order(fence))),
        ("heads and tops", list(details(brief, ("head", "post-top")))),
        ("gate leaves", leaf_groups(brief)),
    ]


def _lists(brief: Brief, bought: Order) -> list[View]:
    """Return boards to saw, the cutting list, spacers and stops."""
    width, height = brief.room
    views: list[View] = []
    most = max(4, int((height - 14.0) / STEP) - 1)
    for line in bought.timber:
        views += board_views(line, min(width, BOARDS_WIDTH), min(most, MOST_BOARDS), brief.style)
    cutting, stops = _cutting(brief.fence, bought), stop_rows(brief.fence, brief.figures)
    views += table_views("Cutting list", cutting, brief.style, brief.rows)
    views += table_views("Spacers and stops", stops, brief.style, brief.rows)
    return views


def _cutting(fence: FenceModel, bought: Order) -> Rows:
    """Return the cutting list without what the bench does not ask, in short words."""
    rows = [row[:-1] for row in as_text(cutting_table(fence, bought))]
    for row in rows:
        cuts = row[7].replace(" degrees", "°").replace(" off square", "")
        row[7] = cuts.replace(" end cut", "")
    return rows
