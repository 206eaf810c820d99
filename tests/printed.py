"""What a set of sheets has printed on it, read back from its DXF: tables, views, figures, words.

Nothing is measured on the drawing: of its geometry only table rules are used, to tell cells apart,
and the places of words and figures, to tell which view they belong to.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

import ezdxf
from ezdxf.layouts import Paperspace

Spot = tuple[float, float]


@dataclass(frozen=True)
class PrintedTable:
    """A table. sheet : its number from 0; rows : of cells, under a head."""

    title: str
    sheet: int
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True)
class PrintedView:
    """A view. title : with its scale; words : texts under it and in it; level, upright : figures
    of dimensions by their direction, from left to right and from below up.
    """

    title: str
    sheet: int
    words: tuple[str, ...]
    level: tuple[str, ...]
    upright: tuple[str, ...]


@dataclass(frozen=True)
class PrintedSet:
    """All that a set has printed on it."""

    tables: tuple[PrintedTable, ...]
    views: tuple[PrintedView, ...]

    def table(self, title: str) -> list[dict[str, str]]:
        """Return the rows of a table by what its title starts with, each by its head; of a table
        in parts all of them. A row whose first cell is empty goes on with the one before.
        """
        rows: list[dict[str, str]] = []
        for table in self.tables:
            if not table.title.startswith(title):
                continue
            for cells in table.rows:
                row = dict(zip(table.head, cells, strict=True))
                if cells[0]:
                    rows.append(row)
                else:
                    rows[-1] = {head: f"{rows[-1][head]} {row[head]}".strip() for head in row}
        return rows

    def view(self, title: str) -> PrintedView:
        """Return the first view whose title matches a pattern from its start."""
        return next(view for view in self.views if re.match(title, view.title))

    @cached_property
    def words(self) -> str:
        """All words in views."""
        return "\n".join(word for view in self.views for word in view.words)


def read_printed(path: Path) -> PrintedSet:
    """Return what is printed on the sheets of a DXF."""
    doc = ezdxf.readfile(path)
    texts = [
        (text.dxf.text, at_of(text), text.dxf.height) for text in doc.modelspace().query("TEXT")
    ]
    figures = [
        (_figure(dimension), tuple(dimension.dxf.text_midpoint)[:2], dimension.dxf.angle % 180.0)
        for dimension in doc.modelspace().query("DIMENSION")
    ]
    tables: list[PrintedTable] = []
    views: list[PrintedView] = []
    for number, name in enumerate(doc.layouts.names()[1:]):
        layout = doc.layouts.get(name)
        assert isinstance(layout, Paperspace)
        tables += _tables(layout, number)
        for port in layout.query("VIEWPORT"):
            if port.dxf.id == 1 or port.dxf.layer == "VIEWPORTS":
                continue
            x, y = tuple(port.dxf.view_center_point)[:2]
            high = port.dxf.view_height / 2.0
            wide = high * port.dxf.width / port.dxf.height
            box = (x - wide, y - high, x + wide, y + high)
            own = [text for text in texts if _in(text[1], box)]
            seen = [figure for figure in figures if _in(figure[1], box)]
            heights = [height for _, _, height in own]
            title = next((text for text, _, height in own if height == max(heights)), "")
            upright = sorted((at[1], f) for f, at, angle in seen if abs(angle - 90.0) < 1.0)
            level = sorted((at[0], f) for f, at, angle in seen if angle < 1.0)
            views.append(
                PrintedView(title, number, tuple(text for text, _, _ in own),
                            tuple(f for _, f in level), tuple(f for _, f in upright))
            )  # fmt: skip
    return PrintedSet(tuple(tables), tuple(views))


def at_of(text: ezdxf.entities.DXFEntity) -> Spot:
    """Return where a text is placed."""
    spot = text.dxf.align_point if text.dxf.hasattr("align_point") else text.dxf.insert
    return float(spot[0]), float(spot[1])


def _figure(dimension: ezdxf.entities.DXFEntity) -> str:
    """Return what a dimension has written on it."""
    (text,) = (e for e in dimension.virtual_entities() if e.dxftype() in ("MTEXT", "TEXT"))
    return str(text.plain_text() if text.dxftype() == "MTEXT" else text.dxf.text)


def _in(spot: Spot, box: tuple[float, float, float, float]) -> bool:
    return box[0] <= spot[0] <= box[2] and box[1] <= spot[1] <= box[3]


def _tables(layout: Paperspace, number: int) -> Iterator[PrintedTable]:
    """Yield the tables of a sheet: rules that cross, with words between them."""
    level: dict[tuple[float, float], list[float]] = defaultdict(list)
    upright: dict[tuple[float, float], list[float]] = defaultdict(list)
    for line in layout.query("LINE"):
        (x0, y0, _), (x1, y1, _) = line.dxf.start, line.dxf.end
        if abs(y0 - y1) < 1e-6:
            level[_near(min(x0, x1)), _near(max(x0, x1))].append(y0)
        elif abs(x0 - x1) < 1e-6:
            upright[_near(min(y0, y1)), _near(max(y0, y1))].append(x0)
    texts = [(text.dxf.text, *at_of(text), text.dxf.height) for text in layout.query("TEXT")]
    for (low, high), xs in upright.items():
        for (left, right), ys in level.items():
            edges = sorted(x for x in set(xs) if left - 0.01 <= x <= right + 0.01)
            rules = sorted((y for y in set(ys) if low - 0.01 <= y <= high + 0.01), reverse=True)
            whole = len(rules) > 2 and len(edges) > 1
            if not whole or edges[0] > left + 0.01 or edges[-1] < right - 0.01:
                continue
            if rules[0] < high - 0.01 or rules[-1] > low + 0.01:
                continue
            cells = [["" for _ in edges[1:]] for _ in rules[1:]]
            title = ""
            for text, x, y, _ in texts:
                row = sum(1 for rule in rules if rule > y) - 1
                column = sum(1 for edge in edges if edge < x) - 1
                if 0 <= row < len(cells) and 0 <= column < len(cells[0]) and text:
                    cells[row][column] += text
                elif abs(x - left) < 0.01 and 0.0 < y - high < 3.0:
                    title = text
            yield PrintedTable(title, number, tuple(cells[0]), tuple(map(tuple, cells[1:])))


def _near(value: float) -> float:
    return round(value, 3)
