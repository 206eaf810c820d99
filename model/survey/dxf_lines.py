"""Lines and points of a DXF drawing: every line entity, blocks resolved, in millimetres."""

from __future__ import annotations

import io
import itertools
import logging
import math
import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from typing import Any

from palewright.model.geometry.frames import Point
from palewright.model.site.path import Node

from .dxf_damage import Damage
from .dxf_entities import MOST_NODES, TOUCH, EntityReader
from .dxf_parts import lean
from .grids import US_SURVEY_FOOT, Grid, grid_of, name_of
from .points_and_lines import Asked, Survey, SurveyError, SurveyLine, SurveyPoint

UNITS = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4, "ft": 304.8,
         "us-ft": US_SURVEY_FOOT}  # fmt: skip
"""Millimetres in each unit that a spec may name."""

HEADER_UNITS = {
    1: 25.4, 2: 304.8, 3: 1609344.0, 4: 1.0, 5: 10.0, 6: 1000.0, 7: 1e6, 10: 914.4, 14: 100.0,
    21: 1200e3 / 3937.0,
}  # fmt: skip
"""Millimetres in the units that $INSUNITS may name (DXF reference); 21 is the US survey foot."""

MOST_COPIES, DEEPEST = 6_000, 12
"""Most entities out of blocks, and blocks within blocks."""

LINES = frozenset(("LINE", "ARC", "CIRCLE", "LWPOLYLINE", "POLYLINE", "SPLINE", "ELLIPSE"))
"""Kinds of entities that a line is taken from."""

CROWD = 16
"""Where more lines than this end together none is joined."""


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
    with _quiet():
        return _read(data, file, asked)


@contextmanager
def _quiet() -> Iterator[None]:
    """Keep what the library logs from the terminal: all that matters is told in notes."""
    log, handler = logging.getLogger("ezdxf"), logging.NullHandler()
    spread, log.propagate = log.propagate, False
    log.addHandler(handler)
    try:
        yield
    finally:
        log.removeHandler(handler)
        log.propagate = spread


def _read(data: bytes, file: str, asked: Asked) -> Survey:
    damage = Damage()
    missing: list[str] = []
    document = _document(data, file, damage, missing)
    grid = grid_of(asked.crs, file)
    if grid is not None and grid.degrees:
        raise SurveyError(f"{file}: a drawing in degrees, as {grid.name} has them, has no lengths")
    there = sum(1 for layout in document.layouts for _ in layout)
    notes = damage.notes(there + len(missing))
    factor = _factor(document, asked, grid, file, notes)
    reader = EntityReader(factor, asked.tolerance, file)
    points: list[SurveyPoint] = []
    lines: list[SurveyLine] = []
    unread: list[str] = []
    total = short = 0
    try:
        for name, entity in _entities(document.modelspace(), file, missing):
            try:
                if entity.dxftype() == "POINT":
                    points.append(reader.point(entity, name))
                    continue
                line = reader.line(entity, name)
            except (ValueError, ZeroDivisionError, ArithmeticError, AttributeError) as error:
                unread.append(f"{entity.dxftype()} {name}: {_words(error)}")
                continue
            short += line is None and entity.dxftype() in LINES
            if line is not None:
                total += len(line.nodes) + len(line.spots)
                lines.append(line)
            if total > MOST_NODES:
                raise SurveyError(f"{file}: its lines have more than {MOST_NODES} points")
    except SurveyError:
        raise
    except Exception as error:  # blocks with missing or mad values, whatever the library says
        raise SurveyError(f"{file}: an entity cannot be read: {_words(error)}") from None
    if short:
        notes.append(f"left out as no line (less than two points, or a mesh): {short}")
    if unread:
        notes.append(f"{len(unread)} entities cannot be read and are left out: {_some(unread)}")
    if missing:
        notes.append(f"{len(missing)} uses of blocks that are not in the file are left out: "
                     f"{_some(missing)}")  # fmt: skip
    return Survey(file, "DXF", tuple(points), _joined(lines), name_of(grid), tuple(notes))


def _factor(document: Any, asked: Asked, grid: Grid | None, file: str, notes: list[str]) -> float:
    """Return the mm in the unit of a drawing; notes : takes up what to know of it."""
    unit = asked.units
    header = int(document.header.get("$INSUNITS", 0))
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
    return factor


def _some(told: list[str]) -> str:
    return "; ".join(told[:3]) + ("; and more" if len(told) > 3 else "")


def _document(data: bytes, file: str, damage: Damage, missing: list[str]) -> Any:
    """Return the drawing. missing : takes up uses of blocks that are not there."""
    from ezdxf import recover
    from ezdxf.audit import AuditError

    data = lean(data, file, damage)
    try:
        document, audited = recover.read(io.BytesIO(data))
    except Exception as error:  # the library's own, and what broken tags make of it
        raise SurveyError(
            f"{file}: is not a DXF drawing that can be read: {_words(error)}"
        ) from None
    missing += [
        " ".join(re.findall(r"#[0-9A-F]+|\"[^\"]{0,40}\"", entry.message)) or "unnamed"
        for entry in audited.fixes
        if entry.code == AuditError.UNDEFINED_BLOCK
    ]
    return document


def _words(error: Exception) -> str:
    text = " ".join(str(error).split())
    return (text or type(error).__name__)[:120]


def _entities(layout: Any, file: str, missing: list[str]) -> Iterator[tuple[str, Any]]:
    """Yield each entity with a name of its own, those in blocks at the places of their uses.

    missing : takes up uses of blocks that are not there.
    """
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
        if block is None:
            missing.append(name)
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
