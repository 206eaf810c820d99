"""What stands and lies on the site, as plans show it round the fence."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from palewright.export.drawing.draft import style as layers
from palewright.export.drawing.draft.drafting import Draft
from palewright.export.drawing.draft.style import Layer
from palewright.export.drawing.draft.view import Item, Line
from palewright.model.basis.text import plain
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.frames import Point
from palewright.model.layout.run_layout import RunLayout
from palewright.model.lists.crossings import body_of, round_fence
from palewright.model.lists.ties import tied_points
from palewright.model.resolved.footing_plan import half_of
from palewright.model.site.features import SERVICES, Feature, shape_of

from .placing import Placer, around
from .plan_labels import led_name

if TYPE_CHECKING:
    from shapely import Geometry

LINES: dict[str, Layer] = {
    "pipe": layers.SERVICE, "cable": layers.SERVICE, "boundary": layers.PARCEL,
    "tree": layers.SITE_DASHED,
}  # fmt: skip
"""Kinds whose lines are not plain."""

CROSS = 1.0
"""Half the size of the cross of a point, mm on paper."""

WAYS = ((0.0, 1.0), (0.0, -1.0), (1.0, 0.0), (-1.0, 0.0), (0.7, 0.7), (-0.7, 0.7), (0.7, -0.7))


LAND: dict[str, Layer] = {"site": layers.SITE_EDGE, "other": layers.OTHER_LAND}
"""Edges of an applicant's land."""


def site_things(fence: FenceModel, draft: Draft, window: Geometry | None = None) -> Iterator[Item]:
    """Yield the things on the site in a window, mm, or about the fence."""
    window = window or about_fence(fence)
    if window is not None:
        yield from things_in(window, fence.job.features, draft)


TIED_EDGE = 500.0
"""How far past the corners that posts are tied to a plan shows what they are of, mm."""


def about_fence(fence: FenceModel) -> Geometry | None:
    """Return the part of the site that a setting-out plan shows: round the fence, as far as to the
    corners that posts are tied to; None where there is nothing on the site.
    """
    window = round_fence(fence)
    if window is None:
        return None
    import shapely

    tied = shapely.MultiPoint([point.at for point in tied_points(fence)]).buffer(TIED_EDGE)
    return shapely.box(*shapely.union(window, tied).bounds)


def things_in(window: Geometry, features: Sequence[Feature], draft: Draft) -> Iterator[Item]:
    """Yield the parts of things that are in a window, mm; edges of land first, as the widest."""
    for feature in sorted(features, key=lambda one: not one.land):
        yield from thing_drawn(feature, window, draft)


def kept_clear(layout: RunLayout, placer: Placer) -> Iterator[Item]:
    """Yield the parts of a run that the spec wants without posts, each with why."""
    half = half_of(layout.run.posts.line.foot.room)
    for number, zones in enumerate(layout.run.zones):
        frame = layout.legs[number].frame
        for zone in zones:
            if not zone.said:
                continue
            ends = (zone.start + half, zone.end - half)
            ring = [(x, y) for y in (-half, half) for x in ends]
            loop = [frame.point((x, y, 0.0))[:2] for x, y in (*ring[:2], ring[3], ring[2])]
            yield Line.through(tuple(loop), layers.KEEP_CLEAR, closed=True)
            back = frame.y[:2]
            spot = frame.point((sum(ends) / 2.0, 0.0, 0.0))[:2]
            clear = half / placer.draft.n
            choices = [
                around(plain(zone.what), spot, way, away + clear, placer.draft)
                for away in (1.0, 3.0, 6.0, 10.0)
                for way in (back, (-back[0], -back[1]))
            ]
            text = placer.place(choices)
            if text is not None:
                yield text


def thing_names(fence: FenceModel, placer: Placer) -> Iterator[Item]:
    """Yield the names of what is shown about the fence, each once, where there is room."""
    window = about_fence(fence)
    if window is not None:
        yield from names_in(window, fence.job.features, fence, placer)


def names_in(
    window: Geometry,
    features: Sequence[Feature],
    fence: FenceModel,
    placer: Placer,
    *,
    led: bool = False,
) -> Iterator[Item]:
    """Yield the names of things in a window, mm, each once, where there is room. led : names
    without room stand farther off, after a line, where there is some.
    """
    named: set[tuple[str, str]] = set()
    for feature in features:
        shown = body_of(feature).intersection(window)
        words = _words(feature, fence)
        if shown.is_empty or (feature.kind, words) in named:
            continue
        named.add((feature.kind, words))
        spots, roomy = _spots(feature, shown, window, placer.draft)
        clear = feature.width / 2.0 / placer.draft.n
        choices = [
            around(words, at, way, away, placer.draft)
            for away in (1.0 + clear, 3.0 + clear, 6.0 + clear)
            for at in spots
            for way in WAYS
        ]
        if roomy:
            inside = [around(words, at, (0.0, 0.0), 0.0, placer.draft) for at in spots]
            choices = [*inside, *choices]
        text = placer.place(choices)
        if text is not None:
            yield text
        elif led:
            yield from led_name(words, spots[-1 if feature.land else 0], placer)


def _spots(
    feature: Feature, shown: Geometry, window: Geometry, draft: Draft
) -> tuple[list[Point], bool]:
    """Return the places of a thing that its name may stand at, and whether it has room for it."""
    import shapely

    line = shape_of(feature).intersection(window)
    if feature.land:
        edge = shape_of(feature).boundary.intersection(window)
        middle = shapely.maximum_inscribed_circle(line, 50.0) if line.area else edge
        x, y = shapely.get_coordinates(middle)[0].tolist()
        return [(x, y), *_along(edge)], True
    if feature.closed or line.is_empty or line.length == 0.0:
        widest = shown if shown.area == 0.0 else shapely.maximum_inscribed_circle(shown, 50.0)
        x, y = shapely.get_coordinates(widest)[0].tolist()
        return [(x, y)], len(feature.points) > 1
    return _along(line), feature.width / draft.n > 2.0 * draft.text


def _along(line: Geometry) -> list[Point]:
    """Return places along a line for its name, those off its middle too."""
    import shapely

    parts = [part for part in shapely.get_parts(line) if part.geom_type == "LineString"]
    if not parts:
        return [tuple(spot) for spot in shapely.get_coordinates(line).tolist()[:1]]
    longest = max(parts, key=lambda part: part.length)
    spots = (longest.interpolate(share, normalized=True) for share in (0.5, 0.2, 0.8, 0.05, 0.95))
    return [(spot.x, spot.y) for spot in spots]


def _words(feature: Feature, fence: FenceModel) -> str:
    words = plain(feature.called)
    if feature.kind == "benchmark" and feature.level is not None:
        level = feature.level + fence.job.origin[2]
        words += f" {level / 1000.0:.3f} m"
    return f"{words} (taken down)" if feature.goes else words


def thing_drawn(feature: Feature, window: Geometry, draft: Draft) -> Iterator[Item]:
    """Yield what is seen of a thing in a window."""
    layer = layers.SITE_DASHED if feature.goes else LINES.get(feature.kind, layers.SITE)
    layer = LAND.get(feature.land, layer)
    body = body_of(feature)
    if body.area > 0.0 and feature.kind not in SERVICES:
        yield from _lines(body.boundary, window, layer)
    elif len(feature.points) != 1:
        yield from _lines(shape_of(feature), window, layer)
    if len(feature.points) == 1 and window.intersects(shape_of(feature)):
        (x, y), half = feature.points[0], CROSS * draft.n
        for dx, dy in ((half, 0.0), (0.0, half)):
            yield Line.through(((x - dx, y - dy), (x + dx, y + dy)), layers.SITE)
    if feature.clear and not feature.goes:
        edge = shape_of(feature).buffer(feature.reach, quad_segs=24).boundary
        yield from _lines(edge, window, layers.KEEP_CLEAR)


def _lines(shape: Geometry, window: Geometry, layer: Layer) -> Iterator[Line]:
    import shapely

    inside = shape.intersection(window)
    if inside.geom_type == "MultiLineString":
        inside = shapely.line_merge(inside)
    for part in shapely.get_parts(inside):
        points = shapely.get_coordinates(part).tolist()
        if len(points) < 2:
            continue
        closed = len(points) > 3 and math.dist(points[0], points[-1]) < 1e-6
        points = points[:-1] if closed else points
        yield Line.through(tuple((x, y) for x, y in points), layer, closed=closed)
