"""Solids and meshes of a fence, one for each mark, made when first asked for."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING

from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.skin_meshes import mesh_of_skin
from palewright.model.geometry.skin_shapes import skin_of
from palewright.model.geometry.worked_shapes import Finished

if TYPE_CHECKING:
    import cadquery
    import numpy as np
    from numpy.typing import NDArray

    from palewright.model.order.order_lines import Order


@dataclass(frozen=True)
class Mesh:
    """A closed triangle mesh.

    vertices : (n, 3) float, mm; triangles : (m, 3) int; faces : (m,) int, the flat or curved
    face of the solid that each triangle is on.
    """

    vertices: NDArray[np.float64]
    triangles: NDArray[np.int64]
    faces: NDArray[np.int64]


@dataclass(frozen=True)
class Product:
    """A fence with its solids and meshes by mark. The CAD kernel is loaded where it is needed.

    known : meshes of shapes made before, which a rebuilt fence need not make again; it grows.
    """

    fence: FenceModel
    known: dict[Finished, Mesh] = field(default_factory=dict, compare=False, repr=False)

    @cached_property
    def solids(self) -> dict[str, cadquery.Solid]:
        """The solid of each mark, in the shape's own coordinates."""
        from palewright.model.solids.bodies import solid_of

        return {mark: solid_of(group[0].finished) for mark, group in self.fence.by_mark.items()}

    @cached_property
    def order(self) -> Order:
        """What is bought and done for it, timber cut with the least waste."""
        from palewright.model.order.order_lines import order

        return order(self.fence)

    @cached_property
    def meshes(self) -> dict[str, Mesh]:
        """The mesh of each mark, in the shape's own coordinates."""
        by_mark = {}
        for mark, group in self.fence.by_mark.items():
            shape = group[0].finished
            if shape not in self.known:
                self.known[shape] = mesh_of_shape(shape)
            by_mark[mark] = self.known[shape]
        return by_mark


def mesh_of_shape(shape: Finished) -> Mesh:
    """Return the mesh of a shape in its own coordinates, by the CAD kernel if it must be."""
    skin = skin_of(shape)
    parts = mesh_of_skin(skin) if skin is not None else None
    if parts is None:
        from palewright.model.solids.bodies import mesh_of, solid_of

        parts = mesh_of(solid_of(shape))
    return Mesh(*parts)
