"""Elevations as they are before the work."""

from __future__ import annotations

from palewright.export.drawing.draft import style as layers
from palewright.export.drawing.draft.drafting import Draft
from palewright.export.drawing.draft.view import Dimension, Item, Line, Text, View
from palewright.model.fence.fence_model import FenceModel

from .elevation import GROUND_PAST, elevation_name
from .front import Front
from .ground_levels import LevelRow, level_row
from .members_shown import ground_line
from .titles import titled


def existing_elevation(fence: FenceModel, front: Front, draft: Draft) -> View:
    """Return a front as it is before the work: the ground, and what the spec says stands there."""
    job = front.layout.run
    n, past = draft.n, draft.full(GROUND_PAST)
    left, right = 0.0, front.length
    items: list[Item] = [*ground_line(front.ground, (left - past, right + past), draft)]
    height = job.existing_height
    if height > 0.0:
        over = tuple((x, z + height) for x, z in front.ground)
        outline = (front.ground[0], *over, front.ground[-1])
        items.append(Line.through(outline, layers.HIDDEN))
        x, z = left - (GROUND_PAST + 4.0) * n, front.ground[0][1]
        items.append(Dimension((left, z), (left, z + height), (x, 0.0), 90.0))
    words = job.existing or "no fence or wall on this line"
    middle = (left + right) / 2.0
    y = max(z for _, z in front.ground) + height + draft.full(draft.text)
    items.append(Text(words, (middle, y), draft.text, "centre"))
    if not front.level:
        low = min(z for _, z in front.ground) - 4.0 * n
        inner = tuple(x for x, _ in front.ground)
        items += level_row(LevelRow(front, fence.job.origin, (left, right), inner, low), draft)
    title = f"Existing elevation {elevation_name(front)} from the front"
    return titled(title, items, draft, left=left)
