"""Raw TOML made into a spec, and every mistake in it told with its place."""

from __future__ import annotations

import copy
import difflib
import json
import re
from collections.abc import Sequence
from importlib.metadata import version
from typing import Any, get_args

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from palewright.model.basis.errors import KeyPath, Problem
from palewright.model.basis.length_words import UNITS
from palewright.model.basis.toml_lines import MISSING, value_at

from .spec_tables import RUN_TABLES, SpecTables
from .table_names import heading_text, keys_by_table, lists_of_tables, tables_in


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
            here = value_at(here, (key,))
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
        value = problem.value if problem.value is not None else _shown(value_at(raw, path))
        done.setdefault((path, problem.message), Problem(path, problem.message, value, line))
    return tuple(sorted(done.values(), key=lambda item: (item.line or 0, item.path.__repr__())))


def _shown(value: Any) -> str | None:
    if value is MISSING or _as_table(value):
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
    "union_tag_invalid": "allowed{shapes}: {expected_tags}",
    "union_tag_not_found": "needs a {discriminator}",
    "greater_than": "must be more than {gt:g}",
    "less_than": "must be less than {lt:g}",
    "int_type": "must be a whole number",
    "int_parsing": "must be a whole number",
    "int_from_float": "must be a whole number",
    "float_type": "must be a number",
    "float_parsing": "must be a number",
    "string_type": "must be words in quotes",
    "dict_type": "must be a table of keys",
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
        allowed = sorted(model.model_fields)
        key = str(path[-1])
        near = _nearest(key, allowed)
        alike = difflib.SequenceMatcher(None, near[0], key).ratio() if near else 0.0
        table = _as_table(detail["input"])
        usual = MEANT_KEYS.get((table_of_key(path)[:1], key), "")
        place = "" if alike > ALIKE and not table else _belongs(key, table=table)
        words = " or ".join(f"'{word}'" for word in near)
        hint = f"{place}; " if place else f"did you mean {words}? " if near else ""
        if usual in model.model_fields:
            hint = f"here that is '{usual}'; "
        if not hint:  # of an older or a newer version, or of nothing
            hint = f"palewright {version('palewright')} has none of this name; "
        message = f"unknown key; {hint}allowed here: {', '.join(allowed)}"
        return Problem(path, message, value=_shown(detail["input"]))
    if detail["type"].startswith("model_") and isinstance(detail["input"], list):
        name = ".".join(key for key in path if isinstance(key, str))
        return Problem(path, f"there is one of this table; write [{name}]")
    own = WORDS.get(detail["type"])
    said = detail.get("ctx", {})
    shapes = " shapes" if "shape" in str(said.get("discriminator")) else ""
    words = (own or "").format(**said, shapes=shapes)
    told = _near_word(detail)
    if told:
        return Problem(path, f"{told}{words}")
    if own is None:
        return Problem(path, detail["msg"][:1].lower() + detail["msg"][1:])
    return Problem(path, words)


TAGS = ("shape", "at")
"""Keys by whose word a table is one kind or another."""

MEANT_KEYS: dict[tuple[KeyPath, str], str] = {
    (("pales",), "height"): "length",
    (("pales",), "spacing"): "gap",
    (("pales",), "space"): "gap",
    (("pales",), "size"): "width",
    (("pales",), "shape"): "head",
    (("pales",), "top"): "head",
    (("posts",), "height"): "above_rail",
    (("posts",), "spacing"): "bay",
    (("posts",), "distance"): "bay",
    (("posts",), "size"): "section",
    (("posts",), "depth"): "embedment",
    (("rails",), "size"): "section",
    (("rails",), "heights"): "tops",
    (("rails",), "height"): "tops",
    (("rails",), "number"): "count",
    (("run",), "height"): "level",
    (("run",), "length"): "points",
    (("run",), "width"): "opening",
    (("run",), "position"): "at",
    (("footings",), "width"): "size",
    (("footings",), "diameter"): "size",
    (("footings",), "shape"): "hole",
}
"""What a key is called where it stands, by the words that others use for it."""

ALIKE = 0.85
"""From this likeness on a key is a misspelt one of its table, and not one of another table."""

MOST_PLACES = 3
"""Tables that are named as the right one for a key; a key of more is in no place of its own."""


def _nearest(word: str, allowed: Sequence[str]) -> list[str]:
    """Return the words most like another, all that are alike as much."""
    near = difflib.get_close_matches(word.casefold(), allowed, 3)

    def alike(other: str) -> float:
        return difflib.SequenceMatcher(None, other, word.casefold()).ratio()

    return [other for other in near if alike(other) >= alike(near[0]) - 1e-9]


def _near_word(detail: ErrorDetails) -> str:
    """Return which allowed word, or which list, was meant by what stands there; or nothing."""
    value, told = detail["input"], detail.get("ctx", {})
    if detail["type"] in ("literal_error", "union_tag_invalid"):
        allowed = re.findall(r"'([^']+)'", str(told.get("expected", told.get("expected_tags"))))
        word = told.get("tag", value)
        near = _nearest(word, allowed) if isinstance(word, str) else []
        return f"did you mean {' or '.join(repr(one) for one in near)}? " if near else ""
    sizes = re.findall(r"\d+(?:\.\d+)?(?: \d+/\d+)?", value) if isinstance(value, str) else []
    if detail["type"] in ("tuple_type", "list_type") and len(sizes) == 2:
        unit = (re.findall(r"[A-Za-z\"']+$", value) or [""])[0].replace('"', "in")
        quoted = [f'"{size} {unit}"' if unit in UNITS else size for size in sizes]
        return f"write [{', '.join(quoted)}]; "
    return ""


def _as_table(value: Any) -> bool:
    """Tell whether a value is a table or a list of them."""
    return isinstance(value[0] if isinstance(value, list) and value else value, dict)


def _belongs(key: str, *, table: bool) -> str:
    """Return where a key or table stands that was written in a wrong place, or nothing.

    >>> _belongs("gate", table=True)
    'write [[run.gate]], below the [[run]] it is in'
    >>> _belongs("clearance", table=False)
    'it stands in [pales] or [panels] or [kick_board]'
    """
    tables = keys_by_table()
    if table:
        named = [path for path in tables if path[-1:] == (key,)]
        named = [path for path in named if path in lists_of_tables()] or named
        if len(named) != 1:
            return ""
        above = f", below the {_heading(named[0][:-1])} it is in" if len(named[0]) > 1 else ""
        return f"write {_heading(named[0])}{above}"
    places = [table for table, keys in tables.items() if key in keys]
    own = [table for table in places if not (table[:1] == ("run",) and table[1:] in places)]
    own = [table for table in own if not any(table[:n] in own for n in range(1, len(table)))]
    if not 0 < len(own) <= MOST_PLACES:
        return ""
    return "it stands in " + " or ".join(
        _heading(table) if table else "no table, at the top" for table in own
    )


def _heading(table: tuple[str, ...]) -> str:
    return heading_text(table, many=table in lists_of_tables())


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
        inner = value_at(here, (key,))
        if inner is MISSING:
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


def _table_of(model: type[BaseModel], key: str) -> type[BaseModel] | None:
    field = model.model_fields.get(key)
    tables = tables_in(field.annotation) if field else []
    return tables[0] if len(tables) == 1 else None


def _tagged(
    model: type[BaseModel], path: list[str | int], tag: str | int
) -> type[BaseModel] | None:
    """Return the member of a tagged union at the end of `path` that `tag` names."""
    field = model.model_fields.get(str(path[-1])) if path else None
    for member in tables_in(field.annotation) if field else []:
        for key in TAGS:
            tagged = member.model_fields.get(key)
            if tagged is not None and tag in get_args(tagged.annotation):
                return member
    return None
