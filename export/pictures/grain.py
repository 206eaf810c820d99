"""How surfaces vary: wood along its grain, lawn, gravel; by position, the same every time."""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

TILE = 512
"""Cells of the noise along each side; it joins itself."""

Floats = NDArray[np.float32]


def single(values: object) -> Floats:
    """Return values in single precision."""
    return np.asarray(values, dtype=np.float32)


@cache
def noise_tile(seed: int, knots: int) -> Floats:
    """Return smooth noise (TILE, TILE), mean 0, from -1 to 1, of so many knots along a side."""
    lattice = np.random.default_rng(seed).uniform(-1.0, 1.0, (knots, knots))
    spots = np.arange(TILE) * knots / TILE
    low = spots.astype(int)
    part = spots - low
    part = part * part * (3.0 - 2.0 * part)
    high = (low + 1) % knots
    rows = lattice[low] * (1.0 - part[:, None]) + lattice[high] * part[:, None]
    full = rows[:, low] * (1.0 - part) + rows[:, high] * part
    return single(full - full.mean())


def at(tile: Floats, x: Floats, y: Floats) -> Floats:
    """Return noise at places, in cells of the tile."""
    row = np.floor(y).astype(np.int32)
    row &= TILE - 1
    row *= TILE
    column = np.floor(x).astype(np.int32)
    column &= TILE - 1
    row += column
    return single(tile.ravel().take(row))


def between(tile: Floats, x: Floats, y: Floats) -> Floats:
    """Return noise at places, in cells of the tile, running on smoothly from cell to cell."""
    i, j = single(np.floor(x)), single(np.floor(y))
    a, b = x - i, y - j
    low = at(tile, i, j) * (1.0 - a) + at(tile, single(i + 1.0), j) * a
    high = at(tile, i, single(j + 1.0)) * (1.0 - a) + at(tile, single(i + 1.0), single(j + 1.0)) * a
    return single(low * (1.0 - b) + high * b)


def seen(wave: float, pixel: Floats) -> Floats:
    """Return how much of a pattern is seen, 0 to 1. wave : its length, mm; pixel : mm in one."""
    return single(np.clip(wave / (2.0 * pixel) - 0.5, 0.0, 1.0))


def lawn(x: Floats, y: Floats, blades: tuple[Floats, Floats], pixel: Floats) -> Floats:
    """Return factors (n, 3) of a lawn's colour at places, mm.

    blades : the places again, across what is seen and along it, as blades stand up; pixel : mm
    that one covers across.
    """
    fine, coarse = noise_tile(5, 256), noise_tile(6, 32)
    across, along = blades
    # of each: its length in mm, how much
    tone = 0.08 * at(coarse, x / 600.0, y / 600.0) * seen(9000.0, pixel)
    tone += 0.10 * at(coarse, x / 60.0 + 91.0, y / 60.0) * seen(900.0, pixel)
    tone += 0.16 * at(coarse, across / 5.0 + 17.0, along / 8.0 + 37.0) * seen(80.0, pixel)
    nearest = pixel.min(initial=np.inf)
    if nearest < 11.0:
        tone += 0.34 * at(fine, across / 5.5 + 53.0, along / 16.0) * seen(11.0, pixel)
    if nearest < 5.2:
        tone += 0.26 * at(fine, across / 2.6 + 5.0, along / 9.0 + 91.0) * seen(5.2, pixel)
    dry = 0.5 * at(coarse, x / 210.0 + 11.0, y / 210.0 + 71.0) * seen(3200.0, pixel)
    return np.stack([1.0 + tone + 0.16 * dry, 1.0 + tone + 0.02 * dry, 1.0 + tone - 0.10 * dry], 1)


def speckle(x: Floats, y: Floats, pixel: Floats) -> Floats:
    """Return factors (n, 3) of gravel, concrete, asphalt or walls at places, mm."""
    fine, coarse = noise_tile(7, 128), noise_tile(8, 32)
    tone = 0.18 * at(fine, x / 5.0, y / 5.0) * seen(20.0, pixel)
    tone += 0.03 * at(coarse, x / 40.0, y / 40.0) * seen(600.0, pixel)
    return np.repeat(1.0 + tone[:, None], 3, axis=1)


def gravel(x: Floats, y: Floats, pixel: Floats) -> Floats:
    """Return factors (n, 3) of a path of small stones at places, mm."""
    fine, coarse = noise_tile(13, 256), noise_tile(14, 32)
    # a stone takes up two cells each way, warm or cold as its neighbour is not
    tone = 0.34 * at(fine, x / 9.0, y / 9.0) * seen(36.0, pixel)
    tone += 0.12 * at(coarse, x / 25.0 + 3.0, y / 25.0) * seen(400.0, pixel)
    warm = 0.10 * at(fine, x / 9.0 + 200.0, y / 9.0 + 77.0) * seen(36.0, pixel)
    return np.stack([1.0 + tone + warm, 1.0 + tone, 1.0 + tone - warm], 1)


def soil(x: Floats, y: Floats, pixel: Floats) -> Floats:
    """Return factors (n, 3) of cut earth at places, mm: clods and crumbs."""
    fine, coarse = noise_tile(15, 128), noise_tile(16, 64)
    tone = 0.30 * between(coarse, x / 9.0, y / 6.0) * seen(72.0, pixel)
    tone += 0.22 * at(fine, x / 5.0, y / 4.0) * seen(20.0, pixel)
    tone += 0.12 * between(coarse, x / 60.0 + 41.0, y / 30.0) * seen(480.0, pixel)
    return np.repeat(1.0 + tone[:, None], 3, axis=1)


def leaves(x: Floats, y: Floats, pixel: Floats) -> Floats:
    """Return factors (n, 3) of a hedge or a tree at places on its side, mm."""
    fine, coarse = noise_tile(9, 128), noise_tile(10, 64)
    tone = 0.45 * at(fine, x / 14.0, y / 14.0) * seen(56.0, pixel)
    tone += 0.30 * at(coarse, x / 32.0, y / 32.0) * seen(250.0, pixel)
    return np.stack([1.0 + 0.8 * tone, 1.0 + tone, 1.0 + 0.7 * tone], 1)


def wood(piece: Floats, seed: Floats, pixel: Floats) -> Floats:
    """Return factors (n, 3) of timber. piece : (n, 3), mm on the piece, the last along the grain;
    seed : 0 to 1, of the piece.
    """
    fine, coarse = noise_tile(11, 128), noise_tile(12, 32)
    across = single(piece[:, 0] + 0.7 * piece[:, 1] + 700.0 * seed)
    along = single(piece[:, 2] + 9000.0 * seed)
    wave = single(across + 14.0 * between(coarse, across / 6.0, along / 60.0))
    tone = 0.16 * (seed - 0.5)
    if pixel.min(initial=np.inf) < 9.0:
        tone += 0.13 * between(fine, wave / 2.2, along / 90.0) * seen(9.0, pixel)
    tone += 0.07 * between(coarse, wave / 2.0, along / 220.0 + 33.0) * seen(32.0, pixel)
    warm = 0.10 * ((seed * 7.31) % 1.0 - 0.5)
    return np.stack([1.0 + tone + 0.5 * warm, 1.0 + tone, 1.0 + tone - warm], 1)
