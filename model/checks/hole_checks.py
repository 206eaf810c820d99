"""Checks of how posts stand in the ground: how deep, and in holes that keep apart."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

import numpy as np

from palewright.model.basis import finding_register as register
from palewright.model.basis.findings import Finding
from palewright.model.basis.units import format_length as mm
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.shapes import Hole, RoundHole
from palewright.model.layout.placed_posts import PlacedPost
from palewright.model.layout.run_layout import RunLayout, footed_posts
from palewright.model.lists.crossings import hole_shape

SHALLOWEST = 450.0
"""Least depth of a post, mm (common practice)."""

COVER = 75.0
"""Least concrete around a post, mm (common practice)."""

LEAST_SHARE = 0.25
"""Least share of a post that is in the ground (common practice)."""

_TOUCH = 1.0
"""Holes that share less of the plan only touch, mm2."""


def embedment_findings(layout: RunLayout) -> Iterator[Finding]:
    """Yield the kinds of posts that stand too shallow."""
    for kind, posts in footed_posts(layout):
        if not posts[0].plan.foot.buried:
            continue
        depth = posts[0].plan.embedment
        if depth < SHALLOWEST - 0.05:
            yield register.POST_SHALLOW.at(
                f"{layout.run.called}, {kind} posts",
                f"{mm(depth)} mm",
                f"{mm(SHALLOWEST)} mm or more",
                text="the ground dries, freezes and is dug this far down; raise posts.embedment",
            )
        share = depth / (depth + max(post.top for post in posts))
        if share < LEAST_SHARE:
            yield register.POST_SHALLOW.at(
                f"{layout.run.called}, {kind} posts",
                f"{share:.0%}",
                f"{LEAST_SHARE:.0%} or more",
            )


def holes_that_meet(fence: FenceModel) -> Iterator[Finding]:
    """Yield pairs of posts, of whatever runs, whose holes run into each other."""
    import shapely

    posts = [
        (post, post.plan.foot.taken)
        for layout in fence.layouts
        for post in layout.posts
        if post.plan.foot.taken is not None
    ]
    holes = np.array([_hole_in_plan(post) for post, _ in posts], dtype=object)
    ones, others = shapely.STRtree(holes).query(holes, predicate="intersects")
    for a, b in sorted(zip(ones.tolist(), others.tolist(), strict=True)):
        if a >= b or shapely.area(shapely.intersection(holes[a], holes[b])) < _TOUCH:
            continue
        (first, hole), (last, other) = posts[a], posts[b]
        apart = math.dist(first.frame.origin[:2], last.frame.origin[:2])
        clear = (_across(hole) + _across(other)) / 2.0
        yield register.HOLES_MEET.at(
            f"{first.label} and {last.label}", f"{mm(apart)} mm apart", f"{mm(clear)} mm or more"
        )


def _hole_in_plan(post: PlacedPost) -> Any:
    """Return a hole's outline on the site, as a polygon of shapely."""
    shape, radius = hole_shape(post)
    return shape.buffer(radius, quad_segs=16) if radius else shape


def _across(hole: Hole) -> float:
    return hole.diameter if isinstance(hole, RoundHole) else max(hole.width, hole.depth)


def hole_room_findings(layout: RunLayout) -> Iterator[Finding]:
    """Yield kinds of posts with less concrete around them than can be tamped."""
    for kind, posts in footed_posts(layout):
        plan, dug = posts[0].plan, posts[0].plan.foot.dug
        if dug is None:
            continue
        hole = dug.hole
        if isinstance(hole, RoundHole):
            cover = (hole.diameter - max(plan.width, plan.depth)) / 2.0
        else:
            cover = min(hole.width - plan.width, hole.depth - plan.depth) / 2.0
        if cover < COVER - 0.05:
            yield register.HOLE_NARROW.at(
                f"{layout.run.called}, {kind} posts",
                f"{mm(cover)} mm of {dug.fill}",
                f"{mm(COVER)} mm or more",
            )
