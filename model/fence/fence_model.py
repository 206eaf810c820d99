"""The fence: a job laid out and made into members."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from operator import itemgetter

from palewright.model.geometry.frames import Point
from palewright.model.layout.lay_out import lay_out
from palewright.model.layout.placed_posts import PlacedPost
from palewright.model.layout.run_layout import Opening, RunLayout, Stretch
from palewright.model.parts.capping_rails import capping_members
from palewright.model.parts.gates import gate_members
from palewright.model.parts.gravel_boards import board_members
from palewright.model.parts.kick_boards import kick_board_members
from palewright.model.parts.members import Member, Piece, marked
from palewright.model.parts.pales import pale_members
from palewright.model.parts.posts import post_members
from palewright.model.parts.rail_makers import rail_members
from palewright.model.resolved.job import Job

from .joints_cut import with_cuts
from .made_panels import MadePanel, made_panels

SQUARE = 10_000.0
"""Side of the squares of the site by which members near a place are found, mm."""


@dataclass(frozen=True)
class FenceModel:
    """A whole fence. layouts : where things stand, run by run; members : every piece."""

    job: Job
    layouts: tuple[RunLayout, ...]
    members: tuple[Member, ...]

    @cached_property
    def by_mark(self) -> dict[str, tuple[Member, ...]]:
        """Members by mark, kinds in the order of lists."""
        groups: dict[str, list[Member]] = {}
        for member in self.members:
            groups.setdefault(member.mark, []).append(member)
        return {mark: tuple(group) for mark, group in groups.items()}

    @cached_property
    def posts(self) -> dict[tuple[int, str], PlacedPost]:
        """Posts in their places, by run and label."""
        return {
            (run, post.label): post
            for run, layout in enumerate(self.layouts)
            for post in layout.posts
        }

    @cached_property
    def by_group(self) -> dict[tuple[int, str], tuple[Member, ...]]:
        """Members of each bay and gate, by run and the group's name."""
        groups: dict[tuple[int, str], list[Member]] = {}
        for member in self.members:
            groups.setdefault((member.run, member.group), []).append(member)
        return {key: tuple(group) for key, group in groups.items()}

    @cached_property
    def panels(self) -> tuple[MadePanel, ...]:
        """The bays that are made whole in the workshop, in the order of the fence."""
        return made_panels(self.layouts, self.by_group)

    @cached_property
    def along(self) -> dict[tuple[int, int], list[tuple[float, Member]]]:
        """Members by run and leg, in order of where their origins are along it, mm."""
        groups: dict[tuple[int, int], list[tuple[float, Member]]] = {
            (run, leg): []
            for run, layout in enumerate(self.layouts)
            for leg in range(len(layout.legs))
        }
        for member in self.members:
            frame = self.layouts[member.run].legs[member.leg].frame
            x = frame.local(member.frame.origin)[0]
            groups[member.run, member.leg].append((x, member))
        for group in groups.values():
            group.sort(key=itemgetter(0))
        return groups

    @cached_property
    def _by_square(self) -> dict[tuple[int, int], list[tuple[int, Member]]]:
        """Members with their numbers, by the square of the site that their origins lie in."""
        squares: dict[tuple[int, int], list[tuple[int, Member]]] = {}
        for number, member in enumerate(self.members):
            x, y, _ = member.frame.origin
            square = (math.floor(x / SQUARE), math.floor(y / SQUARE))
            squares.setdefault(square, []).append((number, member))
        return squares

    def around(self, at: Point, reach: float) -> list[Member]:
        """Return the members whose origins may lie within `reach` of a point in plan (mm), and
        none farther off than the squares that are asked.
        """
        low_x, high_x = (math.floor((at[0] + way) / SQUARE) for way in (-reach, reach))
        low_y, high_y = (math.floor((at[1] + way) / SQUARE) for way in (-reach, reach))
        found = [
            numbered
            for x in range(low_x, high_x + 1)
            for y in range(low_y, high_y + 1)
            for numbered in self._by_square.get((x, y), ())
        ]
        return [member for _, member in sorted(found, key=itemgetter(0))]

    @cached_property
    def of_post(self) -> dict[tuple[int, str], tuple[Member, ...]]:
        """Post, cap and footing of each post, by run and the post's label."""
        groups: dict[tuple[int, str], list[Member]] = {}
        for member in self.members:
            if member.station:
                groups.setdefault((member.run, member.station), []).append(member)
        return {key: tuple(group) for key, group in groups.items()}


def build_fence(job: Job) -> FenceModel:
    """Return the fence that a job describes, its rails with as few joints as can be."""
    return fence_of(job, tuple(lay_out(run) for run in job.runs))


def fence_of(job: Job, layouts: tuple[RunLayout, ...]) -> FenceModel:
    """Return the fence of runs that are laid out."""
    pieces = [list(_pieces(layout)) for layout in layouts]
    return FenceModel(job, layouts, marked(with_cuts(pieces) if job.joinery.cut else pieces))


def _pieces(layout: RunLayout) -> Iterator[Piece]:
    """Yield the pieces of a run, bay by bay from left to right, gates where they stand."""
    run, letter = layout.run, layout.run.letter
    parts: list[tuple[int, float, Stretch | Opening]] = [
        *((stretch.leg_number, stretch.xs[0], stretch) for stretch in layout.stretches),
        *((opening.leg_number, opening.start, opening) for opening in layout.openings),
    ]
    standing: set[int] = set()
    bay = 0
    leaf = 0
    for leg, _, part in sorted(parts, key=itemgetter(0, 1)):
        if isinstance(part, Stretch):
            groups = [f"{letter} bay {bay + number:02d}" for number in range(1, len(part.xs))]
            bay += len(groups)
        else:
            groups = [f"{letter} gate {part.number + 1}"]
        for place, (number, post) in enumerate(zip(part.numbers, part.posts, strict=True)):
            if number not in standing:
                standing.add(number)
                yield from post_members(run, post, groups[min(place, len(groups) - 1)], leg)
        if isinstance(part, Stretch):
            yield from rail_members(layout, part, groups)
            yield from capping_members(layout, part, groups)
            yield from pale_members(run, part, groups)
            yield from kick_board_members(layout, part, groups)
            yield from board_members(run, part, groups)
        else:
            yield from gate_members(run, part, groups[0], leaf)
            leaf += part.spec.leaves
