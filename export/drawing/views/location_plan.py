"""The plan that shows where a site is: roads with their names, houses, edges of the land."""

from __future__ import annotations

from typing import TYPE_CHECKING

from palewright.export.drawing.draft import style as layers
from palewright.export.drawing.draft.drafting import Draft
from palewright.export.drawing.draft.view import Item, Line, View
from palewright.model.basis.text import plain
from palewright.model.fence.fence_model import FenceModel
from palewright.model.lists.crossings import body_of
from palewright.model.site.features import Feature

from .placing import Placer
from .plan_symbols import below, north
from .site_things import names_in, things_in

if TYPE_CHECKING:
    from shapely import Geometry

SHOWN = ("road", "path", "house", "boundary", "wall", "hedge")
"""Kinds of things by which a place is found on a map."""

LEAST_ROADS = 2
"""A location plan names at least so many roads (validation checklists of two councils)."""

HALF = 55.0
"""Half the side of a location plan that is not larger than it needs to be, mm on paper."""

PAST = 12.0
"""How far it reaches past the site, mm on paper."""

BEYOND = 90.0
"""Paper round a location plan that no name stands on, mm."""


def located_in(fence: FenceModel, n: float) -> Geometry:
    """Return the part of the site that a location plan at 1:n shows: round the fence and the
    land of the applicant, as far as things are known.
    """
    import shapely

    features = _shown(fence)
    core = [shapely.LineString([v[:2] for v in lay.run.line.vertices]) for lay in fence.layouts]
    core += [body_of(feature) for feature in features if feature.land]
    left, low, right, high = shapely.union_all(core).bounds
    x, y = (left + right) / 2.0, (low + high) / 2.0
    wide = max(HALF * n, (right - left) / 2.0 + PAST * n)
    tall = max(HALF * n, (high - low) / 2.0 + PAST * n)
    window = shapely.box(x - wide, y - tall, x + wide, y + tall)
    known = [body_of(feature).intersection(window) for feature in features]
    bounds = shapely.union_all([*core, *(one for one in known if not one.is_empty)]).bounds
    more = 4.0 * n
    around = shapely.box(bounds[0] - more, bounds[1] - more, bounds[2] + more, bounds[3] + more)
    return window.intersection(around)


def roads_named(fence: FenceModel, window: Geometry) -> tuple[str, ...]:
    """Return the names of the roads in a window, each once, in the order of the spec."""
    return tuple(
        dict.fromkeys(
            plain(feature.name)
            for feature in fence.job.features
            if feature.kind == "road" and feature.name and body_of(feature).intersects(window)
        )
    )


def location_plan(fence: FenceModel, draft: Draft) -> View:
    """Return the plan of where the site is: x east, y north."""
    window = located_in(fence, draft.n)
    features = _shown(fence)
    placer = Placer(draft)
    items: list[Item] = list(things_in(window, features, draft))
    for layout in fence.layouts:
        points = tuple(v[:2] for v in layout.run.line.vertices)
        items.append(Line.through(points, layers.BOUNDARY, closed=layout.run.line.closed))
    for item in items:
        placer.take(item)
    left, low, right, high = window.bounds
    past = draft.full(BEYOND)
    for x0, y0, x1, y1 in (
        (left - past, low - past, left, high + past),
        (right, low - past, right + past, high + past),
        (left, low - past, right, low),
        (left, high, right, high + past),
    ):
        placer.keep_clear([(x0, y0), (x1, y0), (x1, y1), (x0, y1)])
    roads = [feature for feature in features if feature.kind == "road" and feature.name]
    others = [feature for feature in features if feature.kind != "road" and feature.name]
    items += names_in(window, [*roads, *others], fence, placer, led=True)
    frame = ((left, low), (right, low), (right, high), (left, high))
    items.append(Line.through(frame, layers.RULE, closed=True))
    items += north(items, draft)
    return View(
        "Location plan", draft.n, tuple(items), titled_at=below(items, draft),
        scale_text=draft.scale.text,
    )  # fmt: skip


def _shown(fence: FenceModel) -> list[Feature]:
    return [one for one in fence.job.features if one.kind in SHOWN and not one.goes]
