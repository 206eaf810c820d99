"""GLB (glTF 2.0 binary): metres, Y up, one mesh for each mark, members as nodes."""

from __future__ import annotations

import json
import struct
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from palewright.model.geometry.frames import Frame, Vector
from palewright.model.resolved.job import origin_text

from .finishes import Finish, finish_of
from .product import Mesh, Product
from .tree import Branch, tree_of

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

ARRAY_BUFFER, ELEMENT_ARRAY_BUFFER = 34962, 34963
UNSIGNED_SHORT, UNSIGNED_INT, FLOAT = 5123, 5125, 5126


INSTANCING = "EXT_mesh_gpu_instancing"


def write_glb(built: Product, *, instanced: bool = False) -> bytes:
    """Return a fence as a GLB file.

    instanced : one node for each mark, its members as instances of that extension: 28 bytes each,
    without names, for viewers that know it.

    The site's east, north and up become glTF's +X, -Z and +Y (glTF 2.0, 3.4: metres, +Y up).
    Nodes are named by member, meshes by mark; a mark is one mesh of one primitive.
    """
    data = bytearray()
    views: list[dict[str, Any]] = []
    accessors: list[dict[str, Any]] = []
    meshes: list[dict[str, Any]] = []
    materials: dict[Finish, int] = {}
    mesh_of: dict[str, int] = {}

    def view(raw: bytes, target: int | None) -> int:
        data.extend(b"\0" * (-len(data) % 4))
        made = {"buffer": 0, "byteOffset": len(data), "byteLength": len(raw)}
        views.append(made if target is None else {**made, "target": target})
        data.extend(raw)
        return len(views) - 1

    for mark, group in built.fence.by_mark.items():
        positions, normals, indices = _shaded(built.meshes[mark])
        finish = finish_of(group[0].kind, built.fence.job.finishes)
        material = materials.setdefault(finish, len(materials))
        short = len(positions) < 65535
        accessors += [
            {
                "bufferView": view(positions.astype("<f4").tobytes(), ARRAY_BUFFER),
                "componentType": FLOAT,
                "count": len(positions),
                "type": "VEC3",
                "min": [float(v) for v in positions.astype("<f4").min(axis=0)],
                "max": [float(v) for v in positions.astype("<f4").max(axis=0)],
            },
            {
                "bufferView": view(normals.astype("<f4").tobytes(), ARRAY_BUFFER),
                "componentType": FLOAT,
                "count": len(normals),
                "type": "VEC3",
            },
            {
                "bufferView": view(
                    indices.astype("<u2" if short else "<u4").tobytes(), ELEMENT_ARRAY_BUFFER
                ),
                "componentType": UNSIGNED_SHORT if short else UNSIGNED_INT,
                "count": int(indices.size),
                "type": "SCALAR",
            },
        ]
        last = len(accessors)
        mesh_of[mark] = len(meshes)
        meshes.append(
            {
                "name": mark,
                "primitives": [
                    {
                        "attributes": {"POSITION": last - 3, "NORMAL": last - 2},
                        "indices": last - 1,
                        "material": material,
                    }
                ],
            }
        )
    nodes: list[dict[str, Any]] = []
    if instanced:
        root = _add_instances(built, mesh_of, nodes, accessors, view)
    else:
        root = _add_nodes(tree_of(built.fence), mesh_of, nodes)
    data.extend(b"\0" * (-len(data) % 4))
    about, used = origin_text(built.fence.job), [INSTANCING]
    document = {
        "asset": {"version": "2.0", "generator": "palewright"},
        **({"extensionsUsed": used, "extensionsRequired": used} if instanced else {}),
        "scene": 0,
        "scenes": [{"nodes": [root], **({"extras": {"origin": about}} if about else {})}],
        "nodes": nodes,
        "meshes": meshes,
        "materials": [_material(finish) for finish in materials],
        "accessors": accessors,
        "bufferViews": views,
        "buffers": [{"byteLength": len(data)}],
    }
    return _packed(document, bytes(data))


def _packed(document: dict[str, Any], data: bytes) -> bytes:
    text = json.dumps(document, separators=(",", ":"), ensure_ascii=False).encode()
    text += b" " * (-len(text) % 4)
    total = 12 + 8 + len(text) + 8 + len(data)
    return b"".join(
        (
            struct.pack("<4sII", b"glTF", 2, total),
            struct.pack("<I4s", len(text), b"JSON"),
            text,
            struct.pack("<I4s", len(data), b"BIN\0"),
            data,
        )
    )


def _add_nodes(branch: Branch, mesh_of: dict[str, int], nodes: list[dict[str, Any]]) -> int:
    children = [_add_nodes(inner, mesh_of, nodes) for inner in branch.branches]
    for member in branch.members:
        node: dict[str, Any] = {"name": member.name, "mesh": mesh_of[member.mark]}
        node["translation"] = [_metres(v) for v in _turned(member.frame.origin)]
        rotation = _quaternion(member.frame)
        if rotation != [0.0, 0.0, 0.0, 1.0]:
            node["rotation"] = rotation
        children.append(len(nodes))
        nodes.append(node)
    nodes.append({"name": branch.name, "children": children})
    return len(nodes) - 1


def _add_instances(
    built: Product,
    mesh_of: dict[str, int],
    nodes: list[dict[str, Any]],
    accessors: list[dict[str, Any]],
    view: Callable[[bytes, int | None], int],
) -> int:
    """Add a node for each mark with places and turns of its members; return the root's number."""
    for mark, group in built.fence.by_mark.items():
        places = [[_metres(v) for v in _turned(member.frame.origin)] for member in group]
        turns = [_quaternion(member.frame) for member in group]
        attributes = {}
        for name, kind, rows in (("TRANSLATION", "VEC3", places), ("ROTATION", "VEC4", turns)):
            raw = struct.pack(f"<{len(rows) * len(rows[0])}f", *(v for row in rows for v in row))
            place = {"bufferView": view(raw, None), "componentType": FLOAT}
            accessors.append({**place, "count": len(rows), "type": kind})
            attributes[name] = len(accessors) - 1
        own = {INSTANCING: {"attributes": attributes}}
        nodes.append({"name": mark, "mesh": mesh_of[mark], "extensions": own})
    nodes.append({"name": "fence", "children": list(range(len(nodes)))})
    return len(nodes) - 1


def _metres(value: float) -> float:
    return round(value / 1000.0, 6) + 0.0


def _turned(v: Vector) -> Vector:
    """Turn east, north, up into glTF's x, y, z."""
    return v[0], v[2], -v[1]


def _quaternion(frame: Frame) -> list[float]:
    """Return the rotation of a frame, in glTF's axes, as a unit quaternion x, y, z, w."""
    # columns: where glTF's x, y and z of the part go
    cx, cy = _turned(frame.x), _turned(frame.z)
    cz = _turned((-frame.y[0], -frame.y[1], -frame.y[2]))
    trace = cx[0] + cy[1] + cz[2]
    # the largest of the four squares gives the best-conditioned root
    squares = (
        1.0 + trace,
        1.0 + cx[0] - cy[1] - cz[2],
        1.0 - cx[0] + cy[1] - cz[2],
        1.0 - cx[0] - cy[1] + cz[2],
    )
    best = squares.index(max(squares))
    root = squares[best] ** 0.5
    half = 0.5 / root
    a, b, c = cy[2] - cz[1], cz[0] - cx[2], cx[1] - cy[0]
    d, e, f = cx[1] + cy[0], cz[0] + cx[2], cy[2] + cz[1]
    parts = (
        (a * half, b * half, c * half, root / 2.0),
        (root / 2.0, d * half, e * half, a * half),
        (d * half, root / 2.0, f * half, b * half),
        (e * half, f * half, root / 2.0, c * half),
    )[best]
    return [round(value, 7) + 0.0 for value in parts]


def _shaded(
    mesh: Mesh,
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.int64]]:
    """Return vertices in metres, Y up, split where faces meet, with normals and indices."""
    import numpy as np

    corners = mesh.vertices[mesh.triangles]
    flat = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    keys = np.stack([mesh.triangles, np.repeat(mesh.faces[:, None], 3, axis=1)], axis=2)
    unique, index = np.unique(keys.reshape(-1, 2), axis=0, return_inverse=True)
    index = index.reshape(-1)
    normals = np.zeros((len(unique), 3))
    np.add.at(normals, index, np.repeat(flat, 3, axis=0))  # weighted by area
    normals /= np.linalg.norm(normals, axis=1, keepdims=True)
    points = mesh.vertices[unique[:, 0]] / 1000.0
    turn = [0, 2, 1]
    sign = np.array([1.0, 1.0, -1.0])
    return points[:, turn] * sign, normals[:, turn] * sign, index


def _material(finish: Finish) -> dict[str, Any]:
    return {
        "name": finish.name,
        "pbrMetallicRoughness": {
            "baseColorFactor": [*(round(v, 5) for v in finish.linear), 1.0],
            "metallicFactor": finish.metallic,
            "roughnessFactor": finish.roughness,
        },
    }
