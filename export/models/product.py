"""Solids and meshes of a fence, one for each mark, made when first asked for."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING

from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.facets import faces_of
from palewright.model.geometry.flat_meshes import mesh_of_faces
from palewright.model.geometry.shapes import Bar, Cap, Post, Shape

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
    """A fence with its solids and meshes by mark. The CAD kernel is loaded on first use.

    known : meshes of shapes made before, which a rebuilt fence need not make again; it grows.
    """

    fence: FenceModel
    known: dict[Shape, Mesh] = field(default_factory=dict, compare=False, repr=False)

    @cached_property
    def solids(self) -> dict[str, cadquery.Solid]:
        """The solid of each mark, in the shape's own coordinates."""
        from palewright.model.solids.bodies import solid_of

        return {mark: solid_of(group[0].shape) for mark, group in self.fence.by_mark.items()}

    @cached_property
    def order(self) -> Order:
        """What is bought and done for it, timber cut with the least waste."""
        from palewright.model.order.order_lines import order

        return order(self.fence)

    @cached_property
    def meshes(self) -> dict[str, Mesh]:
        """The mesh of each mark, in the shape's own coordinates."""
        from palewright.model.solids.bodies import mesh_of, solid_of

        by_mark = {}
        for mark, group in self.fence.by_mark.items():
            shape = group[0].shape
            if shape not in self.known:
                if isinstance(shape, Bar | Post | Cap):
                    parts = mesh_of_faces(faces_of(shape))
                else:
                    solid = self.solids[mark] if "solids" in self.__dict__ else solid_of(shape)
                    parts = mesh_of(solid)
                self.known[shape] = Mesh(*parts)
            by_mark[mark] = self.known[shape]
        return by_mark
