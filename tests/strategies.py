"""Random fences: lines of any shape that is allowed, with gates where there is room."""

from __future__ import annotations

import math
from typing import Any

from hypothesis import strategies as st

TURNS = st.one_of(st.sampled_from([-150, -120, -90, -60, -45, 0, 20, 45, 60, 90, 120, 150]),
                  st.floats(-150, 150))  # fmt: skip


CUT = st.sampled_from([False] * 7 + [True])
"""Whether joints are cut; seldom, as it takes long."""


@st.composite
def turns(draw: st.DrawFn) -> dict[str, Any]:
    """Kinds of pales by turns, or none; a row without a key takes what holds for all pales."""
    rows = [{"width": draw(st.floats(50, 110))} for _ in range(draw(st.integers(1, 3)))]
    if len(rows) == 1:
        return {}
    rows[0]["length"] = draw(st.floats(800, 1300))
    begin = draw(st.sampled_from(["ends", "middle", "left", "right"]))
    return {"turns": [*rows, {}], "turns_from": begin}


@st.composite
def laid(draw: st.DrawFn, pales: dict[str, Any], form: str) -> dict[str, Any]:
    """Pales as they are, or on other faces of the rails: without the keys that then do nothing.
    form : of the rails, "arris" and "between" for those whose backs take no pales.
    """
    ways = ["front", "front", "board on board"]
    on = draw(st.sampled_from(ways if form in ("arris", "between") else [*ways, "back", "both"]))
    useless = {
        "front": (),
        "back": ("ends", "spaced"),
        "both": ("ends", "spaced", "gap"),
        "board on board": ("ends", "gap"),
    }[on]
    return {key: value for key, value in pales.items() if key not in useless} | {"on": on}


@st.composite
def capped(draw: st.DrawFn, spec: dict[str, Any]) -> dict[str, Any]:
    """A spec as it is, or with a capping rail, and what that asks for."""
    over = draw(st.sampled_from(["none", "none", "none", "pales", "posts"]))
    if over == "none":
        return spec
    pales = {**spec["pales"], "head": "square"}
    if "turns" in pales:
        pales["turns"] = [
            {key: value for key, value in row.items() if key == "width"} for row in pales["turns"]
        ]
    over = "posts" if pales["on"] == "both" else over
    posts, slopes = dict(spec["posts"]), dict(spec.get("slopes", {}))
    run = {**spec["run"][0]}
    if over == "posts":
        posts = {key: value for key, value in posts.items() if key not in ("top", "finial")}
        slopes["follow"] = "level"
        run["gate"] = [
            {key: value for key, value in gate.items() if key != "height"}
            for gate in run.get("gate", [])
        ]
    elif (
        slopes.get("follow") == "step"
        and pales["on"] != "back"
        and spec["rails"].get("set_in") != "centred"
    ):
        pales["spaced"] = "bay"
    capping = {
        "over": over,
        "falls": draw(st.sampled_from(["both", "front", "back", "none"])),
        "groove": draw(st.sampled_from([0, 5])),
        "stock_length": draw(st.sampled_from([2700, 3600, 4800])),
    }
    made = {
        **spec,
        "run": [run, *([] if over == "posts" else spec["run"][1:])],
        "pales": pales,
        "posts": posts,
        "capping": capping,
    }
    if slopes:
        made["slopes"] = slopes
    return {key: value for key, value in made.items() if key != "top_line"}


@st.composite
def kicked(draw: st.DrawFn, spec: dict[str, Any]) -> dict[str, Any]:
    """A spec of a fence on level ground as it is, or with kick boards."""
    if not draw(st.sampled_from([True, False, False])):
        return spec
    return {**spec, "kick_board": {"stands": draw(st.sampled_from(["face", "between"]))}}


@st.composite
def rails_of(draw: st.DrawFn, form: str, post: float) -> dict[str, Any]:
    """The section of rails of a form, and where they stand. post : depth of the posts, mm."""
    section = [84, 42] if form == "arris" else draw(st.sampled_from([[75, 38], [95, 45]]))
    made: dict[str, Any] = {"section": section}
    if form == "between":
        made["set_in"] = draw(st.sampled_from(["flush", "centred"] if post >= 100 else ["flush"]))
    if form == "notched":
        made["section"], made["notch"] = [75, 38], draw(st.sampled_from([37.0, 25.0]))
    if form == "mortised":
        if post < 100 or draw(st.booleans()):
            made["tenon"] = draw(st.sampled_from([[50, 22], [75, 22]]))
        made["tenons_meet"] = draw(st.sampled_from(["butt", "lap", "scarf"]))
    return made


@st.composite
def gate_ways(draw: st.DrawFn) -> dict[str, Any]:
    """How a gate differs from others, if it does."""
    if draw(st.booleans()):
        return {}
    made: dict[str, Any] = {
        "height": draw(st.one_of(st.none(), st.floats(1000, 1900))),
        "head": draw(st.sampled_from([None, "square", "round", "pointed"])),
        "top_line": {
            "shape": draw(st.sampled_from(["straight", "dip", "arch"])),
            "rise": draw(st.floats(20, 120)),
            "over": draw(st.sampled_from(["gate", "leaf"])),
            "curve": draw(st.sampled_from(["circle", "catenary"])),
        },
        "ledges": draw(st.sampled_from([None, 2, 3])),
        "frame": draw(st.sampled_from(["ledged", "framed"])),
        "braces": draw(st.sampled_from([1, 2])),
        "post": draw(st.sampled_from([None, {"section": [150, 140]}, {"embedment": 850}])),
        "latch": draw(st.sampled_from([None, "ring", "thumb", "bolt", "lock"])),
        "stop": draw(st.sampled_from([None, "ground"])),
        "closing": draw(st.sampled_from([None, "spring", "hinges"])),
        "opens": draw(st.sampled_from([None, 60, 90, 180])),
        "bracing": draw(st.sampled_from(["compression", "compression", "tension"])),
    }
    return {key: value for key, value in made.items() if value is not None}


@st.composite
def panelled(draw: st.DrawFn, spec: dict[str, Any]) -> dict[str, Any]:
    """A spec with its bays made as panels, where they can be and it is drawn so."""
    rails, pales, corners = spec["rails"], spec["pales"], spec.get("corners", {})
    if (
        rails["form"] in ("arris", "notched")
        or rails.get("corners") == "butt"
        or pales["on"] in ("back", "both")
        or corners.get("posts") == "pair"
        or corners.get("pales") == "mitre"
        or "capping" in spec
        or "foot" in spec["posts"]
        or len(spec["run"]) > 1
        or "kick_board" in spec
        or draw(st.integers(0, 2))
    ):
        return spec
    straight = len(spec["run"][0]["points"]) == 2 and rails["form"] == "face"
    hung = draw(st.sampled_from(["between posts", *(["on posts"] if straight else [])]))
    made: dict[str, Any] = {"made": True, "hung": hung, "clearance": draw(st.floats(6, 12))}
    if hung == "between posts" and draw(st.booleans()):
        made["uprights"] = draw(st.floats(35, 75))
    kept = {key: value for key, value in pales.items() if key != "spaced"}
    return spec | {"panels": made, "pales": kept}


@st.composite
def feet(draw: st.DrawFn, form: str, on: str) -> dict[str, Any]:
    """How posts stand where pales and rails leave room for their steel; corners and gates in holes,
    which [footings] is for.
    """
    foot = draw(st.sampled_from(["hole", "hole", "shoe"]))
    if foot == "hole" or form != "face" or on in ("back", "both"):
        return {}
    return {"foot": foot, "corner": {"foot": "hole"}, "gate": {"foot": "hole"}}


@st.composite
def guests(draw: st.DrawFn, run: dict[str, Any], length: float) -> list[dict[str, Any]]:
    """No run, or one that ends at a post of a run's first leg, given in any way."""
    if length < 6000 or not draw(st.sampled_from([True, False, False])):
        return []
    (x0, y0), (x1, y1) = run["points"][:2]
    along = (x1 - x0) / length, (y1 - y0) / length
    side = 1.0 if run["front"] == "right" else -1.0
    at = length * draw(st.sampled_from([0.15, 0.2, 0.85]))
    lean, far = (
        math.radians(draw(st.sampled_from([0.0, 0.0, 4.0, -9.0]))),
        draw(st.floats(2e3, 5e3)),
    )
    across = (
        -side * along[1] * math.cos(lean) + along[0] * math.sin(lean),
        side * along[0] * math.cos(lean) + along[1] * math.sin(lean),
    )
    foot = x0 + at * along[0], y0 + at * along[1]
    points = [[foot[0] + far * across[0], foot[1] + far * across[1]], list(foot)]
    guest = {"points": points, "front": draw(st.sampled_from(["left", "right"]))}
    guest["ends"] = {"at": "run", "run": "A"}
    if draw(st.booleans()):
        guest["points"], guest["starts"] = points[::-1], guest.pop("ends")
    return [guest]


@st.composite
def slid_aside(draw: st.DrawFn, gate: dict[str, Any], free: float) -> dict[str, Any]:
    """A gate as it is, or one that slides where the line has room for it: without the keys that a
    leaf on hinges has. free : from the opening to either end of its part of the line, mm.
    """
    long = 1.8 * gate["opening"] + 900.0 < free
    if not long or draw(st.booleans()):
        return gate
    hung = ("hinge", "swing", "bracing", "stop", "opens", "closing", "latch", "leaves")
    slide: dict[str, Any] = {
        "on": draw(st.sampled_from(["track", "cantilever"])),
        "to": draw(st.sampled_from(["left", "right"])),
        "clear": draw(st.floats(30, 80)),
    }
    kept = {key: value for key, value in gate.items() if key not in hung}
    return {**kept, "height": max(kept.get("height", 0.0), 1900.0), "slide": slide}


@st.composite
def specs(draw: st.DrawFn) -> dict[str, Any]:
    """A spec of one run as parsed TOML. The line may cross itself: the test leaves that out."""
    x, y, heading = draw(st.floats(-1e5, 1e5)), draw(st.floats(-1e5, 1e5)), draw(st.floats(0, 360))
    points = [[x, y]]
    lengths = draw(st.lists(st.floats(2500, 14000), min_size=1, max_size=5))
    for number, length in enumerate(lengths):
        if number:
            heading += draw(TURNS)
        x += length * math.cos(math.radians(heading))
        y += length * math.sin(math.radians(heading))
        points.append([x, y])
    run: dict[str, Any] = {"points": points, "front": draw(st.sampled_from(["left", "right"]))}
    before, gates = 0.0, []
    for length in lengths:
        opening = draw(st.floats(700, 3000))
        if length > opening + 1500 and draw(st.booleans()):
            gate = {
                "at": before + length * draw(st.floats(0.47, 0.53)),
                "opening": opening,
                "leaves": 1 if opening < 1200 else 2,
                "hinge": draw(st.sampled_from(["left", "right"])),
                "swing": draw(st.sampled_from(["in", "out"])),
                **draw(gate_ways()),
            }
            gates.append(draw(slid_aside(gate, 0.47 * length - opening / 2.0)))
        before += length
    run["gate"] = gates
    guest = draw(guests(run, lengths[0]))
    forms = ["face", "arris", "between", "notched"]
    form = draw(st.sampled_from(forms if guest else [*forms, "mortised"]))
    corners = draw(st.sampled_from(["mitre"] if form == "mortised" else ["mitre", "butt"]))
    pales = {
        "width": draw(st.floats(50, 120)),
        "gap": draw(st.floats(20, 90)),
        "length": draw(st.floats(700, 1700)),
        "ends": draw(st.sampled_from(["pale", "gap", "half-gap"])),
        "head": draw(st.sampled_from(["square", "pointed", "round", "pointed-arch", "ogee"])),
        **draw(turns()),
    }
    pales = draw(laid(pales, form if corners == "mitre" else "arris"))
    post = draw(st.sampled_from([75, 100, 125]))
    tops = ["flat", "weathered", "pyramid", "chamfered", "round"]
    top = draw(st.sampled_from(tops if form == "arris" else [*tops, "metal-cap"]))
    bevel = draw(st.sampled_from([0.0, 0.0, 10.0]))
    finial = draw(st.sampled_from(["none", "ball", "acorn"])) if top == "flat" else "none"
    made = {
        "run": [run, *(guest if pales["on"] in ("front", "board on board") else [])],
        "posts": {
            **(draw(feet(form, pales["on"])) if len(lengths) == 1 and not gates else {}),
            "section": [post, post],
            "bay": draw(st.floats(1200, 2600)),
            "layout": draw(st.sampled_from(["equal", "standard"])),
            "top": top,
            "bevel": {"size": bevel},
            "finial": finial if finial == "none" else {"shape": finial, "diameter": 75.0},
        },
        "rails": {
            "form": form,
            **draw(rails_of(form, post)),
            "corners": corners,
            "stock_length": draw(st.sampled_from([2700, 3600, 4800])),
        },
        "pales": pales,
        "footings": {"size": 320, "hole": draw(st.sampled_from(["round", "square"]))},
        "joinery": {"cut": draw(CUT)},
    }
    return draw(panelled(draw(kicked(draw(capped(made))))))


@st.composite
def sloping_specs(draw: st.DrawFn) -> dict[str, Any]:
    """A spec of one run on random ground no steeper than 1 in 3, followed in any way."""
    x, y, heading = 0.0, 0.0, draw(st.floats(0, 360))
    level = draw(st.floats(-3000, 3000))
    lengths = draw(st.lists(st.floats(2600, 9000), min_size=1, max_size=4))
    points: list[Any] = [[x, y, level]]
    levels: list[list[float]] = []
    before = 0.0
    for number, length in enumerate(lengths):
        if number:
            heading += draw(TURNS)
        x += length * math.cos(math.radians(heading))
        y += length * math.sin(math.radians(heading))
        cuts = sorted(draw(st.lists(st.floats(0.1, 0.9), max_size=3, unique=True)))
        at = 0.0
        for cut in [*cuts, 1.0]:
            if cut < 1.0 and cut * length - at < 300.0:
                continue
            level += (cut * length - at) * draw(st.floats(-1 / 3, 1 / 3))
            at = cut * length
            if cut < 1.0:
                levels.append([before + at, level])
        points.append([x, y, level])
        before += length
    pier = {"at": "pier", "size": [440, 330]}
    ends = [("post", "post"), ("wall", "post"), ("post", "wall"), (pier, "hedge"), ("hedge", pier)]
    walls = draw(st.sampled_from(ends))
    shape = draw(st.sampled_from(["straight", "straight", "dip", "arch", "wave"]))
    forms = ["face", "arris", "between", "notched"]
    form = draw(st.sampled_from([*forms, "mortised"] if "wall" not in walls else forms))
    pales = {
        "width": draw(st.floats(50, 110)),
        "gap": draw(st.floats(30, 80)),
        "length": draw(st.floats(800, 1300)),
        "spaced": draw(st.sampled_from(["stretch", "bay"])),
        "clearance": draw(st.floats(35, 80)),
        "head": draw(st.sampled_from(["square", "pointed", "round"])),
        **draw(turns()),
    }
    pales = draw(laid(pales, form))
    between = pales["on"] in ("back", "both")
    meet, posts = (["meet"], ["one"]) if between else (["meet", "mitre"], ["one", "pair"])
    made = {
        "run": [
            {
                "points": points,
                "levels": levels,
                "front": draw(st.sampled_from(["left", "right"])),
                "starts": walls[0],
                "ends": walls[1],
            }
        ],
        "slopes": {
            "follow": draw(st.sampled_from(["rake", "step", "level"])),
            "fill": draw(st.sampled_from(["none", "pales", "board"])),
            "group": draw(st.sampled_from([0, 10, 40])),
        },
        "top_line": {
            "shape": shape,
            "rise": draw(st.floats(20, 120)),
            "curve": draw(st.sampled_from(["circle", "catenary"])),
            "over": draw(st.sampled_from(["bay", "stretch"])),
            "heads": draw(st.sampled_from(["pale", "curve"])),
        },
        "corners": {
            "posts": draw(st.sampled_from(posts)),
            "pales": draw(st.sampled_from(meet)),
        },
        "posts": {"bay": draw(st.floats(1200, 2400)), "section": [100, 100]},
        "joinery": {"cut": draw(CUT)},
        "rails": {
            "form": form,
            **draw(rails_of(form, 100.0)),
            "stock_length": draw(st.sampled_from([3600, 4800])),
        },
        "pales": pales,
        "footings": {"size": 320, "hole": draw(st.sampled_from(["round", "square"]))},
    }
    return draw(panelled(draw(capped(made))))
