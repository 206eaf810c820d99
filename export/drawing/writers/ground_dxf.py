"""The ground as DXF: triangles, breaklines and contours in site coordinates, in metres."""

from __future__ import annotations

from palewright.export.drawing.draft import style as layers
from palewright.export.drawing.draft.style import Style
from palewright.model.basis.errors import OutputError
from palewright.model.fence.fence_model import FenceModel
from palewright.model.site.contours import contours, suited_step

from .dxf import fixed_meta_data, new_document, written
from .site_dxf import METRE, add_fence_line, on_site


def write_ground_dxf(fence: FenceModel) -> bytes:
    """Return the surface that a fence stands on as 3DFACEs, its breaklines as 3D polylines, its
    contours as polylines at their level, and the fence's line on it.

    Raises
    ------
    OutputError
        When the fence stands on no surface.
    """
    from ezdxf import units

    job, surface = fence.job, fence.job.ground
    if surface is None:
        raise OutputError(
            "no run stands on a surface of its survey, so there is no ground to write "
            "(survey.ground_as)"
        )

    with fixed_meta_data():
        doc = new_document("R2018", job.project.name, Style(), set())
        doc.units = units.M
        model = doc.modelspace()
        corners = [on_site(point, job.origin) for point in surface.points]
        for triangle in surface.triangles:
            a, b, c = (corners[number] for number in triangle)
            model.add_3dface((a, b, c, c), dxfattribs={"layer": layers.TRIANGLES.name})
        for chain in surface.breaks():
            line = [corners[number] for number in chain]
            model.add_polyline3d(line, dxfattribs={"layer": layers.BREAKS.name})
        step = suited_step(surface) if job.contours is None else job.contours
        for contour in contours(surface, step, job.origin[2]):
            flat = [on_site((x, y, 0.0), job.origin)[:2] for x, y in contour.points]
            layer = layers.INDEX_CONTOUR if contour.index else layers.CONTOUR
            attributes = {"layer": layer.name, "elevation": contour.level / METRE}
            model.add_lwpolyline(flat, close=contour.closed, dxfattribs=attributes)
        for layout in fence.layouts:
            add_fence_line(model, layout, job.origin)
        return written(doc)
