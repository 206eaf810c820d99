"""How far a fence is from boundaries, house corners, roads and footways, for planning drawings."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.frames import Point
from palewright.model.layout.run_layout import RunLayout
from palewright.model.site.features import Feature, Points, shape_of

from .crossings import body_of, round_fence

if TYPE_CHECKING:
    from shapely import Geometry

TOLD = ("house", "boundary", "wall", "kerb", "path", "road")
"""Kinds of things that distances are given to."""

NEAR = 10_000.0
"""How far round the fence a block plan reaches at least, mm: over most roads."""

FARTHEST = 20_000.0
"""Longer distances are not given, mm."""

BEYOND, EDGE = 25_000.0, 1000.0
"""How far a block plan reaches past that for houses and the land, and past their edges, mm."""

MOST_CORNERS = 2
"""How many corners of a house, the nearest, a distance is given to."""

SAME = 500.0
"""Distances that start nearer together than this are one, mm."""

TOUCHES = 0.5
"""Under this a fence stands on a thing, and no distance is given, mm."""


@dataclass(frozen=True)
class Apart:
    """A distance in plan from a fence's line, the middle of its line posts, to a thing.

    feature : it; part : of it that is meant; start : on the fence, end : on the thing; post : label
    of the nearest post.
    """

    feature: Feature
    part: str
    start: Point
    end: Point
    post: str

    @property
    def length(self) -> float:
        """The distance, mm."""
        return math.dist(self.start, self.end)


def block_window(fence: FenceModel) -> Geometry | None:
    """Return the part of the site that a block plan shows: round the fence, with the land of the
    application and the houses next to it whole unless they reach too far; None without things.
    """
    near = round_fence(fence, NEAR)
    if near is None:
        return None
    import shapely

    whole = [
        body
        for feature in fence.job.features
        if feature.land == "site" or (feature.kind == "house" and not feature.goes)
        if (body := body_of(feature)).intersects(near)
    ]
    left, low, right, high = near.bounds
    most = shapely.box(left - BEYOND, low - BEYOND, right + BEYOND, high + BEYOND)
    bounds = shapely.union_all([near, *(shapely.box(*body.bounds) for body in whole)]).bounds
    west, south, east, north = bounds
    return shapely.box(west - EDGE, south - EDGE, east + EDGE, north + EDGE).intersection(most)


def distances(fence: FenceModel) -> tuple[Apart, ...]:
    """Return the distances to what is near a fence, in the order of the spec, the nearest first."""
    window = block_window(fence)
    if window is None:
        return ()
    import shapely

    lines = [line_of(layout) for layout in fence.layouts]
    posts = [_posts(layout) for layout in fence.layouts]
    found: list[Apart] = []
    for feature in fence.job.features:
        body = body_of(feature)
        if feature.kind not in TOLD or feature.goes or not body.intersects(window):
            continue
        run = min(range(len(lines)), key=lambda number: lines[number].distance(body))
        line = lines[run]
        told: list[Apart] = []
        for part, span in _spans(feature, line, body):
            (ax, ay), (bx, by) = shapely.get_coordinates(span).tolist()
            told.append(Apart(feature, part, (ax, ay), (bx, by), ""))
        told = sorted(told, key=lambda apart: (round(apart.length, 1), apart.start, apart.end))
        kept: list[Apart] = []
        for one in told:
            if len(kept) == MOST_CORNERS:
                break
            if not TOUCHES <= one.length <= FARTHEST or not window.contains(shapely.Point(one.end)):
                continue
            if all(math.dist(one.end, other.end) > SAME for other in kept):
                kept.append(one)
        found += (replace(one, post=_post_near(posts[run], one.start)) for one in kept)
    return tuple(found)


def line_of(layout: RunLayout) -> Geometry:
    """Return the line of a run in plan: through the middles of its line posts."""
    import shapely

    points = [vertex[:2] for vertex in layout.run.line.vertices]
    if layout.run.line.closed:
        points = [*points, points[0]]
    return shapely.LineString(points)


def _spans(feature: Feature, line: Geometry, body: Geometry) -> Iterator[tuple[str, Geometry]]:
    """Yield the shortest lines from a fence to a thing: to corners of a house, to a boundary also
    from the fence's ends.
    """
    import shapely

    if feature.kind == "house" and len(feature.points) > 2:
        for corner in feature.points:
            yield "corner", shapely.shortest_line(line, shapely.Point(corner))
        return
    edge = shape_of(feature).boundary if feature.closed else body
    yield "", shapely.shortest_line(line, edge)
    if feature.kind == "boundary" and not line.is_closed:
        for end in shapely.get_parts(line.boundary):
            yield "", shapely.shortest_line(end, edge)


def _posts(layout: RunLayout) -> tuple[list[str], Points]:
    """Return the labels of a run's posts along it, and where they stand, (n, 2), mm."""
    posts = sorted(layout.posts, key=lambda post: post.chainage)
    places = np.array([post.frame.origin[:2] for post in posts], dtype=np.float64)
    return [post.label for post in posts], places


def _post_near(posts: tuple[list[str], Points], at: Point) -> str:
    labels, places = posts
    away = np.hypot(*(places - np.array(at)).T).round(1)
    return labels[int(np.argmin(away))]
