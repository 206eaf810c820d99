"""The workshop's sheets: every mark is where its member is, and lists agree with the order."""

from __future__ import annotations

import itertools
import re
from collections import Counter
from collections.abc import Iterator
from typing import Any

import pytest
from test_gate_leaves import STREET
from test_sheets import FEET, LONG

from helpers import EXAMPLES, example_fence, fence_of
from palewright.export.drawing.draft.paper import Label, on_paper
from palewright.export.drawing.draft.style import Style
from palewright.export.drawing.sets.brief import Brief, brief_of
from palewright.export.drawing.sets.cutting_list import (
    cut_rows,
    cutting_views,
    hand,
    short_points,
    size_rows,
    turned_forms,
)
from palewright.export.drawing.sets.key_set import MOST_ROWS, key_views
from palewright.export.drawing.sets.sheet_sets import Purpose, sheet_set
from palewright.export.drawing.views.board_views import board_views
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.facets import faces_of
from palewright.model.geometry.prisms import EndCut
from palewright.model.geometry.shapes import Bar, rectangle_section
from palewright.model.lists.bay_marks import bay_lines
from palewright.model.lists.takeoff import part_lines
from palewright.model.order.order_lines import order

CLOSED: dict[str, Any] = {
    "run": [
        {
            "name": "field",
            "points": [[x, y, 37 * ((x + y) // 1000 % 7)] for x, y in (
                (0, 0), (21000, 400), (40000, 0), (61000, 9000), (64000, 30000), (58000, 52000),
                (33000, 60000), (11000, 55000), (-4000, 31000),
            )],
            "closed": True,
            "gate": [{"at": 9000}, {"at": 70000, "opening": 3000, "leaves": 2}],
        }
    ],
    "rails": {"form": "arris", "section": [70, 50]},
    "pales": {"width": 75},
    "posts": {"top": {"shape": "cap", "overhang": 0}},
}  # fmt: skip
"""A closed field of corners on uneven ground, with arris rails and caps."""

FENCES = {path.stem: example_fence(path) for path in EXAMPLES} | {
    name: fence_of(spec)
    for name, spec in (("street", STREET), ("feet", FEET), ("long", LONG), ("closed", CLOSED))
}


@pytest.fixture(params=FENCES)
def fence(request: pytest.FixtureRequest) -> FenceModel:
    return FENCES[request.param]


def brief(fence: FenceModel) -> Brief:
    return brief_of(fence, Style(), None, metres=False)


def view_texts(views: Any, made: Brief) -> list[str]:
    return [m.text for v in views for m in on_paper(v, made.style) if isinstance(m, Label)]


MARK = re.compile(r"\b[A-Z]{2}\d+\b")


def test_every_mark_is_on_a_view_of_the_workshops_set(fence: FenceModel) -> None:
    """Lists do not count: the mark stands on an elevation, a leaf, a note or the bays' table."""
    sheets, style = sheet_set(fence, Purpose.WORKSHOP, Style())
    found: set[str] = set()
    for sheet in sheets:
        for placed in sheet.placed:
            if placed.view.group.startswith(("marks", "gate leaf")):
                labels = on_paper(placed.view, style)
                found |= {m for x in labels if isinstance(x, Label) for m in MARK.findall(x.text)}
    assert set(fence.by_mark) - found == set()


def test_marks_stand_in_the_bays_that_have_them(fence: FenceModel) -> None:
    """By bay, the members of all bays are all members, each between the posts that are named."""
    lines = bay_lines(fence)
    assert Counter(m.name for line in lines for m in line.members) == Counter(
        m.name for m in fence.members
    )
    for line in lines:
        layout = fence.layouts[line.run]
        frame = layout.legs[line.leg].frame
        places = {post.label: frame.local(post.frame.origin)[0] for post in layout.posts}
        assert line.x0 < line.x1
        half = max(post.plan.width for post in layout.posts) + 1.0
        for label, x in ((line.first, line.x0), (line.last, line.x1)):
            assert abs(places[label] - x) < half + 120.0, line.name
        for member in line.members:
            if member.role == "pale":
                x = frame.local(member.frame.origin)[0]
                assert line.x0 - 600.0 < x < line.x1 + 600.0  # pales meet at corners


def test_pales_of_each_bay_are_counted_on_its_elevation() -> None:
    fence = FENCES["cottage"]
    made = brief(fence)
    texts = view_texts(key_views(made), made)
    wanted = Counter(
        f"{mark} x {count}"
        for line in bay_lines(fence)
        for mark, count in Counter(m.mark for m in line.members if m.role == "pale").items()
    )
    assert Counter(t for t in texts if re.fullmatch(r"PA\d+ x \d+", t)) == wanted


def test_marks_without_room_are_in_a_table_that_is_bounded() -> None:
    """A kilometre at a scale at which no bay has room: the table says how many bays it leaves."""
    spec = {
        "run": [{"points": [[n * 900, 0, (n * n * 37) % 211] for n in range(1100)]}],
        "sheets": {"elevation_scale": 2000},
        "posts": {"bay": 1000},
    }
    fence = fence_of(spec)
    made = brief(fence)
    texts = view_texts(key_views(made), made)
    told = [t for t in texts if "more bays" in t]
    bays = len(bay_lines(fence))
    assert bays > MOST_ROWS
    assert len(told) == 1
    assert "labels" in told[0]


def test_boards_say_all_their_pieces(fence: FenceModel) -> None:
    made, bought = brief(fence), order(fence)
    for line in bought.timber:
        texts = view_texts(board_views(line, 185.0, 98.0, made.style), made)
        assert not any("…" in text for text in texts)
        found = {m for text in texts for m in MARK.findall(text)}
        assert found == {m for _, marks in line.marks for m in marks}


def test_the_cutting_list_counts_what_the_boards_are_sawn_into(fence: FenceModel) -> None:
    made, bought = brief(fence), order(fence)
    counts = {row[0]: int(row[2]) for row in size_rows(made, bought, part_lines_of(fence))[1:]}
    for line in bought.timber:
        pieces = Counter(
            piece
            for board in line.plan.boards
            for _ in range(board.count)
            for piece in board.pieces
        )
        for piece, marks in line.marks:
            assert pieces[piece] == sum(counts[mark] for mark in marks), (line.section.name, marks)


def part_lines_of(fence: FenceModel) -> list[Any]:
    sawn = {m for line in order(fence).timber for _, marks in line.marks for m in marks}
    return [line for line in part_lines(fence) if line.mark in sawn]


def test_lengths_to_the_points_are_those_of_the_corners(fence: FenceModel) -> None:
    """The long points from all corners of a bar, the short ones from the corners of each edge."""
    for line in part_lines_of(fence):
        shape = fence.by_mark[line.mark][0].shape
        if isinstance(shape, Bar):
            points = [p[0] for face in faces_of(shape) for p in face]
            middle = (min(points) + max(points)) / 2.0
            starts = {p for face in faces_of(shape) for p in face if p[0] < middle}
            ends = {p for face in faces_of(shape) for p in face if p[0] >= middle}
            assert abs(line.length - (max(points) - min(points))) < 1e-6
            short = min(p[0] for p in ends) - max(p[0] for p in starts)
            assert abs(short_points(line.kind, shape) - short) < 1e-6


def test_which_end_is_long_and_which_pieces_are_handed() -> None:
    """The braces of double gates are one piece turned over, and lean the ways their ends say."""
    fence = FENCES["street"]
    made = brief(fence)
    rows = {row[0]: row for row in cut_rows(made, part_lines_of(fence))}
    braces = {m.mark: m for m in fence.members if m.kind.prefix == "BR" and m.leaf in (1, 2)}
    one, other = sorted(braces)
    assert rows[one][4] == f"{other} turned"
    assert rows[other][4] == f"{one} turned"
    for mark, member in braces.items():
        # seen from the front a brace that rises to the right has its left long point at the top
        rises = member.frame.x[2] > 0.0
        assert ("long at top" in rows[mark][1]) is rises
        assert ("long at foot" in rows[mark][2]) is rises


def test_pales_bevelled_at_a_corner_are_mirror_images() -> None:
    """Two square pales that meet in a mitre; posts cut alike stand in one line."""
    fence = FENCES["hillside"]
    rows = {row[0]: row for row in cut_rows(brief(fence), part_lines_of(fence))}
    assert rows["PA2"][2].endswith("wide at front")
    assert rows["PA3"][1].endswith("wide at front")
    assert (rows["PA2"][4], rows["PA3"][4]) == ("mirror of PA3", "mirror of PA2")
    assert rows["PO1 to PO16"][3] == "four-way, rises 30"
    assert rows["GB1"][3] == "lower edge to the ground"


def test_a_mirror_image_is_told_from_a_piece_turned() -> None:
    """Of raked mitres: by turning the corners of a bar about each axis, and by mirroring them."""
    section = rectangle_section(75.0, 38.0)
    for left, right in (
        ((0.5, 0.1), (0.0, 0.1)),
        ((0.5, 0.0), (0.0, 0.0)),
        ((0.0, 0.7), (0.0, 0.7)),
    ):
        one = Bar(section, 1000.0, EndCut(*left), EndCut(*right))
        lay = shape_points(one, (1, 1, 1))
        for ky0, kz0, ky1, kz1, shift in ends_of_all_signs(left, right):
            other = Bar(section, 1000.0 + shift, EndCut(ky0, kz0), EndCut(ky1, kz1))
            turns = [(1, 1, 1), (-1, -1, 1), (1, -1, -1), (-1, 1, -1)]
            turned = any(shape_points(other, signs) == lay for signs in turns)
            mirrored = shape_points(other, (-1, 1, 1)) == lay or any(
                shape_points(other, (-a, b, c)) == lay for a, b, c in turns
            )
            forms = {form: ["other"] for form in turned_forms(other)}
            said = hand("one", one, forms)
            assert (said == "other turned") is turned, (left, right, ky0, kz0, ky1, kz1)
            if not turned:
                assert (said == "mirror of other") is mirrored


def shape_points(bar: Bar, signs: tuple[int, int, int]) -> list[tuple[float, ...]]:
    """Corners of a bar about its middle, turned or mirrored by signs, in order."""
    points = {p for face in faces_of(bar) for p in face}
    middle = [(min(p[i] for p in points) + max(p[i] for p in points)) / 2.0 for i in range(3)]
    return sorted(
        tuple(round(s * (v - m), 2) + 0.0 for s, v, m in zip(signs, p, middle, strict=True))
        for p in points
    )


def ends_of_all_signs(
    left: tuple[float, float], right: tuple[float, float]
) -> Iterator[tuple[float, float, float, float, float]]:
    """Cuts of all signs, either way round, each as long through the middle of the section."""
    middle = 19.0, 37.5
    whole = 1000.0 + right[0] * middle[0] + right[1] * middle[1]
    whole -= left[0] * middle[0] + left[1] * middle[1]
    for (a, b), (c, d) in ((left, right), (right, left)):
        for sa, sb, sc, sd in itertools.product((1, -1), repeat=4):
            ends = sa * a, sb * b, sc * c, sd * d
            length = whole - ends[2] * middle[0] - ends[3] * middle[1]
            length += ends[0] * middle[0] + ends[1] * middle[1]
            yield (*ends, length - 1000.0)


def test_feet_and_inches_throughout() -> None:
    """No figure of the lists is in millimetres; only what is screwed and nailed is sold so."""
    fence = FENCES["feet"]
    made, bought = brief(fence), order(fence)
    views = [v for line in bought.timber for v in board_views(line, 185.0, 98.0, made.style)]
    texts = view_texts([*views, *cutting_views(made, bought)], made)
    assert not any(re.search(r"\bmm\b|\bkg\b", text) for text in texts)
    for mark in fence.by_mark:
        if mark.startswith(("RA", "PA", "PO")):
            length = made.figures.text(fence.by_mark[mark][0].shape.size[2])
            assert "'" in length
            assert any(text.startswith(length) or text == length for text in texts), mark
    assert "lb each" in texts
