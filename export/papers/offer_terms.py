"""What an offer says of price, dates and terms, from what the firm and the spec give; no more."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from palewright.model.order.order_lines import Group
from palewright.model.order.prices import Quote
from palewright.model.resolved.job import Job
from palewright.model.spec.firm_keys import FirmKeys

MONTHS = ("January", "February", "March", "April", "May", "June", "July", "August", "September",
          "October", "November", "December")  # fmt: skip


@dataclass(frozen=True)
class Issue:
    """Which paper it is. number : of the quotation; date : as given, empty where none is."""

    number: str = ""
    date: str = ""


def issue_of(job: Job, *, number: str = "", dated: str = "") -> Issue:
    """Return the number and date of a job's quotation. number, dated : in place of the spec's."""
    return Issue(number or job.offer.number, dated or job.offer.date or job.project.date)


def iso_date(text: str) -> date | None:
    """Return a date that is written year-month-day, None for others."""
    if not re.fullmatch(r"\d{4}-\d{2}-\d{2}", text.strip()):
        return None
    try:
        return date.fromisoformat(text.strip())
    except ValueError:
        return None


def date_words(text: str, *, feet: bool = False) -> str:
    """Return a date as people write it; as it was given where it is not year-month-day.

    feet : the month first, as where people build in feet.

    >>> date_words("2026-03-02"), date_words("2026-03-02", feet=True), date_words("in spring")
    ('2 March 2026', 'March 2, 2026', 'in spring')
    """
    day = iso_date(text)
    if day is None:
        return text
    month = MONTHS[day.month - 1]
    return f"{month} {day.day}, {day.year}" if feet else f"{day.day} {month} {day.year}"


def last_day(dated: str, days: int | None) -> date | None:
    """Return the last day of an offer; None where it does not follow from what was given."""
    day = iso_date(dated)
    if day is None or days is None:
        return None
    try:
        return day + timedelta(days)
    except OverflowError:
        return None


def valid_until(dated: str, days: int | None, *, feet: bool = False) -> str:
    """Return the last day of an offer in words; empty where there is none.

    >>> valid_until("2026-03-02", 30), valid_until("", 30)
    ('1 April 2026', '')
    """
    last = last_day(dated, days)
    return date_words(last.isoformat(), feet=feet) if last is not None else ""


OFFER_HOLDS = "This offer holds"
"""What the days are called for which a price is kept."""


def validity_words(dated: str, days: int, *, feet: bool) -> str:
    """Return how long an offer holds: until a day where it has a date, and for how many days.

    >>> validity_words("2026-03-02", 30, feet=False), validity_words("", 1, feet=False)
    ('until 1 April 2026, 30 days', 'for 1 day')
    """
    last = valid_until(dated, days, feet=feet)
    counted = f"{days} day{'' if days == 1 else 's'}"
    return f"until {last}, {counted}" if last else f"for {counted}"


def tax_name(job: Job) -> str:
    """Return what tax is called."""
    return job.firm.told.tax_name if job.firm is not None else "tax"


def with_tax_words(quote: Quote, job: Job) -> str:
    """Return what is said under a price: that tax is in it, or that it is all there is."""
    rate = quote.prices.tax
    return f"with {tax_name(job)}, {rate:f} %" if rate else "in all"


def price_rows(quote: Quote) -> list[tuple[str, Decimal]]:
    """Return the price before tax as a customer sees it: what is added to the cost is in the
    lines, not one of them.
    """
    share = quote.before_tax / quote.net if quote.net else Decimal(1)
    sums = dict(quote.groups)
    shown = [
        (word, quote.prices.money(sums[group] * share))
        for word, group in (("work", Group.WORK), ("further items", Group.EXTRAS))
        if sums.get(group)
    ]
    rest = quote.before_tax - sum((amount for _, amount in shown), Decimal(0))
    return [("materials", rest), *shown]


def payments(quote: Quote, told: FirmKeys) -> tuple[Decimal, Decimal]:
    """Return the deposit, half up to the smallest coin, and what is left."""
    deposit = quote.prices.money(quote.total * Decimal(f"{told.deposit or 0:g}") / 100)
    return deposit, quote.total - deposit


def programme(job: Job) -> list[tuple[str, str]]:
    """Return the stages of the work with the days that they take, counted from the first.

    Days on which nothing is done count too.
    """
    rows = []
    last = 0
    for stage in job.offer.stage:
        first, last = last + 1, last + stage.days
        days = f"day {first}" if first == last else f"days {first} to {last}"
        rows.append((days, stage.what))
        if stage.wait:
            first, last = last + 1, last + stage.wait
            days = f"day {first}" if first == last else f"days {first} to {last}"
            rows.append((days, "No work on site"))
    return rows


def tasks_without_hours(quote: Quote) -> list[str]:
    """Return the tasks of a quotation for which nobody gave hours."""
    tasks = [priced.line for priced in quote.lines if priced.line.group == Group.WORK]
    return [task.item for task in tasks if task.hours is None]


def crew_days(job: Job, quote: Quote) -> str:
    """Return how long the crew works, from the hours of the quotation's lines; empty where no
    crew is given, or hours are missing for a task.
    """
    crew = job.offer.crew
    if crew is None or tasks_without_hours(quote):
        return ""
    hours = math.fsum(
        float(priced.line.hours * priced.line.quantity)
        for priced in quote.lines
        if priced.line.hours is not None
    )
    days = max(1, math.ceil(hours / (crew * job.offer.working_day) - 1e-9))
    many = "a crew of one" if crew == 1 else f"a crew of {crew}"
    plural = "" if days == 1 else "s"
    return f"about {days} working day{plural} of {job.offer.working_day:g} hours for {many}"


def days_in_all(job: Job) -> int:
    """Return the days from the start of the work to its end."""
    return sum(stage.days + stage.wait for stage in job.offer.stage)
