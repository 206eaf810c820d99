"""Entities of a DXF drawing as points and lines, mm: arcs, bulges, circles, splines, ellipses."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass, field
from typing import Any

from palewright.model.basis.lengths import FARTHEST
from palewright.model.geometry.curves import Arc, Traced, arc_through
from palewright.model.geometry.frames import Point, Vector
from palewright.model.site.path import Node

from .points_and_lines import SurveyError, SurveyLine, SurveyPoint

MOST_NODES = 60_000
"""Most points of lines."""

MOST_FIT, MOST_CONTROL = 400, 5_000
"""Most points that a spline goes through, for which equations are solved, and that guide it."""

TOUCH = 1.0
"""Ends nearer than this are joined, mm."""

UPRIGHT = 1e-9
"""How far the third figure of a plane's normal may be from 1 for arcs on it to be arcs in plan."""

FINEST_TURN, COARSEST_TURN = math.radians(0.2), math.radians(10.0)
"""Turn of each chord that an arc in a tilted plane is traced with, at least and at most."""


@dataclass
class _Places:
    """The places of a line; middles : a point on the arc that leaves a place; traces : the points
    of an arc in a tilted plane that leaves one, its ends left out.
    """

    at: list[Vector]
    middles: dict[int, Vector] = field(default_factory=dict)
    traces: dict[int, list[Vector]] = field(default_factory=dict)


@dataclass(frozen=True)
class EntityReader:
    """How entities become lines. factor : mm in the drawing's unit; tolerance : how closely curves
    are followed, mm; file : name for messages.
    """

    factor: float
    tolerance: float
    file: str

    def point(self, entity: Any, name: str) -> SurveyPoint:
        """Return a POINT; its layer is its code, and a level of 0 is none."""
        x, y, z = self._spot(entity.dxf.location)
        return SurveyPoint(name, x, y, z or None, str(entity.dxf.layer))

    def line(self, entity: Any, name: str) -> SurveyLine | None:
        """Return what a fence could follow of an entity, or None."""
        kind = entity.dxftype()
        closed = False
        match kind:
            case "LINE":
                places = _Places([self._spot(p) for p in (entity.dxf.start, entity.dxf.end)])
            case "ARC":
                start = math.radians(entity.dxf.start_angle)
                sweep = math.radians(entity.dxf.end_angle - entity.dxf.start_angle) % math.tau
                places = self._arc(entity, start, sweep, 1)
            case "CIRCLE":
                places, closed = self._arc(entity, 0.0, math.tau, 3), True
            case "LWPOLYLINE" | "POLYLINE":
                closed = bool(entity.is_closed)
                found = self._polyline(entity)
                if found is None:
                    return None
                places = found
            case "SPLINE" | "ELLIPSE":
                return self._flattened(entity, name)
            case _:
                return None
        return _through(places, closed, (name, str(entity.dxf.layer), kind))

    def _spot(self, point: Any) -> Vector:
        x, y, z = point.x * self.factor, point.y * self.factor, point.z * self.factor
        if not all(math.isfinite(value) and abs(value) <= FARTHEST for value in (x, y, z)):
            raise SurveyError(f"{self.file}: a coordinate is out of range or no number")
        return x, y, z

    def _arc(self, entity: Any, start: float, sweep: float, count: int) -> _Places:
        """Return an arc or a circle in so many parts. start, sweep : radians."""
        centre = entity.dxf.center
        places = _Places([])
        for part in range(count):
            first = start + sweep * part / count
            places.at.append(self._on_circle(entity, centre, entity.dxf.radius, first))
            self._bend(places, entity, (centre, entity.dxf.radius, first, sweep / count))
        if count == 1:
            places.at.append(self._on_circle(entity, centre, entity.dxf.radius, start + sweep))
        return places

    def _on_circle(self, entity: Any, centre: Any, radius: float, angle: float) -> Vector:
        x, y = centre.x + radius * math.cos(angle), centre.y + radius * math.sin(angle)
        return self._spot(entity.ocs().to_wcs((x, y, centre.z)))

    def _bend(self, places: _Places, entity: Any, arc: tuple[Any, float, float, float]) -> None:
        """Put the middle of an arc to places, or its trace where its plane is tilted.

        arc : centre and radius in its plane, first angle and sweep, radians.
        """
        centre, radius, first, sweep = arc
        number = len(places.at) - 1
        ocs = entity.ocs()
        if not ocs.transform or abs(abs(ocs.uz.z) - 1.0) < UPRIGHT:
            places.middles[number] = self._on_circle(entity, centre, radius, first + sweep / 2.0)
            return
        if sweep == 0.0 or radius == 0.0:
            return
        # a chord's offset r (1 - cos(t / 2)) is seen no larger in plan
        room = min(self.tolerance / 2.0 / (abs(radius) * self.factor), 1.0)
        turn = min(max(2.0 * math.acos(1.0 - room), FINEST_TURN), COARSEST_TURN)
        count = math.ceil(abs(sweep) / turn)
        places.traces[number] = [
            self._on_circle(entity, centre, radius, first + sweep * n / count)
            for n in range(1, count)
        ]

    def _polyline(self, entity: Any) -> _Places | None:
        """Return the places of a polyline, and the arcs between them."""
        if entity.dxftype() == "POLYLINE" and not (entity.is_2d_polyline or entity.is_3d_polyline):
            return None  # a mesh
        if entity.dxftype() == "POLYLINE" and entity.is_3d_polyline:
            return _Places([self._spot(vertex.dxf.location) for vertex in entity.vertices])
        if entity.dxftype() == "LWPOLYLINE":
            z = entity.dxf.elevation
            flat = list(entity.get_points("xyb"))
        else:
            z = entity.dxf.elevation.z
            flat = [(v.dxf.location.x, v.dxf.location.y, v.dxf.bulge) for v in entity.vertices]
        from ezdxf.math import Vec3, bulge_center

        places = _Places([])
        ocs = entity.ocs()
        for number, (x, y, bulge) in enumerate(flat):
            places.at.append(self._spot(ocs.to_wcs((x, y, z))))
            last = number == len(flat) - 1
            nx, ny, _ = flat[(number + 1) % len(flat)]
            if not bulge or (last and not entity.is_closed) or (x, y) == (nx, ny):
                continue
            centre = bulge_center((x, y), (nx, ny), bulge)
            first = math.atan2(y - centre.y, x - centre.x)
            # a bulge is the tangent of a quarter of the turn (DXF reference)
            radius, sweep = math.dist((x, y), (centre.x, centre.y)), 4.0 * math.atan(bulge)
            self._bend(places, entity, (Vec3(centre.x, centre.y, z), radius, first, sweep))
        return places

    def _flattened(self, entity: Any, name: str) -> SurveyLine | None:
        """Return a spline or an ellipse by points close together."""
        spots: list[Vector] = []
        if entity.dxftype() == "SPLINE":
            fit, control = len(entity.fit_points), len(entity.control_points)
            if control > MOST_CONTROL or (fit > MOST_FIT and not control):
                raise SurveyError(
                    f"{self.file}: a SPLINE has too many points; trace it with a polyline"
                )
        # the library measures in the middle of each piece: half of it keeps the whole within
        for point in entity.flattening(self.tolerance / self.factor / 2.0):
            spots.append(self._spot(point))
            if len(spots) > MOST_NODES:
                raise SurveyError(f"{self.file}: a {entity.dxftype()} has too many points")
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
        return SurveyLine(name, str(entity.dxf.layer), entity.dxftype(), nodes, closed, inner)


def _through(places: _Places, closed: bool, said: tuple[str, str, str]) -> SurveyLine | None:
    at = places.at
    if len(at) < 2:
        return None
    same = len(at) > (2 if closed else 3) and math.dist(at[0][:2], at[-1][:2]) < TOUCH
    if same or (closed and math.dist(at[0][:2], at[-1][:2]) < TOUCH):
        at, closed = at[:-1], True
    traced = [spot for trace in places.traces.values() for spot in trace]
    rises = any(z != 0.0 for _, _, z in (*at, *traced))  # plan drawings have 0 everywhere
    nodes = []
    count = len(at)
    for number, (x, y, z) in enumerate(at):
        before = number - 1 if number else (count - 1 if closed else -1)
        curve: Arc | Traced | None = None
        if before in places.middles:
            curve = arc_through(at[before][:2], places.middles[before][:2], (x, y))
        elif before in places.traces:
            plan: list[Point] = [spot[:2] for spot in places.traces[before]]
            curve = Traced((at[before][:2], *plan, (x, y)))
        nodes.append(Node((x, y), z if rises else None, curve))
    spots = tuple(traced) if rises else ()
    return SurveyLine(*said, tuple(nodes), closed, spots)
