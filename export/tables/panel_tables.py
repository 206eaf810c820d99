"""Tables of bays made in the workshop: panels by mark, their pieces, where each hangs."""

from __future__ import annotations

from palewright.model.basis.units import format_length as mm
from palewright.model.fence.fence_model import FenceModel
from palewright.model.order.panel_lines import panel_lines, panel_parts

from .list_tables import Row, in_units

TITLES = {
    "panels": "Panels",
    "panel-pieces": "Pieces by panel",
    "panel-bays": "Where panels hang",
}
"""What the tables are called in a workbook."""


def panel_tables(fence: FenceModel) -> dict[str, list[Row]]:
    """Return the tables of panels by name; none where no bay is made in the workshop."""
    if not fence.panels:
        return {}
    tables = {
        "panels": _schedule(fence),
        "panel-pieces": _pieces(fence),
        "panel-bays": _bays(fence),
    }
    return {name: in_units(rows, feet=fence.job.feet) for name, rows in tables.items()}


def _schedule(fence: FenceModel) -> list[Row]:
    rows: list[Row] = [
        ("panel", "count", "width mm", "height mm", "diagonal up to the right mm",
         "diagonal up to the left mm", "weight each kg", "fixings a side", "bracket screws",
         "pieces"),
    ]  # fmt: skip
    for line in panel_lines(fence):
        sizes = (line.width, line.height, *line.diagonals)
        rows.append(
            (line.mark, line.count, *(mm(size) for size in sizes), f"{line.weight:.1f}",
             line.fixings, line.screws, line.pieces)
        )  # fmt: skip
    return rows


def _pieces(fence: FenceModel) -> list[Row]:
    rows: list[Row] = [
        ("panel", "mark", "part", "each", "all", "width mm", "thickness mm", "length mm")
    ]
    for part in panel_parts(fence):
        row = (part.panel, part.mark, part.part, part.each, part.all)
        rows.append((*row, *(mm(size) for size in part.size)))
    return rows


def _bays(fence: FenceModel) -> list[Row]:
    rows: list[Row] = [("run", "from", "to", "clear between mm", "panel", "panel width mm")]
    for panel in fence.panels:
        called = fence.layouts[panel.run].run.called
        sizes = mm(panel.clear), panel.mark, mm(panel.width)
        rows.append((called, panel.first, panel.last, *sizes))
    return rows
