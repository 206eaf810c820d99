"""Edges of solids as a viewer sees them: which part of each edge nothing in front of it hides.

Each edge is held against each triangle that looks at the viewer and lies over it on the paper.
Where an edge runs within a triangle and behind its plane is one interval, found from four linear
inequalities; what remains of the edge is seen. So the result is exact but for the facets of
round pieces, and no order of the pieces in depth is needed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from itertools import groupby
from operator import itemgetter
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from palewright.model.geometry.frames import Frame, Point, Vector, dot
from palewright.model.geometry.shapes import Plate
from palewright.model.geometry.skin_meshes import mesh_of_skin
from palewright.model.geometry.skin_shapes import skin_of
from palewright.model.geometry.skins import Flat
from palewright.model.geometry.worked_shapes import Finished, Worked

if TYPE_CHECKING:
    from shapely import STRtree

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

BEHIND = 0.02
"""From so far behind a face on an edge is hidden by it, square to the face, mm: what touches is
not."""

SHORTEST = 0.2
"""Seen parts of edges shorter than this on the paper at full size are left out, mm."""

SMOOTH = 0.90
"""Faces of which one is round, with a cosine between their normals over this, run on."""


@dataclass(frozen=True)
class Eye:
    """Where a scene is looked at from. right, up, away : of the paper at full size, by their
    parts along the scene's x, y and z; away points from the viewer.
    """

    right: Vector
    up: Vector
    away: Vector

    def spot(self, point: Vector) -> Point:
        """Return a point of the scene on the paper at full size, mm."""
        return dot(self.right, point), dot(self.up, point)


@dataclass(frozen=True)
class Body:
    """A solid in a scene: its form and where it stands."""

    shape: Finished
    frame: Frame


@dataclass(frozen=True)
class FacetedSolid:
    """A solid as triangles with its edges. corners : (n, 3) mm; triangles : (m, 3); edges : (k, 2)
    corners; sides : (k, 2) triangles beside each; sharp : (k,) whether an edge is drawn from
    wherever it is seen, not just where it is the solid's outline.
    """

    corners: Floats
    triangles: Ints
    edges: Ints
    sides: Ints
    sharp: NDArray[np.bool_]


@lru_cache(maxsize=2048)
def faceted(shape: Finished) -> FacetedSolid | None:
    """Return the mesh of a shape; of a plate whose bevels meet without them, since no line of the
    picture moves by more than they take, and of a piece with holes over an edge without its cuts;
    None of the few others that only the CAD kernel makes.
    """
    skin = skin_of(shape)
    made = mesh_of_skin(skin) if skin is not None else None
    if skin is None or made is None:
        if isinstance(shape, Worked):
            return faceted(shape.stock)
        if isinstance(shape, Plate) and (shape.bevel_left or shape.bevel_right):
            return faceted(replace(shape, bevel_left=0.0, bevel_right=0.0))
        return None
    corners, triangles, faces = made
    flat = np.array([isinstance(face.surface, Flat) for face in skin.faces])
    edges, sides = _edges(triangles)
    normals, _ = _normals(corners, triangles)
    one, other = faces[sides[:, 0]], faces[sides[:, 1]]
    cosine = np.einsum("ij,ij->i", normals[sides[:, 0]], normals[sides[:, 1]])
    limit = np.where(flat[one] & flat[other], 1.0 - 1e-7, SMOOTH)
    return FacetedSolid(corners, triangles, edges, sides, (one != other) & (cosine < limit))


def _edges(triangles: Ints) -> tuple[Ints, Ints]:
    """Return the edges of a closed mesh, each once, and the two triangles beside each."""
    ways = np.concatenate([triangles[:, [0, 1]], triangles[:, [1, 2]], triangles[:, [2, 0]]])
    owner = np.tile(np.arange(len(triangles)), 3)
    low, high = ways.min(axis=1), ways.max(axis=1)
    order = np.lexsort((owner, high, low))
    pairs = np.column_stack([low, high])[order][::2]
    return pairs, owner[order].reshape(-1, 2)


def _normals(corners: Floats, triangles: Ints) -> tuple[Floats, Floats]:
    """Return unit normals of triangles and twice their areas; no direction where there is none."""
    a, b, c = (corners[triangles[:, n]] for n in range(3))
    across = np.cross(b - a, c - a)
    size = np.linalg.norm(across, axis=1)
    return across / np.maximum(size, 1e-12)[:, None], size


@dataclass(frozen=True)
class Scene:
    """Solids as they stand before a viewer. All points by right, up and towards the viewer, mm,
    at the scale of the paper.

    triangles : (m, 3, 3) those that look at the viewer; normals : (m, 3) theirs, unit, outwards;
    edges : (k, 2, 3) those that may be seen; owners : (k,) and triangle_owners : (m,) the number
    of the body that each is of; outer : (k,) whether an edge is its body's outline.
    """

    triangles: Floats
    normals: Floats
    edges: Floats
    owners: Ints
    triangle_owners: Ints
    outer: NDArray[np.bool_]

    @cached_property
    def covering(self) -> STRtree:
        """The triangles on paper, by where they are."""
        import shapely

        return shapely.STRtree(shapely.polygons(self.triangles[:, :, :2]))


def turned_to(eye: Eye) -> Floats:
    """Return the (3, 3) matrix by which points in rows become right, up and towards the viewer,
    all at the scale of the paper.
    """
    turn = np.array([eye.right, eye.up, [-part for part in eye.away]]).T
    sizes = np.linalg.norm(turn, axis=0)
    scaled: Floats = turn / sizes * sizes[0]
    return scaled


def scene(bodies: Sequence[Body], eye: Eye) -> Scene:
    """Return what of bodies a viewer may see."""
    turn = turned_to(eye)
    parts: list[tuple[Floats, Floats, Floats, Ints, Ints, NDArray[np.bool_]]] = []
    for number, body in enumerate(bodies):
        mesh = faceted(body.shape)
        if mesh is None:
            continue
        axes = np.array([body.frame.x, body.frame.y, body.frame.z])
        placed = (mesh.corners @ axes + np.array(body.frame.origin)) @ turn
        normals, _ = _normals(placed, mesh.triangles)
        near = normals[:, 2] > 1e-6
        one, other = near[mesh.sides[:, 0]], near[mesh.sides[:, 1]]
        drawn = (one != other) | (mesh.sharp & one & other)
        edges = placed[mesh.edges[drawn]]
        parts.append(
            (placed[mesh.triangles[near]], normals[near], edges,
             np.full(len(edges), number), np.full(int(near.sum()), number), (one != other)[drawn])
        )  # fmt: skip
    if not parts:
        none = np.zeros(0, dtype=np.int64)
        return Scene(
            np.zeros((0, 3, 3)), np.zeros((0, 3)), np.zeros((0, 2, 3)), none, none, none > 0
        )
    return Scene(*(np.concatenate(column) for column in zip(*parts, strict=True)))


def hidden_spans(edges: Floats, shown: Scene) -> tuple[Ints, Floats]:
    """Return which edges are hidden and from where to where.

    edges : (k, 2, 3) float, mm. Returns numbers (p,) and spans (p, 2), shares of the edge, in the
    order of the numbers and starts.
    """
    import shapely

    faces, flat = shown.triangles, shown.triangles[:, :, :2]
    low, high = flat.min(axis=1), flat.max(axis=1)
    tree = shapely.STRtree(shapely.box(low[:, 0], low[:, 1], high[:, 0], high[:, 1]))
    lines = shapely.linestrings(edges[:, :, :2])
    which, over = tree.query(lines, predicate="intersects")
    start, end = edges[which, 0], edges[which, 1]
    first, last = np.zeros(len(which)), np.ones(len(which))
    for n in range(3):  # within the triangle, its edge included
        a, b = flat[over, n], flat[over, (n + 1) % 3]
        way = b - a
        way = way / np.maximum(np.linalg.norm(way, axis=1), 1e-12)[:, None]
        at_start, at_end = (
            way[:, 0] * (p[:, 1] - a[:, 1]) - way[:, 1] * (p[:, 0] - a[:, 0]) + 1e-6
            for p in (start, end)
        )
        first, last = _clipped(first, last, at_start, at_end)
    corner, normal = faces[over, 0], shown.normals[over]
    at_start, at_end = (-np.einsum("ij,ij->i", p - corner, normal) - BEHIND for p in (start, end))
    first, last = _clipped(first, last, at_start, at_end)
    kept = last > first
    which, first, last = which[kept], first[kept], last[kept]
    order = np.lexsort((first, which))
    return which[order], np.column_stack([first, last])[order]


def _clipped(
    first: Floats, last: Floats, at_start: Floats, at_end: Floats
) -> tuple[Floats, Floats]:
    """Return spans of lines cut to where a value is not negative that is linear along them."""
    rise = at_end - at_start
    with np.errstate(divide="ignore", invalid="ignore"):
        zero = -at_start / rise
    first = np.where(rise > 0.0, np.maximum(first, zero), first)
    last = np.where(rise < 0.0, np.minimum(last, zero), last)
    never = (rise == 0.0) & (at_start < 0.0)
    return first, np.where(never, -1.0, last)


def seen_spans(shown: Scene) -> tuple[Ints, Floats]:
    """Return the seen parts of edges: numbers (p,) of the edges, and spans (p, 2) as shares."""
    numbers, spans = hidden_spans(shown.edges, shown)
    lengths = np.linalg.norm(shown.edges[:, 1, :2] - shown.edges[:, 0, :2], axis=1)
    free = np.ones(len(lengths), dtype=bool)
    free[numbers] = False
    whole = np.flatnonzero(free & (lengths >= SHORTEST))
    which: list[int] = []
    seen: list[tuple[float, float]] = []
    ends = zip(numbers.tolist(), spans.tolist(), strict=True)
    for number, covered in groupby(ends, key=itemgetter(0)):
        length = float(lengths[number])
        if length < SHORTEST:
            continue
        least, at = SHORTEST / length, 0.0
        for low, high in (*(span for _, span in covered), (1.0, 1.0)):
            if low - at > least:
                which.append(number)
                seen.append((at, low))
            at = max(at, high)
    every = np.concatenate([whole, np.array(which, dtype=np.int64)])
    parts = np.concatenate([np.tile([0.0, 1.0], (len(whole), 1)), np.array(seen).reshape(-1, 2)])
    order = np.lexsort((parts[:, 0], every))
    return every[order], parts[order]


@dataclass(frozen=True)
class Seen:
    """Seen lines of a body. number : of the body; outer : whether they are its outline; lines :
    points on the paper at full size, mm.
    """

    number: int
    outer: bool
    lines: tuple[tuple[Point, ...], ...]


def seen_lines(shown: Scene) -> list[Seen]:
    """Return the seen lines of each body that has any, pieces on end as one line."""
    import shapely

    numbers, spans = seen_spans(shown)
    if not len(numbers):
        return []
    start, end = shown.edges[numbers, 0, :2], shown.edges[numbers, 1, :2]
    ends = np.stack([start + (end - start) * spans[:, n : n + 1] for n in (0, 1)], axis=1)
    lines = shapely.linestrings(np.round(ends, 3))
    key = shown.owners[numbers] * 2 + shown.outer[numbers]
    order = np.argsort(key, kind="stable")
    groups, at = np.unique(key[order], return_index=True)
    found = []
    for group, pieces in zip(groups.tolist(), np.split(lines[order], at[1:]), strict=True):
        merged = shapely.line_merge(shapely.multilinestrings(pieces))
        parts = (shapely.get_coordinates(part).tolist() for part in shapely.get_parts(merged))
        drawn = sorted(tuple((x, y) for x, y in part) for part in parts)
        found.append(Seen(group // 2, bool(group % 2), tuple(drawn)))
    return found


_STEPS = 5
TRIED = 16
"""Faces of a body that are tried for a point that is seen."""

GRID = np.array(
    [
        (a + 1 / 3, b + 1 / 3, _STEPS - a - b - 2 / 3)
        for a in range(_STEPS)
        for b in range(_STEPS - a)
    ]
) / _STEPS  # fmt: skip
"""Points within a triangle that are tried, by the shares of its corners."""

MIDDLE = np.full((1, 3), 1.0 / 3.0)


def _wide(triangles: Floats) -> Floats:
    """Return twice the areas of triangles on paper."""
    a, b = (triangles[:, n, :2] - triangles[:, 0, :2] for n in (1, 2))
    area: Floats = a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]
    return area


def seen_spot(shown: Scene, number: int) -> Point | None:
    """Return a point of a body that is seen, amid what is seen of one of its faces: for a leader
    to end on; None where none of the tried ones is seen.
    """
    own = shown.triangles[shown.triangle_owners == number]
    if not len(own):
        return None
    own = own[np.argsort(-_wide(own), kind="stable")]  # the widest on paper first
    return _spot_on(shown, own[:TRIED], GRID) or _spot_on(shown, own[TRIED:], MIDDLE)


def _spot_on(shown: Scene, faces: Floats, shares: Floats) -> Point | None:
    """Return a seen point of triangles, of those at some shares of their corners."""
    import shapely

    if not len(faces):
        return None
    spots = np.einsum("gc,tcx->tgx", shares, faces).reshape(-1, 3)
    which, over = shown.covering.query(shapely.points(spots[:, :2]), predicate="intersects")
    behind = np.einsum("ij,ij->i", spots[which] - shown.triangles[over, 0], shown.normals[over])
    seen = np.ones(len(spots), dtype=bool)
    seen[which[behind < -BEHIND]] = False
    kept = seen.reshape(len(faces), -1)
    much = kept.sum(axis=1) * _wide(faces)
    if much.max() <= 0.0:
        return None
    best = int(np.argmax(much > 0.999 * much.max()))
    points = spots.reshape(len(faces), -1, 3)[best][kept[best]][:, :2]
    away = np.linalg.norm(points - points.mean(axis=0), axis=1)
    x, y = points[int(np.argmin(np.round(away, 3)))].tolist()
    return float(x), float(y)
