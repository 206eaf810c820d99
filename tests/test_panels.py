"""Bays made in the workshop: their marks, sizes, weights, sheets, lists, checks and refusals."""

from __future__ import annotations

import itertools
import math
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import shapely

from helpers import fence_of
from palewright.export.drawing.draft.style import Style
from palewright.export.drawing.draft.view import Dimension, Text
from palewright.export.drawing.sets.brief import brief_of
from palewright.export.drawing.sets.panel_sheets import panel_groups, piece_rows
from palewright.export.drawing.sets.setting_out_tables import clear_rows
from palewright.export.drawing.views.panel_jig import Jig
from palewright.export.models.tree import tree_of
from palewright.export.papers.offer_words import offered
from palewright.export.tables.panel_tables import panel_tables
from palewright.model.basis.errors import SpecError
from palewright.model.checks.building_checks import check
from palewright.model.checks.clash_checks import clashes
from palewright.model.fence.fence_model import FenceModel
from palewright.model.lists.setting_out import site_steps
from palewright.model.order.order_lines import Order, order
from palewright.model.order.panel_lines import panel_lines, panel_parts
from palewright.model.order.takeoff_document import takeoff_json
from palewright.model.parts.members import BOLT, BRACKET, PALE, PANEL_UPRIGHT, RAIL
from palewright.reading import job_of

LINE: dict[str, Any] = {
    "points": [[0, 0], [7200, 0], [7200, 5000], [9000, 5000]],
    "gate": [{"at": 3600.0, "opening": 1000.0}],
}
SLOPE: dict[str, Any] = {
    "points": [[0, 0, 0], [7200, 0, 900], [9500, 4200, 1000]],
    "gate": [{"at": 3600.0, "opening": 1000.0}],
}
FRAMED: dict[str, Any] = {"panels": {"made": True, "uprights": 50.0}, "run": [LINE]}
ON_POSTS: dict[str, Any] = {
    "panels": {"made": True, "hung": "on posts"},
    "run": [{"points": [[0, 0], [7200, 0], [7200, 5000]], "gate": LINE["gate"]}],
}
JOBS: dict[str, dict[str, Any]] = {
    "framed": FRAMED,
    "on posts": ON_POSTS,
    "centred": {
        "panels": {"made": True},
        "rails": {"form": "between", "set_in": "centred"},
        "pales": {"ends": "gap"},
        "run": [LINE],
    },
    "raked": {"panels": {"made": True, "uprights": 60.0, "fixings": 2}, "rails": {"count": 3},
              "run": [SLOPE]},
    "stepped boards": {
        "panels": {"made": True, "hung": "on posts", "clearance": 10.0},
        "pales": {"on": "board on board", "length": 1200, "head": "square"},
        "slopes": {"follow": "step"},
        "run": [{"points": [[0, 0, 0], [7200, 0, 500], [9000, 4000, 500]]}],
    },
    "turns, feet and inches": {
        "sheets": {"units": "ft-in"},
        "panels": {"made": True},
        "pales": {"turns": [{}, {"width": 70.0, "length": 800.0, "head": "round"}]},
        "run": [SLOPE],
    },
}  # fmt: skip


@cache
def bought_for(name: str) -> Order:
    return order(fence_of(JOBS[name]))


@pytest.fixture(params=JOBS)
def fence(request: pytest.FixtureRequest) -> FenceModel:
    return fence_of(JOBS[request.param])


def test_panels_stand_clear_of_posts_and_nothing_clashes(fence: FenceModel) -> None:
    assert list(clashes(fence)) == []
    bays = sum(len(s.settings) for layout in fence.layouts for s in layout.stretches)
    assert len(fence.panels) == bays
    for panel in fence.panels:
        (left, _), (right, _), *_ = panel.framed
        if panel.plan.between:
            assert right - left == pytest.approx(panel.clear - 2.0 * panel.plan.clearance, abs=25.0)
            aligned = abs(panel.clear - (right - left) - 2.0 * panel.plan.clearance) < 0.01
            corner = any(p.label in (panel.first, panel.last) and p.kind == "corner"
                         for layout in fence.layouts for p in layout.posts)  # fmt: skip
            assert aligned or corner
        else:
            assert right - left > panel.clear


def test_each_panel_has_its_pales_with_equal_gaps_and_rails_in_one_length(
    fence: FenceModel,
) -> None:
    for panel in fence.panels:
        pales = panel.of(PALE)
        gaps = [two.low[0] - one.high[0] for one, two in itertools.pairwise(pales)]
        assert max(gaps) - min(gaps) < 0.01
        rails = panel.of(RAIL)
        assert len(rails) == len(fence.layouts[panel.run].run.rails.tops)
        left, right = panel.framed[0][0], panel.framed[1][0]
        for rail in rails:
            assert rail.low[0] - left == pytest.approx(panel.plan.upright, abs=0.01)
            assert right - rail.high[0] == pytest.approx(panel.plan.upright, abs=0.01)
        assert len(panel.of(PANEL_UPRIGHT)) == (2 if panel.plan.upright else 0)
        over = fence.layouts[panel.run].run.rails.section[1]
        for pale in pales:  # past the frame at most where panels meet outside a corner
            assert pale.low[0] > left - over - 0.01
            assert pale.high[0] < right + over + 0.01


def test_equal_clear_bays_share_one_mark_beside_thicker_posts() -> None:
    """Line posts are set so that panels come out equally long, though gate posts are thicker."""
    fence = fence_of(FRAMED)
    assert [panel.mark for panel in fence.panels[:4]] == ["PN1"] * 4
    line = panel_lines(fence)[0]
    assert (line.count, line.width) == (4, pytest.approx(1402.5))
    assert line.bays == ("A01 to A02", "A02 to A03", "A04 to A05", "A05 to A06")
    assert line.diagonals[0] == pytest.approx(math.hypot(1402.5, 634.0), abs=0.1)
    assert line.square
    volume = 2 * 75 * 38 * 1302.5 + 2 * 50 * 38 * 634 + 9 * 20 * (100 * 850 + 100 * 50 / 2)
    assert line.weight == pytest.approx(volume / 1e9 * fence.job.timber.density, rel=1e-6)


def test_a_raked_panel_is_a_parallelogram_with_two_diagonals() -> None:
    fence = fence_of(JOBS["raked"])
    panel = fence.panels[0]
    assert not panel.square
    (x0, a), (x1, c), (_, d), (_, b) = panel.framed
    slope = fence.layouts[0].stretches[0].settings[0].slope
    # the foot of an upright is cut square at its lower side
    assert c - a == pytest.approx(slope * (x1 - x0 - panel.plan.upright), abs=0.1)
    assert panel.diagonals[0] == pytest.approx(math.hypot(x1 - x0, d - a))
    assert panel.diagonals[1] == pytest.approx(math.hypot(x1 - x0, b - c))
    assert panel.diagonals[0] > panel.diagonals[1]


@pytest.mark.parametrize("name", JOBS)
def test_what_holds_panels_is_ordered(name: str) -> None:
    fence, bought = fence_of(JOBS[name]), bought_for(name)
    lines = {line.item: line for line in bought.lines}
    between = [panel for panel in fence.panels if panel.plan.between]
    brackets = sum(2 * panel.plan.fixings for panel in between)
    assert sum(m.kind == BRACKET for m in fence.members) == brackets
    if brackets:
        assert lines["panel bracket"].quantity == brackets
    else:
        bolts = sum(len(panel.of(BOLT)) for panel in fence.panels)
        assert bolts == sum(2 * panel.plan.fixings for panel in fence.panels)
    framed = [panel for panel in fence.panels if panel.plan.upright]
    if framed:
        ends = sum(2 * len(panel.of(RAIL)) for panel in framed)
        told = next(line for line in bought.fixings if line.item.startswith("framing screw"))
        assert told.count == math.ceil(2 * ends * (1.0 + fence.job.fixings.extra) - 1e-9)
    assert lines["make panel"].quantity == lines["hang panel"].quantity == len(fence.panels)
    assert "fix rail" not in lines


def test_hours_by_the_piece_keep_their_tasks() -> None:
    pieces = {
        line.item: line for line in order(fence_of(FRAMED | {"work": {"fix_pale": 0.1}})).lines
    }
    assert "make panel" not in pieces
    assert pieces["fix rail"].quantity == 16
    both = FRAMED | {"work": {"fix_pale": 0.1, "make_panel": 1.5, "hang_panel": 0.5}}
    lines = {line.item: line for line in order(fence_of(both)).lines}
    assert float(lines["make panel"].hours or 0) == 1.5
    assert lines["fix pale"].quantity == 7  # of the gate


def test_lists_count_what_stands(fence: FenceModel) -> None:
    tables = panel_tables(fence)
    assert sum(int(row[1]) for row in tables["panels"][1:]) == len(fence.panels)
    assert len(tables["panel-bays"]) == len(fence.panels) + 1
    counted: dict[str, int] = {}
    for part in panel_parts(fence):
        counted[part.mark] = counted.get(part.mark, 0) + part.all
    inside = {mark: sum(m.leaf is None for m in group) for mark, group in fence.by_mark.items()}
    for mark, count in counted.items():
        assert count == inside[mark]
    clear = clear_rows(fence, brief_of(fence, Style(), None, metres=False).figures)
    assert sum(int(row[3]) for row in clear[1:]) == len(fence.panels)


def test_the_document_of_lists_has_panels() -> None:
    told = takeoff_json(fence_of(FRAMED), bought_for("framed"))
    assert told.count(b'"diagonals"') == len(panel_lines(fence_of(FRAMED)))


def test_without_panels_nothing_is_said_of_them() -> None:
    fence = fence_of({"run": [LINE]})
    assert fence.panels == ()
    assert panel_tables(fence) == {}
    assert b"panel" not in takeoff_json(fence, order(fence))
    assert not any("anel" in step for step in site_steps(fence))


def test_solids_show_panels_as_groups_of_their_bays(fence: FenceModel) -> None:
    bays = {bay.name: bay for run in tree_of(fence).branches for bay in run.branches}
    for panel in fence.panels:
        (whole,) = bays[panel.group].branches
        assert whole.name == f"{panel.group} panel {panel.mark}"
        assert set(whole.members) == set(panel.members)
        assert {m.kind for m in bays[panel.group].members} & {RAIL, PALE, PANEL_UPRIGHT} == set()


def test_each_mark_has_a_sheet_of_its_own_to_build_from(fence: FenceModel) -> None:
    brief = brief_of(fence, Style(), None, metres=False)
    groups = panel_groups(brief)
    lines = {line.mark: line for line in panel_lines(fence)}
    assert [title for title, _ in groups] == [f"panel {mark}" for mark in lines]
    for (title, views), (mark, line) in zip(groups, lines.items(), strict=True):
        assert [view.title for view in views[:2]] == [
            f"Panel {mark}, front", f"Panel {mark}, jig from above"
        ]  # fmt: skip
        panel = next(one for one in fence.panels if one.mark == mark)
        drawn = views[0].items
        texts = [item.text for item in drawn if isinstance(item, Text)]
        assert {piece.mark for piece in panel.of(RAIL, PANEL_UPRIGHT)} <= set(texts)
        level = [d for d in drawn if isinstance(d, Dimension) and d.degrees == 0.0]
        longest = max(abs(d.end[0] - d.start[0]) for d in level)
        assert longest == pytest.approx(panel.width, abs=0.1)
        rows = piece_rows(panel, line, brief)
        assert sum(int(row[2]) for row in rows[1:] if row[2]) == len(panel.pieces)
        said = " ".join(row[-1] for row in rows)
        assert "two people carry" in said
        assert title == f"panel {mark}"


def test_pales_are_set_out_by_a_chain_that_closes() -> None:
    brief = brief_of(fence_of(FRAMED), Style(), None, metres=False)
    view = panel_groups(brief)[0][1][0]
    below = [
        i for i in view.items if isinstance(i, Dimension) and i.base[1] < 0.0 and not i.degrees
    ]
    edges = sorted({round(x, 1) for d in below for x in (d.start[0], d.end[0])})
    pitch = (1402.5 - 100.0) / 8.0
    expected = {*(round(pitch * n, 1) for n in range(9)), 100.0, 1402.5}
    assert set(edges) == expected


def test_stops_of_a_jig_touch_the_pieces_and_stand_in_none_others_way(fence: FenceModel) -> None:
    seen = {panel.mark: panel for panel in fence.panels}
    for panel in seen.values():
        jig = Jig(panel)
        rails = [
            shapely.MultiPoint([(x, z) for x, _, z in panel.points(piece)]).convex_hull
            for piece in panel.of(RAIL, PANEL_UPRIGHT)
        ]
        assert len(jig.under) == 2 * len(panel.of(RAIL))
        for block in jig.blocks:
            body = shapely.Polygon(block)
            assert sum(body.intersection(rail).area for rail in rails) < 1.0
        for block in jig.under:
            assert min(shapely.Polygon(block).distance(rail) for rail in rails) < 0.01
        feet = [piece.low[2] for piece in panel.of(PALE)]
        tops = [max(z for _, z in loop) for loop in jig.feet]
        assert len(tops) in (1, len(feet))
        assert tops == pytest.approx(feet if len(tops) > 1 else [feet[0]], abs=0.6)


def test_a_panel_too_heavy_for_two_is_said_with_its_weight() -> None:
    data = {"panels": {"made": True}, "pales": {"length": 1700, "gap": 0, "head": "square"},
            "posts": {"embedment": 800}, "run": [{"points": [[0, 0], [7200, 0]]}]}  # fmt: skip
    found = {finding.code: finding for finding in check(fence_of(data))}
    heavy = found["PANEL-HEAVY"]
    line = panel_lines(fence_of(data))[0]
    assert heavy.measured == f"{line.weight:.0f} kg"
    assert heavy.allowed == "33 kg"
    data["panels"] = {"made": True, "carried": 60.0}
    assert "PANEL-HEAVY" not in {finding.code for finding in check(fence_of(data))}


def test_panels_that_repeat_nowhere_are_noted() -> None:
    levels = [[0, 0], [1500, 120], [3100, 90], [4700, 400], [6100, 380], [9000, 700]]
    uneven = {"panels": {"made": True}, "run": [{"points": [[0, 0], [9000, 0]], "levels": levels}]}
    assert "PANEL-ODD" in {finding.code for finding in check(fence_of(uneven))}
    assert "PANEL-ODD" not in {finding.code for finding in check(fence_of(FRAMED))}


def test_a_post_without_room_for_brackets_is_said() -> None:
    data = FRAMED | {"posts": {"gate": {"section": [125.0, 100.0]}, "section": [100.0, 100.0]},
                     "rails": {"section": [75.0, 72.0]}}  # fmt: skip
    codes = {finding.code for finding in check(fence_of(data))}
    assert "PANEL-BRACKET" not in codes
    kept = {"panels": {"made": True}, "rails": {"section": [75.0, 72.0]},
            "walls": {"section": [50.0, 90.0]},
            "run": [{"points": [[0, 0], [4000, 0]], "starts": "wall"}]}  # fmt: skip
    assert "PANEL-BRACKET" in {finding.code for finding in check(fence_of(kept))}


def test_words_for_customer_and_site() -> None:
    fence = fence_of(FRAMED)
    assert "panels made in the workshop, framed with an upright" in str(
        offered(fence, order(fence))
    )
    assert any("hang each panel" in step for step in site_steps(fence))
    assert not any(step.startswith("Fix pales") for step in site_steps(fence))


def refused(data: dict[str, Any]) -> str:
    with pytest.raises(SpecError) as error:
        job_of(data, {}, "spec.toml", Path())
    return str(error.value)


def spec(run: dict[str, Any] = LINE, **tables: Any) -> dict[str, Any]:
    panels = {"made": True} | tables.pop("panels", {})
    return {"run": [run], "panels": panels, **tables}


FACE = {"hung": "on posts"}
INSIDE = {"points": [[0, 0], [5000, 0], [5000, 5000]], "front": "left"}
SHARP = {"points": [[0, 0], [5000, 0], [1500, 4000]], "front": "right"}


@pytest.mark.parametrize(
    ("data", "words"),
    [
        ({"run": [LINE], "panels": {"uprights": 50}}, "panels.made is not true"),
        (spec(rails={"form": "arris"}), "go into posts one by one"),
        (spec(rails={"form": "between"}, panels=FACE), "have their rails there"),
        (spec(rails={"joints": "least timber"}), "as long as their panel"),
        (spec(rails={"corners": "butt"}), "end square, short of the corner"),
        (spec(rails={"count": 1}), "a panel of one rail folds"),
        (spec(pales={"on": "both"}), "puts pales where panels are fixed"),
        (spec(pales={"spaced": "stretch"}), "each panel has its own pales"),
        (spec(corners={"pales": "mitre"}), "meet no others at corners"),
        (spec(capping={}, pales={"head": "square"}), "goes on over posts and panels alike"),
        (spec(posts={"material": "concrete"}), "screwed to posts of timber"),
        (spec(corners={"posts": "pair"}), "leave the corner between them open"),
        (spec(panels={"fixings": 3}), "2 rails take 2 brackets on each side at most"),
        (spec(panels={"uprights": 50} | FACE), "keep the bolts out of the rails"),
        (spec(panels={"clearance": 40}), "reaches the panel over 20 mm at most"),
        (spec(rails={"section": [75, 80]}), "leave 20 mm of their sides"),
        (spec(panels={"clearance": 50} | FACE), "leave each panel 25 mm to bear on"),
        (spec(INSIDE, panels=FACE), "nothing to bear on; hang panels between"),
        (spec(SHARP, panels=FACE), "past its rails; hang panels between"),
        (spec(posts={"top": "cap"}), "the cap would meet the pales"),
    ],
)  # fmt: skip
def test_what_cannot_be_made_of_panels_is_refused(data: dict[str, Any], words: str) -> None:
    assert words in refused(data)


def test_a_run_may_be_built_on_site_beside_one_of_panels() -> None:
    other = {"points": [[0, 9000], [5400, 9000]], "panels": {"made": False}}
    fence = fence_of({**FRAMED, "run": [LINE, other]})
    assert {panel.run for panel in fence.panels} == {0}
    lines = {line.item: line for line in order(fence).lines}
    assert lines["fix rail"].quantity > 0
    assert any(step.startswith("Fix pales") for step in site_steps(fence))
