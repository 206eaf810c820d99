"""Posts as they are shaped: tops, bevels, metal caps; round posts."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from palewright.model.geometry.convex import convex_parts, outer_points
from palewright.model.geometry.metal_caps import MetalCap
from palewright.model.geometry.post_shapes import Bevel, Post
from palewright.model.geometry.shapes import Shape
from palewright.model.geometry.skin_meshes import mesh_of_skin
from palewright.model.geometry.skin_shapes import skin_of
from palewright.model.geometry.top_cuts import (
    ChamferedTop,
    FlatTop,
    PyramidTop,
    RoundTop,
    WeatheredTop,
)

BEVEL = Bevel(12.0, 20.0, ((700.0, 1100.0), (1200.0, 1500.0)))
SHARP = Bevel(15.0, 0.0, ((700.0, 1500.0),))

SHAPES: list[Shape] = [
    Post(100.0, 90.0, 1700.0, ChamferedTop(15.0)),
    Post(100.0, 90.0, 1700.0, RoundTop(25.0)),
    Post(100.0, 90.0, 1700.0, RoundTop(50.0)),
    *(Post(100.0, 90.0, 1700.0, top, BEVEL)
      for top in (FlatTop(), WeatheredTop(25.0), PyramidTop(30.0), ChamferedTop(20.0),
                  RoundTop(30.0))),
    Post(100.0, 100.0, 1700.0, RoundTop(30.0), SHARP),
    MetalCap(104.0, 94.0, 25.0, 12.0, 1.0),
    MetalCap(104.0, 94.0, 25.0, 0.0, 2.0),
]  # fmt: skip


@pytest.mark.parametrize("shape", SHAPES)
def test_volume_skin_and_solid_agree(shape: Shape) -> None:
    """The closed form, the mesh's own sum, and the kernel's solid."""
    from palewright.model.solids.bodies import solid_of

    solid = solid_of(shape)
    assert solid.isValid()
    assert solid.Volume() == pytest.approx(shape.volume, rel=1e-9)
    skin = skin_of(shape)
    assert skin is not None
    mesh = mesh_of_skin(skin)
    assert mesh is not None
    corners, triangles, _ = mesh
    a, b, c = (corners[triangles[:, n]] for n in range(3))
    assert np.einsum("ij,ij->", a, np.cross(b, c)) / 6.0 == pytest.approx(shape.volume, rel=1e-3)
    points = outer_points(shape)
    inside = [
        part.normals @ points.T <= part.offsets[:, None] + 1e-6 for part in convex_parts(shape)
    ]
    assert np.array([one.all(axis=0) for one in inside]).any(axis=0).all()


def posts(**told: Any) -> dict[str, Any]:
    run = {"points": [[0, 0], [5400, 0], [5400, 3000]], "gate": [{"at": 2700.0}]}
    return {"run": [run], "posts": told}
