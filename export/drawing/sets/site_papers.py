"""What the workshop and the site work from: boards, figures to mark out and set out by, steps."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from palewright.export.drawing.draft.figures import Figures
from palewright.export.drawing.draft.style import Style
from palewright.export.drawing.draft.view import View
from palewright.export.drawing.views.board_views import STEP, board_views
from palewright.export.drawing.views.table_views import ROW, notes_view, table_view, table_views
from palewright.export.tables.list_tables import rail_tops_text, span_text
from palewright.export.tables.order_tables import concrete_table, cutting_table, fixings_table
from palewright.model.fence.fence_model import FenceModel
from palewright.model.lists.setting_out import STEPS, diagonals, offsets, stop_lines
from palewright.model.lists.takeoff import station_lines
from palewright.model.order.order_lines import Order

Cells = list[list[str]]


def workshop_lists(
    fence: FenceModel, order: Order, size: tuple[float, float], style: Style, figures: Figures
) -> list[View]:
    """Return boards to saw, the cutting list, spacers and stops; size : free on a sheet, mm."""
    width, height = size
    views: list[View] = []
    most = max(4, int((height - 14.0) / STEP) - 1)
    for line in order.timber:
        views += board_views(line, min(width, 185.0), min(most, 14), style)
    rows = max(5, int((height - 12.0) / ROW) - 1)
    views += table_views("Cutting list", _cutting(fence, order), style, rows)
    views += table_views("Spacers and stops", _stops(fence, figures), style, rows)
    return views


def site_lists(
    fence: FenceModel, order: Order, size: tuple[float, float], style: Style, figures: Figures
) -> list[View]:
    """Return posts to set out, diagonals, spacers, concrete, fixings and the order of work."""
    rows = max(5, int((size[1] - 12.0) / ROW) - 1)
    views = table_views("Posts", _posts(fence, figures), style, rows)
    corners = diagonals(fence)
    if corners:
        cells = [["corner", "to", "", "and to", "", "across"]]
        for one in corners:
            first, last = (figures.text(side) for side in one.sides)
            cells.append([one.corner, one.first, first, one.last, last, figures.text(one.across)])
        views.append(table_view("Diagonals, post middle to post middle, level", cells, style))
    views += table_views("Spacers and stops", _stops(fence, figures), style, rows)
    if order.concrete.footings:
        views += table_views("Concrete", _cells(concrete_table(order)), style, rows)
    views += table_views("Fixings", _cells(fixings_table(order)), style, rows)
    views.append(notes_view("Order of work", STEPS, 175.0, style))
    heavy = order.weights.heavy
    if heavy:
        note = f"Over 25 kg each, for two people or a machine: {', '.join(heavy)}."
        views.append(notes_view("Lifting", [note], 175.0, style))
    return views


def _cells(rows: Sequence[Sequence[str | int]]) -> Cells:
    return [[str(cell) for cell in row] for row in rows]


def _cutting(fence: FenceModel, order: Order) -> Cells:
    """Return the cutting list without what the bench does not ask, in short words."""
    rows = [row[:-1] for row in _cells(cutting_table(fence, order))]
    for row in rows:
        cuts = row[7].replace(" degrees", "°").replace(" off square", "")
        row[7] = cuts.replace(" end cut", "")
    return rows


def _stops(fence: FenceModel, figures: Figures) -> Cells:
    text = figures.text
    rows = [["run", "from", "to", "pales", "spacer", "foot below rail top", "top above rail top"]]
    for line in stop_lines(fence):
        below, above = (_span(span, text) for span in (line.below, line.above))
        rows.append(
            [line.run, line.first, line.last, str(line.pales), text(line.gap), below, above]
        )
    return rows


def _span(span: tuple[float, float], text: Callable[[float], str]) -> str:
    low, high = span
    return text(low) if high - low < 0.5 else span_text(span, text)


def _posts(fence: FenceModel, figures: Figures) -> Cells:
    """Return the setting-out of every post as the site needs it."""
    text, origin = figures.text, fence.job.origin
    unit = " (m)" if figures.in_metres(origin) else ""
    rows = [
        ["post", "mark", "chainage", "middle behind string", f"east{unit}", f"north{unit}", "hole",
         "hole depth", f"hole bottom{unit}", f"post top{unit}", "rail tops over ground"]
    ]  # fmt: skip
    behind: dict[str, float] = {}
    for layout in fence.layouts:
        behind |= offsets(layout)
    for line in station_lines(fence):
        places = (line.east, line.north, line.hole_bottom, line.top_level)
        east, north, bottom, top = (figures.site(place, origin) for place in places)
        rows.append(
            [line.label, line.mark, text(line.chainage), text(behind.get(line.label, 0.0)), east,
             north, line.hole, text(line.hole_depth), bottom if line.hole else "", top,
             rail_tops_text(line, text)]
        )  # fmt: skip
    return rows
