"""Where the camera of a picture stands: so near that all it shows fills the picture."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from palewright.model.basis.errors import OutputError
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.frames import Vector
from palewright.model.layout.run_layout import Opening, RunLayout

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

LENS, EYE_LENS = 56.0, 68.0
"""Angle of view from corner to corner of the picture, from afar and at eye level, degrees."""

FILLED, FITTING_STEPS = 0.9, 24
"""Part of the picture's width or height that what is shown fills; steps to get there."""

ABOVE, MARGIN = 0.12, 0.06
"""How far the middle of a picture is above what it shows, in half pictures: less lawn, more sky;
what is left free below at least.
"""

LEVEL = 24.0
"""Seen from so many degrees above at most, the camera is held level and posts are upright."""

SLIGHT = 20.0
"""Corners that turn by less are none to take a picture of, degrees."""

VIEWS = {"front": (12.0, 9.0), "back": (192.0, 9.0), "corner": (0.0, 14.0), "gate": (16.0, 7.0),
         "eye-level": (0.0, 0.0)}  # fmt: skip
"""What a picture may show, and from where: degrees to the right of straight in front, and above."""

TURNED, RAISED = (0.0, 14.0, 28.0, 42.0), (0.0, 6.0, 14.0, 22.0)
"""By how much more the camera may go aside and up, so that a fence takes up more of the picture."""

ENOUGH = 0.34
"""Part of a picture's height that is enough for a fence, which is long and low."""

TURNED_COST, RAISED_COST = 0.0022, 0.0036
"""What a degree aside or up is worth in parts of the picture's height: too much, and fronts are not
seen as such any more, or the fence is seen as a plan."""

EYE, EYE_AWAY, EYE_SHARE = 1600.0, (2800.0, 5500.0), 0.7
"""At eye level: height of the eyes over the ground; distance from the fence at least and at most,
mm, between which it is that part of the leg's length."""

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

    def tall_of(self, lens: float) -> float:
        """Return half the picture's height as a tangent. lens : corner to corner, degrees."""
        half = math.tan(math.radians(lens) / 2.0)
        return half * self.height / math.hypot(self.width, self.height)


@dataclass(frozen=True)
class CameraPlace:
    """A camera. eye, target : where it stands and what is in the middle, mm; forward : where it
    looks; lift : how far the middle of the picture is above that, as a tangent; tall : half of what
    is seen, as a tangent; level : of the lowest ground, radius : half the size of the fence, mm.
    """

    eye: Vector
    target: Vector
    forward: Vector
    lift: float
    tall: float
    level: float
    radius: float


@dataclass(frozen=True)
class Fits:
    """Cameras round what is shown, one a direction, (c,) or (c, 3). eye, target : mm; high : part
    of the picture's height that is filled; lift : as of CameraPlace.
    """

    eye: NDArray[np.float64]
    target: NDArray[np.float64]
    forward: NDArray[np.float64]
    high: NDArray[np.float64]
    lift: NDArray[np.float64]


def camera_of(fence: FenceModel, view: Viewpoint) -> CameraPlace:
    """Return the camera of a view: back, and sideways, until all that it shows fills the picture.

    Raises OutputError when there is nothing of the kind to show.
    """
    import numpy as np

    points = np.array(_whole(fence))
    size = np.ptp(points, axis=0)
    level, radius = float(points[:, 2].min()), max(float(np.linalg.norm(size)) / 2.0, 500.0)
    if view.of == "eye-level":
        tall = view.tall_of(EYE_LENS)
        eye, target = _eye_level(fence)
        forward = (target[0] - eye[0], target[1] - eye[1], 0.0)
        away = math.hypot(*forward)
        lift = (target[2] - eye[2]) / away + ABOVE * tall
        return CameraPlace(eye, target, forward, lift, tall, level, radius)
    shown, front = _shown(fence, view)
    azimuth, rise = usual_angles(fence, view)
    found = _fits(np.array(shown), front, view, (np.array([azimuth]), np.array([rise])))
    eye, target, forward = (
        (float(part[0, 0]), float(part[0, 1]), float(part[0, 2]))
        for part in (found.eye, found.target, found.forward)
    )
    lift = float(found.lift[0])
    return CameraPlace(eye, target, forward, lift, view.tall_of(LENS), level, radius)


def usual_angles(fence: FenceModel, view: Viewpoint) -> tuple[float, float]:
    """Return from where a view is taken: degrees to the right of straight in front, and above.

    What was asked for stays; a gate is seen from where it stands open most; a fence from where it
    takes up enough of the picture, by the least that the camera goes aside and up.
    """
    azimuth, rise = VIEWS[view.of]
    asked = view.azimuth is not None, view.rise is not None
    if view.of == "gate" and not asked[0]:
        _, opening = _first_gate(fence)
        azimuth *= _open_side(opening)
    elif view.of in ("front", "back") and not any(asked):
        azimuth, rise = _filling(fence, view)
    return (
        azimuth if view.azimuth is None else view.azimuth,
        rise if view.rise is None else view.rise,
    )


def _filling(fence: FenceModel, view: Viewpoint) -> tuple[float, float]:
    """Return the angles from which a fence takes up enough of the picture."""
    import numpy as np

    azimuth, rise = VIEWS[view.of]
    middle = 180.0 if view.of == "back" else 0.0
    aside = azimuth - middle
    shown, front = _shown(fence, view)
    sides = [side * (aside + more) for more in TURNED for side in (1.0, -1.0)]
    turns, rises = (part.ravel() for part in np.meshgrid(sides, np.add(rise, RAISED)))
    found = _fits(np.array(shown), front, view, (middle + turns, rises))
    worth = np.minimum(found.high, ENOUGH) - TURNED_COST * np.abs(turns) - RAISED_COST * rises
    best = int(np.argmax(np.round(worth, 4)))
    return middle + float(turns[best]), float(rises[best])


def _fits(
    points: NDArray[np.float64],
    front: tuple[float, float],
    view: Viewpoint,
    angles: tuple[NDArray[np.float64], NDArray[np.float64]],
) -> Fits:
    """Return cameras that show points (n, 3), seen from angles to the right of the direction that
    is straight in front, and above, degrees (c,).
    """
    import numpy as np

    turn = math.atan2(front[1], front[0]) + np.radians(angles[0])
    rise = np.radians(angles[1])
    flat = np.column_stack([np.cos(turn), np.sin(turn), np.zeros(len(turn))])
    back = flat * np.cos(rise)[:, None] + np.sin(rise)[:, None] * (0.0, 0.0, 1.0)
    level = np.abs(angles[1]) < LEVEL
    forward = -np.where(level[:, None], flat, back)
    right = np.column_stack([-np.sin(turn), np.cos(turn), np.zeros(len(turn))])
    up = np.cross(right, forward)
    tall = view.tall_of(LENS)
    wide = tall * view.width / view.height
    low, high = points.min(axis=0), points.max(axis=0)
    target = np.repeat(((low + high) / 2.0)[None], len(turn), axis=0)
    away = np.full(len(turn), 2.0 * max(math.dist(low, high), 1000.0))
    for step in range(FITTING_STEPS + 1):
        eye = target + away[:, None] * back
        offset = points[None] - eye[:, None]
        depth = np.maximum(np.einsum("cni,ci->cn", offset, forward), 1.0)
        u = np.einsum("cni,ci->cn", offset, right) / depth
        v = np.einsum("cni,ci->cn", offset, up) / depth
        across, tops = np.ptp(u, axis=1) / 2.0 / wide, np.ptp(v, axis=1) / 2.0 / tall
        if step == FITTING_STEPS:
            break
        aim = np.einsum("ci,ci->c", target - eye, forward)
        shift = (u.min(axis=1) + u.max(axis=1)) / 2.0 * aim
        # where it is looked at upright, the middle must stay in the middle of what is shown
        drop = (v.min(axis=1) + v.max(axis=1)) / 2.0 - np.einsum("ci,ci->c", target - eye, up) / aim
        target = target + shift[:, None] * right + (drop * aim)[:, None] * up
        away = away * (np.maximum(across, tops) / FILLED) ** 0.7
    middle = (v.min(axis=1) + v.max(axis=1)) / 2.0
    room = np.maximum(1.0 - MARGIN - tops, 0.0)
    # from high up there is no sky to make room for
    sky = np.clip(1.5 - np.abs(angles[1]) / 20.0, 0.0, 1.0)
    return Fits(eye, target, forward, tops, middle + np.minimum(ABOVE * sky, room) * tall)


def _shown(fence: FenceModel, view: Viewpoint) -> tuple[list[Vector], tuple[float, float]]:
    """Return points that a view must show, and the direction it is seen from."""
    if view.of in ("front", "back"):
        return _whole(fence), _front(fence)
    # a narrow picture shows less beside, that it may be near
    around = AROUND * min(1.0, view.width / view.height)
    if view.of == "gate":
        layout, opening = _first_gate(fence)
        leg, up = opening.leg, layout.run.height
        xs = (opening.start - around / 2.0, opening.end + around / 2.0)
        points = [leg.frame.point((x, 0.0, opening.base + z)) for x in xs for z in (0.0, up)]
        return points, (-leg.frame.y[0], -leg.frame.y[1])
    for layout in fence.layouts:
        up = layout.run.height
        for number, leg in enumerate(layout.legs):
            turned = abs(leg.turn_start) >= SLIGHT and not leg.bent_start
            if turned and (number or layout.run.line.closed):
                before = layout.legs[number - 1]
                ends = [
                    (before, before.length - min(around, before.length)),
                    (leg, 0.0),
                    (leg, min(around, leg.length)),
                ]
                points = [
                    one.frame.point((x, 0.0, one.ground(x) + z)) for one, x in ends
                    for z in (0.0, up)
                ]  # fmt: skip
                # from the side that the fronts face together, or from inside a sharp turn
                sums = [-before.frame.y[axis] - leg.frame.y[axis] for axis in (0, 1)]
                return points, (sums[0], sums[1])
    raise OutputError(f"there is no {view.of} in this fence to take a picture of")


def _whole(fence: FenceModel) -> list[Vector]:
    """Return feet and tops of a fence where its legs begin and end."""
    return [
        (x, y, z + up)
        for layout in fence.layouts
        for leg in layout.legs
        for x, y, z in (leg.start, leg.end)
        for up in (0.0, layout.run.height)
    ]


def _first_gate(fence: FenceModel) -> tuple[RunLayout, Opening]:
    for layout in fence.layouts:
        if layout.openings:
            return layout, layout.openings[0]
    raise OutputError("there is no gate in this fence to take a picture of")


def _open_side(opening: Opening) -> float:
    """Return the side from which an open leaf hides least of its opening: 1 for the right."""
    ways = [1.0 if leaf.hinge_left else -1.0 for leaf in opening.leaves]
    if len(ways) != 1:
        return 1.0
    return -ways[0] if opening.spec.swing == "in" else ways[0]


def _eye_level(fence: FenceModel) -> tuple[Vector, Vector]:
    """Return eye and target of somebody who stands before the longest leg, by its gate."""
    leg = max((leg for layout in fence.layouts for leg in layout.legs), key=lambda leg: leg.length)
    away = min(max(EYE_SHARE * leg.length, EYE_AWAY[0]), EYE_AWAY[1])
    gates = [gate for layout in fence.layouts for gate in layout.openings if gate.leg == leg]
    x = (gates[0].start + gates[0].end) / 2.0 if gates else leg.length / 2.0
    x = min(max(x, 0.5 * away), max(leg.length - 0.5 * away, leg.length / 2.0))
    eye = leg.frame.point((x - 0.25 * away, -away, leg.ground(x) + EYE))
    target = leg.frame.point((x, 0.0, leg.ground(x) + 0.45 * EYE))
    return eye, target


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
