"""GLB (glTF 2.0 binary): metres, Y up, one mesh for each mark, members as nodes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from palewright.model.basis.text import plain
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.frames import Frame, Vector
from palewright.model.parts.members import TIMBER, Member
from palewright.model.resolved.job import origin_text

from .finishes import Finish, finish_of
from .glb_parts import (
    FLOAT,
    VARIANTS,
    BinaryPart,
    MeshArrays,
    Palette,
    joined,
    mesh_entry,
    named_variants,
    packed,
    vectors,
)
from .product import Product
from .transforms import quaternion, turns_of, y_up
from .tree import Branch, tree_of
from .unwrapping import LaidOpen, moved, opened

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

INSTANCING = "EXT_mesh_gpu_instancing"


def write_glb(built: Product, *, instanced: bool = False) -> bytes:
    """Return a fence as a GLB file.

    instanced : one node for each mark, its members as instances of that extension: 28 bytes each,
    without names, for viewers that know it; others show nothing of it, so the file requires it.

    The site's east, north and up become glTF's +X, -Z and +Y (glTF 2.0, 3.4: metres, +Y up).
    Nodes are named by member, meshes by mark, the root by the project; a mark is one mesh of one
    primitive. Textures lie in metres along the grain, from mark to mark at other places. Timber
    has a variant of each finish (KHR_materials_variants).
    """
    file = _File()
    mesh_of: dict[str, int] = {}
    for mark, part in opened(built).items():
        surface = _Surface.of(built.fence.by_mark[mark][0], built.fence)
        mesh_of[mark] = file.add(mark, _drawn(part, mark), surface)
    if instanced:
        children = [_instances(file, mesh_of[m], g) for m, g in built.fence.by_mark.items()]
        root = file.node({"name": _name(built.fence), "children": children})
    else:
        root = _add_nodes(tree_of(built.fence), mesh_of, file)
    return file.bytes(built.fence, root, (INSTANCING,) if instanced else ())


def write_merged_glb(built: Product) -> bytes:
    """Return a fence as a GLB file of one mesh for each finish: few draws, but no single pieces.

    Textures lie in metres along the grain, from piece to piece at other places.
    """
    file = _File()
    by_surface: dict[_Surface, list[MeshArrays]] = {}
    for mark, part in opened(built).items():
        group = built.fence.by_mark[mark]
        surface = _Surface.of(group[0], built.fence)
        by_surface.setdefault(surface, []).append(_placed(part, group))
    children = []
    for surface, parts in by_surface.items():
        name = surface.finish.name
        children.append(file.node({"name": name, "mesh": file.add(name, joined(parts), surface)}))
    root = file.node({"name": _name(built.fence), "children": children})
    return file.bytes(built.fence, root, ())


@dataclass(frozen=True)
class _Surface:
    """What a mesh is painted with. painted : whether it is timber, which has variants."""

    finish: Finish
    painted: bool

    @staticmethod
    def of(member: Member, fence: FenceModel) -> _Surface:
        finish = finish_of(member.kind, fence.job.finishes)
        return _Surface(finish, member.kind.material == TIMBER)


@dataclass
class _File:
    """A file while it grows."""

    binary: BinaryPart = field(default_factory=BinaryPart)
    palette: Palette = field(default_factory=Palette)
    nodes: list[dict[str, Any]] = field(default_factory=list)
    meshes: list[dict[str, Any]] = field(default_factory=list)

    def node(self, node: dict[str, Any]) -> int:
        """Add a node and return its number."""
        self.nodes.append(node)
        return len(self.nodes) - 1

    def add(self, name: str, drawn: MeshArrays, surface: _Surface) -> int:
        """Add a mesh and return its number."""
        painted: dict[str, Any] = {"material": self.palette.number(surface.finish)}
        if surface.painted:
            painted["extensions"] = self.palette.variants(surface.finish)
        self.meshes.append(mesh_entry(name, drawn, painted, self.binary))
        return len(self.meshes) - 1

    def bytes(self, fence: FenceModel, root: int, required: tuple[str, ...]) -> bytes:
        """Return the file. required : extensions without which nothing is shown."""
        data = self.binary.whole()
        about = origin_text(fence.job)
        return packed(
            {
                "asset": {"version": "2.0", "generator": "palewright"},
                "extensionsUsed": [*required, VARIANTS],
                **({"extensionsRequired": [*required]} if required else {}),
                "extensions": named_variants(),
                "scene": 0,
                "scenes": [{"nodes": [root], **({"extras": {"origin": about}} if about else {})}],
                "nodes": self.nodes,
                "meshes": self.meshes,
                "materials": self.palette.materials(),
                "accessors": self.binary.accessors,
                "bufferViews": self.binary.views,
                "buffers": [{"byteLength": len(data)}],
            },
            data,
        )


def _name(fence: FenceModel) -> str:
    return plain(fence.job.project.name) or "fence"


def _add_nodes(branch: Branch, mesh_of: dict[str, int], file: _File) -> int:
    children = [_add_nodes(inner, mesh_of, file) for inner in branch.branches]
    for member in branch.members:
        node: dict[str, Any] = {"name": member.name, "mesh": mesh_of[member.mark]}
        node["translation"] = [_metres(v) for v in _turned(member.frame.origin)]
        rotation = _rotation(member.frame)
        if rotation != [0.0, 0.0, 0.0, 1.0]:
            node["rotation"] = rotation
        children.append(file.node(node))
    return file.node({"name": branch.name, "children": children})


def _instances(file: _File, mesh: int, group: Sequence[Member]) -> int:
    """Add a node for a mark with places and turns of its members; return its number."""
    places = [[_metres(v) for v in _turned(member.frame.origin)] for member in group]
    turns = [_rotation(member.frame) for member in group]
    attributes = {}
    for name, kind, rows in (("TRANSLATION", "VEC3", places), ("ROTATION", "VEC4", turns)):
        accessor = {"componentType": FLOAT, "count": len(rows), "type": kind}
        attributes[name] = file.binary.add(vectors(rows), None, accessor)
    own = {INSTANCING: {"attributes": attributes}}
    return file.node({"name": group[0].mark, "mesh": mesh, "extensions": own})


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


def _drawn(part: LaidOpen, name: str) -> MeshArrays:
    """Return a part in its own place. name : whose texture it has."""
    return MeshArrays(
        y_up(part.points / 1000.0),
        y_up(part.normals),
        _downwards(part.places + moved(name)),
        part.triangles.ravel(),
    )


def _placed(part: LaidOpen, group: Sequence[Member]) -> MeshArrays:
    """Return all members of a mark where they stand, each with a texture of its own."""
    import numpy as np

    turns = turns_of([member.frame for member in group])
    origins = np.array([member.frame.origin for member in group])
    shifts = np.array([moved(member.name) for member in group])
    count, starts = len(part.points), np.arange(len(group)) * len(part.points)
    return MeshArrays(
        y_up((part.points @ turns + origins[:, None]).reshape(-1, 3) / 1000.0),
        y_up((part.normals @ turns).reshape(-1, 3)),
        _downwards((part.places + shifts[:, None]).reshape(len(group) * count, 2)),
        (part.triangles.ravel() + starts[:, None]).ravel(),
    )


def _downwards(places: NDArray[np.float64]) -> NDArray[np.float64]:
    return places * (1.0, -1.0)
