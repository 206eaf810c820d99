"""Solids of shapes, by the CAD kernel. The only module of the model that imports it."""

from __future__ import annotations

import itertools
import math

import cadquery as cq
import numpy as np
from numpy.typing import NDArray

from palewright.model.geometry.facets import concrete_faces, faces_of
from palewright.model.geometry.frames import Vector
from palewright.model.geometry.half_spaces import room
from palewright.model.geometry.metal_caps import MetalCap
from palewright.model.geometry.outlines import Outline
from palewright.model.geometry.post_shapes import Post
from palewright.model.geometry.prisms import EndCut, Prism
from palewright.model.geometry.shapes import Bar, Bolt, Cap, Footing, Plate, Rod, RoundHole, Tenoned
from palewright.model.geometry.skins import MESH_ANGLE, MESH_TOLERANCE
from palewright.model.geometry.tenoned_skins import tenon_faces
from palewright.model.geometry.top_cuts import Face, RoundTop
from palewright.model.geometry.turned_shapes import Turned
from palewright.model.geometry.worked_shapes import Bore, Cut, Finished, Worked

LONG = 1e4
"""What a hole that goes through is bored, each way from its mouth, mm: through any piece."""


def solid_of(shape: Finished) -> cq.Solid:
    """Return the solid of a shape, or of one with cuts, in the shape's own coordinates, mm.

    The solid is closed, valid and one piece; its volume is the shape's `volume`.
    """
    match shape:
        case Post(top=RoundTop()) if isinstance(shape.top, RoundTop):
            return _round_topped(shape, shape.top)
        case Bar() | Post() | Cap() | MetalCap():
            return _polyhedron(faces_of(shape))
        case Plate(outline, thickness):
            wire = _wire(outline)
            whole = _solid(cq.Solid.extrudeLinear(wire, [], cq.Vector(0, thickness, 0)))
            return _bevelled(whole, shape)
        case Footing():
            return _footing(shape)
        case Bolt():
            return _bolt(shape)
        case Rod(diameter, length):
            return cq.Solid.makeCylinder(diameter / 2.0, length)
        case Turned():
            return _turned(shape)
        case Worked(stock, cuts):
            left = solid_of(stock).cut(*(_cutter(cut) for cut in cuts))
            # chips between cuts that meet fall off
            return max(left.Solids(), key=lambda solid: solid.Volume())
        case Prism():
            return _prism(shape)
        case Tenoned():
            tenons = (tenon_faces(shape, right=right) for right in (False, True))
            ends = [_polyhedron(faces) for faces in tenons if faces]
            return _solid(_polyhedron(faces_of(shape.bar)).fuse(*ends))


def mesh_of(
    solid: cq.Solid,
) -> tuple[NDArray[np.float64], NDArray[np.int64], NDArray[np.int64]]:
    """Return a watertight mesh of a solid.

    Returns
    -------
    vertices : (n, 3) float, mm, shared between faces
    triangles : (m, 3) int, anticlockwise seen from outside
    faces : (m,) int, number of the solid's face each triangle lies on
    """
    shape = solid.copy()
    shape.mesh(MESH_TOLERANCE, MESH_ANGLE)
    points: list[Vector] = []
    triangles: list[tuple[int, int, int]] = []
    owners: list[int] = []
    for number, face in enumerate(shape.Faces()):
        vertices, parts = face.tessellate(MESH_TOLERANCE, MESH_ANGLE)
        base = len(points)
        points.extend(vertex.toTuple() for vertex in vertices)
        triangles.extend((base + a, base + b, base + c) for a, b, c in parts)
        owners.extend([number] * len(parts))
    rounded = np.round(np.array(points), 6) + 0.0
    unique, index = np.unique(rounded, axis=0, return_inverse=True)
    joined = index.reshape(-1)[np.array(triangles)]
    return unique, joined, np.array(owners)


def _wire(outline: Outline) -> cq.Wire:
    edges = []
    for edge in outline.edges:
        (x0, z0), (x1, z1) = edge.start, edge.end
        start, end = cq.Vector(x0, 0, z0), cq.Vector(x1, 0, z1)
        if edge.bulge:
            mx, mz = edge.middle
            edges.append(cq.Edge.makeThreePointArc(start, cq.Vector(mx, 0, mz), end))
        else:
            edges.append(cq.Edge.makeLine(start, end))
    return cq.Wire.assembleEdges(edges)


def _polyhedron(faces: tuple[Face, ...]) -> cq.Solid:
    sides = [
        cq.Face.makeFromWires(cq.Wire.makePolygon([cq.Vector(*p) for p in loop], close=True))
        for loop in faces
    ]
    return _solid(cq.Solid.makeSolid(cq.Shell.makeShell(sides)).fix())


def _round_topped(post: Post, top: RoundTop) -> cq.Solid:
    """Return a post whose top is an arc: its front drawn out to its depth, less its bevels."""
    w, d = post.width / 2.0, post.depth
    head = top.outline(w, post.length, side=False)
    wire = _wire(Outline(((-w, 0.0, 0.0), (w, 0.0, 0.0), *head)))
    whole: cq.Shape = cq.Solid.extrudeLinear(wire, [], cq.Vector(0, d, 0))
    whole = whole.translate(cq.Vector(0, -d / 2.0, 0))
    for low, high in post.bevel.spans if post.bevel is not None else ():
        assert post.bevel is not None
        c, s = post.bevel.size, post.bevel.stop
        for x, y in itertools.product((-1.0, 1.0), repeat=2):
            corner = [
                [(x * (w - a), y * (d / 2.0 - b), z) for a, b in ((0.0, 0.0), (c, 0.0), (0.0, c))]
                for z in (low, low + s, high - s, high)
            ]
            foot, under, over, tip = corner
            hull = [
                (under[1], under[2], foot[0]), (over[1], over[2], tip[0]),
                (under[1], under[2], over[2], over[1]),
                (foot[0], under[1], over[1], tip[0]), (foot[0], under[2], over[2], tip[0]),
            ]  # fmt: skip
            whole = whole.cut(_polyhedron(tuple(hull)))
    return _solid(whole)


def _prism(prism: Prism) -> cq.Solid:
    """Return a prism: its section from end to end, less what is beyond its cuts."""
    low, high = prism.overall
    # the wire's x and z as y and z of the section, and its y as -x
    upright = _solid(cq.Solid.extrudeLinear(_wire(prism.section), [], cq.Vector(0, low - high, 0)))
    whole: cq.Shape = upright.rotate(cq.Vector(), cq.Vector(0, 0, 1), 90.0)
    whole = whole.translate(cq.Vector(low, 0, 0))
    for cut, at, way in ((prism.left, 0.0, -1.0), (prism.right, prism.length, 1.0)):
        if cut != EndCut():
            whole = whole.cut(_beyond(cut, at, way, 4.0 * (high - low)))
    return _solid(whole)


def _beyond(cut: EndCut, at: float, way: float, size: float) -> cq.Solid:
    """Return a cube as large as `size` beyond an oblique cut, towards +x or -x."""
    normal = cq.Vector(way, -way * cut.ky, -way * cut.kz)
    across = cq.Vector(0, cut.kz, -cut.ky)
    plane = cq.Plane(cq.Vector(at, 0, 0), across, normal)
    corner = cq.Vector(-size / 2.0, -size / 2.0, 0)
    return cq.Solid.makeBox(size, size, size, corner).moved(cq.Location(plane))


def _bevelled(whole: cq.Solid, plate: Plate) -> cq.Solid:
    """Return a plate with its sides cut along their bevels."""
    _, low, _, high = plate.outline.bounds
    result: cq.Shape = whole
    for number, slope in enumerate((plate.bevel_left, plate.bevel_right)):
        if not slope:
            continue
        out = 1e3 if number else -1e3
        near, far = -1.0, plate.thickness + 1.0
        x0, x1 = plate.sides(near)[number], plate.sides(far)[number]
        loop = [(x0, near), (x0 + out, near), (x0 + out, far), (x1, far)]
        wire = cq.Wire.makePolygon([cq.Vector(x, y, low - 1.0) for x, y in loop], close=True)
        cutter = cq.Solid.extrudeLinear(wire, [], cq.Vector(0, 0, high - low + 2.0))
        result = result.cut(cutter)
    return _solid(result)


def _footing(footing: Footing) -> cq.Solid:
    depth, weathering = footing.depth, footing.weathering
    w, d = footing.post_width, footing.post_depth
    top = footing.cone_height if isinstance(footing.hole, RoundHole) else weathering
    post = cq.Solid.makeBox(
        w, d, footing.embedment + top + 1.0, cq.Vector(-w / 2.0, -d / 2.0, -footing.embedment)
    )
    if isinstance(footing.hole, RoundHole):
        radius = footing.hole.diameter / 2.0
        if weathering == 0.0:
            body = cq.Solid.makeCylinder(radius, depth, cq.Vector(0, 0, -depth))
        else:
            profile = cq.Wire.makePolygon(
                [
                    cq.Vector(0, 0, -depth),
                    cq.Vector(radius, 0, -depth),
                    cq.Vector(radius, 0, 0),
                    cq.Vector(0, 0, top),
                ],
                close=True,
            )
            body = cq.Solid.revolve(
                cq.Face.makeFromWires(profile), 360.0, cq.Vector(0, 0, 0), cq.Vector(0, 0, 1)
            )
    else:
        body = _polyhedron(concrete_faces(footing))
    return _solid(body.cut(post))


def _bolt(bolt: Bolt) -> cq.Solid:
    y = cq.Vector(0, 1, 0)

    def drum(diameter: float, start: float, length: float) -> cq.Solid:
        return cq.Solid.makeCylinder(diameter / 2.0, length, cq.Vector(0, start, 0), y)

    nut_start = bolt.grip + bolt.washer_height
    radius = bolt.nut_width / math.sqrt(3.0)
    corners = [
        cq.Vector(
            radius * math.cos(math.radians(60 * n)),
            nut_start,
            radius * math.sin(math.radians(60 * n)),
        )
        for n in range(6)
    ]
    nut = cq.Solid.extrudeLinear(
        cq.Wire.makePolygon(corners, close=True), [], cq.Vector(0, bolt.nut_height, 0)
    )
    shank = drum(bolt.diameter, bolt.head_height, bolt.length)
    head = drum(bolt.head_diameter, 0.0, bolt.head_height)
    washer = drum(bolt.washer_diameter, bolt.grip, bolt.washer_height)
    return _solid(shank.fuse(head, washer, nut))


def _turned(piece: Turned) -> cq.Solid:
    """Return a turned piece, its half outline turned once about its axis."""
    edges = []
    at = cq.Vector(0, 0, 0)

    def on(point: cq.Vector) -> cq.Vector:
        if (point - at).Length > 1e-9:
            edges.append(cq.Edge.makeLine(at, point))
        return point

    for level, zone in piece.stacked():
        at = on(cq.Vector(zone.low, 0, level))
        end = cq.Vector(zone.high, 0, level + zone.height)
        if zone.ball:
            radius, z = list(zone.rings(2))[1]
            edges.append(cq.Edge.makeThreePointArc(at, cq.Vector(radius, 0, level + z), end))
            at = end
        else:
            at = on(end)
    at = on(cq.Vector(0, 0, piece.height))
    on(cq.Vector(0, 0, 0))
    profile = cq.Face.makeFromWires(cq.Wire.assembleEdges(edges))
    axis = cq.Vector(0, 0, 0), cq.Vector(0, 0, 1)
    return _solid(cq.Solid.revolve(profile, 360.0, *axis))


def _cutter(cut: Cut) -> cq.Solid:
    """Return what a cut takes out of its stock, and what is free before it."""
    if not isinstance(cut, Bore):
        return _polyhedron(tuple(loop for _, loop in room(cut.planes)))
    stop = LONG if cut.depth is None else cut.depth
    start, axis = cq.Vector(*cut.at(-LONG)), cq.Vector(*cut.axis)
    return cq.Solid.makeCylinder(cut.diameter / 2.0, LONG + stop, start, axis)


def _solid(shape: cq.Shape) -> cq.Solid:
    """Return the single solid in a shape."""
    if isinstance(shape, cq.Solid):
        return shape
    solids = shape.Solids()
    assert len(solids) == 1, f"{len(solids)} solids where one was meant"
    return solids[0]
