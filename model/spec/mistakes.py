"""Raw TOML made into a spec, and every mistake in it told with its place."""

from __future__ import annotations

import copy
import json
from typing import Any, get_args, get_origin

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from palewright.model.basis.errors import KeyPath, Problem

from .spec_tables import RUN_TABLES, SpecTables


def table_of_key(path: KeyPath) -> KeyPath:
    """Return the table a key stands in, the same for a run's own: ("pales",)."""
    if path[:1] == ("run",):
        return path[2:3] if len(path) > 3 and path[2] in RUN_TABLES else path[:3]
    return path[:1]


def without_keys(merged: dict[str, Any], paths: list[KeyPath]) -> SpecTables | None:
    """Return the spec with wrong keys left out, so that mistakes between the others show too."""
    data = copy.deepcopy(merged)
    for path in paths:
        here: Any = data
        for key in path[:-1]:
            here = _look_up(here, (key,))
        if isinstance(here, dict):
            here.pop(path[-1], None)
    try:
        return SpecTables.model_validate(data)
    except ValidationError:
        return None  # something that cannot be left out


def merged_tables(raw: dict[str, Any]) -> dict[str, Any]:
    """Complete each run's own tables with the top-level ones."""
    runs = raw.get("run")
    if not isinstance(runs, list):
        return raw
    merged = []
    for run in runs:
        if isinstance(run, dict):
            own = {
                table: _over(raw.get(table, {}), run[table]) for table in RUN_TABLES if table in run
            }
            run = {**run, **own}
        merged.append(run)
    return {**raw, "run": merged}


def _over(base: Any, own: Any) -> Any:
    if not isinstance(base, dict) or not isinstance(own, dict):
        return own
    result = {**base, **own}
    for key in ("end", "corner", "gate"):
        if key in base and key in own:
            result[key] = _over(base[key], own[key])
    return result


def placed_problems(
    problems: list[Problem], raw: dict[str, Any], lines: dict[KeyPath, int]
) -> tuple[Problem, ...]:
    """Give each problem its line, and say each only once."""
    done: dict[tuple[KeyPath, str], Problem] = {}
    for problem in problems:
        path = problem.path
        if path[:1] == ("run",) and len(path) > 3 and path not in lines and path[2] in RUN_TABLES:
            path = path[2:]  # the run took this from the top-level table
        line = None
        for length in range(len(path), 0, -1):
            if path[:length] in lines:
                line = lines[path[:length]]
                break
        value = problem.value if problem.value is not None else _shown(_look_up(raw, path))
        done.setdefault((path, problem.message), Problem(path, problem.message, value, line))
    return tuple(sorted(done.values(), key=lambda item: (item.line or 0, item.path.__repr__())))


_MISSING = object()


def _look_up(raw: Any, path: KeyPath) -> Any:
    for key in path:
        try:
            raw = raw[key]
        except (KeyError, IndexError, TypeError):
            return _MISSING
    return raw


def _shown(value: Any) -> str | None:
    if value is _MISSING or isinstance(value, dict):
        return None
    text = json.dumps(value, ensure_ascii=False, default=str)
    return text if len(text) <= 60 else text[:57] + "..."


def is_echo(detail: ErrorDetails) -> bool:
    """Tell whether a list counts as too short only for its items that have errors of their own."""
    short = detail["type"] == "too_short"
    return short and len(detail["input"]) >= detail["ctx"]["min_length"]


WORDS = {
    "missing": "this key is required",
    "literal_error": "allowed: {expected}",
    "union_tag_invalid": "allowed shapes: {expected_tags}",
    "union_tag_not_found": "needs a 'shape'",
    "greater_than": "must be more than {gt:g} mm",
    "greater_than_equal": "must be {ge:g} or more",
    "less_than_equal": "must be {le:g} or less",
    "value_error": "{error}",
    "model_type": "must be a table of keys",
    "model_attributes_type": "must be a table of keys",
    "tuple_type": "must be a list in [ ]",
    "list_type": "must be a list in [ ]",
    "too_short": "needs {min_length} or more items",
    "too_long": "has more than {max_length} items",
    "string_too_long": "is longer than {max_length} characters",
    "bool_type": "must be true or false",
    "bool_parsing": "must be true or false",
    "finite_number": "must be a finite number",
}
"""What is wrong in the user's own words, by the type of pydantic's error, which fills them in."""


def problem_of(detail: ErrorDetails, merged: dict[str, Any]) -> Problem:
    """Return what pydantic found as a problem in the user's own words."""
    path, model = _path(detail, merged)
    if detail["type"] == "extra_forbidden":
        import difflib

        allowed = sorted(model.model_fields)
        near = difflib.get_close_matches(str(path[-1]), allowed, 1)
        hint = f"did you mean '{near[0]}'? " if near else ""
        message = f"unknown key; {hint}allowed here: {', '.join(allowed)}"
        return Problem(path, message, value=_shown(detail["input"]))
    own = WORDS.get(detail["type"])
    if own is None:
        return Problem(path, detail["msg"][:1].lower() + detail["msg"][1:])
    return Problem(path, own.format(**detail.get("ctx", {})))


def _path(detail: ErrorDetails, merged: dict[str, Any]) -> tuple[KeyPath, type[BaseModel]]:
    """Return where the error is in the user's own text, and the table it is in.

    pydantic puts the names of union members into the path; those are not in the data.
    """
    path: list[str | int] = []
    here: Any = merged
    model: type[BaseModel] = SpecTables
    location = detail["loc"]
    for number, key in enumerate(location):
        last = number == len(location) - 1
        inner = _look_up(here, (key,))
        if inner is _MISSING:
            chosen = _tagged(model, path, key)
            if chosen is not None and not last:
                model = chosen
                continue
            if not (last and detail["type"] in ("missing",)) and not isinstance(key, int):
                continue
            path.append(key)
            continue
        if isinstance(key, str):
            deeper = _table_of(model, key)
            if deeper is not None and not last:
                model = deeper
        path.append(key)
        here = inner
    return tuple(path), model


def _tables_in(annotation: Any) -> list[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return [annotation]
    tables: list[type[BaseModel]] = []
    if get_origin(annotation) is not None:
        for part in get_args(annotation):
            tables.extend(_tables_in(part))
    return tables


def _table_of(model: type[BaseModel], key: str) -> type[BaseModel] | None:
    field = model.model_fields.get(key)
    tables = _tables_in(field.annotation) if field else []
    return tables[0] if len(tables) == 1 else None


def _tagged(
    model: type[BaseModel], path: list[str | int], tag: str | int
) -> type[BaseModel] | None:
    """Return the member of a tagged union at the end of `path` that `tag` names."""
    field = model.model_fields.get(str(path[-1])) if path else None
    for member in _tables_in(field.annotation) if field else []:
        shape = member.model_fields.get("shape")
        if shape is not None and tag in get_args(shape.annotation):
            return member
    return None
