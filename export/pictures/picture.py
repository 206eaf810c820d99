"""A rendered picture of a fence (PNG), off-screen, without a display or a graphics card.

The renderer runs in a process of its own: where the machine lacks the libraries it draws with,
it may crash instead of failing, and that must not take the work down with it.
"""

from __future__ import annotations

import io
import subprocess
import sys
from typing import TYPE_CHECKING

from palewright.export.models.finishes import Finish, finish_of
from palewright.export.models.product import Product
from palewright.export.models.things import thing_meshes
from palewright.export.models.transforms import matrix_of
from palewright.model.basis.errors import OutputError
from palewright.model.parts.members import FOOTING, Member
from palewright.model.site.features import Feature

from .camera import Viewpoint, camera_of
from .clear_view import clear_view
from .ground_block import ground_block
from .terrain import plane_under, terrain

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

LIBRARIES = "on Debian: apt-get install libegl1 libgl1-mesa-dri libgl1 libxrender1"
"""What to install where the renderer cannot start."""

TIME_LIMIT = 300
"""Seconds until a picture counts as failed."""

MISSING = "the picture could not be drawn"


def write_picture(built: Product, view: Viewpoint | None = None) -> bytes:
    """Return a picture of a fence as PNG.

    Raises
    ------
    OutputError
        When the renderer does not start or does not finish.
    """
    import numpy as np

    clear = clear_view(built.fence, view or Viewpoint())
    view = clear.view
    scene: dict[str, NDArray[np.generic]] = {}
    for number, (finish, parts) in enumerate(_by_finish(built, clear.left_out).items()):
        points, triangles, faces, planes = parts
        scene[f"planes{number}"] = planes
        scene[f"points{number}"] = points
        scene[f"triangles{number}"] = triangles
        scene[f"faces{number}"] = faces
        scene[f"finish{number}"] = np.array([*finish.rgb, finish.metallic, finish.roughness])
    camera = camera_of(built.fence, view)
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


def _by_finish(built: Product, left_out: tuple[Feature, ...]) -> dict[Finish, Parts]:
    """Return all triangles of members and things in the model's coordinates (mm), by finish.

    left_out : things that are not shown.
    """
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
        if thing.feature in left_out:
            continue
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
