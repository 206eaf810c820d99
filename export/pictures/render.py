"""The renderer's own process: a scene on standard input, a PNG on standard output.

Run by `renderer`; the scene is an npz archive of pieces, the ground last, the eye, the sun and the
size in pixels; with `laid` the layers for a photograph are written instead of a picture, with
`guided` what is known of each pixel without its light. The
graphics library says which triangle is in each pixel, and what the sun and the sky see; the light
is worked out from that, so that every machine makes the same picture.
"""

from __future__ import annotations

import io
import os
import sys
from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from .buffers import SceneEye, depths, triangles_seen, window_of
from .daylight import png_of, shown
from .grain import Floats, single
from .pieces import LAWN, Pieces
from .sampling import FINE, PixelParts, averaged, narrow_pieces, narrow_strips
from .shading import GUIDES, Faces, Light, Map, SceneSeen, guides_of, left_of_light, light_of

NEAREST = 0.02
"""From the eye to what may be seen, in distances to what is shown."""

MOST_CELLS, LEAST_CELL, SKY_CELL = 4096, 4.0, 12.0
"""Cells along a map of depths at most; how small one is at least, from the sun and from above, mm:
shadows have edges, what the sky does not reach is soft.
"""

NEAR_SIZE = 1.5
"""How far round what is shown shadows are sharp, in its sizes."""

CONTACT = ((60.0, 0.55), (350.0, 0.45))
"""How far things hide the sky from the ground beside them, mm, and how much."""


def main() -> None:
    """Read the scene, draw it, write the picture."""
    scene = np.load(io.BytesIO(sys.stdin.buffer.read()))
    # the renderer may write warnings to standard output: keep it clear for the picture
    picture = os.dup(1)
    os.dup2(2, 1)
    data = _draw(scene)
    with os.fdopen(picture, "wb") as out:
        out.write(data)


def _draw(scene: Any) -> bytes:
    target, size = scene["target"], float(scene["shown"])
    width, height = (int(v) for v in scene["size"])
    # about the target, where single precision is finest
    pieces = _about(Pieces(*(scene[name] for name in Pieces.__annotations__)), target)
    casting = int(scene["casting"])
    eye = _eye(scene, pieces)
    window, renderer, ground = window_of(pieces.points, pieces.triangles, casting)
    boxes = narrow_pieces(pieces, casting, eye, (width, height))
    ids = _parts_seen((window, renderer), eye, (width, height), boxes)
    ground.SetVisibility(False)
    casters = pieces.points[np.unique(pieces.triangles[:casting])]
    close = casters[np.linalg.norm(casters, axis=1) < NEAR_SIZE * size]
    sun = scene["sun"]
    maps = []
    if sun.any():
        for points in (close, casters) if 0 < len(close) < len(casters) else (casters,):
            side, cells = fitted(points, casters, -sun)
            maps.append(Map(side, depths(window, renderer, side, cells)))
    under = close if len(close) else casters
    side, cells = fitted(under, casters, np.array((0.0, 0.0, -1.0)), SKY_CELL)
    above = Map(side, _hidden(depths(window, renderer, side, cells), side))
    light = Light(sun, tuple(maps), above)
    numbers, fewer = _only_seen(ids, pieces)
    seen = SceneSeen(eye, fewer, Faces.of(fewer), light, size, 2.0 * eye.wide / width)
    if "guided" in scene:
        return _guides(numbers, seen, width, height)
    if "laid" in scene:
        return _layers(numbers, seen, width, height)

    def seen_as(ways: Floats, owners: NDArray[np.int64]) -> Floats:
        return shown(light_of(ways, owners, seen))

    return png_of(averaged(numbers, eye, (width, height), seen_as)[::-1])


def _parts_seen(
    drawn: tuple[Any, Any], eye: SceneEye, size: tuple[int, int], boxes: NDArray[np.int64]
) -> PixelParts:
    """Return the number of the triangle in each part of a pixel, from 1, finer where it must be.

    boxes : round narrow pieces (n, 4), pixels.
    """
    ids = triangles_seen(*drawn, eye, (FINE * size[0], FINE * size[1]))
    strips = tuple(
        (strip, strip.straight(triangles_seen(*drawn, *strip.slanted(eye, size))))
        for strip in narrow_strips(boxes, size)
    )
    return PixelParts(ids, strips)


def _about(pieces: Pieces, target: NDArray[np.float64]) -> Pieces:
    """Return pieces with their coordinates about a target."""
    turn, moved = pieces.places[:, :, :3], pieces.places[:, :, 3:]
    places = np.concatenate([turn, moved + turn @ target[:, None]], axis=2)
    return replace(pieces, points=pieces.points - target, places=places)


def _eye(scene: Any, pieces: Pieces) -> SceneEye:
    """Return the camera of a scene: upright, or turned as its up and right say."""
    target = scene["target"]
    width, height = (int(v) for v in scene["size"])
    at, tall = scene["eye"] - target, float(scene["tall"])
    eye = SceneEye.looking(at, scene["forward"], tall * width / height, tall)
    if "up" in scene:
        eye = replace(eye, up=scene["up"], right=np.cross(eye.forward, scene["up"]))
    ends = pieces.points @ eye.forward - eye.at @ eye.forward
    near = NEAREST * float(np.linalg.norm(at))
    return replace(eye, near=near, far=float(ends.max()) + 1.0, lift=float(scene["lift"]))


def _layers(numbers: PixelParts, seen: SceneSeen, width: int, height: int) -> bytes:
    """Return what is laid over a photograph, as an npz archive of two arrays (h, w, 4) and (h, w,
    3), from 0 to 255: the fence with how much it covers, and what is left of the ground's light.
    """

    def layers(ways: Floats, owners: NDArray[np.int64]) -> Floats:
        kinds = np.full(len(owners), LAWN)
        kinds[owners >= 0] = seen.pieces.kinds[seen.pieces.owner[owners[owners >= 0]]]
        covers = (kinds != LAWN)[:, None]
        colours = np.zeros((len(owners), 3), dtype=np.float32)
        on = np.flatnonzero(covers[:, 0])
        colours[on] = shown(light_of(ways[on], owners[on], seen))
        left = np.ones((len(owners), 3), dtype=np.float32)
        ground = np.flatnonzero(~covers[:, 0] & (owners >= 0))
        left[ground] = left_of_light(ways[ground], owners[ground], seen)
        return single(np.concatenate([colours, covers, left], axis=1))

    bands = np.round(averaged(numbers, seen.eye, (width, height), layers, 7)[::-1] * 255.0)
    out = io.BytesIO()
    np.savez(out, fence=bands[..., :4].astype(np.uint8), left=bands[..., 4:].astype(np.uint8))
    return out.getvalue()


def _guides(numbers: PixelParts, seen: SceneSeen, width: int, height: int) -> bytes:
    """Return what is known of pixels without their light, as an npz archive (h, w, GUIDES)."""

    def guides(ways: Floats, owners: NDArray[np.int64]) -> Floats:
        return guides_of(ways, owners, seen)

    out = io.BytesIO()
    np.savez(out, guides=averaged(numbers, seen.eye, (width, height), guides, GUIDES)[::-1])
    return out.getvalue()


def _only_seen(ids: PixelParts, pieces: Pieces) -> tuple[PixelParts, Pieces]:
    """Return the triangle in each part of a pixel, -1 for none, and pieces without sides that none
    shows. ids : the triangles counted from 1, 0 for none.
    """
    drawn = np.zeros(len(pieces.triangles) + 1, dtype=bool)
    for part in (ids.whole, *(strip for _, strip in ids.strips)):
        drawn[part.ravel()] = True
    sides = np.zeros(int(pieces.sides.max()) + 1, dtype=bool)
    sides[pieces.sides[drawn[1:]]] = True
    kept = np.flatnonzero(sides[pieces.sides])
    number = np.full(len(pieces.triangles) + 1, -1, dtype=np.int32)
    number[kept + 1] = np.arange(len(kept))
    fewer = replace(
        pieces, triangles=pieces.triangles[kept], owner=pieces.owner[kept], sides=pieces.sides[kept]
    )
    strips = tuple((strip, number[part]) for strip, part in ids.strips)
    return PixelParts(number[ids.whole], strips), fewer


def fitted(
    points: NDArray[np.float64],
    casters: NDArray[np.float64],
    forward: NDArray[np.float64],
    least: float = LEAST_CELL,
) -> tuple[SceneEye, tuple[int, int]]:
    """Return a parallel eye round points, as deep as all that casts shadows; its cells.

    least : size of a cell at least, mm.
    """
    eye = SceneEye.looking(np.zeros(3), forward, 1.0, 1.0)
    across, upward = points @ eye.right, points @ eye.up
    deep = casters @ eye.forward
    wide, tall = (float(np.ptp(part)) / 2.0 + 800.0 for part in (across, upward))
    middle = (
        eye.right * (across.min() + across.max()) / 2.0
        + eye.up * (upward.min() + upward.max()) / 2.0
        + eye.forward * (deep.min() - 100.0)
    )
    cell = max(2.0 * max(wide, tall) / MOST_CELLS, least)
    cells = (int(np.ceil(2.0 * wide / cell)), int(np.ceil(2.0 * tall / cell)))
    tall = wide * cells[1] / cells[0]
    far = 201.0 + float(np.ptp(deep))
    return replace(eye, at=middle, wide=wide, tall=tall, far=far, parallel=True), cells


def _hidden(depth: NDArray[np.float32], eye: SceneEye) -> NDArray[np.float32]:
    """Return how much of the sky things hide from the ground beside them (h, w), 0 to 1."""
    from PIL import Image, ImageFilter

    cell = 2.0 * eye.wide / depth.shape[1]
    over = Image.fromarray(np.where(np.isfinite(depth), 255, 0).astype(np.uint8))
    hidden = np.zeros(depth.shape, dtype=np.float32)
    for reach, share in CONTACT:
        if reach > cell:
            soft = np.asarray(over.filter(ImageFilter.GaussianBlur(float(reach / cell))))
            hidden = np.maximum(hidden, share * np.sqrt(soft.astype(np.float32) / 255.0))
    return hidden


if __name__ == "__main__":
    main()
