"""Elevations as they are before the work."""

from __future__ import annotations

from collections.abc import Iterator

from palewright.export.drawing.draft import style as layers
from palewright.export.drawing.draft.drafting import Draft
from palewright.export.drawing.draft.view import Dimension, Item, Line, Text, View
from palewright.model.basis.text import plain
from palewright.model.fence.fence_model import FenceModel
from palewright.model.site.features import Feature, bounds_near, bounds_of, leg_box, shape_of

from .elevation import GROUND_PAST, elevation_name
from .front import Front
from .ground_levels import LevelRow, level_row
from .members_shown import ground_line
from .titles import titled

UPRIGHT = ("fence", "wall", "hedge")
"""Kinds of things on the site that stand along a line as a fence does."""

ALONG = 1000.0
"""What stands no farther from the line of a run is shown on it, mm."""


def standing_now(fence: FenceModel, front: Front) -> list[tuple[Feature, float, float]]:
    """Return what stands along a front before the work, and from where to where, mm."""
    import shapely  # only sites with features ask

    upright = [one for one in fence.job.features if one.kind in UPRIGHT and len(one.points) > 1]
    bounds = bounds_of(upright)
    things = []
    for number in front.legs:
        leg = front.layout.legs[number]
        for near in bounds_near(bounds, leg_box(leg), ALONG):
            feature = upright[near]
            band = shape_of(feature).buffer(ALONG + feature.width / 2.0, cap_style="flat")
            line = shapely.LineString([leg.start[:2], leg.end[:2]])
            for part in shapely.get_parts(line.intersection(band)):
                xs = [leg.frame.local((x, y, leg.start[2]))[0]
                      for x, y in shapely.get_coordinates(part)]  # fmt: skip
                if len(xs) > 1 and max(xs) - min(xs) > ALONG:
                    start = front.starts[number]
                    things.append((feature, start + min(xs), start + max(xs)))
    return things


def _thing(
    feature: Feature, span: tuple[float, float], front: Front, draft: Draft
) -> Iterator[Item]:
    """Yield the outline of what stands there, as high as is said, and what becomes of it."""
    xs = [span[0], *(x for x, _ in front.ground if span[0] < x < span[1]), span[1]]
    foot = [(x, front.ground_at(x)) for x in xs]
    if feature.height > 0.0:
        over = [(x, z + feature.height) for x, z in foot]
        yield Line.through((foot[0], *over, foot[-1]), layers.HIDDEN)
    high = f", {draft.figure(feature.height)} high" if feature.height else ""
    words = f"{plain(feature.called)}{high}, {'taken down' if feature.goes else 'stays'}"
    y = max(z for _, z in foot) + feature.height + draft.full(draft.text)
    yield Text(words, (sum(span) / 2.0, y), draft.text, "centre")


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
    high = height
    things = standing_now(fence, front)
    for thing, x0, x1 in things:
        high = max(high, thing.height)
        items += _thing(thing, (x0, x1), front, draft)
    middle = (left + right) / 2.0
    y = max(z for _, z in front.ground) + high + draft.full(draft.text)
    known = things or height > 0.0
    words = job.existing or ("" if known else "what stands on this line now was not said")
    if words:
        items.append(Text(words, (middle, y), draft.text, "centre"))
    if not front.level:
        low = min(z for _, z in front.ground) - 4.0 * n
        inner = tuple(x for x, _ in front.ground)
        items += level_row(LevelRow(front, fence.job.origin, (left, right), inner, low), draft)
    title = f"Existing elevation {elevation_name(front)} from the front"
    return titled(title, items, draft, left=left)
