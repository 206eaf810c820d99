"""The tree of a fence as every solid format shows it: fence, run, bay or gate, members."""

from __future__ import annotations

from dataclasses import dataclass

from palewright.model.basis.text import plain
from palewright.model.fence.fence_model import FenceModel
from palewright.model.parts.members import Member


@dataclass(frozen=True)
class Branch:
    """A named group of members or of other groups."""

    name: str
    branches: tuple[Branch, ...] = ()
    members: tuple[Member, ...] = ()


def tree_of(fence: FenceModel) -> Branch:
    """Return the tree of a fence, in the order in which the members were made."""
    groups: list[dict[str, list[Member]]] = [{} for _ in fence.layouts]
    for member in fence.members:
        groups[member.run].setdefault(member.group, []).append(member)
    runs = tuple(
        Branch(
            f"{layout.run.letter} {plain(layout.run.name)}",
            branches=tuple(Branch(name, members=tuple(group)) for name, group in bays.items()),
        )
        for layout, bays in zip(fence.layouts, groups, strict=True)
    )
    return Branch(plain(fence.job.project.name), branches=runs)
