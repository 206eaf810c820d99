"""Which tables a spec has, by the names of their headings, and which keys stand in them."""

from __future__ import annotations

from functools import cache
from typing import Any, get_args, get_origin

from pydantic import BaseModel

from .spec_tables import SpecTables

TablePath = tuple[str, ...]


@cache
def keys_by_table() -> dict[TablePath, tuple[str, ...]]:
    """Return the keys of each table, by its heading: ("run", "gate") is [[run.gate]].

    >>> "opening" in keys_by_table()["run", "gate"]
    True
    """
    found: dict[TablePath, tuple[str, ...]] = {}

    def walk(model: type[BaseModel], path: TablePath) -> None:
        found[path] = (*found.get(path, ()), *model.model_fields)
        for name, field in model.model_fields.items():
            for inner in tables_in(field.annotation):
                walk(inner, (*path, name))

    walk(SpecTables, ())
    return found


@cache
def lists_of_tables() -> frozenset[TablePath]:
    """Return the headings that stand in double brackets, as [[run.gate]]."""
    found: set[TablePath] = set()

    def walk(model: type[BaseModel], path: TablePath) -> None:
        for name, field in model.model_fields.items():
            if many_tables(field.annotation):
                found.add((*path, name))
            for inner in tables_in(field.annotation):
                walk(inner, (*path, name))

    walk(SpecTables, ())
    return frozenset(found)


def heading_text(table: TablePath, *, many: bool) -> str:
    """Return a table's heading as it is written.

    >>> heading_text(("run", "gate"), many=True)
    '[[run.gate]]'
    """
    name = ".".join(table)
    return f"[[{name}]]" if many else f"[{name}]"


def tables_in(annotation: Any) -> list[type[BaseModel]]:
    """Return the tables that a field may hold."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return [annotation]
    tables: list[type[BaseModel]] = []
    if get_origin(annotation) is not None or get_args(annotation):
        for part in get_args(annotation):
            tables.extend(tables_in(part))
    return tables


def many_tables(annotation: Any) -> bool:
    """Tell whether a field is a list of tables."""
    if get_origin(annotation) is tuple:
        args = get_args(annotation)
        return len(args) == 2 and args[1] is Ellipsis and bool(tables_in(args[0]))
    return any(many_tables(part) for part in get_args(annotation) if not isinstance(part, str))
