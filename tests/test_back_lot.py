"""What a reader of a job in feet, taped and half given, looks for on its sheets."""

from __future__ import annotations

import math

import pytest
from back_lot import BACK_LOT, BUILT, back_lot, back_lot_sheets, words_on
from legible import crossed, overlapping

from helpers import fence_of
from palewright.export.drawing.draft.figures import Figures, Units
from palewright.export.drawing.draft.paper import Label
from palewright.export.drawing.draft.style import GROUND, PARCEL, SITE, Style
from palewright.export.drawing.draft.view import Line, Text
from palewright.export.drawing.sets.schedules import AT_STEPS, thing_rows
from palewright.export.drawing.sets.sheet_sets import Purpose, sheet_set
from palewright.export.drawing.sheets.sheet import Sheet
from palewright.export.drawing.views.ground_levels import UNKNOWN, WORKED_OUT
from palewright.model.basis.units import feet_and_inches
from palewright.model.checks.building_checks import check
from palewright.model.lists.distances import distances
from palewright.model.lists.given_legs import given_legs
from palewright.model.lists.setting_out import diagonals
from palewright.model.lists.takeoff import station_lines
from palewright.model.lists.ties import tied_points

pytestmark = pytest.mark.xdist_group("back lot")  # its sheets are made once


def drawn(purpose: Purpose, start: str) -> list[str]:
    return words_on(back_lot_sheets(purpose), start)


def test_the_block_plan_shows_the_nearest_distance_to_each_thing() -> None:
    nearest = {}
    for apart in sorted(distances(back_lot()), key=lambda one: one.length):
        nearest.setdefault(apart.feature.called, feet_and_inches(apart.length))
    words = drawn(Purpose.PLANNING, "Block plan")
    assert set(nearest) == {"house", "lot line"}
    for name, figure in nearest.items():
        assert figure in words or f"{figure} to {name}" in words


def test_distances_say_what_they_are_measured_from() -> None:
    words = drawn(Purpose.PLANNING, "Distances")
    assert "from the middle line of line posts at" in words
    layout = back_lot().layouts[0]
    for apart in distances(back_lot()):  # on that line, and not on what gate posts stand on
        places = [leg.frame.local((*apart.start, 0.0)) for leg in layout.legs]
        assert min(abs(y) for _, y, _ in places) < 0.01


def test_materials_are_given_with_their_sizes_and_both_gaps() -> None:
    words = " ".join(drawn(Purpose.PLANNING, "Notes"))
    for wanted in ('pales 3 1/2" x 3/4"', 'rails 3 1/2" x 1 1/2"', '3 1/2" x 3 1/2" (line',
                   '4 1/2" x 4 1/2" (gate)', "gravel boards", 'gaps up to 2 1/2"',
                   "Alley gate: such pales, gaps up to"):  # fmt: skip
        assert wanted in words


def test_heights_of_things_stand_in_the_site_section() -> None:
    assert "house, 17'-0\" high" in drawn(Purpose.PLANNING, "Section S")


def test_every_post_has_its_label_on_an_elevation() -> None:
    labels = {post.label for layout in back_lot().layouts for post in layout.posts}
    for purpose, start in ((Purpose.BUILD, "Elevation"), (Purpose.PLANNING, "Proposed")):
        assert labels <= {word.split("  ")[0] for word in drawn(purpose, start)}


def test_levels_that_nobody_gave_stand_in_brackets_and_ground_beyond_them_is_dashed() -> None:
    for purpose, start in (
        (Purpose.BUILD, "Elevation"),
        (Purpose.PLANNING, "Proposed"),
        (Purpose.PLANNING, "Existing"),
    ):
        words = drawn(purpose, start)
        assert {'0"', "1'-1\"", "2'-7\"", "(2'-7\")"} <= set(words)
        bracketed = {word for word in words if word.startswith("(")}
        assert "(1'-1\")" not in bracketed and WORKED_OUT in words and UNKNOWN in words
    given = back_lot().layouts[0].run.line.knots
    for sheet in back_lot_sheets(Purpose.BUILD):
        for placed in sheet.placed:
            if not placed.view.title.startswith("Elevation"):
                continue
            solid = [item for item in placed.view.items if getattr(item, "layer", "") == GROUND]
            assert max(x for line in solid for x, _, _ in line.vertices) < given[-1][0] + 1.0
    (note,) = [
        word for word in drawn(Purpose.BUILD, "Setting-out") if "ground levels given" in word
    ]
    assert "level beyond" in note


def test_legs_stand_as_they_were_measured_with_the_string_beside_the_line_given() -> None:
    for purpose in (Purpose.BUILD, Purpose.SITE):
        words = drawn(purpose, "Legs as given")
        wanted = {"31'-7\"", "22'-4\"", "17'-9\"", "bearing 84°", "left 73°", "left 11°"}
        assert wanted <= set(words)
        assert any(word.endswith('" behind it') for word in words)
    legs = given_legs(back_lot())
    # the boundary, 4 in kept free, half of a 10 in hole: the middle of the posts stands there
    assert all(leg.string == pytest.approx((4 + 5 - 1.75) * 25.4) for leg in legs)


def test_a_diagonal_drawn_is_one_of_the_table() -> None:
    tabled = {feet_and_inches(one.across) for one in diagonals(back_lot())}
    words = drawn(Purpose.SITE, "Setting-out")
    far = feet_and_inches(math.dist(*(_at(label) for label in ("A01", "A10"))))
    assert tabled & set(words) and far not in words


def _at(label: str) -> tuple[float, float]:
    posts = (post for layout in back_lot().layouts for post in layout.posts)
    return next(post.frame.origin[:2] for post in posts if post.label == label)


def test_corners_that_posts_are_tied_to_are_drawn() -> None:
    for purpose in (Purpose.BUILD, Purpose.SITE):
        views = [p.view for sheet in back_lot_sheets(purpose) for p in sheet.placed]
        (plan,) = [view for view in views if view.title.startswith("Setting-out plan")]
        drawn_at = {
            (round(x), round(y))
            for item in plan.items
            if isinstance(item, Line) and item.layer in (SITE, PARCEL)
            for x, y, _ in item.vertices
        }
        for point in tied_points(back_lot()):
            assert (round(point.at[0]), round(point.at[1])) in drawn_at, point.name


def test_no_row_of_what_is_on_the_site_is_empty() -> None:
    for row in thing_rows(back_lot(), Figures(Units.FEET))[1:]:
        assert any(row[1:]), row
    bare = {**BACK_LOT["feature"][1]}
    del bare["clear"]
    for hedge in (bare, {**bare, "goes": True}):
        fence = fence_of({**BACK_LOT, "feature": [hedge]})
        (_, row) = thing_rows(fence, Figures(Units.FEET))
        assert any(row[1:]), row


def test_openings_say_where_leaves_hang_and_which_way_they_swing() -> None:
    words = drawn(Purpose.BUILD, "Openings")
    assert {"hinges", "right, on A13", "out, to the front"} <= set(words)


def test_cuts_of_a_brace_are_the_same_in_its_view_and_in_the_table() -> None:
    words = drawn(Purpose.WORKSHOP, "Parts of alley gate")
    said = " ".join(words)
    cut = said.split("cuts ")[1].split(" long")[0]
    head = said.split("head ")[1].split(" from")[0]
    view = drawn(Purpose.WORKSHOP, "Alley gate, back")
    assert view.count(cut) >= 2 and view.count(head) >= 2


def test_no_sheet_says_that_rails_come_from_lengths_that_are_not_bought() -> None:
    (note,) = [word for word in drawn(Purpose.BUILD, "Materials") if "No rail" in word]
    assert note.startswith("No rail is longer than 12'-0\"")


def test_tables_say_which_rail_tops_are_left_and_right_of_a_step() -> None:
    for purpose, title in ((Purpose.BUILD, "Setting out"), (Purpose.SITE, "Posts"),
                           (Purpose.BUILD, "Levels")):  # fmt: skip
        assert any(AT_STEPS in word for word in drawn(purpose, title)), title


def test_a_footing_that_ends_under_the_ground_at_its_post_says_so() -> None:
    words = drawn(Purpose.BUILD, "Members by mark")
    assert any(word.endswith("under the ground at the post") for word in words)
    holes = {line.mark: line.hole_depth for line in station_lines(back_lot())}
    assert holes
    assert any("concrete ends where it is lowest" in w for w in drawn(Purpose.BUILD, "Section at"))


def test_thin_ends_of_boards_are_told_and_no_english_rule_is_held_against_a_job_in_feet() -> None:
    found = {finding.code: finding for finding in check(back_lot())}
    assert "GB8, GB9" in found["BOARD-SLIVER"].where
    assert "HEIGHT-PLANNING" not in found
    asked = {**BACK_LOT, "rules": {"sets": ["planning-england"]}}
    assert "HEIGHT-PLANNING" in {finding.code for finding in check(fence_of(asked))}


def test_sheets_of_posts_as_they_were_measured_say_so_in_the_title_block() -> None:
    sheets, _ = sheet_set(fence_of(BUILT), Purpose.SITE, Style())
    assert all("Site paper, as built" in texts_of(sheet) for sheet in sheets)
    assert not any("as built" in word for word in drawn(Purpose.SITE, ""))


def texts_of(sheet: Sheet) -> set[str]:
    return {mark.text for mark in sheet.marks if isinstance(mark, Label)}


def test_the_customer_sees_the_elevation_with_the_gate() -> None:
    words = drawn(Purpose.CUSTOMER, "Proposed elevation")
    assert {"A12", "A13"} <= set(words)


def test_plates_at_a_pier_are_labelled_at_the_pier() -> None:
    gap = {"start": 4000, "end": 4450, "between": "walls"}
    fence = fence_of({"run": [{"points": [[0, 0], [9000, 0]], "gap": [gap]}]})
    sheets, _ = sheet_set(fence, Purpose.BUILD, Style())
    views = (placed.view for sheet in sheets for placed in sheet.placed)
    (view,) = [view for view in views if view.title.startswith("Elevation")]
    texts = [item for item in view.items if isinstance(item, Text)]
    labels = [text for text in texts if text.text.split("  ")[0].endswith("plate")]
    assert [label.at[0] for label in labels] == pytest.approx([4000, 4450], abs=60)


@pytest.mark.parametrize("purpose", list(Purpose))
def test_its_sheets_are_legible(purpose: Purpose) -> None:
    for sheet in back_lot_sheets(purpose):
        assert overlapping(sheet) == []
        assert crossed(sheet) == []
