"""Meshes laid open for a texture, in metres: u along the grain, v round the piece.

Every face keeps its true lengths: flat ones are laid down as they are, round ones are unrolled.
The sides of a piece follow each other round it, so that a texture runs on over its edges.
"""

from __future__ import annotations

import zlib
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .grain_axes import grain_axis
from .product import Mesh, Product

Floats = NDArray[np.float64]
Numbers = NDArray[np.int64]

END = 0.75
"""A face that looks along the grain by more than this (a cosine) is an end of the piece."""

EVEN = 1e-5
"""A face is flat when the normals of its triangles differ by no more than this."""

FAR, BESIDE = 4.0, 1.0
"""How far textures are moved from piece to piece, along the grain and across it, m."""


@dataclass(frozen=True)
class LaidOpen:
    """A mesh whose points are split where faces meet or are cut open.

    points : (n, 3) float, mm; normals : (n, 3) float, unit, outwards; places : (n, 2) float, m, u
    along the grain and v to the left of it seen from outside; triangles : (m, 3) int;
    vertices : (n,) int, the vertex of the mesh that each point is.
    """

    points: Floats
    normals: Floats
    places: Floats
    triangles: Numbers
    vertices: Numbers


def moved(name: str) -> tuple[float, float]:
    """Return by how much the texture of a piece or a mark is moved, m: its own by its name.

    >>> moved("PA1")
    (2.154, 0.169)
    """
    number = zlib.crc32(name.encode())
    return round(FAR * (number & 0xFFFF) / 0x10000, 3), round(BESIDE * (number >> 16) / 0x10000, 3)


def opened(built: Product) -> dict[str, LaidOpen]:
    """Return the mesh of each mark laid open along its grain."""
    by_mark = built.fence.by_mark
    return {
        mark: laid_open(mesh, grain_axis(by_mark[mark][0].kind))
        for mark, mesh in built.meshes.items()
    }


def laid_open(mesh: Mesh, axis: int) -> LaidOpen:
    """Return a mesh laid open. axis : of the grain, 0 to 2."""
    corners = mesh.vertices[mesh.triangles]
    crossed = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    count = int(mesh.faces.max()) + 1
    normals = np.zeros((count, 3))
    np.add.at(normals, mesh.faces, crossed)
    normals /= np.maximum(np.linalg.norm(normals, axis=1, keepdims=True), 1e-30)
    off = crossed - normals[mesh.faces] * np.linalg.norm(crossed, axis=1, keepdims=True)
    uneven = np.abs(off).max(axis=1) > EVEN * np.abs(crossed).max(axis=1)
    round_faces = np.unique(mesh.faces[uneven])
    along, across = _directions(normals, axis)
    places = np.stack(
        [np.einsum("tij,tj->ti", corners, way[mesh.faces]) for way in (along, across)], axis=-1
    )
    laps = np.zeros(mesh.triangles.shape, dtype=np.int64)
    for face in round_faces.tolist():
        own = np.flatnonzero(mesh.faces == face)
        places[own], laps[own] = _unrolled(mesh, own, crossed[own], axis)
    places[:, :, 1] += _starts(places, mesh.faces, normals, axis)[mesh.faces][:, None]
    return _split(mesh, count, crossed, places / 1000.0, laps)


def _directions(normals: Floats, axis: int) -> tuple[Floats, Floats]:
    """Return along which directions of each face u and v count, (k, 3) each."""
    first, second = (axis + 1) % 3, (axis + 2) % 3
    ends = np.abs(normals[:, axis]) > END
    flatter = np.where(np.abs(normals[:, first]) <= np.abs(normals[:, second]), first, second)
    wanted = np.eye(3)[np.where(ends, flatter, axis)]
    along = wanted - normals * np.sum(wanted * normals, axis=1, keepdims=True)
    along /= np.linalg.norm(along, axis=1, keepdims=True)
    return along, np.cross(normals, along)


def _starts(places: Floats, faces: Numbers, normals: Floats, axis: int) -> Floats:
    """Return what is added to v of each face, mm, so that one follows another round the piece."""
    count = len(normals)
    low, high = np.full(count, np.inf), np.full(count, -np.inf)
    np.minimum.at(low, faces, places[:, :, 1].min(axis=1))
    np.maximum.at(high, faces, places[:, :, 1].max(axis=1))
    turn = np.arctan2(normals[:, (axis + 2) % 3], normals[:, (axis + 1) % 3]).round(3)
    turn[turn < -3.141] = 3.142  # half a turn is one either way
    # v grows clockwise about the grain
    order = np.lexsort((-turn, np.abs(normals[:, axis]) > END))
    begin = np.zeros(count)
    begin[order[1:]] = np.cumsum((high - low)[order[:-1]])
    starts: Floats = begin - low
    return starts


def _unrolled(mesh: Mesh, own: Numbers, crossed: Floats, axis: int) -> tuple[Floats, Numbers]:
    """Return where the triangles of a round face lie unrolled, (m, 3, 2), mm, and which lap of a
    point each corner is on, as a face that closes on itself is cut open.
    """
    triangles = mesh.triangles[own].tolist()
    spots = mesh.vertices
    beside = {(t[n], t[n - 2]): k for k, t in enumerate(triangles) for n in range(3)}
    first = crossed[:1] / np.linalg.norm(crossed[:1])
    ways = np.concatenate(_directions(first, axis))
    laid: dict[int, list[tuple[float, float]]] = {}
    waiting: list[tuple[int, list[tuple[float, float]]]] = []

    def lay(number: int, flat: list[tuple[float, float]]) -> None:
        laid[number] = flat
        waiting.append((number, flat))

    for start in range(len(triangles)):
        if start in laid:
            continue
        lay(start, [tuple(ways @ spots[vertex]) for vertex in triangles[start]])
        for number, flat in waiting:
            corner = triangles[number]
            for n in range(3):
                other = beside.get((corner[n - 2], corner[n]))
                if other is not None and other not in laid:
                    edge = {corner[n]: flat[n], corner[n - 2]: flat[n - 2]}
                    lay(other, _hinged(triangles[other], edge, spots))
        waiting.clear()
    places = np.array([laid[number] for number in range(len(triangles))])
    seen: dict[int, list[tuple[float, float]]] = {}
    laps = [
        [_lap(seen.setdefault(vertex, []), spot) for vertex, spot in zip(t, laid[n], strict=True)]
        for n, t in enumerate(triangles)
    ]
    return places, np.array(laps)


def _hinged(
    triangle: list[int], edge: dict[int, tuple[float, float]], spots: Floats
) -> list[tuple[float, float]]:
    """Return a triangle laid down beside two of its points that lie."""
    n = next(k for k in range(3) if triangle[k] not in edge)
    tip, a, b = triangle[n], triangle[n - 2], triangle[n - 1]
    (ax, ay), (bx, by) = edge[a], edge[b]
    wide = float(np.linalg.norm(spots[b] - spots[a])) or 1.0
    way = (spots[b] - spots[a]) / wide
    reach = spots[tip] - spots[a]
    on = float(reach @ way)
    off = float(np.linalg.norm(reach - on * way))
    x, y = (bx - ax) / wide, (by - ay) / wide
    third = (ax + on * x - off * y, ay + on * y + off * x)
    return [third if vertex == tip else edge[vertex] for vertex in triangle]


def _lap(laid: list[tuple[float, float]], spot: tuple[float, float]) -> int:
    """Return which of a point's places is meant, a new one where it is none of them."""
    for number, (u, v) in enumerate(laid):
        if abs(u - spot[0]) + abs(v - spot[1]) < 1e-3:
            return number
    laid.append(spot)
    return len(laid) - 1


def _split(mesh: Mesh, count: int, crossed: Floats, places: Floats, laps: Numbers) -> LaidOpen:
    """Return a mesh with a point for each vertex, face and lap. count : of faces."""
    corner = mesh.triangles * count + mesh.faces[:, None]
    keys = (corner * (int(laps.max()) + 1) + laps).ravel()
    _, where, index = np.unique(keys, return_index=True, return_inverse=True)
    pairs, pair = np.unique(corner.ravel(), return_inverse=True)
    normals = np.zeros((len(pairs), 3))
    np.add.at(normals, pair, np.repeat(crossed, 3, axis=0))  # weighted by area
    normals /= np.linalg.norm(normals, axis=1, keepdims=True)
    vertices = mesh.triangles.ravel()[where]
    return LaidOpen(
        mesh.vertices[vertices],
        normals[pair[where]],
        places.reshape(-1, 2)[where],
        index.reshape(-1, 3),
        vertices,
    )
