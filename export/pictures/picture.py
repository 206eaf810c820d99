"""A rendered picture of a fence (PNG), off-screen, without a display or a graphics card."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from palewright.export.models.product import Product

from .camera import CameraPlace, Viewpoint, camera_of
from .clear_view import clear_view
from .daylight import sun_direction
from .pieces import ShownMesh, pieces_of
from .renderer import rendered
from .scene_pieces import collars_shown, ground_shown, members_shown, things_shown

if TYPE_CHECKING:
    import numpy as np

AJAR = 42.0
"""How far gates stand open where they are what is shown, degrees."""


def write_picture(built: Product, view: Viewpoint | None = None) -> bytes:
    """Return a picture of a fence as PNG.

    Raises
    ------
    OutputError
        When the renderer does not start or does not finish.
    """
    return rendered(seen_scene(built, view or Viewpoint()).arrays, PNG)


@dataclass(frozen=True)
class SeenScene:
    """What a picture shows. arrays : as the renderer reads them; opened : how far gate leaves stand
    open, degrees; loose : what does not belong to the fence.
    """

    arrays: dict[str, np.ndarray[tuple[int, ...], np.dtype[np.generic]]]
    opened: float
    loose: tuple[ShownMesh, ...]


def seen_scene(built: Product, view: Viewpoint) -> SeenScene:
    """Return what a picture of a fence shows, and from where."""
    import numpy as np

    clear = clear_view(built.fence, view)
    view = clear.view
    camera = camera_of(built.fence, view)
    opened = AJAR if view.of == "gate" else 0.0
    members = members_shown(built, opened)
    things = things_shown(built.fence, clear.left_out)
    ground = [
        *collars_shown(built),
        *ground_shown(built.fence, (*camera.target[:2], camera.level), camera.radius),
    ]
    casting = sum(len(mesh.triangles) for mesh in [*members, *things])
    arrays = {
        **vars(pieces_of([*members, *things, *ground])),
        "casting": np.array(casting),
        "eye": np.array(camera.eye),
        "target": np.array(camera.target),
        "forward": np.array(camera.forward),
        "tall": np.array(camera.tall),
        "lift": np.array(camera.lift),
        "shown": np.array(_size_shown(camera, view)),
        "sun": np.array(sun_direction(built.fence, behind=view.of == "back")),
        "size": np.array([view.width, view.height]),
    }
    return SeenScene(arrays, opened, (*things, *ground))


PNG = b"\x89PNG"
"""What a PNG begins with."""


def _size_shown(camera: CameraPlace, view: Viewpoint) -> float:
    """Return the width of what is shown where the target is, mm."""
    tall = 2.0 * math.dist(camera.eye, camera.target) * camera.tall
    return tall * max(view.width / view.height, 1.0)
