"""Dimensions on block plans from the fence to what is near it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

from palewright.export.drawing.draft import style as layers
from palewright.export.drawing.draft.drafting import Draft
from palewright.export.drawing.draft.view import Dimension, Item, Line
from palewright.model.basis.text import plain
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.frames import Point, cos_sin
from palewright.model.lists.distances import Apart, distances
from palewright.model.site.features import Feature

from .dimensions import chain
from .placing import Placer
from .plan_labels import led_name
from .plan_symbols import upright

LEAST = 4.0
"""Shorter distances than this on paper have no room for a dimension line, mm."""


def distance_lines(
    fence: FenceModel, things: Sequence[Item], placer: Placer
) -> Iterator[Dimension]:
    """Yield the distances that have room between the fence and the thing; the table has all.

    things : what no figure beside its dimension line may stand on.
    """
    drawn = Placer(placer.draft)
    for item in things:
        drawn.take(item)
    for apart in distances(fence):
        lines = [] if apart.length / placer.draft.n < LEAST else _lines(apart, placer.draft)
        free = next(
            (
                line
                for line in lines
                if not placer.clashes([line])
                and (line.text_at is None or drawn.clashes([line]) < 10)
            ),
            None,
        )
        if free is not None:
            placer.take(free)
            yield free


def short_distances(fence: FenceModel, drawn: list[Dimension], placer: Placer) -> Iterator[Item]:
    """Yield words for the nearest distance to each thing that has no dimension among those drawn:
    beside the plan, with a line to where it is.
    """
    ends = {(line.start, line.end) for line in drawn}
    nearest: dict[Feature, Apart] = {}
    for apart in sorted(distances(fence), key=lambda one: (one.length, one.start)):
        nearest.setdefault(apart.feature, apart)
    told = [
        apart
        for apart in nearest.values()
        if not ends & {(apart.start, apart.end), (apart.end, apart.start)}
    ]
    for apart in told:
        if apart.length / placer.draft.n >= LEAST:
            for part in placer.gaps_in(apart.start, apart.end):
                line = Line.through(part, layers.CHECK)
                placer.take(line)
                yield line
    for apart in told:
        (ax, ay), (bx, by) = apart.start, apart.end
        words = f"{placer.draft.figure(apart.length)} to {plain(apart.feature.called)}"
        yield from led_name(words, ((ax + bx) / 2.0, (ay + by) / 2.0), placer)


def _lines(apart: Apart, draft: Draft) -> list[Dimension]:
    """Return the ways to dimension a distance: its figure on the line, past it, or beside it."""
    (ax, ay), (bx, by) = apart.start, apart.end
    degrees = upright(math.degrees(math.atan2(by - ay, bx - ax)))
    ways = [
        chain(ends, ends[0], degrees, draft)[0]
        for ends in ((apart.end, apart.start), (apart.start, apart.end))
    ]
    room = (
        apart.length - draft.width(draft.figure(apart.length)) - draft.full(2.0 * draft.style.gap)
    )
    if ways[0].text_at is None or room < 0.0:
        return ways
    cos, sin = cos_sin(degrees)
    off = draft.full(draft.text / 2.0 + draft.style.gap)

    def beside(side: float) -> Point:
        up = side * off
        return (ax + bx) / 2.0 - up * sin, (ay + by) / 2.0 + up * cos

    return [*(replace(ways[0], text_at=beside(side)) for side in (1.0, -1.0)), *ways]
