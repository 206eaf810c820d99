"""Points, alignments, surfaces and breaklines of a LandXML file.

Source of the format: LandXML 1.2 documentation (landxml.org): coordinates stand north before east.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Iterator
from dataclasses import replace
from xml.etree import ElementTree

from palewright.model.basis.lengths import FARTHEST
from palewright.model.geometry.curves import Arc
from palewright.model.geometry.frames import Point
from palewright.model.site.path import Node

from .coded_lines import coded_lines
from .csv_points import HIGHEST
from .field_codes import chains_of
from .grids import US_SURVEY_FOOT, check_lengths, grid_of, name_of
from .landxml_surfaces import surface_of_faces
from .points_and_lines import (
    Asked,
    GivenSurface,
    Survey,
    SurveyError,
    SurveyLine,
    SurveyPoint,
    as_ring,
    unlike,
)

MOST_ELEMENTS, MOST_POINTS_READ, LARGEST_TEXT = 400_000, 60_000, 20_000_000

LINEAR = {"meter": 1000.0, "metre": 1000.0, "millimeter": 1.0, "centimeter": 10.0,
          "kilometer": 1e6, "foot": 304.8, "ussurveyfoot": US_SURVEY_FOOT,
          "inch": 25.4}  # fmt: skip
"""Millimetres in the units that Units/@linearUnit may name."""

LISTS_OF_POINTS = {"PntList2D": 2, "PntList3D": 3}
"""Numbers of a point in lists of points."""

Place = tuple[float, float, float | None]


def read_landxml(text: str, file: str, asked: Asked, unit: float | None) -> Survey:
    """Return the points and lines of a LandXML text. unit : mm, that the user gives, or None.

    Raises
    ------
    SurveyError
        When it is not LandXML, does not say its unit, or holds nothing to take.
    """
    reader = _Reader(_root(text, file), file, unit, asked)
    own, chains, told = chains_of(list(reader.points()), asked.codes)
    points, names = [*own, *reader.surface_points()], dict[str, int]()
    lines = [
        replace(line, name=unlike(line.name, names))
        for line in (*reader.alignments(), *reader.breaklines())
    ]
    by_code, more_told = coded_lines(
        own, [chain for chain in chains if chain.group], asked.codes.apart
    )
    lines += [line for line in by_code if line.name not in names]
    if not points and not lines:
        raise SurveyError(f"{file}: holds no points, lines or surface")
    first = (points[0].x, points[0].y) if points else lines[0].nodes[0].at
    check_lengths(reader.grid, first, file)
    return Survey(file, "LandXML", tuple(points), tuple(lines), name_of(reader.grid),
                  (*reader.notes, *told, *more_told), surfaces=tuple(reader.surfaces))  # fmt: skip


def _root(text: str, file: str) -> ElementTree.Element:
    if len(text) > LARGEST_TEXT or text.count("<") > MOST_ELEMENTS:
        raise SurveyError(f"{file}: holds more than is read; save a smaller part of it")
    if "<!DOCTYPE" in text or "<!ENTITY" in text:
        raise SurveyError(f"{file}: has declarations of its own, which are not read")
    try:
        root = ElementTree.fromstring(text)
    except (ElementTree.ParseError, ValueError) as error:
        place = getattr(error, "position", (0, 0))[0]
        raise SurveyError(f"{file}:{place}: is not XML") from None
    if _name(root) != "LandXML":
        raise SurveyError(f"{file}: is XML, but no LandXML")
    return root


def _name(element: ElementTree.Element) -> str:
    return element.tag.rsplit("}", 1)[-1]


class _Reader:
    """Goes through a document."""

    def __init__(
        self, root: ElementTree.Element, file: str, unit: float | None, asked: Asked
    ) -> None:
        self.root = root
        self.file = file
        self.notes: list[str] = []
        self.surfaces: list[GivenSurface] = []
        told = next((e.get("epsgCode", "") for e in self.every("CoordinateSystem")), "")
        own = f"EPSG:{told}" if told.isdecimal() else ""
        self.grid = grid_of(asked.crs or own, file)
        self.factor = unit or self._unit()
        self.named: dict[str, Place] = {}
        self.count = 0
        for point in self.every("CgPoint"):
            if point.get("name") and (point.text or "").strip():
                self.named[str(point.get("name"))] = self.place(point)

    def _unit(self) -> float:
        for system in self.every("Units"):
            for inner in system:
                factor = LINEAR.get(inner.get("linearUnit", "").casefold())
                if factor is not None:
                    if inner.get("linearUnit", "").casefold() == "foot":
                        self.notes.append(
                            "in feet, taken as the international foot; some files mean the US "
                            "survey foot: then set units to us-ft"
                        )
                    return factor
        if self.grid is not None and not self.grid.degrees:
            return self.grid.unit
        raise SurveyError(f"{self.file}: does not say its unit; set units (survey.units)")

    def every(self, name: str) -> Iterator[ElementTree.Element]:
        return (element for element in self.root.iter() if _name(element) == name)

    def numbers(self, text: str, what: str) -> list[float]:
        try:
            values = [float(word) for word in text.split()]
        except ValueError:
            shown = text.strip()[:60]
            raise SurveyError(f"{self.file}: a {what} is not numbers: {shown}") from None
        if not all(math.isfinite(value) for value in values):
            raise SurveyError(f"{self.file}: a {what} is out of range")
        return values

    def triple(self, values: list[float], what: str) -> Place:
        """Return north, east and level as (x, y, level), mm."""
        if len(values) not in (2, 3):
            raise SurveyError(f"{self.file}: a {what} has {len(values)} numbers, not 2 or 3")
        north, east, *level = (value * self.factor for value in values)
        if max(abs(north), abs(east)) > FARTHEST or any(abs(z) > HIGHEST for z in level):
            raise SurveyError(f"{self.file}: a {what} is out of range")
        self.count += 1
        if self.count > MOST_POINTS_READ:
            raise SurveyError(f"{self.file}: has more than {MOST_POINTS_READ} points")
        return east, north, level[0] if level else None

    def place(self, element: ElementTree.Element) -> Place:
        name = element.get("pntRef")
        if name is not None:
            if name not in self.named:
                raise SurveyError(f"{self.file}: there is no point '{name[:40]}'")
            return self.named[name]
        return self.triple(self.numbers(element.text or "", _name(element)), _name(element))

    def points(self) -> Iterator[SurveyPoint]:
        for number, point in enumerate(self.every("CgPoint"), 1):
            if not (point.text or "").strip():
                continue
            name = point.get("name", str(number))[:60]
            x, y, level = self.named.get(name) or self.place(point)
            yield SurveyPoint(name, x, y, level, point.get("code", point.get("desc", ""))[:60])

    def surface_points(self) -> Iterator[SurveyPoint]:
        """Yield the points of surfaces, and keep the surfaces that have faces."""
        names = dict[str, int]()
        for surface in self.every("Surface"):
            group = unlike(surface.get("name", "surface")[:60], names)
            places: dict[str, Place] = {}
            faces: list[ElementTree.Element] = []
            # its own parts alone, not those of surfaces within it
            parts = [part for held in surface if _name(held) == "Definition" for part in held]
            for part in parts:
                for inner in part:
                    if _name(part) == "Pnts":
                        own = inner.get("id", "")
                        ident = f"{own}({len(places) + 1})" if own in places or not own else own
                        places[ident] = self.place(inner)
                    elif _name(part) == "Faces":
                        faces.append(inner)
            if not places:
                places = self._measured(surface)
            for ident, (x, y, level) in places.items():
                yield SurveyPoint(f"{group} {ident}", x, y, level, group)
            given, notes = surface_of_faces(group, places, iter(faces))
            self.notes += notes
            if given is not None:
                self.surfaces.append(given)

    def _measured(self, surface: ElementTree.Element) -> dict[str, Place]:
        """Return the points that a surface without a definition was to be made from."""
        found: dict[str, Place] = {}
        for source in surface:
            for data in source if _name(source) == "SourceData" else ():
                for held in data if _name(data) == "DataPoints" else ():
                    for places in self.listed([held]):
                        for place in places:
                            found[str(len(found) + 1)] = place
        return found

    def listed(self, parent: Iterable[ElementTree.Element]) -> Iterator[list[Place]]:
        """Give the places of each list of points in an element."""
        for part in parent:
            size = LISTS_OF_POINTS.get(_name(part))
            if size is None:
                continue
            values = self.numbers(part.text or "", _name(part))
            if len(values) % size:
                raise SurveyError(f"{self.file}: a {_name(part)} is not whole points")
            yield [
                self.triple(values[n : n + size], _name(part)) for n in range(0, len(values), size)
            ]

    def breaklines(self) -> Iterator[SurveyLine]:
        for number, line in enumerate(self.every("Breakline"), 1):
            name = line.get("name", line.get("desc", f"breakline {number}"))[:60]
            if line.get("brkType") == "wall":
                self.notes.append(
                    f"breakline '{name}' is a wall: only its own line is taken; a step needs one "
                    "line at its top and one at its foot"
                )
            for places in self.listed(line):
                nodes, closed = as_ring([Node((x, y), z) for x, y, z in places])
                if len(nodes) > 1:
                    yield SurveyLine(name, "breakline", "breakline", nodes, closed)

    def alignments(self) -> Iterator[SurveyLine]:
        for number, line in enumerate(self.every("Alignment"), 1):
            name = line.get("name", f"alignment {number}")[:60]
            nodes: list[Node] = []
            for geometry in line:
                if _name(geometry) == "CoordGeom":
                    for piece in geometry:
                        self._piece(piece, nodes, name)
            if len(nodes) > 1:
                ring, closed = as_ring(nodes) if not any(n.curve for n in nodes) else (
                    tuple(nodes), False
                )  # fmt: skip
                yield SurveyLine(name, line.get("desc", "")[:60], "alignment", ring, closed)

    def _piece(self, piece: ElementTree.Element, nodes: list[Node], name: str) -> None:
        kind = _name(piece)
        parts = {_name(part): part for part in piece}
        if kind not in ("Line", "Curve", "IrregularLine"):
            said = f"has a {kind[:20]}, which is not read"
            raise SurveyError(f"{self.file}: alignment '{name}' {said}")
        if "Start" not in parts or "End" not in parts:
            raise SurveyError(f"{self.file}: a {kind} of '{name}' has no start or no end")
        start, end = self.place(parts["Start"]), self.place(parts["End"])
        if not nodes:
            nodes.append(Node(start[:2], start[2]))
        elif math.dist(nodes[-1].at, start[:2]) > 1.0:
            raise SurveyError(f"{self.file}: alignment '{name}' has a gap before a {kind}")
        if kind == "IrregularLine":
            for x, y, z in (*itertools.chain(*self.listed(piece)), end):
                if math.dist(nodes[-1].at, (x, y)) > 1.0:
                    nodes.append(Node((x, y), z))
            return
        curve = self._arc(piece, parts, start[:2], end[:2], name) if kind == "Curve" else None
        nodes.append(Node(end[:2], end[2], curve))

    def _arc(
        self, piece: ElementTree.Element, parts: dict[str, ElementTree.Element],
        start: Point, end: Point, name: str,
    ) -> Arc:  # fmt: skip
        turn = piece.get("rot", "").casefold()
        if turn not in ("cw", "ccw") or "Center" not in parts:
            raise SurveyError(f"{self.file}: a Curve of '{name}' has no centre or no rot")
        x, y, _ = self.place(parts["Center"])
        first = math.atan2(start[1] - y, start[0] - x)
        sweep = (math.atan2(end[1] - y, end[0] - x) - first) % (2.0 * math.pi)
        return Arc((x, y), math.dist((x, y), start), first,
                   sweep if turn == "ccw" else sweep - 2.0 * math.pi)  # fmt: skip
