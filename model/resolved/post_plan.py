"""The posts of a run by kind, worked out."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Literal

from palewright.model.basis.lengths import LARGEST
from palewright.model.geometry.frames import Point
from palewright.model.geometry.metal_caps import MetalCap
from palewright.model.geometry.shapes import Cap
from palewright.model.geometry.top_cuts import PostTop
from palewright.model.geometry.turned_shapes import Turned
from palewright.model.spec.gate_keys import GateSpec
from palewright.model.spec.post_keys import (
    CapTopSpec,
    MetalCapTopSpec,
    PostKind,
    Posts,
)

from .footing_plan import FootingPlan, sized
from .post_feet import Foot, foot_of

GATE_POST_THICKER, GATE_POST_DEEPER = 25.0, 100.0
"""How gate posts differ from line posts, mm (common practice, no source)."""


RAIL_CLEAR = 25.0
"""From a rail to where bevels begin or end, mm (common practice, no source)."""

LEAST_BEVEL = 40.0
"""Shortest bevel between its stops, mm; where there is room for less the post stays square."""


@dataclass(frozen=True)
class BevelPlan:
    """Stop chamfers on the long edges of posts of one kind. size : along each face; stop : over
    which they run out; from_ground, from_top : where they begin and end, mm.
    """

    size: float
    stop: float
    from_ground: float
    from_top: float

    def between(self, shoulder: float, rails: Iterable[Point]) -> tuple[Point, ...]:
        """Return from where to where they go, mm over the ground.

        shoulder : height of the lowest part of the post's top; rails : their undersides and tops.

        >>> BevelPlan(12.0, 20.0, 150.0, 75.0).between(1000.0, [(200.0, 300.0), (700.0, 800.0)])
        ((325.0, 675.0), (825.0, 925.0))
        """
        start, spans = self.from_ground, []
        for low, high in (*sorted(rails), (shoulder - self.from_top + RAIL_CLEAR, math.inf)):
            end = min(low - RAIL_CLEAR, shoulder - self.from_top)
            if end - start >= 2.0 * self.stop + LEAST_BEVEL:
                spans.append((start, end))
            start = max(start, high + RAIL_CLEAR)
        return tuple(spans)


@dataclass(frozen=True)
class PostPlan:
    """A post of one kind. width along the run, depth across it, above_rail : mm; foot : how it
    stands; cap, finial : what stands on it, the finial on the cap; finial_shape : its name;
    bevel : of its long edges; cast : whether it is of concrete.
    """

    width: float
    depth: float
    foot: Foot
    above_rail: float
    top: PostTop
    cap: Cap | MetalCap | None
    finial: Turned | None = None
    finial_shape: str = ""
    bevel: BevelPlan | None = None
    cast: bool = False

    @property
    def embedment(self) -> float:
        """Depth of the post below the ground, mm; under 0 where it ends above it."""
        return self.foot.embedment

    @property
    def called(self) -> str:
        """What it is called, before its size."""
        return "concrete post" if self.cast else "post"

    @property
    def crown(self) -> float:
        """Height of what stands on the post, mm."""
        return (self.cap.height if self.cap else 0.0) + (self.finial.height if self.finial else 0.0)


@dataclass(frozen=True)
class PostPlans:
    """The posts of a run by kind. layout : of the bays; bay : the largest, mm; curve_offset :
    largest distance of a bay from a curve, mm, where it has a limit; gates : of each gate.
    """

    layout: Literal["equal", "standard"]
    bay: float
    curve_offset: float | None
    line: PostPlan
    end: PostPlan
    corner: PostPlan
    gate: PostPlan
    gates: tuple[PostPlan, ...] = ()

    def of_gate(self, number: int) -> PostPlan:
        """Return the plan of a gate's posts."""
        return self.gates[number] if self.gates else self.gate

    @property
    def kinds(self) -> tuple[PostPlan, ...]:
        """All that differ from each other."""
        return tuple(dict.fromkeys((self.line, self.end, self.corner, self.gate, *self.gates)))

    @property
    def face(self) -> float:
        """Distance of all front faces from the line, mm."""
        return self.line.depth / 2.0


def post_plans(posts: Posts, openings: tuple[GateSpec, ...], footings: FootingPlan) -> PostPlans:
    """Return the posts of a run by kind, in such holes; gate posts are stouter where
    nothing is said.
    """
    thicker = tuple(min(size + GATE_POST_THICKER, LARGEST) for size in posts.section)
    deeper = min(posts.embedment + GATE_POST_DEEPER, LARGEST)
    stouter = {
        "section": posts.gate.section or thicker,
        "embedment": posts.gate.embedment or deeper,
    }
    gate_kind = posts.gate.model_copy(update=stouter)
    return PostPlans(
        posts.layout,
        posts.bay,
        posts.curve_offset,
        line=_post_plan(posts, PostKind(), footings),
        end=_post_plan(posts, posts.end, footings),
        corner=_post_plan(posts, posts.corner, footings),
        gate=_post_plan(posts, gate_kind, footings, gate=True),
        gates=tuple(
            _post_plan(posts, _own_kind(gate.post, gate_kind), footings, gate=True)
            for gate in openings
        ),
    )


def _own_kind(own: PostKind | None, usual: PostKind) -> PostKind:
    """Return the kind of a gate's posts, what it does not say itself being as usual."""
    said = {} if own is None else {key: getattr(own, key) for key in own.model_fields_set}
    return usual.model_copy(update={key: value for key, value in said.items() if value is not None})


def _post_plan(
    posts: Posts, kind: PostKind, footings: FootingPlan, *, gate: bool = False
) -> PostPlan:
    width, depth = kind.section or posts.section
    spec = kind.top or posts.top
    made = spec.cap(width, depth) if isinstance(spec, CapTopSpec | MetalCapTopSpec) else None
    cap: Cap | MetalCap | None = made
    above = posts.above_rail if kind.above_rail is None else kind.above_rail
    told = kind.finial or posts.finial
    finial = told.turned() if told is not None else None
    name = told.shape if told is not None and finial is not None else ""
    if isinstance(cap, Cap) and finial is not None:
        cap = replace(cap, seat=min(2.0 * finial.zones[0].low, cap.width, cap.depth))
    below = kind.embedment or posts.embedment
    told_hole = sized(footings, kind.hole)
    foot = foot_of(kind.foot or posts.foot, (width, depth), below, told_hole)
    edges = kind.bevel or (None if gate else posts.bevel)
    bevel = None
    if edges is not None and edges.size:
        bevel = BevelPlan(
            edges.size, edges.stop, max(edges.from_ground, foot.clear), edges.from_top
        )
    cast = (kind.material or posts.material) == "concrete"
    return PostPlan(width, depth, foot, above, spec.cut(), cap, finial, name, bevel, cast)
