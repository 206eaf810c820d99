"""Solids in a STEP file from their skins, as text: no CAD kernel.

The entities and how they hang together: ISO 10303-42, boundary representation with elementary
geometry.
"""

from __future__ import annotations

import math

from palewright.model.geometry.frames import Vector, cross, dot
from palewright.model.geometry.skins import (
    Ball,
    Cone,
    Curve,
    Flat,
    Skin,
    SkinEdge,
    Surface,
    Sweep,
    unit,
)

from .step_entities import StepEntities, real

POINT_DIGITS = 9
"""Decimals of a corner, mm: a hundredth of the accuracy that the file states."""


def add_solid(entities: StepEntities, skin: Skin) -> int:
    """Add the solid that a skin bounds and return its number."""
    add = entities.add
    points = [entities.point(point, POINT_DIGITS) for point in skin.points]
    vertices = [add(f"VERTEX_POINT('',#{point})") for point in points]
    edges = [_edge(entities, edge, skin, points, vertices) for edge in skin.edges]
    faces = []
    for face in skin.faces:
        bounds = []
        for place, loop in enumerate(face.loops):
            gone = [
                add(f"ORIENTED_EDGE('',*,*,#{edges[abs(n) - 1]},{'.T.' if n > 0 else '.F.'})")
                for n in loop
            ]
            ring = add(f"EDGE_LOOP('',({_listed(gone)}))")
            outer = "" if place else "OUTER_"
            bounds.append(add(f"FACE_{outer}BOUND('',#{ring},.T.)"))
        at = points[skin.corners(face.loops[0])[0]]
        surface, along = _surface(entities, face.surface, at)
        faces.append(add(f"ADVANCED_FACE('',({_listed(bounds)}),#{surface},{along})"))
    shell = add(f"CLOSED_SHELL('',({_listed(faces)}))")
    return add(f"MANIFOLD_SOLID_BREP('',#{shell})")


def _edge(
    entities: StepEntities, edge: SkinEdge, skin: Skin, points: list[int], vertices: list[int]
) -> int:
    if edge.curve is None:
        (ax, ay, az), (bx, by, bz) = skin.points[edge.start], skin.points[edge.end]
        ahead = entities.vector(unit((bx - ax, by - ay, bz - az)))
        curve = entities.add(f"LINE('',#{points[edge.start]},#{ahead})")
    else:
        curve = _conic(entities, edge.curve)
    ends = f"#{vertices[edge.start]},#{vertices[edge.end]}"
    return entities.add(f"EDGE_CURVE('',{ends},#{curve},.T.)")


def _conic(entities: StepEntities, curve: Curve) -> int:
    """Add the circle, the ellipse or the hyperbola that a curve is part of."""
    if isinstance(curve, Sweep):
        halves, name = (curve.first, curve.second), "ELLIPSE"
    else:
        halves, name = (curve.real, curve.imaginary), "HYPERBOLA"
    centre = entities.point(curve.centre, POINT_DIGITS)
    axes = entities.axes(centre, unit(cross(*halves)), unit(halves[0]))
    sizes = [math.sqrt(dot(half, half)) for half in halves]
    if name == "ELLIPSE" and math.isclose(*sizes, rel_tol=1e-12):
        return entities.add(f"CIRCLE('',#{axes},{real(sizes[0], POINT_DIGITS)})")
    first, second = (real(size, POINT_DIGITS) for size in sizes)
    return entities.add(f"{name}('',#{axes},{first},{second})")


def _surface(entities: StepEntities, surface: Surface, at: int) -> tuple[int, str]:
    """Add the surface of a face; return its number and whether it looks outwards.

    at : number of a point in the face.
    """
    if isinstance(surface, Flat):
        axes = entities.axes(at, surface.normal, _across(surface.normal))
        return entities.add(f"PLANE('',#{axes})"), ".T."
    centre = entities.point(surface.centre, POINT_DIGITS)
    axes = entities.axes(centre, surface.axis, _across(surface.axis))
    radius = real(surface.radius, POINT_DIGITS)
    if isinstance(surface, Ball):
        return entities.add(f"SPHERICAL_SURFACE('',#{axes},{radius})"), ".T."
    if isinstance(surface, Cone):
        angle = real(surface.angle, 15)
        return entities.add(f"CONICAL_SURFACE('',#{axes},{radius},{angle})"), ".T."
    number = entities.add(f"CYLINDRICAL_SURFACE('',#{axes},{radius})")
    return number, ".T." if surface.outward else ".F."


def _across(axis: Vector) -> Vector:
    """Return a unit vector across another, where the seam of a whole drum lies too."""
    largest = max(range(3), key=lambda n: abs(axis[n]))
    base = ((0.0, 1.0, 0.0), (0.0, 0.0, 1.0), (1.0, 0.0, 0.0))[largest]
    part = dot(base, axis)
    x, y, z = (b - part * a for a, b in zip(axis, base, strict=True))
    return unit((x, y, z))


def _listed(numbers: list[int]) -> str:
    return ",".join([f"#{number}" for number in numbers])
