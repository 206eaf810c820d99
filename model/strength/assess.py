"""A fence against the wind: the governing post of each kind, rails, bolts and nails of a run."""

from __future__ import annotations

from palewright.model.basis.units import format_length as mm
from palewright.model.fence.fence_model import FenceModel
from palewright.model.layout.placed_posts import PlacedPost
from palewright.model.layout.run_layout import RunLayout

from .post_strength import governing_posts, loads_on_post, post_checks
from .rail_strength import rail_assessment
from .steps import Assessment
from .wind_on_run import WindOn, shown_by, wind_on


def assess(fence: FenceModel) -> tuple[Assessment, ...]:
    """Return the checks of a fence against wind; none when the spec gives no wind."""
    wind = fence.job.wind
    if wind is None:
        return ()
    places: list[Assessment] = []
    for number, layout in enumerate(fence.layouts):
        if not any(stretch.pales for stretch in layout.stretches):
            continue
        shown = shown_by(fence, number)
        for post, width, away in governing_posts(layout).values():
            on = wind_on(fence, layout.run, wind, shown, away)
            places.append(_post(layout, on, post, width))
        on = wind_on(fence, layout.run, wind, shown, 0.0)
        places.append(rail_assessment(layout, on, fence.job.fixings))
    return tuple(places)


def _post(layout: RunLayout, on: WindOn, post: PlacedPost, width: float) -> Assessment:
    loads = loads_on_post(on, width)
    return Assessment(
        f"post {post.label}, chainage {mm(post.chainage, 0)}",
        f"{post.kind.capitalize()} post {post.label}",
        loads.steps,
        tuple(post_checks(layout, on, post, loads)),
    )
