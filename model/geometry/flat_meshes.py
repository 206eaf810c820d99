"""Triangles of convex, flat-sided shapes, without the CAD kernel."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from .facets import Face


def mesh_of_faces(
    faces: tuple[Face, ...],
) -> tuple[NDArray[np.float64], NDArray[np.int64], NDArray[np.int64]]:
    """Return a watertight mesh of a solid with convex faces.

    Returns
    -------
    vertices : (n, 3) float, mm, shared between faces
    triangles : (m, 3) int, anticlockwise seen from outside
    faces : (m,) int, number of the face each triangle lies on
    """
    points = np.round(np.array([point for loop in faces for point in loop]), 6) + 0.0
    unique, index = np.unique(points, axis=0, return_inverse=True)
    joined = index.reshape(-1)
    triangles: list[tuple[int, int, int]] = []
    owners: list[int] = []
    base = 0
    for number, loop in enumerate(faces):
        corners = joined[base : base + len(loop)]
        base += len(loop)
        for second in range(1, len(loop) - 1):
            a, b, c = (int(corners[place]) for place in (0, second, second + 1))
            if len({a, b, c}) == 3:
                triangles.append((a, b, c))
                owners.append(number)
    return unique, np.array(triangles), np.array(owners)
