"""Where a member stands as file formats write it: a matrix or a quaternion."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

from palewright.model.geometry.frames import Frame

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


def matrix_of(frame: Frame) -> NDArray[np.float64]:
    """Return a frame as a (4, 4) matrix for column vectors, mm."""
    import numpy as np

    matrix = np.identity(4)
    for column, axis in enumerate((frame.x, frame.y, frame.z, frame.origin)):
        matrix[:3, column] = axis
    return matrix


def turns_of(frames: Sequence[Frame]) -> NDArray[np.float64]:
    """Return the turnings of frames as (n, 3, 3) matrices for row vectors."""
    import numpy as np

    return np.array([(frame.x, frame.y, frame.z) for frame in frames])


def y_up(rows: NDArray[np.float64]) -> NDArray[np.float64]:
    """Turn (n, 3) vectors east, north, up into x, y, z with y up: east, up, south."""
    return rows[:, [0, 2, 1]] * (1.0, 1.0, -1.0)


def quaternion(frame: Frame) -> tuple[float, float, float, float]:
    """Return a frame's turning as a unit quaternion (x, y, z, w).

    By the largest of the four parts, as the trace of the matrix may be near -1 (Shepperd's method).

    >>> quaternion(Frame())
    (0.0, 0.0, 0.0, 1.0)
    """
    (a, d, g), (b, e, h), (c, f, i) = frame.x, frame.y, frame.z
    squares = (a - e - i, e - a - i, i - a - e, a + e + i)
    largest = squares.index(max(squares))
    part = 0.5 * math.sqrt(max(squares[largest] + 1.0, 0.0))
    k = 0.25 / part
    match largest:
        case 0:
            return part, (b + d) * k, (c + g) * k, (h - f) * k
        case 1:
            return (b + d) * k, part, (f + h) * k, (c - g) * k
        case 2:
            return (c + g) * k, (f + h) * k, part, (d - b) * k
        case _:
            return (h - f) * k, (c - g) * k, (d - b) * k, part
