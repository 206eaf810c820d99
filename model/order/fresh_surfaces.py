"""Timber that is laid open by the saw, the drill and the chisel, to be treated again.

Treatment stays near the surface, so that what is cut after it has to be brushed or dipped (common
practice, no source).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.worked_shapes import laid_open
from palewright.model.parts.members import POST, SET_POSTS, Kind, Member


@dataclass(frozen=True)
class FreshSurface:
    """What is laid open of each piece of a mark. count : of pieces; ends : sawn ones; end_area,
    cut_area : of those and of holes, mortises and notches, m2; cuts : how many of these.
    """

    mark: str
    kind: Kind
    count: int
    ends: int
    end_area: float
    cuts: int
    cut_area: float

    @property
    def whole(self) -> float:
        """Area of all pieces, m2."""
        return self.count * (self.end_area + self.cut_area)


def keeps_end(fence: FenceModel, member: Member) -> bool:
    """Tell whether a piece is a post that stands in the ground on the end it was sold with."""
    if member.kind != POST:
        return member.kind in SET_POSTS
    return fence.posts[member.run, member.station].plan.foot.buried


def fresh_surfaces(fence: FenceModel) -> Iterator[FreshSurface]:
    """Yield what is laid open of each mark that is sawn: both ends, but of posts in
    the ground the top alone.

    The foot of these is the end they were sold with, treated whole.
    """
    for mark, group in fence.by_mark.items():
        member = group[0]
        if not member.kind.sawn:
            continue
        first, second, _ = member.shape.size
        ends = 1 if keeps_end(fence, member) else 2
        opened = laid_open(member.shape, member.cuts) / 1e6
        area = first * second * ends / 1e6
        yield FreshSurface(mark, member.kind, len(group), ends, area, len(member.cuts), opened)
