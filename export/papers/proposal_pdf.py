"""The proposal by which a customer says yes: a cover, and two or three pages, as PDF."""

from __future__ import annotations

import io
from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any

from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import BaseDocTemplate, Frame, NextPageTemplate, PageBreak, PageTemplate

from palewright.export.drawing.writers.pdf import as_bytes, draw_marks
from palewright.model.basis.errors import OutputError
from palewright.model.basis.text import plain, titled_text

from .alternatives import Alternative, option_name
from .firm_paper import (
    FOOT,
    GREY,
    LOGO_HIGH,
    LOGO_WIDE,
    SIDE,
    TOP,
    Look,
    contact_lines,
    draw_logo,
    look_of,
    tax_line,
)
from .offer_terms import Issue, date_words, issue_of, tax_name, valid_until
from .offer_words import Told, in_imperial, money_words, summary
from .proposal_drawings import front_views
from .proposal_pages import columns_of, reader, story_of

FEWEST, MOST = 2, 4
"""Pages of a proposal."""

SIZES_OF_TEXT = (9.5, 9.0, 8.5, 8.0)
"""Sizes of text that are tried until all stands on so many pages, points."""

MOST_OFFERS = 4
"""Alternatives that have room beside each other."""

HEAD = 46.0 * mm
"""From a cover's top edge to its picture, points."""


def write_proposal(
    offers: Sequence[Alternative],
    picture: bytes | None = None,
    issue: Issue | None = None,
    closer: Sequence[bytes | None] = (),
) -> bytes:
    """Return the proposal of the first alternative, the others beside it.

    picture : PNG of the first for the cover, closer : of each from near, where there are several;
    all twice as wide as high; issue : the number and date of the quotation where they are not the
    spec's. Every alternative has a quote.

    Raises
    ------
    OutputError
        When there are too many alternatives, or the texts are too long for its pages.
    """
    if len(offers) > MOST_OFFERS:
        raise OutputError(f"a proposal shows at most {MOST_OFFERS} alternatives, not {len(offers)}")
    shown = [picture, *[*closer, *[None] * len(offers)][: len(offers)]]
    stand_ins = [None if one is None else _dot() for one in shown]
    job = offers[0].fence.job
    issued = issue or issue_of(job)
    for size in SIZES_OF_TEXT:
        look = look_of(job.firm, feet=in_imperial(offers[0].fence), size=size)
        _, count = _document(offers, stand_ins, issued, look, 0)
        if count <= MOST:
            fuller = _document(offers, stand_ins, issued, replace(look, apart=True), 0)[1]
            look = replace(look, apart=fuller == count)  # a last page that is not all but empty
            return _document(offers, shown, issued, look, count)[0]
    raise OutputError(
        f"the proposal takes {count} pages at the smallest text, of {MOST}; shorten the texts of "
        "the firm's file, or give fewer alternatives"
    )


def _dot() -> bytes:
    """Return a picture of one dot, to count pages with."""
    from PIL import Image

    out = io.BytesIO()
    Image.new("RGB", (1, 1)).save(out, "PNG")
    return out.getvalue()


def _document(
    offers: Sequence[Alternative],
    pictures: Sequence[bytes | None],
    issue: Issue,
    look: Look,
    count: int,
) -> tuple[bytes, int]:
    """Return a proposal and how many pages it has. pictures : of the cover, then of each; count :
    of the pages, as their feet say it.
    """
    out = io.BytesIO()
    project = offers[0].fence.job.project
    document = BaseDocTemplate(
        out, pagesize=look.page, title=f"Proposal: {plain(project.name)}",
        author=plain(project.owner), creator="palewright", invariant=1, lang="en",
    )  # fmt: skip
    high = look.page[1]
    frame = Frame(SIDE, FOOT, look.width, high - TOP - FOOT, 0, 0, 0, 0)

    def cover(canvas: Canvas, document: Any) -> None:
        draw_cover(canvas, offers, pictures[0], issue, look)

    def inner(canvas: Canvas, document: Any) -> None:
        _draw_edges(canvas, offers[0], issue, look, f"{document.page} / {count}")

    document.addPageTemplates(
        [
            PageTemplate("cover", [frame], onPage=cover),
            PageTemplate("inner", [frame], onPage=inner),
        ]
    )
    story = [NextPageTemplate("inner"), PageBreak(), *story_of(offers, pictures[1:], issue, look)]
    with as_bytes():
        document.build(story)
    return out.getvalue(), document.page


def _draw_edges(
    canvas: Canvas, offer: Alternative, issue: Issue, look: Look, numbered: str
) -> None:
    """Draw the head and the foot of a page."""
    job = offer.fence.job
    wide, high = look.page
    firm = job.firm
    if firm is not None and firm.logo is not None:
        draw_logo(canvas, firm.logo, (SIDE, high - 11.0 * mm), (30.0 * mm, 9.5 * mm))
    else:
        _line(canvas, look, plain(job.project.owner), (SIDE, high - 17.0 * mm), heading=True)
    said = ", ".join(text for text in (plain(job.project.name), plain(issue.number)) if text)
    _line(canvas, look, said, (wide - SIDE, high - 17.0 * mm), right=True)
    told = firm.told if firm is not None else None
    parts = [plain(job.project.owner)]
    parts += [told.telephone, told.email] if told is not None else []
    _line(canvas, look, "  ·  ".join(part for part in parts if part), (SIDE, 11.0 * mm))
    _line(canvas, look, numbered, (wide - SIDE, 11.0 * mm), right=True)


def _line(
    canvas: Canvas, look: Look, words: str, at: tuple[float, float], *, right: bool = False,
    heading: bool = False,
) -> None:  # fmt: skip
    """Draw a small line of words. at : its left or right end."""
    room = look.width * (0.4 if heading else 0.72)
    said = look.para(words, 7.5, colour=GREY, right=right, heading=heading, leading=1.2)
    said.wrapOn(canvas, room, 40.0)
    said.drawOn(canvas, at[0] - (room if right else 0.0), at[1])


def draw_cover(
    canvas: Canvas, offers: Sequence[Alternative], picture: bytes | None, issue: Issue, look: Look
) -> None:
    """Draw the cover: whose proposal it is, the fence, for whom, and the price."""
    from reportlab.lib.utils import ImageReader

    wide, high = look.page
    _letterhead(canvas, offers[0], look)
    y = high - HEAD
    if picture is not None:
        canvas.drawImage(ImageReader(reader(picture)), 0.0, y - wide / 2.0, wide, wide / 2.0)
        y -= wide / 2.0
    else:
        shown = front_views(offers[0].fence, look, 1)[0].shown
        canvas.saveState()
        canvas.translate(SIDE, y - shown.height * mm)
        draw_marks(canvas, shown.marks)
        canvas.restoreState()
        y -= (shown.height + 10.0) * mm
    canvas.setFillColor(look.accent)
    canvas.rect(0.0, y - 2.4 * mm, wide, 2.4 * mm, stroke=0, fill=1)
    project = offers[0].fence.job.project
    y = _down(canvas, look, "PROPOSAL", y - 14.0 * mm, 8.5, colour=look.accent)
    y = _down(canvas, look, project.name, y - 1.0 * mm, 25.0, heading=True, leading=1.12)
    if project.site:
        y = _down(canvas, look, project.site, y - 2.0 * mm, 12.0, colour=GREY)
    y = _down(canvas, look, summary(offers[0].fence), y - 3.0 * mm, 11.0)
    _columns(canvas, look, _cover_facts(offers, issue), 47.0 * mm)
    firm = offers[0].fence.job.firm
    if firm is not None:
        legal = "  ·  ".join(t for t in (firm.told.registered, tax_line(firm.told)) if t)
        _line(canvas, look, legal, (SIDE, 11.0 * mm))


def _letterhead(canvas: Canvas, offer: Alternative, look: Look) -> None:
    """Draw the logo or the name at the left, and how the firm is reached at the right."""
    wide, high = look.page
    firm, owner = offer.fence.job.firm, plain(offer.fence.job.project.owner)
    top = high - 15.0 * mm
    lines = contact_lines(firm.told) if firm is not None else []
    if firm is not None and firm.logo is not None:
        draw_logo(canvas, firm.logo, (SIDE, top), (LOGO_WIDE, LOGO_HIGH))
        lines = [owner, *lines]
    elif owner:
        _down(canvas, look, owner, top, 15.0, heading=True, room=0.55)
    y = top
    for number, line in enumerate(lines):
        said = look.para(line, 8.0, colour=look.ink if not number else GREY, right=True,
                         leading=1.3)  # fmt: skip
        room = look.width * 0.42
        _, taken = said.wrapOn(canvas, room, 100.0)
        y -= taken
        said.drawOn(canvas, wide - SIDE - room, y)


def _down(canvas: Canvas, look: Look, words: str, y: float, size: float, **told: Any) -> float:
    """Draw a paragraph under y and return where it ends. told : see Look.para; room : share of
    the width.
    """
    room = look.width * told.pop("room", 0.86)
    said = look.para(words, size, **told)
    _, taken = said.wrapOn(canvas, room, 400.0)
    said.drawOn(canvas, SIDE, y - taken)
    return float(y - taken)


def _cover_facts(offers: Sequence[Alternative], issue: Issue) -> list[Told]:
    """Return what stands at the foot of the cover, the price last."""
    offer = offers[0]
    job, quote, feet = offer.fence.job, offer.quote, in_imperial(offer.fence)
    assert quote is not None
    told = job.firm.told if job.firm is not None else None
    until = valid_until(issue.date, told.validity, feet=feet) if told is not None else ""
    named = f", {option_name(offer)}" if len(offers) > 1 else ""
    price = f"Price with {tax_name(offer.fence.job)}" if quote.prices.tax else "Price"
    return [
        *columns_of(
            [
                (FOR, plain(job.project.client)),
                ("Number", plain(issue.number)),
                ("Date", date_words(plain(issue.date), feet=feet)),
                ("Holds until", until),
            ]
        ),
        (titled_text(f"{price}{named}"), money_words(quote.total, quote.prices.currency)),
    ]


def _columns(canvas: Canvas, look: Look, facts: Sequence[Told], low: float) -> None:
    """Draw facts beside each other in columns under a rule, the last one large. low : where the
    rule stands, higher where names take more lines than one.
    """
    wide, _ = look.page
    *small, (label, price) = facts
    last = 0.3 * look.width
    shares = [1.6 if name == FOR else 1.0 for name, _ in small]
    each = (look.width - last) / max(1.0, sum(shares))
    columns: list[tuple[float, float, Told, float]] = []
    x = SIDE
    for share, told in zip(shares, small, strict=True):
        columns.append((x, share * each - 4.0 * mm, told, 10.0))
        x += share * each
    columns.append((wide - SIDE - last, last, (label, price), 20.0))
    draw: Callable[..., Any] = look.para
    drawn = []
    for x, room, (name, words), size in columns:
        head = draw(name, 7.5, colour=look.accent, leading=1.3)
        said = draw(words, size, heading=size > 12.0, leading=1.25)
        heights = head.wrapOn(canvas, room, 60.0)[1], said.wrapOn(canvas, room, 80.0)[1]
        drawn.append((x, head, said, *heights))
    tallest = max(high + taken for *_, high, taken in drawn)
    y = max(low, tallest + 5.5 * mm + CLEAR_OF_FOOT)
    canvas.setStrokeColor(look.ink)
    canvas.setLineWidth(0.8)
    canvas.line(SIDE, y, wide - SIDE, y)
    for x, head, said, high, taken in drawn:
        head.drawOn(canvas, x, y - 4.0 * mm - high)
        said.drawOn(canvas, x, y - 5.5 * mm - high - taken)


FOR = "Prepared for"
"""What stands over the customer's name, which is longer than numbers and dates."""

CLEAR_OF_FOOT = 18.0 * mm
"""From a cover's lower edge to the facts over its last line, points."""
