"""The fence in a photograph of the site, with its shadow, behind what stands before it."""

from __future__ import annotations

import io
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from palewright.export.models.product import Product
from palewright.export.pictures.daylight import linear, shown
from palewright.export.pictures.grain import single
from palewright.export.pictures.pieces import pieces_of
from palewright.export.pictures.renderer import rendered
from palewright.export.pictures.scene_pieces import ground_shown, members_shown
from palewright.export.pictures.sun_place import sun_place, sun_vector
from palewright.model.basis.errors import PalewrightError
from palewright.model.fence.fence_model import FenceModel

from .photo_camera import FILM, Known, PhotoCamera, film_focal, solve_camera, unbent
from .photo_points import Mask, PhotoPoints

if TYPE_CHECKING:
    from .photograph import Photograph

LOWEST_SUN = 3.0
"""Under this height the sun gives no shadow that can be drawn, degrees."""


class PointError(PalewrightError):
    """A point that names what the fence has not."""


@dataclass(frozen=True)
class Montage:
    """A finished montage. png : it; camera : solved; sun : azimuth and height, degrees, or None
    under an overcast sky or where nobody said when and where.
    """

    png: bytes
    camera: PhotoCamera
    sun: tuple[float, float] | None


def said_of(made: Montage, points: PhotoPoints) -> list[str]:
    """Return what is said of a montage: its points' errors, the lens, the sun."""
    camera = made.camera
    film = camera.focal * FILM / (2.0 * math.hypot(*camera.middle))
    found = "found from the points" if camera.freed else "as the photograph or nobody says"
    said = [
        f"{(point.post and f'post {point.post}, {point.at}') or 'place'} at "
        f"{point.pixel[0]:.0f}, {point.pixel[1]:.0f}: {error:.1f} pixels off"
        for point, error in zip(points.point, camera.errors, strict=True)
    ]
    rms = float(np.sqrt((camera.errors**2).mean()))
    said.append(f"all points: {rms:.1f} pixels off (root mean square)")
    said.append(f"focal length {film:.0f} mm as on 35 mm film, {found}")
    if made.sun is None:
        said.append(
            "no shadow of the sun: it was low or hidden, or nobody said when and where the "
            "photograph was taken ([sky] taken, place)"
        )
    else:
        said.append(f"sun {made.sun[0]:.0f} degrees from north, {made.sun[1]:.0f} over the horizon")
    return said


def known_of(fence: FenceModel, photo: Photograph, points: PhotoPoints) -> Known:
    """Return what is known of a photograph. Raises PointError for a post that is not there."""
    posts = {post.label: post for layout in fence.layouts for post in layout.posts}
    places = []
    for point in points.point:
        if point.place is not None:
            places.append(np.array(point.place) - np.array(fence.job.origin))
            continue
        post = posts.get(point.post or "")
        if post is None:
            raise PointError(f"no post {point.post}; there are {', '.join(posts)}")
        up = post.top if point.at == "top" else 0.0
        places.append(np.array(post.frame.origin) + np.array((0.0, 0.0, up)))
    focal = points.camera.focal or photo.focal
    return Known(
        np.array([point.pixel for point in points.point], dtype=np.float64),
        np.array(places, dtype=np.float64),
        np.array(points.horizon.pixels if points.horizon else [], dtype=np.float64).reshape(-1, 2),
        photo.image.size,
        film_focal(focal, photo.image.size) if focal else None,
    )


def sun_of(photo: Photograph, points: PhotoPoints) -> tuple[float, float] | None:
    """Return the sun's azimuth and height, degrees; None where it gives no shadow or nobody said
    when and where.
    """
    moment, place = points.sky.taken or photo.taken, points.sky.place or photo.place
    if points.sky.overcast or moment is None or place is None:
        return None
    azimuth, height = sun_place(moment, *place)
    return (azimuth, height) if height > LOWEST_SUN else None


def make_montage(
    built: Product, photo: Photograph, points: PhotoPoints, width: int | None = None
) -> Montage:
    """Return a photograph with the fence in it.

    width : of the montage, pixels; the photograph's own if None.

    Raises
    ------
    CameraError
        When the camera cannot be solved from the points.
    """
    camera = solve_camera(known_of(built.fence, photo, points))
    sun = sun_of(photo, points)
    image = photo.image
    share = 1.0 if width is None else min(width / image.width, 1.0)
    size = (round(image.width * share), round(image.height * share))
    fence, left = laid_over(built, camera, size, sun)
    small = np.asarray(image.resize(size) if share < 1.0 else image, dtype=np.float32) / 255.0
    masked = _masks(points.mask, share, size)
    covers = fence[..., 3:] * masked
    under = single(linear(small) * (1.0 - masked * (1.0 - left)))
    light = points.camera.light
    lit = fence[..., :3] if light == 1.0 else _brighter(fence, light)
    out = lit * masked + shown(under.reshape(-1, 3)).reshape(under.shape) * (1.0 - covers)
    return Montage(_png(out), camera, sun)


def laid_over(
    built: Product,
    camera: PhotoCamera,
    size: tuple[int, int],
    sun: tuple[float, float] | None,
) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    """Return the fence (h, w, 4), its colour times how much it covers, and that, and what is left
    of the ground's light (h, w, 3), as a lens shows them, 0 to 1.
    """
    focal = camera.focal * size[0] / (2.0 * camera.middle[0])
    straight, pixels = _straight_size(camera, size, focal)
    scene = _scene(built, camera, straight, pixels, sun)
    with np.load(io.BytesIO(rendered(scene, b"PK"))) as layers:
        bands = np.concatenate([layers["fence"], layers["left"]], axis=2).astype(np.float32) / 255.0
    if camera.bend:
        bands = _as_seen(bands, camera, size, focal)
    return bands[..., :4], bands[..., 4:]


def _straight_size(
    camera: PhotoCamera, size: tuple[int, int], focal: float
) -> tuple[tuple[float, float], tuple[int, int]]:
    """Return half of what a straight picture must show, as tangents, and its pixels."""
    half = np.array(size) / 2.0 / focal
    if not camera.bend:
        return (half[0], half[1]), size
    steps = np.linspace(-1.0, 1.0, 41)
    border = np.concatenate(
        [np.column_stack([steps * half[0], np.full(41, side * half[1])]) for side in (-1.0, 1.0)]
        + [np.column_stack([np.full(41, side * half[0]), steps * half[1]]) for side in (-1.0, 1.0)]
    )
    most = np.abs(unbent(border, camera.bend)).max(axis=0)
    pixels = np.ceil(most * focal).astype(int) * 2
    exact = pixels / 2.0 / focal
    return (exact[0], exact[1]), (int(pixels[0]), int(pixels[1]))


def _scene(
    built: Product,
    camera: PhotoCamera,
    straight: tuple[float, float],
    pixels: tuple[int, int],
    sun: tuple[float, float] | None,
) -> dict[str, NDArray[np.generic]]:
    members = members_shown(built)
    spots = np.concatenate([mesh.points for mesh in members])
    low, high = spots.min(axis=0), spots.max(axis=0)
    radius = float(np.linalg.norm(high - low)) / 2.0
    levels = [leg.start[2] for layout in built.fence.layouts for leg in layout.legs]
    middle = (float(low[0] + high[0]) / 2.0, float(low[1] + high[1]) / 2.0, min(levels))
    ground = ground_shown(built.fence, middle, radius)
    return {
        **vars(pieces_of([*members, *ground])),
        "casting": np.array(sum(len(mesh.triangles) for mesh in members)),
        "eye": camera.at,
        "target": np.array(middle),
        "forward": camera.turn[2],
        "up": -camera.turn[1],
        "tall": np.array(straight[1]),
        "lift": np.array(0.0),
        "shown": np.array(2.0 * radius),
        "sun": np.array(sun_vector(*sun) if sun else (0.0, 0.0, 0.0)),
        "size": np.array(pixels),
        "laid": np.array(1),
    }


def _as_seen(
    bands: NDArray[np.float32], camera: PhotoCamera, size: tuple[int, int], focal: float
) -> NDArray[np.float32]:
    """Return bands of a straight picture as the lens shows them."""
    from scipy.ndimage import map_coordinates

    x, y = np.meshgrid(np.arange(size[0]) + 0.5, np.arange(size[1]) + 0.5)
    flat = (np.stack([x, y], axis=-1) - np.array(size) / 2.0) / focal
    spots = unbent(flat, camera.bend) * focal + np.array([bands.shape[1], bands.shape[0]]) / 2.0
    at = [spots[..., 1] - 0.5, spots[..., 0] - 0.5]
    parts = [
        map_coordinates(bands[..., band], at, order=1, mode="nearest")
        for band in range(bands.shape[2])
    ]
    return np.stack(parts, axis=-1).astype(np.float32)


def _masks(masks: Sequence[Mask], share: float, size: tuple[int, int]) -> NDArray[np.float32]:
    """Return what of the fence is before all else (h, w, 1), 0 to 1."""
    from PIL import Image, ImageDraw

    fine = 2
    drawn = Image.new("L", (fine * size[0], fine * size[1]), 255)
    pen = ImageDraw.Draw(drawn)
    for mask in masks:
        pen.polygon([(fine * share * x, fine * share * y) for x, y in mask.pixels], fill=0)
    return (np.asarray(drawn.resize(size), dtype=np.float32) / 255.0)[..., None]


def _brighter(fence: NDArray[np.float32], light: float) -> NDArray[np.float32]:
    """Return colours, times how much they cover, in other light."""
    covers = np.maximum(fence[..., 3:], 1e-6)
    colours = linear(np.clip(fence[..., :3] / covers, 0.0, 1.0)) * np.float32(light)
    return (shown(colours.reshape(-1, 3)).reshape(colours.shape) * fence[..., 3:]).astype(
        np.float32
    )


def _png(colours: NDArray[np.float32]) -> bytes:
    from PIL import Image

    out = io.BytesIO()
    Image.fromarray(np.round(np.clip(colours, 0.0, 1.0) * 255.0).astype(np.uint8)).save(out, "PNG")
    return out.getvalue()
