"""Ways that pales stand: kinds by turns, their gaps, and what is told of them."""

from __future__ import annotations

import math
from copy import deepcopy
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
from palewright.export.drawing.sets.schedules import member_rows
from palewright.export.drawing.sets.sheet_sets import Purpose, sheet_set
from palewright.export.drawing.writers.dxf import write_dxf
from palewright.export.papers.offer_words import offered
from palewright.model.fence.fence_model import FenceModel
from palewright.model.order.order_lines import order
from palewright.model.parts.members import PALE
from palewright.model.resolved.pale_plan import PaleTurns
from palewright.model.resolved.resolve import resolve
from palewright.model.spec.spec_tables import SpecTables

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


def rebuilt_off(fence: FenceModel, path: Path) -> dict[str, float]:
    """Return how far members built again from the build set are off, by mark, mm."""
    sheets, style = sheet_set(fence, Purpose.BUILD, Style())
    path.write_bytes(write_dxf(sheets, "build", style))
    made = by_mark(read_printed(path))
    groups = fence.by_mark
    assert {m: len(group) for m, group in made.items()} == {m: len(groups[m]) for m in groups}
    return {mark: farthest_of(groups[mark], made[mark], fence.job.origin) for mark in groups}


@pytest.mark.slow
def test_pales_by_turns_are_built_again_from_the_sheets(tmp_path: Path) -> None:
    """On a slope, with a gate and a corner."""
    data = deepcopy(GARDEN)
    data["run"][0]["points"] = [[0, 0, 0], [7200, 0, 300], [7200, 4200, 300]]
    off = rebuilt_off(fence_of(data), tmp_path / "garden.dxf")
    assert max(off.values()) < NEAR, off
