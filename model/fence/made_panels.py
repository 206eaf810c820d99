"""The panels of a fence: bays made whole in the workshop, each with its mark and its pieces."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from palewright.model.geometry.convex import outer_points
from palewright.model.geometry.frames import Frame, Point, Vector
from palewright.model.layout.panel_bays import clear_between
from palewright.model.layout.run_layout import RunLayout, Stretch
from palewright.model.parts.members import (
    BOLT,
    KINDS,
    OF_PANELS,
    PALE,
    PANEL_UPRIGHT,
    RAIL,
    Kind,
    Member,
)
from palewright.model.resolved.panel_plan import PanelPlan

SAME = 0.1
"""Panels are alike where no place in them differs by more, mm: what two decimals leave."""

PREFIX = "PN"


@dataclass(frozen=True)
class PanelPiece:
    """A member of a panel. low, high : its least and greatest coordinates in the panel, mm."""

    member: Member
    low: Vector
    high: Vector

    @property
    def mark(self) -> str:
        """Its mark."""
        return self.member.mark

    @property
    def kind(self) -> Kind:
        """What it is."""
        return self.member.kind

    @property
    def middle(self) -> Point:
        """Its middle as the panel lies, mm."""
        return (self.low[0] + self.high[0]) / 2.0, (self.low[2] + self.high[2]) / 2.0


@dataclass(frozen=True)
class MadePanel:
    """A bay that is made whole. mark : shared by all alike; run : number of its run; group : its
    bay; first, last : labels of the posts that it hangs on; clear : between them, mm; plan : how it
    hangs; frame : of its lower left corner, x to the right and z up along it as it stands, y from
    the rails' front to the back; pieces : from left to right, kinds in the order of lists.
    """

    mark: str
    run: int
    group: str
    first: str
    last: str
    clear: float
    plan: PanelPlan
    frame: Frame
    pieces: tuple[PanelPiece, ...]

    def of(self, *kinds: Kind) -> tuple[PanelPiece, ...]:
        """Return its pieces of some kinds."""
        return tuple(piece for piece in self.pieces if piece.kind in kinds)

    @property
    def members(self) -> tuple[Member, ...]:
        """Its members."""
        return tuple(piece.member for piece in self.pieces)

    @cached_property
    def width(self) -> float:
        """Over all, mm."""
        return max(piece.high[0] for piece in self.of(RAIL, PANEL_UPRIGHT, PALE))

    @cached_property
    def height(self) -> float:
        """Over all, mm: from the lowest foot to the highest top."""
        return max(piece.high[2] for piece in self.of(RAIL, PANEL_UPRIGHT, PALE))

    @cached_property
    def framed(self) -> tuple[Point, Point, Point, Point]:
        """The corners of its frame of rails and uprights, as it lies: lower left and right, upper
        right and left, mm.
        """
        points = [p for piece in self.of(RAIL, PANEL_UPRIGHT) for p in self.points(piece)]
        left, right = min(x for x, _, _ in points), max(x for x, _, _ in points)
        ends = [[z for x, _, z in points if abs(x - edge) < SAME] for edge in (left, right)]
        (a, b), (c, d) = ((min(zs), max(zs)) for zs in ends)
        return (left, a), (right, c), (right, d), (left, b)

    @property
    def diagonals(self) -> tuple[float, float]:
        """The diagonals of its frame, mm: from lower left to upper right, and the other."""
        a, b, c, d = self.framed
        return math.dist(a, c), math.dist(b, d)

    @property
    def square(self) -> bool:
        """Whether its frame is square: level rails."""
        one, other = self.diagonals
        return abs(one - other) < SAME

    def points(self, piece: PanelPiece) -> list[Vector]:
        """Return the corners of a piece in the panel, mm."""
        return _points(piece.member, self.frame)

    def counts(self, *kinds: Kind) -> list[tuple[Member, int]]:
        """Return one member of each mark, of all kinds or some, and how many it has."""
        counts = Counter(piece.mark for piece in self.pieces)
        firsts = {piece.mark: piece.member for piece in reversed(self.pieces)}
        order = sorted(firsts, key=lambda mark: KINDS.index(firsts[mark].kind))
        return [(firsts[m], counts[m]) for m in order if not kinds or firsts[m].kind in kinds]

    def alike(self, other: MadePanel) -> bool:
        """Tell whether another is made and hung the same way."""
        return self.plan == other.plan and all(
            one.mark == two.mark and math.dist(one.low, two.low) <= SAME
            for one, two in zip(self.pieces, other.pieces, strict=True)
        )

    @property
    def kin(self) -> object:
        """What panels that may be alike have alike: the marks of their pieces in order."""
        return tuple(piece.mark for piece in self.pieces)


def made_panels(
    layouts: Sequence[RunLayout], by_group: Mapping[tuple[int, str], tuple[Member, ...]]
) -> tuple[MadePanel, ...]:
    """Return the panels of a fence in the order of its bays, those alike with one mark.

    by_group : its members by run and the name of their bay.
    """
    found: dict[object, list[MadePanel]] = {}
    panels, count = [], 0
    for run, layout in enumerate(layouts):
        if layout.run.panels is None:
            continue
        for stretch, bay, group in _bays(layout):
            members = [m for m in by_group.get((run, group), ()) if m.kind in OF_PANELS]
            if not any(m.kind == RAIL for m in members):
                continue
            panel = _panel(stretch, bay, (run, group), members, layout)
            kin = found.setdefault(panel.kin, [])
            same = next((one for one in kin if panel.alike(one)), None)
            if same is None:
                count += 1
                panel = replace(panel, mark=f"{PREFIX}{count}")
                kin.append(panel)
            else:
                panel = replace(panel, mark=same.mark)
            panels.append(panel)
    return tuple(panels)


def _bays(layout: RunLayout) -> Iterator[tuple[Stretch, int, str]]:
    """Yield the bays of a run, each with its stretch and the name of its group."""
    number = 0
    for stretch in sorted(layout.stretches, key=lambda s: (s.leg_number, s.xs[0])):
        for bay in range(len(stretch.xs) - 1):
            number += 1
            yield stretch, bay, f"{layout.run.letter} bay {number:02d}"


def _panel(
    stretch: Stretch, bay: int, place: tuple[int, str], members: list[Member], layout: RunLayout
) -> MadePanel:
    """Return the panel of a bay, without a mark."""
    _, front = layout.run.rails.faces(layout.run.face)
    leg = stretch.leg.frame
    own = [m for m in members if m.kind != BOLT]
    points = [p for m in own for p in _points(m, leg)]
    corner = min(p[0] for p in points), -front, min(p[2] for p in points)
    frame = leg @ Frame.at(*corner)
    pieces = []
    for member in members:
        places = _points(member, frame)
        low, high = (tuple(of(p[i] for p in places) for i in range(3)) for of in (min, max))
        pieces.append(PanelPiece(member, (low[0], low[1], low[2]), (high[0], high[1], high[2])))
    pieces.sort(key=lambda one: (KINDS.index(one.kind), round(one.low[2]), round(one.low[0])))
    pieces.sort(key=lambda one: (KINDS.index(one.kind), one.kind == PALE and round(one.low[0])))
    one, other = stretch.posts[bay : bay + 2]
    plan = layout.run.panels
    assert plan is not None
    return MadePanel(
        "", *place, one.label, other.label, clear_between(stretch, bay), plan, frame, tuple(pieces)
    )


def _points(member: Member, frame: Frame) -> list[Vector]:
    """Return the corners of a member in a frame, mm."""
    placed = (member.frame.point((x, y, z)) for x, y, z in outer_points(member.shape).tolist())
    return [frame.local(point) for point in placed]
