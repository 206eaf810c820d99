"""Boards to saw, drawn with their pieces: what the workshop cuts from."""

from __future__ import annotations

from collections.abc import Sequence

from palewright.export.drawing.draft import style as layers
from palewright.export.drawing.draft.lettering import text_width
from palewright.export.drawing.draft.style import Style
from palewright.export.drawing.draft.view import Fill, Item, Line, Text, View
from palewright.export.tables.order_tables import plan_text
from palewright.model.basis.units import format_length as mm
from palewright.model.order.sawing import TimberLine
from palewright.model.order.stock import Board

from .table_views import fitted

BAR, STEP = 4.6, 7.0
"""Height of a board, and from board to board, mm on paper."""

LABEL = 26.0
"""Room for the count and length beside a board, mm on paper."""


def board_views(line: TimberLine, width: float, most: int, style: Style) -> list[View]:
    """Return the boards of a section in views of at most `most` boards; width : mm on paper."""
    boards = line.plan.boards
    count = max(1, -(-len(boards) // most))
    share = -(-len(boards) // count)
    views = []
    for number, start in enumerate(range(0, len(boards), share), 1):
        part = "" if count == 1 else f" ({number} of {count})"
        title = f"Boards {line.section.name}{part}: {plan_text(line)}"
        views.append(_view(title, line, boards[start : start + share], width, style))
    return views


def _view(
    title: str, line: TimberLine, boards: Sequence[Board], width: float, style: Style
) -> View:
    longest = max(board.stock.length for board in line.plan.boards)
    scale = (width - LABEL) / longest
    items: list[Item] = [Text(title, (0.0, 2.0), style.subtitle, layer=layers.SHEET_TEXT)]
    for number, board in enumerate(boards):
        y = -STEP * (number + 1)
        name = f"{board.count} x {mm(board.stock.length)}"
        if board.stock.name:
            name += f" {board.stock.name}"
        text, height = fitted(name, LABEL - 1.0, (style.text, 2.0, 1.8))
        items.append(_text(text, (0.0, y + (BAR - height) / 2.0), height))
        end = LABEL + board.stock.length * scale
        x = LABEL
        for piece in board.pieces:
            wide = piece * scale
            label = f"{mm(piece)}  {line.marks_of(piece)}"
            short = label if text_width(label, style.text) < wide - 1.0 else mm(piece)
            text, height = fitted(short, wide - 1.0, (style.text, 2.0, 1.8))
            at = (x + wide / 2.0, y + (BAR - height) / 2.0)
            items.append(_text(text, at, height, "centre"))
            x += wide
            items.append(Line.through(((x, y), (x, y + BAR)), layers.RULE))
        if end - x > 0.3:
            loop = ((x, y), (end, y), (end, y + BAR), (x, y + BAR))
            items.append(Fill(loop, 0.82))
            left = mm(board.offcut)
            if text_width(left, 2.0) < end - x - 1.0:
                items.append(_text(left, ((x + end) / 2.0, y + (BAR - 2.0) / 2.0), 2.0, "centre"))
        frame = ((LABEL, y), (end, y), (end, y + BAR), (LABEL, y + BAR))
        items.append(Line.through(frame, layers.RULE, closed=True))
    return View("", 1.0, tuple(items), in_model=False, kind=title)


def _text(text: str, at: tuple[float, float], height: float, align: str = "left") -> Text:
    return Text(text, at, height, align, layer=layers.SHEET_TEXT)
