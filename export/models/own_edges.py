"""Edges that bodies share where they touch, divided so that none is another's.

Two closed bodies that touch along a whole edge, as rails that butt or concrete round a post, have
the same edge twice. A reader who joins equal points finds it between four triangles and calls the
mesh open. An edge that is divided by a point on it is no longer the other's, and no size changes.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

NEAR = 0.005
"""Points of bodies that touch are one within this, mm."""

ROUNDS = 4
"""How often it is looked whether what was divided is now another's."""

Singles = NDArray[np.float32]
Indices = NDArray[np.int64]


@dataclass(frozen=True)
class Bodies:
    """Closed bodies as triangles. points : (n, 3), mm, each of one body; triangles : (m, 3);
    owners : (n,), the body of each point.
    """

    points: Singles
    triangles: Indices
    owners: Indices


def with_own_edges(bodies: Bodies) -> Bodies:
    """Return bodies of which no edge is another's. Triangles that are divided keep their place in
    the order, their other halves follow at the end.
    """
    bodies = _met(bodies)
    for number in range(ROUNDS):
        before = len(bodies.triangles)
        bodies = _divided(bodies, _shared(bodies), number)
        if len(bodies.triangles) == before:
            break
    return bodies


def _met(bodies: Bodies) -> Bodies:
    """Return bodies with points made one where two all but touch."""
    from scipy.spatial import cKDTree

    spots, where = _numbered(bodies.points)
    unique = bodies.points[where]
    tree = cKDTree(unique, compact_nodes=False, balanced_tree=False)
    pairs = tree.query_pairs(NEAR, output_type="ndarray")
    pairs = pairs[np.lexsort(pairs.T[::-1])]
    owners: dict[int, set[int]] = defaultdict(set)
    asked = np.flatnonzero(np.isin(spots, pairs))
    for spot, owner in zip(spots[asked].tolist(), bodies.owners[asked].tolist(), strict=True):
        owners[spot].add(owner)
    for one, other in pairs.tolist():
        # a body's own points stay apart, else triangles of it would vanish
        if not owners[one] & owners[other]:
            unique[other] = unique[one]
            owners[one] |= owners[other]
            owners[other] = owners[one]
    return Bodies(unique[spots], bodies.triangles, bodies.owners)


def _numbered(points: Singles) -> tuple[Indices, Indices]:
    """Return the number of each point, equal ones having one, and a point of each number."""
    order = np.lexsort(points.T)
    rows = points[order]
    new = np.any(rows[1:] != rows[:-1], axis=1)
    numbers = np.zeros(len(points), dtype=np.int64)
    numbers[order] = np.concatenate([[0], np.cumsum(new)])
    return numbers, order[np.concatenate([[True], new])]


def _shared(bodies: Bodies) -> Indices:
    """Return the sides (triangle, 0 to 2, edge) of edges between more than two triangles, (k, 3),
    in the order of triangles; the edge's number is that of no other.
    """
    spots, _ = _numbered(bodies.points)
    doubled = np.bincount(spots)[spots] > 1
    near = np.flatnonzero(doubled[bodies.triangles].sum(axis=1) > 1)
    ends = spots[bodies.triangles[near]]
    after = np.roll(ends, -1, axis=1)
    low, high = np.minimum(ends, after).ravel(), np.maximum(ends, after).ravel()
    edges = low * (int(spots.max()) + 1) + high
    _, inverse, counts = np.unique(edges, return_inverse=True, return_counts=True)
    # a triangle that became a line has an edge to nowhere
    sides = np.flatnonzero((counts[inverse.ravel()] > 2) & (low != high))
    return np.column_stack([near[sides // 3], sides % 3, edges[sides]])


def _divided(bodies: Bodies, shared: Indices, number: int) -> Bodies:
    """Return bodies with shared edges divided for each body but the first. number : of the round,
    each of which divides elsewhere.
    """
    triangles = bodies.triangles
    added: dict[tuple[int, int], int] = {}
    extra: list[tuple[list[float], int]] = []
    cuts: dict[int, dict[int, int]] = defaultdict(dict)
    users: dict[int, list[int]] = defaultdict(list)
    for triangle, side, edge in shared.tolist():
        a, b = triangles[triangle, side], triangles[triangle, (side + 1) % 3]
        owner = int(bodies.owners[a])
        if owner not in users[edge]:
            users[edge].append(owner)
        place = users[edge].index(owner)
        if not place:
            continue
        if (edge, owner) not in added:
            added[edge, owner] = len(bodies.points) + len(extra)
            share = 1.0 / (place + 1.0 + number / (number + 1.0))
            (ax, ay, az), (bx, by, bz) = sorted(bodies.points[[a, b]].tolist())
            spot = [ax + share * (bx - ax), ay + share * (by - ay), az + share * (bz - az)]
            extra.append((spot, owner))
        cuts[triangle][side] = added[edge, owner]
    if not extra:
        return bodies
    kept, halves = triangles.copy(), []
    for triangle, own in cuts.items():
        first, *others = _cut(triangles[triangle].tolist(), own)
        kept[triangle] = first
        halves += others
    return Bodies(
        np.concatenate([bodies.points, np.array([s for s, _ in extra], dtype=np.float32)]),
        np.concatenate([kept, np.array(halves)]),
        np.concatenate([bodies.owners, np.array([o for _, o in extra])]),
    )


def _cut(triangle: list[int], spots: dict[int, int]) -> list[list[int]]:
    """Return the parts of a triangle whose sides have points on them, by side."""
    if not spots:
        return [triangle]
    side = min(spots)
    a, b, c = (triangle[(side + n) % 3] for n in range(3))
    rest = {(number - side) % 3: spot for number, spot in spots.items() if number != side}
    # one part keeps the side from b to c, the other that from c to a
    ahead = {n: spot for n, spot in rest.items() if n == 1}
    behind = {n: spot for n, spot in rest.items() if n == 2}
    return [*_cut([a, spots[side], c], behind), *_cut([spots[side], b, c], ahead)]
