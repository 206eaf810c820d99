"""Setting out on paper: each post's chainage on every plan, parts of long plans, ties."""

from __future__ import annotations

import math
import re
from typing import Any

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from helpers import EXAMPLES, example_fence, fence_of
from palewright.export.drawing.draft.drafting import Draft
from palewright.export.drawing.draft.figures import Figures
from palewright.export.drawing.draft.paper import Label, bounds, on_paper
from palewright.export.drawing.draft.scales import Scale
from palewright.export.drawing.draft.style import METAL, Style
from palewright.export.drawing.draft.view import Dimension, Line, Text, View
from palewright.export.drawing.sets.brief import Brief, brief_of
from palewright.export.drawing.sets.build_set import build_views
from palewright.export.drawing.sets.setting_out_plans import MOST_PARTS, setting_out_views
from palewright.export.drawing.sets.setting_out_tables import (
    datum,
    level_rows,
    rail_rows,
    setting_out_tables,
)
from palewright.export.drawing.sets.site_set import site_views
from palewright.export.drawing.views.part_plans import halves, parts_that_fit, posts_along
from palewright.export.drawing.views.sections import fence_section, section_post
from palewright.export.drawing.views.wall_plates import wall_plate
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.shapes import Bolt, Footing
from palewright.model.lists.curve_lines import curve_lines
from palewright.model.lists.setting_out import stop_lines
from palewright.model.lists.takeoff import station_lines
from palewright.model.lists.ties import LEAST_ANGLE, REACH, run_gaps, ties
from palewright.model.parts.members import ANCHOR, FOOTING
from palewright.model.resolved.words import PostRole


def brief(fence: FenceModel) -> Brief:
    return brief_of(fence, Style(), None, metres=False)


def said(view: View) -> set[tuple[str, str]]:
    """Return the posts and figures that a view names together: in a label, or in a row."""
    texts = [item for item in view.items if isinstance(item, Text)]
    labels = {tuple(re.split(r" +", text.text)[:2]) for text in texts if "  " in text.text}
    rows = {
        (a.text, b.text)
        for a in texts
        for b in texts
        if a is not b and a.at[1] == b.at[1] and 0.0 < b.at[0] - a.at[0] < 40.0 * view.scale
    }
    return {(one[0], one[1]) for one in labels | rows}


def ring(count: int, radius: float) -> dict[str, Any]:
    points = [
        [radius * math.cos(math.tau * k / count), radius * math.sin(math.tau * k / count)]
        for k in range(count)
    ]
    return {"run": [{"points": points, "closed": True}]}


def all_are_told(fence: FenceModel, views: list[View]) -> None:
    text, told = Figures(whole=True).text, set().union(*(said(view) for view in views))
    for layout in fence.layouts:
        for post in layout.posts:
            assert (post.label, text(post.chainage)) in told, post.label


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_a_garden_has_one_plan_with_every_chainage(path: Any) -> None:
    fence = example_fence(path)
    views = setting_out_views(brief(fence))
    assert [view.title for view in views] == ["Setting-out plan"]
    if fence.job.sheets.units != "ft-in":
        words = {item.text for item in views[0].items if isinstance(item, Text)}
        for layout in fence.layouts:
            for post in layout.posts:
                figure = Figures(whole=True).text(post.chainage)
                assert any(figure in word.split() for word in words), post.label


@pytest.mark.parametrize(("count", "radius"), [(30, 60_000.0), (8, 25_000.0)])
def test_a_long_plan_is_cut_into_parts_that_tell_every_chainage(count: int, radius: float) -> None:
    fence = fence_of(ring(count, radius))
    asked = brief(fence)
    views = setting_out_views(asked)
    all_are_told(fence, views)
    wide, high = asked.room
    for view in views:
        left, low, right, top = bounds(on_paper(view, asked.style))
        assert right - left <= wide
        assert top - low <= high + 45.0  # beside the title block there is more


def test_match_lines_name_the_parts_beyond_them() -> None:
    views = setting_out_views(brief(fence_of(ring(30, 60_000.0))))
    assert views[0].title.endswith("key")
    parts = views[1:]
    assert 1 < len(parts) <= MOST_PARTS
    for number, view in enumerate(parts):
        words = {item.text for item in view.items if isinstance(item, Text)}
        for beyond in ((number - 1) % len(parts), (number + 1) % len(parts)):
            assert f"match line, part {beyond + 1}" in words
    key = {item.text for item in views[0].items if isinstance(item, Text)}
    assert {str(number) for number in range(1, len(parts) + 1)} <= key


@settings(max_examples=20, deadline=None)
@given(st.integers(3, 9), st.floats(5_000, 60_000), st.floats(3_000, 80_000))
def test_parts_follow_one_another_without_a_gap(count: int, radius: float, size: float) -> None:
    layout = fence_of(ring(count, radius)).layouts[0]
    posts = posts_along(layout)
    parts = list(parts_that_fit(layout, 0, (size, size)))
    assert parts[0].posts[0] == posts[0]
    assert parts[-1].posts[-1] == posts[-1]
    for one, other in zip(parts, parts[1:], strict=False):
        assert one.posts[-1] == other.posts[0]
    for part in parts:
        x0, y0, x1, y1 = part.box
        assert len(part.posts) == 2 or (x1 - x0 <= size and y1 - y0 <= size)
        assert sum(len(half.posts) - 1 for half in halves(part)) == len(part.posts) - 1


HOUSE = {
    "kind": "house",
    "points": [[3000, 6000], [13_000, 6000], [13_000, 14_000], [3000, 14_000]],
    "closed": True,
}


def street(mirror: float = 1.0, shift: float = 0.0, **more: Any) -> FenceModel:
    def there(point: list[float]) -> list[float]:
        return [point[0] * mirror + shift, point[1]]

    run = {
        "points": [there(p) for p in ([0, 0], [26_000, 1200], [30_000, 9000])],
        "front": "right" if mirror > 0 else "left",
        "gate": [{"at": 6000, "opening": 950}, {"at": 15_000, "opening": 3300, "leaves": 2}],
    }
    house = {**HOUSE, "points": [there(p) for p in HOUSE["points"]], **more}
    return fence_of({"run": [run], "feature": [house]})


def test_each_fixed_post_is_tied_by_two_lengths_that_meet_in_it() -> None:
    """Circles about the points a tie names meet in the post, as a second calculation."""
    fence = street()
    corners = {f"house {n}": tuple(p) for n, p in enumerate(HOUSE["points"], 1)}
    posts = {post.label: post for post in fence.layouts[0].posts}
    found = {tie.post: tie for tie in ties(fence)}
    assert set(found) == {p.label for p in posts.values() if p.kind != PostRole.LINE}
    for tie in found.values():
        assert tie.points, tie.post
        at = posts[tie.post].frame.origin[:2]
        (ax, ay), (bx, by) = (
            corners.get(p.name) or posts[p.name].frame.origin[:2] for p in tie.points
        )
        r, q = tie.lengths
        base = math.hypot(bx - ax, by - ay)
        along = (r * r - q * q + base * base) / (2.0 * base)
        up = math.sqrt(max(r * r - along * along, 0.0))
        ux, uy = (bx - ax) / base, (by - ay) / base
        meets = [(ax + along * ux - s * up * uy, ay + along * uy + s * up * ux) for s in (1, -1)]
        assert min(math.dist(spot, at) for spot in meets) < 0.01
        assert LEAST_ANGLE <= tie.angle <= 90.0
        assert max(tie.lengths) <= REACH


@pytest.mark.parametrize(("mirror", "shift"), [(-1.0, 0.0), (1.0, 40_000.0)])
def test_ties_of_a_mirrored_or_moved_site_are_the_same(mirror: float, shift: float) -> None:
    one, two = ties(street()), ties(street(mirror, shift))
    for a, b in zip(one, two, strict=True):
        assert (a.post, [p.name for p in a.points]) == (b.post, [p.name for p in b.points])
        assert a.lengths == pytest.approx(b.lengths, abs=0.1)


def test_nothing_is_tied_to_what_is_taken_down() -> None:
    names = {point.name for tie in ties(street(goes=True)) for point in tie.points}
    assert not any(name.startswith("house") for name in names)


def test_posts_without_ties_are_said() -> None:
    fence = fence_of({"run": [{"points": [[0, 0], [9000, 0]]}]})
    assert not any(tie.points for tie in ties(fence))
    words = " ".join(
        item.text
        for view in setting_out_tables(brief(fence))
        for item in view.items
        if isinstance(item, Text)
    )
    assert all(post in words for post in ("A01", "chainage and coordinates"))


def test_ends_of_runs_that_face_each_other_are_measured() -> None:
    run = [{"points": [[0, 0], [5000, 0]]}, {"points": [[6500, 0], [9000, 0]]}]
    (gap,) = run_gaps(fence_of({"run": run}))
    assert (gap.first, gap.last[0]) == ("A04", "B")
    assert gap.between == pytest.approx(1500.0)
    assert gap.clear == pytest.approx(1400.0)  # posts of 100
    views = setting_out_views(brief(fence_of({"run": run})))
    ends = {(d.start, d.end) for d in views[0].items if isinstance(d, Dimension)}
    assert gap.ends in ends


@pytest.mark.parametrize("front", ["left", "right"])
@settings(max_examples=15, deadline=None)
@given(radius=st.floats(6000, 60_000), sweep=st.floats(0.4, 2.8))
def test_a_curve_is_told_as_it_was_given(front: str, radius: float, sweep: float) -> None:
    """Radius and centre are those of the arc; every post lies on it by its offsets."""

    def at(angle: float) -> list[float]:
        return [radius * math.cos(angle), radius * math.sin(angle)]

    points: list[Any] = [at(0.0), {"at": at(sweep), "through": at(sweep / 2.0)}]
    fence = fence_of({"run": [{"points": points, "front": front}]})
    (line,) = curve_lines(fence)
    assert line.radius == pytest.approx(radius, abs=1.0)
    assert line.centre == pytest.approx((0.0, 0.0), abs=1.0)
    assert line.first == pytest.approx(at(0.0), abs=0.1)
    assert line.last == pytest.approx(at(sweep), abs=0.1)
    half, rise = line.chord / 2.0, radius * math.cos(sweep / 2.0)
    off = max(leg.offset for leg in fence.layouts[0].legs)  # posts within chords
    for post, along, behind in line.posts:
        away = math.hypot(along - half, abs(behind) + rise)
        assert away == pytest.approx(radius, abs=off + 1.0), post.label
    chainages = [post.chainage for post, _, _ in line.posts]
    assert chainages == sorted(chainages)
    alongs = [along for _, along, _ in line.posts]
    assert alongs == sorted(alongs) or sweep > math.pi


STEPPED = {
    "run": [
        {
            "points": [[0, 0], [9000, 0], [12_000, 5000]],
            "levels": [[0, 0], [9000, 700], [14_831, 500]],
            "starts": "wall",
            "gate": [{"at": 3000, "opening": 950}],
        }
    ],
    "slopes": {"follow": "step", "fill": "board"},
    "footings": {"hole": "round", "size": 300, "bed": 50},
    "feature": [{"kind": "benchmark", "name": "BM 1", "points": [[-1000, 0]], "level": 350}],
}


def test_levels_are_those_of_the_members() -> None:
    """Holes end, posts and rails stand at the levels that the table says, by their own frames."""
    fence = fence_of(STEPPED)
    rows = level_rows(fence, Figures())[1:]
    told = {row[0]: row[1:] for row in rows}
    assert "A01 plate" in told
    posts = {post.label: post for post in fence.layouts[0].posts}
    for name, row in told.items():
        for label in name.split(" to "):
            post = posts.get(label)
            if post is None or post.footing is None:
                continue
            at = post.frame.origin[:2]
            (hole,) = (
                m
                for m in fence.members
                if m.kind == FOOTING and math.dist(m.frame.origin[:2], at) < 1.0
            )
            assert isinstance(hole.shape, Footing)
            assert float(row[1]) == pytest.approx(hole.frame.origin[2] - hole.shape.depth, abs=0.06)
    for line in station_lines(fence):
        row = next((r for name, r in told.items() if line.label in name.split()), None)
        if row is not None and line.dug is not None:
            assert float(row[0]) - float(row[1]) == pytest.approx(line.hole_depth, abs=0.11)
            assert Figures().dug(line.dug) == "Ø300"
    assert datum(fence, Figures()) == "of which BM 1 is 350"


def test_levels_without_a_benchmark_are_those_over_the_first_post() -> None:
    fence = fence_of({"run": [{"points": [[0, 0], [9000, 0]]}]})
    assert datum(fence, Figures()) == "of which ground at A01 is 0"
    (row,) = level_rows(fence, Figures())[1:]
    assert row[0] == f"A01 to {fence.layouts[0].posts[-1].label}"


@pytest.mark.parametrize(
    "data", [STEPPED, {"run": [{"points": [[0, 0], [7000, 0], [7000, 4000]]}]}]
)
def test_pales_start_where_the_table_says(data: dict[str, Any]) -> None:
    fence = fence_of(data)
    lines = {(line.first, line.last): line for line in stop_lines(fence)}
    for stretch in fence.layouts[0].stretches:
        line = lines[stretch.posts[0].label, stretch.posts[-1].label]
        half = stretch.row.plan.widest / 2.0
        first, last = stretch.pales[0].x - half, stretch.pales[-1].x + half
        assert first - stretch.xs[0] == pytest.approx(line.starts)
        assert stretch.xs[-1] - last == pytest.approx(line.ends)
        whole = line.starts + line.ends + line.pales * 2.0 * half + (line.pales - 1) * line.gap
        assert whole == pytest.approx(stretch.xs[-1] - stretch.xs[0], abs=0.01)


def test_bolts_are_where_the_table_of_rails_says() -> None:
    fence = fence_of({"run": [{"points": [[0, 0], [9000, 0]]}]})
    said = {float(row[3]) for row in rail_rows(fence, Figures())[1:]}
    there = {round(m.frame.origin[2], 1) for m in fence.members if isinstance(m.shape, Bolt)}
    assert said == there


def test_plates_on_walls_are_named_plates_on_every_sheet() -> None:
    asked = brief(fence_of(STEPPED))
    for views in (site_views(asked), build_views(asked)):
        for name in ("Setting-out", "Elevation"):
            texts = [
                [item.text for item in view.items if isinstance(item, Text)]
                for _, group in views
                for view in group
                if view.title.startswith(name)
            ]
            named = (any(word.startswith("A01 plate") for word in words) for words in texts)
            assert not texts or any(named), name
        cells = {t.text for _, g in views for v in g for t in v.items if isinstance(t, Text)}
        assert cells & {"plate", "plate on wall"}


@pytest.mark.parametrize("data", [STEPPED, {"run": [{"points": [[0, 0], [7000, 0]]}]}])
def test_callouts_of_a_section_touch_what_they_name_and_cross_no_text(data: Any) -> None:
    fence = fence_of(data)
    draft = Draft(Scale(10.0, "1:10"), Style())
    view = fence_section(fence, 0, draft)
    run = fence.layouts[0].run
    post = section_post(fence.layouts[0])
    leaders = [i for i in view.items if isinstance(i, Line) and i.layer == METAL and not i.closed
               and len(i.vertices) == 2 and i.vertices[1][0] > 300.0]  # fmt: skip
    words = {t.at[1] + 12.5: t.text for t in view.items if isinstance(t, Text) and t.at[0] > 300.0}
    told = {words[min(words, key=lambda y: abs(y - i.vertices[1][1]))]: i.vertices[0][:2]
            for i in leaders}  # fmt: skip
    x, y = next(at for said, at in told.items() if said.startswith("pale"))
    assert -run.pale_front < x < -run.pale_back
    assert run.pales.clearance < y < run.height
    x, y = next(at for said, at in told.items() if said.startswith("rail"))
    assert -run.pale_back < x < -run.face
    assert run.rails.tops[-1] - run.rails.section[0] < y < run.rails.tops[-1]
    x, y = next(at for said, at in told.items() if " post " in said)
    assert -run.face < x < post.plan.depth - run.face
    assert told["base of the bay: heights count from here"][1] == 0.0
    x, y = next(at for said, at in told.items() if said.startswith("concrete"))
    assert -post.plan.embedment < y < 0.0
    assert x > post.plan.depth - run.face
    marks = on_paper(view, draft.style)
    boxes = [shapely.Polygon(m.box()) for m in marks if isinstance(m, Label)]
    for leader in leaders:
        line = shapely.LineString([(x / 10.0, y / 10.0) for x, y, _ in leader.vertices])
        assert not any(line.intersects(box) for box in boxes)


def test_a_wall_plate_is_drawn_with_its_anchors_where_they_are() -> None:
    fence = fence_of(STEPPED)
    post = fence.layouts[0].posts[0]
    view = wall_plate(fence, 0, post, Draft(Scale(10.0, "1:10"), Style()))
    ground = post.frame.origin[2]
    there = sorted(
        m.frame.origin[2] - ground
        for m in fence.members
        if m.kind == ANCHOR and m.station == post.label
    )
    drawn = sorted(
        (i.vertices[0][1] + i.vertices[2][1]) / 2.0
        for i in view.items
        if isinstance(i, Line) and i.layer == METAL and i.closed
    )
    assert there
    assert drawn == pytest.approx(there)
    ups = [d for d in view.items if isinstance(d, Dimension) and d.degrees == 90.0]
    total = sum(abs(d.end[1] - d.start[1]) for d in ups)
    assert total == pytest.approx(post.top, abs=0.1)  # from the ground to the plate's top
    words = [item.text for item in view.items if isinstance(item, Text)]
    assert any(word.startswith("wall plate 50 x 100") for word in words)


def test_a_chosen_scale_that_takes_too_many_parts_is_made_smaller() -> None:
    data = {**ring(12, 60_000.0), "sheets": {"plan_scale": 10}}
    views = setting_out_views(brief(fence_of(data)))
    assert len(views) <= MOST_PARTS + 1
    assert min(view.scale for view in views) > 10
    data["sheets"] = {"plan_scale": 200}
    views = setting_out_views(brief(fence_of(data)))
    assert {view.scale for view in views[1:]} == {200}
