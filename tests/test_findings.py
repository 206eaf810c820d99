"""The register of findings: whole, used, and the only place where codes and kinds are made."""

from __future__ import annotations

import ast
import re
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from house import rooms

from helpers import ROOT
from palewright.model.basis import finding_register
from palewright.model.basis.finding_register import REGISTER
from palewright.model.basis.findings import PRACTICE, Finding, FindingKind, Severity
from palewright.model.rules.rule_sets import BUILT_IN, built_in
from palewright.model.spec.schema import spec_schema

HOME = "palewright.model.basis.finding_register"
SITE = "palewright.model.basis.site_kinds"
WIND = "palewright.model.basis.wind_kinds"
GATE = "palewright.model.basis.gate_kinds"
FOOT = "palewright.model.basis.foot_kinds"
INFILL = "palewright.model.basis.infill_kinds"
PANELS = "palewright.model.basis.panel_kinds"
HOMES = (HOME, SITE, WIND, GATE, FOOT, INFILL, PANELS)
KINDS = tuple(kind for group in REGISTER.values() for kind in group)
CODES = {kind.code for kind in KINDS}
RULE_CODES = {rule.code for name in BUILT_IN for rule in built_in(name).rule}
CODE = re.compile(r"[A-Z][A-Z0-9]*(-[A-Z0-9]+)+")
KEY = re.compile(r"\b([a-z_]+)\.([a-z_]+)\b")

NO_CODES = re.compile(r"PW-\w+")
"""Names of hatch patterns look like codes."""

OTHER_TESTS_CODES = {"ESTATE-HEIGHT", "PALEWRIGHT-50", "TM-B01", "BY-1", "LA-9", "LL-2-P",
                     "SS-4", "R-1", "MARKS-PO1"}  # fmt: skip
"""Codes of made-up rule sets, names of blocks and marks that tests hold."""


def code_like(tree: ast.Module) -> set[str]:
    """Return the strings of a file that look like codes."""
    return {
        node.value
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant)
        and isinstance(node.value, str)
        and CODE.fullmatch(node.value)
    }


def called(tree: ast.Module) -> set[str]:
    """Return the plain names that a file calls."""
    return {
        node.func.id
        for node in ast.walk(tree)
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)
    }


@cache
def spec_tables() -> dict[str, set[str]]:
    """Return the keys of each table of a spec, those of its variants among them."""
    schema = spec_schema()

    def keys(node: dict[str, Any]) -> set[str]:
        if "$ref" in node:
            return keys(schema["$defs"][node["$ref"].rsplit("/", 1)[1]])
        parts = (*node.get("anyOf", ()), *node.get("oneOf", ()), node.get("items", {}))
        inner = [keys(part) for part in parts if part]
        return set(node.get("properties", {})).union(*inner)

    tables = {name: keys(node) for name, node in schema["properties"].items()}
    run = schema["$defs"]["Run"]["properties"]
    return {**tables, "gate": keys(run["gate"]), "splay": keys(schema["properties"]["splay"])}


def test_each_code_stands_for_one_kind() -> None:
    assert len(CODES) == len(KINDS)
    assert not CODES & RULE_CODES
    assert all(CODE.fullmatch(code) for code in CODES)


def test_the_register_lists_every_kind_by_its_code() -> None:
    named = {
        name: value for name, value in vars(finding_register).items()
        if isinstance(value, FindingKind)
    }  # fmt: skip
    assert {name: kind.code for name, kind in named.items()} == {
        kind.code.replace("-", "_"): kind.code for kind in KINDS
    }


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.code)
def test_a_kind_is_told_in_full(kind: FindingKind) -> None:
    assert not kind.means.endswith(".")
    for sentence in (kind.matters, kind.helps):
        assert sentence[0].isupper()
        assert sentence.endswith(".")
    assert kind.source
    unknown = [
        f"{table}.{key}"
        for table, key in KEY.findall(f"{kind.means} {kind.helps} {kind.source}")
        if key not in spec_tables().get(table, ())
    ]
    assert not unknown


def test_every_kind_is_used() -> None:
    used = {
        node.attr if isinstance(node, ast.Attribute) else node.id
        for room in rooms().values()
        if room.module not in HOMES
        for node in ast.walk(room.tree)
        if isinstance(node, (ast.Attribute, ast.Name))
    }
    assert not {code.replace("-", "_") for code in CODES} - used


def test_no_code_is_loose_in_the_source() -> None:
    loose = {
        str(room.path): codes
        for room in rooms().values()
        if room.module not in HOMES
        and (codes := {code for code in code_like(room.tree) if not NO_CODES.fullmatch(code)})
    }
    assert not loose


def test_findings_come_from_kinds_and_kinds_from_registers() -> None:
    makers = {
        name: {room.module for room in rooms().values() if name in called(room.tree)}
        for name in ("Finding", "FindingKind")
    }
    assert makers == {
        "Finding": {"palewright.model.basis.findings"},
        "FindingKind": {*HOMES, "palewright.model.checks.rule_findings"},
    }


def test_tests_assert_codes_that_there_are_and_each_of_them() -> None:
    here = Path(__file__)
    asserted = {
        code
        for file in (ROOT / "tests").rglob("test_*.py")
        if file != here
        for code in code_like(ast.parse(file.read_text("utf-8")))
    }
    assert asserted - OTHER_TESTS_CODES == CODES | RULE_CODES


def test_a_finding_says_what_its_kind_means_unless_told_otherwise() -> None:
    kind = FindingKind("X-Y", Severity.WARN, "the gate sags", "It drags.", "Brace it.")
    plain = kind.at("gate 1", "9 mm", "5 mm or less")
    assert plain == Finding(kind, "gate 1", "the gate sags", "9 mm", "5 mm or less")
    line = f"warn: gate 1: the gate sags (9 mm, allowed 5 mm or less) [X-Y; {PRACTICE}]"
    assert plain.line() == line
    assert kind.at("gate 1", "", "", text="2 gates sag").line().startswith("warn: gate 1: 2 gates")
