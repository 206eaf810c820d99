"""The pages of a proposal after its cover: what is offered, alternatives, price, terms, signing."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import Any

from reportlab.lib.units import mm
from reportlab.platypus import (
    CondPageBreak,
    Flowable,
    Image,
    KeepTogether,
    PageBreak,
    Spacer,
    Table,
)

from palewright.model.basis.text import plain, titled_text
from palewright.model.spec.firm_keys import FirmKeys

from .alternatives import Alternative, option_name
from .firm_paper import FAINT, GREY, GUTTER, LABEL, Look
from .offer_terms import (
    OFFER_HOLDS,
    Issue,
    crew_days,
    date_words,
    days_in_all,
    payments,
    price_rows,
    programme,
    tax_name,
    validity_words,
    with_tax_words,
)
from .offer_words import (
    NOTHING,
    Told,
    differing,
    in_imperial,
    money_words,
    offered,
    same_words,
    summary,
)
from .proposal_drawings import drawings

BAR = (16.0 * mm, 1.6)
"""Length and width of the rule over a heading, points."""

DASH = "\u2013"
"""What entries of a list begin with."""

Story = list[Any]


class HeadingRule(Flowable):  # type: ignore[misc]
    """The short rule over a heading."""

    def __init__(self, look: Look, before: float) -> None:
        super().__init__()
        self.look, self.before = look, before
        self.width, self.height = BAR

    def getSpaceBefore(self) -> float:  # noqa: N802
        """Return the room over it, which falls away at the top of a page, points."""
        return self.before

    def wrap(self, wide: float, high: float) -> tuple[float, float]:
        """Return the room that it takes, points."""
        return BAR[0], BAR[1] + 6.0

    def draw(self) -> None:
        """Draw it where the canvas stands."""
        self.canv.setFillColor(self.look.accent)
        self.canv.rect(0.0, 6.0, *BAR, stroke=0, fill=1)


def heading(look: Look, words: str, before: float = 14.0) -> Story:
    """Return a heading with its rule."""
    return [
        HeadingRule(look, before),
        look.para(words, 1.5 * look.size, heading=True, after=4.0, leading=1.25),
    ]


def rows_table(look: Look, rows: Sequence[Told]) -> Table:
    """Return what is told in the grid's two columns: a label, and words."""
    cells = [
        [
            look.para(label, 0.88 * look.size, colour=look.accent, leading=1.42 / 0.88),
            look.para(words),
        ]
        for label, words in rows
    ]
    widths = [LABEL + GUTTER, look.width - LABEL - GUTTER]
    style = [
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LEFTPADDING", (0, 0), (-1, -1), 0),
        ("RIGHTPADDING", (0, 0), (0, -1), GUTTER),
        ("RIGHTPADDING", (1, 0), (1, -1), 0),
        ("TOPPADDING", (0, 0), (-1, -1), 3.2),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 3.6),
        ("LINEBELOW", (0, 0), (-1, -2), 0.5, FAINT),
    ]
    return Table(cells, colWidths=widths, style=style, hAlign="LEFT")


def offered_pages(offer: Alternative, look: Look) -> Story:
    """Return what is offered in words, and how it looks from above and from the front."""
    rows = told_of(offer)
    return [
        *heading(look, "What we offer", 0.0),
        rows_table(look, rows),
        *heading(look, "Plan and front"),
        Spacer(1, 4),
        *drawings(offer.fence, look),
    ]


def told_of(offer: Alternative) -> list[Told]:
    """Return what is offered and has a price, part by part."""
    return offered(offer.fence, offer.order, () if offer.quote is None else offer.quote.unpriced)


def alternatives_table(
    offers: Sequence[Alternative], pictures: Sequence[bytes | None], look: Look
) -> Story:
    """Return alternatives beside each other: picture, name, what differs, price."""
    gutter = 5.0 * mm
    wide = (look.width - gutter * (len(offers) - 1)) / len(offers)
    told = [dict(told_of(one)) for one in offers]
    differ, same = differing(told)
    small = 0.9 * look.size
    seen = [
        Spacer(1, wide / 2.0) if picture is None else Image(reader(picture), wide, wide / 2.0)
        for picture in pictures
    ]
    rows: list[list[Any]] = []
    if any(picture is not None for picture in pictures):
        rows.append(list(seen))
    named = len(rows)  # the names stand again where the table goes on
    rows.append([look.para(titled_text(option_name(one)), 1.2 * look.size, heading=True)
                 for one in offers])  # fmt: skip
    rows.append([look.para(summary(one.fence), small) for one in offers])
    for label in differ:
        cells = []
        for one in told:
            name = look.para(label, 0.8 * look.size, colour=look.accent)
            cells.append([name, look.para(one.get(label, NOTHING), small)])
        rows.append(cells)
    rows.append([_option_price(one, look) for one in offers])
    spaced = [[cell for one in row for cell in (one, "")][:-1] for row in rows]
    widths = [width for _ in offers for width in (wide, gutter)][:-1]
    style: list[Any] = [
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LEFTPADDING", (0, 0), (-1, -1), 0),
        ("RIGHTPADDING", (0, 0), (-1, -1), 0),
        ("TOPPADDING", (0, 0), (-1, -1), 3.0),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 2.0),
    ]
    for column in range(0, 2 * len(offers), 2):
        style.append(("LINEABOVE", (column, len(rows) - 1), (column, len(rows) - 1), 0.8,
                      look.ink))  # fmt: skip
    story = [
        *heading(look, "Your choices"),
        Spacer(1, 3),
        Table(spaced, colWidths=widths, style=style, hAlign="LEFT", repeatRows=(named,)),
    ]
    if same:
        story.append(look.para(same_words(same), small, colour=GREY, before=4.0))
    return story


def _option_price(one: Alternative, look: Look) -> list[Any]:
    assert one.quote is not None
    price = money_words(one.quote.total, one.quote.prices.currency)
    return [
        look.para(price, 1.5 * look.size, heading=True, leading=1.3),
        look.para(with_tax_words(one.quote, one.fence.job), 0.85 * look.size, colour=GREY),
    ]


def price_table(offers: Sequence[Alternative], look: Look) -> Story:
    """Return the price of each alternative in a column: its parts, tax, all."""
    name, many = tax_name(offers[0].fence.job), len(offers) > 1
    columns = [_price_parts(one, name) for one in offers]
    labels = list(dict.fromkeys(label for column in columns for label in column))
    labels.sort(key=(*PARTS, f"Before {name}", *labels).index)
    cells: list[list[Any]] = []
    if many:
        heads = (look.para(titled_text(option_name(one)), right=True) for one in offers)
        cells.append(["", *heads])
    for label in labels:
        amounts = (column.get(label, "") for column in columns)
        cells.append([look.para(label), *(look.para(text, right=True) for text in amounts)])
    big = (1.35 if len(offers) < 3 else 1.1) * look.size
    totals = (money_words(one.quote.total, one.quote.prices.currency)
              for one in offers if one.quote is not None)  # fmt: skip
    cells.append([
        look.para("Price in all", big, heading=True),
        *(look.para(text, big, heading=True, right=True) for text in totals),
    ])  # fmt: skip
    style = [
        ("VALIGN", (0, 0), (-1, -1), "BOTTOM"),
        ("LEFTPADDING", (0, 0), (-1, -1), 0),
        ("RIGHTPADDING", (0, 0), (-1, -1), 0),
        ("TOPPADDING", (0, 0), (-1, -1), 2.6),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 3.0),
        ("LINEBELOW", (0, 0), (-1, -2), 0.5, FAINT),
        ("LINEABOVE", (0, -1), (-1, -1), 1.0, look.ink),
        ("LEFTPADDING", (1, 0), (-1, -1), GUTTER),
    ]
    wide = look.width * (1.0 if many else 0.62)
    first = wide * (0.3 if many else 0.6)
    widths = [first, *[(wide - first) / len(offers)] * len(offers)]
    table = Table(cells, colWidths=widths, style=style, hAlign="LEFT")
    return [KeepTogether([*heading(look, "Prices" if many else "Price"), table])]


PARTS = ("Materials", "Work", "Further items")
"""Parts of a price, in the order in which they stand."""


def _price_parts(offer: Alternative, name: str) -> dict[str, str]:
    """Return what a price is made of, by label. name : of the tax."""
    quote = offer.quote
    assert quote is not None
    rows = [(titled_text(word), amount) for word, amount in price_rows(quote)]
    if quote.prices.tax:
        rows.append((f"Before {name}", quote.before_tax))
        rows.append((f"{titled_text(name)}, {quote.prices.tax:f} %", quote.tax))
    return {label: money_words(amount, quote.prices.currency) for label, amount in rows}


def scope_columns(offer: Alternative, look: Look) -> Story:
    """Return what is in the price and what is not, beside each other."""
    columns = [(words, lines) for words, lines in scope_of(offer) if lines]
    if not columns:
        return []
    cells = [
        [
            look.para(words, 1.1 * look.size, heading=True, after=3.0),
            *(look.para(titled_text(plain(line)), before=2.0, bullet=DASH) for line in lines),
        ]
        for words, lines in columns
    ]
    gutter = 8.0 * mm
    wide = (look.width - gutter) / 2.0
    style = [
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LEFTPADDING", (0, 0), (-1, -1), 0),
        ("RIGHTPADDING", (0, 0), (0, -1), gutter),
        ("RIGHTPADDING", (1, 0), (1, -1), 0),
    ]
    widths = [wide + gutter, wide][: len(cells)]
    table = Table([cells], colWidths=widths, style=style, hAlign="LEFT")
    return [KeepTogether([Spacer(1, 9), table])]


def scope_of(offer: Alternative) -> list[tuple[str, list[str]]]:
    """Return what is in the price and what is not, each under its heading."""
    job = offer.fence.job
    told = job.firm.told if job.firm is not None else None
    within = [*(told.included if told else ()), *job.offer.included]
    without = [*(told.not_included if told else ()), *job.offer.not_included]
    return [("In the price", within), ("Not in the price", without)]


def paragraphs_of(text: str) -> list[str]:
    """Return the paragraphs of a text, which empty lines part."""
    return [part for part in re.split(r"\n\s*\n", text.strip()) if part.strip()]


def terms_pages(offers: Sequence[Alternative], issue: Issue, look: Look) -> Story:
    """Return programme, payment, validity, guarantee, care and terms, as far as they are given."""
    job = offers[0].fence.job
    told = job.firm.told if job.firm is not None else None
    story: Story = []
    stages = [(titled_text(days), plain(what)) for days, what in programme(job)]
    worked = _crew_rows(offers)
    if job.offer.start or stages or worked:
        start = [("Start", plain(job.offer.start))] if job.offer.start else []
        whole = [("In all", f"{days_in_all(job)} days")] if len(stages) > 1 else []
        table = rows_table(look, [*start, *stages, *whole, *worked])
        story.append(KeepTogether([*heading(look, "When"), table]))
    if told is None:
        return story
    rows = _payment_rows(offers, told, issue)
    if rows:
        story.append(KeepTogether([*heading(look, "Payment"), rows_table(look, rows)]))
    if look.apart and (told.guarantee or told.care):
        story.append(PageBreak())
    for words, text in (("Guarantee", told.guarantee), ("Looking after it", told.care)):
        parts = [look.para(part, after=3.0) for part in paragraphs_of(text)]
        if parts:
            story.append(KeepTogether([*heading(look, words), *parts]))
    if told.terms:
        lines = [look.para(plain(line), after=2.0, bullet=DASH) for line in told.terms]
        story.append(KeepTogether([*heading(look, "Please note"), *lines]))
    return story


def _crew_rows(offers: Sequence[Alternative]) -> list[Told]:
    """Return how long the crew works at each alternative, where that follows."""
    told = {
        option_name(one): crew_days(one.fence.job, one.quote)
        for one in offers
        if one.quote is not None
    }
    known = {name: words for name, words in told.items() if words}
    if len(offers) == 1 or (len(set(known.values())) == 1 and len(known) == len(offers)):
        return [("Work", titled_text(next(iter(known.values()))))] if known else []
    words = "; ".join(f"{name}: {text}" for name, text in known.items())
    return [("Work", titled_text(words))] if words else []


DUE = (("Deposit", ", when you accept ({:g} %)"), ("Balance", ""))
"""What is paid, and when."""


def _payment_rows(offers: Sequence[Alternative], told: FirmKeys, issue: Issue) -> list[Told]:
    feet = in_imperial(offers[0].fence)
    rows = []
    for number, (word, when) in enumerate(DUE):
        parts = []
        for one in offers if told.deposit else ():
            assert one.quote is not None
            amount = money_words(payments(one.quote, told)[number], one.quote.prices.currency)
            parts.append(f"{amount} for {option_name(one)}" if len(offers) > 1 else amount)
        if parts:
            rows.append((word, f"{'; '.join(parts)}{when.format(told.deposit)}"))
    if told.payment:
        rows.append(("Terms", plain(told.payment)))
    if told.validity is not None:
        rows.append((OFFER_HOLDS, validity_words(issue.date, told.validity, feet=feet)))
    return rows


def signing(offers: Sequence[Alternative], issue: Issue, look: Look) -> Story:
    """Return where both sign, with boxes to tick for alternatives."""
    project = offers[0].fence.job.project
    told: list[Any] = [*heading(look, "Agreed")]
    number = f" {plain(issue.number)}" if issue.number else ""
    dated = date_words(plain(issue.date), feet=in_imperial(offers[0].fence))
    of_date = f" of {dated}" if dated else ""
    told.append(look.para(
        f"The work of this proposal{number}{of_date} is ordered"
        + (", as ticked:" if len(offers) > 1 else "."), after=4.0,
    ))  # fmt: skip
    if len(offers) > 1:
        told.append(_boxes(offers, look))
    gutter = 10.0 * mm
    wide = (look.width - gutter) / 2.0
    names = (plain(project.client) or "Customer", plain(project.owner) or "Contractor")
    rows: list[list[Any]] = [
        [look.para(f"For {names[0]}", heading=True), "", look.para(f"For {names[1]}", heading=True)]
    ]
    rows += [
        [look.para(word, 0.82 * look.size, colour=GREY), "",
         look.para(word, 0.82 * look.size, colour=GREY)]
        for word in ("Signature", "Name", "Date")
    ]  # fmt: skip
    style = [
        ("VALIGN", (0, 1), (-1, -1), "BOTTOM"),
        ("LEFTPADDING", (0, 0), (-1, -1), 0),
        ("RIGHTPADDING", (0, 0), (-1, -1), 0),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 2.0),
        *(("LINEBELOW", (column, row), (column, row), 0.6, GREY)
          for column in (0, 2) for row in (1, 2, 3)),
    ]  # fmt: skip
    high = [None, 12.0 * mm, 8.5 * mm, 8.5 * mm]
    told.append(
        Table(rows, colWidths=[wide, gutter, wide], rowHeights=high, style=style, hAlign="LEFT")
    )
    return [KeepTogether(told)]


def _boxes(offers: Sequence[Alternative], look: Look) -> Table:
    """Return a line for each alternative with a box to tick and its price."""
    rows = []
    for one in offers:
        assert one.quote is not None
        price = money_words(one.quote.total, one.quote.prices.currency)
        rows.append(["", look.para(titled_text(option_name(one))), look.para(price, right=True)])
    style: list[Any] = [
        ("LEFTPADDING", (0, 0), (0, -1), 0),
        ("VALIGN", (0, 0), (-1, -1), "MIDDLE"),
        *(("BOX", (0, row), (0, row), 0.8, look.ink) for row in range(len(rows))),
    ]
    side = 5.0 * mm
    widths = [side, look.width * 0.45, look.width * 0.2]
    return Table(rows, colWidths=widths, rowHeights=[side + 2.0] * len(rows), style=style,
                 hAlign="LEFT", spaceAfter=6.0)  # fmt: skip


def story_of(
    offers: Sequence[Alternative], pictures: Sequence[bytes | None], issue: Issue, look: Look
) -> Story:
    """Return all pages after the cover."""
    offer, many = offers[0], len(offers) > 1
    story: Story = offered_pages(offer, look)
    if many:
        story += [CondPageBreak(90.0 * mm), *alternatives_table(offers, pictures, look)]
    story += price_table(offers, look)
    for one in offers:
        if one.quote is not None and one.quote.unpriced:
            names = ", ".join(line.item for line in one.quote.unpriced)
            of = f"{titled_text(option_name(one))}: without" if many else "Without"
            story.append(look.para(f"{of} a price, and not in it: {names}.", before=4.0))
    story += scope_columns(offer, look)
    story += terms_pages(offers, issue, look)
    story += signing(offers, issue, look)
    return story


def reader(data: bytes) -> Any:
    """Return a picture as the PDF library takes it."""
    import io

    return io.BytesIO(data)


def columns_of(rows: Sequence[Told]) -> Iterator[Told]:
    """Yield the rows that say something."""
    yield from ((label, words) for label, words in rows if words)
