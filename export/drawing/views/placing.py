"""Placing text where there is room: no text on text, nor on dimension lines."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from palewright.export.drawing.draft.drafting import Draft
from palewright.export.drawing.draft.lettering import text_width
from palewright.export.drawing.draft.paper import Label, Stroke, on_paper
from palewright.export.drawing.draft.view import Item, Text, View
from palewright.model.geometry.frames import Point

from .taken_paper import TakenPaper

if TYPE_CHECKING:
    from shapely import Geometry

CLEAR = 1.0
"""Least distance between texts, mm on paper."""


LINE_CLEAR = 0.25
"""Least distance between a text and a line it must keep off, mm on paper."""


class Placer:
    """Remembers what paper is taken in one view, and finds room for more."""

    def __init__(self, draft: Draft) -> None:
        self.draft = draft
        self.texts = TakenPaper()
        self.lines = TakenPaper()

    def keep_clear(self, loop: list[Point]) -> None:
        """Mark an area (mm at full size) as taken, so that no text is written on it."""
        import shapely

        n = self.draft.n
        self.lines.add([shapely.Polygon([(x / n, y / n) for x, y in loop])])

    def take(self, item: Item, *, firm: bool = False) -> None:
        """Mark the paper of an item as taken: of text its box, of lines a narrow strip.

        firm : whether no text may stand on its lines even where text may cross others.
        """
        texts, lines = self._shapes(item)
        self.texts.add(texts)
        (self.texts if firm else self.lines).add(lines)

    def clashes(self, items: Sequence[Item]) -> int:
        """Return how badly items meet what is taken: text weighs ten times as much as lines."""
        total = 0
        for item in items:
            texts, lines = self._shapes(item)
            total += 10 * (self.texts.met_by(texts) + self.lines.met_by(texts))
            total += 10 * self.texts.met_by(lines) + self.lines.met_by(lines)
        return total

    def words_on(self, item: Item) -> bool:
        """Tell whether the lines of an item cross a text that is there."""
        _, lines = self._shapes(item)
        return self.texts.met_by(lines) > 0

    def gaps_in(self, a: Point, b: Point) -> list[tuple[Point, ...]]:
        """Return the parts of a straight (mm at full size) that no text stands on."""
        return self.clear_of_words((a, b))

    def clear_of_words(self, points: tuple[Point, ...]) -> list[tuple[Point, ...]]:
        """Return the parts of a line through points (mm at full size) that no text stands on."""
        import shapely

        n = self.draft.n
        line = shapely.LineString([(x / n, y / n) for x, y in points])
        near = self.texts.near(line)
        rest = line.difference(shapely.union_all(near)) if near else line
        return [
            tuple((float(x) * n, float(y) * n) for x, y in part.coords)
            for part in shapely.get_parts(rest)
            if part.length > 0.5
        ]

    def place(self, choices: list[Text], *, must: bool = False) -> Text | None:
        """Return the first text that stands clear, and take its paper.

        must : take the one that clashes least when none stands clear.
        """
        for text in choices:
            texts, _ = self._shapes(text)
            if not self.texts.met_by(texts) and not self.lines.met_by(texts):
                self.texts.add(texts)
                return text
        if not must:
            return None
        best = min(choices, key=lambda text: self.clashes([text]))
        self.take(best)
        return best

    def place_over_lines(self, choices: list[Text]) -> Text | None:
        """Return the text that crosses the fewest lines of those clear of other text, and take its
        paper; None where there is none.
        """
        best: tuple[int, Text, list[Geometry]] | None = None
        for text in choices:
            texts, _ = self._shapes(text)
            if self.texts.met_by(texts):
                continue
            crossed = self.lines.met_by(texts)
            if best is None or crossed < best[0]:
                best = crossed, text, texts
        if best is None:
            return None
        self.texts.add(best[2])
        return best[1]

    def _shapes(self, item: Item) -> tuple[list[Geometry], list[Geometry]]:
        import shapely

        texts: list[Geometry] = []
        lines: list[Geometry] = []
        for mark in on_paper(View("", self.draft.n, (item,)), self.draft.style):
            if isinstance(mark, Label):
                texts.append(shapely.Polygon(mark.clear_box(CLEAR / 2.0)))
            elif isinstance(mark, Stroke):
                ends = (*mark.points, mark.points[0]) if mark.closed else mark.points
                lines.append(shapely.LineString(ends).buffer(LINE_CLEAR))
        return texts, lines


def around(text: str, at: Point, way: Point, away: float, draft: Draft) -> Text:
    """Return a text centred beyond `at` in a direction, its box clear by `away` (mm on paper)."""
    half = text_width(text, draft.text) / 2.0 * abs(way[0]) + draft.text / 2.0 * abs(way[1])
    reach = (half + away) * draft.n
    spot = at[0] + way[0] * reach, at[1] + way[1] * reach - draft.text / 2.0 * draft.n
    return Text(text, spot, draft.text, "centre")
