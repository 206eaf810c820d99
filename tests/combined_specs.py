"""Random specs that combine the features of a fence: all that can be written, mostly well.

Where `specfuzz` breaks good specs, these are meant to be built: lines with corners and arcs, on
slopes, surveyed or not, with gates, top lines, pairs of corner posts, walls, wind and prices.
"""

from __future__ import annotations

import math
import random
from pathlib import Path
from typing import Any

HEADS: tuple[Any, ...] = (
    "square", "pointed", "round", "pointed-arch", "ogee",
    {"shape": "clipped", "across": 20, "down": 25}, {"shape": "pointed", "rise": 60},
    {"shape": "segmental", "rise": 15},
)  # fmt: skip

TOPS: tuple[Any, ...] = (
    "flat", "weathered", "pyramid", "cap", {"shape": "cap", "overhang": 10, "thickness": 25},
    {"shape": "weathered", "fall": 40},
)  # fmt: skip

PRICES = """item,unit,price
currency,,GBP
tax,%,20
timber 100 x 100 use class 4,m,7.40
timber 75 x 38 use class 3,m,2.10
"timber 75 x 38 use class 3, 3.6 m",each,5.40
timber 100 x 20 use class 3,m,1.35
"""


NEEDED = ("velocity", "form", "section", "tops", "count", "width")
"""Keys that are not left out: a table needs them, or others go with them."""


def combined(rng: random.Random, folder: Path | None = None) -> dict[str, Any]:
    """Return a spec as parsed TOML. folder : where its survey and price file are written; none
    without it.
    """
    spec: dict[str, Any] = {"run": [_run(rng, number) for number in range(_few(rng, 3))]}
    _maybe(rng, 0.9, spec, "posts", lambda: _posts(rng))
    _maybe(rng, 0.8, spec, "rails", lambda: _rails(rng))
    _maybe(rng, 0.8, spec, "pales", lambda: _pales(rng))
    _maybe(rng, 0.4, spec, "gates", lambda: _gates(rng))
    _maybe(rng, 0.7, spec, "slopes", lambda: _slopes(rng))
    _maybe(rng, 0.4, spec, "top_line", lambda: _top_line(rng))
    _maybe(rng, 0.5, spec, "corners", lambda: _corners(rng))
    _maybe(rng, 0.3, spec, "walls", lambda: _walls(rng))
    _maybe(rng, 0.6, spec, "footings", lambda: _footings(rng))
    _maybe(rng, 0.3, spec, "finishes", lambda: _finishes(rng))
    _maybe(rng, 0.3, spec, "wind", lambda: _wind(rng))
    _maybe(rng, 0.3, spec, "soil", lambda: _soil(rng))
    _maybe(rng, 0.4, spec, "sheets", lambda: _sheets(rng))
    _maybe(rng, 0.3, spec, "concrete", lambda: _concrete(rng))
    _maybe(rng, 0.3, spec, "timber", lambda: _timber(rng))
    if rng.random() < 0.15:
        spec["splay"] = [{"points": [[0, 0], [2400, 0], [0, 2400]]}]
    if rng.random() < 0.2:
        spec["extra"] = [{"item": "skip", "quantity": "ceil(spoil / 6)", "hours": 1.0}]
    if folder is not None and rng.random() < 0.3:
        (folder / "prices.csv").write_text(PRICES, "utf-8")
        spec["prices"] = {"file": "prices.csv"}
    if folder is not None and rng.random() < 0.15:
        _on_a_survey(rng, spec, folder)
    return spec


def _few(rng: random.Random, most: int) -> int:
    return min(most, 1 + int(rng.expovariate(1.6)))


def _maybe(rng: random.Random, chance: float, spec: dict[str, Any], key: str, made: Any) -> None:
    if rng.random() < chance:
        told = made()
        spec[key] = {n: v for n, v in told.items() if n in NEEDED or rng.random() < 0.75}


def _length(rng: random.Random, low: float, high: float) -> Any:
    """Return a length: whole, broken, or in feet and inches."""
    value = rng.uniform(low, high)
    way = rng.random()
    if way < 0.1:
        inches = round(value / 25.4)
        return f"{inches // 12} ft {inches % 12} in" if inches >= 12 else f"{max(1, inches)} in"
    return round(value) if way < 0.7 else value


def _run(rng: random.Random, number: int) -> dict[str, Any]:
    """Return a run, at most a garden long; the second and third stand mostly apart."""
    x, y = (rng.uniform(-200, 200), number * rng.choice((9000.0, 9000.0, 1500.0)))
    heading = rng.choice((0.0, 0.0, 90.0, rng.uniform(0, 360)))
    level = rng.uniform(-500, 500)
    sloped = rng.random() < 0.6
    steep = rng.choice((0.02, 0.06, 0.12, 0.25))
    points: list[Any] = [_point(rng, x, y, level if sloped else None)]
    legs = rng.choice((1, 1, 2, 2, 3, 4))
    for leg in range(legs):
        if leg:
            heading += rng.choice((90, -90, 45, -45, 30, 60, 120, -120, 8, rng.uniform(-140, 140)))
        length = rng.uniform(900, 7000)
        before = (x, y)
        x += length * math.cos(math.radians(heading))
        y += length * math.sin(math.radians(heading))
        level += rng.uniform(-steep, steep) * length
        point = _point(rng, x, y, level if sloped else None)
        if rng.random() < 0.15:
            bow = rng.uniform(-0.35, 0.35) * length
            middle = ((before[0] + x) / 2, (before[1] + y) / 2)
            turn = math.radians(heading + 90)
            point = {"at": [x, y], "through": [middle[0] + bow * math.cos(turn),
                                              middle[1] + bow * math.sin(turn)]}  # fmt: skip
            if sloped:
                point["level"] = level
        points.append(point)
    run = _with_ends_and_gate(rng, {"points": points, "front": rng.choice(("left", "right"))})
    if sloped and rng.random() < 0.3:
        run["levels"] = [[900.0 * n, rng.uniform(-120, 120)] for n in range(1, 4)]
    for name, made in (("pales", _pales), ("posts", _posts)):
        if rng.random() < 0.15:
            run[name] = made(rng)
    return run


def _with_ends_and_gate(rng: random.Random, run: dict[str, Any]) -> dict[str, Any]:
    if len(run["points"]) > 3 and rng.random() < 0.3:
        run["closed"] = True
    else:
        for end in ("starts", "ends"):
            if rng.random() < 0.15:
                run[end] = "wall"
    if rng.random() < 0.5:
        run["gate"] = [
            {
                "at": rng.uniform(600, 6000),
                "opening": rng.uniform(700, 3000),
                "leaves": rng.choice((1, 1, 2)),
                "hinge": rng.choice(("left", "right")),
                "swing": rng.choice(("in", "out")),
            }
        ]
    if rng.random() < 0.15:
        run["part"] = [{"start": 0, "end": 2500, "follow": rng.choice(("rake", "step", "level"))}]
    if rng.random() < 0.15:
        run["beside"] = rng.choice(("road", "other", "unknown"))
    if rng.random() < 0.15:
        run["guards"] = [rng.choice(("drop", "children", "pool"))]
    if rng.random() < 0.1:
        run["keeps_in"] = [rng.choice(("dog", "hens"))]
    return run


def _point(rng: random.Random, x: float, y: float, level: float | None) -> list[Any]:
    place = [x, y] if rng.random() < 0.3 else [round(x), round(y)]
    return place if level is None else [*place, round(level)]


def _posts(rng: random.Random) -> dict[str, Any]:
    size = rng.choice((75, 90, 100, 125, 150))
    posts: dict[str, Any] = {
        "section": rng.choice(([size, size], [size, 75])),
        "embedment": _length(rng, 450, 900),
        "above_rail": _length(rng, 0, 200),
        "top": rng.choice(TOPS),
        "layout": rng.choice(("equal", "standard")),
        "bay": _length(rng, 900, 3000),
    }
    if rng.random() < 0.2:
        posts["curve_offset"] = rng.choice((5, 20, 60))
    if rng.random() < 0.3:
        thick = rng.choice((100, 125, 150, 200))
        posts[rng.choice(("end", "corner", "gate"))] = {
            "section": [thick, thick],
            "above_rail": rng.choice((50, 150, 300)),
            "top": rng.choice(TOPS),
        }
    return posts


def _rails(rng: random.Random) -> dict[str, Any]:
    rails: dict[str, Any] = {
        "form": rng.choice(("face", "face", "arris")),
        "count": rng.choice((1, 2, 2, 3)),
        "stock_length": rng.choice((2700, 3000, 3600, 4800)),
        "joints": rng.choice(("fewest", "least timber")),
        "corners": rng.choice(("mitre", "butt")),
        "bolt": rng.choice(("M8", "M10", "M12")),
    }
    rails["section"] = [84, 42] if rails["form"] == "arris" else rng.choice(([75, 38], [95, 45]))
    if rng.random() < 0.3:
        rails["tops"] = {1: [400], 2: [250, 600], 3: [200, 500, 800]}[rails["count"]]
    return rails


def _pales(rng: random.Random) -> dict[str, Any]:
    return {
        "width": _length(rng, 45, 140),
        "thickness": rng.choice((15, 20, 22)),
        "length": _length(rng, 600, 1700),
        "gap": _length(rng, 10, 95),
        "ends": rng.choice(("pale", "gap", "half-gap")),
        "spaced": rng.choice(("stretch", "stretch", "bay")),
        "clearance": _length(rng, 30, 90),
        "head": rng.choice(HEADS),
        "ready_shaped": rng.random() < 0.2,
    }


def _gates(rng: random.Random) -> dict[str, Any]:
    return {
        "ledge": rng.choice(([75, 38], [95, 28])),
        "brace": rng.choice((75, 95)),
        "hinge_clearance": rng.choice((8, 12, 20)),
        "latch_clearance": rng.choice((6, 10, 20)),
        "ground_clearance": _length(rng, 30, 120),
    }


def _slopes(rng: random.Random) -> dict[str, Any]:
    return {
        "follow": rng.choice(("rake", "step", "step", "level")),
        "fill": rng.choice(("none", "pales", "board", "board")),
        "board": rng.choice(([150, 22], [100, 25], [200, 30])),
        "board_clearance": rng.choice((0, 10, 25)),
        "group": rng.choice((0, 15, 60)),
    }


def _top_line(rng: random.Random) -> dict[str, Any]:
    return {
        "shape": rng.choice(("dip", "arch", "wave")),
        "rise": _length(rng, 30, 250),
        "curve": rng.choice(("circle", "catenary")),
        "over": rng.choice(("bay", "stretch")),
        "length": _length(rng, 900, 3000),
        "heads": rng.choice(("pale", "curve")),
    }


def _corners(rng: random.Random) -> dict[str, Any]:
    corners: dict[str, Any] = {
        "posts": rng.choice(("one", "pair")),
        "pales": rng.choice(("meet", "mitre")),
    }
    if rng.random() < 0.4:
        corners["setback"] = _length(rng, 60, 300)
    return corners


def _walls(rng: random.Random) -> dict[str, Any]:
    return {
        "section": rng.choice(([50, 100], [75, 75])),
        "anchor": rng.choice(("M8", "M10", "M12")),
        "spacing": _length(rng, 250, 700),
        "gap": rng.choice((0, 5, 15)),
    }


def _footings(rng: random.Random) -> dict[str, Any]:
    return {
        "hole": rng.choice(("round", "square")),
        "size": rng.choice((250, 300, 350, 450)),
        "bed": rng.choice((0, 50, 100)),
        "weathering": rng.choice((0, 15, 25, 50)),
    }


def _finishes(rng: random.Random) -> dict[str, Any]:
    looks = ("plain", "treated", "white paint", "dark stain", "oiled", "black paint")
    return {name: rng.choice(looks) for name in ("pales", "rails", "posts")}


def _wind(rng: random.Random) -> dict[str, Any]:
    return {
        "velocity": rng.choice((18, 22.5, 28)),
        "terrain": rng.choice(("0", "I", "II", "III", "IV")),
        "shelter": rng.choice((0.3, 0.8, 1.0)),
    }


def _soil(rng: random.Random) -> dict[str, Any]:
    return {
        "kind": rng.choice(("gravel", "sand", "clay")),
        "frost": rng.choice((300, 600, 900)),
        "doubled": rng.random() < 0.5,
    }


def _sheets(rng: random.Random) -> dict[str, Any]:
    return {
        "size": rng.choice(("A4", "A3", "A2", "A1", "ANSI B", "ARCH C")),
        "units": rng.choice(("mm", "ft-in")),
        "dxf": rng.choice(("R2018", "R2010", "R12")),
    }


def _concrete(rng: random.Random) -> dict[str, Any]:
    return {
        "supply": rng.choice(("site mix", "bags", "delivered")),
        "mix": rng.choice(([1, 4], [1, 2, 3], [1, 6])),
    }


def _timber(rng: random.Random) -> dict[str, Any]:
    return {
        "lengths": rng.choice(([1800, 2400, 3000, 3600, 4800], [3600], ["8 ft", "12 ft", "16 ft"])),
        "kerf": rng.choice((0, 3, 5)),
        "trim": rng.choice((0, 10, 25)),
    }


def _on_a_survey(rng: random.Random, spec: dict[str, Any], folder: Path) -> None:
    """Move the points of the first run into a survey of spot levels and a line, in metres."""
    run = spec["run"][0]
    run.pop("levels", None)
    rows = ["number,E,N,Z,code"]
    for number, point in enumerate(run.pop("points")):
        x, y = point["at"] if isinstance(point, dict) else point[:2]
        level = point.get("level", 0) if isinstance(point, dict) else (*point, 0)[2]
        rows.append(f"{number},{x / 1000:.3f},{y / 1000:.3f},{level / 1000:.3f},F1")
        rows.append(f"s{number},{x / 1000 + 0.4:.3f},{y / 1000:.3f},{level / 1000:.3f},GL")
    (folder / "survey.csv").write_text("\n".join(rows) + "\n", "utf-8")
    spec["survey"] = {"file": "survey.csv"}
    run["line"] = "F1"
