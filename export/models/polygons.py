"""STL and OBJ: every member's triangles in site coordinates, mm.

trimesh does the geometry; its own writers would hold a long fence several times over, and its OBJ
drops the materials' names.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from palewright.model.basis.text import plain, printable
from palewright.model.geometry.frames import Frame

from .finishes import Finish, finish_of
from .product import Mesh, Product
from .transforms import matrix_of

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


STL_HEAD = 84
"""Bytes before the first triangle of a binary STL: 80 of a title, 4 of the count."""


def _placed(part: Mesh, frame: Frame) -> NDArray[np.float64]:
    """Return a mark's vertices where a member stands, (n, 3), mm."""
    import trimesh

    return trimesh.transform_points(part.vertices, matrix_of(frame))


def write_stl(built: Product) -> bytes:
    """Return a fence as a binary STL file, mark by mark: normal and corners of every triangle."""
    import numpy as np
    import trimesh

    record = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("unused", "<u2")])
    groups = [(built.meshes[mark], group) for mark, group in built.fence.by_mark.items()]
    count = sum(len(part.triangles) * len(group) for part, group in groups)
    data = bytearray(STL_HEAD + count * record.itemsize)
    data[STL_HEAD - 4 : STL_HEAD] = count.to_bytes(4, "little")
    triangles = np.frombuffer(data, record, offset=STL_HEAD)
    at = 0
    for part, group in groups:
        for member in group:
            corners = _placed(part, member.frame)[part.triangles]
            some = triangles[at : at + len(corners)]
            some["corners"] = corners
            some["normal"] = trimesh.util.unitize(trimesh.triangles.cross(corners))
            at += len(corners)
    return bytes(data)


def write_obj(built: Product, stem: str) -> dict[str, bytes]:
    """Return a fence as an OBJ file and its material library, by file name.

    stem : name of both files without the suffix. A group for each member, and its material.
    """
    library = f"{printable(stem).replace(' ', '_')}.mtl"  # a name in OBJ ends with its line
    head = f"# {plain(built.fence.job.project.name)}, mm\nmtllib {library}\n"
    parts = [head.encode()]
    finishes: dict[Finish, str] = {}
    count = 1
    for member in built.fence.members:
        part = built.meshes[member.mark]
        finish = finish_of(member.kind, built.fence.job.finishes)
        label = finishes.setdefault(finish, finish.name.replace(" ", "_"))
        vertices = _placed(part, member.frame)
        corners = part.triangles + count
        parts += [
            f"o {member.name}\nusemtl {label}\n".encode(),
            b"v %.6f %.6f %.6f\n" * len(vertices) % tuple(vertices.ravel().tolist()),
            b"f %d %d %d\n" * len(corners) % tuple(corners.ravel().tolist()),
        ]
        count += len(vertices)
    shades = [
        f"newmtl {label}\nKd {finish.red:g} {finish.green:g} {finish.blue:g}\nillum 1\n"
        for finish, label in finishes.items()
    ]
    return {
        f"{stem}.obj": b"".join(parts),
        library: "\n".join(shades).encode(),
    }
