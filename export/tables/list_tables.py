"""Lists as CSV, and as text for a terminal."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable, Iterable, Sequence

from palewright.model.basis.imperial import imperial_rows
from palewright.model.basis.units import format_length as mm
from palewright.model.fence.fence_model import FenceModel
from palewright.model.lists.takeoff import StationLine, part_lines, station_lines, stretch_lines

Row = Sequence[str | int]

CUBIC = 1e9
"""Cubic millimetres in a cubic metre."""


def in_units(rows: list[Row], *, feet: bool) -> list[Row]:
    """Return a table in the units of a job's papers."""
    return list(imperial_rows(rows)) if feet else rows


def members_table(fence: FenceModel) -> list[Row]:
    """Return the members by mark: counts, finished sizes in mm, volumes in m3."""
    rows: list[Row] = [
        ("mark", "part", "count", "width mm", "thickness mm", "length mm", "volume each m3",
         "volume all m3", "end cuts", "use"),
    ]  # fmt: skip
    for line in part_lines(fence):
        rows.append(
            (
                line.mark,
                line.kind.name,
                line.count,
                mm(line.first),
                mm(line.second),
                mm(line.length),
                f"{line.volume / CUBIC:.6f}",
                f"{line.volume * line.count / CUBIC:.6f}",
                line.note,
                line.uses,
            )
        )
    return in_units(rows, feet=fence.job.feet)


def posts_table(fence: FenceModel) -> list[Row]:
    """Return the setting-out of every post, lengths and coordinates in mm."""
    rows: list[Row] = [
        ("post", "run", "kind", "mark", "chainage mm", "east mm", "north mm", "ground mm", "hole",
         "hole depth mm", "post below ground mm", "post top over ground mm",
         "rail tops over ground mm", "hole bottom level mm", "post top level mm"),
    ]  # fmt: skip
    for line in station_lines(fence):
        rows.append(
            (
                line.label,
                line.run,
                line.plate if line.host else line.kind,
                line.mark,
                mm(line.chainage),
                mm(line.east),
                mm(line.north),
                mm(line.ground),
                line.hole,
                mm(line.hole_depth),
                mm(line.embedment),
                mm(line.top),
                rail_tops_text(line, mm),
                mm(line.hole_bottom),
                mm(line.top_level),
            )
        )
    return in_units(rows, feet=fence.job.feet)


def rail_tops_text(line: StationLine, text: Callable[[float], str]) -> str:
    """Return the rails' tops at a post, of both its sides where they differ: "225 800"."""
    return " / ".join(" ".join(text(top) for top in side) for side in line.rail_tops)


def bays_table(fence: FenceModel) -> list[Row]:
    """Return the stretches between fixed posts: bays, pales and gaps, and how they stand, mm."""
    rows: list[Row] = [
        ("run", "from", "to", "bays", "pales", "gap mm", "follows the ground", "slope",
         "steps at posts mm", "clearance under pales mm", "off the curve mm"),
    ]  # fmt: skip
    for line in stretch_lines(fence):
        bays = " + ".join(f"{count} x {mm(length)}" for count, length in line.bays)
        rows.append(
            (
                line.run,
                line.first,
                line.last,
                bays,
                line.pales,
                f"{line.gap:.2f}",
                line.follow,
                slope_text(line.slopes),
                " ".join(mm(step) for step in line.steps),
                span_text(line.clearances, mm),
                mm(line.offset),
            )
        )
    return in_units(rows, feet=fence.job.feet)


def slope_text(slopes: tuple[float, float]) -> str:
    """Return the flattest and the steepest slope of a stretch in per cent.

    >>> slope_text((0.0, 0.0)), slope_text((0.02, -0.105))
    ('0 %', '2.0 to -10.5 %')
    """
    first, last = (f"{100.0 * slope:.1f}" for slope in slopes)
    if first == last:
        return "0 %" if float(first) == 0.0 else f"{first} %"
    return f"{first} to {last} %"


def span_text(span: tuple[float, float], text: Callable[[float], str]) -> str:
    """Return a smallest and a largest length: "50 to 62", or "50" where they are the same."""
    low, high = (text(value) for value in span)
    return low if low == high else f"{low} to {high}"


TABLES = {
    "members": members_table,
    "posts": posts_table,
    "bays": bays_table,
}
"""The tables of a fence by name; those of its order are in order_tables."""


def csv_bytes(rows: Iterable[Row]) -> bytes:
    """Return rows as CSV (RFC 4180, UTF-8 with a byte order mark for spreadsheets).

    A text cell that a spreadsheet would take for a formula is kept as text by a leading quote.
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    for row in rows:
        writer.writerow([_inert(cell) for cell in row])
    return out.getvalue().encode("utf-8-sig")


def _inert(cell: str | int) -> str | int:
    if isinstance(cell, str) and re.fullmatch(r"-0(\.0*)?", cell):
        return cell[1:]  # nothing has no sign
    if isinstance(cell, str) and cell[:1] in ("=", "+", "-", "@", "\t", "\r"):
        try:
            float(cell)
        except ValueError:
            return "'" + cell
    return cell


def text_table(rows: Sequence[Row]) -> str:
    """Return rows as aligned text, figures to the right."""
    cells = [[str(cell) for cell in row] for row in rows]
    widths = [max(len(row[column]) for row in cells) for column in range(len(cells[0]))]
    lines = []
    for number, row in enumerate(cells):
        parts = []
        for cell, width in zip(row, widths, strict=True):
            figure = number > 0 and cell.replace(".", "").replace("-", "").isdigit()
            parts.append(cell.rjust(width) if figure else cell.ljust(width))
        lines.append("  ".join(parts).rstrip())
        if number == 0:
            lines.append("  ".join("-" * width for width in widths))
    return "\n".join(lines)
