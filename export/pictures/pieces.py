"""Triangles of a picture, each with the piece it is on, and what the pieces are of."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

WOOD, PAINT, METAL, ROUGH, STONES, LEAVES, LAWN, EARTH, BARE = range(9)
"""Kinds of surface."""


@dataclass(frozen=True)
class Pieces:
    """Triangles and the pieces they are on.

    points : (n, 3), mm; triangles : (m, 3); owner : (m,), piece; sides : (m,), flat or curved
    face; kinds : (k,), surface; colours : (k, 3), linear; places : (k, 3, 4), from the model to
    the piece, grain last; seeds : (k,), 0 to 1.
    """

    points: NDArray[np.float64]
    triangles: NDArray[np.int64]
    owner: NDArray[np.int64]
    sides: NDArray[np.int64]
    kinds: NDArray[np.int64]
    colours: NDArray[np.float64]
    places: NDArray[np.float64]
    seeds: NDArray[np.float64]


@dataclass(frozen=True)
class ShownMesh:
    """A mesh of one surface. place : from the model to the piece (3, 4), its grain last."""

    points: NDArray[np.float64]
    triangles: NDArray[np.int64]
    sides: NDArray[np.int64]
    kind: int
    colour: tuple[float, float, float]
    place: NDArray[np.float64]


def pieces_of(meshes: Sequence[ShownMesh]) -> Pieces:
    """Return meshes as one."""
    starts = np.cumsum([0, *(len(mesh.points) for mesh in meshes)])
    sides = np.cumsum([0, *(int(mesh.sides.max()) + 1 for mesh in meshes)])
    places = np.array([mesh.place for mesh in meshes])
    spots = np.einsum("kji,kj->ki", places[:, :, :3], places[:, :, 3])
    return Pieces(
        np.concatenate([mesh.points for mesh in meshes]),
        np.concatenate([mesh.triangles + at for mesh, at in zip(meshes, starts, strict=False)]),
        np.repeat(np.arange(len(meshes)), [len(mesh.triangles) for mesh in meshes]),
        np.concatenate([mesh.sides + at for mesh, at in zip(meshes, sides, strict=False)]),
        np.array([mesh.kind for mesh in meshes]),
        np.array([mesh.colour for mesh in meshes]),
        places,
        np.modf(np.abs(np.sin(spots @ (0.0127, 0.0311, 0.0173)) * 4375.85))[0],
    )
