"""Elevations as they are before the work."""

from __future__ import annotations

from collections.abc import Iterator

from palewright.export.drawing.draft import style as layers
from palewright.export.drawing.draft.drafting import Draft
from palewright.export.drawing.draft.view import Dimension, Item, Line, Text, View
from palewright.model.basis.text import plain
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.frames import Point
from palewright.model.site.features import Feature, bounds_near, bounds_of, leg_box
from palewright.model.site.site_line import Leg, profile_between

from .elevation import Elevation, elevation_name, end_walls, match_lines
from .front import Front, FrontPart
from .ground_levels import LevelRow, ground_notes, level_row
from .members_shown import ground_line
from .placing import Placer
from .titles import titled

UPRIGHT = ("fence", "wall", "hedge")
"""Kinds of things on the site that stand along a line as a fence does."""

ALONG = 1000.0
"""What stands no farther from the line of a run is shown on it, mm."""

SLIVER = 1.0
"""What reaches no farther past a match line is not drawn beyond it, mm."""

LEVELS_BELOW = 6.0
"""From the lowest ground to its levels, below the ends of match lines, mm on paper."""

MOST_LIFTS = 12
"""How many lines of words may stand over one another."""

NOT_SAID = "what stands on this line now was not said"


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
            beside = [side for side in feature.sides if _runs_along(side, leg)]
            if not beside:
                continue
            lines = shapely.line_merge(shapely.MultiLineString(beside))
            band = lines.buffer(ALONG + feature.width / 2.0, cap_style="flat")
            line = shapely.LineString([leg.start[:2], leg.end[:2]])
            for part in shapely.get_parts(line.intersection(band)):
                xs = [leg.frame.local((x, y, leg.start[2]))[0]
                      for x, y in shapely.get_coordinates(part)]  # fmt: skip
                if len(xs) > 1 and max(xs) - min(xs) > ALONG:
                    start = front.starts[number]
                    things.append((feature, start + min(xs), start + max(xs)))
    return things


def _runs_along(side: tuple[Point, Point], leg: Leg) -> bool:
    """Tell whether a part of a thing's line runs along a leg rather than across it."""
    (ax, ay), (bx, by) = side
    x, y, _ = leg.frame.x
    dx, dy = bx - ax, by - ay
    return abs(dx * x + dy * y) >= abs(dx * y - dy * x)


def _outline(ground: tuple[Point, ...], span: Point, height: float) -> tuple[Point, ...]:
    """Return the outline of what stands on the ground over a span: foot, top, foot."""
    foot = profile_between(ground, *span)
    over = tuple((x, z + height) for x, z in foot)
    return (foot[0], *over, foot[-1])


def _named(words: str, span: Point, foot: float, placer: Placer) -> Text:
    """Return words over the middle of a span, moved up where other words stand already."""
    draft = placer.draft
    step = draft.full(1.8 * draft.text)
    choices = [
        Text(words, (sum(span) / 2.0, foot + draft.full(draft.text) + step * lift),
             draft.text, "centre")
        for lift in range(MOST_LIFTS)
    ]  # fmt: skip
    text = placer.place(choices, must=True)
    assert text is not None
    return text


def _things(fence: FenceModel, part: FrontPart, span: Point, placer: Placer) -> Iterator[Item]:
    """Yield what stands along a part, as high as is said, and what becomes of it."""
    draft, front = placer.draft, part.front
    for feature, start, end in standing_now(fence, front):
        within = max(start, span[0]), min(end, span[1])
        if within[1] - within[0] <= SLIVER:
            continue
        outline = _outline(front.ground, within, feature.height)
        if feature.height > 0.0:
            line = Line.through(outline, layers.HIDDEN)
            placer.take(line)
            yield line
        high = f", {draft.figure(feature.height)} high" if feature.height else ""
        words = f"{plain(feature.called)}{high}, {'taken down' if feature.goes else 'stays'}"
        yield _named(words, within, max(z for _, z in outline), placer)


def existing_elevation(fence: FenceModel, part: FrontPart, draft: Draft) -> View:
    """Return a part of a front as it is before the work: the ground, and what the spec says
    stands there, between the match lines of the part as proposed.
    """
    front, run = part.front, part.front.layout.run
    shown = Elevation(fence, part, draft, overall=True)
    left = 0.0 if part.at_start else part.stations[0][0]
    right = front.length if part.at_end else part.stations[-1][0]
    placer = Placer(draft)
    items: list[Item] = [
        *ground_line(front.ground, shown.ground_span, draft, front.known),
        *match_lines(shown),
        *end_walls(shown),
    ]
    for item in items:
        placer.take(item)
    height = run.existing_height
    if height > 0.0:
        outline = Line.through(_outline(front.ground, (left, right), height), layers.HIDDEN)
        placer.take(outline)
        items.append(outline)
    if height > 0.0 and part.at_start and not run.walls.at_start:
        x, z = left - shown.past - draft.full(4.0), front.ground[0][1]
        items.append(Dimension((left, z), (left, z + height), (x, 0.0), 90.0))
    things = list(_things(fence, part, (left, right), placer))
    items += things
    known = things or height > 0.0
    words = plain(run.existing) or ("" if known else NOT_SAID)
    if words:
        high = f", {draft.figure(height)} high" if height > 0.0 else ""
        top = max(z for _, z in _outline(front.ground, (left, right), height))
        items.append(_named(f"{words}{high}", (left, right), top, placer))
    if not front.level:
        low = shown.deepest - draft.full(LEVELS_BELOW)
        inner = tuple(x for x, _ in front.ground if left < x < right)
        items += level_row(LevelRow(front, fence.job.origin, (left, right), inner, low), draft)
    first, last = part.stations[0][1].label, part.stations[-1][1].label
    title = f"Existing elevation {elevation_name(front)}, where {first} to {last}"
    notes = ground_notes(front, items)
    return titled(f"{title} will stand", items, draft, left=shown.span[0], notes=notes)
