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

LEAST_SHARE = 0.25
"""Least share of a post that is in the ground (common practice)."""


def embedment_findings(layout: RunLayout) -> Iterator[Finding]:
    """Yield the kinds of posts that stand too shallow."""
    for kind, posts in footed_posts(layout):
        depth = posts[0].plan.embedment
        share = depth / (depth + max(post.top for post in posts))
        if share < LEAST_SHARE:
            yield register.POST_SHALLOW.at(
                f"run {layout.run.letter}, {kind} posts",
                f"{share:.0%}",
                f"{LEAST_SHARE:.0%} or more",
            )


def hole_findings(layout: RunLayout) -> Iterator[Finding]:
    """Yield neighbouring holes that run into each other, measured along the line of their posts."""
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
