"""Surveyed curves as straights and arcs: known geometry comes back, straight surveys stay."""

from __future__ import annotations

import math
import random
import time
from itertools import pairwise
from pathlib import Path

import pytest
import shapely
from click.testing import CliRunner
from hypothesis import given, settings
from hypothesis import strategies as st

from helpers import ROOT
from palewright.cli.main import main
from palewright.model.geometry.curves import Arc
from palewright.model.geometry.frames import Point
from palewright.model.order.joints import make_fence
from palewright.model.site.path import Node
from palewright.model.survey.curve_search import ArcLimits
from palewright.model.survey.fitted_lines import fitted
from palewright.model.survey.survey_files import read_survey
from palewright.reading import parse_job

Part = tuple[float, float, float]
"""Length, radius (anticlockwise positive, 0 for a straight), and bend before it, degrees; mm."""

LINE_ARC_LINE: list[Part] = [(20e3, 0, 0), (15e3, 10e3, 0), (20e3, 0, 0)]
ROAD: list[Part] = [(20e3, 0, 0), (15e3, 10e3, 0), (12e3, 0, 0), (20e3, -15e3, 0), (20e3, 0, 0)]
CORNERS: list[Part] = [(20e3, 0, 0), (20e3, 0, 90), (15e3, 10e3, 0), (9e3, 0, -85)]
REVERSE: list[Part] = [(15e3, 20e3, 0), (15e3, -12e3, 0)]
WIDE: list[Part] = [(30e3, 0, 0), (40e3, 100e3, 0), (30e3, 0, 0)]
BETWEEN_CORNERS: list[Part] = [(20e3, 0, 0), (18e3, 12e3, 40), (20e3, 0, -50)]


def walked(parts: list[Part], step: float, noise: float, seed: int = 0) -> list[Point]:
    """Return shots every step along parts, and at corners, with even noise, mm; without the
    code under test: by integrating the heading in closed form.
    """
    rng = random.Random(seed)
    starts, x, y, heading, along = [], 400e6, 300e6, 0.3, 0.0
    for length, radius, bend in parts:
        heading += math.radians(bend)
        starts.append((along, x, y, heading, radius))
        x, y, heading = stepped(x, y, heading, radius, length)
        along += length
    places = {n * step for n in range(int(along / step) + 1)} | {along}
    places |= {s[0] for s, part in zip(starts, parts) if part[2]}
    shots = []
    for place in sorted(p for p in places if p == along or along - p > 1.0):
        at, x, y, heading, radius = next(s for s in reversed(starts) if s[0] <= place + 1e-9)
        x, y, _ = stepped(x, y, heading, radius, place - at)
        shots.append((x + rng.uniform(-noise, noise), y + rng.uniform(-noise, noise)))
    return shots


def stepped(x: float, y: float, heading: float, radius: float, length: float) -> tuple[float, ...]:
    if not radius:
        return x + length * math.cos(heading), y + length * math.sin(heading), heading
    after = heading + length / radius
    return (
        x + radius * (math.sin(after) - math.sin(heading)),
        y - radius * (math.cos(after) - math.cos(heading)),
        after,
    )


def followed(shots: list[Point], tolerance: float = 20.0, *, closed: bool = False,
             limits: ArcLimits = ArcLimits()) -> tuple[Node, ...]:  # noqa: B008  # fmt: skip
    return fitted(tuple(Node(shot) for shot in shots), tolerance, limits, closed=closed)[0]


def radii(nodes: tuple[Node, ...]) -> list[float]:
    """Return the radius of each piece, signed as in a Part."""
    return [
        math.copysign(node.curve.radius, node.curve.sweep) if isinstance(node.curve, Arc) else 0.0
        for node in nodes[1:]
    ]


def headings(nodes: tuple[Node, ...]) -> list[tuple[float, float]]:
    """Return the way each piece starts and ends, degrees."""
    found = []
    for a, b in pairwise(nodes):
        if isinstance(b.curve, Arc):
            first = b.curve.start + math.copysign(math.pi / 2, b.curve.sweep)
            found.append((math.degrees(first), math.degrees(first + b.curve.sweep)))
        else:
            way = math.degrees(math.atan2(b.at[1] - a.at[1], b.at[0] - a.at[0]))
            found.append((way, way))
    return found


def kinks(nodes: tuple[Node, ...]) -> list[float]:
    return [abs((b[0] - a[1] + 180.0) % 360.0 - 180.0) for a, b in pairwise(headings(nodes))]


def drawn(nodes: tuple[Node, ...]) -> shapely.LineString:
    points = [nodes[0].at]
    for node in nodes[1:]:
        if node.curve is not None:
            points += [node.curve.point(n / 400) for n in range(1, 400)]
        points.append(node.at)
    return shapely.LineString(points)


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize(
    ("parts", "step", "close"),
    [
        (LINE_ARC_LINE, 2000.0, 0.005),
        (ROAD, 2000.0, 0.005),
        (ROAD, 1300.0, 0.005),
        (CORNERS, 1700.0, 0.005),
        (REVERSE, 2000.0, 0.01),
        (WIDE, 3000.0, 0.01),
        (BETWEEN_CORNERS, 2000.0, 0.005),
    ],
    ids=["one arc", "two arcs", "close shots", "corners", "reverse curve", "wide", "no tangents"],
)
def test_known_pieces_come_back_from_shots_with_noise(
    parts: list[Part], step: float, close: float, seed: int
) -> None:
    """Shots with up to 5 mm of noise to the east and the north: the pieces that were walked, radii
    within half a per cent (one where the arc is not tied down by straights, or turns by 23
    degrees in all), all shots within the tolerance, and no bend where there was none.
    """
    shots = walked(parts, step, 5.0, seed)
    nodes = followed(shots)
    assert [math.copysign(1, r) if r else 0 for r in radii(nodes)] == [
        math.copysign(1, part[1]) if part[1] else 0 for part in parts
    ]
    for found, part in zip(radii(nodes), parts):
        assert found == pytest.approx(part[1], rel=close)
    line = drawn(nodes)
    assert max(line.distance(shapely.Point(shot)) for shot in shots) <= 20.0
    for found, part in zip(kinks(nodes), parts[1:]):
        assert found < 1e-4 if part[2] == 0.0 else found == pytest.approx(abs(part[2]), abs=1.0)
    assert nodes[0].at == shots[0] and nodes[-1].at == shots[-1]
    for node, part in zip(nodes[1:], parts[1:]):
        assert (node.at in shots) == bool(part[2])  # a corner stands where it was shot
    for a, b in pairwise(nodes):
        if isinstance(b.curve, Arc):
            assert math.dist(b.curve.point(0.0), a.at) < 1e-4
            assert math.dist(b.curve.point(1.0), b.at) < 1e-4


@pytest.mark.parametrize("seed", range(40))
def test_any_straights_and_arcs_come_back(seed: int) -> None:
    """One to three arcs of 4 to 60 m that turn by 29 to 115 degrees, seven shots on the shortest:
    their number, and radii within three per cent.
    """
    rng = random.Random(seed)
    parts: list[Part] = [(rng.uniform(6e3, 30e3), 0, 0)]
    for _ in range(rng.randint(1, 3)):
        radius = math.exp(rng.uniform(math.log(4e3), math.log(60e3)))
        parts.append((radius * rng.uniform(0.5, 2.0), radius * rng.choice((-1, 1)), 0))
        parts.append((rng.uniform(6e3, 30e3), 0, 0))
    arcs = [part for part in parts if part[1]]
    step = min(*(a[0] / 7 for a in arcs), *(abs(a[1]) * 0.35 for a in arcs), rng.uniform(700, 3e3))
    shots = walked(parts, step, 5.0, seed)
    nodes = followed(shots)
    assert radii(nodes) == pytest.approx([part[1] for part in parts], rel=0.03)
    assert max(kinks(nodes)) < 1e-4
    line = drawn(nodes)
    assert max(line.distance(shapely.Point(shot)) for shot in shots) <= 20.0


def test_a_ring_with_corners_and_a_curved_side() -> None:
    parts: list[Part] = [(20e3, 0, 0), (12e3, 0, 90), (20e3, 0, 90)]
    shots = walked(parts, 2500.0, 4.0)
    # back to the start along half a circle of 6 m
    (x0, y0), (x1, y1) = shots[-1], shots[0]
    way = math.atan2(y1 - y0, x1 - x0)
    middle = ((x0 + x1) / 2.0, (y0 + y1) / 2.0)
    radius = math.dist(shots[0], shots[-1]) / 2.0
    for n in range(1, 12):
        angle = way + math.pi + math.pi * n / 12
        shots.append((middle[0] + radius * math.cos(angle), middle[1] + radius * math.sin(angle)))
    nodes = followed(shots, closed=True)
    found = radii((*nodes, nodes[0]))
    assert found == pytest.approx([0.0, 0.0, 0.0, radius], rel=0.005)
    assert nodes[0].at == shots[0]


def test_without_noise_the_tangent_points_are_found() -> None:
    """Where the pieces were put together, to a tenth of a millimetre along the line."""
    nodes = followed(walked(ROAD, 1900.0, 0.0))
    x, y, heading = 400e6, 300e6, 0.3
    for node, (length, radius, _) in zip(nodes[1:], ROAD):
        x, y, heading = stepped(x, y, heading, radius, length)
        assert math.dist(node.at, (x, y)) < 0.1


@pytest.mark.parametrize("noise", [0.0, 5.0])
@pytest.mark.parametrize("parts", [ROAD, CORNERS, REVERSE])
def test_reversed_mirrored_and_moved_lines_agree(parts: list[Part], noise: float) -> None:
    shots = walked(parts, 1700.0, noise)
    nodes = followed(shots)
    back = followed(shots[::-1])[::-1]
    mirrored = followed([(-x, y) for x, y in shots])
    moved = followed([(x - 400e6, y - 300e6) for x, y in shots])
    assert len(nodes) == len(back) == len(mirrored) == len(moved)
    for node, b, m, v in zip(nodes, back, mirrored, moved):
        assert b.at == pytest.approx(node.at, abs=1e-3)
        assert (-m.at[0], m.at[1]) == pytest.approx(node.at, abs=1e-3)
        assert (v.at[0] + 400e6, v.at[1] + 300e6) == pytest.approx(node.at, abs=1e-3)
    assert sorted(map(abs, radii(mirrored))) == pytest.approx(sorted(map(abs, radii(nodes))))
    assert radii(mirrored) == pytest.approx([-r for r in radii(nodes)], abs=1e-3)


def simplified(shots: list[Point], tolerance: float) -> list[Point]:
    """What a survey without curves has given ever since: Douglas and Peucker's rule."""
    return list(shapely.LineString(shots).simplify(tolerance, preserve_topology=False).coords)


@given(
    st.lists(
        st.tuples(st.floats(4e3, 40e3), st.floats(-120, 120).filter(lambda a: abs(a) > 12)),
        min_size=1, max_size=9,
    ),
    st.integers(1, 6), st.integers(0, 1000),
)  # fmt: skip
@settings(max_examples=150, deadline=None)
def test_a_survey_of_straights_is_as_it_was(
    legs: list[tuple[float, float]], between: int, seed: int
) -> None:
    """Straights with any corners, shots between them with noise: the corners alone."""
    rng = random.Random(seed)
    x, y, heading, shots = 0.0, 0.0, 0.0, [(0.0, 0.0)]
    for length, bend in legs:
        heading += math.radians(bend)
        for n in range(1, between + 1):
            share = length * n / between
            noise = rng.uniform(-5, 5) if n < between else 0.0
            shots.append((x + share * math.cos(heading) - noise * math.sin(heading),
                          y + share * math.sin(heading) + noise * math.cos(heading)))  # fmt: skip
        x, y = shots[-1]
    if between == 1 and any(abs(bend) < 25 for _, bend in legs):
        return  # shots at bends alone may be along a curve
    assert [node.at for node in followed(shots)] == simplified(shots, 20.0)


@pytest.mark.parametrize("sides", [4, 6, 8, 12])
def test_polygons_keep_their_corners(sides: int) -> None:
    """All their corners are on one circle: what bends by 30 degrees and more is a corner."""
    ring = [(9e3 * math.cos(n * math.tau / sides), 9e3 * math.sin(n * math.tau / sides))
            for n in range(sides)]  # fmt: skip
    assert followed(ring, closed=True) == tuple(Node(at) for at in ring)


def test_two_straights_with_a_slight_bend_stay_straights() -> None:
    shots = walked([(9e3, 0, 0), (9e3, 0, 4), (9e3, 0, 4)], 1000.0, 2.0)
    assert [node.at for node in followed(shots)] == simplified(shots, 20.0)


def test_rings_run_on_smoothly_where_they_start() -> None:
    ring = [(10e3 * math.cos(n * math.tau / 24), 10e3 * math.sin(n * math.tau / 24))
            for n in range(24)]  # fmt: skip
    nodes = followed(ring, closed=True)
    assert len(nodes) == 3  # a circle in three parts, so that it has nodes to hang on
    assert all(n.curve is not None and abs(radii((n, n))[0]) == pytest.approx(10e3) for n in nodes)
    stadium = walked([(10e3, 0, 0), (math.pi * 8e3, 8e3, 0), (20e3, 0, 0),
                      (math.pi * 8e3, 8e3, 0), (10e3, 0, 0)], 1500.0, 5.0, 3)[:-1]  # fmt: skip
    nodes = followed(stadium, closed=True)
    around = (*nodes, nodes[0])
    assert radii(around) == pytest.approx([0, 8e3, 0, 8e3, 0], rel=0.002)
    assert max(kinks((*around, nodes[1]))) < 1e-4


@given(
    st.lists(
        st.tuples(st.floats(-0.4, 0.4), st.sampled_from([10.0, 900.0, 1500.0, 9e3])),
        min_size=3, max_size=50,
    ),
    st.sampled_from([1.0, 20.0, 200.0]), st.booleans(),
)  # fmt: skip
@settings(max_examples=150, deadline=None)
def test_any_line_hangs_together_and_starts_and_ends_at_its_shots(
    steps: list[tuple[float, float]], tolerance: float, closed: bool
) -> None:
    x, y, heading, shots = 0.0, 0.0, 0.0, [(0.0, 0.0)]
    for turn, length in steps:
        heading += turn
        x, y = x + length * math.cos(heading), y + length * math.sin(heading)
        shots.append((x, y))
    nodes = followed(shots, tolerance, closed=closed)
    assert nodes[0].at == shots[0] and (closed or nodes[-1].at == shots[-1])
    around = (*nodes, nodes[0]) if closed else nodes
    for a, b in pairwise(around):
        if isinstance(b.curve, Arc):
            assert math.dist(b.curve.point(0.0), a.at) < 1e-3
            assert math.dist(b.curve.point(1.0), b.at) < 1e-3
    line = drawn(around)
    assert max(line.distance(shapely.Point(shot)) for shot in shots) <= tolerance * 1.01 + 0.1


def test_what_is_an_arc_is_the_users() -> None:
    shots = walked(LINE_ARC_LINE, 2000.0, 2.0)
    assert len(radii(followed(shots))) == 3
    for limits in (ArcLimits(points=0), ArcLimits(points=40), ArcLimits(apart=1500.0),
                   ArcLimits(turn=5.0), ArcLimits(radius=9e3)):  # fmt: skip
        assert [node.at for node in followed(shots, limits=limits)] == simplified(shots, 20.0)
    assert len(followed(shots, 0.0)) == len(shots)  # a line through all shots


def test_levels_of_shots_along_an_arc_are_the_grounds(tmp_path: Path) -> None:
    """The tangent points have no levels of their own; the ground rises evenly along the line."""
    shots = walked(LINE_ARC_LINE, 2000.0, 0.0)
    rows = [f"{x / 1000:.5f},{y / 1000:.5f},{50 + n * 0.1:.4f},F" for n, (x, y) in enumerate(shots)]
    (tmp_path / "s.csv").write_text("e,n,z,code\n" + "\n".join(rows))
    spec = '[survey]\nfile = "s.csv"\n[[run]]\nline = "F"\n'
    fence = make_fence(parse_job(spec, "f.toml", tmp_path))
    line = fence.job.runs[0].line
    assert line.length == pytest.approx(55_000.0, abs=60.0)  # on chords of bays
    assert len(line.knots) == len(shots)
    cornered = parse_job(spec.replace("\n[[run]]", "\narcs.points = 0\n[[run]]"), "f", tmp_path)
    assert len(cornered.runs[0].line.legs) > len(line.legs) - 30
    assert not cornered.runs[0].line.bent and line.bent


def test_the_pieces_are_shown(tmp_path: Path) -> None:
    shots = walked(LINE_ARC_LINE, 2000.0, 0.0)
    rows = [f"{x / 1000:.5f},{y / 1000:.5f},F" for x, y in shots]
    path = tmp_path / "s.csv"
    path.write_text("e,n,code\n" + "\n".join(rows))
    done = CliRunner().invoke(main, ["survey", str(path)])
    assert "  followed within 20 mm in 3 pieces, 1 arc:\n    straight 20.000 m to" in done.output
    assert "arc 15.000 m to the left, radius 10.000 m, to" in done.output
    plain = CliRunner().invoke(main, ["survey", str(path), "--straight", "0"])
    assert "followed" not in plain.output and 'straight = "0 mm"' in plain.output
    wrong = CliRunner().invoke(main, ["survey", str(path), "--straight", "near"])
    assert wrong.exit_code == 2 and "not a length of 0 or more" in wrong.output


@pytest.mark.parametrize("name", ["orchard", "hillside"])
def test_the_examples_are_as_they_were(name: str) -> None:
    survey = read_survey(ROOT / f"examples/{name}-survey.csv")
    for line in survey.lines:
        shots = [node.at for node in line.nodes]
        if len(shots) > 2:
            assert [node.at for node in followed(shots)] == simplified(shots, 20.0)


HARD = {
    "road": walked([(20e3, 0, 0), (15e3, 10e3, 0), (12e3, 0, 0), (20e3, -15e3, 0)] * 30, 1000, 5),
    "one arc": [(300e3 * math.cos(n * 0.003), 300e3 * math.sin(n * 0.003)) for n in range(2000)],
    "spiral": [((5e3 + n * 100) * math.cos(n * 0.05), (5e3 + n * 100) * math.sin(n * 0.05))
               for n in range(2000)],
    "waves": [(n * 500.0, 3000 * math.sin(n * 0.1)) for n in range(2000)],
    "noise": [(n * 1000.0, random.Random(n).uniform(-100, 100)) for n in range(2000)],
    "to and fro": [(float(n % 2) * 9e3, n * 10.0) for n in range(2000)],
}  # fmt: skip


@pytest.mark.parametrize("name", HARD)
def test_two_thousand_shots_take_seconds_at_most(name: str) -> None:
    shots = HARD[name]
    start = time.process_time()
    nodes = followed(shots)
    assert time.process_time() - start < 8.0
    line = drawn(nodes)
    shapely.prepare(line)
    assert max(line.distance(shapely.Point(shot)) for shot in shots) <= 20.0 + 0.5
    if name == "road":
        assert [bool(r) for r in radii(nodes)] == [False, True] * 60
