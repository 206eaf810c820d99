"""LandXML 1.2 of a fence on its site: the ground, its line as an alignment, its posts as points.

Source of the format: LandXML 1.2 documentation (landxml.org); coordinates stand north before east,
in metres.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from xml.sax.saxutils import escape, quoteattr

from palewright.model.basis.text import plain
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.frames import Vector
from palewright.model.layout.run_layout import RunLayout
from palewright.model.lists.takeoff import station_lines
from palewright.model.site.surface import Surface

METRE = 1000.0

MADE = 'date="2000-01-01" time="00:00:00"'
"""The format asks when a file was made; one fence has one file, whenever that is."""


def write_landxml(fence: FenceModel) -> bytes:
    """Return the ground that a fence stands on, its runs as alignments with their profiles, and a
    point for each post, in site coordinates.
    """
    job = fence.job
    grid = re.fullmatch(r"EPSG:(\d+)", job.crs, re.IGNORECASE)
    rows = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<LandXML xmlns="http://www.landxml.org/schema/LandXML-1.2" version="1.2" {MADE} '
        'language="English" readOnly="false">',
        '<Units><Metric areaUnit="squareMeter" linearUnit="meter" volumeUnit="cubicMeter" '
        'temperatureUnit="celsius" pressureUnit="milliBars"/></Units>',
        *([f'<CoordinateSystem epsgCode="{grid[1]}"/>'] if grid else []),
        f"<Project name={_quoted(job.project.name or 'fence')}/>",
        '<Application name="palewright"/>',
        '<CgPoints name="posts">',
        *_posts(fence),
        "</CgPoints>",
        '<Alignments name="fence">',
        *(row for layout in fence.layouts for row in _alignment(layout, job.origin)),
        "</Alignments>",
    ]
    if job.ground is not None:
        rows += ["<Surfaces>", *_surface(job.ground, job.origin), "</Surfaces>"]
    return ("\n".join([*rows, "</LandXML>"]) + "\n").encode()


def _quoted(text: str) -> str:
    return quoteattr(plain(text))


def _place(point: Vector, origin: Vector) -> str:
    """Return a point of the model as north, east and level on the site."""
    x, y, z = (a + b for a, b in zip(point, origin, strict=True))
    return f"{y / METRE:.6f} {x / METRE:.6f} {z / METRE:.6f}"


def _posts(fence: FenceModel) -> Iterator[str]:
    for line in station_lines(fence):
        at = _place((line.east, line.north, line.ground), (0.0, 0.0, 0.0))
        yield f'<CgPoint name={_quoted(line.label)} code="post">{escape(at)}</CgPoint>'


def _alignment(layout: RunLayout, origin: Vector) -> Iterator[str]:
    """Yield a run's line, from the user's start, with the levels along it."""
    line = layout.run.line
    ends = [(leg.start, leg.end) for leg in line.legs]
    if line.turned:
        ends = [(b, a) for a, b in reversed(ends)]
    name = _quoted(layout.run.called)
    yield f'<Alignment name={name} length="{line.length / METRE:.6f}" staStart="0.000000">'
    yield "<CoordGeom>"
    for a, b in ends:
        yield f"<Line><Start>{_place(a, origin)}</Start><End>{_place(b, origin)}</End></Line>"
    yield "</CoordGeom>"
    levels: dict[float, float] = {}
    for leg in line.legs:
        for x, z in leg.profile:
            chainage = round(line.chainage(leg.before + x), 3)
            levels[chainage] = leg.start[2] + z + origin[2]
    yield f"<Profile name={name}><ProfAlign name={name}>"
    for chainage in sorted(levels):
        yield f"<PVI>{chainage / METRE:.6f} {levels[chainage] / METRE:.6f}</PVI>"
    yield "</ProfAlign></Profile></Alignment>"


def _surface(surface: Surface, origin: Vector) -> Iterator[str]:
    yield '<Surface name="ground" desc="ground that the fence stands on">'
    chains = surface.breaks()
    if chains:
        yield "<SourceData><Breaklines>"
        for number, chain in enumerate(chains, 1):
            places = " ".join(_place(surface.points[corner], origin) for corner in chain)
            yield f'<Breakline brkType="standard" name="breakline {number}">'
            yield f"<PntList3D>{places}</PntList3D></Breakline>"
        yield "</Breaklines></SourceData>"
    yield '<Definition surfType="TIN"><Pnts>'
    for number, point in enumerate(surface.points, 1):
        yield f'<P id="{number}">{_place(point, origin)}</P>'
    yield "</Pnts><Faces>"
    for a, b, c in surface.triangles:
        yield f"<F>{a + 1} {b + 1} {c + 1}</F>"
    yield "</Faces></Definition></Surface>"
