"""Convex rooms cut out by planes: their faces, and the room they enclose.

A plane keeps the side n . x <= d. A face remembers which plane it lies on.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from itertools import pairwise

from .frames import Vector, cross, dot

Plane = tuple[float, float, float, float]
"""nx, ny, nz, d: a unit normal, outwards, and its distance from the origin, mm."""

Sided = tuple[int, tuple[Vector, ...]]
"""A face: the number of its plane, and its loop, anticlockwise seen from outside."""

EXACT = 1e-9
"""Farther out of a plane than this (mm) is outside."""

FAR = 1e5
"""Half the side of the room that planes cut down, mm: larger than any piece."""

BOX = -1
"""Number of the faces that no plane has cut."""


def room(planes: Iterable[Plane], tolerance: float = EXACT) -> list[Sided]:
    """Return the faces of the room within planes, each with the number of its plane; none where
    there is no such room. tolerance : what lies no farther out of a plane is within, mm.

    >>> sides = [(1, 0, 0, 1), (-1, 0, 0, 1), (0, 1, 0, 1), (0, -1, 0, 1)]
    >>> cube = [*sides, (0, 0, 1, 1), (0, 0, -1, 1)]
    >>> volume_within(room(cube)), volume_within(room([*cube, (1, 0, 0, -2)]))
    (8.0, 0.0)
    """
    faces = _box()
    for number, plane in enumerate(planes):
        faces = _clipped(faces, plane, number, tolerance)
        if not faces:
            return []
    return faces


def volume_within(faces: Sequence[Sided]) -> float:
    """Return the volume of a room, mm3 (pyramids from one of its corners to its faces)."""
    if not faces:
        return 0.0
    tip = faces[0][1][0]
    parts = []
    for _, loop in faces:
        local = [_less(point, tip) for point in loop]
        parts += [dot(local[0], cross(a, b)) / 6.0 for a, b in pairwise(local[1:])]
    return math.fsum(parts)


def loop_area(loop: Sequence[Vector]) -> float:
    """Return the area of a flat convex loop, mm2."""
    local = [_less(point, loop[0]) for point in loop[1:]]
    x, y, z = (
        math.fsum(part) for part in zip(*(cross(a, b) for a, b in pairwise(local)), strict=True)
    )
    return math.sqrt(x * x + y * y + z * z) / 2.0


def _box() -> list[Sided]:
    f = FAR
    low = ((-f, -f, -f), (f, -f, -f), (f, f, -f), (-f, f, -f))
    high = tuple((x, y, f) for x, y, _ in low)
    sides = ((low[n], low[m], high[m], high[n]) for n, m in ((0, 1), (1, 2), (2, 3), (3, 0)))
    return [(BOX, loop) for loop in (low[::-1], high, *sides)]


def _clipped(faces: list[Sided], plane: Plane, number: int, tolerance: float) -> list[Sided]:
    """Return what is left of a room on the inner side of one more plane."""
    normal, offset = plane[:3], plane[3]
    out = [[dot(normal, point) - offset for point in loop] for _, loop in faces]
    if max(max(row) for row in out) <= tolerance:
        return faces
    if min(min(row) for row in out) >= -tolerance:
        return []
    kept: list[Sided] = []
    rim: list[Vector] = []
    for (owner, loop), row in zip(faces, out, strict=True):
        left: list[Vector] = []
        for n, point in enumerate(loop):
            here, before, last = row[n], row[n - 1], loop[n - 1]
            if (here > tolerance and before < -tolerance) or (
                here < -tolerance and before > tolerance
            ):
                met = _between(last, point, before / (before - here))
                left.append(met)
                rim.append(met)
            if here <= tolerance:
                left.append(point)
                if here >= -tolerance:
                    rim.append(point)
        if len(left) > 2:
            kept.append((owner, tuple(left)))
    if lid := _around(rim, normal):
        kept.append((number, lid))
    return kept


def _between(a: Vector, b: Vector, share: float) -> Vector:
    return (
        a[0] + (b[0] - a[0]) * share,
        a[1] + (b[1] - a[1]) * share,
        a[2] + (b[2] - a[2]) * share,
    )


def _around(points: list[Vector], normal: Vector) -> tuple[Vector, ...]:
    """Return points of a convex loop in their order about its normal, each once."""
    once: list[Vector] = []
    for point in points:
        if all(max(abs(a - b) for a, b in zip(point, other, strict=True)) > 1e-7 for other in once):
            once.append(point)
    if len(once) < 3:
        return ()
    middle = tuple(math.fsum(axis) / len(once) for axis in zip(*once, strict=True))
    first, second = across(normal)

    def turn(point: Vector) -> float:
        away = _less(point, (middle[0], middle[1], middle[2]))
        return math.atan2(dot(away, second), dot(away, first))

    return tuple(sorted(once, key=turn))


def across(normal: Vector) -> tuple[Vector, Vector]:
    """Return two unit vectors at right angles to a unit vector and to each other, right-handed."""
    largest = max(range(3), key=lambda n: abs(normal[n]))
    base = ((0.0, 1.0, 0.0), (0.0, 0.0, 1.0), (1.0, 0.0, 0.0))[largest]
    along = dot(base, normal)
    x, y, z = (b - along * n for b, n in zip(base, normal, strict=True))
    size = math.sqrt(x * x + y * y + z * z)
    first = (x / size, y / size, z / size)
    return first, cross(normal, first)


def _less(a: Vector, b: Vector) -> Vector:
    return a[0] - b[0], a[1] - b[1], a[2] - b[2]
