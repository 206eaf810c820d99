"""The fence: a job laid out and made into members."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from operator import itemgetter

from palewright.model.layout.lay_out import lay_out
from palewright.model.layout.run_layout import RunLayout
from palewright.model.layout.set_pales import with_pales
from palewright.model.parts.gates import gate_members
from palewright.model.parts.gravel_boards import board_members
from palewright.model.parts.members import Member, Piece, marked
from palewright.model.parts.pales import pale_members
from palewright.model.parts.posts import post_members
from palewright.model.parts.rails import rail_members
from palewright.model.resolved.job import Job


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
    def of_post(self) -> dict[tuple[int, str], tuple[Member, ...]]:
        """Post, cap and footing of each post, by run and the post's label."""
        groups: dict[tuple[int, str], list[Member]] = {}
        for member in self.members:
            if member.station:
                groups.setdefault((member.run, member.station), []).append(member)
        return {key: tuple(group) for key, group in groups.items()}


def build_fence(job: Job) -> FenceModel:
    """Return the fence that a job describes, its rails with as few joints as can be."""
    return fence_of(job, tuple(with_pales(lay_out(run)) for run in job.runs))


def fence_of(job: Job, layouts: tuple[RunLayout, ...]) -> FenceModel:
    """Return the fence of runs that are laid out."""
    return FenceModel(job, layouts, marked(_pieces(layout) for layout in layouts))


def _pieces(layout: RunLayout) -> Iterator[Piece]:
    """Yield the pieces of a run, bay by bay from left to right, gates where they stand."""
    letter = layout.run.letter
    parts = [(stretch.leg, stretch.xs[0], stretch, None) for stretch in layout.stretches]
    doors = [(opening.leg, opening.start, None, opening) for opening in layout.openings]
    pales = dict(zip(layout.stretches, layout.pales, strict=True))
    made: set[int] = set()
    bay = 0
    leaf = 0
    for _, _, stretch, opening in sorted([*parts, *doors], key=lambda part: part[:2]):
        if stretch is not None:
            groups = [f"{letter} bay {bay + number:02d}" for number in range(1, len(stretch.xs))]
            bay += len(groups)
            for place, number in enumerate(stretch.posts):
                if number not in made:
                    made.add(number)
                    group = groups[min(place, len(groups) - 1)]
                    yield from post_members(layout, number, group, stretch.leg)
            yield from rail_members(layout, stretch, groups)
            yield from pale_members(layout, stretch, pales[stretch], groups)
            yield from board_members(layout, stretch, groups)
        if opening is not None:
            group = f"{letter} gate {opening.number + 1}"
            for number in opening.posts:
                if number not in made:
                    made.add(number)
                    yield from post_members(layout, number, group, opening.leg)
            yield from gate_members(layout, opening, group, leaf)
            leaf += opening.spec.leaves
