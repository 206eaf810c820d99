"""Checks of holes against what is to be kept free on the site, of every post."""

from __future__ import annotations

from collections.abc import Iterator

from palewright.model.basis import finding_register as register
from palewright.model.basis.findings import Finding
from palewright.model.basis.units import format_length as mm
from palewright.model.fence.fence_model import FenceModel
from palewright.model.layout.run_layout import RunLayout, stations_of_leg
from palewright.model.lists.crossings import NearThing, near_things
from palewright.model.site.features import SERVICES

DIG_NEAR = 1000.0
"""Holes nearer to a service of unknown width are told of, mm (common practice, no source)."""

SAME = 0.5
"""A hole that reaches so far into what is free does not count, mm."""


def clear_findings(fence: FenceModel) -> Iterator[Finding]:
    """Yield holes where the spec wants none, and services that nobody gave a width for."""
    for thing in near_things(fence):
        yield from _near(thing)
    for layout in fence.layouts:
        yield from _kept_free(layout)


def _near(thing: NearThing) -> Iterator[Finding]:
    feature = thing.feature
    service = feature.kind in SERVICES
    where = f"post {thing.post} and {feature.called}"
    if feature.keeps_clear and thing.apart < -SAME:
        found = register.HOLE_ON_SERVICE if service else register.HOLE_IN_CLEAR
        yield found.at(where, f"{mm(-thing.apart)} mm too near", "0 mm")
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
                if post.footing is not None and inside > SAME:
                    yield register.HOLE_IN_CLEAR.at(
                        f"post {post.label} and {zone.what}", f"{mm(inside)} mm too near", "0 mm"
                    )
