"""Hidden lines: boxes against closed form, random scenes against rays."""

from __future__ import annotations

import math
import random

import numpy as np
import pytest
import trimesh

from palewright.export.drawing.views.axonometry import isometric_eye
from palewright.export.drawing.views.hidden_lines import Body, Scene, faceted, scene, seen_spans
from palewright.model.geometry.frames import Frame
from palewright.model.geometry.outlines import Outline
from palewright.model.geometry.post_shapes import Post
from palewright.model.geometry.shapes import Bar, Plate, Rod, rectangle_section
from palewright.model.geometry.top_cuts import PyramidTop

EYE = isometric_eye(Frame())


def seen_length(shown: Scene) -> float:
    lengths = np.linalg.norm(shown.edges[:, 1, :2] - shown.edges[:, 0, :2], axis=1)
    numbers, spans = seen_spans(shown)
    return math.fsum((lengths[numbers] * (spans[:, 1] - spans[:, 0])).tolist())


def test_a_box_shows_nine_edges_at_full_length() -> None:
    # of a box three faces and so 9 of 12 edges are seen; each axis is to scale
    shown = scene([Body(Post(300.0, 200.0, 700.0), Frame())], EYE)
    assert len(shown.edges) == 9
    assert seen_length(shown) == pytest.approx(3 * (300.0 + 200.0 + 700.0))


def test_a_box_hides_part_of_one_behind_it() -> None:
    """Cubes of 100, the second moved along the line of sight and 40 up: of its edges the near
    one hides what lies within its hexagon.
    """
    cube = Post(100.0, 100.0, 100.0)
    first, second = Body(cube, Frame()), Body(cube, Frame.at(200.0, 200.0, -160.0))
    # along (1, 1, -1) by 200 and up by 40: on paper the second stands 40 over the first
    alone = seen_length(scene([first], EYE))
    both = seen_length(scene([first, second], EYE))
    # seen of the hexagon of side 100 moved up by 40: its three upper corners' edges but what the
    # first covers. Over the first: both slopes of the top whole, the sides' upper 40 each, of the
    # inner Y the part that lies over the first's top: of each arm of it by similar triangles
    assert alone == pytest.approx(900.0)
    # top edges 2 x 100, uprights 2 x 40, near top edges: from the sides down to where the first's
    # far top edges cross them, at 40 of 100 along each
    assert both - alone == pytest.approx(2 * 100.0 + 2 * 40.0 + 2 * 40.0)


def test_what_touches_is_seen_and_what_is_within_is_not() -> None:
    cube = Post(100.0, 100.0, 100.0)
    inner = Body(Post(50.0, 50.0, 50.0), Frame.at(0.0, 0.0, 20.0))
    assert seen_length(scene([Body(cube, Frame()), inner], EYE)) == pytest.approx(900.0)
    # side by side: the joint is drawn where both meet, what the near one covers is not
    beside = Body(cube, Frame.at(100.0, 0.0, 0.0))
    shown = seen_length(scene([Body(cube, Frame()), beside], EYE))
    assert shown == pytest.approx(900.0 + 900.0 - 2 * 100.0)


def test_a_round_rod_shows_its_outline() -> None:
    shown = scene([Body(Rod(50.0, 400.0), Frame())], EYE)
    sides = [edge for edge in shown.edges if abs(edge[1, 1] - edge[0, 1]) > 300.0]
    assert len(sides) == 2
    across = abs(sides[0][0, 0] - sides[1][0, 0])
    assert across == pytest.approx(50.0 * math.sqrt(1.5), rel=0.02)


def random_bodies(seed: int) -> list[Body]:
    dice = random.Random(seed)
    tall = Outline.polygon([(0, 0), (90, 0), (90, 500), (45, 420), (0, 500)])
    shapes = [
        Post(100.0, 80.0, 600.0, PyramidTop(60.0)),
        Bar(rectangle_section(75.0, 38.0), 700.0),
        Plate(tall, 20.0),
        Rod(60.0, 500.0),
    ]
    bodies = []
    for _ in range(14):
        x, y, z = (dice.uniform(0.0, 700.0) for _ in range(3))
        frame = Frame.turned(x, y, z, dice.choice([0.0, 90.0, dice.uniform(0.0, 360.0)]))
        bodies.append(Body(dice.choice(shapes), frame))
    return bodies


def mesh_on_paper(body: Body) -> np.ndarray:
    """All triangles of a body by right, up and towards the viewer."""
    mesh = faceted(body.shape)
    assert mesh is not None
    axes = np.array([body.frame.x, body.frame.y, body.frame.z])
    turn = np.array([EYE.right, EYE.up, [-part for part in EYE.away]]).T
    turn = turn / np.linalg.norm(turn, axis=0) * math.sqrt(1.5)
    placed = (mesh.corners @ axes + np.array(body.frame.origin)) @ turn
    return placed[mesh.triangles]


def covered(points: np.ndarray, triangles: np.ndarray) -> list[bool]:
    """Whether any triangle lies over each point, nearer to the viewer: each asked of each."""
    flat = triangles.copy()
    flat[:, :, 2] = 0.0
    wide = np.linalg.norm(np.cross(flat[:, 1] - flat[:, 0], flat[:, 2] - flat[:, 0]), axis=1) > 1e-3
    flat, heights = flat[wide], triangles[wide, :, 2]
    found = []
    for x, y, z in points:
        spots = np.tile([x, y, 0.0], (len(flat), 1))
        shares = trimesh.triangles.points_to_barycentric(flat, spots)
        inside = (shares >= 0.0).all(axis=1)
        found.append(bool((inside & ((shares * heights).sum(axis=1) > z)).any()))
    return found


@pytest.mark.parametrize("seed", range(4))
def test_random_scenes_against_rays(seed: int) -> None:
    """A point of an edge is seen if a ray from it to the viewer meets no triangle, back faces
    too: asked of another library, of points that no crossing is near.
    """
    bodies = random_bodies(seed)
    shown = scene(bodies, EYE)
    spans: dict[int, list[tuple[float, float]]] = {}
    for number, (start, end) in zip(*seen_spans(shown), strict=True):
        spans.setdefault(int(number), []).append((start, end))
    triangles = np.concatenate([mesh_on_paper(body) for body in bodies])
    starts, said = [], []
    for number, edge in enumerate(shown.edges):
        length = float(np.linalg.norm(edge[1, :2] - edge[0, :2]))
        for share in (0.13, 0.37, 0.59, 0.81):
            cuts = [cut for span in spans.get(number, []) for cut in span]
            if length < 5.0 or any(abs(cut - share) * length < 2.0 for cut in cuts):
                continue
            point = edge[0] + share * (edge[1] - edge[0])
            starts.append(point + np.array([0.0, 0.0, 0.5]))
            said.append(any(a <= share <= b for a, b in spans.get(number, [])))
    met = covered(np.array(starts), triangles)
    wrong = [n for n, (hit, seen) in enumerate(zip(met, said, strict=True)) if hit == seen]
    assert len(starts) > 150
    assert len(wrong) <= len(starts) * 0.01, [starts[n] for n in wrong]
    assert 0.2 < sum(said) / len(said) < 0.95
