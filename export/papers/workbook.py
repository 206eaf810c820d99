"""Lists and a priced quotation as a spreadsheet, its sums as live formulas."""

from __future__ import annotations

import io
import re
from collections.abc import Sequence
from datetime import datetime
from typing import Any

import xlsxwriter

from palewright.export.tables.list_tables import Row, bays_table, posts_table
from palewright.export.tables.machining_tables import machining_tables
from palewright.export.tables.order_tables import (
    boards_table,
    concrete_table,
    cutting_table,
    fixings_table,
    merchant_table,
    order_table,
    plans_table,
)
from palewright.export.tables.panel_tables import TITLES, panel_tables
from palewright.model.basis.text import plain
from palewright.model.fence.fence_model import FenceModel
from palewright.model.order.order_lines import Order
from palewright.model.order.prices import Quote

from .alternatives import Alternative
from .priced_sheets import print_page, write_prices

CREATED = datetime(2000, 1, 1)
"""Written into every workbook, so that the same fence gives the same bytes."""

FIGURES = ("count", "quantity", "each", "all", "boards", "pales")
UNITS = ("mm", "m", "m3", "kg", "%")
"""Heads of columns that hold figures, and what such heads end with."""

WIDEST = 48
"""Columns are no wider, in characters."""


def write_workbook(
    fence: FenceModel,
    order: Order,
    quote: Quote | None = None,
    offers: Sequence[Alternative] = (),
) -> bytes:
    """Return the order, the cutting list and the setting-out as XLSX.

    quote : puts prices and sums on first sheets, with the work by task; they follow when a
    quantity, a price, the mark-up or margin or the tax is changed; offers : this one and its
    alternatives, each priced, for a sheet that compares them. Nothing is protected.
    """
    out = io.BytesIO()
    book = xlsxwriter.Workbook(out, {"in_memory": True, "strings_to_formulas": False,
                                     "strings_to_urls": False})  # fmt: skip
    name = plain(fence.job.project.name)
    book.set_properties({"title": name, "created": CREATED})
    formats = _formats(book)
    if quote is not None:
        write_prices(book, formats, fence, quote, offers)
    sheets = {
        "Order": order_table(order),
        "Merchant": merchant_table(order),
        "Cutting list": cutting_table(fence, order),
        "Boards": boards_table(order),
        "Cutting plans": plans_table(order),
        "Concrete": concrete_table(order),
        "Fixings": fixings_table(order),
        "Setting out": posts_table(fence),
        "Bays": bays_table(fence),
    }
    sheets |= {TITLES[name]: rows for name, rows in panel_tables(fence).items()}
    sheets |= {name.capitalize(): rows for name, rows in machining_tables(fence).items()}
    for title, rows in sheets.items():
        _list(book, formats, title, rows, name)
    book.close()
    return out.getvalue()


def _formats(book: Any) -> dict[str, Any]:
    line = {"bottom": 1, "bottom_color": "#999999"}
    return {
        "title": book.add_format({"bold": True, "font_size": 14}),
        "head": book.add_format(
            {
                "bold": True,
                "bottom": 2,
                "text_wrap": True,
                "valign": "bottom",
                "bg_color": "#EEEEE6",
            }
        ),
        "text": book.add_format({"valign": "top", "text_wrap": True, **line}),
        "figure": book.add_format({"valign": "top", "align": "right", **line}),
        "plain": book.add_format({}),
        "bold": book.add_format({"bold": True, "top": 1}),
    }


def _list(book: Any, formats: dict[str, Any], title: str, rows: Sequence[Row], name: str) -> None:
    """Write a table with its heads frozen; figures are numbers."""
    sheet = book.add_worksheet(title)
    for column in range(len(rows[0])):
        longest = max(len(str(row[column])) for row in rows[1:]) if len(rows) > 1 else 0
        words = max(len(word) for word in str(rows[0][column]).split())
        sheet.set_column(column, column, min(max(longest, words) + 2, WIDEST))
    for at, row in enumerate(rows):
        for column, cell in enumerate(row):
            number = _figure(str(rows[0][column]), cell) if at else None
            if number is not None:
                sheet.write_number(at, column, number, formats["figure"])
            else:
                sheet.write_string(at, column, str(cell), formats["text" if at else "head"])
    print_page(sheet, title, name)
    sheet.freeze_panes(1, 0)
    sheet.repeat_rows(0)
    sheet.print_area(0, 0, len(rows) - 1, len(rows[0]) - 1)


def _figure(head: str, cell: str | int) -> float | None:
    """Return a cell as a number where its column holds figures, None where it holds words.

    What the user calls a run or an item stays as it is written, "007" and "1e5" too.
    """
    if head not in FIGURES and head.split()[-1] not in UNITS:
        return None
    if isinstance(cell, int):
        return cell
    return float(cell) if re.fullmatch(r"-?\d{1,15}(\.\d{1,15})?", cell) else None
