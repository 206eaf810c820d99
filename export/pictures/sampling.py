"""Pixels from their parts: how finely what is seen is asked for, and the mean of what is there."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from .buffers import SceneEye
from .grain import Floats, single
from .pieces import Pieces

FINE, FINER = 2, 6
"""Pixels are worked out so many times as fine each way, and averaged; where pieces are narrower
than pixels the finer, as a fence far off would make waves that it has not (moire)."""

BLOCK_WIDE, MARGIN = 16, 2
"""Strips are so many pixels wide or a multiple; pixels round narrow pieces that belong to them."""

NARROW, UPRIGHT = 2.5, 3.0
"""Pixels across from which a piece is wide enough for FINE; how many times its width pales are at
least high."""

STRIPS, WIDEST = 8, 1360
"""Strips of narrow pieces across a picture, at least; how wide one is at most, pixels."""

Numbers = NDArray[np.signedinteger[Any]]


@dataclass(frozen=True)
class NarrowStrip:
    """A part of a picture. left, low, right, high : its pixels, counted from below."""

    left: int
    low: int
    right: int
    high: int

    @property
    def size(self) -> tuple[int, int]:
        """Width and height, pixels."""
        return self.right - self.left, self.high - self.low

    def of(self, eye: SceneEye, size: tuple[int, int]) -> SceneEye:
        """Return the eye that sees this part alone of a picture of a size, in pixels."""
        width, height = self.size
        return replace(
            eye,
            wide=eye.wide * width / size[0],
            tall=eye.tall * height / size[1],
            aside=eye.aside + eye.wide * ((self.left + self.right) / size[0] - 1.0),
            lift=eye.lift + eye.tall * ((self.low + self.high) / size[1] - 1.0),
        )

    def slanted(self, eye: SceneEye, size: tuple[int, int]) -> tuple[SceneEye, tuple[int, int]]:
        """Return the eye that sees its parts in slanted columns, and how many parts there are.

        In upright columns, pales of which a whole number comes on each would all be hit, or none.
        """
        width, height = self.size
        straight, part = self.of(eye, size), 2.0 * eye.wide / size[0] / FINER
        extra = height * part / 2.0
        low = straight.lift - straight.tall
        return replace(
            straight,
            wide=straight.wide + extra,
            aside=straight.aside + extra + low / FINER + part / 2.0,
            shear=1.0 / FINER,
        ), (FINER * width + height, FINER * height)

    def straight(self, slanted: NDArray[Any]) -> NDArray[Any]:
        """Return parts in slanted columns, each with the pixel that it is in."""
        row = np.arange(len(slanted))[:, None] // FINER
        column = np.arange(FINER * self.size[0]) + row
        return np.take_along_axis(slanted, column, axis=1)

    @property
    def within(self) -> tuple[slice, slice]:
        """Its rows and columns of pixels."""
        return slice(self.low, self.high), slice(self.left, self.right)


@dataclass(frozen=True)
class PixelParts:
    """The triangle in each part of each pixel, -1 for none. whole : (FINE x height, FINE x width);
    strips : (FINER x height, FINER x width), each in place of that part.
    """

    whole: Numbers
    strips: tuple[tuple[NarrowStrip, Numbers], ...] = ()


def narrow_pieces(
    pieces: Pieces, casting: int, eye: SceneEye, size: tuple[int, int]
) -> NDArray[np.int64]:
    """Return boxes round upright pieces that are narrow in the picture (n, 4): left, low, right and
    high, in pixels. casting : how many triangles stand over the ground.
    """
    corners = pieces.points - eye.at
    depth = corners @ eye.forward
    behind = depth < eye.near
    depth = np.where(behind, np.inf, depth)
    across = (corners @ eye.right / depth - eye.aside) / eye.wide
    upward = (corners @ eye.up / depth - eye.lift) / eye.tall
    triangles = pieces.triangles[:casting]
    starts = np.flatnonzero(np.diff(pieces.owner[:casting], prepend=-1))
    # of all pieces, in pixels from the lower left
    x, y = (
        ((part + 1.0) / 2.0 * count)[triangles]
        for part, count in zip((across, upward), size, strict=True)
    )
    left, low = (np.minimum.reduceat(part.min(axis=1), starts) for part in (x, y))
    right, high = (np.maximum.reduceat(part.max(axis=1), starts) for part in (x, y))
    seen = (right > 0.0) & (left < size[0]) & (high > 0.0) & (low < size[1])
    seen &= ~np.logical_or.reduceat(behind[triangles].any(axis=1), starts)
    narrow = seen & (right - left < NARROW) & (high - low > UPRIGHT * (right - left))
    boxes = np.stack([left, low, right, high], axis=1)[narrow]
    return np.asarray(np.clip(boxes, 0.0, np.array([*size, *size]) - 1.0), dtype=np.int64)


def narrow_strips(boxes: NDArray[np.int64], size: tuple[int, int]) -> Iterator[NarrowStrip]:
    """Yield the parts of a picture that hold boxes (n, 4), each some of its columns."""
    width, height = size
    columns = -(-width // BLOCK_WIDE)
    step = BLOCK_WIDE * max(1, min(-(-columns // STRIPS), WIDEST // BLOCK_WIDE))
    for first in range(0, width, step):
        last = min(first + step, width) - 1
        here = boxes[(boxes[:, 2] >= first) & (boxes[:, 0] <= last)]
        if len(here):
            left, low = here[:, :2].min(axis=0)
            right, high = here[:, 2:].max(axis=0)
            yield NarrowStrip(
                max(int(left) - MARGIN, first),
                max(int(low) - MARGIN, 0),
                min(int(right) + 1 + MARGIN, last + 1),
                min(int(high) + 1 + MARGIN, height),
            )


def averaged(
    parts: PixelParts,
    eye: SceneEye,
    size: tuple[int, int],
    bands_of: Callable[[Floats, Numbers], Floats],
    bands: int = 3,
) -> Floats:
    """Return bands of each pixel (height, width, bands), from the bottom up.

    bands_of : works them out (n, bands) from ways (n, 3) and numbers of triangles (n,). Each
    triangle in a pixel is worked out once, in the middle of its parts there; they are averaged as
    they are shown, or bright edges would grow.
    """
    width, height = size
    result = np.empty((height, width, bands), dtype=np.float32)
    left = np.ones((height, width), dtype=bool)
    for strip, numbers in parts.strips:
        left[strip.within] = False
        pixels = np.arange(strip.size[0] * strip.size[1])
        found = _means(
            pixels, _by_pixel(numbers, FINER), (strip.of(eye, size), strip.size), bands_of
        )
        result[strip.within] = found.reshape(strip.size[1], strip.size[0], bands)
    pixels = np.flatnonzero(left.ravel())
    numbers = _by_pixel(parts.whole, FINE)
    if len(pixels) < len(numbers):
        numbers = numbers[pixels]
    result.reshape(-1, bands)[pixels] = _means(pixels, numbers, (eye, size), bands_of)
    return result


def _by_pixel(numbers: Numbers, fine: int) -> Numbers:
    """Return the parts of each pixel (pixels, fine x fine)."""
    height, width = (length // fine for length in numbers.shape)
    parts = numbers.reshape(height, fine, width, fine).transpose(0, 2, 1, 3)
    return parts.reshape(-1, fine * fine)


def _means(
    pixels: Numbers,
    numbers: Numbers,
    seen: tuple[SceneEye, tuple[int, int]],
    bands_of: Callable[[Floats, Numbers], Floats],
) -> Floats:
    """Return the bands of pixels with parts on so many triangles (n, parts)."""
    mixed = (numbers != numbers[:, :1]).any(axis=1)
    one, several = np.flatnonzero(~mixed), np.flatnonzero(mixed)
    whole = bands_of(_ways(pixels[one], np.zeros((len(one), 2)), *seen), numbers[one, 0])
    result = np.empty((len(pixels), whole.shape[1]), dtype=np.float32)
    result[one] = whole
    if not len(several):
        return result
    found = numbers[several]
    order = np.argsort(found, axis=1, kind="stable")
    found = np.take_along_axis(found, order, axis=1)
    begins = np.ones(found.shape, dtype=bool)
    begins[:, 1:] = found[:, 1:] != found[:, :-1]
    groups = np.cumsum(begins.ravel()) - 1
    count = np.bincount(groups).astype(np.float64)
    spots = np.stack(
        [np.bincount(groups, side[order].ravel()) / count for side in _spots(found.shape[1])],
        axis=1,
    )
    pixel = np.repeat(pixels[several], begins.sum(axis=1))
    bands = bands_of(_ways(pixel, spots, *seen), found[begins])
    bands *= single(count / found.shape[1])[:, None]
    starts = np.concatenate([[0], np.cumsum(begins.sum(axis=1))[:-1]])
    result[several] = np.add.reduceat(bands, starts, axis=0)
    return result


def _spots(parts: int) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return where a pixel's parts are, across and upward from its middle, in pixels."""
    fine = round(parts**0.5)
    step = (np.arange(fine) + 0.5) / fine - 0.5
    across, upward = np.tile(step, fine), np.repeat(step, fine)
    return (across - upward / fine if fine == FINER else across), upward


def _ways(
    pixels: Numbers, spots: NDArray[np.float64], eye: SceneEye, size: tuple[int, int]
) -> Floats:
    """Return the ways (n, 3) from the eye through a spot of each pixel, (n, 2) from its middle."""
    rows, columns = np.divmod(pixels.astype(np.int32), np.int32(size[0]))
    across = single((np.arange(size[0]) + 0.5) / size[0] * 2.0 - 1.0) * np.float32(eye.wide)
    upward = single((np.arange(size[1]) + 0.5) / size[1] * 2.0 - 1.0) * np.float32(eye.tall)
    u = across[columns] + single(spots[:, 0] * (2.0 * eye.wide / size[0]) + eye.aside)
    v = upward[rows] + single(spots[:, 1] * (2.0 * eye.tall / size[1]) + eye.lift)
    ways = np.empty((len(u), 3), dtype=np.float32)
    for axis in range(3):
        ways[:, axis] = u * np.float32(eye.right[axis]) + np.float32(eye.forward[axis])
        ways[:, axis] += v * np.float32(eye.up[axis])
    return ways
