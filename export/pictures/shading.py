"""The light that comes from each pixel of a picture: sun with shadows, sky, surfaces, haze."""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from .buffers import SceneEye
from .daylight import BOUNCE, HORIZON, IN_SHADE, SKY, SUN, SUN_TINT, ZENITH, sky_tint
from .grain import Floats, at, gravel, lawn, leaves, noise_tile, single, soil, speckle, wood
from .pieces import BARE, EARTH, LAWN, LEAVES, METAL, PAINT, ROUGH, STONES, WOOD, Pieces

CLEAR, HAZE = 4.0, 50.0
"""Distances, in sizes of what is shown, from which there is haze, and in which it hides most."""

END_GRAIN = 0.80
"""How much darker the end of a board is than its sides."""

PAINTED = 0.10
"""How much of the grain shows through paint."""

PATTERNS = {ROUGH: speckle, STONES: gravel, LEAVES: leaves, EARTH: soil}
"""Surfaces that look alike whichever way they lie."""

CHUNK = 30_000
"""Pixels worked out at once: what is at work stays near the processor."""

THREADS = 2
"""Threads that work out pixels: most machines have two processors to spare, few have more."""

BLOCK = 32
"""Cells of a map along the side of a block that is known to be empty."""

COARSE = 1.5
"""Cells of a map that a pixel covers, from which its shadow is averaged."""

TAPS = (-1.0 / 3.0, 0.0, 1.0 / 3.0)
"""Where a shadow is looked up in a pixel that covers several cells of a map, in its sizes."""


@dataclass(frozen=True)
class Map:
    """Depths seen in parallel from one side. eye : how it is seen; depth : (s, s), mm."""

    eye: SceneEye
    depth: Floats

    @cached_property
    def taken(self) -> NDArray[np.bool_]:
        """Which blocks of cells have anything in them, or beside them."""
        rows, columns = (-(-count // BLOCK) for count in self.depth.shape)
        full = np.zeros((rows * BLOCK, columns * BLOCK), dtype=bool)
        full[: self.depth.shape[0], : self.depth.shape[1]] = np.isfinite(self.depth)
        blocks = np.pad(full.reshape(rows, BLOCK, columns, BLOCK).any(axis=(1, 3)), 1)
        parts = (slice(0, -2), slice(1, -1), slice(2, None))
        near = [blocks[row, column] for row in parts for column in parts]
        return np.asarray(np.logical_or.reduce(near), dtype=np.bool_)

    def cells(self, points: Floats) -> tuple[Floats, Floats, Floats]:
        """Return column and row, in cells, and depth of points."""
        rows, columns = self.depth.shape
        start = np.array((columns / 2.0, rows / 2.0, 0.0)) - self.scaled @ self.eye.at
        found = self.ways(points) + single(start)
        return found[:, 0], found[:, 1], found[:, 2]

    @property
    def scaled(self) -> NDArray[np.float64]:
        """The eye's right and up, in cells for a mm, and its forward (3, 3)."""
        rows, columns = self.depth.shape
        right = self.eye.right / self.eye.wide * (columns / 2.0)
        return np.stack([right, self.eye.up / self.eye.tall * (rows / 2.0), self.eye.forward])

    def ways(self, ways: Floats) -> Floats:
        """Return ways (n, 3), mm, in cells to the right and up, and in mm of depth."""
        return single(ways @ single(self.scaled.T))

    @property
    def cell(self) -> float:
        """Width of a cell, mm."""
        return float(2.0 * self.eye.wide / self.depth.shape[1])


def _smooth_edge(depth: Floats, column: Floats, row: Floats, limit: Floats) -> Floats:
    """Return how much light comes past a map's depths, its cells' edges run into each other."""
    column, row = column - np.float32(0.5), row - np.float32(0.5)
    i, j = column.astype(np.int32), row.astype(np.int32)
    a, b = column - i, row - j
    flat, start = depth.ravel(), j * depth.shape[1] + i
    shares = ((0, (1 - a) * (1 - b)), (1, a * (1 - b)), (depth.shape[1], (1 - a) * b))
    lit = (flat.take(start + depth.shape[1] + 1) >= limit) * (a * b)
    for step, share in shares:
        lit += (flat.take(start + step) >= limit) * share
    return single(lit)


def _averaged(depth: Floats, spots: Floats, ways: Sequence[Floats]) -> Floats:
    """Return how much light comes past a map's depths on spots of column, row and limit (n, 3),
    averaged over what reaches so far across and along, (n, 3) each.
    """
    rows, columns = depth.shape
    flat, lit = depth.ravel(), np.zeros(len(spots), dtype=np.float32)
    for across in TAPS:
        for along in TAPS:
            tap = spots + np.float32(across) * ways[0] + np.float32(along) * ways[1]
            column = np.clip(tap[:, 0].astype(np.int32), 0, columns - 1)
            row = np.clip(tap[:, 1].astype(np.int32), 0, rows - 1)
            lit += flat.take(row * columns + column) >= tap[:, 2]
    return lit / np.float32(len(TAPS) ** 2)


@dataclass(frozen=True)
class Light:
    """Where light comes from. sun : (3,), unit, or 0 under an overcast sky; maps : depths
    from the sun, finest first; above : how much of the sky is hidden from the ground, 0 to 1, seen
    from above.
    """

    sun: NDArray[np.float64]
    maps: tuple[Map, ...]
    above: Map

    @property
    def powers(self) -> tuple[float, float]:
        """The light of the sun and of the sky: without sun the sky alone lights a front with 1."""
        return (SUN, 1.0) if self.sun.any() else (0.0, 1.0 / IN_SHADE)

    def sunlit(
        self, points: Floats, normals: Floats, spread: tuple[Floats, Floats] | None = None
    ) -> Floats:
        """Return which part of the sun is seen from points, 0 to 1.

        spread : how far each pixel reaches on its surface, across and along (n, 3), mm; shadows
        finer than that are averaged over it.
        """
        result = np.ones(len(points), dtype=np.float32)
        left = np.arange(len(points))
        for shadow in self.maps:
            lifted = points[left] + normals[left] * np.float32(1.5 * shadow.cell)
            column, row, depth = shadow.cells(lifted)
            rows, columns = shadow.depth.shape
            inside = (column > 1) & (column < columns - 2) & (row > 1) & (row < rows - 2)
            here = np.flatnonzero(inside)
            blocks = row[here].astype(np.int32) // BLOCK, column[here].astype(np.int32) // BLOCK
            here = here[shadow.taken[blocks]]
            found = column[here], row[here], depth[here] - np.float32(0.5 * shadow.cell)
            result[left[here]] = _smooth_edge(shadow.depth, *found)
            if spread is not None:
                ways = [shadow.ways(part[left[here]]) for part in spread]
                wide = np.max([np.abs(way[:, :2]).max(axis=1) for way in ways], axis=0, initial=0.0)
                coarse = np.flatnonzero(wide > COARSE)
                spots = np.stack([part[coarse] for part in found], axis=1)
                result[left[here[coarse]]] = _averaged(
                    shadow.depth, spots, [way[coarse] for way in ways]
                )
            left = left[~inside]
        return result

    def hidden(self, points: Floats) -> Floats:
        """Return which part of the sky is hidden from points on the ground."""
        column, row, _ = self.above.cells(points)
        rows, columns = self.above.depth.shape
        inside = (column >= 0) & (column < columns) & (row >= 0) & (row < rows)
        result = np.zeros(len(points), dtype=np.float32)
        result[inside] = self.above.depth[
            row[inside].astype(np.int32), column[inside].astype(np.int32)
        ]
        return result


@dataclass(frozen=True)
class Faces:
    """Each triangle's plane, piece and corners' normals. normals : (m, 3); away : (m,)."""

    normals: Floats
    away: Floats
    bent: NDArray[np.bool_]
    corner_normals: Floats

    @staticmethod
    def of(pieces: Pieces) -> Faces:
        """Work out planes; normals of curved faces run on over their triangles."""
        a, b, c = (pieces.points[pieces.triangles[:, k]] for k in range(3))
        cross = np.cross(b - a, c - a)
        size = np.linalg.norm(cross, axis=1, keepdims=True)
        normals = cross / np.maximum(size, 1e-12)
        # each corner of a side has the mean of the normals there, by size
        keys = pieces.triangles + pieces.sides[:, None] * np.int64(len(pieces.points))
        spots, number = np.unique(keys.ravel(), return_inverse=True)
        sums = np.zeros((len(spots), 3))
        for axis in range(3):
            sums[:, axis] = np.bincount(
                number.ravel(), np.repeat(cross[:, axis], 3), minlength=len(spots)
            )
        sums /= np.maximum(np.linalg.norm(sums, axis=1, keepdims=True), 1e-12)
        corners = sums[number.reshape(-1, 3)]
        bent = (np.einsum("mki,mi->mk", corners, normals) < 0.9999).any(axis=1)
        return Faces(
            normals.astype(np.float32),
            single(np.einsum("mi,mi->m", normals, a)),
            bent,
            corners.astype(np.float32),
        )


def sky_light(up: Floats, side: Floats) -> Floats:
    """Return the sky (n, 3), linear. up : sine of the height; side : degrees round."""
    height = np.clip(up, 0.0, 1.0) ** 0.55
    low, high = single(HORIZON), single(ZENITH)
    colour = low + (high - low) * height[:, None]
    reach = 1.0 / (np.clip(up, 0.0, 1.0) + 0.12)
    tile = noise_tile(21, 16)
    x, y = side * 1.2 + 40.0, reach * 26.0
    cloud = (
        at(tile, x, y) + 0.5 * at(tile, 2.1 * x + 7.0, 2.3 * y) + 0.25 * at(tile, 4.7 * x, 5.1 * y)
    )
    cover = np.clip(cloud * 1.1 - 0.15, 0.0, 1.0)[:, None] * 0.45
    return single(colour + (0.92 - colour) * cover)


@dataclass(frozen=True)
class SceneSeen:
    """What is seen. eye : from where; pieces, faces : of what; light : by which light; size : of
    what is shown, mm; pixel : angle that one takes, as a tangent.
    """

    eye: SceneEye
    pieces: Pieces
    faces: Faces
    light: Light
    size: float
    pixel: float


def light_of(ways: Floats, numbers: NDArray[np.int64], seen: SceneSeen) -> Floats:
    """Return the light (n, 3), linear, that comes along ways (n, 3).

    numbers : the triangle that each way ends on, -1 for the sky.
    """
    result = np.empty((len(ways), 3), dtype=np.float32)

    def work(first: int) -> None:
        part = slice(first, first + CHUNK)
        out = result[part]
        full = numbers[part] >= 0
        out[~full] = _sky(ways[part][~full], seen.eye)
        out[full] = _lit(ways[part][full], numbers[part][full], seen)

    # each part of the result is one thread's own
    with ThreadPoolExecutor(THREADS) as pool:
        list(pool.map(work, range(0, len(ways), CHUNK)))
    return result


def _sky(ways: Floats, eye: SceneEye) -> Floats:
    up = ways[:, 2] / np.linalg.norm(ways, axis=1)
    side = np.degrees(np.arctan2(ways @ single(eye.right), ways @ single(eye.forward)))
    return sky_light(up.astype(np.float32), side.astype(np.float32))


def _total(light: Light, lit: Floats, sky: Floats, bounce: Floats) -> Floats:
    """Return the light (n, 3) on faces of which the sun lights parts, and the sky and ground."""
    sun, clouds = light.powers
    warm = single((SUN_TINT, sky_tint())) if sun else np.ones((2, 3), dtype=np.float32)
    return single(
        (sun * lit)[:, None] * warm[0] + (clouds * sky)[:, None] * warm[1]
        + (clouds * bounce)[:, None]
    )  # fmt: skip


def left_of_light(ways: Floats, numbers: NDArray[np.int64], seen: SceneSeen) -> Floats:
    """Return which part of its light the ground keeps with the fence there (n, 3)."""
    light = seen.light
    normals = seen.faces.normals[numbers]
    normals = normals * np.sign(normals[:, 2:])
    slant = np.einsum("ij,ij->i", normals, ways)
    away = seen.faces.away[numbers] * np.sign(seen.faces.normals[numbers, 2])
    far = (away - normals @ single(seen.eye.at)) / np.minimum(slant, -1e-9)
    points = single(seen.eye.at) + far[:, None] * ways
    lit = np.clip(normals @ single(light.sun), 0.0, None)
    sky = single(SKY * (0.5 + 0.5 * normals[:, 2]))
    nothing = np.zeros_like(lit)
    before = _total(light, lit, sky, nothing)
    shaded = lit * light.sunlit(points, normals)
    return single(_total(light, shaded, sky * (1.0 - light.hidden(points)), nothing) / before)


@dataclass(frozen=True)
class Surfaces:
    """What is seen in pixels. points, normals, colour : (n, 3), the colour of the piece; factors :
    (n, 3), what grain, lawn and the like make of it; pixels : mm that each covers, square to the
    view and along the surface; ground : whether it is; haze : how much hides it, 0 to 1.
    """

    points: Floats
    normals: Floats
    colour: Floats
    factors: Floats
    pixels: tuple[Floats, Floats]
    ground: NDArray[np.bool_]
    haze: Floats


def _surfaces(ways: Floats, numbers: NDArray[np.int64], seen: SceneSeen) -> Surfaces:
    """Return the surfaces of the pixels in which triangles are seen."""
    eye, pieces, faces = seen.eye, seen.pieces, seen.faces
    normals = faces.normals[numbers]
    slant = np.einsum("ij,ij->i", normals, ways)
    slant[np.abs(slant) < 1e-9] = 1e-9
    far = np.clip((faces.away[numbers] - normals @ single(eye.at)) / slant, eye.near, eye.far)
    points = single(eye.at) + far[:, None] * ways
    bent = np.flatnonzero(faces.bent[numbers])
    if len(bent):
        normals[bent] = _smooth(points[bent], numbers[bent], pieces, faces)
        slant[bent] = np.einsum("ij,ij->i", normals[bent], ways[bent])
    normals *= -np.copysign(np.float32(1.0), slant)[:, None]
    owner = pieces.owner[numbers]
    pixel = far * np.float32(seen.pixel)
    slope = np.abs(slant) / np.sqrt(np.einsum("ij,ij->i", ways, ways))
    pixels = pixel, pixel / np.maximum(slope, np.float32(0.05))
    factors = _factors(numbers, points, normals, pixels, seen)
    beyond = np.clip(far - np.float32(CLEAR * seen.size), 0.0, None)
    haze = single(1.0 - np.exp(-beyond / np.float32(HAZE * seen.size)))
    ground = np.isin(pieces.kinds[owner], (LAWN, EARTH, BARE))
    return Surfaces(points, normals, single(pieces.colours)[owner], factors, pixels, ground, haze)


def _lit(ways: Floats, numbers: NDArray[np.int64], seen: SceneSeen) -> Floats:
    """Return the light of the pixels in which triangles are seen."""
    light, found = seen.light, _surfaces(ways, numbers, seen)
    points, normals = found.points, found.normals
    lit = np.clip(normals @ single(light.sun), 0.0, None)
    on = np.flatnonzero(lit > 0.0)
    part = found.pixels[0][on], found.pixels[1][on]
    spread = _spread(ways[on], normals[on], part, seen.eye)
    lit[on] *= light.sunlit(points[on], normals[on], spread)
    open_sky = np.float32(0.5) + 0.5 * normals[:, 2]
    sky = SKY * open_sky
    sky[found.ground] *= 1.0 - light.hidden(points[found.ground])
    total = _total(light, lit, sky, BOUNCE * (1.0 - open_sky))
    out = found.colour * found.factors * total
    return single(out + (single(HORIZON) - out) * found.haze[:, None])


GUIDES = 14
"""Bands of a guide."""


def guides_of(ways: Floats, numbers: NDArray[np.int64], seen: SceneSeen) -> Floats:
    """Return what is known of pixels without their light (n, GUIDES).

    Bands: whether a surface is seen, its colour, that with its grain, its normal, its haze; the
    sky's light where none is.
    """
    result = np.zeros((len(ways), GUIDES), dtype=np.float32)
    for first in range(0, len(ways), CHUNK):
        part = slice(first, first + CHUNK)
        out, way, number = result[part], ways[part], numbers[part]
        full = number >= 0
        out[~full, 11:] = _sky(way[~full], seen.eye)
        found = _surfaces(way[full], number[full], seen)
        bands = (np.ones((len(found.haze), 1)), found.colour, found.colour * found.factors,
                 found.normals, found.haze[:, None])  # fmt: skip
        out[full, :11] = np.concatenate(bands, axis=1)
    return result


def _spread(
    ways: Floats, normals: Floats, pixels: tuple[Floats, Floats], eye: SceneEye
) -> tuple[Floats, Floats]:
    """Return how far pixels reach on their surfaces, across what is seen and along it (n, 3), mm.

    pixels : mm that each covers, square to the view and along the surface.
    """
    along = ways - np.einsum("ij,ij->i", ways, normals)[:, None] * normals
    size = np.maximum(np.sqrt(np.einsum("ij,ij->i", along, along)), np.float32(1e-6))
    return pixels[0][:, None] * single(eye.right), along * (pixels[1] / size)[:, None]


def _smooth(points: Floats, numbers: NDArray[np.int64], pieces: Pieces, faces: Faces) -> Floats:
    """Return normals between those of a triangle's corners."""
    a, b, c = (pieces.points[pieces.triangles[numbers, k]] for k in range(3))
    ab, ac, ap = b - a, c - a, points - a
    d00, d01, d11 = (np.einsum("ij,ij->i", p, q) for p, q in ((ab, ab), (ab, ac), (ac, ac)))
    d20, d21 = np.einsum("ij,ij->i", ap, ab), np.einsum("ij,ij->i", ap, ac)
    under = np.maximum(d00 * d11 - d01 * d01, 1e-12)
    v, w = (d11 * d20 - d01 * d21) / under, (d00 * d21 - d01 * d20) / under
    shares = np.clip(np.stack([1.0 - v - w, v, w], axis=1), 0.0, 1.0)
    mean = np.einsum("nk,nki->ni", shares, faces.corner_normals[numbers])
    return single(mean / np.maximum(np.linalg.norm(mean, axis=1, keepdims=True), 1e-9))


def _factors(
    numbers: NDArray[np.int64],
    points: Floats,
    normals: Floats,
    pixels: tuple[Floats, Floats],
    seen: SceneSeen,
) -> Floats:
    """Return what the colour of each pixel's piece is multiplied by (n, 3).

    pixels : mm that each covers, square to the view and along the surface.
    """
    pieces, right = seen.pieces, seen.eye.right
    pixel, stretched = pixels
    owner = pieces.owner[numbers]
    kinds = pieces.kinds[owner]
    result = np.ones((len(kinds), 3), dtype=np.float32)
    for kind in np.unique(kinds):
        at_kind = np.flatnonzero(kinds == kind)
        spots, size = points[at_kind], pixel[at_kind]
        if kind == LAWN:
            blades = spots @ single(right), spots @ single(np.cross((0.0, 0.0, 1.0), right))
            result[at_kind] = lawn(spots[:, 0], spots[:, 1], blades, size)
        elif kind in PATTERNS:
            turned = np.abs(normals[at_kind, 2]) < 0.5
            x = np.where(turned, spots[:, 0] + spots[:, 1], spots[:, 0])
            y = np.where(turned, spots[:, 2], spots[:, 1])
            result[at_kind] = PATTERNS[kind](x, y, stretched[at_kind])
        elif kind in (WOOD, PAINT):
            place = pieces.places[owner[at_kind]].astype(np.float32)
            piece = np.einsum("nij,nj->ni", place[:, :, :3], spots) + place[:, :, 3]
            seed = pieces.seeds[owner[at_kind]].astype(np.float32)
            tone = wood(piece, seed, size)
            along = np.einsum("nj,nj->n", place[:, 2, :3], normals[at_kind])
            tone = np.where(np.abs(along)[:, None] > 0.7, END_GRAIN * tone, tone)
            result[at_kind] = 1.0 + (PAINTED if kind == PAINT else 1.0) * (tone - 1.0)
        elif kind == METAL:
            result[at_kind] = 0.9
    return result
