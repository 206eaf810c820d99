"""Legs as they were given or measured, beside the same legs along the posts."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.frames import Point
from palewright.model.layout.run_layout import RunLayout
from palewright.model.spec.leg_keys import LegSpec

ALIKE = 0.05
"""A string nearer to the line that is given is on it, mm."""


@dataclass(frozen=True)
class GivenLeg:
    """A leg in the order in which it was given; lengths in mm.

    run : what its run is called; number : of the leg, from 1; length : as given, None where nobody
    measured it; walked : what was measured, None for a line by points or of a survey; stands :
    along the posts; string : from the given line to the front faces of the line posts, to the back
    of the fence positive; None where the line that is given is theirs.
    """

    run: str
    number: int
    length: float | None
    walked: LegSpec | None
    stands: float
    string: float | None


def given_legs(fence: FenceModel) -> tuple[GivenLeg, ...]:
    """Return the legs of runs that were walked, or whose given line is not that of the posts;
    none of curves, whose chords nobody gave.
    """
    return tuple(leg for layout in fence.layouts for leg in _legs(layout))


def _legs(layout: RunLayout) -> Iterator[GivenLeg]:
    run, legs = layout.run, layout.legs
    if (run.walked is None and not run.given) or any(
        leg.bent_start or leg.bent_end for leg in legs
    ):
        return
    ordered = legs[::-1] if run.line.turned else legs
    points = run.given
    if points and run.line.closed:
        points = (*points, points[0])
    lengths: list[float | None] = [math.dist(a, b) for a, b in pairwise(points)]
    walked: tuple[LegSpec | None, ...] = (None,) * len(legs)
    if run.walked is not None:
        walked = run.walked.legs
        lengths = [leg.length for leg in run.walked.legs]
    if not len(lengths) == len(walked) == len(ordered):
        return
    string = _string(layout, points) if points else None
    for number, (leg, length, told) in enumerate(zip(ordered, lengths, walked, strict=True), 1):
        yield GivenLeg(run.called, number, length, told, leg.length, string)


def _string(layout: RunLayout, points: tuple[Point, ...]) -> float:
    """Return how far the front faces of the line posts are behind the line that is given, mm."""
    import shapely

    leg = max(layout.legs, key=lambda one: round(one.length, 1))
    middle = leg.frame.point((leg.length / 2.0, 0.0, 0.0))
    spot = shapely.shortest_line(shapely.LineString(points), shapely.Point(middle[:2]))
    x, y = shapely.get_coordinates(spot)[0]
    behind = -leg.frame.local((float(x), float(y), leg.start[2]))[1] - layout.run.face
    return behind if abs(behind) > ALIKE else 0.0
