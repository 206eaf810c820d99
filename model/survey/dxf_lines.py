"""Lines and points of a DXF drawing: every line entity, blocks resolved, in millimetres."""

from __future__ import annotations

import io
import itertools
import math
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from palewright.model.basis.lengths import FARTHEST
from palewright.model.geometry.curves import Traced, arc_through
from palewright.model.geometry.frames import Point, Vector
from palewright.model.site.path import Node

from .dxf_parts import lean
from .grids import US_SURVEY_FOOT, grid_of, name_of
from .points_and_lines import Asked, Survey, SurveyError, SurveyLine, SurveyPoint

UNITS = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4, "ft": 304.8,
         "us-ft": US_SURVEY_FOOT}  # fmt: skip
"""Millimetres in each unit that a spec may name."""

HEADER_UNITS = {
    1: 25.4, 2: 304.8, 3: 1609344.0, 4: 1.0, 5: 10.0, 6: 1000.0, 7: 1e6, 10: 914.4, 14: 100.0,
    21: 1200e3 / 3937.0,
}  # fmt: skip
"""Millimetres in the units that $INSUNITS may name (DXF reference); 21 is the US survey foot."""

MOST_COPIES, MOST_NODES, DEEPEST = 6_000, 60_000, 12
"""Most entities out of blocks, points of lines, and blocks within blocks."""

MOST_FIT, MOST_CONTROL = 400, 5_000
"""Most points that a spline goes through, for which equations are solved, and that guide it."""

CROWD = 16
"""Where more lines than this end together none is joined."""

TOUCH = 1.0
"""Ends nearer than this are joined, mm."""


def read_dxf(data: bytes, file: str, asked: Asked) -> Survey:
    """Return the lines and points in a DXF drawing's model space.

    Parameters
    ----------
    data : bytes
        The file, text or binary.
    file : str
        Name for messages.
    asked : Asked
        Unit, grid and how closely splines are followed.

    Raises
    ------
    SurveyError
        When it is not a DXF drawing, does not say its unit, or is beyond all measure.
    """
    document = _document(data, file)
    unit, tolerance = asked.units, asked.tolerance
    grid = grid_of(asked.crs, file)
    if grid is not None and grid.degrees:
        raise SurveyError(f"{file}: a drawing in degrees, as {grid.name} has them, has no lengths")
    header = int(document.header.get("$INSUNITS", 0))
    notes = []
    if unit is not None:
        factor = UNITS[unit]
        if header in HEADER_UNITS and HEADER_UNITS[header] != factor:
            notes.append(f"the header names another unit; read in {unit} as asked")
    elif header in HEADER_UNITS:
        factor = HEADER_UNITS[header]
    elif grid is not None:
        factor = grid.unit
    else:
        raise SurveyError(
            f"{file}: does not say its unit; which is it? Set units (in the spec survey.units) to "
            f"{', '.join(UNITS)}"
        )
    points: list[SurveyPoint] = []
    lines: list[SurveyLine] = []
    total = 0
    try:
        for name, entity in _entities(document.modelspace(), file):
            layer = str(entity.dxf.layer)
            if entity.dxftype() == "POINT":
                points.append(_point(entity, name, layer, factor, file))
                continue
            line = _line(entity, name, layer, factor, tolerance, file)
            if line is not None:
                total += len(line.nodes) + len(line.spots)
                lines.append(line)
            if total > MOST_NODES:
                raise SurveyError(f"{file}: its lines have more than {MOST_NODES} points")
    except SurveyError:
        raise
    except Exception as error:  # entities with missing or mad values, whatever the library says
        raise SurveyError(f"{file}: an entity cannot be read: {_words(error)}") from None
    return Survey(file, "DXF", tuple(points), _joined(lines), name_of(grid), tuple(notes))


def _document(data: bytes, file: str) -> Any:
    from ezdxf import recover

    data = lean(data, file)
    try:
        document, _ = recover.read(io.BytesIO(data))
    except Exception as error:  # the library's own, and what broken tags make of it
        raise SurveyError(
            f"{file}: is not a DXF drawing that can be read: {_words(error)}"
        ) from None
    return document


def _words(error: Exception) -> str:
    text = " ".join(str(error).split())
    return (text or type(error).__name__)[:120]


def _entities(layout: Any, file: str) -> Iterator[tuple[str, Any]]:
    """Yield each entity with a name of its own, those in blocks at the places of their uses."""
    copies = 0
    waiting: list[tuple[str, Any, int]] = []
    top = iter(layout)
    while True:
        if waiting:
            name, entity, depth = waiting.pop()
        else:
            entity = next(top, None)
            if entity is None:
                return
            name, depth = str(entity.dxf.handle), 0
        if entity.dxftype() != "INSERT":
            yield name, entity
            continue
        block = entity.block()
        size = len(block) if block is not None else 0
        if size == 0:
            continue
        if depth >= DEEPEST:
            raise SurveyError(f"{file}: has blocks within blocks more than {DEEPEST} deep")
        copies += entity.mcount * size
        if copies > MOST_COPIES:
            raise SurveyError(f"{file}: its blocks hold more than {MOST_COPIES} entities, resolved")
        uses = entity.multi_insert() if entity.mcount > 1 else (entity,)
        inner: list[tuple[str, Any, int]] = []
        for use in uses:
            for part in use.virtual_entities():
                if part.dxf.layer == "0":  # takes the layer of its block's use
                    part.dxf.layer = entity.dxf.layer
                inner.append((f"{name}.{len(inner) + 1}", part, depth + 1))
        waiting.extend(reversed(inner))


def _spot(point: Any, factor: float, file: str) -> Vector:
    x, y, z = point.x * factor, point.y * factor, point.z * factor
    if not all(math.isfinite(value) and abs(value) <= FARTHEST for value in (x, y, z)):
        raise SurveyError(f"{file}: a coordinate is out of range or no number")
    return x, y, z


def _point(entity: Any, name: str, layer: str, factor: float, file: str) -> SurveyPoint:
    x, y, z = _spot(entity.dxf.location, factor, file)
    return SurveyPoint(name, x, y, z or None, layer)


def _line(
    entity: Any, name: str, layer: str, factor: float, tolerance: float, file: str
) -> SurveyLine | None:
    kind = entity.dxftype()
    closed = False
    places: list[Vector]
    middles: dict[int, Vector] = {}  # a point on the arc that leaves a place
    match kind:
        case "LINE":
            places = [_spot(p, factor, file) for p in (entity.dxf.start, entity.dxf.end)]
        case "ARC":
            ocs, centre, radius = entity.ocs(), entity.dxf.center, entity.dxf.radius
            start = math.radians(entity.dxf.start_angle)
            sweep = math.radians(entity.dxf.end_angle - entity.dxf.start_angle) % math.tau
            ends = [
                ocs.to_wcs(
                    (
                        centre.x + radius * math.cos(start + sweep * share),
                        centre.y + radius * math.sin(start + sweep * share),
                        centre.z,
                    )
                )
                for share in (0.0, 0.5, 1.0)
            ]
            first, middle, last = (_spot(p, factor, file) for p in ends)
            places, middles = [first, last], {0: middle}
        case "LWPOLYLINE" | "POLYLINE":
            closed = bool(entity.is_closed)
            places_and_middles = _polyline(entity, factor, file)
            if places_and_middles is None:
                return None
            places, middles = places_and_middles
        case "SPLINE" | "ELLIPSE":
            return _flattened(entity, name, layer, factor, tolerance, file)
        case _:
            return None
    return _through(places, middles, closed, (name, layer, kind))


def _polyline(
    entity: Any, factor: float, file: str
) -> tuple[list[Vector], dict[int, Vector]] | None:
    """Return the places of a polyline, and a point on each of its arcs."""
    if entity.dxftype() == "POLYLINE" and not (entity.is_2d_polyline or entity.is_3d_polyline):
        return None  # a mesh
    places = []
    middles = {}
    if entity.dxftype() == "POLYLINE" and entity.is_3d_polyline:
        return [_spot(vertex.dxf.location, factor, file) for vertex in entity.vertices], {}
    ocs = entity.ocs()
    if entity.dxftype() == "LWPOLYLINE":
        z = entity.dxf.elevation
        flat = [(x, y, z, bulge) for x, y, bulge in entity.get_points("xyb")]
    else:
        z = entity.dxf.elevation.z
        flat = [(v.dxf.location.x, v.dxf.location.y, z, v.dxf.bulge) for v in entity.vertices]
    for number, (x, y, z, bulge) in enumerate(flat):
        places.append(_spot(ocs.to_wcs((x, y, z)), factor, file))
        last = number == len(flat) - 1
        if bulge and (entity.is_closed or not last):
            nx, ny, *_ = flat[(number + 1) % len(flat)]
            middle = ocs.to_wcs(
                (
                    (x + nx) / 2.0 + (ny - y) * bulge / 2.0,
                    (y + ny) / 2.0 - (nx - x) * bulge / 2.0,
                    z,
                )
            )
            middles[number] = _spot(middle, factor, file)
    return places, middles


def _flattened(
    entity: Any, name: str, layer: str, factor: float, tolerance: float, file: str
) -> SurveyLine | None:
    spots: list[Vector] = []
    if entity.dxftype() == "SPLINE":
        fit, control = len(entity.fit_points), len(entity.control_points)
        if control > MOST_CONTROL or (fit > MOST_FIT and not control):
            raise SurveyError(f"{file}: a SPLINE has too many points; trace it with a polyline")
    # the library measures in the middle of each piece: half of it keeps the whole within
    for point in entity.flattening(tolerance / factor / 2.0):
        spots.append(_spot(point, factor, file))
        if len(spots) > MOST_NODES:
            raise SurveyError(f"{file}: a {entity.dxftype()} has too many points")
    fine = [spot for n, spot in enumerate(spots) if n == 0 or spot != spots[n - 1]]
    if len(fine) < 2:
        return None
    rises = any(z != 0.0 for _, _, z in fine)
    ends = [z if rises else None for z in (fine[0][2], fine[-1][2])]
    trace = Traced(tuple((x, y) for x, y, _ in fine))
    nodes: tuple[Node, ...] = (Node(fine[0][:2], ends[0]), Node(fine[-1][:2], ends[1], trace))
    inner = tuple(fine[1:-1]) if rises else ()
    closed = math.dist(fine[0][:2], fine[-1][:2]) < TOUCH
    if closed:  # a ring needs corners to hang on
        third = len(fine) // 3
        if third == 0:
            return None
        cuts = [0, third, 2 * third, len(fine) - 1]
        parts = [
            Traced(tuple((x, y) for x, y, _ in fine[a : b + 1]))
            for a, b in itertools.pairwise(cuts)
        ]
        nodes = tuple(
            Node(fine[cut][:2], fine[cut][2] if rises else None, parts[n - 1])
            for n, cut in enumerate(cuts[:-1])
        )
    return SurveyLine(name, layer, entity.dxftype(), nodes, closed, inner)


def _through(
    places: list[Vector], middles: dict[int, Vector], closed: bool, said: tuple[str, str, str]
) -> SurveyLine | None:
    name, layer, kind = said
    if len(places) < 2:
        return None
    if closed and math.dist(places[0][:2], places[-1][:2]) < TOUCH:
        places = places[:-1]
    elif len(places) > 3 and math.dist(places[0][:2], places[-1][:2]) < TOUCH:
        places, closed = places[:-1], True
    rises = any(z != 0.0 for _, _, z in places)  # plan drawings have 0 everywhere
    nodes = []
    count = len(places)
    for number, (x, y, z) in enumerate(places):
        before = number - 1 if number else (count - 1 if closed else -1)
        curve = None
        if before in middles:
            start: Point = places[before][:2]
            curve = arc_through(start, middles[before][:2], (x, y))
        nodes.append(Node((x, y), z if rises else None, curve))
    return SurveyLine(name, layer, kind, tuple(nodes), closed)


def _joined(lines: list[SurveyLine]) -> tuple[SurveyLine, ...]:
    """Return the lines, those of a layer that join end to end also as one named by the layer."""
    by_layer: dict[str, list[SurveyLine]] = {}
    for line in lines:
        by_layer.setdefault(line.group, []).append(line)
    result: list[SurveyLine] = []
    for layer, group in by_layer.items():
        chains = _chains(group)
        for number, chain in enumerate(chains, 1):
            if len(chain) == 1:
                result.append(chain[0])
                continue
            name = layer if len(chains) == 1 else f"{layer} #{number}"
            result.append(_chained(chain, name, layer))
            result.extend(
                replace(part, joined=True) for part in sorted(chain, key=lambda part: part.name)
            )
    return tuple(result)


def _chains(lines: list[SurveyLine]) -> list[list[SurveyLine]]:
    """Return lines grouped where they join end to end, each turned the way of its chain."""
    ends: dict[tuple[int, int], list[int]] = {}
    for number, line in enumerate(lines):
        if not line.closed:
            for spot in (line.nodes[0].at, line.nodes[-1].at):
                ends.setdefault(_cell(spot), []).append(number)

    def meeting(spot: Point, used: set[int]) -> int | None:
        """Return the one other line that ends here; None where none or several do."""
        cx, cy = _cell(spot)
        cells = [ends.get((cx + dx, cy + dy), []) for dx in (-1, 0, 1) for dy in (-1, 0, 1)]
        if sum(map(len, cells)) > CROWD:
            return None
        near = {
            number
            for number in itertools.chain(*cells)
            if any(
                math.dist(spot, node.at) < TOUCH
                for node in (lines[number].nodes[0], lines[number].nodes[-1])
            )
        }
        free = near - used
        return free.pop() if len(near) == 2 and len(free) == 1 else None

    used: set[int] = set()
    chains = []
    for number, line in enumerate(lines):
        if number in used:
            continue
        used.add(number)
        chain = [line]
        if not line.closed:
            for forward in (True, False):
                while True:
                    spot = chain[-1].nodes[-1].at if forward else chain[0].nodes[0].at
                    other = meeting(spot, used)
                    if other is None:
                        break
                    used.add(other)
                    part = lines[other]
                    joint = part.nodes[0].at if forward else part.nodes[-1].at
                    if math.dist(joint, spot) >= TOUCH:
                        part = _reversed(part)
                    chain.insert(len(chain) if forward else 0, part)
        chains.append(chain)
    return chains


def _cell(spot: Point) -> tuple[int, int]:
    return math.floor(spot[0] / TOUCH), math.floor(spot[1] / TOUCH)


def _reversed(line: SurveyLine) -> SurveyLine:
    nodes = []
    count = len(line.nodes)
    for number in range(count - 1, -1, -1):
        after = line.nodes[number + 1] if number + 1 < count else None
        curve = None
        if after is not None and after.curve is not None:
            curve = after.curve.turned_round()
        nodes.append(Node(line.nodes[number].at, line.nodes[number].level, curve))
    return SurveyLine(line.name, line.group, line.kind, tuple(nodes), line.closed, line.spots[::-1])


def _chained(chain: list[SurveyLine], name: str, layer: str) -> SurveyLine:
    nodes = list(chain[0].nodes)
    for part in chain[1:]:
        nodes.extend(part.nodes[1:])
    closed = len(nodes) > 3 and math.dist(nodes[0].at, nodes[-1].at) < TOUCH
    if closed:
        last = nodes.pop()
        nodes[0] = Node(nodes[0].at, nodes[0].level, last.curve)
    spots = tuple(spot for part in chain for spot in part.spots)
    return SurveyLine(name, layer, f"{len(chain)} entities joined", tuple(nodes), closed, spots)
