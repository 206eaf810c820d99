"""Lines of levels as the page of a level book: readings, rises and falls, and how they add up."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from palewright.model.basis.text import plain
from palewright.model.survey.level_lines import BookLine, BookRow

HEADING = ("point", "back", "inter", "fore", "rise", "fall", "level", "adjusted")
WIDTH, MOST_ROWS = 9, 60
"""Characters of a column, and rows of a line that are shown."""


def book_text(book: Sequence[BookLine]) -> list[str]:
    """Return the lines of levels as rows of text, metres to a millimetre.

    Under each line stand the sums: back sights less fore sights, rises less falls, and last level
    less first, which are one figure.
    """
    words: list[str] = []
    for number, line in enumerate(book, 1):
        words.append(f"levels, line {number}, m:")
        words += [f"  {row}" for row in _rows(line)]
    return words


def _rows(line: BookLine) -> Iterator[str]:
    yield _row(HEADING)
    for row in line.rows[:MOST_ROWS]:
        yield _row(_cells(row))
    if len(line.rows) > MOST_ROWS:
        yield f"and {len(line.rows) - MOST_ROWS} more"
    (back, fore), (rise, fall) = line.sights, line.rises_and_falls
    yield _row(("sums", _m(back), "", _m(fore), _m(rise), _m(fall), "", ""))
    yield (
        f"check: back less fore {_m(back - fore)}, rises less falls {_m(rise - fall)}, "
        f"last less first {_m(line.change)}"
    )


def _cells(row: BookRow) -> tuple[str, ...]:
    rise = row.rise
    return (
        plain(row.point)[:20],
        _m(row.back),
        _m(row.intermediate),
        _m(row.fore),
        _m(rise if rise is not None and rise >= 0.0 else None),
        _m(-rise if rise is not None and rise < 0.0 else None),
        _m(row.level),
        _m(row.adjusted),
    )


def _row(cells: Sequence[str]) -> str:
    return f"{cells[0]:<{WIDTH}}" + "".join(f"{cell:>{WIDTH}}" for cell in cells[1:])


def _m(value: float | None) -> str:
    """Return mm in metres; empty for nothing."""
    return "" if value is None else f"{value / 1000.0 + 0.0:.3f}"
