"""Shapes of geographic files as points and lines: degrees put on a plane, or grid coordinates."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from palewright.model.basis.lengths import FARTHEST
from palewright.model.site.path import Node

from .coded_lines import coded_lines
from .degrees import Place, local_planes
from .field_codes import chains_of
from .grids import Grid, check_lengths, given_name, grid_of, on_grid
from .points_and_lines import Asked, Survey, SurveyError, SurveyLine, SurveyPoint, as_ring, unlike

MOST_POSITIONS = 60_000

Position = tuple[float, float, float | None]
Shape = tuple[str, str, str, list[list[Position]]]
"""Name, group, kind, and the positions of each part."""


@dataclass(frozen=True)
class Shapes:
    """What a file holds. format : as a Survey has it; named : the grid that the file names; unit :
    mm in that of grid coordinates, that the user gives, or None; by_code : whether points of one
    code make a line; in_degrees : whether coordinates are degrees where no grid is named; notes :
    what a reader should know.
    """

    file: str
    format: str
    shapes: Sequence[Shape]
    named: Grid | None
    unit: float | None
    by_code: bool = False
    in_degrees: bool = False
    notes: tuple[str, ...] = ()


def shaped_survey(read: Shapes, asked: Asked) -> Survey:
    """Return the survey that shapes make.

    Raises
    ------
    SurveyError
        When there are none, or their coordinates are none.
    """
    file, notes = read.file, list(read.notes)
    shapes = [shape for shape in read.shapes if all(shape[3]) and shape[3]]
    empty = len(read.shapes) - len(shapes)
    if not shapes:
        why = ": all that it holds is empty" if empty else ""
        raise SurveyError(f"{file}: holds no line and no point{why}")
    plane = _plane(shapes, read, asked.crs)
    points: list[SurveyPoint] = []
    lines: list[SurveyLine] = []
    names: dict[str, int] = {}
    count = short = 0
    for name, group, kind, parts in shapes:
        for part in parts:
            own, to = unlike(name, names), plane.to[count]
            count += 1
            placed = [_placed(p, to, plane.level_unit, file) for p in part]
            if kind == "Point":
                x, y, level = placed[0]
                points.append(SurveyPoint(own, x, y, level, group))
                continue
            kept, closed = as_ring([Node((x, y), level) for x, y, level in placed])
            if len(kept) > 1:
                lines.append(SurveyLine(own, group, kind, kept, closed))
            else:
                short += 1
    if empty or short:
        left = empty + short
        notes.append(f"{left} {'shape that is' if left == 1 else 'shapes that are'} empty or a "
                     "line of one position are left out")  # fmt: skip
    if read.by_code:
        points, more, told = _lines_of_points(points, asked)
        lines += [replace(line, name=unlike(line.name, names)) for line in more]
        notes += told
    return Survey(file, read.format, tuple(points), tuple(lines), plane.grid,
                  (*plane.notes, *notes))  # fmt: skip


def _lines_of_points(
    points: list[SurveyPoint], asked: Asked
) -> tuple[list[SurveyPoint], list[SurveyLine], list[str]]:
    """Return points, the lines through those of a code, and what was not understood."""
    points, chains, told = chains_of(points, asked.codes)
    coded = [chain for chain in chains if chain.group]
    lines, more = coded_lines(points, coded, asked.codes.apart)
    return points, lines, [*told, *more]


@dataclass(frozen=True)
class _Planes:
    """How coordinates become mm. to : x and y of a position, for each part in turn; level_unit :
    mm in the unit of levels; grid : that they are on then, empty where none is known.
    """

    to: Sequence[Place]
    level_unit: float
    grid: str
    notes: tuple[str, ...] = ()


def _plane(shapes: Sequence[Shape], read: Shapes, crs: str) -> _Planes:
    """Return how positions become mm: degrees by a grid or local planes, else by their unit.

    crs : that the user gives.
    """
    file, named, unit = read.file, read.named, read.unit
    parts = [[(x, y) for x, y, _ in part] for _, _, _, parts in shapes for part in parts]
    small = all(abs(x) <= 180.0 and abs(y) <= 90.0 for part in parts for x, y in part)
    given = grid_of(crs, file)
    degrees = small and (read.in_degrees if named is None else named.degrees)
    if named is None and not read.in_degrees:
        degrees = small and given is not None and given.degrees
        if small and given is None and unit is None:
            raise SurveyError(
                f"{file}: does not say what its coordinates are, and they may be degrees; set "
                "units (survey.units) where they are lengths, or their grid (survey.crs), "
                "EPSG:4326 for degrees"
            )
    if not degrees:
        grid = given if named is None or named.degrees else named
        if grid and given and grid.name != given.name:
            raise SurveyError(f"{file}: its coordinates are on {grid.name}, not on {given.name}")
        if grid is not None and grid.degrees:
            raise SurveyError(f"{file}: its coordinates are no degrees, as {grid.name} has them")
        notes = () if grid else ("not degrees: taken for coordinates on a grid",)
        size = unit or (grid.unit if grid else 1000.0)
        check_lengths(grid, (parts[0][0][0] * size, parts[0][0][1] * size), file)
        whole: Place = lambda x, y: (x * size, y * size)  # noqa: E731
        return _Planes([whole] * len(parts), size, grid.name if grid else "", notes)
    if given is not None and not given.degrees:
        on = on_grid(given, file)
        check_lengths(given, on(*parts[0][0]), file)
        return _Planes([on] * len(parts), 1000.0, given.name)
    lon, lat = parts[0][0]
    note = f"local plane about longitude {lon:.7f}, latitude {lat:.7f} ({given_name(named, given)})"
    return _Planes(local_planes(parts), 1000.0, "", (note,))


def _placed(
    position: Position, plane: Any, height: float, file: str
) -> tuple[float, float, float | None]:
    x, y = plane(position[0], position[1])
    if not (math.isfinite(x) and math.isfinite(y) and max(abs(x), abs(y)) <= FARTHEST):
        raise SurveyError(f"{file}: a position is out of range: {position[0]:g}, {position[1]:g}")
    level = position[2]
    return x, y, None if level is None else level * height
