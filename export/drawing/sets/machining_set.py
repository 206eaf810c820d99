"""What the joiner cuts in each mark: a table of all, and each mark drawn."""

from __future__ import annotations

from palewright.export.drawing.draft.scales import scale_for
from palewright.export.drawing.draft.view import View
from palewright.export.drawing.views.machining_views import machining_views
from palewright.export.tables.machining_tables import machining_table
from palewright.model.basis.imperial import imperial_amount
from palewright.model.lists.machining import MachinedMark, machined_marks
from palewright.model.order.fresh_surfaces import fresh_surfaces
from palewright.model.parts.members import KINDS

from .brief import Brief, Groups, tables_within
from .schedules import Rows

LARGEST, SIDES = 5.0, 40.0
"""Pieces are not drawn larger than 1:n, and the paper beside one for its chain, mm."""


def machining_groups(brief: Brief) -> Groups:
    """Return the views of what is cut in the timber, none where joints are not cut."""
    marks = machined_marks(brief.fence) if brief.fence.job.joinery.cut else ()
    if not marks:
        return []
    rows = [[str(cell) for cell in row] for row in machining_table(brief.fence)]
    views = tables_within(brief, "Machining, each piece as it stands, seen from the front", rows)
    views += tables_within(brief, "Cut surfaces to treat again, two coats", fresh_rows(brief))
    for made in marks:
        views += _drawn(brief, made)
    return [("machining", views)]


def fresh_rows(brief: Brief) -> Rows:
    """Return what is laid open of each mark: its sawn ends, and its holes, mortises and notches."""
    one, unit = imperial_amount(1.0, "m2") if brief.feet else (1.0, "m2")
    rows = [
        ["mark", "part", "no.", "ends each", unit, "holes, mortises each", unit, f"{unit} in all"]
    ]
    for fresh in sorted(fresh_surfaces(brief.fence), key=lambda fresh: KINDS.index(fresh.kind)):
        rows.append(
            [fresh.mark, fresh.kind.name, str(fresh.count), str(fresh.ends),
             f"{fresh.end_area * one:.4f}", str(fresh.cuts or ""),
             f"{fresh.cut_area * one:.4f}" if fresh.cuts else "", f"{fresh.whole * one:.3f}"]
        )  # fmt: skip
    return rows


def _drawn(brief: Brief, made: MachinedMark) -> list[View]:
    low, high = made.piece.extent(made.piece.along)
    width = min(brief.room[0], 260.0) - SIDES
    scale = scale_for(high - low, width, brief.figures.units, largest=LARGEST)
    return machining_views(made, brief.fine_draft(scale))
