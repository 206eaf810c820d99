"""A rendered picture of a fence (PNG), off-screen, without a display or a graphics card.

The renderer runs in a process of its own: where the machine lacks the libraries it draws with,
it may crash instead of failing, and that must not take the work down with it.
"""

from __future__ import annotations

import io
import math
import subprocess
import sys
from dataclasses import dataclass
from typing import TYPE_CHECKING

from palewright.export.models.finishes import Finish, finish_of
from palewright.export.models.product import Product
from palewright.export.models.things import thing_meshes
from palewright.export.models.transforms import matrix_of
from palewright.model.basis.errors import OutputError
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.frames import Vector, cross, dot
from palewright.model.parts.members import FOOTING, Member

from .ground_block import ground_block
from .terrain import plane_under, terrain

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

LIBRARIES = "on Debian: apt-get install libegl1 libgl1-mesa-dri libgl1 libxrender1"
"""What to install where the renderer cannot start."""

TIME_LIMIT = 300
"""Seconds until a picture counts as failed."""

VIEW_ANGLE, EYE_ANGLE, FILLED, FITTING_STEPS = 26.0, 50.0, 0.9, 40
"""Upright angles of view, from afar and at eye level, degrees; part of the picture the fence
fills; steps to get there."""

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
    scene: dict[str, NDArray[np.generic]] = {}
    for number, (finish, parts) in enumerate(_by_finish(built).items()):
        points, triangles, faces, planes = parts
        scene[f"planes{number}"] = planes
        scene[f"points{number}"] = points
        scene[f"triangles{number}"] = triangles
        scene[f"faces{number}"] = faces
        scene[f"finish{number}"] = np.array([*finish.rgb, finish.metallic, finish.roughness])
    camera = _camera(built.fence, view)
    scene["camera"] = np.array(camera)
    block = ground_block(built.fence, camera[7])
    ground = terrain(built.fence, camera[7]) if block is None else None
    if block is not None:
        scene["ground"], scene["ground_triangles"] = block.top
        scene["sides"], scene["side_triangles"] = block.sides
        scene["plain"], scene["plain_triangles"] = block.plain
    elif ground is not None:
        scene["ground"] = ground
    scene["size"] = np.array([view.width, view.height])
    packed = io.BytesIO()
    np.savez(packed, **scene)  # type: ignore[arg-type]
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


Parts = tuple[
    "NDArray[np.float64]", "NDArray[np.int64]", "NDArray[np.int64]", "NDArray[np.float64]"
]
"""Points, triangles, faces, and for each point the plane of the ground under it."""


def _by_finish(built: Product) -> dict[Finish, Parts]:
    """Return all triangles of members and things in the model's coordinates (mm), by finish."""
    import numpy as np

    groups: dict[Finish, list[Member]] = {}
    for member in built.fence.members:
        if member.kind == FOOTING:
            continue  # below ground
        groups.setdefault(finish_of(member.kind, built.fence.job.finishes), []).append(member)
    result = {}
    for finish, members in groups.items():
        points, triangles, faces, planes = [], [], [], []
        base = face_base = 0
        for member in members:
            mesh, matrix = built.meshes[member.mark], matrix_of(member.frame)
            layout = built.fence.layouts[member.run]
            x = layout.legs[member.leg].frame.local(member.frame.origin)[0]
            planes.append(np.tile(plane_under(layout, member.leg, x), (len(mesh.vertices), 1)))
            points.append(mesh.vertices @ matrix[:3, :3].T + matrix[:3, 3])
            triangles.append(mesh.triangles + base)
            faces.append(mesh.faces + face_base)
            base += len(mesh.vertices)
            face_base += int(mesh.faces.max()) + 1
        result[finish] = (
            np.concatenate(points),
            np.concatenate(triangles),
            np.concatenate(faces),
            np.concatenate(planes),
        )
    things: dict[Finish, list[Parts]] = {}
    for thing in thing_meshes(built.fence):
        plane = np.tile((0.0, 0.0, 1.0, thing.ground), (len(thing.points), 1))
        parts = (thing.points, thing.triangles, thing.faces, plane)
        things.setdefault(thing.finish, []).append(parts)
    for finish, several in things.items():
        known = [result[finish]] if finish in result else []
        result[finish] = _joined([*known, *several])
    return result


def _joined(several: list[Parts]) -> Parts:
    """Return several sets of triangles as one."""
    import numpy as np

    triangles, faces = [], []
    base = face_base = 0
    for points, corners, owners, _ in several:
        triangles.append(corners + base)
        faces.append(owners + face_base)
        base += len(points)
        face_base += int(owners.max()) + 1
    return (
        np.concatenate([one[0] for one in several]),
        np.concatenate(triangles),
        np.concatenate(faces),
        np.concatenate([one[3] for one in several]),
    )


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
