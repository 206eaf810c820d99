"""A rendered picture of a fence (PNG), off-screen, without a display or a graphics card."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

from palewright.export.models.product import Product
from palewright.model.geometry.frames import Vector

from .camera import Viewpoint, camera_of
from .clear_view import clear_view
from .daylight import sun_direction
from .pieces import pieces_of
from .renderer import rendered
from .scene_pieces import ground_shown, standing

if TYPE_CHECKING:
    import numpy as np

LEVEL = 16.0
"""Seen from so many degrees above at most, posts are drawn upright."""

ABOVE = 0.12
"""How far the middle of a picture is above what it shows, in half pictures: less lawn, more sky."""

AJAR = 35.0
"""How far gates stand open where they are what is shown, degrees."""


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
    camera = camera_of(built.fence, view)
    eye, target, level, radius, angle = camera[0:3], camera[3:6], *camera[6:9]
    forward, lift = _levelled(eye, target)
    tall = math.tan(math.radians(angle) / 2.0)
    things = standing(built, AJAR if view.of == "gate" else 0.0, clear.left_out)
    ground = ground_shown(built.fence, (target[0], target[1], level), radius)
    scene: dict[str, np.ndarray[tuple[int, ...], np.dtype[np.generic]]] = {
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
    return rendered(scene, PNG)


PNG = b"\x89PNG"
"""What a PNG begins with."""


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
