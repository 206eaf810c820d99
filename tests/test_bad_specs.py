"""Specs that a fencer would send back, each with the check that sends it back, and one that passes.

The list: thirty mistakes of fences as guides and standards name them. What a spec of this program
cannot even say (a brace the wrong way round, a hole too wide for its bolt) is checked on what is
built.
"""

from __future__ import annotations

import math
from copy import deepcopy
from typing import Any

import pytest

from helpers import EXAMPLES, example_fence, fence_of
from palewright.model.basis.errors import SpecError
from palewright.model.basis.findings import Severity
from palewright.model.checks.building_checks import check
from palewright.model.geometry.shapes import Bar, Bolt
from palewright.model.order.fixings import strap_size
from palewright.model.parts.hardware import HOLES
from palewright.model.parts.members import BOLT, BRACE, BRACKET, FOOTING, LEDGE, POST, STRAP
from palewright.reading import job_of

SOUND: dict[str, Any] = {
    "run": [{"points": [[0, 0], [9000, 0]], "gate": [{"at": 4500, "opening": 900}]}],
    "posts": {"section": [100, 100], "embedment": 600, "bay": 1800},
    "pales": {"width": 90, "gap": 60, "length": 900, "head": "square", "thickness": 20},
    "rails": {"tops": [225, 840], "section": [75, 38], "stock_length": 6000},
    "footings": {"size": 300},
    "timber": {"lengths": [1800, 2400, 3000, 3600, 4800, 6000]},
    "wind": {"velocity": 14, "terrain": "IV"},
    "soil": {"kind": "bedrock"},
}


def changed(**changes: Any) -> dict[str, Any]:
    """Return the sound spec with other values, as pales__gap=120."""
    data = deepcopy(SOUND)
    for key, value in changes.items():
        table, name = key.split("__")
        at = {"run": data["run"][0], "gate": data["run"][0]["gate"][0]}.get(table)
        (data.setdefault(table, {}) if at is None else at)[name] = value
    return data


def codes(**changes: Any) -> dict[str, Severity]:
    return {f.code: f.severity for f in check(fence_of(changed(**changes)))}


def test_the_sound_one_is_sound() -> None:
    assert codes() == {}


THREE = {"rails__tops": [225, 700, 1160], "posts__embedment": 700}
HIGH = {**THREE, "pales__length": 1250}

BAD = [
    # posts and holes
    ("post under 75", "POST-THIN", {"posts__section": [70, 70]}, {"posts__section": [75, 75]}),
    ("hole hardly wider than its post", "HOLE-NARROW", {"footings__size": 270},
     {"footings__size": 275}),
    ("shallower than 450", "POST-SHALLOW", {"posts__embedment": 449}, {"posts__embedment": 450}),
    ("in clay shallower than one and a half holes", "WIND-CLAY",
     {"soil__cohesion": 15, "soil__kind": "clay", "posts__embedment": 450, "footings__size": 320},
     {"soil__cohesion": 60, "soil__kind": "clay", "posts__embedment": 1000}),
    ("a quarter of the post not in the ground", "POST-SHALLOW",
     {**HIGH, "rails__tops": [225, 800, 1400], "pales__length": 1500, "posts__embedment": 450},
     {**HIGH, "rails__tops": [225, 800, 1400], "pales__length": 1500, "posts__embedment": 500}),
    ("wind in miles an hour", "WIND-FAST", {"wind__velocity": 56}, {"wind__velocity": 35}),
    # bays, rails
    ("bay over 3 m", "BAY-LONG",
     {"run__points": [[0, 0], [10000, 0]], "gate__at": 3000, "posts__bay": 3300},
     {"posts__bay": 2400}),
    ("one rail", "RAILS-FEW", {"rails__tops": [700]}, {}),
    ("two rails over 1.2 m", "RAILS-FEW", {**HIGH, "rails__tops": [225, 1160]}, HIGH),
    ("rail thin for its bay", "RAIL-THIN", {"rails__section": [75, 30]},
     {"rails__section": [75, 32]}),
    ("rails from a length that is not sold", "RAIL-STOCK", {"rails__stock_length": 5900}, {}),
    # pales
    ("pale thin between its rails", "PALE-THIN", {"pales__thickness": 13},
     {"pales__thickness": 14}),
    ("top rail far under the heads", "PALE-HIGH-HEAD", {"rails__tops": [225, 649]},
     {"rails__tops": [225, 650]}),
    ("pale in the soil", "PALE-IN-GROUND", {"pales__clearance": -1}, {}),
    ("gap that holds a child's head", "GAP-PLAY",
     {"run__guards": ["children"], "pales__gap": 90, "pales__width": 120},
     {"run__guards": ["children"], "pales__gap": 60, "pales__width": 120}),
    ("gap wider than a pale where it keeps a dog", "GAP-GUARD",
     {"run__keeps_in": ["dog"], "pales__gap": 110}, {"run__keeps_in": ["dog"]}),
    ("a pool without rules", "GUARD-NO-RULES", {"run__guards": ["pool"]},
     {"run__guards": ["pool"], "rules__sets": ["pools-us"]}),
    # bolts, nails
    ("pale under seven diameters of its nail", "NAIL-SPLITS", {"pales__thickness": 17},
     {"pales__thickness": 18}),
    ("nail through the rail", "NAIL-THROUGH",
     {"pales__thickness": 8, "rails__section": [75, 32]}, {"pales__thickness": 20}),
    ("point under six diameters", "NAIL-SHALLOW",
     {"pales__thickness": 30, "rails__section": [75, 20]}, {}),
    ("nail under ten diameters from the end", "NAIL-NEAR-END",
     {"rails__tops": [110, 840], "pales__clearance": 50}, {"rails__tops": [116, 840]}),
    ("bolt too near to a rail's end", "BOLT-NEAR-END", {"rails__stock_length": 3600},
     {"rails__stock_length": 3600, "posts__section": [150, 150], "footings__size": 350}),
    ("bolt over a seventh of the rail", "BOLT-THICK", {"rails__bolt": "M12"},
     {"rails__bolt": "M12", "rails__section": [85, 38], "rails__tops": [235, 840],
      "footings__size": 300}),
    # gates
    ("brace under 35 degrees", "BRACE-ANGLE", {"gate__opening": 1400}, {"gate__opening": 1200}),
    ("hinges nearer than half the leaf's width", "HINGES-NEAR",
     {"gate__opening": 2000, "rails__tops": [225, 840]}, {"gate__opening": 1200}),
    ("leaf as wide as its opening", "LEAF-NARROW",
     {"gate__opening": 111}, {"gate__opening": 900}),
    ("out over the road", "LEAF-OVER-ROAD", {"gate__swing": "out", "run__beside": "road"},
     {"gate__swing": "in", "run__beside": "road"}),
    ("higher than the limit", "HEIGHT-PLANNING",
     {"run__beside": "road", "rules__sets": ["planning-england"], "pales__length": 960},
     {"run__beside": "road", "rules__sets": ["planning-england"], "pales__length": 950}),
]  # fmt: skip


@pytest.mark.parametrize(("what", "code", "fails", "passes"), BAD, ids=[bad[0] for bad in BAD])
def test_bad_specs_are_caught(
    what: str, code: str, fails: dict[str, Any], passes: dict[str, Any]
) -> None:
    assert code in codes(**fails), what
    assert code not in codes(**passes), what


@pytest.mark.parametrize(
    ("what", "changes", "message"),
    [
        ("negative gap", {"pales__gap": -5}, "pales.gap"),
        ("hole not wider than its post", {"footings__size": 100}, "does not take a post"),
        ("timber heavier than water and lead", {"timber__density": 1101}, "timber.density"),
        ("timber lighter than balsa", {"timber__density": 299}, "timber.density"),
    ],
)
def test_specs_that_cannot_be(what: str, changes: dict[str, Any], message: str) -> None:
    from pathlib import Path

    with pytest.raises(SpecError, match=message):
        job_of(changed(**changes), {}, "spec", Path())


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_what_no_spec_can_get_wrong(path: Any) -> None:
    """Posts as long as height and depth; holes for bolts at most a millimetre wider, washers three
    diameters wide; straps a third of the leaf; braces that rise from the hinges.
    """
    fence = example_fence(path)
    members = fence.members
    posts = {m.station: m.shape.size[2] for m in members if m.kind == POST}
    for layout in fence.layouts:
        for post in layout.posts:
            if post.footing is not None:
                assert posts[post.label] >= post.top + post.plan.embedment - 1e-6
    for member in members:
        if member.kind == BOLT:
            assert isinstance(member.shape, Bolt)
            assert HOLES[f"M{member.shape.diameter:.0f}"] <= member.shape.diameter + 1.0
            assert member.shape.washer_diameter >= 3.0 * member.shape.diameter
    leaves = {(m.run, m.leaf) for m in members if m.leaf is not None}
    for run, number in leaves:
        leaf = [m for m in members if (m.run, m.leaf) == (run, number)]
        width = max(m.shape.size[2] for m in leaf if m.kind == LEDGE)
        for strap in (m for m in leaf if m.kind == STRAP):
            assert strap_size(strap) >= width / 3.0 - 1e-6
        straps = [m.frame.point((strap_size(m) / 2.0, 0.0, 0.0)) for m in leaf if m.kind == STRAP]
        for brace in (m for m in leaf if m.kind == BRACE):
            assert isinstance(brace.shape, Bar)
            ends = [brace.frame.point((x, 0.0, 0.0)) for x in (0.0, brace.shape.length)]
            low, high = sorted(ends, key=lambda point: point[2])
            assert math.dist(low[:2], straps[0][:2]) < math.dist(high[:2], straps[0][:2])
    assert {m.kind for m in members} >= {POST, FOOTING}


STEPPED = {
    "run__points": [[0, 0, 0], [6000, 0, 900], [6000, 5000, 1800]],
    "slopes__follow": "step",
    "corners__posts": "pair",
}


def brackets(**changes: Any) -> int:
    fence = fence_of(changed(**changes))
    return sum(1 for m in fence.members if m.kind == BRACKET and m.role == "rail to rail")


def test_rails_that_do_not_meet_have_no_bracket_in_the_air() -> None:
    """At a stepped corner of two posts the rails end at two heights; raked or level they meet."""
    away = {"gate__at": 3000}
    assert brackets(**STEPPED, **away) == 0
    assert brackets(**{**STEPPED, "slopes__follow": "rake"}, **away) == 2


def test_rails_that_stand_out_far_with_free_ends_are_told() -> None:
    far = {**STEPPED, "gate__at": 3000, "corners__setback": 450}
    assert codes(**far).get("RAIL-END-FREE") is Severity.WARN
    assert "RAIL-END-FREE" not in codes(**{**far, "corners__setback": 350})
    assert "RAIL-END-FREE" not in codes(**{**far, "slopes__follow": "rake"})
