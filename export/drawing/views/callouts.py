"""Callouts: what a thing is, in words beside a view, with a leader that ends in the thing."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from palewright.export.drawing.draft import style as layers
from palewright.export.drawing.draft.drafting import Draft
from palewright.export.drawing.draft.paper import bounds, on_paper
from palewright.export.drawing.draft.view import Fill, Item, Line, Text, View
from palewright.model.geometry.frames import Point

from .placing import Placer

BESIDE, LEAD, ROW, DOT = 7.0, 1.2, 2.2, 0.5
"""From a view to its callouts, from a leader to its words, half of a dot, all mm on paper; and
from one callout to the next in heights of lettering."""

TRIES = 60
"""Places above and below that a callout is tried at."""


@dataclass(frozen=True)
class Callout:
    """Words for a thing. at : a point in it, mm at full size."""

    words: str
    at: Point


def callouts(
    asked: Sequence[Callout], items: Sequence[Item], draft: Draft, *, lift: float = 4.0
) -> Iterator[Item]:
    """Yield words in a column at the right of a view, each with a leader to its thing.

    Words keep the order of their things from the top down, so that leaders do not cross; a leader
    crosses no text. lift : how much higher than its thing the first may stand, in callouts.
    """
    n, placer = draft.n, Placer(draft)
    for item in items:
        if not isinstance(item, Line):
            placer.take(item)
    right = bounds(on_paper(View("", n, tuple(items)), draft.style))[2] + BESIDE
    step = ROW * draft.text * n
    ceiling = float("inf")
    for one in sorted(asked, key=lambda one: (-one.at[1], -one.at[0], one.words)):
        start = min(one.at[1], ceiling - step)
        choices = [start - number * step / 4.0 for number in range(TRIES)]
        if ceiling == float("inf"):  # the first may stand higher than its thing
            choices = [one.at[1] + step * lift - number * step / 4.0 for number in range(TRIES)]
        y = next((y for y in choices if not _crossed(one.at, (right * n, y), placer)), choices[-1])
        ceiling = y
        end = (right * n, y)
        text = Text(one.words, ((right + LEAD) * n, y - draft.text / 2.0 * n), draft.text)
        placer.take(text)
        yield Line.through((one.at, end), layers.METAL)
        yield _dot(one.at, DOT * n)
        yield text


def _crossed(at: Point, end: Point, placer: Placer) -> bool:
    """Tell whether a leader would cross a text."""
    return placer.words_on(Line.through((at, end), layers.METAL))


def _dot(at: Point, half: float) -> Fill:
    x, y = at
    return Fill(((x - half, y), (x, y - half), (x + half, y), (x, y + half)))
