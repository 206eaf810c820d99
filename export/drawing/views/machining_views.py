"""Pieces with their cuts, face by face, as the joiner marks them out."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from palewright.export.drawing.draft import style as layers
from palewright.export.drawing.draft.drafting import Draft
from palewright.export.drawing.draft.view import Item, Line, Text, View
from palewright.export.tables.machining_tables import cut_words
from palewright.model.geometry.frames import Point
from palewright.model.lists.machining import NEAR, Face, LaidPiece, MachinedCut, MachinedMark

from .dimensions import level_chain, upright_chain
from .titles import titled

BELOW, BESIDE, ABOVE = 8.0, 16.0, 1.5
"""Paper from a face to the chain under it, to that beside it, and to the letters over it, mm."""

MOST_CORNERS = 8
"""A mouth with more corners is measured from end to end alone."""

LEAST_STEP = 7.0
"""Places across a face are in a chain where they are so far apart on paper, mm; else in words."""


@dataclass(frozen=True)
class DrawnFace:
    """A face of a piece on paper: the piece lies on the bench, its foot or left end to the left;
    seen from its back to the right.
    """

    piece: LaidPiece
    face: Face

    def spot(self, along: float, across: float) -> Point:
        """Return where a place on the face is drawn, mm at full size."""
        if self.face.end:
            return across, along
        if self.piece.upright or self.face.name == "underside":
            return along, -across
        return (-along, across) if self.face.name == "back" else (along, across)

    @property
    def size(self) -> Point:
        """How long and how wide it is, mm."""
        spans = (self.piece.extent(way) for way in (self.face.along, self.face.across))
        long, wide = (high - low for low, high in spans)
        return long, wide

    def loop(self, low: Point, high: Point) -> tuple[Point, ...]:
        """Return a rectangle on the face between two of its corners."""
        corners = (low, (high[0], low[1]), high, (low[0], high[1]))
        return tuple(self.spot(*corner) for corner in corners)


def machining_views(made: MachinedMark, draft: Draft) -> list[View]:
    """Return the faces of a mark that something is cut from."""
    faces = dict.fromkeys(cut.face for cut in made.cuts)
    return [_face_view(made, DrawnFace(made.piece, face), draft) for face in faces]


def _face_view(made: MachinedMark, drawn: DrawnFace, draft: Draft) -> View:
    """Return a face with what is cut from it, its places in chains along and across the piece."""
    face, piece = drawn.face, drawn.piece
    cuts = [cut for cut in made.cuts if cut.face == face]
    long, wide = drawn.size
    items: list[Item] = [
        Line.through(drawn.loop((0.0, 0.0), (long, wide)), layers.PALES, closed=True)
    ]
    for cut in cuts:
        items += _outline(drawn, cut)
    (x0, y0), (x1, y1) = drawn.spot(0.0, 0.0), drawn.spot(long, wide)
    left, low, high = min(x0, x1), min(y0, y1), max(y0, y1)
    across = (y for cut in cuts for y in _ends(cut, 1))
    ys = sorted({drawn.spot(*place)[1] for place in _places(across, wide, face, lengthwise=False)})
    chained = all(b - a >= draft.full(LEAST_STEP) for a, b in pairwise(ys))
    told = _together(cuts, draft, "" if chained else _edge(piece, face))
    letters = {words: chr(ord("a") + n) for n, words in enumerate(dict.fromkeys(told.values()))}
    items += _lettered(drawn, cuts, {p: letters[words] for p, words in told.items()}, high, draft)
    along = (x for cut in cuts for x in _ends(cut, 0))
    xs = sorted({drawn.spot(*place)[0] for place in _places(along, long, face, lengthwise=True)})
    items += level_chain([(x, low) for x in xs], low - draft.full(BELOW), draft)
    if chained:
        items += upright_chain([(left, y) for y in ys], left - draft.full(BESIDE), draft)
    notes = [f"{letter}  {words}" for words, letter in letters.items()]
    title = f"{made.mark} {made.kind.name}, {_face_name(face)}, {made.count} no."
    return titled(title, items, draft, notes=[*notes, _counted(piece, face)], left=left)


def _places(
    values: Iterable[float], end: float, face: Face, *, lengthwise: bool
) -> list[tuple[float, float]]:
    """Return places on a face at some distances along or across it, and at its edges."""
    return [(v, 0.0) if lengthwise != face.end else (0.0, v) for v in (0.0, *values, end)]


def _ends(cut: MachinedCut, way: int) -> Iterator[float]:
    """Yield what of a cut is measured to: the middle of a round one, the corners of others."""
    if cut.round:
        yield (cut.along, cut.across)[way]
        return
    places = sorted(spot[way] for loop in cut.mouth for spot in loop)
    if len(places) > MOST_CORNERS:  # what is let in has a round section
        places = [places[0], places[-1]]
    yield from (b for a, b in pairwise([-math.inf, *places]) if b - a > NEAR)


def _outline(drawn: DrawnFace, cut: MachinedCut) -> Iterator[Item]:
    if cut.round:
        (x, y), half = drawn.spot(cut.along, cut.across), cut.size[0] / 2.0
        yield Line(((x - half, y, 1.0), (x + half, y, 1.0)), layers.METAL, closed=True)
    for loop in cut.mouth:
        points = tuple(drawn.spot(*spot) for spot in loop)
        yield Line.through(points, layers.METAL, closed=True)


def _together(cuts: Sequence[MachinedCut], draft: Draft, edge: str) -> dict[Point, str]:
    """Return the words for what is cut at each place of a face. edge : that they say the place
    from, empty where a chain does.
    """
    found: dict[Point, list[str]] = {}
    middles: dict[Point, str] = {}
    for cut in sorted(cuts, key=lambda cut: -max(cut.size)):
        found.setdefault((cut.along, cut.across), []).append(cut_words(cut, draft.figure))
        middles[cut.along, cut.across] = "middle" if cut.round else "edge"
    words = {place: ", then ".join(found[place]) for place in sorted(found)}
    if not edge:
        return words
    return {
        place: f"{said}; its {middles[place]} {draft.figure(place[1])} from the {edge}"
        if place[1]
        else f"{said}; from the {edge} on"
        for place, said in words.items()
    }


def _edge(piece: LaidPiece, face: Face) -> str:
    """Return the edge that places across a face count from."""
    if face.end:
        return "left edge" if piece.upright else "front edge"
    if piece.upright:
        return "left edge"
    return "lower edge" if face.name in ("front", "back") else "front edge"


def _face_name(face: Face) -> str:
    return f"{face.name} face" if face.name in ("front", "back", "left", "right") else face.name


def _lettered(
    drawn: DrawnFace,
    cuts: Sequence[MachinedCut],
    letters: dict[Point, str],
    high: float,
    draft: Draft,
) -> list[Item]:
    """Return the letter of each cut over its place, in as many rows as they need."""
    middles: dict[float, list[str]] = {}
    half = {(cut.along, cut.across): 0.0 if cut.round else cut.size[0] / 2.0 for cut in cuts}
    for place, letter in letters.items():
        x = drawn.spot(place[0] + half[place], place[1])[0]
        if letter not in middles.setdefault(round(x, 1), []):
            middles[round(x, 1)].append(letter)
    items: list[Item] = []
    rows: list[float] = []
    for x in sorted(middles):
        text = " ".join(sorted(middles[x]))
        reach = draft.width(text) / 2.0 + draft.full(0.8)
        row = next((n for n, end in enumerate(rows) if x - reach > end), len(rows))
        rows[row:] = [x + reach, *rows[row + 1 :]]
        y = high + draft.full(ABOVE + row * 1.4 * draft.text)
        items.append(Text(text, (x, y), draft.text, "centre"))
    return items


def _counted(piece: LaidPiece, face: Face) -> str:
    """Return in words where places count from, and which end lies where."""
    if face.end:
        return "seen from that end"
    if piece.upright:
        return "foot to the left, its left edge uppermost as it stands"
    if face.name == "back":
        return "seen from the back: left end to the right"
    return "front edge uppermost" if face.name == "underside" else "left end to the left"
