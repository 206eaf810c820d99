"""What the joiner cuts in each mark: a table of all, and each mark drawn."""

from __future__ import annotations

from palewright.export.drawing.draft.scales import scale_for
from palewright.export.drawing.draft.view import View
from palewright.export.drawing.views.machining_views import machining_views
from palewright.export.tables.machining_tables import machining_table
from palewright.model.lists.machining import MachinedMark, machined_marks

from .brief import Brief, Groups, tables_within

LARGEST, SIDES = 5.0, 40.0
"""Pieces are not drawn larger than 1:n, and the paper beside one for its chain, mm."""


def machining_groups(brief: Brief) -> Groups:
    """Return the views of what is cut in the timber, none where joints are not cut."""
    marks = machined_marks(brief.fence) if brief.fence.job.joinery.cut else ()
    if not marks:
        return []
    rows = [[str(cell) for cell in row] for row in machining_table(brief.fence)]
    views = tables_within(brief, "Machining, each piece as it stands, seen from the front", rows)
    for made in marks:
        views += _drawn(brief, made)
    return [("machining", views)]


def _drawn(brief: Brief, made: MachinedMark) -> list[View]:
    low, high = made.piece.extent(made.piece.along)
    width = min(brief.room[0], 260.0) - SIDES
    scale = scale_for(high - low, width, brief.figures.units, largest=LARGEST)
    return machining_views(made, brief.fine_draft(scale))
