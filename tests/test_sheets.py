"""Sheets as they are printed: nothing on top of anything, nothing over the edge."""

from __future__ import annotations

import statistics
from functools import cache
from typing import Any

import pytest
import shapely
from legible import crossed, labels_of, overlapping, used_share

from helpers import EXAMPLES, example_fence, fence_of
from palewright.export.drawing.draft.figures import Figures, Units
from palewright.export.drawing.draft.paper import bounds, shifted
from palewright.export.drawing.draft.style import DIMENSIONS, Style
from palewright.export.drawing.sets.sheet_sets import Purpose, sheet_set
from palewright.export.drawing.sheets.sheet import Sheet
from palewright.export.drawing.sheets.sheet_frame import SIZES, frame_box, title_box
from palewright.model.fence.fence_model import FenceModel
from palewright.model.order.joints import make_fence
from palewright.model.resolved.resolve import resolve
from palewright.model.spec.spec_tables import SpecTables
from palewright.model.survey.survey_files import parse_survey

pytestmark = pytest.mark.xdist_group("sheets")  # each set is drawn once, for all tests

STYLE = Style()

PICTURE = bytes.fromhex(
    "89504e470d0a1a0a0000000d49484452000000010000000108000000003a7e9b55"
    "0000000a49444154789c636000000002000148afa4710000000049454e44ae426082"
)
"""The smallest picture, in place of that of the fence."""

LONG: dict[str, Any] = {
    "project": {"name": "Longacre", "reference": "LA-9"},
    "run": [
        {
            "points": [[0, 0], [42000, 0], [48000, 22000], [30000, 30000], [30000, 48000],
                       [16000, 52000]],
            "gate": [{"at": 12000}, {"at": 60000, "opening": 3000, "leaves": 2}, {"at": 98000}],
        }
    ],
}  # fmt: skip


FEET: dict[str, Any] = {
    "project": {"name": "Back yard", "reference": "BY-1"},
    "run": [{"points": [[0, 0], ["42 ft", 0], ["42 ft", "30 ft"]],
             "gate": [{"at": "12 ft", "opening": "3 ft"}]}],
    "posts": {"section": ["3 1/2 in", "3 1/2 in"], "bay": "8 ft", "top": "flat"},
    "rails": {"section": ["3 1/2 in", "1 1/2 in"], "tops": ["12 in", "34 in"],
              "stock_length": "16 ft"},
    "pales": {"width": "3 1/2 in", "thickness": "3/4 in", "length": "40 in", "head": "ogee",
              "gap": "2 1/2 in", "clearance": "2 in"},
    "footings": {"hole": "round", "size": "12 in"},
    "sheets": {"size": "ARCH B", "units": "ft-in"},
}  # fmt: skip


SIDES: dict[str, Any] = {
    "run": [
        {
            "points": [[0, 0, 0], [14000, 0, 300], [14000, 9000, 900]],
            "levels_front": [[0, -450], [9000, -300]],
            "levels_back": [[2000, 250], [23000, 1300]],
        }
    ],
}


def on_a_surface() -> FenceModel:
    """A fence across a field of levels, so that its plans have contours."""
    rows = [
        f"{9 * x + y},{430_000 + 4 * x + y % 2},{330_000 + 4 * y},{50 + 0.3 * x + y * y / 5:.2f},GL"
        for x in range(9)
        for y in range(6)
    ]
    text = "\n".join(["no,e,n,z,code", *rows])
    survey = parse_survey(text.encode(), "field.csv", "CSV")
    points = [[430_003_000, 330_003_000], [430_022_000, 330_005_000], [430_027_000, 330_016_000]]
    spec = {"survey": {"file": "field.csv"}, "run": [{"points": points, "name": "far hedge"}]}
    return make_fence(resolve(SpecTables.model_validate(spec), survey))


@cache
def fences() -> dict[str, FenceModel]:
    """Return the fences that sheets are measured of, each built once."""
    made = [(path.stem, example_fence(path)) for path in EXAMPLES]
    own = [("long", fence_of(LONG)), ("feet", fence_of(FEET)), ("sides", fence_of(SIDES))]
    return dict([*made, *own, ("surface", on_a_surface())])


NAMES = [*(path.stem for path in EXAMPLES), "long", "feet", "sides", "surface"]


@pytest.fixture(
    scope="module",
    params=[(name, purpose) for name in NAMES for purpose in Purpose],
    ids=lambda param: f"{param[0]}-{param[1].value}",
)
def sheets(request: pytest.FixtureRequest) -> tuple[tuple[Sheet, ...], Style]:
    return sheets_of(*request.param)


@cache
def sheets_of(name: str, purpose: Purpose) -> tuple[tuple[Sheet, ...], Style]:
    """Return a set of sheets, drawn once."""
    return sheet_set(fences()[name], purpose, STYLE, PICTURE)


def test_no_text_overlaps_text(sheets: tuple[tuple[Sheet, ...], Style]) -> None:
    found, _ = sheets
    for sheet in found:
        assert overlapping(sheet) == [], sheet.title


def test_no_text_is_crossed_by_a_line(sheets: tuple[tuple[Sheet, ...], Style]) -> None:
    found, _ = sheets
    for sheet in found:
        assert crossed(sheet) == [], sheet.title


def test_views_stand_apart_and_inside_the_frame(
    sheets: tuple[tuple[Sheet, ...], Style],
) -> None:
    found, _ = sheets
    for sheet in found:
        frame, title = frame_box(sheet.size), title_box(sheet.size)
        boxes = []
        for placed in sheet.placed:
            if placed.view.kind == "frame":
                continue
            box = shapely.box(*bounds(shifted(placed.recorded, *placed.at)))
            assert box.within(shapely.box(frame.left, frame.low, frame.right, frame.high))
            assert not box.intersects(
                shapely.box(title.left, title.low, title.right, title.high)
            ), placed.view.title
            boxes.append((placed.view.title or placed.view.kind, box))
        for number, (name, box) in enumerate(boxes):
            for other, second in boxes[number + 1 :]:
                assert not box.intersects(second), (sheet.title, name, other)


def test_every_sheet_has_number_size_scale_and_frame(
    sheets: tuple[tuple[Sheet, ...], Style],
) -> None:
    found, drawn = sheets
    figures = drawn.figures
    numbers = []
    for place, sheet in enumerate(found, 1):
        texts = [label.text for label, _, number in labels_of(sheet) if number == 0]
        assert f"{place} of {len(found)}" in texts
        assert sheet.size.name in texts
        assert figures.note in texts
        numbers.append(next(t for t in texts if t.endswith(f"{place:02d}")))
    assert len(set(numbers)) == len(found)


NAMES = {path.stem for path in EXAMPLES}


def test_no_sheet_is_nearly_empty_but_the_last(
    sheets: tuple[tuple[Sheet, ...], Style], request: pytest.FixtureRequest
) -> None:
    found, _ = sheets
    # of the jobs made for these tests some have elevations of which two fill a sheet badly
    least = 0.4 if request.node.callspec.id.split("-")[0] in NAMES else 0.28
    assert [sheet.title for sheet in found[:-1] if used_share(sheet) < least] == []


def test_sheets_are_well_used() -> None:
    used = [
        used_share(sheet)
        for path in EXAMPLES
        for purpose in Purpose
        for sheet in sheets_of(path.stem, purpose)[0]
    ]
    assert statistics.median(used) >= 0.6


def test_the_customers_set_has_two_pages() -> None:
    for name in NAMES:
        assert len(sheets_of(name, Purpose.CUSTOMER)[0]) == 2


def test_the_planning_set_shows_what_is_asked_for() -> None:
    fence = example_fence(next(path for path in EXAMPLES if path.stem == "nursery"))
    found, drawn = sheet_set(fence, Purpose.PLANNING, STYLE)
    figures = drawn.figures
    assert figures.units is Units.METRES
    for sheet in found:
        kinds = [placed.view.kind for placed in sheet.placed]
        assert "scale bar" in kinds
        words = " ".join(label.text for label, _, _ in labels_of(sheet))
        assert "LL-2-P" in words
    words = " ".join(label.text for sheet in found for label, _, _ in labels_of(sheet))
    for wanted in ("N", "12.60", "highest point", "Highest point of the fence", "1.29",
                   "Existing elevation", "Proposed elevation", "gate"):  # fmt: skip
        assert wanted in words
    for construction in ("hole", "Section", "bolt"):
        assert construction not in words


def test_a_long_boundary_is_readable_without_settings() -> None:
    """120 m with 4 corners and 3 gates: every post and every leg is told somewhere."""
    fence = fence_of(LONG)
    found, drawn = sheet_set(fence, Purpose.BUILD, STYLE)
    figures = drawn.figures
    assert len(found) <= 17
    texts = [label.text for sheet in found for label, _, _ in labels_of(sheet)]
    for post in fence.layouts[0].posts:
        assert post.label in texts
        assert figures.text(post.chainage) in texts
    for leg in fence.layouts[0].legs:
        assert figures.text(leg.length) in texts
    parts = [
        placed.view.title
        for sheet in found
        for placed in sheet.placed
        if placed.view.title.startswith("Elevation")
    ]
    assert len(parts) > len(fence.layouts[0].legs)  # broken over match lines


@pytest.mark.parametrize("size", ["A4", "A2", "A1", "ANSI B", "ARCH D"])
def test_other_sizes_and_feet(size: str) -> None:
    units = "ft-in" if " " in size else "mm"
    spec = {
        "run": [{"points": [[0, 0], ["30 ft", 0], ["30 ft", "18 ft"]], "gate": [{"at": 4000}]}],
        "sheets": {"size": size, "units": units},
    }
    found, _ = sheet_set(fence_of(spec), Purpose.BUILD, STYLE)
    assert all(sheet.size == SIZES[size] for sheet in found)
    texts = [label.text for sheet in found for label, _, _ in labels_of(sheet)]
    assert ("30'-0\"" in texts) == (units == "ft-in")
    assert any("= 1'-0\"" in text for text in texts) == (units == "ft-in")


def test_views_can_be_left_out_and_scales_chosen() -> None:
    spec = {
        "run": [{"points": [[0, 0], [9000, 0], [9000, 5000]], "gate": [{"at": 4000}]}],
        "sheets": {
            "leave_out": ["bay", "head", "notes", "corner", "schedule"],
            "plan_scale": 100,
            "elevation_scale": 100,
        },
    }
    found, _ = sheet_set(fence_of(spec), Purpose.BUILD, STYLE)
    views = [placed.view for sheet in found for placed in sheet.placed]
    titles = " ".join(view.title + " " + view.kind for view in views)
    for gone in ("Typical bay", "Pale head", "Cautions", "at corner", "Members by mark"):
        assert gone not in titles
    for view in views:
        if view.title.startswith(("Elevation", "Setting-out")):
            assert view.scale_text == "1:100"


SIZES_ONCE: dict[str, Any] = {
    "run": [{"points": [[0, 0], [9011, 0], [9011, 6007]], "gate": [{"at": 4001, "opening": 911}]}],
    "posts": {
        "section": [97, 103], "embedment": 613, "above_rail": 83,
        "top": {"shape": "weathered", "fall": 27},
        "gate": {"section": [127, 131], "embedment": 719, "above_rail": 89},
    },
    "rails": {"section": [73, 37], "tops": [229, 811], "stock_length": 3900},
    "pales": {
        "width": 91, "thickness": 19, "length": 887, "gap": 61, "gap_max": 79, "clearance": 53,
        "head": {"shape": "clipped", "across": 31, "down": 29},
    },
    "gates": {
        "ledge": [71, 35], "brace": 77, "hinge_clearance": 11, "latch_clearance": 9,
        "ground_clearance": 67,
    },
    "footings": {"size": 311, "bed": 47, "weathering": 23},
}  # fmt: skip


def test_every_fixed_size_is_dimensioned_exactly_once() -> None:
    found, _ = sheet_set(fence_of(SIZES_ONCE), Purpose.BUILD, STYLE)
    written = [
        label.text
        for sheet in found
        for label, _, _ in labels_of(sheet)
        if label.layer == DIMENSIONS
    ]
    spec = SIZES_ONCE
    wanted = [
        *spec["posts"]["section"], spec["posts"]["embedment"], spec["posts"]["above_rail"],
        *spec["posts"]["gate"]["section"], spec["posts"]["gate"]["embedment"],
        spec["posts"]["gate"]["above_rail"],
        *spec["rails"]["section"], *spec["rails"]["tops"],
        *(spec["pales"][key] for key in ("width", "thickness", "length", "clearance")),
        31, 29,
        *(spec["gates"][key] for key in
          ("brace", "hinge_clearance", "latch_clearance", "ground_clearance")),
        spec["gates"]["ledge"][0],
        911, "□311", 47, 23, 9011, 6007, 4001,
    ]  # fmt: skip
    counts = {size: written.count(str(size)) for size in wanted}
    assert {size: count for size, count in counts.items() if count != 1} == {}
    # the fall is that of every post top that differs in section
    assert written.count("27") == 2


def test_figures_in_feet_and_inches() -> None:
    # 1 in = 25.4 mm; to a sixteenth
    feet = Figures(Units.FEET).text
    assert feet(304.8) == "1'-0\""
    assert feet(1689.1) == "5'-6 1/2\""
    assert feet(19.05) == '3/4"'
    assert feet(0.0) == '0"'
    assert feet(3657.6 - 0.1) == "12'-0\""
