"""The renderer's own process: a scene on standard input, a PNG on standard output.

Run by `picture`; the scene is an npz archive of pieces, the ground last, the eye, the sun and the
size in pixels. The graphics library says which triangle is in each pixel, and what the sun and the
sky see; the light is worked out from that, so that every machine makes the same picture.
"""

from __future__ import annotations

import io
import os
import sys
from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from .buffers import Eye, depths, triangles_seen, window_of
from .daylight import shown
from .pieces import Pieces
from .shading import Faces, Light, Map, Seen, light_of

FINE = 2
"""Pixels are worked out so many times as fine each way, and averaged."""

NEAREST = 0.02
"""From the eye to what may be seen, in distances to what is shown."""

MOST_CELLS, LEAST_CELL = 4096, 4.0
"""Cells along a map of depths at most, and how small one is at least, mm."""

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
    eye_at, target, size = (scene[key] for key in ("eye", "target", "shown"))
    # about the target, where single precision is finest
    pieces = Pieces(*(scene[name] for name in Pieces.__annotations__))
    pieces = replace(
        pieces,
        points=pieces.points - target,
        places=np.concatenate(
            [pieces.places[:, :, :3],
             pieces.places[:, :, 3:] + pieces.places[:, :, :3] @ target[:, None]], axis=2
        ),
    )  # fmt: skip
    width, height = (int(v) for v in scene["size"])
    tall = float(scene["tall"])
    eye = Eye.looking(eye_at - target, scene["forward"], tall * width / height, tall)
    ends = pieces.points @ eye.forward - eye.at @ eye.forward
    near = NEAREST * float(np.linalg.norm(eye_at - target))
    eye = replace(eye, near=near, far=float(ends.max()) + 1.0, lift=float(scene["lift"]))
    casting = int(scene["casting"])
    window, renderer, ground = window_of(pieces.points, pieces.triangles, casting)
    pixels = (FINE * width, FINE * height)
    ids = triangles_seen(window, renderer, eye, pixels)
    ground.SetVisibility(False)
    casters = pieces.points[np.unique(pieces.triangles[:casting])]
    sun = scene["sun"]
    maps = []
    close = casters[np.linalg.norm(casters, axis=1) < NEAR_SIZE * float(size)]
    for points in (close, casters) if 0 < len(close) < len(casters) else (casters,):
        side, cells = fitted(points, casters, -sun)
        maps.append(Map(side, depths(window, renderer, side, cells)))
    side, cells = fitted(close if len(close) else casters, casters, np.array((0.0, 0.0, -1.0)))
    above = Map(side, _hidden(depths(window, renderer, side, cells), side))
    light = Light(sun, tuple(maps), above)
    numbers, pieces = _only_seen(ids, pieces)
    seen = Seen(eye, pieces, Faces.of(pieces), light, float(size), 2.0 * eye.wide / width)
    return _png(_colours(numbers, seen, width, height))


def _only_seen(ids: NDArray[np.uint32], pieces: Pieces) -> tuple[NDArray[np.int64], Pieces]:
    """Return the triangle in each pixel, -1 for none, and pieces without sides that none shows."""
    shown = np.unique(ids)
    sides = np.zeros(int(pieces.sides.max()) + 1, dtype=bool)
    sides[pieces.sides[shown[shown > 0].astype(np.int64) - 1]] = True
    kept = np.flatnonzero(sides[pieces.sides])
    number = np.full(len(pieces.triangles) + 1, -1)
    number[kept + 1] = np.arange(len(kept))
    fewer = replace(
        pieces, triangles=pieces.triangles[kept], owner=pieces.owner[kept], sides=pieces.sides[kept]
    )
    return number[ids], fewer


def _colours(
    numbers: NDArray[np.int64], seen: Seen, width: int, height: int
) -> NDArray[np.float32]:
    """Return the colour of each pixel (height, width, 3), 0 to 1, from the bottom up.

    numbers : of the triangle in each of a pixel's parts. A pixel that is all on one triangle is
    worked out once, others in each of their parts.
    """
    parts = numbers.reshape(height, FINE, width, FINE).transpose(0, 2, 1, 3)
    numbers = parts.reshape(-1, FINE * FINE)
    mixed = (numbers != numbers[:, :1]).any(axis=1)
    colours = np.empty((height * width, 3), dtype=np.float32)
    one = np.flatnonzero(~mixed)
    middle = np.array([[0.0, 0.0]])
    colours[one] = shown(light_of(_ways(one, middle, seen, (width, height)), numbers[one, 0], seen))
    several = np.flatnonzero(mixed)
    step = (np.arange(FINE) + 0.5) / FINE - 0.5
    spots = np.array([[x, y] for y in step for x in step])
    light = light_of(_ways(several, spots, seen, (width, height)), numbers[several].ravel(), seen)
    # averaged as it is shown, or bright edges would grow
    colours[several] = shown(light).reshape(-1, FINE * FINE, 3).mean(axis=1)
    return colours.reshape(height, width, 3)


def _ways(
    pixels: NDArray[np.int64], spots: NDArray[np.float64], seen: Seen, size: tuple[int, int]
) -> NDArray[np.float32]:
    """Return the ways (n, 3) from the eye through spots of pixels, from their middles."""
    rows, columns = np.divmod(pixels, size[0])
    u = ((columns[:, None] + 0.5 + spots[:, 0]) / size[0] * 2.0 - 1.0).ravel() * seen.eye.wide
    v = ((rows[:, None] + 0.5 + spots[:, 1]) / size[1] * 2.0 - 1.0).ravel() * seen.eye.tall
    v += seen.eye.lift
    turn = np.stack([seen.eye.right, seen.eye.up]).astype(np.float32)
    across = np.stack([u, v], axis=1).astype(np.float32)
    return across @ turn + seen.eye.forward.astype(np.float32)


def fitted(
    points: NDArray[np.float64], casters: NDArray[np.float64], forward: NDArray[np.float64]
) -> tuple[Eye, tuple[int, int]]:
    """Return a parallel eye round points, as deep as all that casts shadows; its cells."""
    eye = Eye.looking(np.zeros(3), forward, 1.0, 1.0)
    across, upward = points @ eye.right, points @ eye.up
    deep = casters @ eye.forward
    wide, tall = (float(np.ptp(part)) / 2.0 + 800.0 for part in (across, upward))
    middle = (
        eye.right * (across.min() + across.max()) / 2.0
        + eye.up * (upward.min() + upward.max()) / 2.0
        + eye.forward * (deep.min() - 100.0)
    )
    cell = max(2.0 * max(wide, tall) / MOST_CELLS, LEAST_CELL)
    cells = (int(np.ceil(2.0 * wide / cell)), int(np.ceil(2.0 * tall / cell)))
    tall = wide * cells[1] / cells[0]
    far = 201.0 + float(np.ptp(deep))
    return replace(eye, at=middle, wide=wide, tall=tall, far=far, parallel=True), cells


def _hidden(depth: NDArray[np.float32], eye: Eye) -> NDArray[np.float32]:
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


def _png(colours: NDArray[np.float32]) -> bytes:
    from PIL import Image

    image = Image.fromarray(np.round(colours[::-1] * 255.0).astype(np.uint8))
    out = io.BytesIO()
    image.save(out, "PNG", compress_level=6)
    return out.getvalue()


if __name__ == "__main__":
    main()
