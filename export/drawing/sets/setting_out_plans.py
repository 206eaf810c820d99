"""The setting-out plan of a set: one where it can say where each post is, else in parts."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from palewright.export.drawing.draft.lettering import text_width
from palewright.export.drawing.draft.paper import bounds, on_paper
from palewright.export.drawing.draft.scales import Scale, scale_named, scales
from palewright.export.drawing.draft.view import View
from palewright.export.drawing.sheets.free_paper import free_boxes
from palewright.export.drawing.views.part_plans import (
    PlanPart,
    halves,
    key_plan,
    part_plan,
    parts_that_fit,
)
from palewright.export.drawing.views.plan import chainages_missing, setting_out_plan
from palewright.export.drawing.views.plan_labels import turns_of
from palewright.export.drawing.views.post_chainages import MOST_ROWS, full_name
from palewright.model.fence.fence_model import FenceModel
from palewright.model.lists.takeoff import fence_length

from .brief import Brief, as_large_as_fits, fitted_plan, fitting_by_extents, some_hold

LARGEST_PLAN = 50.0
"""The plan is not drawn larger than 1:n when not chosen."""

MOST_PARTS = 60
"""A plan is not cut into more parts than about this: the scale is made smaller instead."""

ROOMY, CROWDED = 3.4, 1.4
"""From post to post on paper, mm: so much lets each have its chainage across the line; with less
than the other on one plan it need not be drawn to know that most have none."""


def setting_out_views(brief: Brief) -> list[View]:
    """Return the plan to set posts out from, as large as fits; a key and parts where a single
    one has no room for the chainages. The first of them keeps the site's coordinates.
    """
    first, *others = _setting_out_views(brief)
    return [replace(first, sited=True), *others]


def _setting_out_views(brief: Brief) -> list[View]:
    fence, whole = brief.fence, None
    if _pitch(fence) / fitting_by_extents(brief, LARGEST_PLAN).n >= CROWDED:
        whole = fitted_plan(setting_out_plan, brief, LARGEST_PLAN)
        missing = chainages_missing(fence, whole.items, brief.draft_at(whole.scale))
        if len(missing) <= MOST_ROWS and _fits(brief, whole):
            return [whole]
    scale, parts = _cut(brief)
    if len(parts) < 2:
        return [whole or fitted_plan(setting_out_plan, brief, LARGEST_PLAN)]
    return _drawn(brief, scale, parts)


def _pitch(fence: FenceModel) -> float:
    """Return the mean distance from post to post, mm."""
    posts = sum(len(layout.posts) for layout in fence.layouts)
    return fence_length(fence) / max(posts, 1)


def _scales(brief: Brief) -> list[Scale]:
    """Return the scales that parts may have, the best first."""
    units, chosen = brief.figures.units, brief.fence.job.sheets.plan_scale
    if chosen is not None:
        smaller = [scale for scale in scales(units) if scale.n > chosen]
        return [scale_named(chosen, units), *smaller]  # where it would take too many parts
    most = max(_pitch(brief.fence) / ROOMY, LARGEST_PLAN)
    allowed = [scale for scale in scales(units) if scale.n >= LARGEST_PLAN * 0.96]
    small = [scale for scale in allowed if scale.n > most]
    return [max((s for s in allowed if s.n <= most), key=lambda s: s.n, default=allowed[0]), *small]


def _cut(brief: Brief) -> tuple[Scale, list[PlanPart]]:
    """Return the scale of the parts, and the parts."""
    wide, high = _room_for_posts(brief)
    choices = _scales(brief)
    for scale in choices:
        size = wide * scale.n, high * scale.n
        parts = [
            part
            for run, layout in enumerate(brief.fence.layouts)
            for part in parts_that_fit(layout, run, size)
        ]
        if len(parts) <= MOST_PARTS or scale is choices[-1]:
            break
    return scale, parts


def _room_for_posts(brief: Brief) -> tuple[float, float]:
    """Return the paper that posts of a part may take, when all about them has its place, mm."""
    label = max(
        text_width(full_name(post, turns.get(post.label, 0.0), draft), draft.text)
        for draft in (brief.draft_at(LARGEST_PLAN),)
        for layout in brief.fence.layouts
        for turns in (turns_of(layout),)
        for post in layout.posts
    )
    wide, high = brief.room
    return max(wide - 2.0 * label - 24.0, 60.0), max(high - 2.0 * label - 30.0, 60.0)


def _drawn(brief: Brief, scale: Scale, parts: Sequence[PlanPart]) -> list[View]:
    """Return the key and the parts; a part that has no room after all is cut in two."""
    fence, draft = brief.fence, brief.draft(scale)
    waiting = list(reversed(parts))
    done: list[PlanPart] = []
    views: list[View] = []
    while waiting:
        part, number = waiting.pop(), len(done) + 1
        before = number - 1 if done and done[-1].run == part.run else 0
        after = number + 1 if waiting and waiting[-1].run == part.run else 0
        part = replace(part, before=before, after=after)
        view = part_plan(fence, part, number, draft)
        if len(part.posts) > 2 and not _fits(brief, view):
            waiting += reversed(halves(part))
            continue
        done.append(part)
        views.append(view)
    for first, last in _rings(fence, done):
        done[first] = replace(done[first], before=last + 1)
        done[last] = replace(done[last], after=first + 1)
        for place in (first, last):
            views[place] = part_plan(fence, done[place], place + 1, draft)
    key = as_large_as_fits(lambda fence, draft: key_plan(fence, done, draft), brief, LARGEST_PLAN)
    return [key, *views]


def _rings(fence: FenceModel, parts: Sequence[PlanPart]) -> Iterator[tuple[int, int]]:
    """Yield the places of the first and the last part of each closed run that is cut."""
    for run, layout in enumerate(fence.layouts):
        own = [place for place, part in enumerate(parts) if part.run == run]
        if layout.run.line.closed and len(own) > 1:
            yield own[0], own[-1]


def _fits(brief: Brief, view: View) -> bool:
    left, low, right, high = bounds(on_paper(view, brief.style))
    return some_hold(free_boxes(brief.size), (right - left - 1e-6, high - low - 1e-6))
