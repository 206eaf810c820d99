"""Checks of holes against what is to be kept free on the site, of every post."""

from __future__ import annotations

from collections.abc import Iterator

from palewright.model.basis import finding_register as register
from palewright.model.basis.findings import Finding
from palewright.model.basis.units import format_length as mm
from palewright.model.fence.fence_model import FenceModel
from palewright.model.layout.run_layout import RunLayout, stations_of_leg
from palewright.model.lists.crossings import NearThing, hole_shape, near_things
from palewright.model.resolved.words import PostRole
from palewright.model.site.features import SERVICES

DIG_NEAR = 1000.0
"""Holes nearer to a service of unknown width are told of, mm (common practice, no source)."""

ASKEW = 15.0
"""The same of posts that stand: a square hole is taken to be as askew as its post (common practice,
no source), mm.
"""

SAME = 0.5
"""A hole that reaches so far into what is free does not count, mm."""


def clear_findings(fence: FenceModel) -> Iterator[Finding]:
    """Yield holes where the spec wants none, and services that nobody gave a width for."""
    standing = bool(fence.job.planned)
    for thing in near_things(fence):
        yield from _near(thing, standing=standing)
    for layout in fence.layouts:
        yield from _kept_free(layout)
        yield from _over_boundary(layout, ASKEW if standing else SAME)
        yield from _posts(layout)


def _near(thing: NearThing, *, standing: bool) -> Iterator[Finding]:
    """Yield what a hole is too near to. standing : whether the posts stand already."""
    feature = thing.feature
    service = feature.kind in SERVICES
    where = f"post {thing.post} and {feature.called}"
    if feature.keeps_clear and thing.apart < -SAME:
        stops = service and not standing
        found = register.HOLE_ON_SERVICE if stops else register.HOLE_IN_CLEAR
        yield found.at(where, f"{mm(-thing.apart)} mm too near", "0 mm")
    if feature.kind == "boundary" and not feature.goes and thing.apart + feature.reach <= 0.0:
        yield register.OVER_BOUNDARY.at(where, "at it or over it", "within it")
    unknown = service and feature.clear is None and not feature.goes
    if unknown and (thing.crossings or thing.apart < DIG_NEAR):
        yield register.SERVICE_WIDTH.at(feature.called, "", "")


def _kept_free(layout: RunLayout) -> Iterator[Finding]:
    """Yield posts that stand in a part of the run that is to be without."""
    for number, zones in enumerate(layout.run.zones):
        own = [zone for zone in zones if zone.said]
        if not own:
            continue
        for x, post in stations_of_leg(layout, number):
            for zone in own:
                inside = min(x - zone.start, zone.end - x)
                if post.plan.foot.taken is not None and inside > SAME:
                    yield register.HOLE_IN_CLEAR.at(
                        f"post {post.label} and {zone.what}", f"{mm(inside)} mm too near", "0 mm"
                    )


def _over_boundary(layout: RunLayout, slack: float) -> Iterator[Finding]:
    """Yield posts whose holes come over the boundary that the run's line was given by.

    slack : what does not count, mm.
    """
    import shapely  # only lines given by a boundary are measured

    run = layout.run
    if not run.line_is.startswith("boundary"):
        return
    ring = [*run.given, run.given[0]] if run.line.closed else list(run.given)
    line = shapely.LineString(ring)
    front = run.line_is == "boundary in front"
    told: set[str] = set()  # a corner stands at both of its legs
    for number, leg in enumerate(layout.legs):
        for _, post in stations_of_leg(layout, number):
            if post.plan.foot.taken is None or post.label in told:
                continue
            shape, radius = hole_shape(post)
            spot = line.interpolate(line.project(shapely.Point(post.frame.origin[:2])))
            side = leg.frame.local((spot.x, spot.y, leg.start[2]))[1]
            middle = leg.frame.local(post.frame.origin)[1]
            beyond = side > middle if front else side < middle
            free = float(shapely.distance(shape, line)) - radius
            if beyond or free < -slack or shape.buffer(-slack).intersects(line):
                told.add(post.label)
                yield register.OVER_BOUNDARY.at(f"post {post.label}", "over it", "within it")


def _posts(layout: RunLayout) -> Iterator[Finding]:
    """Yield posts lower than their rails, and those that are kept."""
    run = layout.run
    for post in layout.posts:
        if post.kind == PostRole.WALL:
            continue
        low = run.rails.tops[-1] - post.lowered + post.rise - post.top
        if low > SAME:
            yield register.POST_LOW.at(f"post {post.label}", f"{mm(low)} mm lower", "0 mm")
        if post.kept:
            yield register.POST_KEPT.at(f"post {post.label}", "", "")
