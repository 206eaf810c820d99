"""Ways in which gates are made: leaves of their own height, head and top line."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from typing import Any

import pytest
from test_symmetry import lists, mirrored, reversed_

from helpers import fence_of
from palewright.export.drawing.draft.style import Style
from palewright.export.drawing.sets.brief import brief_of
from palewright.export.drawing.sets.gate_leaves import part_rows
from palewright.export.drawing.sets.setting_out_tables import opening_rows
from palewright.export.drawing.views.leaf_shown import leaves_shown
from palewright.export.papers.offer_words import offered
from palewright.model.checks.building_checks import check
from palewright.model.checks.clash_checks import clashes
from palewright.model.fence.fence_model import FenceModel
from palewright.model.fence.leaf_hinges import leaf_hinges
from palewright.model.fence.leaf_swings import swings_of
from palewright.model.geometry.convex import outer_points
from palewright.model.geometry.frames import Frame
from palewright.model.layout.fixed_posts import gate_problems
from palewright.model.layout.heights import highest_point
from palewright.model.order.fixings import fixing_lines
from palewright.model.order.order_lines import order
from palewright.model.parts.members import (
    BRACE,
    DROP_BOLT,
    GATE_BOLT,
    GATE_STOP,
    HANDLE,
    LATCH,
    LEDGE,
    PALE,
    POST,
    RING_LATCH,
    SOCKET,
    STILE,
    THUMB_LATCH,
    UPRIGHT,
    Kind,
    Member,
)
from palewright.model.resolved.resolve import resolve
from palewright.model.spec.spec_tables import SpecTables
from palewright.model.strength.leaf_loads import hung_leaves
from palewright.model.strength.run_wind import run_winds

Spec = dict[str, Any]


def spec(*gates: Spec, **tables: Any) -> Spec:
    """A straight run of 14 m with gates every 4 m from 3 m on."""
    placed = [{"at": 3000 + 4000 * number, **gate} for number, gate in enumerate(gates)]
    return {"run": [{"points": [[0, 0], [14000, 0]], "gate": placed}], **tables}


ARCHED = spec(
    {"height": 1400, "top_line": "arch", "head": "round"},
    {"height": 1250, "top_line": {"shape": "dip", "rise": 150}, "opening": 2400, "leaves": 2},
)


@cache
def arched() -> FenceModel:
    return fence_of(ARCHED)


def problems(data: Spec) -> list[str]:
    return [problem.text("job") for problem in resolve(SpecTables.model_validate(data)).problems]


def codes(fence: FenceModel) -> set[str]:
    return {finding.code for finding in check(fence)}


def pales_of(fence: FenceModel, leaf: int) -> list[tuple[float, float]]:
    """Middle and length of each pale of a leaf, from left to right, mm."""
    pales = [m for m in fence.members if m.kind == PALE and m.leaf == leaf]
    return sorted((m.frame.origin[0], m.shape.size[2]) for m in pales)


def test_an_arch_is_a_circle_over_the_leaf() -> None:
    """Sagitta: a pale at x from the middle reaches sqrt(R^2 - x^2) - (R - s) over the ends."""
    fence = arched()
    leaf = fence.layouts[0].hung[0][1]
    half, rise, foot = (leaf.width - 100.0) / 2.0, 100.0, 60.0  # between the outer middles
    radius = (half**2 + rise**2) / (2.0 * rise)
    middle = (leaf.x0 + leaf.x1) / 2.0
    pales = pales_of(fence, 0)
    assert len(pales) == leaf.spacing.count > 5
    for x, length in pales:
        over = math.sqrt(radius**2 - (x - middle) ** 2) - (radius - rise)
        assert abs(length - (1400.0 - foot + over)) < 1e-3
    marks = [m.mark for m in fence.members if m.kind == PALE and m.leaf == 0]
    assert marks == marks[::-1]  # both sides are made alike
    assert abs(highest_point(fence.layouts[0]) - (foot + max(z for _, z in pales))) < 1e-3


def test_a_dip_goes_over_both_leaves() -> None:
    fence = arched()
    (_, left), (_, right) = fence.layouts[0].hung[1:]
    assert left.lengths == right.lengths[::-1]
    assert list(left.lengths) == sorted(left.lengths, reverse=True)
    assert left.lengths[0] == 1250.0 - 60.0
    assert 1250.0 - 150.0 - 60.0 < min(left.lengths) < 1250.0 - 148.0 - 60.0
    over = {"shape": "dip", "rise": 150, "over": "leaf"}
    own = fence_of(spec({"top_line": over, "opening": 2400, "leaves": 2}))
    (_, left), (_, right) = own.layouts[0].hung
    assert left.lengths == left.lengths[::-1] == right.lengths


def test_ledges_and_posts_go_with_the_leaf() -> None:
    """The upper ledge is as far under the shortest head as the fence's rail, the post as far over
    it as over that."""
    fence = arched()
    run, (_, leaf) = fence.layouts[0].run, fence.layouts[0].hung[0]
    under = run.shoulder - run.rails.tops[-1]
    shoulder = leaf.foot + min(leaf.lengths) - 50.0  # round heads of pales 100 wide
    assert abs(leaf.ledges[-1] + 75.0 + under - shoulder) < 1e-3
    assert min(leaf.lengths) == 1400.0 - leaf.foot
    posts = {m.station: m for m in fence.members if m.kind == POST}
    opening = fence.layouts[0].openings[0]
    for post in opening.posts:
        top = posts[post.label].frame.origin[2] + posts[post.label].shape.size[2]
        assert abs(top - post.top) < 1e-3
        assert abs(post.top - (leaf.ledges[-1] + 75.0) - 100.0) < 1e-3
    assert not list(clashes(fence))
    assert not {code for code in codes(fence) if code.startswith(("LEAF", "HINGE", "BRACE"))}


def test_a_leaf_too_high_for_its_posts_is_found() -> None:
    data = spec({}, rails={"tops": [200, 800]}, posts={"above_rail": 0})
    assert "HINGE-OFF-POST" not in codes(fence_of(data))
    low = spec({}, rails={"tops": [200, 800]}, posts={"above_rail": 0}, gates={"ledge": [45, 38]})
    assert "HINGE-OFF-POST" in codes(fence_of(low))


def test_each_length_says_its_own_places() -> None:
    fence = arched()
    shown = leaves_shown(fence)[0][0]
    rows = part_rows(shown, brief_of(fence, Style(), None, metres=False))
    told = {row[0]: row[-1].rpartition(": ")[2] for row in rows if row[1] == "pale"}
    text = brief_of(fence, Style(), None, metres=False).figures.text
    for mark, places in told.items():
        of_mark = [m for m in fence.members if m.mark == mark and m.leaf == 0]
        x0 = shown.leaf.x0 + 50.0
        assert places.split(", ") == [
            text(x) for x in sorted(m.frame.origin[0] - x0 for m in of_mark)
        ]
    assert sum(len(places.split(", ")) for places in told.values()) == len(shown.of(PALE))
    assert sum(row[-1].startswith("gap ") for row in rows) == 1


def test_order_and_offer_know_them() -> None:
    fence = arched()
    tasks = {line.item: line.quantity for line in order(fence).lines}
    heads = sum(1 for m in fence.members if m.kind == PALE and m.leaf == 0)
    assert tasks["shape round head"] == heads
    gates = dict(offered(fence, order(fence)))["Gates"]
    assert "1400 mm high, tops in an arch of 100 mm over the opening, round heads" in gates
    assert "tops in a dip of 150 mm over the opening" in gates


@pytest.mark.parametrize(
    ("gate", "said"),
    [
        ({"top_line": {"shape": "arch", "rise": 600}},
         "run[1].gate[1].top_line: the curve's rise of 600 mm is more than half"),
        ({"height": 100}, "run[1].gate[1].height: leaves the leaf's pales 40 mm long"),
        ({"height": 300, "top_line": {"shape": "dip", "rise": 200}},
         "run[1].gate[1].top_line: leaves the leaf's pales 40 mm long"),
        ({"head": {"shape": "clipped", "across": 60}}, "run[1].gate[1].head: cannot be cut"),
    ],
)  # fmt: skip
def test_what_cannot_be_made_is_refused(gate: Spec, said: str) -> None:
    told = problems(spec(gate))
    assert len(told) == 1
    assert said in told[0]


def test_gates_say_it_for_all_and_a_gate_for_itself() -> None:
    fence = fence_of(spec({}, {"height": 900}, gates={"height": 1200, "head": "round"}))
    heights = [leaf.height + leaf.foot for _, leaf in fence.layouts[0].hung]
    assert heights == [1200.0, 900.0]
    assert {leaf.plan.head_shape for _, leaf in fence.layouts[0].hung} == {"round"}
    assert len([m for m in fence.members if m.kind == LEDGE]) == 4


FRAMED = spec(
    {"frame": "framed", "height": 1200},
    {"braces": 2, "opening": 1300, "hinge": "right"},
    {"frame": "framed", "stile": 70, "ledges": 3, "height": 1700, "opening": 2400, "leaves": 2},
)


@cache
def framed() -> FenceModel:
    return fence_of(FRAMED)


def of_leaf(fence: FenceModel, leaf: int, kind: Kind) -> list[Member]:
    return [m for m in fence.members if m.kind == kind and m.leaf == leaf]


def box(member: Member) -> tuple[list[float], list[float]]:
    points = [member.frame.point(tuple(p)) for p in outer_points(member.shape)]
    return [min(p[i] for p in points) for i in range(3)], [
        max(p[i] for p in points) for i in range(3)
    ]


def test_a_framed_leaf_has_stiles_with_tenons_through_them() -> None:
    fence = framed()
    leaf = fence.layouts[0].hung[0][1]
    ledges, stiles = of_leaf(fence, 0, LEDGE), of_leaf(fence, 0, STILE)
    assert (len(ledges), len(stiles)) == (2, 2)
    between = leaf.width - 2.0 * 75.0
    for ledge in ledges:
        # a third of the thickness goes on as a tenon at either end
        assert abs(ledge.shape.volume - 75.0 * (between * 38.0 + 2.0 * 75.0 * 38.0 / 3.0)) < 5.0
        assert ledge.size == (75.0, 38.0, leaf.width)
        low, high = box(ledge)
        assert abs(low[0] - leaf.x0) + abs(high[0] - leaf.x1) < 1e-6
    lows = min(box(m)[0][2] for m in ledges), max(box(m)[1][2] for m in ledges)
    for stile in stiles:
        (x0, _, z0), (x1, _, z1) = box(stile)
        assert abs(x1 - x0 - 75.0) < 1e-6
        assert abs(z0 - lows[0]) + abs(z1 - lows[1]) < 1e-6
    assert {len(of_leaf(fence, n, LEDGE)) for n in (2, 3)} == {3}
    assert not list(clashes(fence))
    pegs = next(line for line in fixing_lines(fence) if line.item.startswith("hardwood peg"))
    assert (pegs.item, pegs.count) == ("hardwood peg 10 x 38", 2 * 2 * (2 + 2 * 3))


def test_braces_rise_from_the_hanging_side() -> None:
    fence = framed()
    for number, (_, leaf) in enumerate(fence.layouts[0].hung):
        braces = of_leaf(fence, number, BRACE)
        assert len(braces) == leaf.plan.braces * (len(leaf.ledges) - 1)
        for brace in braces:
            way = brace.frame.x[0] * brace.frame.x[2]
            assert (way > 0.0) == leaf.hinge_left
    (upright,) = of_leaf(fence, 1, UPRIGHT)
    leaf = fence.layouts[0].hung[1][1]
    low, high = box(upright)
    assert abs((low[0] + high[0]) / 2.0 - (leaf.x0 + leaf.x1) / 2.0) < 1e-6
    ends = sorted((box(m)[0][0], box(m)[1][0]) for m in of_leaf(fence, 1, BRACE))
    assert abs(ends[0][1] - low[0]) + abs(ends[1][0] - high[0]) < 1e-3


def test_a_brace_that_is_pulled_is_found() -> None:
    fence = fence_of(spec({"bracing": "tension"}))
    (brace,) = of_leaf(fence, 0, BRACE)
    assert brace.frame.x[0] * brace.frame.x[2] < 0.0
    assert "BRACE-PULLED" in codes(fence)
    assert "BRACE-PULLED" not in codes(framed())
    shown = leaves_shown(fence)[0][0]
    rows = part_rows(shown, brief_of(fence, Style(), None, metres=False))
    assert "CAUTION: it is pulled; nails alone give way" in [row[-1] for row in rows]


def test_high_leaves_want_a_third_ledge() -> None:
    tall = spec({"height": 2200, "ledges": 2}, {"height": 2200})
    fence = fence_of(tall)
    assert [len(leaf.ledges) for _, leaf in fence.layouts[0].hung] == [2, 3]
    found = [f.where for f in check(fence) if f.code == "LEDGES-FEW"]
    assert found == ["run A, gate 1"]


@pytest.mark.parametrize(
    ("gate", "said"),
    [
        ({"stile": 60}, 'gate[1].stile: only a framed leaf has stiles; write frame = "framed"'),
        ({"braces": 0}, "gate[1].braces: a ledged leaf without a brace drops at its latch"),
        ({"frame": "framed", "braces": 0, "bracing": "tension"}, "gate[1].bracing: there is no"),
        ({"frame": "framed", "stile": 500}, "gate[1].stile: stiles of 500 mm leave nothing"),
    ],
)  # fmt: skip
def test_frames_that_do_not_go_together_are_refused(gate: Spec, said: str) -> None:
    told = problems(spec(gate))
    assert len(told) == 1
    assert said in told[0]


def test_stiles_for_all_gates_want_one_that_is_framed() -> None:
    (told,) = problems(spec({}, gates={"stile": 60}))
    assert "run[1].gates.stile: only a framed leaf has stiles" in told
    assert not problems(spec({}, {"frame": "framed"}, gates={"stile": 60}))


def test_the_sheets_say_how_a_leaf_is_framed() -> None:
    fence = framed()
    made = brief_of(fence, Style(), None, metres=False)
    rows = part_rows(leaves_shown(fence)[0][0], made)
    words = " ".join(row[-1] for row in rows)
    assert "828 between shoulders; at both ends a tenon 75 long, 75 x 12.7" in words
    assert "mortised for the ledges, 2 each" in words
    gates = dict(offered(fence, order(fence)))["Gates"]
    assert "framed, ledges tenoned through stiles of 75 mm" in gates
    assert "two braces either side of an upright" in gates


FITTED = spec(
    {"latch": "ring", "stop": "post", "closing": "spring"},
    {"latch": "thumb", "stop": "ground", "swing": "out", "hinge": "right", "closing": "hinges"},
    {"latch": "bolt", "stop": "ground", "opening": 2000, "leaves": 2},
)


@cache
def fitted() -> FenceModel:
    return fence_of(FITTED)


def of_gate(fence: FenceModel, number: int, kind: Kind) -> list[Member]:
    return [m for m in fence.members if m.kind == kind and m.group == f"A gate {number}"]


def test_latches_are_on_the_back_and_handles_on_the_front() -> None:
    fence = fitted()
    run = fence.layouts[0].run
    for number, kind in ((1, RING_LATCH), (2, THUMB_LATCH), (3, GATE_BOLT)):
        (latch,) = of_gate(fence, number, kind)
        assert not of_gate(fence, number, LATCH)
        (x0, y0, _), (x1, _, _) = box(latch)
        leaf = fence.layouts[0].hung[number - 1][1]
        assert abs((x1 - leaf.x1) if leaf.hinge_left else (x0 - leaf.x0)) < 1e-6
        assert abs(y0 - (-run.pale_back + leaf.plan.ledge[1])) < 1e-6
    for number in (1, 2):
        (handle,) = of_gate(fence, number, HANDLE)
        assert abs(box(handle)[1][1] + run.pale_front) < 1e-6
    assert not of_gate(fence, 3, HANDLE)


def test_a_leaf_shuts_against_its_stop() -> None:
    fence = fitted()
    run, hung = fence.layouts[0].run, fence.layouts[0].hung
    (angle,) = of_gate(fence, 1, GATE_STOP)  # opens in: what stops it is before it
    low, high = box(angle)
    opening, leaf = hung[0]
    assert abs(high[0] - opening.end) < 1e-6
    assert low[0] < leaf.x1 < high[0] - run.gates.latch_clearance / 2.0
    assert low[1] < -run.pale_front < high[1]
    metal = 5.0
    area = 25.0 * metal + (high[1] - low[1] - metal) * metal
    assert abs(angle.shape.volume - area * 60.0) < 1e-3
    for number, before in ((2, False), (3, True)):
        (block,) = of_gate(fence, number, GATE_STOP)
        (_, y0, z0), (_, y1, z1) = box(block)
        leaf = hung[number - 1][1]
        back = -run.pale_back + leaf.plan.ledge[1]
        assert abs((y1 + run.pale_front) if before else (y0 - back)) < 1e-6
        assert (z0, z1) == (-200.0, leaf.foot + 40.0)
    (socket,), (bolt,) = of_gate(fence, 3, SOCKET), of_gate(fence, 3, DROP_BOLT)
    assert math.dist(socket.frame.origin[:2], bolt.frame.origin[:2]) < 1e-6
    assert not list(clashes(fence))
    assert all(m.leaf is None for m in fence.members if m.kind in (GATE_STOP, SOCKET))


def test_fittings_are_in_the_order() -> None:
    lines = {line.item: line for line in fixing_lines(fitted())}
    for item, count in (
        ("ring latch 170", 1), ("ring handle 75", 1), ("thumb latch 180", 1), ("gate bolt 200", 1),
        ("gate closer 180", 1), ("self-closing hinge strap 350", 2), ("ground socket 150", 1),
        ("ground stop for a gate 300", 2), ("gate stop 103", 1),
    ):  # fmt: skip
        assert lines[item].count == count, item
    assert "gate stop" not in lines  # none beside those that are drawn
    screws = next(line for item, line in lines.items() if item.startswith("ironmongery screw"))
    # latches 8, 8, 6; handles 2, 2; closer 6; angle 2; keeps 2 x 3; drop bolt 4; straps and pins
    needed = 8 + 8 + 6 + 4 + 6 + 2 + 6 + 4 + 8 * (5 + 4)
    extra = fitted().job.fixings.extra
    assert screws.count == math.ceil(needed * (1.0 + extra) - 1e-9)


def test_every_fitting_says_where_it_goes() -> None:
    fence = fitted()
    made = brief_of(fence, Style(), None, metres=False)
    for shown, _ in leaves_shown(fence):
        rows = part_rows(shown, made)
        assert {row[0] for row in rows[1:]} - {""} == {m.mark for m in shown.members}
    words = " ".join(row[-1] for row in part_rows(leaves_shown(fence)[0][0], made))
    assert "an angle on the post's side, its lip before the leaf" in words
    assert "bored through pale and ledge" in words
    gates = dict(offered(fence, order(fence)))["Gates"]
    assert "ring latch worked from both sides, closing by itself, by a spring" in gates


def test_gates_that_guard_open_out_and_close_themselves() -> None:
    guarded = spec({"swing": "out", "closing": "spring"}, {"swing": "in", "closing": "spring"}, {})
    guarded["run"][0]["guards"] = ["pool"]
    found = [f.where for f in check(fence_of(guarded)) if f.code == "GATE-GUARD"]
    assert found == ["run A, gate 2", "run A, gate 3"]


def test_two_leaves_have_no_post_to_stop_at() -> None:
    told = problems(spec({"leaves": 2, "opening": 2000, "stop": "post"}))
    assert len(told) == 1
    assert "run[1].gate[1].stop: two leaves meet in the middle of the opening" in told[0]


def swung(fence: FenceModel, leaf: int, degrees: float) -> FenceModel:
    """The fence with a leaf standing open."""
    hinge = leaf_hinges(fence.layouts[0])[leaf]
    turn = math.radians(degrees * hinge.way)
    cos, sin = math.cos(turn), math.sin(turn)
    ax, ay, _ = hinge.axis

    def moved(member: Member) -> Member:
        if member.leaf != leaf:
            return member
        (x, y, z), frame = member.frame.origin, member.frame
        place = (ax + cos * (x - ax) - sin * (y - ay), ay + sin * (x - ax) + cos * (y - ay), z)
        ways = [
            (cos * v[0] - sin * v[1], sin * v[0] + cos * v[1], v[2]) for v in (frame.x, frame.y)
        ]
        return replace(member, frame=Frame(place, *ways))

    return replace(fence, members=tuple(map(moved, fence.members)))


@pytest.mark.parametrize(
    ("gate", "free"),
    [({"opens": 120}, 91.5), ({"opens": 180, "swing": "out"}, 180.0),
     ({"opens": 120, "swing": "out", "hinge": "right", "stop": "post", "frame": "framed"}, 120.0)],
)  # fmt: skip
def test_a_gate_swings_without_a_clash_as_far_as_is_said(gate: Spec, free: float) -> None:
    """Against the check of whole fences, which measures convex parts with a linear programme."""
    data = spec(gate)
    data["run"][0]["points"] = [[0, 0], [6000, 0]]
    fence = fence_of(data)
    ((_, _, swing),) = swings_of(fence, 0)
    assert swing.free == free
    for degrees in (0.2 * free, 0.5 * free, 0.8 * free, free):
        assert not list(clashes(swung(fence, 0, degrees))), degrees
    found = {f.code: f for f in check(fence)}
    if free < gate["opens"]:
        # the strap's back comes to the post: 6 of half the gap less 2.5 of metal, 122.5 behind
        assert abs(math.degrees(math.asin(3.5 / 122.5)) - (free - 90.0)) < 0.5
        assert list(clashes(swung(fence, 0, free + 2.0)))
        assert found["SWING-BLOCKED"].where == "run A, gate 1 and post A03"
        assert found["SWING-BLOCKED"].measured == "opens to 91.5 degrees"
    else:
        assert "SWING-BLOCKED" not in found


def test_a_thumb_plate_comes_upon_the_fence() -> None:
    fence = fence_of(spec({"opens": 180, "swing": "out", "latch": "thumb"}))
    ((_, _, swing),) = swings_of(fence, 0)
    # 40 of plate and 5 between the leaf, folded back, and the fence: over 918 from the hinge
    assert abs(180.0 - swing.free - math.degrees(math.asin((40.0 - 5.0) / 918.0))) < 0.6
    assert swing.met.startswith("pale")


def test_a_wall_and_rising_ground_stop_a_leaf() -> None:
    wall = {"kind": "wall", "points": [[0, 700], [14000, 700]], "width": 100}
    data = spec({}, {"swing": "out"}, feature=[wall])
    fence = fence_of(data)
    (inward, outward) = (swing for _, _, swing in swings_of(fence, 0))
    assert inward.met == "wall"
    assert (outward.free, outward.met) == (90.0, "")
    # the wall's face is 650 behind the line; the axis 2.5 before the posts' faces at -47.5
    reach = math.hypot(984.0, 60.5)
    assert abs(math.degrees(math.asin((650.0 + 47.5) / reach)) - inward.free) < 4.0
    assert "SWING-BLOCKED" in codes(fence)
    rising = spec({}, {"swing": "out"})
    rising["run"][0]["levels_back"] = [[0, 50], [14000, 50]]
    fence = fence_of(rising)
    found = [f for f in check(fence) if f.code == "SWING-GROUND"]
    assert [f.where for f in found] == ["run A, gate 1"]
    assert found[0].measured.startswith("10 mm over the ground")


def test_plan_page_and_table_open_a_gate_as_far_as_it_is_said() -> None:
    fence = fence_of(spec({"opens": 150, "swing": "out"}, {}))
    (first, second) = leaf_hinges(fence.layouts[0])
    assert (first.way * first.opens, second.opens) == (-150.0, 0.0)
    rows = opening_rows(fence, brief_of(fence, Style(), None, metres=False).figures)
    assert [row[-1] for row in rows[1:]] == ["out, to the front, by 150°", "in, to the back"]
    gates = dict(offered(fence, order(fence)))["Gates"]
    assert "opening by 150 degrees" in gates


def test_a_wicket_beside_a_drive_gate_shares_its_post() -> None:
    """Two openings with one gate post between them, each leaf on its own side of it."""
    drive = {"at": 4000, "opening": 2400, "leaves": 2, "stop": "ground"}
    wicket = {"at": 5200 + 125 + 500, "opening": 1000, "hinge": "right", "latch": "ring",
              "height": 1300, "name": "wicket"}  # fmt: skip
    fence = fence_of({"run": [{"points": [[0, 0], [10000, 0]], "gate": [drive, wicket]}]})
    one, other = fence.layouts[0].openings
    assert one.numbers[1] == other.numbers[0]
    assert len([m for m in fence.members if m.kind == POST]) == len(fence.layouts[0].posts)
    shared = one.posts[1]
    assert shared.top == other.posts[1].top > one.posts[0].top  # as high as the higher leaf asks
    assert not list(clashes(fence))
    assert not {c for c in codes(fence) if c.startswith(("SWING", "HINGE-OFF-POST", "LEAF"))}


def test_a_gate_has_posts_of_its_own() -> None:
    heavy = {"section": [150, 140], "embedment": 900, "top": "flat"}
    data = spec({"post": heavy}, {})
    fence = fence_of(data)
    own, usual = fence.layouts[0].openings
    for post in own.posts:
        assert (post.plan.width, post.plan.depth, post.plan.embedment) == (150.0, 140.0, 900.0)
        (made,) = [m for m in fence.members if m.station == post.label and m.kind == POST]
        assert made.shape.size[:2] == (150.0, 140.0)
        assert abs(made.frame.origin[2] + 900.0) < 1e-6
        # its front is in the plane of all others
        assert abs(box(made)[0][1] + fence.layouts[0].run.face) < 1e-6
    assert {(p.plan.width, p.plan.embedment) for p in usual.posts} == {(125.0, 700.0)}
    for opening in (own, usual):
        low, high = (box(m) for post in opening.posts for m in fence.members
                     if m.station == post.label and m.kind == POST)  # fmt: skip
        assert abs(high[0][0] - low[1][0] - 1000.0) < 1e-6
    assert not list(clashes(fence))
    posts = dict(offered(fence, order(fence)))["Posts"]
    assert "150 × 140 mm (gate posts)" in posts  # noqa: RUF001
    assert "125 × 125 mm (gate posts)" in posts  # noqa: RUF001
    shallow = spec({"post": {"embedment": 300}}, {})
    found = [f for f in check(fence_of(shallow)) if f.code == "POST-SHALLOW"]
    assert [f.measured for f in found] == ["300 mm"]


def test_gates_that_share_a_post_say_the_same_of_it() -> None:
    wicket = {"at": 3000 + 1000 + 150, "post": {"section": [150, 150]}}
    data = {"run": [{"points": [[0, 0], [9000, 0]],
                     "gate": [{"at": 3000, "post": {"section": [150, 150]}}, wicket]}]}  # fmt: skip
    assert not problems(data)
    one, other = fence_of(data).layouts[0].openings
    assert one.numbers[1] == other.numbers[0]
    wicket["post"] = {"section": [150, 150], "embedment": 900}
    job = resolve(SpecTables.model_validate(data))
    told = [p.text("job") for run in job.runs for p in gate_problems(run)]
    assert len(told) == 1
    assert "run[1].gate[2].post: shares a post with gate[1]; say the same of it there" in told[0]


def test_a_leaf_pulls_at_the_post_it_hangs_on() -> None:
    """By hand: g m (leaf / 2 + gap + post / 2), on a post of the gate's own."""
    fence = fence_of(
        {**spec({"post": {"section": [200, 200]}, "frame": "framed"}), "wind": {"velocity": 22},
         "footings": {"size": 450}}
    )  # fmt: skip
    layout = fence.layouts[0]
    (_, leaf), (hung,) = (
        layout.hung[0],
        hung_leaves(next(iter(run_winds(fence))), layout.openings[0].numbers[0]),
    )
    assert hung.post == 200.0
    timber = [*of_leaf(fence, 0, PALE), *of_leaf(fence, 0, LEDGE), *of_leaf(fence, 0, STILE),
              *of_leaf(fence, 0, BRACE)]  # fmt: skip
    mass = sum(m.shape.volume for m in timber) * fence.job.timber.density / 1e9
    # about so: heads uncut, the brace from corner to corner, tenons in whole stiles
    assert mass < hung.mass < 1.12 * mass
    assert hung.leaf == leaf


@pytest.mark.parametrize("change", [mirrored, reversed_])
@pytest.mark.parametrize("data", [ARCHED, FRAMED, FITTED], ids=["arched", "framed", "fitted"])
def test_gates_told_from_the_other_end_or_mirrored_are_the_same(
    data: Spec, change: Callable[[Spec], Spec]
) -> None:
    told = {**data, "run": [{**data["run"][0], "front": "right"}]}
    told["run"][0]["gate"] = [{"hinge": "left", **gate} for gate in told["run"][0]["gate"]]
    one, other = fence_of(told), fence_of(change(told))
    assert lists(one) == lists(other)
    assert highest_point(one.layouts[0]) == pytest.approx(highest_point(other.layouts[0]))
