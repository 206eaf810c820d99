"""A line square across a fence, from a road to a house: what it crosses, and the ground on it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.frames import Point
from palewright.model.layout.placed_posts import PlacedPost
from palewright.model.layout.run_layout import Opening, RunLayout, stations_of_leg
from palewright.model.layout.side_ground import Side, ground_beside
from palewright.model.site.features import Feature, Points, bounds_near, bounds_of
from palewright.model.site.surface_profile import profile_along

from .crossings import body_of

REACH = 15_000.0
"""How far a section reaches from the fence on either side, mm."""

KNOWN = 500.0
"""How far from the fence its own ground is taken to go on where no surface is known, mm."""

CROSSED = ("road", "path", "kerb", "house", "wall", "hedge", "fence", "boundary")
"""Kinds of things that a section shows."""


@dataclass(frozen=True)
class CrossedThing:
    """A thing on a section. front, back : from where to where, mm behind the fence's line."""

    feature: Feature
    front: float
    back: float


@dataclass(frozen=True)
class CrossSection:
    """A section of the site square to a leg of a fence.

    x : along the leg, mm; opening : the gate it goes through, None beside one; post : the nearest
    that is seen; things : from the front to the back; ground : parts of it that are known, as
    (mm behind the fence's line, mm over the leg's start).
    """

    layout: RunLayout
    leg: int
    x: float
    opening: Opening | None
    post: PlacedPost
    things: tuple[CrossedThing, ...]
    ground: tuple[tuple[Point, ...], ...]

    def beside(self, side: float) -> float:
        """Return the ground next to the fence in front (-1.0) or behind (1.0), mm."""
        words: Side = "front" if side < 0.0 else "back"
        return ground_beside(self.layout, self.leg, (self.x, self.x), words)[0][1]


def cross_section(fence: FenceModel) -> CrossSection | None:
    """Return the section that crosses the most: through a gate, where there is one, else through
    the middle of a longest leg; None where it would cross nothing.
    """
    features = [one for one in fence.job.features if one.kind in CROSSED and len(one.points) > 1]
    if not features:
        return None
    bounds = bounds_of(features)
    crossed = [(place, _things((features, bounds), place)) for place in _places(fence)]
    best = max(crossed, key=lambda one: (len(one[1]), _width(one[0][3])), default=None)
    if best is None or not best[1]:
        return None
    (layout, leg, x, opening), things = best
    stations = stations_of_leg(layout, leg)
    _, post = min(stations, key=lambda station: round(abs(station[0] - x), 1))
    return CrossSection(
        layout, leg, x, opening, post, things, tuple(_ground(fence, layout, leg, x))
    )


Place = tuple[RunLayout, int, float, Opening | None]


def _places(fence: FenceModel) -> Iterator[Place]:
    gates = [(lay, opening) for lay in fence.layouts for opening in lay.openings]
    for layout, opening in gates:
        yield layout, opening.leg_number, (opening.start + opening.end) / 2.0, opening
    if not gates:
        for layout in fence.layouts:
            number, leg = max(enumerate(layout.legs), key=lambda one: round(one[1].length, 1))
            yield layout, number, leg.length / 2.0, None


def _width(opening: Opening | None) -> float:
    return round(opening.end - opening.start, 1) if opening else 0.0


def _ends(layout: RunLayout, leg: int, x: float) -> tuple[Point, Point]:
    """Return the ends of a section in plan, mm."""
    frame = layout.legs[leg].frame
    front, back = (frame.point((x, y, 0.0)) for y in (-REACH, REACH))
    return (front[0], front[1]), (back[0], back[1])


def _things(known: tuple[list[Feature], Points], place: Place) -> tuple[CrossedThing, ...]:
    """Return what a section crosses, from the front to the back. known : things, their bounds."""
    import shapely  # only sites with features ask

    features, bounds = known
    layout, leg, x, _ = place
    (ax, ay), (bx, by) = _ends(layout, leg, x)
    box = min(ax, bx), min(ay, by), max(ax, bx), max(ay, by)
    line = shapely.LineString([(ax, ay), (bx, by)])
    frame = layout.legs[leg].frame
    found = []
    for near in bounds_near(bounds, box, 1.0):
        feature = features[near]
        body = body_of(feature)
        across = line.intersection(body.boundary if feature.kind == "boundary" else body)
        if feature.kind == "boundary" and not feature.closed:
            across = line.intersection(body)
        for part in shapely.get_parts(across):
            ys = [frame.local((px, py, 0.0))[1] for px, py in shapely.get_coordinates(part)]
            if ys:
                found.append(CrossedThing(feature, min(ys), max(ys)))
    return tuple(sorted(found, key=lambda one: (one.front, one.back, one.feature.place)))


def _ground(
    fence: FenceModel, layout: RunLayout, leg: int, x: float
) -> Iterator[tuple[Point, ...]]:
    """Yield the parts of the ground that are known."""
    start = layout.legs[leg].start[2]
    if fence.job.ground is not None:
        profile = profile_along(fence.job.ground, _ends(layout, leg, x))
        edges = [0.0, *(end for span in profile.outside for end in span), 2.0 * REACH]
        for low, high in zip(edges[::2], edges[1::2], strict=True):
            inside = [(d - REACH, z - start) for d, z in profile.knots if low <= d <= high]
            if len(inside) > 1:
                yield tuple(inside)
        return
    front = ground_beside(layout, leg, (x, x), "front")[0][1]
    back = ground_beside(layout, leg, (x, x), "back")[0][1]
    yield (-KNOWN, front), (0.0, front), (0.0, back), (KNOWN, back)
