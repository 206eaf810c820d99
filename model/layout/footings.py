"""The concrete round the feet of posts."""

from __future__ import annotations

from palewright.model.geometry.shapes import Footing, tidy
from palewright.model.resolved.job import RunJob
from palewright.model.resolved.post_plan import PostPlan


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
