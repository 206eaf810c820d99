"""A rendered picture of a fence (PNG), off-screen, without a display or a graphics card.

The renderer runs in a process of its own: where the machine lacks the libraries it draws with,
it may crash instead of failing, and that must not take the work down with it.
"""

from __future__ import annotations

import io
import math
import subprocess
import sys
from collections.abc import Sequence
from dataclasses import dataclass

from palewright.export.models.product import Product
from palewright.model.basis.errors import OutputError
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.frames import Vector, cross, dot

from .daylight import sun_direction
from .pieces import pieces_of
from .scene_pieces import ground_shown, standing

LIBRARIES = "on Debian: apt-get install libegl1 libgl1-mesa-dri libgl1 libxrender1"
"""What to install where the renderer cannot start."""

TIME_LIMIT = 300
"""Seconds until a picture counts as failed."""

VIEW_ANGLE, EYE_ANGLE, FILLED, FITTING_STEPS = 26.0, 50.0, 0.9, 40
"""Upright angles of view, from afar and at eye level, degrees; part of the picture the fence
fills; steps to get there."""

LEVEL = 16.0
"""Seen from so many degrees above at most, posts are drawn upright."""

ABOVE = 0.12
"""How far the middle of a picture is above what it shows, in half pictures: less lawn, more sky."""

AJAR = 35.0
"""How far gates stand open where they are what is shown, degrees."""

SLIGHT = 20.0
"""Corners that turn by less are none to take a picture of, degrees."""

MISSING = "the picture could not be drawn"


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


def write_picture(built: Product, view: Viewpoint | None = None) -> bytes:
    """Return a picture of a fence as PNG.

    Raises
    ------
    OutputError
        When the renderer does not start or does not finish.
    """
    import numpy as np

    view = view or Viewpoint()
    camera = _camera(built.fence, view)
    eye, target, level, radius, angle = camera[0:3], camera[3:6], *camera[6:9]
    forward, lift = _levelled(eye, target)
    tall = math.tan(math.radians(angle) / 2.0)
    things = standing(built, AJAR if view.of == "gate" else 0.0)
    ground = ground_shown(built.fence, (target[0], target[1], level), radius)
    scene = {
        **vars(pieces_of([*things, *ground])),
        "casting": np.array(sum(len(thing.triangles) for thing in things)),
        "eye": np.array(eye),
        "target": np.array(target),
        "forward": np.array(forward),
        "tall": np.array(tall),
        "lift": np.array(lift + ABOVE * tall),
        "shown": np.array(_size_shown(eye, target, angle, view)),
        "sun": np.array(sun_direction(built.fence, behind=view.of == "back")),
        "size": np.array([view.width, view.height]),
    }
    packed = io.BytesIO()
    np.savez(packed, **scene)
    # -P: a folder named palewright in the current one is not this program
    command = [sys.executable, "-P", "-m", "palewright.export.pictures.render"]
    try:
        done = subprocess.run(
            command, input=packed.getvalue(), capture_output=True, timeout=TIME_LIMIT, check=False
        )
    except subprocess.TimeoutExpired:
        raise OutputError(f"{MISSING} within {TIME_LIMIT} s") from None
    if done.returncode != 0 or not done.stdout.startswith(b"\x89PNG"):
        raise OutputError(f"{MISSING} on this machine; {LIBRARIES}")
    return done.stdout


def _levelled(eye: Sequence[float], target: Sequence[float]) -> tuple[Vector, float]:
    """Return where the camera looks, and how far the middle of the picture is above that.

    Seen from not far above, the camera is held level, so that posts stay upright.
    """
    x, y, z = (b - a for a, b in zip(eye, target, strict=True))
    along = math.hypot(x, y)
    if abs(z) < math.tan(math.radians(LEVEL)) * along:
        return (x, y, 0.0), z / along
    return (x, y, z), 0.0


def _size_shown(
    eye: Sequence[float], target: Sequence[float], angle: float, view: Viewpoint
) -> float:
    """Return the width of what is shown where the target is, mm."""
    tall = 2.0 * math.dist(eye, target) * math.tan(math.radians(angle) / 2.0)
    return tall * max(view.width / view.height, 1.0)


def _camera(fence: FenceModel, view: Viewpoint) -> tuple[float, ...]:
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
