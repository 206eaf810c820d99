"""How tall posts stand, and the concrete round their feet."""

from __future__ import annotations

from palewright.model.geometry.shapes import Footing, tidy
from palewright.model.resolved.job import PostPlan, RunJob

from .run_layout import PlacedPost, RunLayout


def post_top(layout: RunLayout, post: PlacedPost) -> float:
    """Return the height of a post's highest point over ground, mm, without a cap.

    On sloping ground the rails of its higher bay decide.
    """
    return layout.run.rails.tops[-1] + post.plan.above_rail + post.rise


def full_height(layout: RunLayout, post: PlacedPost) -> float:
    """Return the height of a post over ground, mm, with its cap."""
    return post_top(layout, post) + (post.plan.cap.size[2] if post.plan.cap else 0.0)


def footing_of(run: RunJob, plan: PostPlan, drop: float = 0.0) -> Footing:
    """Return the footing of a post. drop : how far its concrete ends below the ground there."""
    return Footing(
        run.footings.hole,
        run.footings.bed,
        tidy(plan.embedment - drop),
        plan.width,
        plan.depth,
        run.footings.weathering,
    )
