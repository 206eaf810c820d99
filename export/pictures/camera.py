"""Where the camera of a picture stands: far enough off that all it shows fills the picture."""

from __future__ import annotations

import math
from dataclasses import dataclass

from palewright.model.basis.errors import OutputError
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.frames import Vector, cross, dot

VIEW_ANGLE, EYE_ANGLE, FILLED, FITTING_STEPS = 26.0, 50.0, 0.9, 40
"""Upright angles of view, from afar and at eye level, degrees; part of the picture the fence
fills; steps to get there."""

SLIGHT = 20.0
"""Corners that turn by less are none to take a picture of, degrees."""

VIEWS = {"front": (12.0, 9.0), "back": (192.0, 9.0), "corner": (0.0, 14.0), "gate": (24.0, 7.0),
         "eye-level": (0.0, 0.0)}  # fmt: skip
"""What a picture may show, and from where: degrees to the right of straight in front, and above."""

EYE, EYE_AWAY = 1600.0, 3800.0
"""Height of the eyes over the ground and distance from the fence at eye level, mm."""

AROUND = 2200.0
"""How much of the fence beside a corner or a gate is shown, mm."""


@dataclass(frozen=True)
class Viewpoint:
    """Where the picture is taken from.

    of : what it shows, one of VIEWS; azimuth : degrees to the right of straight in front; rise :
    degrees above level; None for what suits the view; width, height : pixels.
    """

    of: str = "front"
    azimuth: float | None = None
    rise: float | None = None
    width: int = 1600
    height: int = 800


def camera_of(fence: FenceModel, view: Viewpoint) -> tuple[float, ...]:
    """Return eye and target (mm), ground level, size of the fence and angle of view (degrees).

    The eye moves back, and sideways, until all that the view shows fills the picture.
    """
    whole: list[Vector] = []
    for layout in fence.layouts:
        for leg in layout.legs:
            for x, y, z in (leg.start, leg.end):
                whole += [(x, y, z), (x, y, z + layout.run.height)]
    low = [min(spot[axis] for spot in whole) for axis in range(3)]
    high = [max(spot[axis] for spot in whole) for axis in range(3)]
    radius = max(math.dist(low, high) / 2.0, 500.0)
    if view.of == "eye-level":
        return *_eye_level(fence), low[2], radius, EYE_ANGLE
    points, (fx, fy) = _shown(fence, view.of, whole)
    azimuth, height = VIEWS[view.of]
    turn = math.atan2(fy, fx) + math.radians(azimuth if view.azimuth is None else view.azimuth)
    rise = math.radians(height if view.rise is None else view.rise)
    low = [min(point[axis] for point in points) for axis in range(3)]
    high = [max(point[axis] for point in points) for axis in range(3)]
    back = (math.cos(turn) * math.cos(rise), math.sin(turn) * math.cos(rise), math.sin(rise))
    right = (-math.sin(turn), math.cos(turn), 0.0)
    up = cross(back, right)
    tall = math.tan(math.radians(VIEW_ANGLE) / 2.0)
    wide = tall * view.width / view.height
    target = ((low[0] + high[0]) / 2, (low[1] + high[1]) / 2, (low[2] + high[2]) / 2)
    away = 2.0 * max(math.dist(low, high), 1000.0)
    for _ in range(FITTING_STEPS):
        xs, ys = [], []
        for point in points:
            offset = (point[0] - target[0], point[1] - target[1], point[2] - target[2])
            depth = max(away - dot(offset, back), 1.0)
            xs.append(dot(offset, right) / depth / wide)
            ys.append(dot(offset, up) / depth / tall)
        dx, dy = (min(xs) + max(xs)) / 2 * wide * away, (min(ys) + max(ys)) / 2 * tall * away
        target = (
            target[0] + dx * right[0] + dy * up[0],
            target[1] + dx * right[1] + dy * up[1],
            target[2] + dx * right[2] + dy * up[2],
        )
        away *= (max(max(xs) - min(xs), max(ys) - min(ys)) / 2.0 / FILLED) ** 0.7
    eye = tuple(target[axis] + away * back[axis] for axis in range(3))
    return *eye, *target, min(point[2] for point in whole), radius, VIEW_ANGLE


def _shown(
    fence: FenceModel, of: str, whole: list[Vector]
) -> tuple[list[Vector], tuple[float, float]]:
    """Return points that a view must show, and the direction it is seen from."""
    if of in ("front", "back"):
        return whole, _front(fence)
    for layout in fence.layouts:
        up = layout.run.height
        if of == "gate" and layout.openings:
            opening = layout.openings[0]
            leg = opening.leg
            xs = (opening.start - AROUND / 2.0, opening.end + AROUND / 2.0)
            points = [leg.frame.point((x, 0.0, opening.base + z)) for x in xs for z in (0.0, up)]
            return points, (-leg.frame.y[0], -leg.frame.y[1])
        for number, leg in enumerate(layout.legs):
            turned = abs(leg.turn_start) >= SLIGHT and not leg.bent_start
            if of == "corner" and turned and (number or layout.run.line.closed):
                before = layout.legs[number - 1]
                ends = [
                    (before, before.length - min(AROUND, before.length)),
                    (leg, 0.0),
                    (leg, min(AROUND, leg.length)),
                ]
                points = [
                    one.frame.point((x, 0.0, one.ground(x) + z)) for one, x in ends
                    for z in (0.0, up)
                ]  # fmt: skip
                # from the side that the fronts face together, or from inside a sharp turn
                sums = [-before.frame.y[axis] - leg.frame.y[axis] for axis in (0, 1)]
                return points, (sums[0], sums[1])
    raise OutputError(f"there is no {of} in this fence to take a picture of")


def _eye_level(fence: FenceModel) -> tuple[float, ...]:
    """Return eye and target of somebody who stands before the longest leg."""
    leg = max((leg for layout in fence.layouts for leg in layout.legs), key=lambda leg: leg.length)
    x = leg.length / 2.0
    eye = leg.frame.point((x - 0.25 * EYE_AWAY, -EYE_AWAY, leg.ground(x) + EYE))
    target = leg.frame.point((x, 0.0, leg.ground(x) + 0.45 * EYE))
    return *eye, *target


def _front(fence: FenceModel) -> tuple[float, float]:
    """Return the direction that most of the fence faces; legs with a gate count twice."""
    legs = [leg for layout in fence.layouts for leg in layout.legs]
    gated = [gate.leg for layout in fence.layouts for gate in layout.openings]
    fx = -math.fsum(leg.frame.y[0] * leg.length for leg in [*legs, *gated])
    fy = -math.fsum(leg.frame.y[1] * leg.length for leg in [*legs, *gated])
    if math.hypot(fx, fy) > 0.1 * math.fsum(leg.length for leg in legs):
        return fx, fy
    longest = max(legs, key=lambda leg: leg.length)
    return -longest.frame.y[0], -longest.frame.y[1]
