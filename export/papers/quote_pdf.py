"""The quotation that a customer gets: picture, what is offered, price, alternatives; PDF."""

from __future__ import annotations

import io
from collections.abc import Sequence
from typing import Any

from reportlab.lib.units import mm
from reportlab.platypus import Image, KeepTogether, SimpleDocTemplate, Spacer, Table

from palewright.model.basis.text import plain, titled_text
from palewright.model.order.order_lines import Group
from palewright.model.order.prices import Quote
from palewright.model.spec.firm_keys import FirmKeys

from .alternatives import Alternative, compare_table, facts, money_text
from .firm_paper import GREY, Look, contact_lines, draw_logo, look_of, tax_line
from .offer_terms import Issue, date_words, issue_of, payments, price_rows, tax_name, valid_until
from .offer_words import in_imperial
from .proposal_pages import DASH, paragraphs_of, scope_of

MARGIN = 20.0 * mm
"""Of the pages at their sides, points."""

LINE = (0.6, 0.6, 0.6)

OWN = ("timber bought", "waste of timber", "weight without concrete")
"""Facts that the contractor keeps."""


def write_quote(
    offers: Sequence[Alternative], picture: bytes | None = None, issue: Issue | None = None
) -> bytes:
    """Return the quotation of the first alternative, with a table of all when there are more.

    picture : PNG of the fence, twice as wide as high; issue : number and date where they are not
    the spec's. Every alternative has a quote.
    """
    job = offers[0].fence.job
    look = look_of(job.firm, feet=in_imperial(offers[0].fence))
    paper = _Paper(look, look.page[0] - 2.0 * MARGIN - 12.0)
    issued = issue or issue_of(job)
    out = io.BytesIO()
    title = plain(job.project.name)
    document = SimpleDocTemplate(
        out, pagesize=look.page, leftMargin=MARGIN, rightMargin=MARGIN, topMargin=18 * mm,
        bottomMargin=18 * mm, title=f"Quotation: {title}", author=plain(job.project.owner),
        creator="palewright", invariant=1,
    )  # fmt: skip

    def first(canvas: Any, document: Any) -> None:
        paper.foot(canvas, document)
        if job.firm is not None and job.firm.logo is not None:
            wide, high = look.page
            within = (50.0 * mm, 20.0 * mm)
            draw_logo(canvas, job.firm.logo, (wide - MARGIN, high - 16.0 * mm), within, right=True)

    story = [*_head(offers[0], issued, paper), *_body(offers, picture, paper)]
    story += _terms(offers[0], issued, paper)
    document.build(story, onFirstPage=first, onLaterPages=paper.foot)
    return out.getvalue()


def _head(offer: Alternative, issue: Issue, paper: _Paper) -> list[Any]:
    """Return whose quotation it is, of what and for whom."""
    project, firm = offer.fence.job.project, offer.fence.job.firm
    story: list[Any] = [paper.text(project.owner, 10)] if project.owner else []
    if firm is not None:
        told = [*contact_lines(firm.told), tax_line(firm.told), firm.told.registered]
        story += [paper.text(line, 8, colour=GREY) for line in told if line]
        story.append(Spacer(1, 8))
    words = f"Quotation {issue.number}".strip()
    story += [paper.text(words, 20, after=2, heading=True)]
    story += [paper.text(project.name, 13, after=6, heading=True)]
    heads = [
        [word, plain(value)]
        for word, value in (
            ("for", project.client),
            ("site", project.site),
            ("reference", project.reference),
            ("date", date_words(issue.date, feet=in_imperial(offer.fence))),
        )
        if value
    ]
    if heads:
        story += [paper.table(heads, [30 * mm, paper.width - 30 * mm]), Spacer(1, 8)]
    return story


def _body(offers: Sequence[Alternative], picture: bytes | None, paper: _Paper) -> list[Any]:
    """Return the picture, what is offered, its price, and alternatives."""
    offer = offers[0]
    quote = offer.quote
    assert quote is not None
    story: list[Any] = []
    if picture is not None:
        story += [Image(io.BytesIO(picture), paper.width, paper.width / 2.0), Spacer(1, 8)]
    priced = ("before tax", "with tax", "lines without a price")
    offered = [[n, value] for n, value in facts(offer) if n not in (*OWN, *priced)]
    finish = offer.fence.job.project.finish or _painted(offer)
    if finish:
        offered.append(["finish", plain(finish)])
    extras = [
        line.item
        for line in offer.order.lines
        if line.group == Group.EXTRAS and line not in quote.unpriced
    ]
    if extras:
        offered.append(["further items", plain("; ".join(extras))])
    widths = [70 * mm, paper.width - 70 * mm]
    story.append(paper.section("What is offered", paper.table(offered, widths)))
    story.append(paper.section("Price", _price(quote, tax_name(offer.fence.job), paper)))
    if quote.unpriced:
        names = ", ".join(line.item for line in quote.unpriced)
        story.append(paper.text(f"Not in the price: {names}.", 9, before=4))
    if len(offers) > 1:
        rows = [[str(cell) for cell in row] for row in compare_table(offers) if row[0] not in OWN]
        first = 48 * mm
        each = (paper.width - first) / len(offers)
        table = paper.table(rows, [first, *[each] * len(offers)], head=True)
        story.append(paper.section("Alternatives", table))
    return story


def _terms(offer: Alternative, issue: Issue, paper: _Paper) -> list[Any]:
    """Return the firm's own terms; of no firm's file what this offer alone says."""
    job, quote = offer.fence.job, offer.quote
    assert quote is not None
    told = job.firm.told if job.firm is not None else FirmKeys(name="none")
    unit = quote.prices.currency
    rows = []
    if told.deposit:
        deposit, balance = (money_text(amount, unit) for amount in payments(quote, told))
        rows += [["deposit", f"{deposit}, when you accept ({told.deposit:g} %)"]]
        rows += [["balance", balance]]
    rows += [["payment", plain(told.payment)]] if told.payment else []
    if told.validity is not None:
        last = valid_until(issue.date, told.validity, feet=in_imperial(offer.fence))
        rows.append(["offer holds", f"until {last}" if last else f"for {told.validity} days"])
    story: list[Any] = []
    if rows:
        table = paper.table(rows, [40 * mm, paper.width - 40 * mm])
        story.append(paper.section("Terms", table))
    for title, lines in (*scope_of(offer), ("Please note", told.terms)):
        if lines:
            items = (paper.text(titled_text(t), 9, bullet=DASH) for t in lines)
            story.append(paper.section(title, *items))
    for title, words in (("Guarantee", told.guarantee), ("Care", told.care)):
        if words:
            parts = (paper.text(titled_text(t), 9) for t in paragraphs_of(words))
            story.append(paper.section(title, *parts))
    return story


def _painted(offer: Alternative) -> str:
    """Return the finishes that are bought, in words; empty where there is none."""
    names = [line.item for line in offer.order.lines if line.group == Group.FINISHES]
    coats = offer.fence.job.painting.coats
    return f"{', '.join(names)}, {coats} coat{'s' if coats > 1 else ''}" if names else ""


def _price(quote: Quote, name: str, paper: _Paper) -> Table:
    """Return the price as a customer sees it. name : of the tax."""
    unit = quote.prices.currency
    rows = [[word, money_text(amount, unit)] for word, amount in price_rows(quote)]
    if quote.prices.tax:
        rows += [
            [f"before {name}", money_text(quote.before_tax, unit)],
            [f"{name}, {quote.prices.tax:f} %", money_text(quote.tax, unit)],
        ]
    rows.append(["total", money_text(quote.total, unit)])
    return paper.table(rows, [70 * mm, 40 * mm], total=True)


class _Paper:
    """How the quotation is set. width : of what is printed, within margins and padding, points."""

    def __init__(self, look: Look, width: float) -> None:
        self.look, self.width = look, width

    def text(self, words: str, size: float, **told: Any) -> Any:
        """Return a paragraph."""
        return self.look.para(plain(words), size, leading=1.3, **told)

    def section(self, title: str, *parts: Any) -> KeepTogether:
        """Return parts under a title."""
        return KeepTogether([self.text(title, 12, before=10, after=4, heading=True), *parts])

    def table(
        self, rows: Sequence[Sequence[str]], widths: Sequence[float], *, head: bool = False,
        total: bool = False,
    ) -> Table:  # fmt: skip
        """Return rows with rules. head, total : the first or the last row is one."""
        cells = [
            [self.text(cell, 9.5, right=total and column > 0) for column, cell in enumerate(row)]
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

    def foot(self, canvas: Any, document: Any) -> None:
        """Draw the number of a page."""
        canvas.saveState()
        canvas.setFont(self.look.text, 8)
        wide = self.look.page[0]
        canvas.drawRightString(wide - MARGIN, 10 * mm, f"page {document.page}")
        canvas.restoreState()
