"""Shapes from a column of well-known text (OGC 06-103r4) in a table: POINT, LINESTRING, POLYGON."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from typing import Any

from .csv_headings import CODES, NUMBERS, plain_heading
from .grids import grid_of
from .placed_shapes import MOST_POSITIONS, Position, Shape, Shapes, shaped_survey
from .points_and_lines import Asked, Survey, SurveyError

WKT_HEADINGS = frozenset(("wkt", "geometry", "geom", "the_geom", "shape", "wkt_geom", "ewkt"))
"""What a column of shapes may be headed, in small letters."""

KINDS = ("POINT", "LINESTRING", "POLYGON", "MULTIPOINT", "MULTILINESTRING", "MULTIPOLYGON")

STARTS_WKT = re.compile(
    r"\s*(?:SRID=\d{1,6};)?\s*(?:MULTI)?(?:POINT|LINESTRING|POLYGON|CURVE|SURFACE)\s*"
    r"(?:Z|M|ZM)?\s*(?:\(|EMPTY)|\s*(?:SRID=\d{1,6};)?\s*(?:GEOMETRYCOLLECTION|CIRCULARSTRING|"
    r"COMPOUNDCURVE|CURVEPOLYGON|TIN|TRIANGLE|POLYHEDRALSURFACE)\s*(?:Z|M|ZM)?\s*(?:\(|EMPTY)",
    re.IGNORECASE,
)
"""How a cell of well-known text begins, read or not."""

_WKT = re.compile(r"(?:SRID=(\d{1,6});)?\s*([A-Z]+)\s*(Z|M|ZM)?\s*(EMPTY|\([^A-DF-Z]*\))", re.I)


def wkt_column(rows: Sequence[tuple[int, list[str]]]) -> int | None:
    """Return which column holds shapes, or None: by its heading and what stands in it."""
    for _, row in rows[:2]:
        for place, cell in enumerate(row):
            if STARTS_WKT.match(cell):
                return place
    heads = [plain_heading(cell) for cell in rows[0][1]]
    for place, word in enumerate(heads):
        if word in WKT_HEADINGS and all(
            place >= len(row) or not row[place] or STARTS_WKT.match(row[place])
            for _, row in rows[1:]
        ):
            return place
    return None


def read_wkt(
    rows: Sequence[tuple[int, list[str]]], place: int, file: str, unit: float | None, asked: Asked
) -> Survey:
    """Return the lines and points in a table's column of shapes.

    Parameters
    ----------
    rows : sequence of (line, cells)
        Of the table.
    place : int
        Column of the shapes; the others are a name and a code where their headings say so.
    file : str
        Name for messages.
    unit : float or None
        Millimetres in the unit of grid coordinates; by the grid, else metres, when None.
    asked : Asked
        Grid of the coordinates, or to put degrees on.

    Raises
    ------
    SurveyError
        With the line and what is wrong there.
    """
    first = rows[0][1]
    headed = place < len(first) and not STARTS_WKT.match(first[place])
    heads = [plain_heading(cell) for cell in first] if headed else []
    name = _column(heads, [asked.named_by.casefold()] if asked.named_by else list(NUMBERS))
    if asked.named_by and name is None:
        raise SurveyError(
            f"{file}: no column is headed '{asked.named_by}'; there are: {', '.join(first)[:200]}"
        )
    code = _column(heads, list(CODES))
    shapes: list[Shape] = []
    codes: set[int] = set()
    total = blank = 0
    for number, (line, row) in enumerate(rows[1:] if headed else rows, 1):
        text = row[place] if place < len(row) else ""
        if not text:
            blank += 1
            continue
        own = _cell(row, name) or str(number)
        for kind, parts in _shape(text, f"{file}:{line}", codes):
            total += sum(map(len, parts))
            shapes.append((own[:60], _cell(row, code)[:60], kind, parts))
        if total > MOST_POSITIONS or len(shapes) > MOST_POSITIONS:
            raise SurveyError(f"{file}: has more than {MOST_POSITIONS} positions")
    notes = [f"{blank} rows without a shape are left out"] if blank else []
    unused = [cell[:30] for n, cell in enumerate(first) if n not in (place, name, code) and cell]
    if headed and unused:
        notes.append(f"nothing is taken from: {', '.join(unused[:20])}")
    if len(codes) > 1:
        raise SurveyError(f"{file}: names more than one grid: {sorted(codes)[:5]}")
    named = grid_of(f"EPSG:{codes.pop()}", file) if codes else None
    return shaped_survey(
        Shapes(file, "CSV", shapes, named, unit, by_code=True, notes=tuple(notes)), asked
    )


def _column(heads: list[str], words: list[str]) -> int | None:
    return next((place for place, head in enumerate(heads) if head in words), None)


def _cell(row: list[str], place: int | None) -> str:
    return row[place] if place is not None and place < len(row) else ""


def _shape(text: str, where: str, codes: set[int]) -> list[tuple[str, list[list[Position]]]]:
    """Return the shapes in a cell, and add the number of the grid that it names to codes."""
    import shapely

    told = _WKT.fullmatch(text.strip())
    if told is None or told[2].upper() not in KINDS:
        raise SurveyError(
            f"{where}: is no shape that is read (found '{text.strip()[:40]}'); allowed: "
            "POINT, LINESTRING, POLYGON and MULTI of them"
        )
    if told[1]:
        codes.add(int(told[1]))
    try:
        shape = shapely.from_wkt(text.strip().rpartition(";")[2])
    except shapely.errors.GEOSException:
        raise SurveyError(
            f"{where}: the shape is not sound text (found '{text.strip()[:40]}')"
        ) from None
    return shape_parts(shape)


def shape_parts(shape: Any) -> list[tuple[str, list[list[Position]]]]:
    """Return the kinds and positions of a shapely geometry, those of a collection one by one."""
    import shapely

    found: list[tuple[str, list[list[Position]]]] = []
    waiting = [shape]
    while waiting:
        now = waiting.pop()
        if now.geom_type == "GeometryCollection":
            waiting.extend(reversed(shapely.get_parts(now).tolist()))
            continue
        if now.geom_type.endswith("Point"):
            found += [("Point", [_positions(part)]) for part in shapely.get_parts(now)]
            continue
        rings = [ring for part in shapely.get_parts(now) for ring in _rings(part)]
        found.append((now.geom_type, [_positions(ring) for ring in rings]))
    return found


def _rings(part: Any) -> list[Any]:
    if part.geom_type != "Polygon":
        return [part]
    return [part.exterior, *part.interiors]


def _positions(part: Any) -> list[Position]:
    import shapely

    rows = shapely.get_coordinates(part, include_z=True).tolist()
    return [(x, y, None if math.isnan(z) else z) for x, y, z in rows]
