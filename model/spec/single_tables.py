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
    moved: set[KeyPath] = set()
    for names in sorted(lists_of_tables(), key=len):
        raw, places = _listed(raw, names, ())
        moved.update(places)
    return raw, {_moved(path, moved): line for path, line in lines.items()} if moved else lines


def _moved(path: KeyPath, moved: set[KeyPath]) -> KeyPath:
    """Return a key's path with 0 for the only item behind each table that was put into a list.

    moved : where those stand, with the lists above them as they are now.
    """
    now: KeyPath = ()
    for number, key in enumerate(path, 1):
        now = (*now, key)
        if now in moved and number < len(path):
            now = (*now, 0)
    return now


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
