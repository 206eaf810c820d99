"""Dates of revisions: as people write them, and that they do not run backwards."""

from __future__ import annotations

import calendar
import re
from collections.abc import Sequence

from palewright.model.basis.errors import Problem
from palewright.model.spec.paper_keys import Revision

Day = tuple[int, int, int]
"""Year, month, day."""

MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")

YEAR_FIRST = re.compile(r"(\d{4})-(\d{1,2})-(\d{1,2})")
DAY_FIRST = re.compile(r"(\d{1,2})\.\s?(\d{1,2})\.\s?(\d{4})")
EITHER = re.compile(r"(\d{1,2})/(\d{1,2})/(\d{4})")
DAY_NAMED = re.compile(r"(\d{1,2})(?:st|nd|rd|th)? ([a-z]{3,9})\.?,? (\d{4})")
MONTH_NAMED = re.compile(r"([a-z]{3,9})\.? (\d{1,2})(?:st|nd|rd|th)?,? (\d{4})")


def readings(text: str) -> tuple[Day, ...] | None:
    """Return the days that a date may mean, none where there is no such day; None where it is
    written in no form that is known.

    >>> readings("03/04/2026"), readings("2026-02-30"), readings("spring")
    (((2026, 3, 4), (2026, 4, 3)), (), None)
    """
    words = " ".join(text.casefold().split())
    if found := YEAR_FIRST.fullmatch(words):
        year, month, day = (int(part) for part in found.groups())
        return _days((year, month, day))
    if found := DAY_FIRST.fullmatch(words):
        day, month, year = (int(part) for part in found.groups())
        return _days((year, month, day))
    if found := EITHER.fullmatch(words):
        first, second, year = (int(part) for part in found.groups())
        return _days((year, first, second), (year, second, first))
    if found := DAY_NAMED.fullmatch(words):
        return _named(found[3], found[2], found[1])
    if found := MONTH_NAMED.fullmatch(words):
        return _named(found[3], found[1], found[2])
    return None


def _named(year: str, month: str, day: str) -> tuple[Day, ...] | None:
    number = next((n for n, name in enumerate(MONTHS, 1) if month.startswith(name)), None)
    return None if number is None else _days((int(year), number, int(day)))


def _days(*wanted: Day) -> tuple[Day, ...]:
    days = {
        (year, month, day)
        for year, month, day in wanted
        if year >= 1 and 1 <= month <= 12 and 1 <= day <= calendar.monthrange(year, month)[1]
    }
    return tuple(sorted(days))


def revision_problems(revisions: Sequence[Revision]) -> list[Problem]:
    """Return dates that are none, and those before that of an earlier revision however read."""
    problems = []
    before: tuple[Day, Revision] | None = None
    for number, revision in enumerate(revisions):
        days = readings(revision.date)
        if days is None:
            continue
        path = ("revision", number, "date")
        if not days:
            problems.append(Problem(path, f"there is no day '{revision.date}'"))
            continue
        if before is not None and days[-1] < before[0]:
            text = (
                f"'{revision.date}' is before '{before[1].date}' of revision {before[1].index}: "
                "dates of revisions run forwards, as 2026-03-01 then 2026-03-14"
            )
            problems.append(Problem(path, text))
            continue
        before = max(days[0], before[0]) if before else days[0], revision
    return problems
