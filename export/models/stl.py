"""STL: every member's triangles in site coordinates, mm, each member a closed body."""

from __future__ import annotations

import io
from collections.abc import Sequence
from typing import TYPE_CHECKING

from palewright.model.basis.text import plain
from palewright.model.parts.members import Member

from .own_edges import Bodies, with_own_edges
from .product import Mesh, Product
from .transforms import turns_of

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

AT_ONCE = 50_000
"""About how many triangles of a mark are placed at a time."""

TIDY = 4
"""Decimals of a mm, so that points that touch are equal in single precision too."""


def write_stl(built: Product) -> bytes:
    """Return a fence as a binary STL file, mark by mark: normal and corners of every triangle.

    Pieces that touch along a whole edge have it divided at different places, so that a reader who
    joins equal points still finds each edge between two triangles; no size changes by it.
    """
    groups = [(built.meshes[mark], group) for mark, group in built.fence.by_mark.items()]
    bodies = with_own_edges(_bodies(groups))
    out = io.BytesIO()  # it gives its bytes away without a copy
    about = f"palewright, mm, z up: {plain(built.fence.job.project.name)}"
    out.write(about.encode("ascii", "replace")[:80].ljust(80))
    out.write(len(bodies.triangles).to_bytes(4, "little"))
    for first in range(0, len(bodies.triangles), AT_ONCE):
        out.write(_records(bodies.points[bodies.triangles[first : first + AT_ONCE]]))
    return out.getvalue()


def _bodies(groups: Sequence[tuple[Mesh, Sequence[Member]]]) -> Bodies:
    """Return members as bodies where they stand, mark by mark."""
    import numpy as np

    points, triangles, owners = [], [], []
    count = number = 0
    for part, group in groups:
        origins = np.array([member.frame.origin for member in group])
        spots = part.vertices @ turns_of([m.frame for m in group]) + origins[:, None, :]
        points.append((spots.reshape(-1, 3).round(TIDY) + 0.0).astype("<f4"))
        starts = count + len(part.vertices) * np.arange(len(group))
        triangles.append((part.triangles + starts[:, None, None]).reshape(-1, 3))
        owners.append(np.repeat(np.arange(number, number + len(group)), len(part.vertices)))
        count, number = count + len(points[-1]), number + len(group)
    return Bodies(np.concatenate(points), np.concatenate(triangles), np.concatenate(owners))


def _records(corners: NDArray[np.float32]) -> bytes:
    """Return triangles as an STL holds them."""
    import numpy as np

    wide = corners.astype(float)
    normals = np.cross(wide[:, 1] - wide[:, 0], wide[:, 2] - wide[:, 0])
    # far from the origin thin triangles vanish in single precision
    normals /= np.maximum(np.linalg.norm(normals, axis=1, keepdims=True), 1e-30)
    record = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("unused", "<u2")])
    made = np.zeros(len(corners), record)
    made["normal"], made["corners"] = normals, corners
    return made.tobytes()
