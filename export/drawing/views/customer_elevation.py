"""A front as a customer sees it: the fence, its length and height, and a person for scale."""

from __future__ import annotations

from collections.abc import Iterator

from palewright.export.drawing.draft.drafting import Draft
from palewright.export.drawing.draft.view import Dimension, Fill, Item, View
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.frames import Point
from palewright.model.layout.heights import heights

from .elevation import Elevation, end_walls, is_wall, match_lines, members_seen
from .front import FrontPart
from .members_shown import ground_line

PERSON = 1750.0
"""Height of the person, mm (common practice, no source)."""

BESIDE, REACH = 650.0, 1150.0
"""From the fence's end to the person's middle, and to the end of the ground, mm."""

HALF_BODY = (
    (45.0, 1545.0), (62.0, 1490.0), (185.0, 1445.0), (222.0, 1390.0), (246.0, 1150.0),
    (250.0, 860.0), (226.0, 780.0), (200.0, 820.0), (190.0, 1090.0), (168.0, 1240.0),
    (152.0, 1000.0), (162.0, 800.0), (150.0, 450.0), (138.0, 80.0), (178.0, 22.0), (178.0, 0.0),
    (62.0, 0.0), (52.0, 70.0), (44.0, 450.0), (12.0, 780.0),
)  # fmt: skip
"""The right half of a standing person from the neck down to the middle, mm."""

HEAD = ((0.0, 1530.0), (52.0, 1555.0), (80.0, 1620.0), (78.0, 1680.0), (48.0, 1732.0),
        (0.0, PERSON))  # fmt: skip
"""The right half of the head, mm."""

PALE_GREY = 0.62


def customer_elevation(fence: FenceModel, part: FrontPart, draft: Draft) -> View:
    """Return a part of a front without title and marks of posts.

    x runs along the front from its start, y up from the ground there. The person stands beyond the
    right end, or before the fence where that ends on a wall.
    """
    shown = Elevation(fence, part, draft, overall=True)
    left, right = shown.span
    before = is_wall(shown.stations[-1]) or not part.at_end
    at = right - BESIDE if before else right + BESIDE
    end = right if before else right + REACH
    start = left if is_wall(shown.stations[0]) or not part.at_start else left - BESIDE
    items: list[Item] = [
        *members_seen(shown),
        *ground_line(shown.front.ground, (start, end), draft, (start, end)),
        *match_lines(shown),
        *end_walls(shown),
        *_sizes(shown),
        *person((at, shown.front.ground_at(at))),
    ]
    return View("", draft.n, tuple(items), kind="elevation")


def person(at: Point) -> Iterator[Fill]:
    """Yield a standing person. at : under their feet, mm."""
    x, y = at
    for half in (HALF_BODY, HEAD):
        right = [(x + a, y + b) for a, b in half]
        left = [(x - a, y + b) for a, b in reversed(half)]
        yield Fill((*right, *left), PALE_GREY)


def _sizes(shown: Elevation) -> Iterator[Dimension]:
    """Dimension the length, and the greatest height where the ground is level."""
    draft, (left, right) = shown.draft, shown.span
    low = shown.deepest
    yield Dimension((left, low), (right, low), (0.0, low - draft.full(draft.style.first_tier)))
    front = shown.front
    if front.level and shown.part.at_start and not is_wall(shown.stations[0]):
        highest = max(height for height, leg, _ in heights(front.layout, "line")
                      if leg in front.starts)  # fmt: skip
        x = left - BESIDE - 3.0 * draft.n
        yield Dimension((left, 0.0), (left, highest), (x, 0.0), 90.0)
