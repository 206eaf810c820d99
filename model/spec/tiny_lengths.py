"""Bare numbers that are a hundredth of what is usual: metres written where millimetres are read."""

from __future__ import annotations

from typing import Annotated, Any, get_args, get_origin

from pydantic import BaseModel

from palewright.model.basis.errors import KeyPath, Problem
from palewright.model.basis.lengths import PARSE

from .spec_tables import SpecTables
from .table_names import tables_in

FEW = 100
"""A length that is less than the usual one by this factor is asked for."""

LONG = 200.0
"""A key of a usual length under this, mm, may well be a millimetre or two, but no part of one."""

USUAL: dict[tuple[str, str], float] = {
    ("Run", "points"): 10_000.0,
    ("Run", "existing_height"): 1000.0,
    ("LegSpec", "length"): 5000.0,
    ("LegSpec", "across"): 5000.0,
    ("LegSpec", "arms"): 1000.0,
    ("GateSpec", "at"): 3000.0,
    ("GateSpec", "opening"): 900.0,
    ("GateSpec", "height"): 1000.0,
    ("Gates", "height"): 1000.0,
    ("GateSpec", "hinge_rise"): 100.0,
    ("Gates", "hinge_rise"): 100.0,
    ("Posts", "bay"): 1800.0,
    ("Posts", "embedment"): 600.0,
    ("PostKind", "embedment"): 600.0,
    ("PostKind", "hole"): 300.0,
    ("Rails", "tops"): 250.0,
    ("Panels", "uprights"): 50.0,
    ("RampSpec", "height"): 1000.0,
    ("EndAtRun", "chainage"): 3000.0,
    ("EndAtPier", "size"): 440.0,
    ("EndAtPier", "height"): 1800.0,
    ("Capping", "width"): 100.0,
    ("KickBoard", "clearance"): 30.0,
    ("Rails", "notch"): 38.0,
    ("Rails", "tenon"): 38.0,
    ("Rails", "tenon_length"): 50.0,
    ("Limits", "access"): 850.0,
    ("Soil", "frost"): 450.0,
    ("Timber", "lengths"): 2400.0,
    ("StockSection", "lengths"): 2400.0,
    ("Splay", "points"): 2400.0,
}
"""Usual lengths of keys without a default, mm (common practice, no source)."""

LEVEL, PART = 100.0, 100.0
"""Usual level of ground, mm: one under a millimetre was meant in metres. And bare coordinates and
levels under the other that are no whole millimetres were.
"""

MOST_ASKED = 6
"""Coordinates of a line that are each asked for; of more the largest alone."""


def tiny_lengths(raw: dict[str, Any]) -> list[Problem]:
    """Return bare numbers in the tables of a spec that are metres by all likelihood.

    Examples
    --------
    >>> [p.message for p in tiny_lengths({"run": [{"points": [[0, 0], [9, 0]]}]})]
    ['9 is 9 mm: 9 m? write "9 m", or "9 mm" where that is meant']
    """
    problems: list[Problem] = []
    _look(raw, SpecTables, (), problems)
    return problems


def _look(here: Any, model: type[BaseModel], path: KeyPath, problems: list[Problem]) -> None:
    if isinstance(here, list):
        for place_in, item in enumerate(here):
            _look(item, model, (*path, place_in), problems)
        return
    if not isinstance(here, dict):
        return
    for name, value in here.items():
        field = model.model_fields.get(name)
        if field is None:
            continue
        place = (*path, name)
        usual = USUAL.get((model.__name__, name))
        if name == "points" and usual is not None:
            _line(value, place, usual, problems)
        elif name in ("levels", "levels_front", "levels_back"):
            _levels(value, place, problems)
        elif _is_length(field.annotation, field.metadata):
            default = field.get_default(call_default_factory=True)
            for where, length in _numbers(value, place):
                normal = usual or _usual_of(default, where[len(place) :])
                if normal >= FEW / 10 and _tiny(length, normal):
                    problems.append(_problem(where, length))
        else:
            for inner in tables_in(field.annotation)[:1]:
                _look(value, inner, place, problems)


def _is_length(annotation: Any, metadata: list[Any]) -> bool:
    """Tell whether a field is a length or a list of lengths."""
    if PARSE in metadata:
        return True
    if get_origin(annotation) is Annotated:
        return PARSE in get_args(annotation)[1:]
    return any(_is_length(part, []) for part in get_args(annotation))


def _numbers(value: Any, path: KeyPath) -> list[tuple[KeyPath, float]]:
    if isinstance(value, list):
        return [found for number, item in enumerate(value) for found in
                _numbers(item, (*path, number))]  # fmt: skip
    bare = isinstance(value, int | float) and not isinstance(value, bool)
    return [(path, value)] if bare else []


def _usual_of(default: Any, path: KeyPath) -> float:
    """Return the default of a key, or of one item of it, as what is usual, or 0."""
    if isinstance(default, tuple) and path and isinstance(path[0], int):
        default = default[min(path[0], len(default) - 1)] if default else None
    return float(default) if isinstance(default, int | float) else 0.0


def _tiny(number: float, usual: float) -> bool:
    few = 0.0 < number <= usual / FEW
    return few and (usual >= LONG or number != int(number))


def _part(number: float) -> bool:
    """Tell whether a bare number is small and no whole millimetres."""
    return abs(number) < PART and number != int(number)


def _line(value: Any, path: KeyPath, usual: float, problems: list[Problem]) -> None:
    """Look at the points of a line: tiny when it is from end to end."""
    if not isinstance(value, list):
        return
    flat: list[tuple[KeyPath, float]] = []
    units = False
    for number, point in enumerate(value):
        told: KeyPath = (*path, number)
        if isinstance(point, dict):
            told, point = (*told, "at"), point.get("at")
        if not isinstance(point, list):
            return
        for item, coordinate in enumerate(point[:2]):
            if isinstance(coordinate, str):
                units = True
            elif isinstance(coordinate, int | float) and not isinstance(coordinate, bool):
                flat.append(((*told, item), coordinate))
        problems += [
            _problem(where, level)
            for where, level in _numbers(point, told)
            if where == (*told, 2) and _part(level)
        ]
    steps = zip(flat, flat[2:], strict=False)  # east to east, north to north
    extent = max((abs(number - other) for (_, number), (_, other) in steps), default=0.0)
    if units:  # beside lengths with units a few bare millimetres are metres
        wrong = [found for found in flat if 0.0 < abs(found[1]) <= usual / FEW]
    elif _tiny(extent, usual):
        wrong = [found for found in flat if found[1] != 0.0]
    else:
        wrong = []
    if len(wrong) > MOST_ASKED:
        wrong = [max(wrong, key=lambda found: abs(found[1]))]
    problems += [_problem(*found) for found in wrong]


def _levels(value: Any, path: KeyPath, problems: list[Problem]) -> None:
    """Look at [chainage, level] of ground."""
    for number, pair in enumerate(value if isinstance(value, list) else []):
        if isinstance(pair, list) and len(pair) == 2:
            for where, level in _numbers(pair[1], (*path, number, 1)):
                if _tiny(abs(level), LEVEL) or _part(level):
                    problems.append(_problem(where, level))


def _problem(path: KeyPath, number: float) -> Problem:
    said = f"{number:.10g}"
    return Problem(
        path, f'{said} is {said} mm: {said} m? write "{said} m", or "{said} mm" where that is meant'
    )
