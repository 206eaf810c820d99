"""What of the guidance is told to be on planning sheets, and the section across the site."""

from __future__ import annotations

from typing import Any

import pytest
from click.testing import CliRunner
from test_location_and_block_plans import CUTLER, HOUSE, MILL, ORCHARD, RUN, SITE

from helpers import fence_of
from palewright.cli.main import main
from palewright.export.drawing.draft.drafting import Draft
from palewright.export.drawing.draft.paper import Label
from palewright.export.drawing.draft.scales import Scale
from palewright.export.drawing.draft.style import HIDDEN, Style
from palewright.export.drawing.draft.view import Line
from palewright.export.drawing.sets.planning_answers import ANSWERS, answers
from palewright.export.drawing.sets.planning_guidance import GUIDANCE
from palewright.export.drawing.sets.sheet_sets import Purpose, sheet_set
from palewright.export.drawing.sheets.recorded import Placed
from palewright.export.drawing.views.site_section import site_section
from palewright.model.lists.cross_sections import cross_section
from palewright.model.order.joints import make_fence
from palewright.model.resolved.resolve import resolve
from palewright.model.spec.spec_tables import SpecTables
from palewright.model.survey.survey_files import parse_survey

FOOTWAY = {"kind": "path", "name": "footway", "width": 1800, "clear": 0,
           "points": [["-20 m", "-2 m"], ["50 m", "-2 m"]]}  # fmt: skip
HEDGE = {"kind": "hedge", "name": "privet", "width": 600, "height": 1400, "goes": True,
         "points": [[0, 300], ["24 m", 300]], "clear": 0}  # fmt: skip
FULL: dict[str, Any] = {
    "project": {"name": "n", "reference": "R-1", "address": "7 Cutler Street", "applicant": "A. B.",
                "datum": "ODN", "date": "2026-05-02", "finish": "green"},
    "run": [{**RUN, "levels": [[0, 0], ["24 m", 1200]], "existing": "hedge",
             "existing_height": 1400}],
    "revision": [{"index": "A", "text": "first"}],
    "feature": [CUTLER, MILL, FOOTWAY, HOUSE, SITE, ORCHARD, HEDGE],
}  # fmt: skip

NEVER = {"map", "surfacing", "all sides", "footing"}
"""Asked for and never drawn: it is told so on every job."""


def told(spec: dict[str, Any]) -> dict[str, bool]:
    fence = fence_of(spec)
    sheets, _ = sheet_set(fence, Purpose.PLANNING, Style())
    return {asked.name: is_shown for asked, is_shown in answers(fence, sheets)}


def test_everything_asked_for_has_a_source_and_an_answer_and_says_what_would_give_it() -> None:
    assert [asked.name for asked in GUIDANCE] == list(dict.fromkeys(a.name for a in GUIDANCE))
    assert {asked.name for asked in GUIDANCE} == set(ANSWERS)
    assert all(asked.source and asked.what for asked in GUIDANCE)
    missing = told({"run": [{"points": [[0, 0], ["8 m", 0]]}]})
    assert all(asked.key for asked in GUIDANCE if not missing[asked.name])


def test_a_job_with_everything_lacks_only_what_is_never_drawn() -> None:
    found = told({**FULL, "sheets": {"elevation_scale": 100}})
    assert {name for name, is_shown in found.items() if not is_shown} == NEVER


@pytest.mark.parametrize(("key", "name"), [
    ("address", "address"), ("applicant", "applicant"), ("datum", "datum"), ("date", "date"),
    ("finish", "finish"), ("reference", "number"),
])  # fmt: skip
def test_a_key_left_out_is_told(key: str, name: str) -> None:
    project = {k: v for k, v in FULL["project"].items() if k != key}
    assert told(FULL)[name] and not told({**FULL, "project": project})[name]


@pytest.mark.parametrize(("feature", "names"), [
    (MILL, {"location"}), (FOOTWAY, {"paths"}), (HOUSE, {"buildings"}), (SITE, {"site edge"}),
    (ORCHARD, {"other land"}),
])  # fmt: skip
def test_a_thing_left_out_is_told(feature: dict[str, Any], names: set[str]) -> None:
    rest = [one for one in FULL["feature"] if one is not feature]
    before, after = told(FULL), told({**FULL, "feature": rest})
    assert {name for name in before if before[name] and not after[name]} == names


def test_short_scale_bars_and_large_paper_are_told() -> None:
    assert not told({**FULL, "sheets": {"elevation_scale": 20}})["bar"]
    assert not told({**FULL, "sheets": {"elevation_scale": 20}})["proposed"]
    assert not told({**FULL, "sheets": {"size": "A1"}})["size"]


def test_the_command_prints_a_line_for_each(tmp_path: Any) -> None:
    spec = tmp_path / "a.toml"
    spec.write_text("[[run]]\npoints = [[0, 0], [8000, 0]]\n")
    arguments = ["sheets", str(spec), "-o", str(tmp_path / "o"), "--for", "planning"]
    result = CliRunner().invoke(main, [*arguments, "--formats", "pdf"])
    assert result.exit_code == 0
    lines = result.output.splitlines()
    assert sum(line.startswith(("on the sheets,", "not given,")) for line in lines) == len(GUIDANCE)
    assert any("name of the applicant: project.applicant [" in line for line in lines)


def section_of(*features: dict[str, Any], **run: Any) -> Placed | None:
    fence = fence_of({"run": [{**RUN, **run}], "feature": list(features)})
    sheets, _ = sheet_set(fence, Purpose.PLANNING, Style())
    found = [p for sheet in sheets for p in sheet.placed if p.view.title.startswith("Section")]
    return found[0] if found else None


def test_a_section_goes_through_the_gate_that_shows_most() -> None:
    view = section_of(CUTLER, FOOTWAY, HOUSE)
    assert view is not None
    texts = [mark.text for mark in view.recorded if isinstance(mark, Label)]
    assert any("Section S through gate 1, A" in text for text in texts)
    for wanted in ("Cutler Street", "footway", "6.00", "1.80", "1.10"):
        assert wanted in texts
    assert "number 7 (height not given)" in texts  # nothing made up
    assert any(text.startswith("dashed: levels there were not given") for text in texts)


def test_without_things_there_is_no_section() -> None:
    assert section_of() is None
    assert cross_section(fence_of({"run": [RUN]})) is None


def test_a_section_knows_the_ground_of_both_sides() -> None:
    view = section_of(CUTLER, levels_front=[[0, -300], ["55 m", -300]])
    assert view is not None
    texts = [mark.text for mark in view.recorded if isinstance(mark, Label)]
    (said,) = [text for text in texts if text.startswith("height here")]
    front, back = (float(word) for word in said.split() if word[0].isdigit())
    assert front - back == pytest.approx(0.30)


def test_a_section_is_the_same_whichever_way_the_fence_is_given() -> None:
    widths = []
    for points, front in ((RUN["points"], "right"), (RUN["points"][::-1], "left")):
        run = {"points": points, "front": front}
        section = cross_section(fence_of({"run": [run], "feature": [CUTLER, MILL, HOUSE]}))
        assert section is not None
        widths.append([(t.feature.name, round(t.front), round(t.back)) for t in section.things])
    assert widths[0] == widths[1] == [("Mill Lane", -14500, -9500)]


def test_ground_that_a_survey_knows_is_drawn_as_it_is() -> None:
    """A field that falls 1 in 10 to the south: so does the section, and nothing of it is dashed."""
    rows = [f"{n},{4 * (n % 12)},{4 * (n // 12)},{50 + 0.4 * (n // 12)},GL" for n in range(144)]
    survey = parse_survey("\n".join(["no,e,n,z,code", *rows]).encode(), "field.csv", "CSV")
    road = {"kind": "road", "name": "r", "width": 4000, "points": [[4000, 16000], [40000, 16000]]}
    told = {"survey": {"file": "field.csv"}, "feature": [road],
            "run": [{"points": [[10000, 22000], [30000, 22000]]}]}  # fmt: skip
    fence = make_fence(resolve(SpecTables.model_validate(told), survey))
    section = cross_section(fence)
    assert section is not None and len(section.ground) == 1
    (front, low), (back, high) = section.ground[0][0], section.ground[0][-1]
    assert (front, back) == pytest.approx((-15000, 15000))
    assert (high - low) / (back - front) == pytest.approx(0.1)
    view = site_section(fence, section, Draft(Scale(100.0, "1:100"), Style()))
    assert not any(isinstance(item, Line) and item.layer == HIDDEN for item in view.items)
