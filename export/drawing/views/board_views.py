"""Boards to saw, drawn with their pieces: what the workshop cuts from."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from palewright.export.drawing.draft import style as layers
from palewright.export.drawing.draft.figures import Figures
from palewright.export.drawing.draft.lettering import text_width
from palewright.export.drawing.draft.style import Style
from palewright.export.drawing.draft.view import Fill, Item, Line, Text, View
from palewright.export.tables.order_tables import plan_text
from palewright.model.order.sawing import Section, TimberLine
from palewright.model.order.stock import Board

from .table_views import wrapped

BAR, STEP, WORDS = 4.6, 7.0, 4.4
"""Height of a board, from board to board, and from line to line of words under one, mm on paper."""

LABEL = 26.0
"""Room for the count and length beside a board, mm on paper."""


@dataclass(frozen=True)
class DrawnBoard:
    """A board with what is written of it. name : its count and length; labels : of its pieces,
    empty where they have no room; words : lines under it, which say what has no room.
    """

    board: Board
    name: str
    labels: tuple[str, ...]
    words: tuple[str, ...]

    @property
    def height(self) -> float:
        """Paper that it takes, mm."""
        return STEP + WORDS * len(self.words)


def board_views(line: TimberLine, width: float, room: float, style: Style) -> list[View]:
    """Return the boards of a section in as many views as it takes.

    width, room : of a view, mm on paper.
    """
    if not line.plan.boards:
        return []
    scale = (width - LABEL) / max(board.stock.length for board in line.plan.boards)
    views: list[list[DrawnBoard]] = [[]]
    taken = 0.0
    for board in line.plan.boards:
        drawn = _drawn(line, board, (scale, width), style)
        if views[-1] and taken + drawn.height > room:
            views.append([])
            taken = 0.0
        views[-1].append(drawn)
        taken += drawn.height
    name = section_words(line.section, style.figures)
    made = []
    for number, boards in enumerate(views, 1):
        part = "" if len(views) == 1 else f" ({number} of {len(views)})"
        title = f"Boards {name}{part}: {plan_text(line)}"
        made.append(_view(title, boards, scale, style))
    return made


def section_words(section: Section, figures: Figures) -> str:
    """Return what a section is called, its sizes as a sheet writes them."""
    form = f"{section.form} " if section.form else ""
    sizes = f"{figures.fine(section.large)} x {figures.fine(section.small)}"
    return f"{form}{sizes} {section.use_class}"


def _drawn(line: TimberLine, board: Board, drawn: tuple[float, float], style: Style) -> DrawnBoard:
    """Return what is written of a board. drawn : its scale and the width of the view, mm."""
    scale, width = drawn
    text = style.figures.text
    labels, full = [], []
    for piece in board.pieces:
        label = f"{text(piece)}  {line.marks_of(piece)}"
        full.append(label)
        room = piece * scale - 1.0
        short = (label, text(piece))
        labels.append(next((s for s in short if text_width(s, style.text) <= room), ""))
    name = f"{board.count} x {text(board.stock.length)}"
    given = f" {board.stock.name}" if board.stock.name else ""
    words = ""
    if text_width(name + given, style.text) > LABEL - 1.0:
        words, given = board.stock.name + (": " if labels != full else ""), ""
    if labels != full:
        words += ", ".join(
            f"{count} x {label}" if (count := len(list(same))) > 1 else label
            for label, same in groupby(full)
        )
    lines = wrapped(words, width - LABEL, style.text) if words else []
    return DrawnBoard(board, name + given, tuple(labels), tuple(lines))


def _view(title: str, boards: Sequence[DrawnBoard], scale: float, style: Style) -> View:
    items: list[Item] = [Text(title, (0.0, 2.0), style.subtitle, layer=layers.SHEET_TEXT)]
    y = 0.0
    for drawn in boards:
        items += _board(drawn, y - STEP, scale, style)
        y -= drawn.height
        for number, words in enumerate(reversed(drawn.words)):
            items.append(_text(words, (LABEL, y + WORDS * number + 0.6), style.text))
    return View("", 1.0, tuple(items), in_model=False, kind=title)


def _board(drawn: DrawnBoard, y: float, scale: float, style: Style) -> Iterator[Item]:
    """Yield a board with its pieces, y at its lower edge."""
    board = drawn.board
    middle = y + (BAR - style.text) / 2.0
    yield _text(drawn.name, (0.0, middle), style.text)
    end = LABEL + board.stock.length * scale
    x = LABEL
    for piece, label in zip(board.pieces, drawn.labels, strict=True):
        wide = piece * scale
        if label:
            yield _text(label, (x + wide / 2.0, middle), style.text, "centre")
        x += wide
        yield Line.through(((x, y), (x, y + BAR)), layers.RULE)
    if end - x > 0.3:
        yield Fill(((x, y), (end, y), (end, y + BAR), (x, y + BAR)), 0.82)
        left = style.figures.text(board.offcut)
        if text_width(left, 2.0) < end - x - 1.0:
            yield _text(left, ((x + end) / 2.0, y + (BAR - 2.0) / 2.0), 2.0, "centre")
    frame = ((LABEL, y), (end, y), (end, y + BAR), (LABEL, y + BAR))
    yield Line.through(frame, layers.RULE, closed=True)


def _text(text: str, at: tuple[float, float], height: float, align: str = "left") -> Text:
    return Text(text, at, height, align, layer=layers.SHEET_TEXT)
