"""Checks of how posts stand in the ground: how deep, and in holes that keep apart."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise

from palewright.model.basis import finding_register as register
from palewright.model.basis.findings import Finding
from palewright.model.basis.units import format_length as mm
from palewright.model.geometry.shapes import RoundHole
from palewright.model.layout.run_layout import RunLayout, footed_posts

SHALLOWEST = 450.0
"""Least depth of a post, mm (common practice)."""

COVER = 75.0
"""Least concrete around a post, mm (common practice)."""

LEAST_SHARE = 0.25
"""Least share of a post that is in the ground (common practice)."""


def embedment_findings(layout: RunLayout) -> Iterator[Finding]:
    """Yield the kinds of posts that stand too shallow."""
    for kind, posts in footed_posts(layout):
        depth = posts[0].plan.embedment
        if depth < SHALLOWEST - 0.05:
            yield register.POST_SHALLOW.at(
                f"run {layout.run.letter}, {kind} posts",
                f"{mm(depth)} mm",
                f"{mm(SHALLOWEST)} mm or more",
                text="the ground dries, freezes and is dug this far down; raise posts.embedment",
            )
        share = depth / (depth + max(post.top for post in posts))
        if share < LEAST_SHARE:
            yield register.POST_SHALLOW.at(
                f"run {layout.run.letter}, {kind} posts",
                f"{share:.0%}",
                f"{LEAST_SHARE:.0%} or more",
            )


def hole_findings(layout: RunLayout) -> Iterator[Finding]:
    """Yield holes without room for their posts, and neighbours that run into each other, measured
    along the line of their posts.
    """
    yield from _room_in_holes(layout)
    posts = sorted(layout.posts, key=lambda post: post.chainage)
    neighbours = list(pairwise(posts))
    if layout.run.line.closed:
        neighbours.append((posts[-1], posts[0]))
    hole = layout.run.footings.hole
    size = hole.diameter if isinstance(hole, RoundHole) else max(hole.width, hole.depth)
    for first, last in neighbours:
        apart = math.dist(first.frame.origin[:2], last.frame.origin[:2])
        if apart < size:
            yield register.HOLES_MEET.at(
                f"{first.label} and {last.label}", f"{mm(apart)} mm apart", f"{mm(size)} mm or more"
            )


def _room_in_holes(layout: RunLayout) -> Iterator[Finding]:
    """Yield kinds of posts with less concrete around them than can be tamped."""
    hole = layout.run.footings.hole
    for kind, posts in footed_posts(layout):
        plan = posts[0].plan
        if isinstance(hole, RoundHole):
            cover = (hole.diameter - max(plan.width, plan.depth)) / 2.0
        else:
            cover = min(hole.width - plan.width, hole.depth - plan.depth) / 2.0
        if cover < COVER - 0.05:
            yield register.HOLE_NARROW.at(
                f"run {layout.run.letter}, {kind} posts",
                f"{mm(cover)} mm of concrete",
                f"{mm(COVER)} mm or more",
            )
