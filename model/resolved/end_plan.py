"""What stands at the ends of a run, worked out: piers with plates on them, hedges kept clear of."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from palewright.model.basis.errors import KeyPath, Problem
from palewright.model.basis.units import format_length
from palewright.model.geometry.frames import Point
from palewright.model.site.path import Node, path_length
from palewright.model.spec.end_keys import EndAtHedge, EndAtPier
from palewright.model.spec.post_keys import Posts
from palewright.model.spec.spec_tables import Run

from .given_line import Carried
from .sites import Site
from .wall_plan import WallPlan

EDGE = 10.0
"""Least diameters from an anchor to an edge of a pier (common practice, no source; the maker of the
anchor decides)."""

BEHIND = 50.0
"""Least masonry behind the end of an anchor, mm (common practice, no source)."""


@dataclass(frozen=True)
class PierPlan:
    """A pier that a run ends at. along, across : its sides along the run and across it, mm."""

    along: float
    across: float


Piers = tuple[PierPlan | None, PierPlan | None]


def piers_of(run: Run, *, turned: bool) -> Piers:
    """Return the piers that a line in the model starts and ends at."""
    start, end = (
        PierPlan(*told.size) if isinstance(told, EndAtPier) else None
        for told in (run.starts, run.ends)
    )
    return (end, start) if turned else (start, end)


def hedges_of(run: Run, *, turned: bool) -> Point:
    """Return how far a line in the model keeps from hedges at its start and its end, mm."""
    start, end = (
        told.gap if isinstance(told, EndAtHedge) else 0.0 for told in (run.starts, run.ends)
    )
    return (end, start) if turned else (start, end)


def pier_problems(run: Run, walls: WallPlan, top: float, path: KeyPath) -> Iterator[Problem]:
    """Yield piers too small for the plate and its anchors. top : of the plate, mm."""
    diameter = float(walls.anchor[1:])
    for key in ("starts", "ends"):
        told = getattr(run, key)
        if not isinstance(told, EndAtPier):
            continue
        along, across = told.size
        least = 2.0 * EDGE * diameter
        if across < max(least, walls.plate.depth):
            text = (
                f"the pier is {format_length(across)} mm across; its anchors {walls.anchor} want "
                f"{format_length(least / 2.0)} mm to either edge and the plate "
                f"{format_length(walls.plate.depth)}: set walls.anchor or walls.section"
            )
            yield Problem((*path, key, "size"), text)
        if along < walls.hold + BEHIND:
            text = (
                f"anchors that go {format_length(walls.hold)} mm in (walls.hold) want a pier of "
                f"{format_length(walls.hold + BEHIND)} mm or more along the run"
            )
            yield Problem((*path, key, "size"), text)
        if told.height is not None and told.height < top + EDGE * diameter / 2.0:
            text = (
                f"the plate on it is {format_length(top)} mm high; the pier has to stand "
                f"{format_length(EDGE * diameter / 2.0)} over it, or end the run with a post"
            )
            yield Problem((*path, key, "height"), text)


def moved_ends(run: Run, site: Site, moves: tuple[Point, Point]) -> tuple[Run, Site]:
    """Return a run with its line's ends moved by (x, y) mm, and its chainages from the new start
    on.
    """
    nodes = list(site.nodes)
    cut = []
    for (dx, dy), at, beside in zip(moves, (0, -1), (1, -2), strict=True):
        node, near = nodes[at], nodes[beside]
        old = math.dist(node.at, near.at)
        place = node.at[0] + dx, node.at[1] + dy
        cut.append(old - math.dist(place, near.at))
        level = node.level
        if level is not None and near.level is not None and cut[-1] > 0.0:
            level += (near.level - level) * cut[-1] / old
        nodes[at] = Node(place, level, node.curve)
    long = path_length(site.nodes)
    carried = Carried((), (0.0, long), (0.0, long - sum(cut)), (cut[0],))
    return carried.run(run), replace(site, nodes=tuple(nodes))


def set_off(run: Run, site: Site, posts: Posts, path: KeyPath) -> tuple[Run, Site, list[Problem]]:
    """Return a run whose end posts keep their room to hedges, of which its line gives the faces."""
    wide = (posts.end.section or posts.section)[0]
    moves, problems = [], []
    for key, at, beside in (("starts", 0, 1), ("ends", -1, -2)):
        told = getattr(run, key)
        if not isinstance(told, EndAtHedge) or len(site.nodes) < 2:
            moves.append((0.0, 0.0))
            continue
        node, near = site.nodes[at], site.nodes[beside]
        length, room = math.dist(node.at, near.at), told.gap + wide / 2.0
        if site.nodes[1 if at == 0 else -1].curve is not None:
            text = "the line comes to the hedge on a curve; its last part has to be straight"
            problems.append(Problem((*path, key), text))
        elif length < room + wide:
            problems.append(Problem((*path, key, "gap"), "the last part of the line is too short"))
        share = room / max(length, room + 1.0)
        moves.append(((near.at[0] - node.at[0]) * share, (near.at[1] - node.at[1]) * share))
    if problems or not any(x or y for x, y in moves):
        return run, site, problems
    return (*moved_ends(run, site, (moves[0], moves[1])), [])
