"""Rules as data: each with a fence that just keeps it and one that just breaks it."""

from __future__ import annotations

from copy import deepcopy
from pathlib import Path
from typing import Any

import pytest

from helpers import fence_of
from palewright.model.basis.errors import SpecError
from palewright.model.basis.findings import Finding
from palewright.model.checks.building_checks import check
from palewright.model.checks.measures import MEASURES
from palewright.model.checks.rule_findings import check_measures, report
from palewright.model.order.joints import make_fence
from palewright.model.rules.rule_sets import BUILT_IN, Rule, RuleFileError, built_in, read_rules
from palewright.reading import read_job

BASE: dict[str, Any] = {
    "run": [{"points": [[0, 0], [9000, 0]], "gate": [{"at": 4500, "opening": 900}]}],
    "pales": {"width": 90, "gap": 60, "length": 900, "head": "square"},
    "rails": {"tops": [225, 840]},
}


def findings(**changes: Any) -> dict[str, Finding]:
    data = deepcopy(BASE)
    for key, value in changes.items():
        table, name = key.split("__")
        if table == "run":
            data["run"][0][name] = value
        elif table == "splay":
            data["splay"] = [{"points": [[-1, -500], [2000, -500], [0, 2000]], name: value}]
        else:
            data.setdefault(table, {})[name] = value
    return {finding.code: finding for finding in check(fence_of(data))}


POOL = {"rules__sets": ["pools-us"], "run__guards": ["pool"], "pales__clearance": 50,
        "gates__ground_clearance": 50}  # fmt: skip
FAR = {"rails__tops": [125, 1268]}  # 45 in apart
DROP = {"run__guards": ["drop"]}


def test_of_two_limits_the_one_that_is_broken_further_is_said() -> None:
    """The Order: 1 m beside a road, 2 m anywhere; 2.2 m beside a road breaks both."""
    found = findings(run__beside="road", pales__length=2150)["HEIGHT-PLANNING"]
    assert (found.measured, found.allowed) == ("2200 mm", "1000 mm")
    assert "beside a road" in found.text


@pytest.mark.parametrize(
    ("code", "always", "breaks", "keeps"),
    [
        # heights of the Order: 1 m beside a road, 2 m elsewhere; pales stand 50 over the ground
        ("HEIGHT-PLANNING", {"run__beside": "road"}, {"pales__length": 951},
         {"pales__length": 950}),
        ("HEIGHT-PLANNING", {"run__beside": "unknown"}, {"pales__length": 951},
         {"pales__length": 950}),
        ("HEIGHT-PLANNING", {"run__beside": "other"}, {"pales__length": 1951},
         {"pales__length": 1950}),
        # Approved Document K: a sphere of 100 mm, 1100 mm at a drop
        ("GUARD-FOOT", DROP | {"gates__ground_clearance": 60}, {"pales__clearance": 100},
         {"pales__clearance": 99}),
        ("GUARD-HEIGHT", DROP, {"pales__length": 1049}, {"pales__length": 1050}),
        ("GUARD-CLIMB", {"run__guards": ["children"]}, {"rails__tops": [225, 649]},
         {"rails__tops": [650, 840]}),
        # pools: 48 in high, 2 in over the ground, gaps by the rails' distance
        ("POOL-HEIGHT", POOL, {"pales__length": 1168}, {"pales__length": 1169}),
        ("POOL-FOOT", POOL, {"pales__clearance": 52}, {"pales__clearance": 51}),
        ("POOL-FOOT", POOL, {"gates__ground_clearance": 52}, {"gates__ground_clearance": 51}),
        ("POOL-GAP", POOL | {"pales__length": 1400, "pales__gap": 60},
         {"rails__tops": [125, 1267]}, FAR),
    ],
)  # fmt: skip
def test_each_rule_just_kept_and_just_broken(
    code: str, always: dict[str, Any], breaks: dict[str, Any], keeps: dict[str, Any]
) -> None:
    found = findings(**{**always, **breaks})
    assert code in found
    assert found[code].source
    assert found[code].allowed
    assert code not in findings(**{**always, **keeps})


def gap_of(wanted: float, **changes: Any) -> dict[str, Any]:
    """Return a spec with two whole pales a wanted gap apart in every stretch: no gate."""
    count = 20
    length = count * 90.0 + (count - 1) * wanted - 100.0  # from post edge to post edge
    return {"run__points": [[0, 0], [length, 0]], "run__gate": [], "pales__gap": wanted,
            "pales__gap_max": wanted + 5.0, **changes}  # fmt: skip


@pytest.mark.parametrize(
    ("code", "always", "breaks", "keeps"),
    [
        ("GUARD-GAP", DROP, 100.0, 99.9),  # a sphere of 100 must not pass
        ("POOL-GAP", POOL | {"pales__length": 1400} | FAR, 102.1, 102.0),
        ("POOL-GAP", POOL | {"pales__length": 1400}, 44.1, 44.0),
    ],
)
def test_gaps_just_kept_and_just_broken(
    code: str, always: dict[str, Any], breaks: float, keeps: float
) -> None:
    assert code in findings(**{**always, **gap_of(breaks)})
    assert code not in findings(**{**always, **gap_of(keeps)})


@pytest.mark.parametrize(
    ("code", "always", "breaks", "keeps"),
    [
        # 900 opening less pale 20, ledge 38 and hinge clearance 12
        ("ACCESS-NARROW", {}, {"limits__access": 831}, {"limits__access": 830}),
        ("FOOTING-FROST", {}, {"soil__frost": 651}, {"soil__frost": 650}),
        ("POST-TOP-FLAT", {}, {"posts__top": "flat"}, {"posts__top": "weathered"}),
        ("FIXING-BRIGHT", {}, {"fixings__coating": "bright"}, {"fixings__coating": "stainless"}),
        ("SPLAY-HIGH", {}, {"splay__height": 949}, {"splay__height": 950}),
        (
            "HOLE-AT-WALL",
            {"run__starts": "wall", "run__gate": []},
            {"posts__bay": 290, "limits__ground": 0},
            {"posts__bay": 600, "limits__ground": 0},
        ),
    ],
)
def test_what_the_site_asks_just_kept_and_just_broken(
    code: str, always: dict[str, Any], breaks: dict[str, Any], keeps: dict[str, Any]
) -> None:
    assert code in findings(**{**always, **breaks})
    assert code not in findings(**{**always, **keeps})


def test_what_is_not_guarded_is_not_held_to_guarding() -> None:
    assert not [code for code in findings(pales__length=600) if code.startswith("GUARD")]


def test_a_splay_is_in_site_coordinates() -> None:
    data = deepcopy(BASE)
    data["run"][0]["points"] = [[400_000_000, 90_000_000], [400_009_000, 90_000_000]]
    corners = [[400_000_000 + x, 90_000_000 + y] for x, y in ((-1, -500), (2000, -500), (0, 2000))]
    data["splay"] = [{"points": corners}]
    assert "SPLAY-HIGH" in {f.code for f in check(fence_of(data))}


def test_the_report_names_what_was_and_what_was_not_checked() -> None:
    checked, missed = report(fence_of(BASE))
    assert any("HEIGHT-PLANNING" in line and "2015" in line for line in checked)
    assert any("GUARD-GAP" in line for line in missed)
    assert any("pools-us" in line for line in missed)
    assert any("snow" in line for line in missed)
    data = deepcopy(BASE)
    data["run"][0]["guards"] = ["drop"]
    checked, missed = report(fence_of(data))
    assert any("GUARD-GAP" in line for line in checked)
    assert any("GUARD-CLIMB" in line for line in missed)


@pytest.mark.parametrize("name", BUILT_IN)
def test_our_own_sets_name_source_place_and_date(name: str) -> None:
    rules = built_in(name)
    assert rules.name == name
    assert rules.source
    assert rules.jurisdiction
    assert rules.date
    assert all(rule.measure in MEASURES for rule in rules.rule)
    assert "compliant" not in " ".join(rule.text for rule in rules.rule)


OWN = """
name = "estate"
title = "covenant of the estate"
jurisdiction = "Larkrise estate"
source = "deed of 1987, clause 4"
[[rule]]
code = "ESTATE-HEIGHT"
measure = "height"
most = 900
severity = "stop"
text = "the covenant allows no more; lower the pales"
"""


def test_rules_of_the_users_own(tmp_path: Path) -> None:
    (tmp_path / "estate.toml").write_text(OWN)
    spec = tmp_path / "garden.toml"
    spec.write_text('[[run]]\npoints = [[0, 0], [9000, 0]]\n[rules]\nfiles = ["estate.toml"]\n')
    found = {f.code: f for f in check(make_fence(read_job(spec)))}
    finding = found["ESTATE-HEIGHT"]
    assert finding.severity.value == "stop"
    assert finding.source == "deed of 1987, clause 4"
    assert (finding.measured, finding.allowed) == ("950 mm", "900 mm")


@pytest.mark.parametrize(
    ("change", "message"),
    [
        (('measure = "height"', 'measure = "width"'), "allowed are height, least height"),
        (("most = 900", ""), "one of most, under and least"),
        (("most = 900", "most = 900\nleast = 3"), "one of most, under and least"),
        (('severity = "stop"', 'severity = "fatal"'), "rule.0.severity"),
        (("title", "titel"), "title"),
        (("[[rule]]", "[[rule"), "is not TOML"),
    ],
)
def test_mistakes_in_rule_files(tmp_path: Path, change: tuple[str, str], message: str) -> None:
    path = tmp_path / "estate.toml"
    path.write_text(OWN.replace(*change))
    with pytest.raises(RuleFileError) as caught:
        check_measures(read_rules(path), str(path))
    assert message in str(caught.value)
    assert "\n" not in str(caught.value)
    spec = tmp_path / "garden.toml"
    spec.write_text('[[run]]\npoints = [[0, 0], [9000, 0]]\n[rules]\nfiles = ["estate.toml"]\n')
    with pytest.raises(SpecError, match=r"garden.toml:4: rules.files") as refused:
        read_job(spec)
    assert message in str(refused.value)


def test_an_unknown_rule_set_is_refused_with_its_line(tmp_path: Path) -> None:
    spec = tmp_path / "garden.toml"
    spec.write_text('[[run]]\npoints = [[0, 0], [9000, 0]]\n[rules]\nsets = ["france"]\n')
    with pytest.raises(SpecError, match=r"garden.toml:4: .*no rule set 'france'; there are"):
        read_job(spec)


def test_limits_in_words() -> None:
    base = {"code": "X", "measure": "gap", "severity": "note", "text": "t"}
    words = [Rule(**base, **{kind: 100.0}).allowed for kind in ("most", "under", "least")]
    assert words == ["100", "under 100", "100 or more"]
