"""A fence as an assembly of the CAD library, to go on with in Python."""

from __future__ import annotations

from typing import TYPE_CHECKING

from palewright.model.geometry.frames import Frame

from .finishes import finish_of
from .product import Product
from .tree import Branch, tree_of

if TYPE_CHECKING:
    import cadquery


def assembly_of(built: Product) -> cadquery.Assembly:
    """Return a fence as an assembly, mm: its runs, their bays and gates, the members in them.

    Members of one mark share one solid and differ by their locations.
    """
    import cadquery

    job = built.fence.job
    colours = {
        mark: cadquery.Color(*finish_of(group[0].kind, job.finishes).rgb)
        for mark, group in built.fence.by_mark.items()
    }

    def grouped(branch: Branch) -> cadquery.Assembly:
        assembly = cadquery.Assembly(name=branch.name)
        for below in branch.branches:
            assembly.add(grouped(below))
        for member in branch.members:
            assembly.add(
                built.solids[member.mark],
                name=member.name,
                loc=location_of(member.frame),
                color=colours[member.mark],
            )
        return assembly

    return grouped(tree_of(built.fence))


def location_of(frame: Frame) -> cadquery.Location:
    """Return the location of CadQuery that a frame is, mm."""
    import cadquery

    return cadquery.Location(cadquery.Plane(frame.origin, frame.x, frame.z))
