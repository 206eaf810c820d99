"""Runs given by legs as they were walked: corners, levels, closing, what is asked and refused."""

from __future__ import annotations

import cmath
import math
import time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from palewright.model.basis.directions import Turn, parse_angle, parse_bearing, parse_turn
from palewright.model.basis.errors import SpecError
from palewright.model.checks.building_checks import check
from palewright.model.order.joints import make_fence
from palewright.model.resolved.job import Job
from palewright.model.resolved.leg_corners import walked_line
from palewright.model.site.traverse import TriangleError, compass_rule, corner_angle
from palewright.model.spec.spec_tables import Run
from palewright.reading import parse_job


def job(run: str) -> Job:
    return parse_job(f"[[run]]\n{run}\n")


def corners(run: str) -> list[tuple[float, float, float]]:
    found = job(run)
    east, north, level = found.origin
    return [(x + east, y + north, z + level) for x, y, z in found.runs[0].line.vertices]


def refused(run: str) -> str:
    with pytest.raises(SpecError) as caught:
        job(run)
    return str(caught.value)


def test_legs_are_walked_from_the_start_with_turns() -> None:
    """North first; right is east then; levels by falls, a rise negative."""
    found = corners(
        'first_point = ["1 m", "2 m", "50 m"]\nposts = { bay = "1.8 m" }\n'
        'leg = [{ length = "12.4 m", fall = "300 mm" },\n'
        '  { length = "30 ft", turn = "right", fall_per_metre = "-10 mm" },\n'
        '  { length = "3.6 m", turn = "left 45", fall_per_bay = "20 mm" },\n'
        '  { length = "2 m", turn = "straight", level = "49 m" }]'
    )
    half = 3600.0 * math.sqrt(0.5)
    assert found[1] == pytest.approx((1000.0, 14_400.0, 49_700.0))
    assert found[2] == pytest.approx((1000.0 + 9144.0, 14_400.0, 49_791.44))
    # two bays of 1800 mm, the longest there are
    assert found[3] == pytest.approx((10_144.0 + half, 14_400.0 + half, 49_751.44))
    assert found[4][2] == 49_000.0


def test_the_first_leg_may_have_a_bearing() -> None:
    found = corners('leg = [{ length = "9 m", bearing = "S 30 E" }]')
    assert found[1][:2] == pytest.approx((4500.0, -9000.0 * math.sqrt(0.75)))


@pytest.mark.parametrize(
    ("told", "turn"),
    [
        ('across = "15 m"', 90.0),  # 9, 12, 15
        ('arms = ["3 m", "4 m"], across = "5 m"', 90.0),
        ('arms = "2 m", across = "2 m"', 120.0),  # three sides alike
        ('arms = "1 m", across = "2 m"', 0.0),  # straight on
        ('arms = ["10 ft", "10 ft"], across = "14 ft 1 11/16 in"', 90.0),  # to a sixteenth
    ],
)
@pytest.mark.parametrize("side", ["left", "right"])
def test_a_corner_follows_from_three_lengths(told: str, turn: float, side: str) -> None:
    """The diagonal of the whole legs, or a triangle at the corner."""
    found = corners(f'leg = [{{ length = "9 m" }}, {{ length = "12 m", turn = "{side}", {told} }}]')
    (x1, y1), (x2, y2) = found[1][:2], found[2][:2]
    sign = 1.0 if side == "right" else -1.0
    assert math.degrees(math.atan2(x2 - x1, y2 - y1)) == pytest.approx(sign * turn, abs=0.02)


def test_a_fence_by_legs_is_the_fence_by_points() -> None:
    """Every piece of it: the same order for the same corners, closed or not, on either side."""
    for more in ("", "closed = true\n", 'front = "left"\n', 'closed = true\nfront = "left"\n'):
        end = ", {}" if "closed" in more else ""
        by_legs = job(
            more + 'gate = [{ at = "3 m", opening = "900 mm" }]\n'
            'leg = [{ length = "9 m", fall = "200 mm" }, { length = "40 ft", turn = "right", '
            f'fall = 0 }}, {{ length = "9 m", turn = "right", fall = "-200 mm" }}{end}]'
        )
        by_points = job(
            more + 'gate = [{ at = "3 m", opening = "900 mm" }]\n'
            "points = [[0, 0, 0], [0, 9000, -200], [12192, 9000, -200], [12192, 0, 0]]"
        )
        assert by_legs.runs[0].line == by_points.runs[0].line
        pieces = [
            sorted((member.mark, member.frame.origin) for member in make_fence(one).members)
            for one in (by_legs, by_points)
        ]
        assert pieces[0] == pieces[1]


sides = st.floats(100.0, 50_000.0)


@given(sides, sides, st.floats(1.0, 179.0))
def test_the_angle_is_that_of_the_triangle(a: float, b: float, degrees: float) -> None:
    """Against the ends placed by complex numbers."""
    across = abs(a - cmath.rect(b, math.radians(degrees)))
    assert corner_angle(a, b, across) == pytest.approx(degrees, abs=1e-6)
    assert corner_angle(b, a, across) == pytest.approx(degrees, abs=1e-6)
    with pytest.raises(TriangleError, match="together are only"):
        corner_angle(a, b, (a + b) * 1.001)


def test_a_rectangle_closes_by_a_leg_that_was_not_measured() -> None:
    found = job(
        "closed = true\n"
        'leg = [{ length = "9 m" }, { length = "8 m", turn = "left" },'
        ' { length = "9 m", turn = "left" }, {}]'
    )
    run = found.runs[0]
    assert [leg.length for leg in run.line.legs] == pytest.approx([9000, 8000, 9000, 8000])
    assert run.walked is not None
    assert run.walked.misclosure == ""
    codes = {finding.code for finding in check(make_fence(found))}
    assert not codes & {"LEGS-MISCLOSURE", "LEGS-CLOSE-BADLY"}


CLOSED = (
    "closed = true\n"
    'leg = [{{ length = "{0}", turn = "right", fall = "100 mm" }},'
    '{{ length = "8 m", turn = "right", fall = 0 }},'
    '{{ length = "12 m", turn = "right {1}", fall = "-50 mm" }},'
    '{{ length = "7.98 m", turn = "right 90", fall = "{2}" }}]'
)


def test_a_closed_run_is_adjusted_and_its_misclosure_said() -> None:
    """By hand: turns 359.5, so each is an eighth of a degree short; then the compass rule."""
    run = job(CLOSED.format("12.03 m", "89-30", "-55 mm")).runs[0]
    assert run.walked is not None
    assert run.walked.turn_miss == pytest.approx(-0.5)
    turns = [90.125, 90.125, 89.625, 90.125]
    ways, heading = [], 0.0
    for turn, length in zip([0.0, *turns[1:]], (12_030, 8000, 12_000, 7980), strict=True):
        heading += math.radians(turn)
        ways.append(complex(length * math.sin(heading), length * math.cos(heading)))
    miss = sum(ways)
    assert run.walked.miss == pytest.approx(miss)
    here, along = 0j, 0.0
    for way, vertex in zip(ways, run.line.vertices, strict=True):
        assert vertex[:2] == pytest.approx(
            ((here - miss * along / 40_010).real, (here - miss * along / 40_010).imag), abs=1e-5
        )
        here, along = here + way, along + abs(way)
    # the falls add up to -5 mm: by lengths
    assert run.walked.level_miss == pytest.approx(5.0)
    lengths = [leg.length for leg in run.line.legs]
    assert run.line.vertices[1][2] == pytest.approx(-100.0 - 5.0 * lengths[0] / sum(lengths))


def test_what_does_not_close_is_found() -> None:
    good = check(make_fence(job(CLOSED.format("12.03 m", "89-30", "-55 mm"))))
    (note,) = [finding for finding in good if finding.code.startswith("LEGS-")]
    assert note.code == "LEGS-MISCLOSURE"
    assert "the turns miss 360 degrees by 0.50" in note.text
    assert "the levels miss by 5 mm" in note.text
    bad = check(make_fence(job(CLOSED.format("12.4 m", "88", "-155 mm"))))
    told = [finding for finding in bad if finding.code == "LEGS-CLOSE-BADLY"]
    allowed = [(finding.measured, finding.allowed) for finding in told]
    assert [pair[1] for pair in allowed] == ["1 in 200", "1 degrees", "30 mm"]
    assert allowed[1][0] == "turns miss by 2.0 degrees"
    assert allowed[2][0] == "levels miss by 105 mm"


@pytest.mark.parametrize(
    ("run", "said"),
    [
        ('leg = [{length="9 m"}, {length="8 m", turn=90}]',
         'leg[2].turn: to which side? write "right 90" or "left 90"'),
        ('leg = [{length="9 m"}, {length="8 m", turn="a right angle"}]', "to which side?"),
        ('leg = [{length="9 m"}, {length="8 m", turn="sideways"}]', 'a turn is "right", "left"'),
        ('leg = [{length="9 m"}, {length="8 m", turn="left 200"}]', "is under 180 degrees"),
        ('leg = [{length="9 m", turn="left"}]', "there is no corner before the first leg"),
        ("leg = [{length=9}]", 'leg[1].length: 9 is 9 mm: 9 m? write "9 m"'),
        ('leg = [{length="9 m"}, {length="8 m"}]', "leg[2]: says no turn from the leg before"),
        ('leg = [{length="9 m"}, {length="8 m", across="18 m", turn="left"}]',
         "leg[2].across: 18000 mm across cannot be: the two sides, 9000 and 8000 mm, together are "
         "only 17000 mm"),
        ('leg = [{length="9 m"}, {length="8 m", across="0.5 m", turn="left"}]',
         "9000 and 8000 mm, already differ by 1000 mm"),
        ('leg = [{length="9 m"}, {length="8 m", across="12 m"}]',
         'leg[2].across: to which side does the line turn? say turn = "left"'),
        ('leg = [{length="9 m"}, {length="8 m", across="12 m", turn="left 90"}]',
         "leg[2].turn: the turn follows from `across`"),
        ('leg = [{length="9 m"}, {length="8 m", arms="3 m", turn="left"}]',
         "leg[2].arms: needs `across`"),
        ('closed = true\nleg = [{length="9 m"}, {length="8 m", turn="left"}, {length="8 m", '
         'turn="left"}, {arms="1 m", across="1 m", turn="left"}]', "leg[4].turn: follows from"),
        ('leg = [{length="9 m"}, {turn="left"}]', "leg[2]: a leg needs its length; only the last"),
        ('leg = [{length="9 m"}, {length="8 m", turn="left", bearing=30}]',
         "leg[2].bearing: a leg has a bearing or a turn, not both"),
        ('leg = [{length="9 m"}, {length="8 m", bearing=30}]',
         "leg[1].bearing: other legs have bearings, so this one needs its own"),
        ('leg = [{length="9 m", bearing=361}]', "a bearing is degrees clockwise from north"),
        ('leg = [{length="9 m"}, {length="8 m", turn="left", fall="1 m"}]',
         "leg[1]: says neither how far the ground falls nor a level"),
        ('leg = [{length="9 m", fall=0, level=300}]', "leg[1].level: the leg has fall already"),
        ('leg = [{length="9 m", level="1 m"}]', "first_point: legs have levels: the start needs"),
        ('leg = [{length="9 m"}, {length="8 m", turn="left 170"}]',
         "leg[2]: the line turns back to 10.0 degrees"),
        ('front = "left"\nleg = [{length="9 m"}, {length="0.1 m", turn="left"}, {length="8 m", '
         'turn="left"}, {length="4 m", turn="right"}]', "leg[2]: two corners or ends are"),
        ('points = [[0, 0], ["9 m", 0]]\nleg = [{length="9 m"}]', "has points or legs, not both"),
        ('line = "x"\nleg = [{length="9 m"}]', "has legs or a line of the survey, not both"),
        ('first_point = [0, 0]\npoints = [[0, 0], ["9 m", 0]]', "first_point: is where legs start"),
        ('leg = [{length="9 m"}]\nfirst_point = {at = [0, 0], through = [1, 1]}', "no arc leads"),
        ('closed = true\nleg = [{length="9 m"}, {length="8 m", turn="left"}, {length="9 m", '
         'turn="left"}]', "leg[3]: the legs end 8000 mm from the start, 1 in 3.2 of their length"),
        ('closed = true\nleg = [{length="9 m", turn="left"}, {length="8 m", turn="left"}, '
         '{length="9 m", turn="left"}, {length="8 m", turn="left 60"}]',
         "leg[1].turn: the turns of all legs add up to 330 degrees"),
        ('closed = true\nleg = [{length="9 m", turn="left"}, {length="8 m", turn="left"}, '
         '{length="9 m", turn="left"}, {}]', "leg[1].turn: is one too many"),
        ('closed = true\nleg = [{length="9 m", turn="left", bearing=0}, '
         '{length="8 m", bearing=270}, '
         '{length="9 m", turn="left"}, {length="8 m", turn="left"}]', "counts only where all legs"),
        ('closed = true\nleg = [{length="9 m", fall="2 m"}, {length="8 m", turn="left", fall=0}, '
         '{length="9 m", turn="left", fall=0}, {length="8 m", turn="left", fall=0}]',
         "leg[4].fall: the levels end 2000 mm under the start"),
        ('leg = [{length="9 m"}]\n[[run]]\nleg = [{length="9 m"}]', "needs to know where it"),
    ],
)  # fmt: skip
def test_what_is_half_said_is_asked_for_and_what_cannot_be_is_refused(run: str, said: str) -> None:
    assert said in refused(run)


legs = st.lists(
    st.tuples(st.floats(2000.0, 20_000.0), st.floats(-120.0, 120.0)), min_size=2, max_size=6
)


def nodes_of(walk: list[tuple[float, float]]) -> list[tuple[float, float]]:
    rows: list[dict[str, object]] = [{"length": walk[0][0]}]
    rows += [
        {"length": length, "turn": f"{'right' if turn > 0 else 'left'} {abs(turn):.6f}"}
        for length, turn in walk[1:]
    ]
    run = Run.model_validate({"leg": rows})
    walked, problems = walked_line(run, 1800.0, ("run", 0), first=True)
    assert walked is not None, problems
    return [node.at for node in walked.nodes]


@given(legs)
def test_a_line_walked_back_is_the_same_line(walk: list[tuple[float, float]]) -> None:
    """Lengths in the other order, turns the other way round and to the other side."""
    back = [walk[-1], *((walk[n][0], -walk[n + 1][1]) for n in range(len(walk) - 2, -1, -1))]
    there, again = nodes_of(walk), nodes_of(back)
    ways = [
        [math.dist(points[a], points[b]) for a in range(len(points)) for b in range(a)]
        for points in (there, again[::-1])
    ]
    assert ways[0] == pytest.approx(ways[1], abs=1e-3)


@given(
    st.lists(st.complex_numbers(min_magnitude=1.0, max_magnitude=1e5), min_size=2, max_size=8),
    st.complex_numbers(max_magnitude=1e5),
)
def test_the_compass_rule_ends_where_it_has_to(ways: list[complex], end: complex) -> None:
    found = compass_rule(0j, ways, end)
    assert found.places[-1] == end
    assert found.miss == pytest.approx(sum(ways) - end, abs=1e-6)
    first = found.places[0]
    assert first == pytest.approx(ways[0] - found.miss * abs(ways[0]) / found.length, abs=1e-6)


@pytest.mark.parametrize(
    ("said", "degrees"),
    [("north", 0.0), ("South-West", 225.0), ("NE", 45.0), ("n 45 w", 315.0), ("N45W", 315.0),
     ("s68-05-35w", 248.093056), ("S 68 05 35 W", 248.093056), ("68\N{DEGREE SIGN}30'", 68.5),
     (360, 0.0), ("123.25", 123.25), ("s 90 e", 90.0)],
)  # fmt: skip
def test_bearings_are_read_as_they_are_written(said: str | float, degrees: float) -> None:
    assert parse_bearing(said) == pytest.approx(degrees, abs=1e-6)


@pytest.mark.parametrize(
    "said",
    ["", "N E 45", "N 91 E", "N 45 60 E", "-3", "45.5 30", "9" * 5000, "up", None, True],
)
def test_what_is_no_bearing_is_refused(said: object) -> None:
    with pytest.raises(ValueError, match=r"bearing|seconds|fraction"):
        parse_bearing(said)


def test_turns_and_angles_are_read_as_they_are_said() -> None:
    assert parse_turn("45 degrees to the left") == Turn(-1, 45.0)
    assert parse_turn("a right angle to the left".removeprefix("a ")) == Turn(-1, 90.0)
    assert parse_turn("Right") == Turn(1, None)
    assert parse_turn("30-15 right") == Turn(1, 30.25)
    assert parse_turn(0) == Turn(0, 0.0)
    assert parse_angle("12 5") == pytest.approx(12.0 + 5.0 / 60.0)


def test_wrong_legs_are_told_once() -> None:
    assert refused('leg = "9 m"') == 'spec:2: run[1].leg: must be a list in [ ] (found "9 m")'


def test_as_many_legs_as_there_may_be_take_little_time() -> None:
    """And a thousand bad ones are told, or counted, just as fast."""
    rows = ", ".join(
        f'{{ length = "3 m", turn = "{side}" }}' for _ in range(999) for side in ("left", "right")
    )
    began = time.perf_counter()
    found = job(f'leg = [{{ length = "3 m" }}, {rows}]')
    assert len(found.runs[0].line.legs) == 1999
    said = refused(f'leg = [{{ length = "3 m" }}, {rows.replace("left", "90")}]')
    assert "more problems" in said
    assert time.perf_counter() - began < 20.0
