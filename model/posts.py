"""Posts, their caps and their footings as pieces."""

from __future__ import annotations

from collections.abc import Iterator

from .geometry import Frame
from .layout import PlacedPost, RunLayout
from .members import CAP, FOOTING, POST, Kind, Piece
from .shapes import Footing, Post, Shape, tidy

ROLES = {"line": "line post", "end": "end post", "corner": "corner post", "gate": "gate post"}


def post_top(layout: RunLayout, post: PlacedPost) -> float:
    """Return the height of a post's highest point over ground, mm, without a cap."""
    return layout.run.tops[-1] + post.plan.above_rail


def post_members(layout: RunLayout, number: int, group: str, leg: int) -> Iterator[Piece]:
    """Yield a post, its footing and its cap."""
    post = layout.posts[number]
    plan, footings = post.plan, layout.run.footings
    top = post_top(layout, post)
    shape = Post(plan.width, plan.depth, tidy(plan.embedment + top), plan.top)
    footing = Footing(
        layout.run.hole(),
        footings.bed,
        plan.embedment,
        plan.width,
        plan.depth,
        footings.weathering,
    )
    made: list[tuple[Kind, Shape, float]] = [
        (POST, shape, -plan.embedment),
        (FOOTING, footing, 0.0),
    ]
    if plan.cap is not None:
        made.append((CAP, plan.cap, top))
    for kind, part, z in made:
        frame = post.frame @ Frame.at(0.0, 0.0, z)
        yield Piece(kind, part, frame, group, ROLES[post.kind], leg, station=post.label)
