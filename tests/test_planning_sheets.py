"""What a planning officer looks for on the sheets of a planning enquiry."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from helpers import fence_of
from palewright.export.drawing.draft.paper import Label, shifted
from palewright.export.drawing.draft.style import MATCH, Style
from palewright.export.drawing.draft.view import Line
from palewright.export.drawing.sets.sheet_sets import Purpose, sheet_set
from palewright.export.drawing.sheets.recorded import Placed
from palewright.export.drawing.sheets.sheet import Sheet
from palewright.model.checks.building_checks import check
from palewright.model.fence.fence_model import FenceModel
from palewright.model.layout.heights import heights
from palewright.model.resolved.revision_dates import readings, revision_problems
from palewright.model.spec.paper_keys import Revision

STYLE = Style()

STREET: dict[str, Any] = {
    "project": {"name": "Sloping street", "reference": "SS-4"},
    "run": [{"points": [[0, 0, 0], ["24 m", 0, 1350], ["24 m", "31 m", 2900]],
             "levels_front": [[0, -300], ["24 m", 1100]], "starts": "wall",
             "existing": "privet hedge", "existing_height": 1400,
             "gate": [{"at": "5 m", "opening": 950},
                      {"at": "16 m", "opening": 3300, "leaves": 2}]}],
}  # fmt: skip


def planning(fence: FenceModel) -> tuple[Sheet, ...]:
    return sheet_set(fence, Purpose.PLANNING, STYLE)[0]


def words_of(sheets: tuple[Sheet, ...]) -> list[str]:
    return [
        mark.text
        for sheet in sheets
        for placed in sheet.placed
        for mark in shifted(placed.recorded, *placed.at)
        if isinstance(mark, Label)
    ]


def titled(sheet: Sheet, start: str) -> list[Placed]:
    return [placed for placed in sheet.placed if placed.view.title.startswith(start)]


def cuts(placed: Placed) -> list[float]:
    """Where a view is cut, mm on paper."""
    return sorted(
        placed.at[0] + item.vertices[0][0] / placed.view.scale
        for item in placed.view.items
        if isinstance(item, Line) and item.layer == MATCH
    )


@pytest.mark.parametrize("spec", [STREET, {"run": [{"points": [[0, 0], ["130 m", "4 m"]]}]}])
def test_every_part_as_it_is_stands_under_the_part_as_proposed(spec: dict[str, Any]) -> None:
    fence = fence_of(spec)
    seen = 0
    for sheet in planning(fence):
        proposed, existing = titled(sheet, "Proposed"), titled(sheet, "Existing")
        assert len(proposed) == len(existing)
        for new, old in zip(proposed, existing, strict=True):
            assert new.at[0] == pytest.approx(old.at[0])  # one x over the other
            assert old.at[1] < new.at[1]
            assert cuts(new) == pytest.approx(cuts(old))
            seen += 1
    assert seen >= 4  # too long for a sheet in one piece: nothing is left out


def test_a_height_is_given_once_where_the_ground_is_alike_and_twice_where_it_is_not() -> None:
    notes = [text for text in words_of(planning(fence_of(STREET))) if "greatest height" in text]
    assert sum("in front" in text for text in notes) == sum("behind" in text for text in notes) > 0
    assert any("on both sides" in text for text in notes)  # past the end of the street's levels
    flat = words_of(planning(fence_of({"run": [{"points": [[0, 0], ["8 m", 0]]}]})))
    assert not any("greatest height" in text for text in flat)  # dimensioned


def test_the_highest_point_of_the_whole_fence_is_named() -> None:
    fence = fence_of(STREET)
    layout = fence.layouts[0]
    worst = max(
        (height, side) for side in ("front", "back") for height, _, _ in heights(layout, side)
    )
    assert worst[1] == "front"
    said = next(
        text for text in words_of(planning(fence)) if text.startswith("Highest point of the")
    )
    assert f"{worst[0] / 1000:.2f} over the ground in front, at post A" in said


def test_nothing_is_said_that_nobody_gave() -> None:
    words = " ".join(words_of(planning(fence_of({"run": [{"points": [[0, 0], ["8 m", 0]]}]}))))
    for invented in ("ground 0.00", "plain", "Finish", "Site:", "boundary"):
        assert invented not in words
    told = {"run": [{"points": [[0, 0, 4200], ["8 m", 0, 4200]]}], "finishes": {"pales": "oiled"}}
    words = " ".join(words_of(planning(fence_of(told))))
    assert "ground 4.20" in words and "oiled" in words


def test_what_runs_across_the_line_does_not_stand_along_it() -> None:
    hedge = {"kind": "hedge", "points": [[0, 300], ["24 m", 300]], "width": 600, "height": 1400}
    fence = fence_of({**STREET, "feature": [hedge]})
    for sheet in planning(fence):
        for placed in titled(sheet, "Existing elevation A2"):
            texts = [m.text for m in placed.recorded if isinstance(m, Label)]
            assert not any("stays" in text for text in texts)


def small(**more: Any) -> FenceModel:
    return fence_of({"run": [{"points": [[0, 0, 100], ["8 m", 0, 700]]}], **more})


def test_the_title_block_names_site_and_applicant_where_they_are_given() -> None:
    project = {"name": "Hedge End", "address": "3 Hedge End, Marl", "applicant": "R. Stone",
               "datum": "Ordnance Datum Newlyn"}  # fmt: skip
    words = words_of(planning(small(project=project)))
    for wanted in ("Site address", "3 Hedge End, Marl", "Applicant", "R. Stone",
                   "Levels are heights over Ordnance Datum Newlyn."):  # fmt: skip
        assert wanted in words
    bare = words_of(planning(small()))
    assert "Site address" not in bare and "Applicant" not in bare
    assert not any("Levels are" in text for text in bare)


def test_a_benchmark_names_what_levels_are_over() -> None:
    mark = {"kind": "benchmark", "name": "TBM", "points": [[0, 5000]], "level": 12340}
    assert "Levels are those of the benchmark TBM 12.34." in words_of(
        planning(small(feature=[mark]))
    )


@pytest.mark.parametrize("key", ["address", "applicant"])
def test_check_asks_for_the_other_of_two_names(key: str) -> None:
    found = [one for one in check(small(project={key: "given"})) if one.code == "PLANNING-NAMES"]
    other = {"address": "applicant", "applicant": "address"}[key]
    assert [one.where for one in found] == [f"project.{other}"]
    assert found[0].severity.value == "note"
    for project in ({}, {"address": "a", "applicant": "b"}):
        assert not any(one.code == "PLANNING-NAMES" for one in check(small(project=project)))


def test_revisions_are_described_on_planning_sheets() -> None:
    told = [{"index": "A", "date": "2026-03-01", "text": "lower by 100"},
            {"index": "B", "date": "14 March 2026", "text": "gate moved"}]  # fmt: skip
    words = words_of(planning(small(revision=told)))
    for wanted in ("Revisions", "lower by 100", "gate moved", "14 March 2026"):
        assert wanted in words
    assert "Revisions" not in words_of(planning(small()))


def revisions(*dates: str) -> list[Revision]:
    return [Revision(index=str(n), date=text, text="x") for n, text in enumerate(dates)]


@pytest.mark.parametrize("dates", [
    ("2026-03-14", "2026-03-01"), ("14 March 2026", "1 Mar 2026"), ("14.03.2026", "2026-3-1"),
    ("May 2, 2026", "", "in spring", "1st May 2026"), ("25/12/2026", "24/12/2026"),
])  # fmt: skip
def test_dates_of_revisions_do_not_run_backwards(dates: tuple[str, ...]) -> None:
    problems = revision_problems(revisions(*dates))
    assert [problem.path for problem in problems] == [("revision", len(dates) - 1, "date")]
    assert "is before" in problems[0].message


@pytest.mark.parametrize("dates", [
    ("2026-03-01", "2026-03-01"), ("", "2026-03-01"), ("spring", "winter"),
    ("03/04/2026", "2026-03-05"),  # either 3 April or 4 March: nothing is known to be wrong
])  # fmt: skip
def test_dates_that_may_run_forwards_are_taken(dates: tuple[str, ...]) -> None:
    assert revision_problems(revisions(*dates)) == []


def test_a_day_that_there_is_not_is_told() -> None:
    (problem,) = revision_problems(revisions("2026-02-30"))
    assert problem.message == "there is no day '2026-02-30'"


@given(st.dates(), st.dates())
def test_revisions_agree_with_the_calendar(first: date, second: date) -> None:
    day = (first.year, first.month, first.day)
    assert readings(first.isoformat()) == (day,)
    assert readings(f"{first.day} {first:%B} {first.year:04d}") == (day,)
    wrong = revision_problems(revisions(first.isoformat(), second.isoformat()))
    assert bool(wrong) == (second < first)


def test_scale_bars_are_in_feet_on_imperial_jobs() -> None:
    spec = {"run": [{"points": [[0, 0], ["40 ft", 0]]}],
            "sheets": {"size": "ARCH B", "units": "ft-in"}}  # fmt: skip
    for sheet in planning(fence_of(spec)):
        bars = [placed for placed in sheet.placed if placed.view.kind == "scale bar"]
        assert bars
        for bar in bars:
            texts = [mark.text for mark in bar.recorded if isinstance(mark, Label)]
            whole = next(text for text in texts if text.endswith(" ft"))
            long = max(x for mark in bar.recorded if not isinstance(mark, Label)
                       for x, _ in mark.points)  # fmt: skip
            n = next(p.view.scale for p in sheet.placed if p.view.scale_text == texts[-1])
            assert float(whole.split()[0]) * 304.8 / n == pytest.approx(long)
