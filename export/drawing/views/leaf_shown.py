"""A gate leaf as the bench sees it: its members, and where they are on it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property

from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.frames import Frame, Vector
from palewright.model.geometry.post_shapes import Post
from palewright.model.geometry.shapes import Bar, Footing, Plate, Rod, RoundHole, Shape, tidy
from palewright.model.layout.leaves import Leaf
from palewright.model.layout.run_layout import Opening
from palewright.model.parts.gates import STANDING_FITTINGS
from palewright.model.parts.members import BRACE, IN_HOLE, KEEP, PALE, Kind, Member
from palewright.model.resolved.job import RunJob

BraceEnds = tuple[tuple[float, float], tuple[float, float]]
"""From where to where a brace's foot and its head lie along the leg, mm."""


@dataclass(frozen=True)
class LeafShown:
    """A leaf of a gate. run_number : of its run; number : among the gate's leaves, from 0.

    Places on it are in the frame of its leg, heights over the gate's base.
    """

    fence: FenceModel
    run_number: int
    opening: Opening
    number: int

    @property
    def run(self) -> RunJob:
        """The run that the gate is in."""
        return self.fence.layouts[self.run_number].run

    @property
    def leaf(self) -> Leaf:
        """The leaf."""
        return self.opening.leaves[self.number]

    @property
    def called(self) -> str:
        """What it is called on paper: "gate 1", or "gate 1, left leaf"."""
        if len(self.opening.leaves) == 1:
            return self.opening.called
        return f"{self.opening.called}, {('left', 'right')[self.number]} leaf"

    @property
    def sides(self) -> tuple[float, float]:
        """X of what stands next to it at its left and right: a post's face, or a leaf, mm."""
        if self.leaf.plan.slide is not None:
            return self.leaf.x0, self.leaf.x1
        leaves, last = self.opening.leaves, len(self.opening.leaves) - 1
        left = self.opening.start if self.number == 0 else leaves[self.number - 1].x1
        right = self.opening.end if self.number == last else leaves[self.number + 1].x0
        return left, right

    @property
    def ground(self) -> float:
        """The highest ground in the opening over the base, mm."""
        return self.opening.ground - self.opening.base

    @cached_property
    def frame(self) -> Frame:
        """The frame in which places on it are given."""
        return self.opening.leg.frame @ Frame.at(0.0, 0.0, self.opening.base)

    @cached_property
    def gate(self) -> tuple[Member, ...]:
        """The members of the gate."""
        group = f"{self.run.letter} gate {self.opening.number + 1}"
        made = self.fence.by_group.get((self.run_number, group), ())
        return tuple(m for m in made if not m.station)

    @cached_property
    def hung(self) -> tuple[Member, ...]:
        """The members that hang on it."""
        numbers = sorted({m.leaf for m in self.gate if m.leaf is not None})
        return tuple(m for m in self.gate if m.leaf == numbers[self.number])

    @cached_property
    def members(self) -> tuple[Member, ...]:
        """The members that hang on it, and the pins and the keep that it needs on its posts."""
        if self.leaf.plan.slide is not None:
            return (*self.hung, *(m for m in self.gate if m.leaf is None and m.kind not in IN_HOLE))
        left, right = self.sides
        fixed = (m for m in self.gate if m.leaf is None and m.kind in (*STANDING_FITTINGS, KEEP))
        near = (m for m in fixed if left - 1.0 <= self.place(m)[0] <= right + 1.0)
        return (*self.hung, *near)

    def of(self, *kinds: Kind) -> tuple[Member, ...]:
        """Return its members of some kinds."""
        return tuple(m for m in self.members if m.kind in kinds)

    def place(self, member: Member) -> Vector:
        """Return where a member's origin is on it, mm."""
        return self.frame.local(member.frame.origin)

    def box(self, member: Member) -> tuple[Vector, Vector]:
        """Return the least and the greatest coordinates of a member on it, mm."""
        points = [self.frame.local(member.frame.point(p)) for p in corners(member.shape)]
        low, high = (tuple(of(p[i] for p in points) for i in range(3)) for of in (min, max))
        return (low[0], low[1], low[2]), (high[0], high[1], high[2])

    @cached_property
    def brace_ends(self) -> tuple[BraceEnds, ...]:
        """The ends of its braces, from left to right; braces over each other are alike."""
        return tuple(sorted({self.ends_of(brace) for brace in self.of(BRACE)}))

    def ends_of(self, brace: Member) -> BraceEnds:
        """Return from where to where a brace's cuts lie on the lower and on the upper ledge."""
        points = [self.frame.local(brace.frame.point(p)) for p in corners(brace.shape)]
        middle = (min(p[2] for p in points) + max(p[2] for p in points)) / 2.0
        low = [x for x, _, z in points if z < middle]
        high = [x for x, _, z in points if z >= middle]
        foot, head = (tuple(tidy(of(xs)) for of in (min, max)) for xs in (low, high))
        return (foot[0], foot[1]), (head[0], head[1])

    @cached_property
    def pale_edges(self) -> tuple[float, ...]:
        """X of the left edge of each pale from the leaf's left edge, from left to right, mm."""
        return self.edges_of(self.of(PALE))

    def edges_of(self, members: Iterable[Member]) -> tuple[float, ...]:
        """Return x of the left edge of members from the leaf's, from left to right, mm."""
        return tuple(sorted(tidy(self.box(m)[0][0] - self.leaf.x0) for m in members))

    @cached_property
    def alike(self) -> object:
        """What is the same for leaves that are made and hung the same way."""
        x0, foot = self.leaf.x0, self.leaf.foot
        places = []
        for member in self.members:
            (x, y, z), _ = self.box(member)
            places.append((member.mark, round(x - x0, 1), round(y, 1), round(z - foot, 1)))
        left, right = self.sides
        gaps = round(x0 - left, 1), round(right - self.leaf.x1, 1), round(foot - self.ground, 1)
        return self.leaf.hinge_left, gaps, tuple(sorted(places))


def corners(shape: Shape) -> Iterator[Vector]:
    """Yield points of a shape between which it lies: of bars and plates their corners."""
    match shape:
        case Bar(section, length, left, right):
            for cut, at in ((left, 0.0), (right, length)):
                for y, z in section:
                    yield shape.end_x(cut, at, (y, z)), y, z
        case Plate(outline, thickness):
            x0, z0, x1, z1 = outline.bounds
            for y in (0.0, thickness):
                yield from ((x0, y, z0), (x1, y, z0), (x1, y, z1), (x0, y, z1))
        case Post(width, depth, length):
            for x in (-width / 2.0, width / 2.0):
                yield from ((x, y, z) for y in (-depth / 2.0, depth / 2.0) for z in (0.0, length))
        case Footing(hole):
            across = (
                (hole.diameter,) * 2 if isinstance(hole, RoundHole) else (hole.width, hole.depth)
            )
            for x in (-across[0] / 2.0, across[0] / 2.0):
                for y in (-across[1] / 2.0, across[1] / 2.0):
                    yield from ((x, y, -shape.depth), (x, y, 0.0))
        case Rod(diameter, length):
            half = diameter / 2.0
            for z in (0.0, length):
                yield from ((-half, -half, z), (half, half, z))


def leaves_shown(fence: FenceModel) -> list[tuple[LeafShown, list[str]]]:
    """Return each leaf that differs from the others, with what all leaves alike are called."""
    found: dict[object, tuple[LeafShown, list[str]]] = {}
    for run_number, layout in enumerate(fence.layouts):
        for opening in layout.openings:
            for number in range(len(opening.leaves)):
                shown = LeafShown(fence, run_number, opening, number)
                _, names = found.setdefault(shown.alike, (shown, []))
                names.append(f"{shown.called} of {layout.run.called}")
    return list(found.values())
