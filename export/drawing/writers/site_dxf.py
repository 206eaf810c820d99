"""The fence on its site as DXF: line, posts and levels in the site's own coordinates, in metres.

What a surveyor loads to set out, and what goes back into the drawing that the line came from.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

from palewright.export.drawing.draft import style as layers
from palewright.export.drawing.draft.style import Style
from palewright.model.basis.text import in_dxf
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.frames import Vector
from palewright.model.layout.run_layout import RunLayout
from palewright.model.lists.takeoff import StationLine, station_lines

from .dxf import TEXT_STYLE, fixed_meta_data, new_document, written

if TYPE_CHECKING:
    from ezdxf.layouts import BaseLayout

METRE = 1000.0
LETTERS = 0.15
"""Height of lettering, m."""


def write_site_dxf(fence: FenceModel) -> bytes:
    """Return the fence in site coordinates: a 3D polyline for each run, its posts and gates.

    Lengths are metres ($INSUNITS 6). Every post is a point at ground level, its outline and its
    label. Where the grid is known by an EPSG code the drawing says so (GEODATA).
    """
    from ezdxf import units

    with fixed_meta_data():
        doc = new_document("R2018", fence.job.project.name, Style(), set())
        doc.units = units.M
        model = doc.modelspace()
        stations = {line.label: line for line in station_lines(fence)}
        origin = fence.job.origin
        for layout in fence.layouts:
            add_fence_line(model, layout, origin)
            for post in layout.posts:
                station = stations[post.label]
                _post(
                    model, station, [on_site((*corner, 0.0), origin)[:2] for corner in post.corners]
                )
            _gates(model, layout, origin)
        code = re.fullmatch(r"EPSG:(\d+)", fence.job.crs, re.IGNORECASE)
        if code:
            data: Any = model.new_geodata()
            east, north, _ = on_site((0.0, 0.0, 0.0), origin)
            data.setup_local_grid(
                design_point=(east, north), reference_point=(east, north), crs=_grid(code[1])
            )
        return written(doc)


def on_site(point: Vector, origin: Vector) -> Vector:
    """Return a point of the model in site coordinates, m."""
    x, y, z = (a + b for a, b in zip(point, origin, strict=True))
    return x / METRE, y / METRE, z / METRE


def add_fence_line(model: BaseLayout, layout: RunLayout, origin: Vector) -> None:
    """Add the line with its corners and the places where the ground changes its slope."""
    corners = []
    for leg in layout.legs:
        for x, z in leg.profile[:-1]:
            east, north, _ = leg.frame.point((x, 0.0, 0.0))
            corners.append(on_site((east, north, leg.start[2] + z), origin))
    if not layout.run.line.closed:
        corners.append(on_site(layout.legs[-1].end, origin))
    if layout.run.line.turned:
        corners.reverse()
    model.add_polyline3d(
        corners, close=layout.run.line.closed, dxfattribs={"layer": layers.AXIS.name}
    )


def _post(model: BaseLayout, station: StationLine, corners: list[tuple[float, float]]) -> None:
    east, north, ground = station.east / METRE, station.north / METRE, station.ground / METRE
    model.add_point((east, north, ground), dxfattribs={"layer": layers.POSTS.name})
    model.add_lwpolyline(
        corners,
        close=True,
        dxfattribs={"layer": layers.POSTS.name, "elevation": ground},
    )
    words = in_dxf(f"{station.label} {ground:.3f}")
    text = model.add_text(
        words,
        height=LETTERS,
        dxfattribs={"layer": layers.TEXT.name, "style": TEXT_STYLE},
    )
    text.set_placement((east + LETTERS, north + LETTERS, ground))


def _gates(model: BaseLayout, layout: RunLayout, origin: Vector) -> None:
    for opening in layout.openings:
        leg = opening.leg
        ends = []
        for x in (opening.start, opening.end):
            east, north, _ = leg.frame.point((x, 0.0, 0.0))
            ends.append(on_site((east, north, leg.start[2] + opening.ground), origin))
        model.add_line(ends[0], ends[1], dxfattribs={"layer": layers.SYMBOLS.name})


def _grid(code: str) -> str:
    """Return what names a grid by its EPSG code in GEODATA."""
    return (
        '<?xml version="1.0" encoding="UTF-16" standalone="no" ?>\n'
        '<Dictionary version="1.0" '
        'xmlns="http://www.osgeo.org/mapguide/coordinatesystem">\n'
        f'<ProjectedCoordinateSystem id="EPSG{code}">\n<Axis uom="Meter">\n'
        "<CoordinateSystemAxis>\n<AxisOrder>1</AxisOrder>\n<AxisName>Easting</AxisName>\n"
        "<AxisAbbreviation>E</AxisAbbreviation>\n<AxisDirection>East</AxisDirection>\n"
        "</CoordinateSystemAxis>\n"
        "<CoordinateSystemAxis>\n<AxisOrder>2</AxisOrder>\n<AxisName>Northing</AxisName>\n"
        "<AxisAbbreviation>N</AxisAbbreviation>\n<AxisDirection>North</AxisDirection>\n"
        "</CoordinateSystemAxis>\n</Axis>\n</ProjectedCoordinateSystem>\n"
        f'<Alias id="{code}" type="CoordinateSystem">\n<ObjectId>EPSG{code}</ObjectId>\n'
        "<Namespace>EPSG Code</Namespace>\n</Alias>\n</Dictionary>\n"
    )
