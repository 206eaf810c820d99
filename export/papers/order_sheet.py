"""The order sheet for the merchant: what to deliver, where and when; without work and prices."""

from __future__ import annotations

import io
from collections.abc import Sequence
from itertools import groupby
from typing import Any

from reportlab.lib.units import mm
from reportlab.platypus import SimpleDocTemplate, Spacer, Table

from palewright.export.tables.order_tables import merchant_lines, merchant_table
from palewright.model.basis.text import plain, titled_text
from palewright.model.fence.fence_model import FenceModel
from palewright.model.order.order_lines import Order

from .firm_paper import FAINT, GREY, SIDE, Look, contact_lines, draw_logo, look_of, tax_line
from .offer_terms import date_words
from .offer_words import in_imperial
from .proposal_pages import heading, rows_table

COLUMNS = (0.50, 0.14, 0.12, 0.24)
"""Item, quantity, unit and note, as parts of the width."""


def write_order_sheet(fence: FenceModel, order: Order) -> bytes:
    """Return the order sheet as PDF. Its quantities are those of the order."""
    job = fence.job
    look = look_of(job.firm, feet=in_imperial(fence), size=9.0)
    project = job.project
    out = io.BytesIO()
    document = SimpleDocTemplate(
        out, pagesize=look.page, leftMargin=SIDE - 6.0, rightMargin=SIDE - 6.0, topMargin=16.0 * mm,
        bottomMargin=18.0 * mm, title=f"Order: {plain(project.name)}",
        author=plain(project.owner), creator="palewright", invariant=1, lang="en",
    )  # fmt: skip

    def first(canvas: Any, document: Any) -> None:
        _foot(canvas, look, document.page, plain(project.reference))
        if job.firm is not None and job.firm.logo is not None:
            wide, high = look.page
            within = (40.0 * mm, 16.0 * mm)
            draw_logo(canvas, job.firm.logo, (wide - SIDE, high - 15.0 * mm), within, right=True)

    def later(canvas: Any, document: Any) -> None:
        _foot(canvas, look, document.page, plain(project.reference))

    document.build(_story(fence, order, look), onFirstPage=first, onLaterPages=later)
    return out.getvalue()


def _story(fence: FenceModel, order: Order, look: Look) -> list[Any]:
    job = fence.job
    project, to = job.project, job.delivery
    story: list[Any] = [look.para(plain(project.owner), 11.0, heading=True)]
    if job.firm is not None:
        told = [*contact_lines(job.firm.told), tax_line(job.firm.told)]
        story += [look.para(line, 8.0, colour=GREY, leading=1.3) for line in told if line]
    story += [
        Spacer(1, 8.0),
        look.para("Order", 22.0, heading=True, leading=1.2),
        Spacer(1, 4.0),
    ]
    day = date_words(plain(to.date), feet=in_imperial(fence))
    rows = [
        ("To", plain(to.merchant)),
        ("Our reference", plain(project.reference)),
        ("Deliver to", plain(to.address)),
        ("Deliver on", day),
        ("On site", plain(to.contact)),
        ("Note", plain(to.note)),
    ]
    given = [(label, words) for label, words in rows if words]
    story += [rows_table(look, given)] if given else []
    for group, lines in groupby(merchant_table(order)[1:], key=lambda row: row[0]):
        story += heading(look, titled_text(str(group)), 10.0)
        story.append(_lines([[str(cell) for cell in row[1:]] for row in lines], look))
    return story


def _lines(rows: Sequence[Sequence[str]], look: Look) -> Table:
    heads = ("item", "quantity", "unit", "")
    cells: list[list[Any]] = [
        [look.para(head, 7.5, colour=look.accent, right=column == 1)
         for column, head in enumerate(heads)]
    ]  # fmt: skip
    cells += [
        [look.para(cell, right=column == 1) for column, cell in enumerate(row)] for row in rows
    ]
    style = [
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LEFTPADDING", (0, 0), (0, -1), 0),
        ("TOPPADDING", (0, 0), (-1, -1), 1.2),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 1.8),
        ("LINEBELOW", (0, 0), (-1, -1), 0.5, FAINT),
    ]
    widths = [part * look.width for part in COLUMNS]
    return Table(cells, colWidths=widths, style=style, hAlign="LEFT", repeatRows=1)


def _foot(canvas: Any, look: Look, number: int, reference: str) -> None:
    words = "  ·  ".join(part for part in (reference, f"page {number}") if part)
    said = look.para(words, 7.5, colour=GREY, right=True)
    said.wrapOn(canvas, look.width, 30.0)
    said.drawOn(canvas, SIDE, 9.0 * mm)


def delivery_gaps(fence: FenceModel, order: Order) -> list[str]:
    """Return what an order sheet wants that nobody gave, and what of the order is not on it."""
    to = fence.job.delivery
    gaps = [
        f"delivery.{key} ({words})"
        for key, words in (
            ("merchant", "whom it is for"),
            ("address", "where to deliver"),
            ("date", "when to deliver"),
        )
        if not getattr(to, key)
    ]
    there = merchant_lines(order)
    own = [x.item for x in order.lines if x not in there and x.group == "extras"]
    if own:
        gaps.append(f"{', '.join(own)} (yours to order; merchant = true puts an extra on it)")
    return gaps
