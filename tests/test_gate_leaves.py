"""Gate leaves on the workshop's sheets: every figure against the corners of the members."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from typing import Any

import pytest

from helpers import EXAMPLES, example_fence, fence_of
from palewright.export.drawing.draft.paper import Label, bounds, on_paper
from palewright.export.drawing.draft.style import DIMENSIONS, Style
from palewright.export.drawing.sets.brief import Brief, brief_of
from palewright.export.drawing.sets.drawing_files import set_files
from palewright.export.drawing.sets.gate_leaves import leaf_groups, part_rows
from palewright.export.drawing.sets.sheet_sets import Purpose, sheet_set
from palewright.export.drawing.views.leaf_shown import LeafShown, leaves_shown
from palewright.export.drawing.views.leaf_views import leaf_section, leaf_view
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.facets import faces_of
from palewright.model.geometry.post_shapes import Post
from palewright.model.geometry.shapes import Bar, Plate
from palewright.model.parts.members import BRACE, LEDGE, PALE, POST, Member

STREET: dict[str, Any] = {
    "run": [
        {
            "name": "street",
            "points": [[0, 0, 0], [14000, 0, 900], [14000, 9000, 1500], [6000, 12000, 1500]],
            "starts": "wall",
            "gate": [
                {"at": 5000, "opening": 950, "swing": "out", "hinge": "right"},
                {"at": 25000, "opening": 3300, "leaves": 2},
            ],
        }
    ],
    "pales": {"width": 70, "length": 1100, "gap": 45, "head": "round"},
    "rails": {"tops": [250, 950]},
}
"""A sloping street that starts on a wall, with a gate of 950 and double gates of 3300."""

TALL: dict[str, Any] = {
    "run": [{"points": [[0, 0], [9000, 0]], "gate": [{"at": 3000}, {"at": 6000}]}],
    "pales": {"length": 2000},
    "rails": {"tops": [200, 1800]},
}
"""Two gates alike with a ledge in the middle, so two braces each."""


def fences() -> dict[str, FenceModel]:
    made = {path.stem: example_fence(path) for path in EXAMPLES}
    return {**made, "street": fence_of(STREET), "tall": fence_of(TALL)}


FENCES = fences()


def brief(fence: FenceModel) -> Brief:
    """Figures to a tenth, so that what is compared is not rounded twice."""
    made = brief_of(fence, Style(), None, metres=False)
    return replace(made, style=replace(made.style, figures=replace(made.figures, whole=False)))


@pytest.fixture(
    params=[(name, n) for name, fence in FENCES.items() for n in range(len(leaves_shown(fence)))],
    ids=lambda param: f"{param[0]}-{param[1]}",
)
def leaf(request: pytest.FixtureRequest) -> LeafShown:
    name, number = request.param
    return leaves_shown(FENCES[name])[number][0]


def corners(member: Member) -> list[tuple[float, float, float]]:
    """Corners of a member on the site: of bars from its faces, of pales from its outline."""
    shape = member.shape
    if isinstance(shape, Plate):
        flat = [(x, 0.0, z) for x, z in shape.outline.flatten(0.01)]
        return [member.frame.point(point) for point in flat]
    assert isinstance(shape, (Bar, Post))
    return [member.frame.point(point) for face in faces_of(shape) for point in face]


def along(shown: LeafShown, members: list[Member]) -> tuple[float, float, float, float]:
    """Reach of members along the leg and their levels, by its direction in plan."""
    start, way = shown.opening.leg.start, shown.opening.leg.frame.x
    points = [point for member in members for point in corners(member)]
    xs = [(p[0] - start[0]) * way[0] + (p[1] - start[1]) * way[1] for p in points]
    zs = [p[2] for p in points]
    return min(xs), max(xs), min(zs), max(zs)


def of(shown: LeafShown, *kinds: object) -> list[Member]:
    return [m for m in shown.members if m.kind in kinds]


def written(shown: LeafShown, *, back: bool) -> list[str]:
    made = brief(shown.fence)
    view = leaf_view(shown, made.draft_at(10.0), back=back)
    marks = on_paper(view, made.style)
    return [m.text for m in marks if isinstance(m, Label) and m.layer == DIMENSIONS]


def words(shown: LeafShown) -> str:
    return " ".join(row[-1] for row in part_rows(shown, brief(shown.fence)))


def test_width_height_and_clearances(leaf: LeafShown) -> None:
    text = brief(leaf.fence).figures.text
    left, right, low, high = along(leaf, of(leaf, PALE, LEDGE))
    figures = written(leaf, back=False)
    assert text(right - left) in figures
    assert text(high - low) in figures
    labels = [post.label for post in leaf.opening.posts]
    posts = [m for m in leaf.fence.members if m.kind == POST and m.station in labels]
    at_left, at_right = sorted(along(leaf, [post])[:2] for post in posts)
    if leaf.number == 0:
        assert text(left - at_left[1]) in figures
    if leaf.number == len(leaf.opening.leaves) - 1:
        assert text(at_right[0] - right) in figures
    ground = max(leaf.opening.leg.ground(x) for x in (leaf.opening.start, leaf.opening.end))
    assert text(low - leaf.opening.leg.start[2] - ground) in figures


def test_pales_are_set_out(leaf: LeafShown) -> None:
    text = brief(leaf.fence).figures.text
    left = along(leaf, of(leaf, PALE, LEDGE))[0]
    spans = sorted(along(leaf, [m])[:2] for m in of(leaf, PALE))
    gap = spans[1][0] - spans[0][1]
    assert f"gap {text(gap)}" in words(leaf)
    assert text(gap) in written(leaf, back=False)
    running = ", ".join(text(round(span[0] - left, 4)) for span in spans)
    assert running in words(leaf)


def test_ledges_and_hinges_stand_where_they_are(leaf: LeafShown) -> None:
    text = brief(leaf.fence).figures.text
    foot = along(leaf, of(leaf, PALE))[2]
    spans = sorted(along(leaf, [m])[2:] for m in of(leaf, LEDGE))
    places = " and ".join(text(low - foot) for low, _ in spans)
    assert f"undersides {places} over the feet" in words(leaf)
    figures = written(leaf, back=True)
    for (low, high), (above, _) in zip(spans, spans[1:], strict=False):
        assert text(high - low) in figures
        assert text(above - high) in figures
    middles = [(spans[n][0] + spans[n][1]) / 2.0 - foot for n in (0, -1)]
    assert text(middles[0]) in figures
    assert text(middles[1] - middles[0]) in figures
    assert f"middles {' and '.join(map(text, middles))} over the feet" in words(leaf)


def test_the_brace_is_cut_as_its_corners_say(leaf: LeafShown) -> None:
    braces = of(leaf, BRACE)
    if not braces:
        pytest.skip("no brace")
    text = brief(leaf.fence).figures.text
    points = corners(braces[0])
    start, way = leaf.opening.leg.start, leaf.opening.leg.frame.x
    flat = sorted(
        {
            (
                round((p[2] - start[2]), 3),
                round((p[0] - start[0]) * way[0] + (p[1] - start[1]) * way[1], 3),
            )
            for p in points
        }
    )
    low, high = flat[0][0], flat[-1][0]
    feet = [x for z, x in flat if z < (low + high) / 2]
    heads = [x for z, x in flat if z > (low + high) / 2]
    rise, run = high - low, abs(min(heads) - min(feet))
    # the cut lies level, so that off square it is as far as the brace is off upright
    saw = math.degrees(math.atan2(run, rise))
    said = words(leaf)
    found = re.search(r"cut ([\d.]+)° off square, ([\d.]+)° to its edge", said)
    assert found is not None
    assert abs(float(found[1]) - saw) < 0.051
    assert abs(float(found[2]) - (90.0 - saw)) < 0.051
    assert f"rises {text(rise)} over a run of {text(run)}" in said
    if not brief(leaf.fence).feet:
        assert f"({100.0 * rise / run:.2f} in 100)" in said
    assert f"each edge {text(math.hypot(rise, run))} long" in said
    assert f"cuts {text(max(feet) - min(feet))} long" in said
    # its foot stands on the hanging side
    x0, x1 = along(leaf, of(leaf, PALE, LEDGE))[:2]
    hinge, free = (x0, x1) if leaf.leaf.hinge_left else (x1, x0)
    foot = min(abs(x - hinge) for x in feet)
    head = min(abs(x - free) for x in heads)
    assert f"foot {text(foot)} from the hanging edge, head {text(head)} from the free" in said
    figures = written(leaf, back=True)
    assert text(foot) in figures
    assert text(head) in figures


def test_every_part_of_a_leaf_is_marked(leaf: LeafShown) -> None:
    marks = {m.mark for m in leaf.members}
    assert {row[0] for row in part_rows(leaf, brief(leaf.fence))[1:]} - {""} == marks
    counts = [row[2] for row in part_rows(leaf, brief(leaf.fence))[1:]]
    assert sum(int(count) for count in counts if count) == len(leaf.members)
    made = brief(leaf.fence)
    labels = {
        m.text
        for m in on_paper(leaf_section(leaf, made.draft_at(10.0)), made.style)
        if isinstance(m, Label)
    }
    assert {m.mark for m in of(leaf, PALE, LEDGE, BRACE)} <= labels


def test_a_gates_name_may_hold_anything() -> None:
    """What a DXF forbids in the name of a layout stands in views, not in the titles of sheets."""
    run = {"points": [[0, 0], [9000, 0]], "gate": [{"at": 3000, "name": 'N<o>/\\":;?*|=` 1'}]}
    files = set_files(fence_of({"run": [run]}), Purpose.WORKSHOP, "odd")
    assert {"odd.dxf", "odd.pdf"} <= set(files)


def test_leaves_alike_are_drawn_once_and_all_are_named() -> None:
    ((title, views),) = leaf_groups(brief(FENCES["tall"]))
    assert title == "gate leaf 1"
    titles = [view.title or view.kind for view in views]
    assert titles == [
        "Gate 1, front", "Gate 1, back", "Parts of gate 1", "Gate 1, section",
    ]  # fmt: skip
    texts = [m.text for m in on_paper(views[2], Style()) if isinstance(m, Label)]
    assert "made alike: gate 1 of run A; gate 2 of run A" in texts


@pytest.mark.parametrize("size", ["A4", "A3", "A1", "ARCH B"])
def test_leaves_have_sheets_of_their_own_and_are_drawn_as_large_as_these_hold(size: str) -> None:
    fence = fence_of({**STREET, "sheets": {"size": size}})
    sheets, style = sheet_set(fence, Purpose.WORKSHOP, Style())
    leaves = [p for s in sheets for p in s.placed if p.view.group.startswith("gate leaf")]
    for sheet in sheets:  # leaves are made from sheets that show nothing else
        groups = {p.view.group for p in sheet.placed if p.view.kind != "frame"}
        assert len({g.startswith("gate leaf") for g in groups}) == 1
    drawn = [p for p in leaves if p.view.scale_text]
    assert {p.view.scale for p in drawn} <= {5.0, 10.0, 20.0}
    for placed in (p for s in sheets for p in s.placed if p.view.kind != "frame"):
        left, _, right, _ = bounds(on_paper(placed.view, style))
        assert right - left <= brief(fence).room[0] + 0.01, placed.view.kind
    assert size == "A4" or {p.view.scale for p in drawn} <= {5.0, 10.0}
    assert all(bounds(on_paper(p.view, style)) for p in drawn)
