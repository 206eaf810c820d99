"""A fence in figures, for quantities by formula, and the timber that a finish is put on."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from typing import Literal

from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.prisms import Prism
from palewright.model.geometry.shapes import Bar, Plate, Shape, Tenoned
from palewright.model.lists.takeoff import fence_length, gate_count
from palewright.model.parts.members import (
    BOARD,
    CAP,
    CAPPING,
    FINIAL,
    FRAMING,
    GUIDE_POST,
    IN_HOLE,
    KICK_BOARD,
    LEDGE,
    PALE,
    POST,
    RAIL,
    SET_POSTS,
    TIMBER,
    Kind,
    Member,
)
from palewright.model.spec.paper_keys import Finishes

from .concrete_mix import mix
from .gravel import rammed
from .weights import weights

TOLERANCE = 1.0
"""How far a head's arcs are from the chords that are measured, mm."""

BROWN = "treated brown"
"""The finish of timber that is bought with a brown treatment."""

BARE = ("plain", "treated", BROWN, "weathered")
"""Finishes that nobody puts on."""


def fence_figures(fence: FenceModel) -> dict[str, float]:
    """Return the figures that formulas know, by name; see palewright.model.spec.quantity."""
    kinds: Counter[Kind] = Counter(member.kind for member in fence.members)
    mixed, weight = mix(fence), weights(fence)
    fronts = math.fsum(
        member.shape.outline.area
        for member in fence.members
        if member.kind == PALE and isinstance(member.shape, Plate)
    )
    known: dict[str, float] = {
        "length": fence_length(fence) / 1000.0,
        "posts": sum(kinds[kind] for kind in SET_POSTS),
        "holes": sum(kinds[kind] for kind in IN_HOLE),
        "bays": sum(len(s.bays) for layout in fence.layouts for s in layout.stretches),
        "rails": kinds[RAIL],
        "pales": kinds[PALE],
        "gates": gate_count(fence),
        "leaves": leaf_count(fence),
        "face": fronts / 1e6,
        "painted": math.fsum(painted_areas(fence).values()),
        "concrete": mixed.volume,
        "gravel": rammed(fence).loose,
        "spoil": mixed.spoil,
        "weight": weight.load,
    }
    return known


def leaf_count(fence: FenceModel) -> int:
    """Return the number of leaves of gates."""
    return len({(m.run, m.leaf) for m in fence.members if m.kind == LEDGE})


def painted_areas(fence: FenceModel) -> dict[str, float]:
    """Return the surface of timber over the ground by its finish, all sides, m2."""
    areas: defaultdict[str, float] = defaultdict(float)
    for member in fence.members:
        if member.kind.material == TIMBER and member.kind not in SET_POSTS:
            areas[finish_name(member.kind, fence.job.finishes)] += surface(member.shape) / 1e6
    for layout in fence.layouts:
        for post in layout.posts:
            if post.made and not post.plan.cast:
                width, depth = post.plan.width, post.plan.depth
                side = 2.0 * (width + depth) * post.top + width * depth
                areas[finish_name(POST, fence.job.finishes)] += side / 1e6
    for member in fence.members:
        if member.kind == GUIDE_POST:
            width, depth, length = member.shape.size
            over = length - _sunk(fence, member)
            side = 2.0 * (width + depth) * over + width * depth
            areas[finish_name(POST, fence.job.finishes)] += side / 1e6
    return dict(areas)


def _sunk(fence: FenceModel, guide: Member) -> float:
    """Return how deep a guide post stands in the ground, mm: as the posts of its gate."""
    layout = fence.layouts[guide.run]
    number = next(
        one.number
        for one in layout.openings
        if guide.group == f"{layout.run.letter} gate {one.number + 1}"
    )
    return layout.run.posts.of_gate(number).embedment


def surface(shape: Shape) -> float:
    """Return the surface of a piece, mm2; square ends and sides are taken for cut ones."""
    if isinstance(shape, Plate):
        points = [p for edge in shape.outline.edges for p in edge.points(TOLERANCE)]
        around = _around(points)
        return 2.0 * shape.outline.area + around * shape.thickness
    if isinstance(shape, Tenoned):
        return surface(shape.bar)
    if isinstance(shape, Bar):
        _, _, length = shape.size
        return _around(shape.section) * length + 2.0 * shape.volume / shape.length
    if isinstance(shape, Prism):
        around = _around(shape.section.flatten(TOLERANCE))
        return around * shape.size[2] + 2.0 * shape.moments.area
    first, second, length = shape.size
    return 2.0 * (first * second + first * length + second * length)


def _around(points: list[tuple[float, float]] | tuple[tuple[float, float], ...]) -> float:
    return math.fsum(math.dist(a, b) for a, b in zip(points, [*points[1:], points[0]], strict=True))


def finish_part(kind: Kind) -> Literal["pales", "rails", "posts"]:
    """Return the entry of [finishes] that timber of a kind has its finish from."""
    if kind == PALE:
        return "pales"
    return "rails" if kind in (RAIL, CAPPING, *FRAMING) else "posts"


OWN_FINISH: dict[str, tuple[Kind, ...]] = {
    "frames": FRAMING,
    "caps": (CAP, FINIAL),
    "boards": (BOARD, KICK_BOARD),
    "capping": (CAPPING,),
}
"""Kinds that may have an entry of [finishes] of their own."""


PART_WORDS = {
    "frames": "gate frames",
    "boards": "boards at the foot",
    "capping": "capping rails",
}
"""What parts are called that are not called as their entry is."""


def own_finish(kind: Kind, finishes: Finishes) -> str | None:
    """Return the finish that is given for a kind apart from the others of its part, if it is."""
    for part, kinds in OWN_FINISH.items():
        if kind in kinds:
            name: str | None = getattr(finishes, part)
            return name
    return None


def finished_parts(fence: FenceModel) -> dict[str, tuple[str, ...]]:
    """Return the parts of a fence that have each finish, in words, where one of them has a finish
    apart from its kin or is treated brown; else nothing.
    """
    finishes = fence.job.finishes
    kinds = dict.fromkeys(m.kind for m in fence.members if m.kind.material == TIMBER)
    names = {kind: finish_name(kind, finishes) for kind in kinds}
    if BROWN not in names.values() and not any(own_finish(kind, finishes) for kind in kinds):
        return {}
    found: dict[str, dict[str, None]] = {}
    for kind, name in names.items():
        part = next((part for part, own in OWN_FINISH.items() if kind in own), finish_part(kind))
        found.setdefault(name, {})[PART_WORDS.get(part, part)] = None
    return {name: tuple(parts) for name, parts in found.items()}


def finish_name(kind: Kind, finishes: Finishes) -> str:
    """Return the finish that timber of a kind has."""
    name: str = own_finish(kind, finishes) or getattr(finishes, finish_part(kind))
    return name
