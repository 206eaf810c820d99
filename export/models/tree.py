"""The tree of a fence as every solid format shows it: fence, run, bay or gate, panel, members."""

from __future__ import annotations

from dataclasses import dataclass

from palewright.model.basis.text import plain
from palewright.model.fence.fence_model import FenceModel
from palewright.model.fence.made_panels import MadePanel
from palewright.model.parts.members import Member


@dataclass(frozen=True)
class Branch:
    """A named group of members or of other groups."""

    name: str
    branches: tuple[Branch, ...] = ()
    members: tuple[Member, ...] = ()


def tree_of(fence: FenceModel) -> Branch:
    """Return the tree of a fence, in the order in which the members were made."""
    panels = {(panel.run, panel.group): panel for panel in fence.panels}
    groups: list[dict[str, list[Member]]] = [{} for _ in fence.layouts]
    for member in fence.members:
        groups[member.run].setdefault(member.group, []).append(member)
    runs = tuple(
        Branch(
            f"{layout.run.letter} {plain(layout.run.name)}",
            branches=tuple(
                _bay(name, group, panels.get((run, name))) for name, group in bays.items()
            ),
        )
        for run, (layout, bays) in enumerate(zip(fence.layouts, groups, strict=True))
    )
    return Branch(plain(fence.job.project.name), branches=runs)


def _bay(name: str, members: list[Member], panel: MadePanel | None) -> Branch:
    """Return a bay or a gate with its members; what is made whole in the workshop is a group in
    it.
    """
    if panel is None:
        return Branch(name, members=tuple(members))
    made = {member.name for member in panel.members}
    whole = Branch(
        f"{name} panel {panel.mark}", members=tuple(m for m in members if m.name in made)
    )
    return Branch(name, (whole,), tuple(m for m in members if m.name not in made))
