"""Lists and a priced quotation as a spreadsheet, its sums as live formulas."""

from __future__ import annotations

import io
import re
from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal
from typing import Any

import xlsxwriter

from palewright.export.tables.list_tables import Row, bays_table, posts_table
from palewright.export.tables.order_tables import (
    boards_table,
    concrete_table,
    cutting_table,
    fixings_table,
    order_table,
    plans_table,
)
from palewright.model.basis.text import plain
from palewright.model.fence.fence_model import FenceModel
from palewright.model.order.order_lines import Order
from palewright.model.order.prices import PricedLine, Quote

CREATED = datetime(2000, 1, 1)
"""Written into every workbook, so that the same fence gives the same bytes."""

FIGURES = ("count", "quantity", "each", "all", "boards", "pales")
UNITS = ("mm", "m", "m3", "kg", "%")
"""Heads of columns that hold figures, and what such heads end with."""

WIDEST = 48
"""Columns are no wider, in characters."""


def write_workbook(fence: FenceModel, order: Order, quote: Quote | None = None) -> bytes:
    """Return the order, the cutting list and the setting-out as XLSX.

    quote : puts prices and sums on a first sheet; they follow when a quantity, a price, the
    mark-up or margin or the tax is changed.
    """
    out = io.BytesIO()
    book = xlsxwriter.Workbook(out, {"in_memory": True, "strings_to_formulas": False,
                                     "strings_to_urls": False})  # fmt: skip
    name = plain(fence.job.project.name)
    book.set_properties({"title": name, "created": CREATED})
    formats = _formats(book)
    if quote is not None:
        _quotation(book, formats, fence, quote)
    sheets = {
        "Order": order_table(order),
        "Cutting list": cutting_table(fence, order),
        "Boards": boards_table(order),
        "Cutting plans": plans_table(order),
        "Concrete": concrete_table(order),
        "Fixings": fixings_table(order),
        "Setting out": posts_table(fence),
        "Bays": bays_table(fence),
    }
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
    _page(sheet, title, name)
    sheet.freeze_panes(1, 0)
    sheet.repeat_rows(0)
    sheet.print_area(0, 0, len(rows) - 1, len(rows[0]) - 1)


def _page(sheet: Any, title: str, name: str) -> None:
    sheet.set_paper(9)  # A4
    sheet.set_landscape()
    sheet.fit_to_pages(1, 0)
    # an ampersand starts a field there
    sheet.set_header(f"&L{name[:80].replace('&', '&&')}&R{title}")
    sheet.set_footer("&RPage &P of &N")


def _figure(head: str, cell: str | int) -> float | None:
    """Return a cell as a number where its column holds figures, None where it holds words.

    What the user calls a run or an item stays as it is written, "007" and "1e5" too.
    """
    if head not in FIGURES and head.split()[-1] not in UNITS:
        return None
    if isinstance(cell, int):
        return cell
    return float(cell) if re.fullmatch(r"-?\d{1,15}(\.\d{1,15})?", cell) else None


def _quotation(book: Any, formats: dict[str, Any], fence: FenceModel, quote: Quote) -> None:
    """Write the priced order: totals of lines, groups, margin, tax and all, as formulas."""
    sheet = book.add_worksheet("Quotation")
    places = quote.prices.places
    money = "#,##0" + ("." + "0" * places if places else "")
    amount = book.add_format({"num_format": money, "bottom": 1, "bottom_color": "#999999"})
    sums = book.add_format({"num_format": money, "bold": True, "top": 1})
    share = book.add_format({"num_format": '0.##"%"', "bold": True, "top": 1})
    name = plain(fence.job.project.name)
    sheet.write_string(0, 0, name, formats["title"])
    sheet.write_string(1, 0, plain(fence.job.project.site), formats["plain"])
    heads = ("group", "item", "quantity", "unit", f"price {quote.prices.currency}",
             f"total {quote.prices.currency}", "hours each", "hours", "note")  # fmt: skip
    top = 3
    for column, head in enumerate(heads):
        sheet.write_string(top, column, head, formats["head"])
    first = row = top + 1
    for priced in quote.lines:
        _priced_line(sheet, formats, amount, row, priced, places)
        row += 1
    last = row  # of the lines, counted from 1
    for group, total in quote.groups:
        sheet.write_string(row, 1, group, formats["bold"])
        formula = f'=SUMIF(A{first + 1}:A{last},"{group}",F{first + 1}:F{last})'
        sheet.write_formula(row, 5, formula, sums, float(total))
        row += 1
    sheet.write_string(row, 1, "sum", formats["bold"])
    groups = len(quote.groups)
    sheet.write_formula(row, 5, f"=SUM(F{last + 1}:F{last + groups})", sums, float(quote.net))
    worked = sum((p.line.hours * p.line.quantity for p in quote.lines if p.line.hours), Decimal(0))
    if worked:
        sheet.write_formula(row, 7, f"=SUM(H{first + 1}:H{last})", sums, float(worked))
    net = row = row + 1
    prices = quote.prices
    gained = f"F{net}*E{net + 1}/100"
    if prices.margin:  # a share of the price, not of the cost
        gained = f"F{net}*E{net + 1}/(100-E{net + 1})"
    for word, percent, formula, total in (
        (prices.gain_text, prices.margin or prices.mark_up, gained, quote.gain),
        ("tax", prices.tax, f"(F{net}+F{net + 1})*E{net + 2}/100", quote.tax),
    ):
        sheet.write_string(row, 1, word.replace(f" {percent:f} %", ""), formats["bold"])
        sheet.write_number(row, 4, float(percent), share)
        sheet.write_formula(row, 5, f"=ROUND({formula},{places})", sums, float(total))
        row += 1
    sheet.write_string(row, 1, "total", formats["bold"])
    sheet.write_formula(row, 5, f"=F{net}+F{net + 1}+F{net + 2}", sums, float(quote.total))
    for at, sentence in enumerate(quote.unused, row + 2):
        sheet.write_string(at, 1, f"Not used: {sentence}", formats["plain"])
    for column, width in enumerate((10, 46, 10, 8, 12, 14, 10, 8, 40)):
        sheet.set_column(column, column, width)
    _page(sheet, "Quotation", name)
    sheet.freeze_panes(top + 1, 0)
    sheet.repeat_rows(top)
    sheet.print_area(0, 0, row, 8)


def _priced_line(
    sheet: Any, formats: dict[str, Any], amount: Any, row: int, priced: PricedLine, places: int
) -> None:
    """Write a line with its price, its total and its hours as formulas."""
    line = priced.line
    sheet.write_string(row, 0, line.group, formats["text"])
    sheet.write_string(row, 1, line.item, formats["text"])
    sheet.write_number(row, 2, float(line.quantity), formats["figure"])
    sheet.write_string(row, 3, line.unit, formats["text"])
    if priced.price is None or priced.total is None:
        sheet.write_blank(row, 4, None, amount)
    else:
        sheet.write_number(row, 4, float(priced.price), amount)
    formula = f"=ROUND(C{row + 1}*E{row + 1},{places})"
    sheet.write_formula(row, 5, formula, amount, float(priced.total or 0))
    if line.hours is not None:
        sheet.write_number(row, 6, float(line.hours), formats["figure"])
        hours = float(line.hours * line.quantity)
        sheet.write_formula(row, 7, f"=C{row + 1}*G{row + 1}", formats["figure"], hours)
    note = line.note if priced.total is not None else f"{line.note} (no price)".strip()
    sheet.write_string(row, 8, note, formats["text"])
