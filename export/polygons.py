"""STL and OBJ, through trimesh: every member's triangles in site coordinates, mm."""

from __future__ import annotations

from typing import TYPE_CHECKING

from palewright.model.geometry import Frame

from .built import Built
from .finishes import Finish, finish_of
from .tree import plain

if TYPE_CHECKING:
    import numpy as np
    import trimesh
    from numpy.typing import NDArray


def matrix_of(frame: Frame) -> NDArray[np.float64]:
    """Return a frame as a (4, 4) matrix for column vectors, mm."""
    import numpy as np

    matrix = np.identity(4)
    for column, axis in enumerate((frame.x, frame.y, frame.z, frame.origin)):
        matrix[:3, column] = axis
    return matrix


def placed_meshes(built: Built) -> list[tuple[str, Finish, trimesh.Trimesh]]:
    """Return name, finish and closed mesh of every member, in site coordinates, mm."""
    import trimesh

    made = []
    for member in built.fence.members:
        part = built.meshes[member.mark]
        mesh = trimesh.Trimesh(part.vertices, part.triangles, process=False)
        mesh.apply_transform(matrix_of(member.frame))
        made.append((member.name, finish_of(member.kind, built.fence.job.finishes), mesh))
    return made


def write_stl(built: Built) -> bytes:
    """Return a fence as a binary STL file."""
    import trimesh

    whole = trimesh.util.concatenate([mesh for _, _, mesh in placed_meshes(built)])
    return bytes(trimesh.exchange.stl.export_stl(whole))


def write_obj(built: Built, stem: str) -> dict[str, bytes]:
    """Return a fence as an OBJ file and its material library, by file name.

    stem : name of both files without the suffix. trimesh writes each member's vertices and
    faces; it would drop the materials' names, so groups and materials are put in here.
    """
    from trimesh.exchange.obj import export_obj

    library = f"{stem}.mtl"
    parts = [f"# {plain(built.fence.job.project.name)}, mm", f"mtllib {library}"]
    finishes: dict[Finish, str] = {}
    count = 0
    for name, finish, mesh in placed_meshes(built):
        label = finishes.setdefault(finish, finish.name.replace(" ", "_"))
        parts += [f"o {name}", f"usemtl {label}"]
        text = export_obj(mesh, include_normals=False, header=None, digits=6)
        for line in text.splitlines():
            if line.startswith("f "):
                numbers = (int(item.split("/")[0]) + count for item in line.split()[1:])
                parts.append("f " + " ".join(map(str, numbers)))
            elif line.startswith("v "):
                parts.append(line)
        count += len(mesh.vertices)
    shades = [
        f"newmtl {label}\nKd {finish.red:g} {finish.green:g} {finish.blue:g}\nillum 1\n"
        for finish, label in finishes.items()
    ]
    return {
        f"{stem}.obj": ("\n".join(parts) + "\n").encode(),
        library: "\n".join(shades).encode(),
    }
