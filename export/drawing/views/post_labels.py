"""Labels of the posts along an elevation, of all that have room, in rows."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from palewright.export.drawing.draft.drafting import Draft
from palewright.export.drawing.draft.view import Text
from palewright.model.layout.placed_posts import PlacedPost
from palewright.model.resolved.words import PostRole

from .front import Front, Stations


@dataclass(frozen=True)
class LabelPlace:
    """Where a post's label stands. left, right : how far it reaches; x : where it is set."""

    left: float
    right: float
    x: float
    align: str


LIFTS = (0.0, 1.6, 3.2)
"""Rows that labels without room in the first stand in, in heights of the text."""


@dataclass(frozen=True)
class _Box:
    """The paper that a label takes, mm at full size."""

    left: float
    low: float
    right: float
    high: float

    def meets(self, other: _Box) -> bool:
        return (
            self.left < other.right
            and other.left < self.right
            and self.low < other.high
            and other.low < self.high
        )


def post_labels(front: Front, stations: Stations, draft: Draft, *, heights: bool) -> Iterator[Text]:
    """Yield the posts' labels, with their height over the ground if wanted and where it has room.

    Each post has its label before any has its height; those of posts close together stand in rows.
    On level ground the labels of a row stand in one line.
    """
    tops = (front.top_near(x, front.repeat) for x, _ in stations)
    highest = max(*tops, front.highest_leaf)
    plain = [_label(front, one, _named(one[1]), draft, highest) for one in stations]
    widest = max(box.right - box.left for _, box in plain)
    pitch = (stations[-1][0] - stations[0][0]) / max(len(stations) - 1, 1)
    lifts = LIFTS if len(LIFTS) * pitch >= widest else LIFTS[:1]
    taken = _Taken(plain)
    for number in dict.fromkeys((0, len(stations) - 1, *range(1, len(stations) - 1))):
        rows = (_lifted(plain[number], lift, draft) for lift in lifts)
        row = next((row for row in rows if taken.clear(number, row[1])), None)
        if row is not None:
            taken.put(number, row)
    for number in sorted(taken.placed) if heights else ():
        post = stations[number][1]
        words = f"{_named(post)}  +{draft.figure(post.top)}"
        label = _label(front, stations[number], words, draft, highest)
        if taken.placed[number][0].at[1] == plain[number][0].at[1] and taken.clear(
            number, label[1]
        ):
            taken.put(number, label)
    for number in sorted(taken.placed):
        yield taken.placed[number][0]


class _Taken:
    """The labels that are placed, by number, found again by where they stand."""

    def __init__(self, plain: Sequence[tuple[Text, _Box]]) -> None:
        self.placed: dict[int, tuple[Text, _Box]] = {}
        self._wide = max(box.right - box.left for _, box in plain)
        self._cells: dict[int, set[int]] = {}

    def put(self, number: int, label: tuple[Text, _Box]) -> None:
        """Place a label, in place of the one that its post had."""
        self.placed[number] = label
        for cell in self._over(label[1]):
            self._cells.setdefault(cell, set()).add(number)

    def clear(self, number: int, box: _Box) -> bool:
        """Tell whether paper is free of the labels of other posts."""
        near = {other for cell in self._over(box) for other in self._cells.get(cell, ())}
        return not any(box.meets(self.placed[other][1]) for other in near - {number})

    def _over(self, box: _Box) -> range:
        return range(math.floor(box.left / self._wide), math.floor(box.right / self._wide) + 1)


def _lifted(label: tuple[Text, _Box], rows: float, draft: Draft) -> tuple[Text, _Box]:
    text, box = label
    up = draft.full(rows * draft.text)
    moved = replace(text, at=(text.at[0], text.at[1] + up))
    return moved, replace(box, low=box.low + up, high=box.high + up)


def _label(
    front: Front, station: tuple[float, PlacedPost], words: str, draft: Draft, highest: float
) -> tuple[Text, _Box]:
    """Return a label over its post, and its paper with what is kept clear round it."""
    n = draft.n
    place = _place(front, station, words, draft)
    half = (place.right - place.left) / 2.0
    top = highest if front.level else front.top_near(station[0], half + n + front.repeat)
    y = top + (draft.text + 1.5) * n
    text = Text(words, (place.x, y), draft.text, place.align)
    room = 0.5 * n
    low, high = y - 0.3 * draft.text * n, y + 1.1 * draft.text * n
    return text, _Box(place.left - room, low, place.right + room, high)


def _named(post: PlacedPost) -> str:
    """Return a post's label, of a plate on a wall with what it is."""
    return f"{post.label} plate" if post.kind == PostRole.WALL else post.label


def _place(front: Front, station: tuple[float, PlacedPost], text: str, draft: Draft) -> LabelPlace:
    """Return where a label stands: over its post; at a wall beside the wall, not across it."""
    x, post = station
    n, width = draft.n, draft.width(text)
    if post.kind != PostRole.WALL:
        return LabelPlace(x - width / 2.0, x + width / 2.0, x, "centre")
    half = post.plan.width / 2.0
    if post.fence_on > 0:
        edge = x - half + n
        return LabelPlace(edge, edge + width, edge, "left")
    edge = x + half - n
    return LabelPlace(edge - width, edge, edge, "right")
