"""OBJ with its material library: mm with z up, or metres with y up."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from palewright.model.basis.text import plain, printable
from palewright.model.parts.members import Member

from .finishes import TIMBER_FINISHES, Finish, finish_of
from .product import Product
from .transforms import turns_of, y_up
from .unwrapping import LaidOpen, moved, opened

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

MM, METRES = "mm; x east, y north, z up", "metres; x east, y up, z south"

ABOUT = """# {name}
# lengths in {axes}
# textures in metres, u along the grain, v round the piece: 1 is 1 m
mtllib {library}
"""


def write_obj(built: Product, stem: str, *, metres: bool = False) -> dict[str, bytes]:
    """Return a fence as an OBJ file and its material library, by file name.

    stem : name of both files without the suffix. metres : whether lengths are in metres and y is
    up, as renderers have it; else in mm with z up, as CAD has it. The file says which.

    An object for each member, its points shared by its faces, so that it is closed; normals,
    textures in metres along the grain, each piece's at another place; and its material. The
    library has every finish of timber.
    """
    import numpy as np

    library = f"{printable(stem).replace(' ', '_')}.mtl"  # a name in OBJ ends with its line
    name = plain(built.fence.job.project.name)
    head = ABOUT.format(name=name, axes=METRES if metres else MM, library=library)
    parts = [head.encode()]
    patterns = {mark: _pattern(built, mark, part) for mark, part in opened(built).items()}
    finishes: dict[Finish, str] = {}
    points = places = normals = 1
    for member in built.fence.members:
        pattern = patterns[member.mark]
        finish = finish_of(member.kind, built.fence.job.finishes)
        label = finishes.setdefault(finish, finish.name.replace(" ", "_"))
        parts.append(f"o {member.name}\nusemtl {label}\n".encode())
        parts += _placed(pattern, member, metres=metres)
        corners = pattern.corners + np.array([points, places, normals])
        rows = b"f %d/%d/%d %d/%d/%d %d/%d/%d\n" * (len(corners) // 3)
        parts.append(rows % tuple(corners.ravel().tolist()))
        points += len(pattern.points)
        places += len(pattern.places)
        normals += len(pattern.normals)
    for finish in TIMBER_FINISHES.values():
        finishes.setdefault(finish, finish.name.replace(" ", "_"))
    return {
        f"{stem}.obj": b"".join(parts),
        library: "\n".join(_shade(label, finish) for finish, label in finishes.items()).encode(),
    }


@dataclass(frozen=True)
class _Pattern:
    """A mark as OBJ has it. points : (n, 3), mm; places : (p, 2), m; normals : (q, 3);
    corners : (m, 3), of triangles, the numbers of point, place and normal from 0.
    """

    points: NDArray[np.float64]
    places: NDArray[np.float64]
    normals: NDArray[np.float64]
    corners: NDArray[np.int64]


def _pattern(built: Product, mark: str, part: LaidOpen) -> _Pattern:
    import numpy as np

    normals, which = np.unique(part.normals.round(6) + 0.0, axis=0, return_inverse=True)
    index = part.triangles.ravel()
    corners = np.column_stack([part.vertices[index], index, which.ravel()[index]])
    return _Pattern(built.meshes[mark].vertices, part.places, normals, corners)


def _placed(pattern: _Pattern, member: Member, *, metres: bool) -> list[bytes]:
    """Return the lines of a member's points, texture places and normals."""
    turn = turns_of([member.frame])[0]
    points = pattern.points @ turn + member.frame.origin
    normals = pattern.normals @ turn
    if metres:
        points, normals = y_up(points) / 1000.0, y_up(normals)
    places = pattern.places + moved(member.name)
    return [
        (b"v %.7f %.7f %.7f\n" if metres else b"v %.6f %.6f %.6f\n")
        * len(points)
        % tuple(points.ravel().tolist()),
        b"vt %.6f %.6f\n" * len(places) % tuple(places.ravel().tolist()),
        b"vn %.6f %.6f %.6f\n" * len(normals) % tuple((normals + 0.0).ravel().tolist()),
    ]


def _shade(label: str, finish: Finish) -> str:
    """Return a material: colour as Phong has it, and roughness and metal as renderers have them."""
    shine = 2.0 / max(finish.roughness, 0.1) ** 4 - 2.0
    glint = finish.rgb if finish.metallic else (0.04,) * 3
    return (
        f"newmtl {label}\n"
        f"Kd {finish.red:g} {finish.green:g} {finish.blue:g}\n"
        f"Ks {glint[0]:g} {glint[1]:g} {glint[2]:g}\nNs {max(shine, 1.0):.4g}\n"
        f"Pr {finish.roughness:g}\nPm {finish.metallic:g}\nillum 2\n"
    )
