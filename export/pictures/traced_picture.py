"""A picture whose light is followed from surface to surface: path tracing, in a process of its own.

The tracer, a library of its own that is asked for as palewright[traced], works out how much light
comes from each place in flat colours; grain, lawn and haze are those of the fast picture.
"""

from __future__ import annotations

import io
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from importlib.util import find_spec

import numpy as np
from numpy.typing import NDArray

from palewright.export.models.finishes import finish_of
from palewright.export.models.product import Product
from palewright.model.basis.errors import OutputError

from .camera import Viewpoint
from .daylight import HORIZON, SKY, SUN, SUN_TINT, png_of, shown, sky_tint
from .picture import SeenScene, seen_scene
from .pieces import METAL
from .renderer import answered, rendered
from .scene_pieces import members_placed
from .sun_place import sun_place, sun_vector

PASSES, RAYS = 8, 4
"""How often the scene is gone through, the sun elsewhere on its disc each time, and ways of light
for each pixel in one of them."""

MOST_SECONDS = 3600
"""Seconds until a traced picture counts as failed."""

LOWEST = 0.0
"""The sun must stand higher, degrees."""

NEEDED = ("mitsuba", "mitsuba_oidn")
ASK_FOR = (
    "traced pictures need a library that is not installed; run: pip install 'palewright[traced]'"
)

LEAST = 1e-4
"""Under this a colour is black, linear."""


@dataclass(frozen=True)
class SunnyHour:
    """When and where the sun shines. moment : with its time zone; latitude, longitude : degrees."""

    moment: datetime
    latitude: float
    longitude: float

    @property
    def sun(self) -> tuple[float, float]:
        """The sun's azimuth and height over the horizon, degrees."""
        return sun_place(self.moment, self.latitude, self.longitude)


def can_trace() -> bool:
    """Tell whether the libraries that trace are installed."""
    return all(find_spec(name) is not None for name in NEEDED)


def write_traced_picture(
    built: Product,
    view: Viewpoint | None = None,
    hour: SunnyHour | None = None,
    step: Callable[[int, int], None] | None = None,
    rays: int = RAYS,
) -> bytes:
    """Return a picture of a fence as PNG, its light traced.

    hour : of the sun and its sky; None for the daylight of the fast picture; step : is told how
    many passes are done, and of how many; rays : ways of light for each pixel in a pass.

    Raises
    ------
    OutputError
        When the libraries are not there, do not start or do not finish, or the sun is down.
    """
    if not can_trace():
        raise OutputError(ASK_FOR)
    if hour is not None and hour.sun[1] <= LOWEST:
        raise OutputError(f"the sun is {-hour.sun[1]:.0f} degrees under the horizon then")
    seen = seen_scene(built, view or Viewpoint())
    with np.load(io.BytesIO(rendered(seen.arrays | {"guided": np.array(1)}, b"PK"))) as made:
        guides = made["guides"]
    light = traced_light(built, seen, guides, hour, (PASSES, rays), step)
    colours = composed(light, guides, dated=hour is not None)
    return png_of(shown(colours.reshape(-1, 3)).reshape(colours.shape))


def traced_light(
    built: Product,
    seen: SeenScene,
    guides: NDArray[np.float32],
    hour: SunnyHour | None,
    effort: tuple[int, int],
    step: Callable[[int, int], None] | None = None,
) -> NDArray[np.float32]:
    """Return the light of each pixel (h, w, 3), linear, of surfaces in flat colours."""
    sun = seen.arrays["sun"] if hour is None else np.array(sun_vector(*hour.sun))
    scene = {
        **_grouped(built, seen),
        **{key: seen.arrays[key] for key in ("eye", "target", "forward", "tall", "lift", "size")},
        "level": min(one.points[:, 2].min() for one in seen.loose) - seen.arrays["target"][2],
        "sun": sun,
        "sunlight": SUN * np.array(SUN_TINT),
        "skylight": skylight(),
        "dated": np.array(hour is not None),
        "effort": np.array(effort),
        "guides": guides[..., 1:],
    }

    def told(line: str) -> None:
        word, _, count = line.partition(" ")
        if step is not None and word == "pass" and count.isdigit():
            step(int(count), effort[0])

    made = answered("tracer", scene, told, MOST_SECONDS)
    if not made.startswith(b"PK"):
        raise OutputError("the light could not be traced on this machine")
    with np.load(io.BytesIO(made)) as bands:
        return np.asarray(bands["light"], dtype=np.float32)


def composed(
    light: NDArray[np.float32], guides: NDArray[np.float32], *, dated: bool
) -> NDArray[np.float32]:
    """Return traced light with grain, lawn and haze (h, w, 3), linear; dated : with its own sky."""
    covers, flat, grained = guides[..., :1], guides[..., 1:4], guides[..., 4:7]
    bare = 1.0 - covers
    if dated:
        under, over = bare, bare
    else:
        # the tracer's sky is of one colour
        under, over = bare * skylight(), guides[..., 11:14]
    haze = guides[..., 10:11] * (0.0 if dated else 1.0)
    clear = 1.0 - haze / np.maximum(covers, LEAST)
    hazy = haze * np.asarray(HORIZON, dtype=np.float32)
    factors = (grained * clear + over) / np.maximum(flat + under, LEAST)
    return np.asarray(light * factors + hazy, dtype=np.float32)


def skylight() -> NDArray[np.float32]:
    """Return the light that comes from each part of the sky (3,), linear."""
    return np.asarray(SKY * np.array(sky_tint()), dtype=np.float32)


def _grouped(built: Product, seen: SeenScene) -> dict[str, NDArray[np.generic]]:
    """Return meshes once for each mark, with where each is, and what is there once alone."""
    fence = built.fence
    marks: dict[str, int] = {}
    meshes: list[tuple[NDArray[np.float64], NDArray[np.int64]]] = []
    colours: list[tuple[float, float, float]] = []
    metal: list[bool] = []
    places, groups = [], []
    for member, matrix in members_placed(fence, seen.opened):
        if member.mark not in marks:
            marks[member.mark] = len(meshes)
            finish, mesh = finish_of(member.kind, fence.job.finishes), built.meshes[member.mark]
            meshes.append((mesh.vertices, mesh.triangles))
            colours.append(finish.linear)
            metal.append(finish.metallic > 0.0)
        places.append(matrix)
        groups.append(marks[member.mark])
    for one in seen.loose:
        groups.append(len(meshes))
        meshes.append((one.points, one.triangles))
        colours.append(one.colour)
        metal.append(one.kind == METAL)
        places.append(np.eye(4))
    return {
        **_joined(meshes),
        "colours": np.array(colours),
        "metal": np.array(metal),
        "groups": np.array(groups),
        "places": np.array(places),
    }


def _joined(
    meshes: Sequence[tuple[NDArray[np.float64], NDArray[np.int64]]],
) -> dict[str, NDArray[np.generic]]:
    return {
        "points": np.concatenate([points for points, _ in meshes]),
        "triangles": np.concatenate([triangles for _, triangles in meshes]),
        "point_ends": np.cumsum([len(points) for points, _ in meshes]),
        "triangle_ends": np.cumsum([len(triangles) for _, triangles in meshes]),
    }
