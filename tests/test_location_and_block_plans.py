"""Where a site is, and how far a fence is from what is round it, as planning drawings show it."""

from __future__ import annotations

import io
import math
from typing import Any

import numpy as np
import pypdfium2
import pytest

from helpers import fence_of
from palewright.export.drawing.draft.paper import Label, Stroke
from palewright.export.drawing.draft.style import BLUE, RED, SITE_EDGE, Style
from palewright.export.drawing.draft.style import SITE as SITE_THINGS
from palewright.export.drawing.draft.view import Line
from palewright.export.drawing.sets.sheet_sets import Purpose, sheet_set
from palewright.export.drawing.sheets.recorded import Placed
from palewright.export.drawing.writers.pdf import write_pdf
from palewright.export.drawing.writers.svg import write_svg
from palewright.model.basis.errors import PalewrightError
from palewright.model.lists.distances import distances

CUTLER = {"kind": "road", "name": "Cutler Street", "width": 6000,
          "points": [["-20 m", "-6 m"], ["50 m", "-6 m"]]}  # fmt: skip
MILL = {"kind": "road", "name": "Mill Lane", "width": 5000,
        "points": [["36 m", "-20 m"], ["36 m", "50 m"]]}  # fmt: skip
HOUSE = {"kind": "house", "name": "number 7",
         "points": [["4 m", "6 m"], ["13 m", "6 m"], ["13 m", "14 m"],
                    ["4 m", "14 m"]]}  # fmt: skip
SITE = {"kind": "boundary", "name": "site", "closed": True, "land": "site",
        "points": [["-1 m", "-1 m"], ["30 m", "-1 m"], ["30 m", "34 m"],
                   ["-1 m", "34 m"]]}  # fmt: skip
ORCHARD = {"kind": "boundary", "name": "orchard", "closed": True, "land": "other",
           "points": [["-1 m", "34 m"], ["30 m", "34 m"], ["30 m", "60 m"],
                      ["-1 m", "60 m"]]}  # fmt: skip
RUN = {"points": [[0, 0], ["24 m", 0], ["24 m", "31 m"]],
       "gate": [{"at": "5 m", "opening": 950},
                {"at": "16 m", "opening": 3300, "leaves": 2}]}  # fmt: skip


def views(*features: dict[str, Any], **more: Any) -> list[Placed]:
    fence = fence_of({"run": [RUN], "feature": list(features), **more})
    sheets, _ = sheet_set(fence, Purpose.PLANNING, Style())
    return [placed for sheet in sheets for placed in sheet.placed]


def one(placed: list[Placed], start: str) -> Placed:
    return next(view for view in placed if view.view.title.startswith(start))


def texts(view: Placed) -> list[str]:
    return [mark.text for mark in view.recorded if isinstance(mark, Label)]


def inks(view: Placed) -> set[tuple[float, float, float]]:
    return {mark.layer.ink for mark in view.recorded if isinstance(mark, Stroke)}


def test_a_location_plan_names_roads_and_edges_the_land() -> None:
    plan = one(views(CUTLER, MILL, HOUSE, SITE, ORCHARD), "Location plan")
    assert plan.view.scale == 1250.0
    assert {"Cutler Street", "Mill Lane", "N"} <= set(texts(plan))
    assert {RED, BLUE} <= inks(plan)
    assert not {RED, BLUE} & inks(one(views(CUTLER, MILL), "Location plan"))


@pytest.mark.parametrize(
    "roads", [(), (CUTLER,), (CUTLER, {**CUTLER}), (CUTLER, {**MILL, "name": ""})]
)
def test_without_two_named_roads_there_is_no_location_plan(
    roads: tuple[dict[str, Any], ...],
) -> None:
    assert not any(view.view.title.startswith("Location") for view in views(*roads, SITE))


def test_a_second_road_farther_off_makes_it_smaller() -> None:
    far = {**MILL, "points": [["110 m", "-20 m"], ["110 m", "50 m"]]}
    assert one(views(CUTLER, far), "Location plan").view.scale == 2500.0
    gone = {**MILL, "points": [["900 m", "-20 m"], ["900 m", "50 m"]]}
    assert not any(view.view.title.startswith("Location") for view in views(CUTLER, gone))


def test_edges_of_land_are_in_colour_in_pdf_and_svg() -> None:
    fence = fence_of({"run": [RUN], "feature": [CUTLER, MILL, SITE, ORCHARD]})
    sheets, _ = sheet_set(fence, Purpose.PLANNING, Style())
    svg = write_svg(sheets[0], "plan").decode()
    assert 'stroke="rgb(217,0,0)"' in svg and 'stroke="rgb(0,51,217)"' in svg
    page = pypdfium2.PdfDocument(io.BytesIO(write_pdf(sheets, "plan", "")))[0]
    pixels = np.asarray(page.render(scale=1.5).to_pil().convert("RGB")).reshape(-1, 3)
    colours = {tuple(pixel) for pixel in np.unique(pixels, axis=0).tolist()}
    assert any(r > 150 and g < 60 and b < 60 for r, g, b in colours)
    assert any(r < 60 and b > 150 for r, g, b in colours)


def test_the_block_plan_has_gates_with_their_widths_and_distances() -> None:
    plan = one(views(CUTLER, MILL, HOUSE, SITE), "Block plan")
    assert plan.view.scale in (200.0, 500.0)
    found = texts(plan)
    for wanted in ("gate 0.95", "gate 3.30", "number 7", "6.00", "24.00", "31.00", "N"):
        assert wanted in found
    assert RED in inks(plan)


def test_distances_are_those_of_plane_geometry() -> None:
    """Figures from the coordinates by hand: the street's near edge is 3 m before the fence, the
    house's near corners 6 m behind it, the lane's near edge 9.5 m beside it.
    """
    fence = fence_of({"run": [RUN], "feature": [CUTLER, MILL, HOUSE, SITE]})
    found = [(apart.feature.name, apart.length) for apart in distances(fence)]
    assert found == [
        ("Cutler Street", pytest.approx(3000)), ("Mill Lane", pytest.approx(9500)),
        ("number 7", pytest.approx(6000)), ("number 7", pytest.approx(6000)),
        ("site", pytest.approx(1000)), ("site", pytest.approx(3000)),
    ]  # fmt: skip


def test_a_block_plan_shows_houses_and_the_land_whole_and_stays_bounded() -> None:
    def reach(*features: dict[str, Any]) -> float:
        view = one(views(*features), "Block plan").view
        drawn = [
            i for i in view.items if isinstance(i, Line) and i.layer in (SITE_THINGS, SITE_EDGE)
        ]
        return max(y for item in drawn for _, y, _ in item.vertices)

    deep = {**HOUSE, "points": [[4000, 38000], [13000, 38000], [13000, 52000], [4000, 52000]]}
    assert reach(CUTLER, deep) == pytest.approx(52_000, abs=1)
    corners = [[-1000, -1000], [30000, -1000], [30000, 900_000], [-1000, 900_000]]
    far = {**SITE, "points": corners}
    assert 60_000 < reach(CUTLER, far) < 80_000


@pytest.mark.parametrize("degrees", [0.0, 37.0, 123.0])
def test_distances_do_not_depend_on_the_way_round_nor_on_where_the_site_is(degrees: float) -> None:
    cos, sin = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))

    def moved(points: list[tuple[float, float]]) -> list[list[float]]:
        return [[5000 + x * cos - y * sin, -700 + x * sin + y * cos] for x, y in points]

    line = [(0.0, 0.0), (24000.0, 0.0), (24000.0, 31000.0)]
    house = [(4000.0, 6000.0), (13000.0, 6500.0), (13000.0, 14000.0), (4000.0, 14000.0)]
    lengths = []
    for points, front in ((line, "right"), (line[::-1], "left")):
        run = {"points": moved(points), "front": front}
        feature = {"kind": "house", "points": moved(house)}
        found = distances(fence_of({"run": [run], "feature": [feature]}))
        lengths.append([round(apart.length, 3) for apart in found])
    assert lengths[0] == lengths[1] == pytest.approx([6000.0, 6500.0])


@pytest.mark.parametrize(("feature", "said"), [
    ({**SITE, "kind": "road"}, "is of a boundary alone"),
    ({**SITE, "closed": False}, "the edge of land goes all round it"),
])  # fmt: skip
def test_edges_of_land_that_are_none_are_told(feature: dict[str, Any], said: str) -> None:
    with pytest.raises((PalewrightError, AssertionError), match=said):
        fence_of({"run": [RUN], "feature": [feature]})
