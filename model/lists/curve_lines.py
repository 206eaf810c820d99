"""Curves to set out: radius, centre, tangent points, and offsets from the chord post by post."""

from __future__ import annotations

import math
from dataclasses import dataclass

from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.frames import Point
from palewright.model.layout.placed_posts import PlacedPost
from palewright.model.layout.run_layout import RunLayout, stations_of_leg

ON_ARC = 0.5
"""Corners of chords no farther than this from one circle lie on it, mm."""

LEAST_KNOWN = 4
"""Part of a curve of several radii has its own from this many corners of chords on."""


@dataclass(frozen=True)
class CurveLine:
    """A curve of a run.

    run : what it is called; first, last : where it begins and ends, tangent points where it is an
    arc between straights, about the job's origin; radius, centre : of its circle, None for a
    curve of no single radius; posts : on it, with how far along its chord and behind it, mm.
    """

    run: str
    first: Point
    last: Point
    radius: float | None
    centre: Point | None
    posts: tuple[tuple[PlacedPost, float, float], ...]

    @property
    def chord(self) -> float:
        """From its beginning to its end, mm."""
        return math.dist(self.first, self.last)


def curve_lines(fence: FenceModel) -> tuple[CurveLine, ...]:
    """Return the curves of each run, from the user's start on."""
    lines = []
    for layout in fence.layouts:
        curves = [_curve(layout, *part) for group in _groups(layout) for part in _arcs(*group)]
        lines += curves[::-1] if layout.run.line.turned else curves
    return tuple(lines)


def _groups(layout: RunLayout) -> list[tuple[list[int], list[Point]]]:
    """Return the legs of each curve, and the corners of its chords."""
    groups: list[list[int]] = []
    for number, leg in enumerate(layout.legs):
        if groups and leg.bent_start and number:
            groups[-1].append(number)
        else:
            groups.append([number])
    return [
        (group, [layout.legs[group[0]].start[:2], *(layout.legs[n].end[:2] for n in group)])
        for group in groups
        if len(group) > 1
    ]


Part = tuple[list[int], list[Point], tuple[Point, float] | None]


def _arcs(legs: list[int], corners: list[Point]) -> list[Part]:
    """Return the parts of a curve that lie on a circle each, or the whole without one."""
    parts: list[Part] = []
    first = 0
    while first < len(legs):
        last = min(first + 2, len(legs))
        circle = _circle(corners[first], corners[last - 1], corners[last])
        while circle and last < len(legs) and _lies_on(corners[last + 1], circle):
            last += 1
            middle = corners[(first + last) // 2]
            circle = _circle(corners[first], middle, corners[last]) or circle
        parts.append((legs[first:last], corners[first : last + 1], circle))
        first = last
    if len(parts) > 1 and any(circle is None or len(at) < LEAST_KNOWN for _, at, circle in parts):
        return [(legs, corners, None)]
    return parts


def _circle(a: Point, b: Point, c: Point) -> tuple[Point, float] | None:
    """Return centre and radius of the circle through three points, None where they are in line."""
    bx, by, cx, cy = b[0] - a[0], b[1] - a[1], c[0] - a[0], c[1] - a[1]
    twice = 2.0 * (bx * cy - by * cx)
    if abs(twice) < 1e-6 * math.hypot(cx, cy) ** 2:
        return None
    bb, cc = bx * bx + by * by, cx * cx + cy * cy
    x, y = (cy * bb - by * cc) / twice, (bx * cc - cx * bb) / twice
    return (a[0] + x, a[1] + y), math.hypot(x, y)


def _lies_on(at: Point, circle: tuple[Point, float]) -> bool:
    return abs(math.dist(at, circle[0]) - circle[1]) <= ON_ARC


def _curve(
    layout: RunLayout, legs: list[int], corners: list[Point], circle: tuple[Point, float] | None
) -> CurveLine:
    first, last = corners[0], corners[-1]
    long = math.dist(first, last) or 1.0
    ux, uy = (last[0] - first[0]) / long, (last[1] - first[1]) / long
    found: dict[str, tuple[PlacedPost, float, float]] = {}
    for number in legs:
        for _, post in stations_of_leg(layout, number):
            x, y = post.frame.origin[0] - first[0], post.frame.origin[1] - first[1]
            along, behind = x * ux + y * uy, y * ux - x * uy
            if layout.run.line.turned:
                along = long - along
            found.setdefault(post.label, (post, along + 0.0, behind + 0.0))
    posts = tuple(sorted(found.values(), key=lambda one: one[0].chainage))
    ends = (last, first) if layout.run.line.turned else (first, last)
    centre, radius = circle or (None, None)
    return CurveLine(layout.run.called, *ends, radius, centre, posts)
