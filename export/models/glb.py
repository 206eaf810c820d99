"""GLB (glTF 2.0 binary): metres, Y up, one mesh for each mark, members as nodes."""

from __future__ import annotations

import json
import struct
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from palewright.model.geometry.frames import Frame, Vector
from palewright.model.resolved.job import origin_text

from .finishes import Finish, finish_of
from .product import Mesh, Product
from .transforms import quaternion
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
    buffer = _Buffer()
    materials: dict[Finish, int] = {}
    meshes: list[dict[str, Any]] = []
    mesh_of: dict[str, int] = {}
    for mark, group in built.fence.by_mark.items():
        finish = finish_of(group[0].kind, built.fence.job.finishes)
        material = materials.setdefault(finish, len(materials))
        mesh_of[mark] = len(meshes)
        meshes.append(_mesh(mark, built.meshes[mark], material, buffer))
    nodes: list[dict[str, Any]] = []
    if instanced:
        root = _add_instances(built, mesh_of, nodes, buffer)
    else:
        root = _add_nodes(tree_of(built.fence), mesh_of, nodes)
    data = buffer.whole()
    about, used = origin_text(built.fence.job), [INSTANCING]
    document = {
        "asset": {"version": "2.0", "generator": "palewright"},
        **({"extensionsUsed": used, "extensionsRequired": used} if instanced else {}),
        "scene": 0,
        "scenes": [{"nodes": [root], **({"extras": {"origin": about}} if about else {})}],
        "nodes": nodes,
        "meshes": meshes,
        "materials": [_material(finish) for finish in materials],
        "accessors": buffer.accessors,
        "bufferViews": buffer.views,
        "buffers": [{"byteLength": len(data)}],
    }
    return _packed(document, data)


@dataclass
class _Buffer:
    """The file's binary part while it grows, with the views and accessors into it."""

    data: bytearray = field(default_factory=bytearray)
    views: list[dict[str, Any]] = field(default_factory=list)
    accessors: list[dict[str, Any]] = field(default_factory=list)

    def view(self, raw: bytes, target: int | None = None) -> int:
        """Add bytes and return the number of the view of them."""
        self.data.extend(b"\0" * (-len(self.data) % 4))
        view = {"buffer": 0, "byteOffset": len(self.data), "byteLength": len(raw)}
        self.views.append(view if target is None else {**view, "target": target})
        self.data.extend(raw)
        return len(self.views) - 1

    def add(self, raw: bytes, target: int | None, accessor: dict[str, Any]) -> int:
        """Add bytes with an accessor and return its number."""
        self.accessors.append({"bufferView": self.view(raw, target), **accessor})
        return len(self.accessors) - 1

    def whole(self) -> bytes:
        """Return the binary part, its length a multiple of four."""
        self.data.extend(b"\0" * (-len(self.data) % 4))
        return bytes(self.data)


def _mesh(mark: str, mesh: Mesh, material: int, buffer: _Buffer) -> dict[str, Any]:
    """Return the mesh of a mark, one primitive, its arrays added to the buffer."""
    positions, normals, indices = _shaded(mesh)
    points = positions.astype("<f4")
    short = len(positions) < 65535
    vectors = {"componentType": FLOAT, "count": len(positions), "type": "VEC3"}
    box = {
        "min": [float(v) for v in points.min(axis=0)],
        "max": [float(v) for v in points.max(axis=0)],
    }
    whole = {
        "componentType": UNSIGNED_SHORT if short else UNSIGNED_INT,
        "count": int(indices.size),
        "type": "SCALAR",
    }
    numbers = indices.astype("<u2" if short else "<u4").tobytes()
    position = buffer.add(points.tobytes(), ARRAY_BUFFER, {**vectors, **box})
    normal = buffer.add(normals.astype("<f4").tobytes(), ARRAY_BUFFER, vectors)
    index = buffer.add(numbers, ELEMENT_ARRAY_BUFFER, whole)
    primitive = {
        "attributes": {"POSITION": position, "NORMAL": normal},
        "indices": index,
        "material": material,
    }
    return {"name": mark, "primitives": [primitive]}


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
        rotation = _rotation(member.frame)
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
    buffer: _Buffer,
) -> int:
    """Add a node for each mark with places and turns of its members; return the root's number."""
    for mark, group in built.fence.by_mark.items():
        places = [[_metres(v) for v in _turned(member.frame.origin)] for member in group]
        turns = [_rotation(member.frame) for member in group]
        attributes = {}
        for name, kind, rows in (("TRANSLATION", "VEC3", places), ("ROTATION", "VEC4", turns)):
            raw = struct.pack(f"<{len(rows) * len(rows[0])}f", *(v for row in rows for v in row))
            accessor = {"componentType": FLOAT, "count": len(rows), "type": kind}
            attributes[name] = buffer.add(raw, None, accessor)
        own = {INSTANCING: {"attributes": attributes}}
        nodes.append({"name": mark, "mesh": mesh_of[mark], "extensions": own})
    nodes.append({"name": "fence", "children": list(range(len(nodes)))})
    return len(nodes) - 1


def _metres(value: float) -> float:
    return round(value / 1000.0, 6) + 0.0


def _turned(v: Vector) -> Vector:
    """Turn east, north, up into glTF's x, y, z."""
    return v[0], v[2], -v[1]


def _rotation(frame: Frame) -> list[float]:
    """Return the rotation of a frame, in glTF's axes, as a unit quaternion x, y, z, w."""
    # where glTF's x and y of the part go
    turned = Frame((0.0, 0.0, 0.0), _turned(frame.x), _turned(frame.z))
    x, y, z, w = quaternion(turned)
    # q and -q are one rotation: where no part is larger than w, that is positive
    sign = -1.0 if w < 0.0 and -w >= max(abs(x), abs(y), abs(z)) - 1e-9 else 1.0
    return [round(sign * value, 7) + 0.0 for value in (x, y, z, w)]


def _shaded(
    mesh: Mesh,
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.int64]]:
    """Return vertices in metres, Y up, split where faces meet, with normals and indices."""
    import numpy as np

    corners = mesh.vertices[mesh.triangles]
    flat = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    count = int(mesh.faces.max()) + 1
    keys = (mesh.triangles * count + mesh.faces[:, None]).ravel()  # corner and face in one number
    unique, index = np.unique(keys, return_inverse=True)
    normals = np.zeros((len(unique), 3))
    np.add.at(normals, index, np.repeat(flat, 3, axis=0))  # weighted by area
    normals /= np.linalg.norm(normals, axis=1, keepdims=True)
    points = mesh.vertices[unique // count] / 1000.0
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
