"""Each check with a fence that just passes and one that just fails."""

from __future__ import annotations

from copy import deepcopy
from typing import Any

import pytest

from helpers import EXAMPLES, example_fence, fence_of
from palewright.model.basis.findings import PRACTICE, Severity
from palewright.model.checks.building_checks import CAUTIONS, check

BASE: dict[str, Any] = {
    "run": [{"points": [[0, 0], [9000, 0]], "gate": [{"at": 4500, "opening": 900}]}],
    "posts": {},
    "pales": {"width": 90, "gap": 60, "length": 900, "head": "square"},
    "rails": {"tops": [225, 840], "stock_length": 6000},
    "gates": {},
    "limits": {},
    # rails of one piece: none is jointed on a post
    "timber": {"lengths": [1800, 2400, 3000, 3600, 4800, 6000]},
}


def codes(**changes: Any) -> dict[str, Severity]:
    data = deepcopy(BASE)
    for key, value in changes.items():
        table, name = key.split("__")
        if table == "run":
            data["run"][0][name] = value
        elif table == "gate":
            data["run"][0]["gate"][0][name] = value
        else:
            data[table][name] = value
    return {finding.code: finding.severity for finding in check(fence_of(data))}


def test_the_base_is_without_findings() -> None:
    assert codes() == {}


@pytest.mark.parametrize(
    ("code", "severity", "fails", "passes"),
    [
        ("PALE-IN-GROUND", "stop", {"pales__clearance": -1}, {"pales__clearance": 25}),
        ("PALE-NEAR-GROUND", "warn", {"pales__clearance": 24}, {"pales__clearance": 25}),
        ("RAIL-OVER-PALES", "stop", {"rails__tops": [225, 951]}, {"rails__tops": [225, 950]}),
        (
            "RAIL-BEHIND-HEADS",
            "warn",
            {"pales__head": {"shape": "pointed", "rise": 111}},
            {"pales__head": {"shape": "pointed", "rise": 110}},
        ),
        ("RAIL-UNDER-PALES", "stop", {"rails__tops": [124, 700]}, {"rails__tops": [125, 700]}),
        ("HEIGHT-PLANNING", "note", {"pales__length": 951}, {"pales__length": 950}),
        ("POST-SHALLOW", "warn", {"posts__embedment": 449}, {"posts__embedment": 450}),
        ("BAY-LONG", "warn", {"limits__bay": 1300}, {"limits__bay": 1350}),
        ("RAIL-LONG", "stop", {"rails__stock_length": 1300}, {"rails__stock_length": 1400}),
        ("LEAF-WIDE", "warn", {"limits__leaf": 877}, {"limits__leaf": 878}),
        (
            "LEAF-NEAR-GROUND",
            "warn",
            {"limits__ground": 51, "gates__ground_clearance": 50},
            {"limits__ground": 50, "gates__ground_clearance": 50},
        ),
        ("LEAF-BINDS", "warn", {"gates__latch_clearance": 1.8}, {"gates__latch_clearance": 2}),
        ("BRACE-ANGLE", "warn", {"gate__opening": 1310}, {"gate__opening": 1300}),
        ("BRACE-NO-ROOM", "stop", {"rails__tops": [225, 375]}, {"rails__tops": [225, 450]}),
        ("LEAF-NARROW", "stop", {"gate__opening": 111}, {"gate__opening": 350}),
    ],
)
def test_just_failing_and_just_passing(
    code: str, severity: str, fails: dict[str, Any], passes: dict[str, Any]
) -> None:
    assert codes(**fails).get(code) is Severity(severity)
    assert code not in codes(**passes)


def test_a_brace_just_too_flat_is_not_said_to_be_right() -> None:
    """What is measured never reads as what is allowed; the width that was given may stay."""

    def of(opening: float) -> Any:
        gate = {"at": 1800, "opening": opening}
        spec = {"run": [{"points": [[0, 0], [3600, 0]], "gate": [gate]}]}
        return next((f for f in check(fence_of(spec)) if f.code == "BRACE-ANGLE"), None)

    low, high = 500.0, 3000.0  # the narrowest leaf with a brace that is too flat
    while high - low > 0.01:
        middle = (low + high) / 2.0
        low, high = (low, middle) if of(middle) else (middle, high)
    found = of(high)
    assert float(found.measured.split()[0]) < 35.0
    assert "rails.tops" in found.text
    assert "width" not in found.text


def test_two_leaves_are_not_told_to_be_two() -> None:
    for leaves in (1, 2):
        gate = {"at": 3000, "opening": 2000 * leaves, "leaves": leaves}
        spec = {"run": [{"points": [[0, 0], [6000, 0]], "gate": [gate]}], "limits": {"leaf": 1500}}
        wide = [f for f in check(fence_of(spec)) if f.code == "LEAF-WIDE"]
        assert len(wide) == 1
        assert all(("use two leaves" in f.text) is (leaves == 1) for f in wide)


def test_a_stretch_too_short_for_the_gap() -> None:
    def found(largest: float) -> set[str]:
        pales = {"width": 200, "gap": 140, "gap_max": largest, "head": "square"}
        run = {"points": [[0, 0], [450, 0]]}
        return {finding.code for finding in check(fence_of({"run": [run], "pales": pales}))}

    # over the posts' outer edges 550 mm: two pales leave 150 mm, three would overlap
    assert "GAP-WIDE" in found(149.9)
    assert "GAP-WIDE" not in found(150.0)


def test_short_bays_and_holes_that_meet() -> None:
    def found(length: float) -> set[str]:
        run = {"points": [[0, 0], [length, 0]]}
        posts = {"layout": "standard", "bay": 1800}
        return {finding.code for finding in check(fence_of({"run": [run], "posts": posts}))}

    assert "BAY-SHORT" not in found(1800 + 351)
    assert found(1800 + 349) >= {"BAY-SHORT"}
    assert "HOLES-MEET" not in found(1800 + 301)
    assert found(1800 + 299) >= {"HOLES-MEET", "BAY-SHORT"}
    assert found(1800 + 99) >= {"POSTS-OVERLAP"}


def test_no_room_for_a_pale_or_a_rail() -> None:
    sharp = {"points": [[0, 0], [2500, 0], [335, -1250]], "front": "right"}
    posts = {"layout": "standard", "bay": 1200, "section": [75, 75]}
    found = {f.code for f in check(fence_of({"run": [sharp], "posts": posts}))}
    assert "RAIL-NO-ROOM" in found
    short = {"points": [[0, 0], [2000, 0], [2000, -160], [4000, -160]]}
    pales = {"width": 200, "head": "square"}
    found = {f.code for f in check(fence_of({"run": [short], "pales": pales}))}
    assert "PALE-NO-ROOM" in found


def on_slope(fall: float, middle: float | None = None, **tables: Any) -> dict[str, str]:
    """Codes and measured values of 5.4 m in three bays that fall so much, mm."""
    run: dict[str, Any] = {"points": [[0, 0, fall], [5400, 0, 0]], **tables.pop("run", {})}
    if middle is not None:
        run["levels"] = [[2700, middle]]
    pales = {"length": 900, "head": "square", **tables.pop("pales", {})}
    rails = tables.pop("rails", {"tops": [225, 840]})
    fence = fence_of({"run": [run], "rails": rails, "pales": pales, **tables})
    return {finding.code: finding.measured for finding in check(fence)}


@pytest.mark.parametrize(
    ("code", "fails", "passes"),
    [
        ("RAKE-STEEP", {"fall": 1801}, {"fall": 1800}),
        # bays of 1800 mm that drop by a third of the fall, over 50 mm of clearance
        (
            "FOOT-OPEN",
            {"fall": 460, "slopes": {"follow": "step"}},
            {"fall": 435, "slopes": {"follow": "step"}},
        ),
        (
            "PALE-LONG-TAIL",
            {"fall": 440, "slopes": {"follow": "level"}},
            {"fall": 350, "slopes": {"follow": "level"}},
        ),
        # the lowest rail's underside is 150 mm over the base, and the rise in the middle a third
        # of its height over the chord between its posts
        ("RAIL-IN-GROUND", {"fall": 0, "middle": 451}, {"fall": 0, "middle": 449}),
        (
            "PALE-SHORT",
            {"fall": 0, "middle": 455, "pales": {"length": 200, "head": "round", "width": 100},
             "rails": {"tops": [240]}},
            {"fall": 0, "middle": 420, "pales": {"length": 200, "head": "round", "width": 100},
             "rails": {"tops": [240]}},
        ),
        (
            "PALE-IN-CONCRETE",
            {"fall": 0, "footings": {"size": 300, "weathering": 81}},
            {"fall": 0, "footings": {"size": 300, "weathering": 80}},
        ),
        (
            "RAIL-OVER-DIP",
            {"fall": 0, "top_line": {"shape": "dip", "rise": 125, "over": "stretch"}},
            {"fall": 0, "top_line": {"shape": "dip", "rise": 105, "over": "stretch"}},
        ),
    ],
)  # fmt: skip
def test_slopes_just_failing_and_just_passing(
    code: str, fails: dict[str, Any], passes: dict[str, Any]
) -> None:
    assert code in on_slope(**fails)
    assert code not in on_slope(**passes)


def test_leaf_gaps_are_checked_like_the_fences() -> None:
    # 300 mm of leaf take 2 pales with a gap of 100 or 3 that overlap
    found = codes(gate__opening=302, pales__width=100, pales__gap_max=70)
    assert found.get("LEAF-GAP-WIDE") is Severity.STOP


def test_findings_say_where_what_is_allowed_and_how_to_mend() -> None:
    (finding,) = check(fence_of({**BASE, "pales": {**BASE["pales"], "clearance": -5}}))
    line = finding.line()
    assert line.startswith("stop: run A: the pales would stand in the ground")
    assert "raise pales.clearance" in line
    assert "-5 mm, allowed 0 mm or more" in line
    assert finding.source == PRACTICE


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_the_examples_have_no_stops_and_no_warnings(path: Any) -> None:
    found = check(example_fence(path))
    assert not [f for f in found if f.severity is not Severity.NOTE], found


def test_cautions_name_the_dangers() -> None:
    text = " ".join(CAUTIONS)
    for word in ("buried", "cement", "Treated", "Wind", "gate", "boundary"):
        assert word in text
