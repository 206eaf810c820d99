"""Where things on the site are along the fence: what crosses its line, and the nearest hole."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.shapes import RoundHole
from palewright.model.layout.placed_posts import PlacedPost
from palewright.model.layout.run_layout import RunLayout
from palewright.model.site.features import Feature, bounds_near, leg_box, shape_of

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from shapely import Geometry, STRtree

SHOWN = 10_000.0
"""Things farther from the nearest hole are not told of along the fence, mm."""


@dataclass(frozen=True)
class Crossing:
    """A place where a thing crosses the line of a run. chainage : mm; first, last : labels of the
    posts before and after it.
    """

    run: str
    chainage: float
    first: str
    last: str


@dataclass(frozen=True)
class NearThing:
    """A thing on the site beside the fence.

    feature : it; crossings : of lines of runs; post : label of the post whose hole is nearest,
    apart : from that hole to what is kept free round the thing, mm, negative inside.
    """

    feature: Feature
    crossings: tuple[Crossing, ...]
    post: str
    apart: float


@dataclass(frozen=True)
class _Holes:
    """Holes of one radius, 0 for square ones: their shapes in a tree, and their posts' labels."""

    radius: float
    tree: STRtree
    labels: tuple[str, ...]


def near_things(fence: FenceModel) -> tuple[NearThing, ...]:
    """Return the things near the fence, in the order of the spec."""
    if not fence.job.features:
        return ()
    holes = _holes(fence)
    lines = [(layout, _bounds_of_legs(layout)) for layout in fence.layouts]
    things = []
    for feature in fence.job.features:
        crossings = tuple(
            crossing for layout, bounds in lines for crossing in _crossings(feature, layout, bounds)
        )
        apart, label = min((_nearest(feature, some) for some in holes), default=(math.inf, ""))
        if crossings or apart <= SHOWN:
            things.append(NearThing(feature, crossings, label, apart - feature.reach))
    return tuple(things)


def _bounds_of_legs(layout: RunLayout) -> NDArray[np.float64]:
    """Return the bounds of the legs of a run, (n, 4), mm."""
    return np.array([leg_box(leg) for leg in layout.legs], dtype=np.float64)


def _holes(fence: FenceModel) -> list[_Holes]:
    """Return the holes that are dug, by radius."""
    import shapely  # only sites with features ask

    by_radius: dict[float, list[tuple[Geometry, str]]] = {}
    for layout in fence.layouts:
        for post in layout.posts:
            if post.plan.foot.taken is not None:
                shape, radius = hole_shape(post)
                by_radius.setdefault(radius, []).append((shape, post.label))
    return [
        _Holes(radius, shapely.STRtree([shape for shape, _ in holes]),
               tuple(label for _, label in holes))
        for radius, holes in by_radius.items()
    ]  # fmt: skip


def _nearest(feature: Feature, holes: _Holes) -> tuple[float, str]:
    """Return how far the nearest hole's edge is from a thing without its width, and its post."""
    found, away = holes.tree.query_nearest(shape_of(feature), return_distance=True)
    return float(away[0]) - holes.radius, holes.labels[int(min(found))]


def hole_shape(post: PlacedPost) -> tuple[Geometry, float]:
    """Return the hole of a post in plan: a square one, or the middle of a round one and its radius.

    The post must take some of the ground.
    """
    import shapely

    foot = post.plan.foot
    hole = foot.taken
    assert hole is not None
    if isinstance(hole, RoundHole):
        return shapely.Point(post.frame.point((0.0, foot.aside, 0.0))[:2]), hole.diameter / 2.0
    w, d = hole.width / 2.0, hole.depth / 2.0
    near, far = foot.aside - d, foot.aside + d
    corners = ((-w, near), (w, near), (w, far), (-w, far))
    return shapely.Polygon([post.frame.point((x, y, 0.0))[:2] for x, y in corners]), 0.0


def _crossings(
    feature: Feature, layout: RunLayout, bounds: NDArray[np.float64]
) -> Iterator[Crossing]:
    """Yield where a line crosses that of a run, in the order of its legs. bounds : of the legs."""
    near = bounds_near(bounds, feature.bounds, 1.0) if len(feature.points) > 1 else []
    if not near:
        return
    posts = sorted(layout.posts, key=lambda post: post.chainage)
    places = [post.chainage for post in posts]
    for number in near:
        leg = layout.legs[number]
        for x in sorted(feature.crossings(leg)):
            chainage = layout.run.line.chainage(leg.before + x)
            after = bisect_right(places, chainage + 1e-6)
            first, last = posts[max(after - 1, 0)].label, posts[after % len(posts)].label
            yield Crossing(layout.run.called, chainage, first, last)


ROUND_FENCE, LEAST_ROUND = 0.12, 2500.0
"""How far round the fence things are shown: share of its size, and least, mm."""


def round_fence(fence: FenceModel, least: float = LEAST_ROUND) -> Geometry | None:
    """Return the part of the site in which things are shown, None where there are none.

    least : how far round the fence at least, mm.
    """
    if not fence.job.features:
        return None
    import shapely

    at = [(x, y) for run in fence.job.runs for x, y, _ in run.line.vertices]
    xs, ys = zip(*at, strict=True)
    more = max(least, ROUND_FENCE * max(max(xs) - min(xs), max(ys) - min(ys)))
    return shapely.box(min(xs) - more, min(ys) - more, max(xs) + more, max(ys) + more)


def body_of(feature: Feature) -> Geometry:
    """Return what a thing covers in plan: its area, or its line or point as wide as it is said."""
    shape = shape_of(feature)
    if feature.width > 0.0 and not feature.closed:
        style = "round" if len(feature.points) == 1 else "flat"
        return shape.buffer(feature.width / 2.0, cap_style=style)
    return shape
