"""Every way of building that a spec can choose, read from its schema, and small fences of them.

A choice is a key with one of its words. It is built into one small fence, beside a garden gate, a
corner, a fall and a wall, so that what is asked of one is asked of all: a new word in the schema
is a new row, with nothing written here unless it needs other keys beside it.
"""

from __future__ import annotations

import copy
import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from palewright.model.spec.schema import spec_schema

Data = dict[str, Any]

GATE = "run.gate"
"""Keys of one gate: those that the table of all gates has are asked there."""

PLACES = frozenset(
    {
        f"run.{key}"
        for key in ("name", "line_is", "front", "beside", "guards", "keeps_in", "closed", "points")
    }
)
"""Keys of a run that say where it is and what it is for, not how it is built."""

BESIDE: dict[str, Data] = {
    "posts.finial": {"posts": {"top": "flat"}},
    "slopes.fill": {"slopes": {"follow": "step"}},
    "top_line.curve": {"top_line": {"shape": "dip"}},
    "top_line.over": {"top_line": {"shape": "dip"}},
    "top_line.heads": {"top_line": {"shape": "dip"}},
    "gates.top_line.curve": {"gates": {"top_line": {"shape": "dip"}}},
    "gates.top_line.over": {
        "run": {"gate": {"leaves": 2}},
        "gates": {"top_line": {"shape": "dip"}},
    },
    "gates.top_line.shape": {"gates": {"top_line": {"shape": "dip"}}},
    "gates.braces=0": {"gates": {"frame": "framed"}},
    "pales.turns_from": {"pales": {"turns": [{"width": 60.0}, {}, {}]}},
    "pales.turns.head": {"pales": {"turns": [{}, {"width": 70.0}]}},
    "pales.on=both": {"pales": {"overlap": 15}},
    "capping": {"pales": {"head": "square"}},
    "capping.falls": {"capping": {"over": "pales"}},
    "posts.material=concrete": {"posts": {"gate": {"material": "timber"}}},
    "run.gate.slide.to": {"run": {"gate": {"slide": {"on": "track"}}}},
    "posts.foot": {
        "posts": {"corner": {"foot": "hole"}, "gate": {"foot": "hole"}},
        "rails": {"tops": [320.0, 850.0]},
    },
    **{
        f"posts.foot.{key}": {"posts": {"foot": {"shape": "shoe"}}}
        for key in ("cheeks", "bolt", "anchor")
    },
    "rails.tenons_meet": {"rails": {"form": "mortised"}},
    "panels": {"panels": {"made": True}},
    "run.starts=pier": {"run": {"starts": {"at": "pier", "size": [440.0, 440.0]}}},
    "run.ends=pier": {"run": {"ends": {"at": "pier", "size": [440.0, 440.0]}}},
    "run.starts=hedge": {"run": {"starts": {"at": "hedge"}}},
    "run.ends=hedge": {"run": {"ends": {"at": "hedge"}}},
    "run.ramp.at": {"run": {"ramp": [{"at": "start", "height": 800.0}]}},
    "run.ramp.at=end": {"run": {"ends": "post"}},
    "rails.set_in": {"rails": {"form": "between"}},
    "run.starts=run": {
        "run": {"starts": {"run": "Back"}},
        "others": [{"name": "Back", "front": "left", "points": [[0, -2100, 0], [0, 2100, 0]]}],
    },
    "run.ends=run": {
        "run": {"ends": {"run": "Side"}},
        "others": [
            {"name": "Side", "front": "left", "points": [[2300, 2400, -250], [6500, 2400, -250]]}
        ],
    },
    "run.part.follow": {"run": {"part": [{"start": 4400, "end": 6800}]}},
    "run.part.fill": {"run": {"part": [{"start": 4400, "end": 6800, "follow": "step"}]}},
    "run.fixed.kept": {"run": {"fixed": [{"at": 5600}]}},
    "run.gap.between": {"run": {"gap": [{"start": 5200, "end": 6000}]}},
}
"""What a key, or a key with one of its words, stands beside; others : more runs."""

WITHOUT: dict[str, tuple[str, ...]] = {
    "capping.over=posts": ("fall",),
    "rails.form=mortised": ("wall",),
    "rails.tenons_meet": ("wall",),
    "run.ramp.at": ("wall",),
}
"""What of the small fence a choice cannot stand beside: "gate", "corner", "fall" or "wall"."""

TABLE = "{}"
"""The word for a table that may be left out, given without its keys."""

MOST = 3
"""Higher numbers are more of the same."""

FREE = {"shape": "free", "points": [[0, 0], [50, 60], [100, 0]]}
"""A head as wide as pales are when nothing is said."""


@dataclass(frozen=True)
class Choice:
    """A key of the spec with one of its words, as "posts.top" and "pyramid"."""

    key: str
    word: str | int | bool

    @property
    def name(self) -> str:
        """The key and the word as they stand in a spec."""
        return f"{self.key}={self.word}".lower() if self.word is True else f"{self.key}={self.word}"


def choices() -> tuple[Choice, ...]:
    """Return all choices of how to build, in the order of the schema."""
    schema = spec_schema()
    run = schema["$defs"]["Run"]["properties"]
    tables = [*(key for key in run if key in schema["properties"]), "joinery"]
    found = {choice: None for table in tables for choice in _of(schema, table)}
    shared = {choice.key.removeprefix("gates.") for choice in found}
    for choice in _walk(schema, {"$ref": "#/$defs/Run"}, "run"):
        top = choice.key.split(".")[1]
        if top in tables or ".".join(choice.key.split(".")[:2]) in PLACES:
            continue
        if choice.key.startswith(GATE + ".") and choice.key.removeprefix(GATE + ".") in shared:
            continue
        found[choice] = None
    return tuple(choice for choice in found if ".post." not in choice.key)


def _of(schema: Data, table: str) -> Iterator[Choice]:
    """Yield the choices in a table of the spec, but for those of single kinds of posts."""
    for choice in _walk(schema, schema["properties"][table], table):
        if not choice.key.startswith(("posts.end.", "posts.corner.", "posts.gate.")):
            yield choice


def _walk(schema: Data, node: Data, key: str, within: tuple[str, ...] = ()) -> Iterator[Choice]:
    if "$ref" in node:
        name = node["$ref"].rsplit("/", 1)[1]
        if name not in within:
            yield from _walk(schema, schema["$defs"][name], key, (*within, name))
        return
    for group in ("anyOf", "oneOf", "allOf"):
        for inner in node.get(group, ()):
            yield from _walk(schema, inner, key, within)
    if "const" in node:  # of a table that is told by it, which may be given by that word alone
        yield Choice(key.removesuffix(".shape").removesuffix(".at"), node["const"])
    words = [True] if node.get("type") == "boolean" else node.get("enum", ())
    words = [word for word in words if isinstance(word, str | bool) or word <= MOST]
    yield from (Choice(key, word) for word in words)
    if "items" in node:
        yield from _walk(schema, node["items"], key, within)
    for name, inner in node.get("properties", {}).items():
        ways = inner.get("anyOf", ())
        if {"type": "null"} in ways and any(_empty_does(schema, way) for way in ways):
            yield Choice(f"{key}.{name}", TABLE)
        yield from _walk(schema, inner, f"{key}.{name}", within)


def _empty_does(schema: Data, way: Data) -> bool:
    """Return whether a table may be given without a key."""
    told = schema["$defs"].get(way.get("$ref", "").rsplit("/", 1)[-1], {})
    return "properties" in told and not told.get("required")


def spec_for(choice: Choice | None) -> Data:
    """Return a small fence with a choice made, as parsed TOML; None for the fence without one."""
    left_out = () if choice is None else WITHOUT.get(choice.name, WITHOUT.get(choice.key, ()))
    end: list[float] = [4.4, 2.4, 0.0 if "fall" in left_out else -0.25]
    points = [[0.0, 0.0, 0.0], [4.4, 0.0, 0.0], end]
    if "corner" in left_out:
        points = [[0.0, 0.0, 0.0], [4.4, 0.0, 0.0], [6.8, 0.0, end[2]]]
    run: Data = {"points": [[1000.0 * value for value in point] for point in points]}
    if "gate" not in left_out:
        run["gate"] = [{"at": 2200.0, "opening": 1000.0}]
    if "wall" not in left_out:
        run["ends"] = "wall"
    spec: Data = {
        "run": [run],
        "posts": {"bay": 1700.0},
        "corners": {},
        "sheets": {"leave_out": ["isometric", "assembly", "key"]},
    }
    return spec if choice is None else with_choice(spec, choice)


def with_choice(spec: Data, choice: Choice) -> Data:
    """Make a choice in a spec, with what stands beside it, and return the spec."""
    parts = choice.key.split(".")
    groups = [".".join(parts[:n]) for n in range(1, len(parts) + 1)]
    for key in (*groups, choice.name):
        _laid_over(spec, BESIDE.get(key, {}))
    word: Any = {"free": FREE, TABLE: {}}.get(str(choice.word), choice.word)
    _set(spec, choice.key.split("."), word)
    spec["run"].extend(spec.pop("others", []))
    return spec


def _laid_over(below: Data, above: Data) -> None:
    """Put the keys of a spec over those of another, table by table."""
    for key, value in above.items():
        there = below.get(key)
        there = there[0] if isinstance(there, list) and isinstance(value, dict) else there
        if isinstance(value, dict) and isinstance(there, dict):
            _laid_over(there, value)
        else:
            below[key] = copy.deepcopy(value)


def _set(spec: Data, keys: list[str], word: Any) -> None:
    """Set a key of a spec; of rows, that of the first."""
    table: Any = spec
    for key in keys[:-1]:
        table = table.setdefault(key, {})
        table = table[0] if isinstance(table, list) else table
    last = table.get(keys[-1])
    if isinstance(last, list):
        last[0] = word
    elif isinstance(last, dict) and isinstance(word, str):
        last["at" if keys[0] == "run" and keys[1] in ("starts", "ends") else "shape"] = word
    else:
        table[keys[-1]] = word


def closed_volume(triangles: Any) -> float:
    """Return the volume within triangles, (n, 3, 3) float, by the divergence theorem."""
    return (
        math.fsum(
            a[0] * (b[1] * c[2] - b[2] * c[1])
            - a[1] * (b[0] * c[2] - b[2] * c[0])
            + a[2] * (b[0] * c[1] - b[1] * c[0])
            for a, b, c in triangles
        )
        / 6.0
    )
