"""How posts and bays as measured differ from the plan."""

from __future__ import annotations

import itertools
from dataclasses import dataclass

from palewright.model.fence.fence_model import FenceModel
from palewright.model.layout.lay_out import lay_out
from palewright.model.layout.run_layout import RunLayout, stations_of_leg


@dataclass(frozen=True)
class PostChange:
    """How a post differs from the plan, mm: along as chainage goes, across to the front, height of
    its top over the ground; packing : from its front to the rails, which run past it, negative
    where they are drawn back to it.
    """

    run: str
    label: str
    along: float
    across: float
    height: float
    packing: float


@dataclass(frozen=True)
class BayChange:
    """A bay between neighbouring posts, from middle to middle along the line: in plan and as
    built; clear : between the posts' faces as built, mm.
    """

    run: str
    first: str
    last: str
    planned: float
    built: float
    clear: float


def post_changes(fence: FenceModel) -> tuple[PostChange, ...]:
    """Return how each post differs from the plan, of runs that were measured."""
    changes = []
    for plan, built in _measured(fence):
        now = {post.label: post for post in built.posts}
        found = {stood.label: stood.moved for stood in built.run.stood}
        way = -1.0 if plan.run.line.turned else 1.0
        order = list(enumerate(plan.legs))
        if not plan.run.line.turned:
            order.reverse()  # so that a corner is told along the leg before it
        legs = {post.label: leg for number, leg in order
                for _, post in stations_of_leg(plan, number)}  # fmt: skip
        tops = {stood.label for stood in built.run.stood if stood.top is not None}
        for post in sorted(plan.posts, key=lambda post: post.chainage):
            (ux, uy, _), (vx, vy, _) = legs[post.label].frame.x, legs[post.label].frame.y
            dx, dy = found[post.label]
            built_post = now[post.label]
            x, y, z = post.frame.origin
            aside = built_post.frame.local((x + dx, y + dy, z))[1]
            changes.append(
                PostChange(
                    plan.run.called, post.label, way * (dx * ux + dy * uy), -(dx * vx + dy * vy),
                    built_post.top - post.top if post.label in tops else 0.0, aside,
                )
            )  # fmt: skip
    return tuple(changes)


def bay_changes(fence: FenceModel) -> tuple[BayChange, ...]:
    """Return each bay in plan and as built, of runs that were measured."""
    changes = []
    for plan, built in _measured(fence):
        was = _bays(plan)
        changes += [
            BayChange(plan.run.called, *labels, was[labels][0], length, clear)
            for labels, (length, clear) in _bays(built).items()
            if labels in was
        ]
    return tuple(changes)


def _measured(fence: FenceModel) -> list[tuple[RunLayout, RunLayout]]:
    """Return the layouts in plan and as built of the runs that differ."""
    return [
        (lay_out(plan), built)
        for plan, built in zip(fence.job.planned, fence.layouts, strict=False)
        if built.run is not plan
    ]


def _bays(layout: RunLayout) -> dict[tuple[str, str], tuple[float, float]]:
    """Return the length and the clear width between neighbouring posts, by their labels."""
    bays = {}
    for number, leg in enumerate(layout.legs):
        for (x0, first), (x1, last) in itertools.pairwise(stations_of_leg(layout, number)):
            labels = (first.label, last.label)
            if layout.run.line.turned:
                labels = labels[::-1]
            clear = last.extent(leg)[0] - first.extent(leg)[1]
            bays[labels] = (x1 - x0, clear)
    return bays
