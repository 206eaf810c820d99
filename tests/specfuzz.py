"""Random specs: the examples with keys changed, dropped, added and taken from the schema."""

from __future__ import annotations

import copy
import math
import random
import tomllib
from collections.abc import Iterator
from typing import Any

from helpers import EXAMPLES
from palewright.model.spec.schema import spec_schema

Path = tuple[str | int, ...]

ODD: tuple[Any, ...] = (
    0, 1, -1, 2, 3, 10, 50, 75, 99.5, 100, 150, 300, 900, 1800, 3600, 9000, 25_000, 1e6, 1e9, 1e12,
    -1e9, 1e-9, 1e308, math.inf, -math.inf, math.nan, True, False, "", "x", "1.8 m", "450 mm",
    "4 in", "5 ft 6 in", "-3 m", "1e9 km", "nan", "level", "rake", "step", "board", "pales",
    "arris", "face", "pair", "wall", "mitre", "dip", "wave", "curve", "bay", "round", "ogee",
    "left", "=1+1", "😀" * 50, "a" * 500, "../../etc/passwd", "</script>", [], [0, 0],
    [[0, 0], [1, 1]], [100, 100], [75, 38], [1e9, 1e9], {}, {"shape": "round"},
    {"shape": "free", "points": [[0, 0], [45, 90], [90, 0]]}, {"x": 1},
)  # fmt: skip
"""Values that keys are set to."""


def seeds() -> list[dict[str, Any]]:
    """Return the examples that need no file beside them, and small specs."""
    found = [tomllib.loads(path.read_text("utf-8")) for path in EXAMPLES]
    small = {"run": [{"points": [[0, 0], [6000, 0]]}]}
    cornered = {"run": [{"points": [[0, 0, 0], [6000, 0, 400], [6000, 5000, 900]],
                         "gate": [{"at": 2500}]}]}  # fmt: skip
    return [*(spec for spec in found if "survey" not in spec), small, cornered]


def known_keys() -> list[Path]:
    """Return every table and key of the schema, runs and gates as their first."""
    schema = spec_schema()
    found: list[Path] = []

    def walk(node: dict[str, Any], path: Path, depth: int) -> None:
        if "$ref" in node:
            node = schema["$defs"][node["$ref"].rsplit("/", 1)[1]]
        for option in node.get("anyOf", []):
            walk(option, path, depth)
        if node.get("type") == "array" and isinstance(node.get("items"), dict):
            walk(node["items"], (*path, 0), depth)
        if depth < 4:
            for name, inner in node.get("properties", {}).items():
                found.append((*path, name))
                walk(inner, (*path, name), depth + 1)

    walk(schema, (), 0)
    return sorted(set(found), key=str)


def mutated(rng: random.Random, bases: list[dict[str, Any]], keys: list[Path]) -> dict[str, Any]:
    """Return one of the bases with one to four changes."""
    spec = copy.deepcopy(rng.choice(bases))
    for _ in range(rng.randint(1, 4)):
        here = list(_places(spec)) or [("run",)]
        way = rng.random()
        if way < 0.35:
            put(spec, rng.choice(here), rng.choice(ODD))
        elif way < 0.6:
            put(spec, rng.choice(keys), rng.choice(ODD))
        elif way < 0.8:
            place = rng.choice(here)
            value = _get(spec, place)
            if isinstance(value, (int, float)) and not isinstance(value, bool):
                put(spec, place, value * rng.choice((0.1, 0.5, 0.9, 1.1, 2.0, 10.0, -1.0)))
        elif way < 0.9:
            place = rng.choice(here)
            owner = _get(spec, place[:-1])
            if isinstance(owner, dict):
                owner.pop(place[-1], None)
        else:
            put(spec, (*rng.choice(here)[:-1], f"key {rng.randint(0, 9)}"), rng.choice(ODD))
    return spec


def _places(node: Any, path: Path = ()) -> Iterator[Path]:
    if isinstance(node, dict):
        for key, value in node.items():
            yield (*path, key)
            yield from _places(value, (*path, key))
    elif isinstance(node, list):
        for number, value in enumerate(node[:6]):
            yield (*path, number)
            yield from _places(value, (*path, number))


def _get(node: Any, path: Path) -> Any:
    for key in path:
        try:
            node = node[key]
        except (KeyError, IndexError, TypeError):
            return None
    return node


def put(node: Any, path: Path, value: Any) -> None:
    """Set a value, making tables and lists on the way where nothing is there."""
    for key, after in zip(path, (*path[1:], None), strict=True):
        last = after is None
        made = copy.deepcopy(value) if last else ([] if isinstance(after, int) else {})
        if isinstance(node, dict) and isinstance(key, str):
            if last:
                node[key] = made
                return
            node = node.setdefault(key, made)
        elif isinstance(node, list) and isinstance(key, int):
            if key < len(node) and last:
                node[key] = made
                return
            if key >= len(node):
                node.append(made)
                if last:
                    return
            node = node[min(key, len(node) - 1)]
        else:
            return


def toml(value: Any) -> str:
    """Return a spec as TOML: top-level keys with inline tables and lists."""
    return "".join(f"{_text(key)} = {_value(inner)}\n" for key, inner in value.items())


def _value(value: Any) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, float):
        return str(value) if math.isfinite(value) else str(value).replace("-nan", "nan")
    if isinstance(value, int):
        return str(value)
    if isinstance(value, dict):
        return "{" + ", ".join(f"{_text(k)} = {_value(v)}" for k, v in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(_value(item) for item in value) + "]"
    return _text(str(value))


def _text(text: str) -> str:
    escaped = "".join(
        f"\\u{ord(c):04x}" if ord(c) < 32 or ord(c) == 127 else "\\" + c if c in '"\\' else c
        for c in text
    )
    return f'"{escaped}"'
