"""Dimensions on block plans from the fence to what is near it."""

from __future__ import annotations

import math
from collections.abc import Iterator

from palewright.export.drawing.draft.view import Dimension
from palewright.model.fence.fence_model import FenceModel
from palewright.model.lists.distances import distances

from .dimensions import chain
from .placing import Placer
from .plan_symbols import upright

LEAST = 4.0
"""Distances shorter than this on paper are in the table alone, mm."""


def distance_lines(fence: FenceModel, placer: Placer) -> Iterator[Dimension]:
    """Yield the distances that have room between the fence and the thing; the table has all."""
    for apart in distances(fence):
        if apart.length / placer.draft.n < LEAST:
            continue
        (ax, ay), (bx, by) = apart.start, apart.end
        degrees = upright(math.degrees(math.atan2(by - ay, bx - ax)))
        lines = chain((apart.start, apart.end), apart.start, degrees, placer.draft)
        if not placer.clashes(lines):
            placer.take(lines[0])
            yield lines[0]
