"""The priced sheets of a workbook: quotation, work by task, sums and options, in live formulas."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from palewright.model.basis.text import plain
from palewright.model.fence.fence_model import FenceModel
from palewright.model.order.order_lines import Group
from palewright.model.order.prices import PricedLine, Quote

from .alternatives import Alternative, option_name

Formats = dict[str, Any]


@dataclass(frozen=True)
class PricedSheet:
    """Where the figures of a priced sheet stand. title : of the sheet; first, last : rows of its
    lines; net : row of the cost, gain, tax and total under it; all counted from 1.
    """

    title: str
    quote: Quote
    first: int
    last: int
    net: int

    def cell(self, column: str, row: int) -> str:
        """Return a cell as other sheets name it."""
        return f"'{self.title}'!{column}{row}"

    @property
    def hours(self) -> Decimal:
        """Hours of all tasks that have any."""
        lines = (p.line for p in self.quote.lines)
        return sum((line.hours * line.quantity for line in lines if line.hours), Decimal(0))


def write_prices(
    book: Any, formats: Formats, fence: FenceModel, quote: Quote, offers: Sequence[Alternative]
) -> None:
    """Write the quotation, the alternatives' own sheets, the work by task, and sums of all."""
    first = _quotation(book, formats, fence, quote, "Quotation")
    sheets, names = [first], [option_name(offers[0]) if offers else "this fence"]
    for number, one in enumerate(offers[1:], 2):
        if one.quote is not None:
            sheets.append(_quotation(book, formats, one.fence, one.quote, f"Option {number}"))
            names.append(option_name(one))
    name = plain(fence.job.project.name)
    _labour(book, formats, first, name)
    _sums(book, formats, sheets, [plain(told) for told in names], name)


def _quotation(
    book: Any, formats: Formats, fence: FenceModel, quote: Quote, title: str
) -> PricedSheet:
    """Write the priced order: totals of lines, groups, margin, tax and all, as formulas."""
    sheet = book.add_worksheet(title)
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
    print_page(sheet, title, name)
    sheet.freeze_panes(top + 1, 0)
    sheet.repeat_rows(top)
    sheet.print_area(0, 0, row, 8)
    return PricedSheet(title, quote, first + 1, last, net)


def _priced_line(
    sheet: Any, formats: Formats, amount: Any, row: int, priced: PricedLine, places: int
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


def _money(book: Any, quote: Quote) -> tuple[Any, Any]:
    """Return the formats of amounts and of sums."""
    places = quote.prices.places
    money = "#,##0" + ("." + "0" * places if places else "")
    return (
        book.add_format({"num_format": money, "bottom": 1, "bottom_color": "#999999"}),
        book.add_format({"num_format": money, "bold": True, "top": 1}),
    )


def _labour(book: Any, formats: Formats, priced: PricedSheet, name: str) -> None:
    """Write the work by task: quantities, hours and prices as the quotation has them."""
    rows = [
        (number, one)
        for number, one in enumerate(priced.quote.lines, priced.first)
        if one.line.group == Group.WORK or one.line.hours is not None
    ]
    if not rows:
        return
    sheet = book.add_worksheet("Labour")
    amount, sums = _money(book, priced.quote)
    unit = priced.quote.prices.currency
    heads = ("task", "quantity", "unit", "hours each", "hours", f"price {unit}", f"total {unit}")
    for column, head in enumerate(heads):
        sheet.write_string(0, column, head, formats["head"])
    for at, (number, one) in enumerate(rows, 1):
        line = one.line
        cells: tuple[tuple[int, str, Any, Decimal | None], ...] = (
            (1, "C", formats["figure"], line.quantity),
            (3, "G", formats["figure"], line.hours),
            (4, "H", formats["figure"], None if line.hours is None else line.hours * line.quantity),
            (5, "E", amount, one.price),
            (6, "F", amount, one.total),
        )
        sheet.write_string(at, 0, line.item, formats["text"])
        sheet.write_string(at, 2, line.unit, formats["text"])
        for column, source, form, value in cells:
            if value is None:
                sheet.write_blank(at, column, None, form)
            else:
                sheet.write_formula(
                    at, column, f"={priced.cell(source, number)}", form, float(value)
                )
    end = len(rows) + 1
    sheet.write_string(end, 0, "sum", formats["bold"])
    hours = sum((one.line.hours * one.line.quantity for _, one in rows if one.line.hours),
                Decimal(0))  # fmt: skip
    paid = sum((one.total or Decimal(0) for _, one in rows), Decimal(0))
    sheet.write_formula(end, 4, f"=SUM(E2:E{end})", sums, float(hours))
    sheet.write_formula(end, 6, f"=SUM(G2:G{end})", sums, float(paid))
    sheet.write_string(end + 2, 0, "people", formats["text"])
    sheet.write_string(end + 3, 0, "hours in a day", formats["text"])
    sheet.write_string(end + 4, 0, "days: fill in the two above", formats["bold"])
    people, day = f"B{end + 3}", f"B{end + 4}"
    for row in (end + 2, end + 3):
        sheet.write_blank(row, 1, None, formats["figure"])
    sheet.write_formula(end + 4, 1, f'=IF({people}*{day}>0,E{end + 1}/({people}*{day}),"")', sums,
                        "")  # fmt: skip
    for column, width in enumerate((34, 10, 8, 11, 10, 12, 14)):
        sheet.set_column(column, column, width)
    print_page(sheet, "Labour", name)
    sheet.freeze_panes(1, 0)
    sheet.print_area(0, 0, end + 4, 6)


def _sums(
    book: Any, formats: Formats, sheets: Sequence[PricedSheet], names: Sequence[str], name: str
) -> None:
    """Write cost, mark-up, margin, tax and price of each option beside each other."""
    sheet = book.add_worksheet("Options")
    amount, sums = _money(book, sheets[0].quote)
    share = book.add_format({"num_format": '0.00"%"', "bottom": 1, "bottom_color": "#999999"})
    labels = (
        "cost", "added to it", "mark-up on cost", "margin of the price", "price before tax", "tax",
        "price with tax", "more than the first", "hours of work",
    )  # fmt: skip
    sheet.write_string(0, 0, f"amounts in {sheets[0].quote.prices.currency}".strip(),
                       formats["head"])  # fmt: skip
    for row, label in enumerate(labels, 1):
        sheet.write_string(row, 0, label, formats["bold" if row == 7 else "text"])
    for number, (one, told) in enumerate(zip(sheets, names, strict=True), 1):
        letter = chr(ord("A") + number)
        sheet.write_string(0, number, told, formats["head"])
        quote = one.quote
        net = quote.net or Decimal(1)
        before = quote.before_tax or Decimal(1)
        cells = (
            (f"={one.cell('F', one.net)}", amount, quote.net),
            (f"={one.cell('F', one.net + 1)}", amount, quote.gain),
            (f"=IF({letter}2=0,0,100*{letter}3/{letter}2)", share, 100 * quote.gain / net),
            (f"=IF({letter}6=0,0,100*{letter}3/{letter}6)", share, 100 * quote.gain / before),
            (f"={letter}2+{letter}3", amount, quote.before_tax),
            (f"={one.cell('F', one.net + 2)}", amount, quote.tax),
            (f"={letter}6+{letter}7", sums, quote.total),
            (f"={letter}8-$B$8", amount, quote.total - sheets[0].quote.total),
            (f"=SUM({one.cell('H', one.first)}:H{one.last})", amount, one.hours),
        )
        for row, (formula, form, value) in enumerate(cells, 1):
            sheet.write_formula(row, number, formula, form, float(value))
        sheet.set_column(number, number, 22)
    sheet.set_column(0, 0, 26)
    print_page(sheet, "Options", name)
    sheet.freeze_panes(1, 1)
    sheet.print_area(0, 0, len(labels), len(sheets))


def print_page(sheet: Any, title: str, name: str) -> None:
    """Set how a sheet is printed: A4, across, with its title and numbered."""
    sheet.set_paper(9)  # A4
    sheet.set_landscape()
    sheet.fit_to_pages(1, 0)
    # an ampersand starts a field there
    sheet.set_header(f"&L{name[:80].replace('&', '&&')}&R{title}")
    sheet.set_footer("&RPage &P of &N")
