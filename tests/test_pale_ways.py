"""Ways that pales stand: kinds by turns, their gaps, and what is told of them."""

from __future__ import annotations

import math
from collections import Counter
from copy import deepcopy
from functools import cache
from itertools import islice
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from printed import read_printed
from test_rebuild import NEAR, by_mark, farthest_of

from helpers import fence_of
from palewright.export.drawing.draft.figures import Figures
from palewright.export.drawing.draft.style import Style
from palewright.export.drawing.sets.drawing_files import template_files
from palewright.export.drawing.sets.materials_used import materials_used
from palewright.export.drawing.sets.schedules import bay_rows, member_rows, stop_rows
from palewright.export.drawing.sets.sheet_sets import Purpose, sheet_set
from palewright.export.drawing.writers.dxf import write_dxf
from palewright.export.papers.offer_words import offered
from palewright.model.basis.findings import Severity
from palewright.model.checks.building_checks import check
from palewright.model.checks.clash_checks import clashes
from palewright.model.fence.fence_model import FenceModel
from palewright.model.layout.pale_rows import opening_of
from palewright.model.order.fixings import crossings
from palewright.model.order.order_lines import order
from palewright.model.parts.members import PALE
from palewright.model.resolved.pale_plan import PaleTurns
from palewright.model.resolved.resolve import resolve
from palewright.model.spec.spec_tables import SpecTables
from palewright.model.strength.shown import outlines, shown_by_stretch

BEGIN = ("ends", "middle", "left", "right")

Data = dict[str, Any]

GARDEN: Data = {
    "run": [
        {
            "points": [[0, 0], [7200, 0], [7200, 4200]],
            "gate": [{"at": 3600, "opening": 1100}],
        }
    ],
    "pales": {
        "gap": 50,
        "turns": [
            {"width": 90, "length": 900, "head": "pointed"},
            {"width": 60, "length": 750, "head": "round"},
            {"width": 60, "length": 675, "head": "round"},
        ],
    },
}


def garden(**pales: Any) -> FenceModel:
    data = deepcopy(GARDEN)
    data["pales"] |= pales
    return fence_of(data)


def kinds(fence: FenceModel, stretch: int) -> list[tuple[float, float]]:
    pales = fence.layouts[0].stretches[stretch].pales
    return [(pale.kind.width, pale.kind.length) for pale in pales]


@given(
    st.lists(st.floats(20, 200), min_size=1, max_size=5), st.sampled_from(BEGIN), st.integers(1, 60)
)
def test_turns_repeat_and_their_widths_add_up(widths: list[float], begin: Any, count: int) -> None:
    turns = PaleTurns(tuple(widths), begin)
    order = turns.of(count)
    assert turns.total(count) == pytest.approx(math.fsum(widths[turn] for turn in order))
    if turns.mirrored:
        assert order == order[::-1]
    first = {"ends": 0, "middle": (count - 1) // 2, "left": 0, "right": count - 1}[begin]
    assert order[first] == 0
    steps = {(b - a) % len(widths) for a, b in zip(order, order[1:], strict=False)}
    assert steps <= {1 % len(widths), -1 % len(widths), 0}


@pytest.mark.parametrize("begin", BEGIN)
@pytest.mark.parametrize("spaced", ["stretch", "bay"])
def test_gaps_are_equal_and_the_chain_closes(begin: str, spaced: str) -> None:
    fence = garden(turns_from=begin, spaced=spaced)
    for stretch in fence.layouts[0].stretches:
        row = stretch.row
        for start, spacing in row.parts:
            part = [p for p in row.places if start - 1e-6 <= p.edge < start + 1e9]
            ends = [(p.edge, p.edge + p.kind.width) for p in part[: spacing.count]]
            gaps = [after - before for (_, before), (after, _) in zip(ends, ends[1:], strict=False)]
            assert gaps == pytest.approx([spacing.gap] * len(gaps), abs=1e-6)
        if spaced == "stretch":
            assert (row.places[0].edge, row.end) == pytest.approx((row.x0, row.x1), abs=1e-6)
        assert row.gap <= fence.job.runs[0].pales.gap_max


def test_turns_from_both_ends_are_mirrored_about_gate_and_corner() -> None:
    fence = garden()
    for stretch in range(3):
        row = kinds(fence, stretch)
        assert row == row[::-1]
        assert row[:3] == [(90.0, 900.0), (60.0, 750.0), (60.0, 675.0)]
    leaf = [m for m in fence.members if m.kind == PALE and m.leaf is not None]
    widths = [m.shape.size[0] for m in sorted(leaf, key=lambda m: m.frame.origin[0])]
    assert widths == widths[::-1]
    assert widths[0] == 90.0


def test_turns_from_the_middle_have_the_first_one_there() -> None:
    fence = garden(turns_from="middle", spaced="bay")
    (stretch, *_) = fence.layouts[0].stretches
    for start, spacing in stretch.row.parts:
        part = [p for p in stretch.row.places if p.edge >= start - 1e-6][: spacing.count]
        assert len(part) % 2
        assert part[len(part) // 2].kind.width == 90.0


def test_a_mirrored_fence_has_its_turns_from_the_other_side() -> None:
    left, right = garden(turns_from="left"), garden(turns_from="right")
    for stretch in range(3):
        assert kinds(left, stretch) == kinds(right, stretch)[::-1]


def test_feet_are_in_one_line_and_lengths_are_each_kinds_own() -> None:
    fence = garden()
    for stretch in fence.layouts[0].stretches:
        for pale in stretch.pales:
            assert pale.foot == pytest.approx(50.0)
            assert pale.length == pale.kind.length


def test_lists_know_each_kind() -> None:
    fence = garden()
    counts: dict[tuple[float, ...], int] = {}
    for member in fence.members:
        if member.kind == PALE and member.leaf is None:
            counts[member.shape.size] = counts.get(member.shape.size, 0) + 1
    assert set(counts) == {(90.0, 20.0, 900.0), (60.0, 20.0, 750.0), (60.0, 20.0, 675.0)}
    rows = member_rows(fence, Figures())
    heads = {(row[3], row[5]): row[6] for row in rows if row[1] == "pale"}
    assert heads["90", "900"] == "pale head 1"
    assert heads["60", "750"] == heads["60", "675"] == "pale head 2"
    bought = {line.item: line.quantity for line in order(fence).lines}
    pales = [m for m in fence.members if m.kind == PALE]
    assert bought["shape pointed head"] + bought["shape round head"] == len(pales)
    assert any("90 x 20" in item for item in bought)
    assert any("60 x 20" in item for item in bought)


def test_pales_bought_with_their_heads_are_ordered_by_kind() -> None:
    items = [line.item for line in order(garden(ready_shaped=True)).lines]
    assert "pale 90 x 20 x 900, pointed, ready shaped" in items
    assert "pale 60 x 20 x 675, round, ready shaped" in items


def test_a_template_is_made_of_each_head() -> None:
    files = template_files(garden(), "garden", "A4", 0.0)
    assert {f"garden-head-A-{n}.{kind}" for n in (1, 2) for kind in ("pdf", "dxf")} == set(files)


def test_a_customer_reads_of_turns() -> None:
    fence = garden()
    told = dict(offered(fence, order(fence)))["Pales"]
    assert "90 \u00d7 20 mm and 60 \u00d7 20 mm, by turns, 900 mm, 750 mm and 675 mm long, " in told
    assert "with pointed and round heads" in told


def problems(**pales: Any) -> list[str]:
    data = {"run": [{"points": [[0, 0], [3600, 0]]}], **pales}
    return [f"{p.path}: {p.message}" for p in resolve(SpecTables.model_validate(data)).problems]


@pytest.mark.parametrize(
    ("pales", "said"),
    [
        ({"turns": [{"width": 90}]}, "two or more rows"),
        ({"turns_from": "left"}, "there is no pales.turns"),
        ({"width": 80, "turns": [{"width": 90}, {"width": 60}]}, "has its own width"),
        ({"turns": [{}, {"head": {"shape": "segmental", "rise": 60}}]}, "cannot be cut"),
    ],
)
def test_turns_that_do_nothing_or_cannot_be_are_refused(pales: Data, said: str) -> None:
    (message,) = problems(pales=pales)
    assert said in message


def test_heads_of_turns_are_refused_where_tops_follow_a_curve() -> None:
    turns = [{"width": 90, "head": "round"}, {"width": 60}]
    (message,) = problems(pales={"turns": turns}, top_line={"shape": "dip", "heads": "curve"})
    assert "tops follow the curve" in message


YARD: Data = {
    "run": [
        {
            "points": [[0, 0], [7200, 0], [7200, 4200], [9600, 4200]],
            "gate": [{"at": 3600, "opening": 1100}],
        }
    ],
    "pales": {"length": 1500, "head": "clipped"},
    "posts": {"embedment": 700},
}


@cache
def yard(on: str) -> FenceModel:
    """A fence with a gate, an outside and an inside corner."""
    return fence_of({**YARD, "pales": {**YARD["pales"], "on": on}})


LAPPED = ("both", "board on board")
WAYS = ("front", "back", *LAPPED)


@pytest.mark.parametrize("on", WAYS)
def test_nothing_stands_in_the_way_on_any_face(on: str) -> None:
    fence = yard(on)
    assert not [finding.code for finding in check(fence) if finding.severity is Severity.STOP]
    assert not list(clashes(fence))
    faces = {"front": {-108.0}, "back": {-50.0}, "both": {-108.0, -50.0},
             "board on board": {-108.0, -128.0}}[on]  # fmt: skip
    frames = [leg.frame for leg in fence.layouts[0].legs]
    pales = [m for m in fence.members if m.kind == PALE and m.leaf is None]
    ys = {round(frames[m.leg].local(m.frame.origin)[1], 3) for m in pales}
    assert ys == faces


@pytest.mark.parametrize("on", ["back", "both"])
def test_each_bay_is_filled_from_post_to_post(on: str) -> None:
    """length = N w + (N + 1) g, the gaps at the posts counted; g is under 0 where pales lap."""
    fence = yard(on)
    first, *_ = fence.layouts[0].stretches
    for (start, spacing), x0, x1 in zip(first.row.parts, first.xs, first.xs[1:], strict=False):
        right = first.posts[-1].plan.width if x1 == first.xs[-1] else 100.0
        clear = x1 - right / 2.0 - x0 - 50.0
        assert start == pytest.approx(x0 + 50.0)
        assert spacing.count * 100.0 + (spacing.count + 1) * spacing.gap == pytest.approx(clear)


@pytest.mark.parametrize("on", LAPPED)
def test_pales_that_lap_take_turns_and_are_odd_in_number(on: str) -> None:
    fence = yard(on)
    pales = fence.job.runs[0].pales
    for stretch in fence.layouts[0].stretches:
        places = iter(stretch.row.places)
        for _, spacing in stretch.row.parts:
            part = list(islice(places, spacing.count))
            assert [place.layer for place in part] == [n % 2 for n in range(spacing.count)]
            assert spacing.count % 2
            assert -0.45 * 100.0 <= spacing.gap <= pales.gap_max


@pytest.mark.parametrize("on", LAPPED)
def test_fences_that_lap_cover_all_that_the_wind_meets(on: str) -> None:
    """All but the cut corners of heads, and of hit and miss what is over and under the posts."""
    fence = yard(on)
    polygons = outlines(fence)[0, 0, False]
    (stretch, *_) = fence.layouts[0].stretches
    solid = shown_by_stretch(polygons, stretch).solidity
    assert (0.995 if on == "board on board" else 0.97) < solid <= 1.0
    plain = yard("front")
    open_ = shown_by_stretch(outlines(plain)[0, 0, False], plain.layouts[0].stretches[0]).solidity
    assert open_ < 0.8


def test_what_goes_through_is_between_the_layers() -> None:
    """38 mm of rail between the faces of hit and miss; nothing board on board."""
    layouts = [yard(on).layouts[0] for on in LAPPED]
    assert [opening_of(one.run, one.stretches[0].row) for one in layouts] == [38.0, 0.0]


def test_outer_boards_are_nailed_through_what_they_lie_over() -> None:
    counts = crossings(yard("board on board"))
    layout = yard("board on board").layouts[0]
    over = sum(pale.layer == 1 for s in layout.stretches for pale in s.pales)
    assert counts[40.0, 38.0] == over * len(layout.run.rails.tops)
    assert {thick for thick, _ in crossings(yard("both"))} == {20.0}


@pytest.mark.parametrize("on", LAPPED)
def test_leaves_of_fences_that_lap_are_set_close(on: str) -> None:
    (opening,) = yard(on).layouts[0].openings
    (leaf,) = opening.leaves
    assert leaf.spacing.gap < 10.0
    leaf_pales = [m for m in yard(on).members if m.kind == PALE and m.leaf is not None]
    assert {m.role for m in leaf_pales} == {"gate pale"}


def test_pales_set_close_leave_what_whole_ones_do_not_fill() -> None:
    fence = fence_of({"run": [{"points": [[0, 0], [7200, 0]]}], "pales": {"gap": 0, "width": 120}})
    (stretch,) = fence.layouts[0].stretches
    count = stretch.row.count
    assert count == 7300 // 120
    assert stretch.row.gap == pytest.approx((7300 - count * 120) / (count - 1))


def test_papers_say_how_pales_lap() -> None:
    fence = yard("both")
    told = dict(offered(fence, order(fence)))["Pales"]
    assert "on both faces of the rails by turns (hit and miss), each lapping the next by " in told
    (first, *_) = fence.layouts[0].stretches
    lap = f"laps {Figures().fine(-first.row.gap)}"
    assert bay_rows(fence, Figures())[1][5] == lap
    apart = Figures().fine(100.0 + 2.0 * first.row.gap)
    assert stop_rows(fence, Figures())[1][5] == f"{lap}; {apart} in a layer"
    (used, *_) = materials_used(fence, 0, fence.layouts[0], Figures())
    assert "on both faces of the rails by turns (hit and miss), lapping " in used


def test_a_lap_that_no_count_gives_is_a_stop() -> None:
    data = {"run": [{"points": [[0, 0], [200, 0]]}], "pales": {"on": "both", "overlap": 33}}
    found = {finding.code for finding in check(fence_of(data))}
    assert "LAP-SMALL" in found


@pytest.mark.parametrize(
    ("tables", "said"),
    [
        ({"pales": {"on": "back"}, "rails": {"form": "arris"}}, "no flat back"),
        ({"pales": {"overlap": 20}}, "pales lap where on is"),
        ({"pales": {"on": "both", "overlap": 60}}, "by 45 mm at most"),
        ({"pales": {"on": "both", "gap": 50}}, "say overlap"),
        ({"pales": {"on": "back", "ends": "gap"}}, "each bay is filled from post to post"),
        ({"pales": {"on": "board on board", "ends": "gap"}}, "leave no gap at the ends"),
        ({"pales": {"on": "both"}, "corners": {"pales": "mitre"}}, "meet no others"),
    ],
)
def test_faces_that_cannot_be_are_refused(tables: Data, said: str) -> None:
    messages = problems(**tables)
    assert len(messages) == 1
    assert said in messages[0]


@pytest.mark.parametrize(
    ("table", "value", "said"),
    [("corners", {"posts": "pair"}, "leave the corner"), ("rails", {"corners": "butt"}, "mitre")],
)
def test_corners_that_pales_between_posts_cannot_turn_are_refused(
    table: str, value: Data, said: str
) -> None:
    (message,) = problems(**{**YARD, "pales": {"on": "back"}, table: value})
    assert said in message


def rebuilt_off(fence: FenceModel, path: Path) -> dict[str, float]:
    """Return how far members built again from the build set are off, by mark, mm."""
    sheets, style = sheet_set(fence, Purpose.BUILD, Style())
    path.write_bytes(write_dxf(sheets, "build", style))
    made = by_mark(read_printed(path))
    groups = fence.by_mark
    assert {m: len(group) for m, group in made.items()} == {m: len(groups[m]) for m in groups}
    return {mark: farthest_of(groups[mark], made[mark], fence.job.origin) for mark in groups}


@pytest.mark.slow
def test_pales_by_turns_on_both_faces_are_built_again_from_the_sheets(tmp_path: Path) -> None:
    """On a slope, with a gate and a corner."""
    data = deepcopy(GARDEN)
    data["run"][0]["points"] = [[0, 0, 0], [7200, 0, 300], [7200, 4200, 300]]
    data["pales"] = {"on": "both", "turns": data["pales"]["turns"]}
    off = rebuilt_off(fence_of(data), tmp_path / "garden.dxf")
    assert max(off.values()) < NEAR, off


def flipped(data: Data) -> Data:
    """The same fence in a mirror."""
    data = deepcopy(data)
    (run,) = data["run"]
    run["points"] = [[-x, *rest] for x, *rest in run["points"]]
    run["front"] = "left"
    run["gate"][0]["hinge"] = "right"
    return data


def turned_about(data: Data) -> Data:
    """The same fence told from its other end."""
    data = deepcopy(data)
    (run,) = data["run"]
    level = [point[:2] for point in run["points"]]
    length = math.fsum(map(math.dist, level, level[1:]))
    run["points"], run["front"] = run["points"][::-1], "left"
    run["gate"][0]["at"] = length - run["gate"][0]["at"]
    return data


@pytest.mark.parametrize("change", [flipped, turned_about])
@pytest.mark.parametrize("on", WAYS)
def test_mirrored_and_reversed_fences_have_the_same_pales(on: str, change: Any) -> None:
    gap = {} if on in LAPPED else {"gap": 50}
    data = {**deepcopy(YARD), "pales": {"on": on, "turns": GARDEN["pales"]["turns"], **gap}}
    counts = [
        Counter((m.kind.name, m.role, round(m.shape.volume)) for m in made.members)
        for made in (fence_of(data), fence_of(change(data)))
    ]
    assert counts[0] == counts[1]
