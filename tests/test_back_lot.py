"""What a reader of a job in feet, taped and half given, looks for on its sheets."""

from __future__ import annotations

from back_lot import back_lot, back_lot_sheets, words_on

from palewright.export.drawing.draft.style import GROUND
from palewright.export.drawing.sets.sheet_sets import Purpose
from palewright.export.drawing.views.ground_levels import UNKNOWN, WORKED_OUT
from palewright.model.basis.units import feet_and_inches
from palewright.model.lists.distances import distances


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
    (note,) = [word for word in drawn(Purpose.BUILD, "Setting-out") if "levels were given" in word]
    assert "beyond them level" in note
