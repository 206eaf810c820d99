"""Surveyed points from a CSV file: number, easting, northing, level, code, in any order."""

from __future__ import annotations

import csv
import io
import math
import re
from collections.abc import Iterator
from dataclasses import replace

from palewright.model.basis.lengths import FARTHEST

from .coded_lines import coded_lines
from .csv_headings import HEADINGS, plain_heading
from .degrees import local_planes
from .field_codes import chains_of
from .grids import check_lengths, grid_of, name_of
from .points_and_lines import Asked, Survey, SurveyError, SurveyPoint
from .wkt_columns import STARTS_WKT, WKT_HEADINGS, read_wkt, wkt_column

LETTERS = {"P": "number", "E": "east", "N": "north", "Z": "level", "D": "code"}
"""What stands for a column in `columns`, as point files are named by habit; - for one to skip."""

HEADING = re.compile(r"[^\W\d_][\w .()\[\]/-]{0,29}|")
"""What may be quoted as the heading of a column."""

MOST_POINTS, MOST_CELLS, LONGEST = 60_000, 1_500_000, 8_000_000
"""Most points, cells and letters of a file."""

HIGHEST = 1e7
"""Levels are under this, mm: higher than any mountain, deeper than any mine."""

NUMBER = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d{1,3})?", re.ASCII)
"""A number as surveys write it; "1_000" and "infinity" are none."""


def read_csv(text: str, file: str, unit: float | None, asked: Asked) -> Survey:
    """Return the points of a CSV text, and a line through the points of each code.

    Parameters
    ----------
    text : str
        Columns divided by commas, semicolons or tabs; decimal commas where columns are divided by
        semicolons or tabs. Empty lines and lines that start with # are left out.
    file : str
        Name for messages.
    unit : float or None
        Millimetres in the file's unit; by the grid, else metres, when None.
    asked : Asked
        Grid of the coordinates (of one in degrees, easting is longitude and northing latitude), and
        what each column holds where no heading says it; see LETTERS.

    Raises
    ------
    SurveyError
        With the line and what is wrong there.
    """
    if len(text) > LONGEST or any(text.count(mark) > MOST_CELLS for mark in ",;\t\n"):
        raise SurveyError(f"{file}: has more than {MOST_POINTS} points, or far too many columns")
    rows = list(_rows(text, file, len(asked.columns)))
    if not rows:
        raise SurveyError(f"{file}: holds no points")
    place = wkt_column(rows)
    if place is not None:
        return read_wkt(rows, place, file, unit, asked)
    named, width, notes = _told_columns(rows, asked.columns, file)
    grid = grid_of(asked.crs, file)
    factor = unit or (grid.unit if grid else 0.0) or 1000.0
    points: list[SurveyPoint] = []
    for line, row in rows:
        if len(points) >= MOST_POINTS:
            raise SurveyError(f"{file}: has more than {MOST_POINTS} points")
        where = f"{file}:{line}"
        if len(row) > width and any(row[width:]):
            raise SurveyError(
                f"{where}: has {len(row)} cells under {width} headings; divide columns "
                "by semicolons where a comma parts decimals"
            )
        # degrees as if they were metres, until they are put on a plane
        points.append(_point(row, named, where, factor, len(points) + 1))
    if not points:
        raise SurveyError(f"{file}: has a heading but no points")
    points, chains, told = chains_of(points, asked.codes)
    notes += told
    if grid is not None and grid.degrees:
        points, note = _from_degrees(points, factor, grid.name)
        notes.append(note)
    else:
        check_lengths(grid, (points[0].x, points[0].y), file)
    notes += _two_levels(points)
    lines, told = coded_lines(points, chains, asked.codes.apart)
    return Survey(file, "CSV", tuple(points), tuple(lines), name_of(grid), (*notes, *told))


def _from_degrees(
    points: list[SurveyPoint], factor: float, grid: str
) -> tuple[list[SurveyPoint], str]:
    """Return points whose places are longitudes and latitudes, factor to the degree, on a plane."""
    groups = _by_code(points)
    shapes = [[(p.x / factor, p.y / factor) for p in group] for group in groups.values()]
    to = dict(zip(groups, local_planes(shapes), strict=True))
    placed = []
    for point in points:
        x, y = to[point.code](point.x / factor, point.y / factor)
        placed.append(replace(point, x=x, y=y))
    lon, lat = shapes[0][0]
    return placed, f"local plane about longitude {lon:.7f}, latitude {lat:.7f} ({grid})"


def _rows(text: str, file: str, count: int) -> Iterator[tuple[int, list[str]]]:
    """Yield (line, cells) of what is neither empty nor a remark. count : of columns, if known."""
    lines = text.splitlines()
    first = next((line for line in lines if line.strip() and not line.startswith("#")), "")
    mark = max(",;\t", key=first.count)
    alone = plain_heading(first) in WKT_HEADINGS or STARTS_WKT.match(first)
    if alone and '"' not in text:  # one column of shapes, which have commas
        yield from ((n, [line.strip()]) for n, line in enumerate(lines, 1)
                    if line.strip() and not line.startswith("#"))  # fmt: skip
        return
    if mark not in first and len(first.split()) > 1:  # divided by blanks
        heads = first.split()
        if not count and not any(NUMBER.fullmatch(cell) for cell in heads):
            count = len(heads)  # codes may have blanks in them
        for number, line in enumerate(lines, 1):
            if line.strip() and not line.startswith("#"):
                yield number, line.split(None, count - 1 if count else -1)
        return
    reader = csv.reader(io.StringIO("\n".join(lines)), delimiter=mark, strict=True)
    try:
        for row in reader:
            cells = [cell.strip() for cell in row]
            if any(cells) and not cells[0].startswith("#"):
                yield reader.line_num, cells if mark == "," else [_dotted(c) for c in cells]
    except csv.Error as error:
        if "field limit" in str(error):
            most = csv.field_size_limit()
            raise SurveyError(
                f"{file}:{reader.line_num}: a cell has more than {most} letters; save large "
                "shapes as GeoJSON"
            ) from None
        raise SurveyError(f"{file}:{reader.line_num}: is not CSV: {error}") from None


def _dotted(cell: str) -> str:
    """Return a cell with its decimal comma as a point; those of a shape part its positions."""
    return cell if STARTS_WKT.match(cell) else cell.replace(",", ".")


def _told_columns(
    rows: list[tuple[int, list[str]]], columns: str, file: str
) -> tuple[dict[str, int], int, list[str]]:
    """Return which column holds what, how many there are, and notes; a heading is taken off rows.

    columns : letters, empty where the heading says it.
    """
    line, first = rows[0]
    if not columns:
        named = _columns(first, f"{file}:{line}")
        del rows[0]
        return named, len(first), _unused(first, named)
    named, notes = _lettered(columns, file), []
    if not _numeric(first, named):
        notes.append(f"line {line} is passed over as a heading: columns are {columns}")
        del rows[0]
    return named, len(columns), notes


def _lettered(columns: str, file: str) -> dict[str, int]:
    """Return which column holds what, from letters."""
    places: dict[str, int] = {}
    for place, letter in enumerate(columns.upper()):
        if letter == "-":
            continue
        name = LETTERS.get(letter)
        if name is None or name in places:
            what = "twice" if name else "which is none"
            raise SurveyError(
                f"{file}: columns '{columns[:20]}' has '{letter}' {what}; allowed: P point, E "
                "east, N north, Z level, D code, - for a column to skip, each once"
            )
        places[name] = place
    if "east" not in places or "north" not in places:
        raise SurveyError(f"{file}: columns '{columns[:20]}' needs E and N")
    return places


def _numeric(row: list[str], columns: dict[str, int]) -> bool:
    cells = [row[place] for name in ("east", "north") if (place := columns[name]) < len(row)]
    return len(cells) == 2 and all(NUMBER.fullmatch(cell) for cell in cells)


def _unused(heading: list[str], columns: dict[str, int]) -> list[str]:
    """Return a note on columns that nothing is taken from."""
    left = [
        cell[:30] for place, cell in enumerate(heading) if place not in columns.values() and cell
    ]
    return [f"nothing is taken from: {', '.join(left[:20])}"] if left else []


def _columns(heading: list[str], where: str) -> dict[str, int]:
    """Return which column holds what, from the heading."""
    columns: dict[str, int] = {}
    for number, cell in enumerate(heading):
        word = plain_heading(cell)
        for name, words in HEADINGS.items():
            if word in words:
                if name in columns:
                    raise SurveyError(
                        f"{where}: two columns are headed as the {name}: '{cell[:30]}'"
                    )
                columns[name] = number
    if sum(bool(NUMBER.fullmatch(cell)) for cell in heading) >= 2 and "east" not in columns:
        raise SurveyError(
            f"{where}: has no heading; say what its columns are (in a spec survey.columns), as "
            "'PNEZD' for point, north, east, level, code, or 'PENZD': nothing in the file tells "
            "east from north"
        )
    missing = [name for name in ("east", "north") if name not in columns]
    if missing:
        said = " and ".join(f"{name} ({', '.join(HEADINGS[name])})" for name in missing)
        # another's file is not read out: what is no table of columns stays unsaid
        a_table = len(heading) > 1 and all(HEADING.fullmatch(cell) for cell in heading)
        shown = f" (found: {', '.join(heading)[:80]})" if a_table else ""
        raise SurveyError(f"{where}: no column is headed {said}{shown}")
    return columns


def _point(
    row: list[str], columns: dict[str, int], where: str, factor: float, count: int
) -> SurveyPoint:
    def cell(name: str) -> str:
        column = columns.get(name, len(row))
        return row[column] if column < len(row) else ""

    def number(name: str) -> float:
        text = cell(name)
        if not NUMBER.fullmatch(text):
            raise SurveyError(f"{where}: the {name} is not a number (found '{text[:40]}')")
        value = float(text)
        most = HIGHEST if name == "level" else FARTHEST
        if not math.isfinite(value) or abs(value * factor) > most:
            raise SurveyError(f"{where}: the {name} is out of range (found '{text[:40]}')")
        return value * factor

    level = number("level") if cell("level") else None
    return SurveyPoint(
        cell("number")[:60] or str(count), number("east"), number("north"), level, cell("code")[:60]
    )


def _two_levels(points: list[SurveyPoint]) -> Iterator[str]:
    """Yield a note on each place that has points at two levels."""
    known: dict[tuple[int, int], SurveyPoint] = {}
    for point in points:
        if point.level is None:
            continue
        place = round(point.x), round(point.y)
        other = known.setdefault(place, point)
        if other.level is not None and abs(other.level - point.level) > 1.0:
            low, high = sorted((other.level / 1000.0, point.level / 1000.0))
            yield (
                f"points {other.number} and {point.number} are in one place at two levels, "
                f"{low:g} and {high:g} m"
            )


def _by_code(points: list[SurveyPoint]) -> dict[str, list[SurveyPoint]]:
    groups: dict[str, list[SurveyPoint]] = {}
    for point in points:
        groups.setdefault(point.code, []).append(point)
    return groups
