"""Tables and notes as views in paper space: rules and text at full size."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from palewright.export.drawing.draft import style as layers
from palewright.export.drawing.draft.lettering import text_width
from palewright.export.drawing.draft.style import Style
from palewright.export.drawing.draft.view import Item, Line, Text, View

ROW, PAD = 5.2, 1.4
"""Height of a row, and room beside its text, mm."""

Cells = Sequence[str]


def table_view(title: str, rows: Sequence[Cells], style: Style) -> View:
    """Return a table, its first row the head; (0, 0) is its upper left corner."""
    columns = len(rows[0])
    widths = [
        max(text_width(row[column], style.text) for row in rows) + 2 * PAD
        for column in range(columns)
    ]
    edges = [math.fsum(widths[:number]) for number in range(columns + 1)]
    items: list[Item] = []
    if title:
        items.append(Text(title, (0.0, 2.0), style.subtitle, layer=layers.SHEET_TEXT))
    for number in range(len(rows) + 1):
        y = -ROW * number
        items.append(Line.through(((0.0, y), (edges[-1], y)), layers.RULE))
    for x in edges:
        items.append(Line.through(((x, 0.0), (x, -ROW * len(rows))), layers.RULE))
    figures = [_are_figures([row[column] for row in rows[1:]]) for column in range(columns)]
    for number, row in enumerate(rows):
        y = -ROW * number - (ROW + style.text) / 2.0
        for column, cell in enumerate(row):
            figure = number > 0 and figures[column]
            x = edges[column + 1] - PAD if figure else edges[column] + PAD
            align = "right" if figure else "left"
            items.append(Text(cell, (x, y), style.text, align, layer=layers.SHEET_TEXT))
    return View("", 1.0, tuple(items), in_model=False, kind=title)


def table_views(title: str, rows: Sequence[Cells], style: Style, most: int) -> list[View]:
    """Return a table in pieces of at most `most` rows under the head; none of a head alone."""

    def recut(most: int, width: float) -> list[View]:
        return _pieces(title, rows_within(rows, width, style), style, most)

    return [replace(view, recut=recut) for view in _pieces(title, rows, style, most)]


def _pieces(title: str, rows: Sequence[Cells], style: Style, most: int) -> list[View]:
    """Return the pieces of a table; rows that go on with the one before stay with it."""
    head, body = rows[0], rows[1:]
    if not body:
        return []
    share = -(-len(body) // -(-len(body) // most))
    pieces: list[Sequence[Cells]] = []
    while body:
        end = share
        while 1 < end < len(body) and not body[end][0]:
            end -= 1
        end = end if end > 1 else share
        pieces.append(body[:end])
        body = body[end:]
    if len(pieces) == 1:
        return [table_view(title, rows, style)]
    views = [
        table_view(f"{title} ({number} of {len(pieces)})", [head, *piece], style)
        for number, piece in enumerate(pieces, 1)
    ]
    return [replace(view, row=title) for view in views]


def rows_within(rows: Sequence[Cells], width: float, style: Style) -> list[list[str]]:
    """Return rows as a table no wider than `width` (mm): what is too long in its widest columns
    goes on in further rows. A column is never narrower than its head or than a word.
    """
    heads = [text_width(cell, style.text) + 2 * PAD for cell in rows[0]]
    columns = range(len(heads))
    full = [max(text_width(row[c], style.text) for row in rows) + 2 * PAD for c in columns]
    if math.fsum(full) <= width:
        return [list(row) for row in rows]
    most = max(full)
    while (
        most > 0.0
        and math.fsum(max(h, min(f, most)) for h, f in zip(heads, full, strict=True)) > width
    ):
        most -= 1.0
    caps = [max(head, most) - 2 * PAD for head in heads]
    made = [list(rows[0])]
    for row in rows[1:]:
        cells = [wrapped(row[c], caps[c], style.text) for c in columns]
        for line in range(max(len(lines) for lines in cells)):
            made.append([lines[line] if line < len(lines) else "" for lines in cells])
    return made


def notes_view(title: str, notes: Sequence[str], width: float, style: Style) -> View:
    """Return numbered notes wrapped to a width (mm); (0, 0) is the upper left corner."""
    items: list[Item] = [Text(title, (0.0, 2.0), style.subtitle, layer=layers.SHEET_TEXT)]
    y = -style.text - 1.0
    for number, note in enumerate(notes, 1):
        for place, line in enumerate(wrapped(note, width - 7.0, style.text)):
            if place == 0:
                items.append(Text(f"{number}", (0.0, y), style.text, layer=layers.SHEET_TEXT))
            items.append(Text(line, (7.0, y), style.text, layer=layers.SHEET_TEXT))
            y -= 1.6 * style.text
        y -= 0.5 * style.text
    return View("", 1.0, tuple(items), in_model=False, kind=title)


def wrapped(text: str, width: float, height: float) -> list[str]:
    """Return text broken into lines no wider than `width`; a word alone may be wider."""
    lines: list[str] = []
    line = ""
    for word in text.split():
        longer = f"{line} {word}".strip()
        if line and text_width(longer, height) > width:
            lines.append(line)
            line = word
        else:
            line = longer
    return [*lines, line]


def fitted(text: str, width: float, heights: Sequence[float]) -> tuple[str, float]:
    """Return text with the first height at which it is no wider than `width`.

    What is too long even at the last height is cut off with an ellipsis.
    """
    for height in heights:
        if text_width(text, height) <= width:
            return text, height
    height = heights[-1]
    while text and text_width(text + "…", height) > width:
        text = text[:-1]
    return text.rstrip() + "…", height


def _are_figures(cells: Sequence[str]) -> bool:
    """Tell whether a column has figures alone, which stand under each other by their ends."""
    return all(letter in "0123456789.-/'\" " for cell in cells for letter in cell)
