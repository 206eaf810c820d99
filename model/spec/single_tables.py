"""Single tables in the place of lists of tables: [run] is one [[run]]."""

from __future__ import annotations

from typing import Any

from palewright.model.basis.errors import KeyPath

from .table_names import lists_of_tables


def listed_tables(
    raw: dict[str, Any], lines: dict[KeyPath, int]
) -> tuple[dict[str, Any], dict[KeyPath, int]]:
    """Return tables where each that may stand more than once is in a list, and lines of its keys.

    raw : as TOML gives them; lines : of their keys. Both are left as they are.

    Examples
    --------
    >>> listed_tables({"run": {"gate": {"at": 3}}}, {("run", "gate", "at"): 3})
    ({'run': [{'gate': [{'at': 3}]}]}, {('run', 0, 'gate', 0, 'at'): 3})
    """
    for names in sorted(lists_of_tables(), key=len):
        raw, moved = _listed(raw, names, ())
        for place in moved:
            lines = {
                (*place, 0, *path[len(place) :])
                if path[: len(place)] == place and len(path) > len(place)
                else path: line
                for path, line in lines.items()
            }
    return raw, lines


def _listed(here: Any, names: tuple[str, ...], path: KeyPath) -> tuple[Any, list[KeyPath]]:
    """Put the table that `names` lead to into a list, and say where that was done."""
    if isinstance(here, list):
        moved: list[KeyPath] = []
        items = []
        for number, item in enumerate(here):
            done, places = _listed(item, names, (*path, number))
            items.append(done)
            moved += places
        return items, moved
    if not isinstance(here, dict) or names[0] not in here:
        return here, []
    inner = here[names[0]]
    place = (*path, names[0])
    if len(names) > 1:
        done, moved = _listed(inner, names[1:], place)
        return {**here, names[0]: done}, moved
    if isinstance(inner, dict):
        return {**here, names[0]: [inner]}, [place]
    return here, []
