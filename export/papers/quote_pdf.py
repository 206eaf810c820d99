"""The quotation that a customer gets: picture, what is offered, price, alternatives; PDF on A4."""

from __future__ import annotations

import io
from collections.abc import Sequence
from decimal import Decimal
from html import escape
from typing import Any

from reportlab.lib.enums import TA_LEFT, TA_RIGHT
from reportlab.lib.pagesizes import A4
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.platypus import Image, KeepTogether, Paragraph, SimpleDocTemplate, Spacer, Table

from palewright.export.drawing.draft.style import FONT_FILE
from palewright.export.drawing.writers.pdf import FONT_NAME
from palewright.model.basis.text import plain
from palewright.model.order.order_lines import Group
from palewright.model.order.prices import Quote

from .alternatives import Alternative, compare_table, facts, money_text

WIDTH = A4[0] - 40 * mm - 12.0
"""Of what is printed, points: between the margins and the page frame's padding."""

LINE = (0.6, 0.6, 0.6)

OWN = ("timber bought", "waste of timber", "weight without concrete")
"""Facts that the contractor keeps."""

TERMS = (
    "Posts are set out on site with you before any hole is dug; the line of the boundary is yours "
    "to show.",
    "Before digging, buried services are looked for. What rock, roots or services in the holes "
    "cost besides is agreed first.",
    "Whether the fence needs planning permission, or leave under a covenant or lease, is for you "
    "to ask; the drawings help.",
)


def write_quote(offers: Sequence[Alternative], picture: bytes | None = None) -> bytes:
    """Return the quotation of the first alternative, with a table of all when there are more.

    picture : PNG of the fence, twice as wide as high. Every alternative has a quote.
    """
    pdfmetrics.registerFont(TTFont(FONT_NAME, str(FONT_FILE)))
    offer = offers[0]
    quote = offer.quote
    assert quote is not None
    project = offer.fence.job.project
    out = io.BytesIO()
    title = plain(project.name)
    document = SimpleDocTemplate(
        out, pagesize=A4, leftMargin=20 * mm, rightMargin=20 * mm, topMargin=18 * mm,
        bottomMargin=18 * mm, title=f"Quotation: {title}", author=plain(project.owner),
        creator="palewright", invariant=1,
    )  # fmt: skip
    story: list[Any] = []
    if project.owner:
        story.append(_text(project.owner, 10))
    story += [_text("Quotation", 20, after=2), _text(title, 13, after=6)]
    heads = [
        (word, plain(value))
        for word, value in (
            ("for", project.client),
            ("site", project.site),
            ("reference", project.reference),
            ("date", project.date),
        )
        if value
    ]
    if heads:
        story += [_table([list(row) for row in heads], [30 * mm, WIDTH - 30 * mm]), Spacer(1, 8)]
    if picture is not None:
        story += [Image(io.BytesIO(picture), WIDTH, WIDTH / 2.0), Spacer(1, 8)]
    priced = ("before tax", "with tax", "lines without a price")
    offered = [[n, value] for n, value in facts(offer) if n not in (*OWN, *priced)]
    finish = project.finish or _painted(offer)
    if finish:
        offered.append(["finish", plain(finish)])
    extras = [line.item for line in offer.order.lines if line.group == Group.EXTRAS]
    if extras:
        offered.append(["further items", plain("; ".join(extras))])
    story.append(_section("What is offered", _table(offered, [70 * mm, WIDTH - 70 * mm])))
    story.append(_section("Price", _price(quote)))
    if quote.unpriced:
        names = ", ".join(line.item for line in quote.unpriced)
        story.append(_text(f"Not in the price: {names}.", 9, before=4))
    if len(offers) > 1:
        rows = [[str(cell) for cell in row] for row in compare_table(offers) if row[0] not in OWN]
        first = 48 * mm
        each = (WIDTH - first) / len(offers)
        table = _table(rows, [first, *[each] * len(offers)], head=True)
        story.append(_section("Alternatives", table))
    notes = [_text(f"{number}. {text}", 9) for number, text in enumerate(TERMS, 1)]
    story.append(_section("Please note", *notes))
    document.build(story, onFirstPage=_foot, onLaterPages=_foot)
    return out.getvalue()


def _painted(offer: Alternative) -> str:
    """Return the finishes that are bought, in words; empty where there is none."""
    names = [line.item for line in offer.order.lines if line.group == Group.FINISHES]
    coats = offer.fence.job.painting.coats
    return f"{', '.join(names)}, {coats} coat{'s' if coats > 1 else ''}" if names else ""


def _price(quote: Quote) -> Table:
    """Return the price as a customer sees it: what is added to the cost is in the lines, not one
    of them.
    """
    unit = quote.prices.currency
    share = quote.before_tax / quote.net if quote.net else Decimal(1)
    sums = dict(quote.groups)
    shown = [
        (word, quote.prices.money(sums[group] * share))
        for word, group in (("work", Group.WORK), ("further items", Group.EXTRAS))
        if sums.get(group)
    ]
    rest = quote.before_tax - sum((amount for _, amount in shown), Decimal(0))
    rows = [["materials", money_text(rest, unit)]]
    rows += [[word, money_text(amount, unit)] for word, amount in shown]
    rows += [
        ["before tax", money_text(quote.before_tax, unit)],
        [f"tax, {quote.prices.tax:f} %", money_text(quote.tax, unit)],
        ["total", money_text(quote.total, unit)],
    ]
    return _table(rows, [70 * mm, 40 * mm], total=True)


def _text(
    words: str, size: float, *, before: float = 0.0, after: float = 0.0, right: bool = False
) -> Paragraph:
    style = ParagraphStyle(
        "text", fontName=FONT_NAME, fontSize=size, leading=1.3 * size, spaceBefore=before,
        spaceAfter=after, alignment=TA_RIGHT if right else TA_LEFT,
    )  # fmt: skip
    return Paragraph(escape(plain(words)), style)


def _section(title: str, *parts: Any) -> KeepTogether:
    return KeepTogether([_text(title, 12, before=10, after=4), *parts])


def _table(
    rows: Sequence[Sequence[str]], widths: Sequence[float], *, head: bool = False,
    total: bool = False,
) -> Table:  # fmt: skip
    cells = [
        [_text(cell, 9.5, right=total and column > 0) for column, cell in enumerate(row)]
        for row in rows
    ]
    style: list[tuple[Any, ...]] = [
        ("LINEBELOW", (0, 0), (-1, -1), 0.4, LINE),
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LEFTPADDING", (0, 0), (0, -1), 0),
        ("TOPPADDING", (0, 0), (-1, -1), 2.5),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 2.5),
    ]
    if head:
        style.append(("LINEBELOW", (0, 0), (-1, 0), 1.0, (0, 0, 0)))
    if total:
        style.append(("LINEABOVE", (0, -1), (-1, -1), 1.0, (0, 0, 0)))
    return Table(cells, colWidths=list(widths), style=style, hAlign="LEFT")


def _foot(canvas: Any, document: Any) -> None:
    canvas.saveState()
    canvas.setFont(FONT_NAME, 8)
    canvas.drawRightString(A4[0] - 20 * mm, 10 * mm, f"page {document.page}")
    canvas.restoreState()
