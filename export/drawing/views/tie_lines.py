"""Ties on plans: thin lines from what stands on the site to posts, and lengths between runs."""

from __future__ import annotations

import math
from collections.abc import Iterator

from palewright.export.drawing.draft.drafting import Draft
from palewright.export.drawing.draft.view import Dimension, Item, Text
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.frames import Point, cos_sin
from palewright.model.lists.ties import Tie, run_gaps, tied_points, ties

from .placing import Placer, around
from .plan_labels import NEAREST
from .plan_symbols import upright

MOST_SHOWN = 16
"""A plan with ties of more posts than this shows none: the table has them all."""

WAYS = ((0.7, 0.7), (-0.7, 0.7), (0.7, -0.7), (-0.7, -0.7), (0.0, 1.0), (0.0, -1.0))


def tie_lines(fence: FenceModel, placer: Placer) -> Iterator[tuple[Text, tuple[Point, Point]]]:
    """Yield the length of each tie from what stands on the site, and the line that it stands on.

    A figure without room is left out with its line: the table has both.
    """
    for tie in _shown(fence):
        for point, length in zip(tie.points, tie.lengths, strict=True):
            if not point.stands or length / placer.draft.n < NEAREST:
                continue
            text = placer.place(list(_figures(point.at, tie.at, placer.draft)))
            if text is not None:
                yield text, (point.at, tie.at)


def point_names(fence: FenceModel, placer: Placer) -> Iterator[Item]:
    """Yield the numbers of the corners that ties are measured from, where there is room."""
    for point in tied_points(fence):
        choices = [
            around(point.name, point.at, way, away, placer.draft)
            for away in (1.0, 2.5, 5.0)
            for way in WAYS
        ]
        text = placer.place(choices)
        if text is not None:
            yield text


def gap_lengths(fence: FenceModel, placer: Placer) -> Iterator[Dimension]:
    """Yield the dimension from the end of one run to that of the next, middle to middle."""
    draft = placer.draft
    for gap in run_gaps(fence):
        (ax, ay), (bx, by) = gap.ends
        if gap.between / draft.n < draft.style.tick:
            continue
        degrees = upright(math.degrees(math.atan2(by - ay, bx - ax)))
        cos, sin = cos_sin(degrees)
        choices = [
            Dimension(*gap.ends, (ax - off * sin, ay + off * cos), degrees)
            for step in range(5)
            for side in (-1.0, 1.0)
            for off in (side * draft.full(draft.style.first_tier + 1.7 * draft.style.tier * step),)
        ]
        best = min(choices, key=lambda one: placer.clashes([one]))
        placer.take(best)
        yield best


def _shown(fence: FenceModel) -> list[Tie]:
    found = [tie for tie in ties(fence) if any(point.stands for point in tie.points)]
    return found if len(found) <= MOST_SHOWN else []


def _figures(a: Point, b: Point, draft: Draft) -> Iterator[Text]:
    """Yield places on a line for its length, to be read upright."""
    degrees = upright(math.degrees(math.atan2(b[1] - a[1], b[0] - a[0])))
    cos, sin = cos_sin(degrees)
    up = draft.style.gap * draft.n
    for share in (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8):
        x, y = a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share
        spot = (x - up * sin, y + up * cos)
        yield Text(draft.figure(math.dist(a, b)), spot, draft.text, "centre", degrees)
