"""STL and OBJ: every member's triangles in site coordinates, mm."""

from __future__ import annotations

import io
from collections.abc import Sequence
from typing import TYPE_CHECKING

from palewright.model.basis.text import plain, printable
from palewright.model.geometry.frames import Frame

from .finishes import Finish, finish_of
from .product import Mesh, Product

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


AT_ONCE = 50_000
"""About how many triangles of a mark are placed at a time."""


def _turns(frames: Sequence[Frame]) -> NDArray[np.float64]:
    """Return the turnings of frames as (n, 3, 3) matrices for row vectors."""
    import numpy as np

    return np.array([(frame.x, frame.y, frame.z) for frame in frames])


def write_stl(built: Product) -> bytes:
    """Return a fence as a binary STL file, mark by mark: normal and corners of every triangle."""
    groups = [(built.meshes[mark], group) for mark, group in built.fence.by_mark.items()]
    count = sum(len(part.triangles) * len(group) for part, group in groups)
    out = io.BytesIO()  # it gives its bytes away without a copy
    out.write(bytes(80) + count.to_bytes(4, "little"))
    for part, group in groups:
        step = max(1, AT_ONCE // len(part.triangles))
        for first in range(0, len(group), step):
            out.write(_triangles(part, [member.frame for member in group[first : first + step]]))
    return out.getvalue()


def _triangles(part: Mesh, frames: Sequence[Frame]) -> bytes:
    """Return the triangles of a mark's members as an STL holds them."""
    import numpy as np

    corners = part.vertices[part.triangles]
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    normals /= np.linalg.norm(normals, axis=1, keepdims=True)
    turns = _turns(frames)
    origins = np.array([frame.origin for frame in frames])
    record = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("unused", "<u2")])
    made = np.zeros((len(frames), len(corners)), record)
    made["normal"] = normals @ turns
    spots = corners.reshape(-1, 3) @ turns + origins[:, None, :]
    made["corners"] = spots.reshape(len(frames), -1, 3, 3)
    return made.tobytes()


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
        vertices = part.vertices @ _turns([member.frame])[0] + member.frame.origin
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
