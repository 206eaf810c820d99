"""The workshop's papers: boards to saw, the cutting list, spacers, heads and tops, gates."""

from __future__ import annotations

from palewright.export.drawing.draft.view import View
from palewright.export.drawing.views.board_views import board_views
from palewright.export.drawing.views.table_views import table_views
from palewright.model.order.order_lines import Order, order

from .brief import Brief, Groups, tables_within
from .cutting_list import cutting_views
from .detail_views import details
from .gate_leaves import leaf_groups
from .key_set import key_views
from .machining_set import machining_groups
from .panel_sheets import panel_groups, schedule_rows
from .schedules import stop_rows

BOARDS_WIDTH, MOST_HEIGHT = 185.0, 98.0
"""Width and greatest height of a drawing of boards, mm on paper."""


def workshop_views(brief: Brief) -> Groups:
    """Return the views of a set for the workshop."""
    fence = brief.fence
    return [
        ("boards, cutting list, spacers", _lists(brief, order(fence))),
        ("heads and tops", list(details(brief, ("head", "post-top")))),
        ("marks", key_views(brief)),
        *panel_groups(brief),
        *leaf_groups(brief),
        *machining_groups(brief),
    ]


def _lists(brief: Brief, bought: Order) -> list[View]:
    """Return boards to saw, the cutting list, spacers and stops."""
    width, height = brief.room
    views: list[View] = []
    for line in bought.timber:
        room = min(height - 14.0, MOST_HEIGHT)
        views += board_views(line, min(width, BOARDS_WIDTH), room, brief.style)
    views += cutting_views(brief, bought)
    views += tables_within(brief, "Panels to make", schedule_rows(brief))
    stops = stop_rows(brief.fence, brief.figures)
    views += table_views("Spacers and stops", stops, brief.style, brief.rows)
    return views
