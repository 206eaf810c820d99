"""Surfaces of a LandXML file: the faces as they are given, without those that are not seen.

Source of the format: LandXML 1.2 documentation (landxml.org): F names three points of Pnts by
their ids; i="1" is an invisible face.
"""

from __future__ import annotations

from collections.abc import Iterator
from xml.etree import ElementTree

from palewright.model.geometry.frames import Vector
from palewright.model.site.surface import Surface, Triangle

from .points_and_lines import GivenSurface

Places = dict[str, tuple[float, float, float | None]]
"""(x, y, level) in mm of the points of a surface, by id."""

HAIRLINE = 1e-3
"""Twice the area of a face, mm2, under which it is only a line."""


def surface_of_faces(
    name: str, places: Places, faces: Iterator[ElementTree.Element]
) -> tuple[GivenSurface | None, list[str]]:
    """Return the surface that faces make, None where there is none, and notes on faces left out.

    faces : elements F.
    """
    numbers: dict[str, int] = {}
    points: list[Vector] = []
    for ident, (x, y, z) in places.items():
        if z is not None:
            numbers[ident] = len(points)
            points.append((x, y, z))
    triangles: dict[Triangle, None] = {}
    taken: set[tuple[int, int]] = set()  # edges by the way round: each has one face on its left
    hidden = missing = over = 0
    for face in faces:
        if face.get("i") == "1":
            hidden += 1
            continue
        idents = (face.text or "").split()
        if len(idents) != 3 or any(ident not in numbers for ident in idents):
            missing += 1
            continue
        triangle = _anticlockwise(points, [numbers[ident] for ident in idents])
        if triangle is None or triangle in triangles:
            continue
        a, b, c = triangle
        if taken & {(a, b), (b, c), (c, a)}:
            over += 1
            continue
        taken |= {(a, b), (b, c), (c, a)}
        triangles[triangle] = None
    notes = []
    if over:
        notes.append(f"surface '{name}': {over} faces lie over others and are left out")
    if hidden:
        notes.append(f"surface '{name}': {hidden} invisible faces are left out")
    if missing:
        notes.append(f"surface '{name}': {missing} faces name points that it does not have")
    if not triangles:
        return None, notes
    return GivenSurface(name, Surface(tuple(points), tuple(triangles))), notes


def _anticlockwise(points: list[Vector], corners: list[int]) -> Triangle | None:
    """Return a triangle from its lowest number on, anticlockwise; None where it is only a line."""
    a, b, c = corners
    (ax, ay, _), (bx, by, _), (cx, cy, _) = points[a], points[b], points[c]
    area = (bx - ax) * (cy - ay) - (by - ay) * (cx - ax)
    if abs(area) < HAIRLINE:
        return None
    if area < 0.0:
        b, c = c, b
    return (a, b, c) if a < b and a < c else (b, c, a) if b < c else (c, a, b)
