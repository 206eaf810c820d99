"""No two members stand in each other: the check, against the CAD kernel and against itself."""

from __future__ import annotations

import math
import random
from typing import Any

import numpy as np
import pytest
from combined_specs import combined
from exact_clashes import exact_clashes, shared_room
from specfuzz import toml
from test_solids import SHAPES

from helpers import EXAMPLES, example_fence, fence_of
from palewright.export.models.product import Product
from palewright.model.basis.errors import PalewrightError
from palewright.model.basis.findings import Finding, Severity
from palewright.model.checks.building_checks import check
from palewright.model.checks.clash_checks import clashes
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.convex import convex_parts, outer_points, shared_radius
from palewright.model.geometry.frames import Frame
from palewright.model.geometry.outlines import Outline
from palewright.model.geometry.shapes import Bolt, Footing, Plate, Shape
from palewright.model.order.joints import make_fence
from palewright.model.parts.members import BOARD, BRACKET, PALE, RAIL, Member
from palewright.model.parts.touching import may_share_room
from palewright.reading import parse_job

CROSSED = {"run": [{"points": [[0, 0], [4000, 0]]}, {"points": [[2000, -1000], [2000, 1000]]}]}


def stops(fence: FenceModel) -> list[Finding]:
    return [finding for finding in check(fence) if finding.severity is Severity.STOP]


def corner(turn: float, **tables: Any) -> FenceModel:
    end = [4000 + 4000 * math.cos(turn), 4000 * math.sin(turn)]
    return fence_of({"run": [{"points": [[0, 0], [4000, 0], end]}], **tables})


@pytest.mark.parametrize(
    ("spec", "one", "other"),
    [
        (
            {
                "run": [{"points": [[0, 0], [4000, 0], [4000, 4000]]}],
                "corners": {"posts": "pair", "setback": 80},
                "posts": {"corner": {"section": [150, 150]}},
            },
            "post A04",
            "post A05",
        ),
        (CROSSED, "rail RA1-001 of A bay 01", "rail RA3-001 of B bay 01"),
        (
            # a steep rake takes the rail up to the cap of the lower post
            {
                "run": [{"points": [[0, 0, 0], [1500, 0, 480]]}],
                "posts": {"top": {"shape": "cap", "overhang": 40}, "above_rail": 20},
                "pales": {"length": 1200},
                "rails": {"tops": [300, 1150]},
            },
            "post cap",
            "rail",
        ),
        (
            # concrete that comes up to the pales' feet
            {
                "run": [{"points": [[0, 0], [3000, 0]]}],
                "footings": {"weathering": 60, "size": 450},
                "pales": {"clearance": 30},
                "rails": {"form": "arris", "section": [84, 42]},
            },
            "pale",
            "footing",
        ),
    ],
    ids=["pair of posts", "two runs", "cap", "concrete"],
)
def test_what_stands_in_something_else_stops_the_job(
    spec: dict[str, Any], one: str, other: str
) -> None:
    found = stops(fence_of(spec))
    assert {finding.code for finding in found} == {"MEMBERS-CLASH"}
    assert any(one in finding.where and other in finding.where for finding in found), found


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_nothing_in_the_examples_stands_in_anything(path: Any) -> None:
    assert list(clashes(example_fence(path))) == []


@pytest.mark.parametrize("corners", ["mitre", "butt"])
@pytest.mark.parametrize("posts", [[100, 100], [150, 75]])
def test_brackets_of_inside_corners_lie_on_what_they_hold(corners: str, posts: list[int]) -> None:
    for degrees in range(-140, -29, 10):
        turn = math.radians(degrees)
        fence = corner(turn, rails={"corners": corners}, posts={"section": posts})
        assert list(clashes(fence)) == [], degrees
        for bracket in (m for m in fence.members if m.kind == BRACKET):
            assert touched(bracket, [m for m in fence.members if m.kind == RAIL])


def touched(one: Member, others: list[Member]) -> list[Member]:
    """Return those that a member would press into if it were a millimetre thicker all round."""
    found = []
    for other in others:
        for a in convex_parts(one.shape):
            part = a.placed(one.frame)
            thicker = type(part)(part.normals, part.offsets + 1.0)
            if any(
                shared_radius(thicker, b.placed(other.frame)) > 0.2
                for b in convex_parts(other.shape)
            ):
                found.append(other)
                break
    return found


@pytest.mark.parametrize("setback", [None, 90, 110, 140, 200])
def test_pairs_of_posts_leave_room_for_the_bracket_or_do_without(setback: float | None) -> None:
    told = {} if setback is None else {"setback": setback}
    for degrees in (-120, -90, -60, 60, 90, 120):
        fence = corner(math.radians(degrees), corners={"posts": "pair", **told})
        found = [pair for pair in clashes(fence) if BRACKET in (pair[0].kind, pair[1].kind)]
        assert found == [], degrees


@pytest.mark.parametrize("form", ["face", "arris"])
def test_gravel_boards_keep_clear_of_pales_and_concrete(form: str) -> None:
    fence = fence_of(
        {
            "run": [{"points": [[0, 0, 0], [5000, 0, 500], [7000, 3000, 250]], "front": side}
                    for side in ("right",)],
            "rails": {"form": form, "section": [84, 42] if form == "arris" else [75, 38]},
            "slopes": {"follow": "step", "fill": "board"},
            "footings": {"hole": "round", "size": 300},
        }
    )  # fmt: skip
    boards = [m for m in fence.members if m.kind == BOARD]
    assert len(boards) >= 3
    assert list(clashes(fence)) == []
    # with arris rails a board's front is where the pales' backs are, on the face it is before it
    for board in boards:
        leg = next(s for s in fence.layouts[0].stretches if s.leg_number == board.leg).leg
        y = leg.frame.local(board.frame.origin)[1]
        assert y == pytest.approx(-50.0 if form == "arris" else -50.0 - 22.0)


def test_holes_that_meet_are_said_of_posts_in_any_two_runs() -> None:
    def meeting(apart: float) -> list[Finding]:
        runs = [{"points": [[0, 0], [0, 2000]]}, {"points": [[apart, 0], [apart + 2000, 0]]}]
        found = check(fence_of({"run": runs, "footings": {"size": 300}}))
        return [finding for finding in found if finding.code == "HOLES-MEET"]

    assert [finding.where for finding in meeting(299.0)] == ["A01 and B01"]
    assert meeting(301.0) == []


def test_a_ball_in_shared_room_is_bounded_by_volume_and_surface() -> None:
    """Two hundred pairs of shapes at random places, against the kernel's shared volume."""
    rng = random.Random(5)
    # concrete stands for its whole hole there with the post in it, a bolt for its shank
    shapes: list[Shape] = [shape for shape in SHAPES if not isinstance(shape, (Footing, Bolt))]
    tested = apart = 0
    while tested < 60 or apart < 20:
        one, other = rng.choice(shapes), rng.choice(shapes)
        if len(convex_parts(one)) > 1 or len(convex_parts(other)) > 1:
            continue
        near = outer_points(one)[rng.randrange(len(outer_points(one)))]
        frame = turned(rng, tuple(float(v) + rng.uniform(-40, 40) for v in near))
        pair = (member(one, Frame()), member(other, frame))
        depth = 2.0 * max(
            shared_radius(a.placed(Frame()), b.placed(frame))
            for a in convex_parts(one)
            for b in convex_parts(other)
        )
        low, high = shared_room(_Solids(pair), *pair)
        # chords of a cylinder are up to 0.9 % of its radius within it
        assert depth <= high + 0.05
        assert max(depth, 0.0) >= low * 0.97 - 0.3
        tested += depth > 0.5
        apart += depth <= 0.0
    assert tested >= 60


def turned(rng: random.Random, origin: tuple[float, ...]) -> Frame:
    x = np.array([rng.gauss(0, 1) for _ in range(3)])
    x /= np.linalg.norm(x)
    y = np.cross(x, [rng.gauss(0, 1) for _ in range(3)])
    y /= np.linalg.norm(y)
    return Frame(tuple(origin), tuple(x.tolist()), tuple(y.tolist()))  # type: ignore[arg-type]


def member(shape: Shape, frame: Frame) -> Member:
    return Member(PALE, str(id(shape)), shape, frame, 0, "", "", 0, "")


class _Solids:
    """The solids of two members, as a product has them."""

    def __init__(self, pair: tuple[Member, Member]) -> None:
        from palewright.model.solids.bodies import solid_of

        self.solids = {one.mark: solid_of(one.shape) for one in pair}


def test_parts_of_a_plate_make_its_area() -> None:
    for shape in SHAPES:
        if isinstance(shape, Plate):
            whole = shape.outline.flatten(0.1)
            area = sum(_area(part.normals, part.offsets) for part in convex_parts(shape))
            outline = Outline.polygon(whole)
            assert area == pytest.approx(outline.area, rel=2e-4)


def _area(normals: np.ndarray, offsets: np.ndarray) -> float:
    """Area in x and z of a plate's part, by clipping a large square."""
    import shapely

    loop = shapely.box(-5000, -5000, 5000, 5000)
    for (nx, ny, nz), d in zip(normals, offsets, strict=True):
        if abs(ny) < 1e-9:
            far = 1e5
            foot = (nx * d, nz * d)
            along = (-nz * far, nx * far)
            inner = (foot[0] - nx * far, foot[1] - nz * far)
            loop &= shapely.Polygon(
                [
                    (foot[0] + along[0], foot[1] + along[1]),
                    (inner[0] + along[0], inner[1] + along[1]),
                    (inner[0] - along[0], inner[1] - along[1]),
                    (foot[0] - along[0], foot[1] - along[1]),
                ]
            )
    return float(loop.area)


@pytest.mark.slow
def test_combined_fences_that_pass_have_no_clash_by_the_kernel() -> None:
    tested = 0
    for number in range(40):
        spec = combined(random.Random(number))
        try:
            fence = make_fence(parse_job(toml(spec)))
        except PalewrightError:
            continue
        if len(fence.members) > 250 or stops(fence):
            continue
        assert exact_clashes(Product(fence)) == [], number
        tested += 1
    assert tested >= 8


@pytest.mark.slow
def test_the_kernel_and_the_check_find_the_same_clashes() -> None:
    """Runs moved into each other, so that most kinds meet most kinds."""
    seen = set()
    for shift in (0.0, 35.0, 90.0, 410.0):
        runs = [
            {"points": [[0, 0], [1600, 0]], "gate": [{"at": 800, "opening": 700}]},
            {"points": [[60 + shift, 40], [1500, 12]]},
        ]
        fence = fence_of({"run": runs, "posts": {"top": "cap"}})
        built = Product(fence)
        told = {frozenset((a.name, b.name)) for a, b, depth in clashes(fence) if depth > 1.5}
        for a, b, depth in clashes(fence):
            _, high = shared_room(built, a, b)
            assert depth <= high + 0.1, (a.name, b.name)
            seen.add(frozenset((a.kind.name, b.kind.name)))
        exact = exact_clashes(built)
        for line in exact:
            pair = frozenset(line.split(":")[0].split(" and "))
            assert pair in told or float(line.split(": ")[1].split()[0]) < 1.5, line
    assert len(seen) >= 8
    assert not any(may_share_room(a, b) for a, b in [(PALE, RAIL), (PALE, PALE)])
