"""Checks that no two members stand in each other."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from palewright.model.basis import finding_register as register
from palewright.model.basis.findings import Finding
from palewright.model.basis.units import format_length as mm
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.convex import convex_parts, outer_points, shared_radius
from palewright.model.parts.members import POSTS, RAIL, Member
from palewright.model.parts.touching import GOES_THROUGH, gives, may_share_room

_LEAST = 0.01
"""Overlap of outlines under which they only touch, mm."""


def clash_findings(fence: FenceModel) -> Iterator[Finding]:
    """Yield the kinds of members that stand in each other, run by run, the deepest of each."""
    deepest: dict[tuple[str, int, str, int], tuple[float, int, Member, Member]] = {}
    for one, other, depth in clashes(fence):
        key = (one.kind.name, one.run, other.kind.name, other.run)
        most = deepest.get(key)
        count = most[1] + 1 if most else 1
        if most and depth <= most[0]:
            deepest[key] = (most[0], count, *most[2:])
        else:
            deepest[key] = (depth, count, one, other)
    for depth, count, one, other in deepest.values():
        times = f", in {count} places" if count > 1 else ""
        yield register.MEMBERS_CLASH.at(
            f"{_member_said(one)} and {_member_said(other)}",
            f"{mm(depth)} mm in each other{times}",
            "only to touch",
        )


def _member_said(member: Member) -> str:
    if member.kind in POSTS:
        return f"post {member.station}"
    what = f"{member.kind.name} {member.name}"
    return f"{what} of {f'post {member.station}' if member.station else member.group}"


def clashes(fence: FenceModel) -> Iterator[tuple[Member, Member, float]]:
    """Yield pairs of members that stand in each other, and how deep, mm.

    Outlines in plan and heights leave few pairs, which are then measured part by part: the depth
    is the diameter of the largest ball that both hold.
    """
    members = fence.members
    for a, b in _near(members, _let_in(fence)):
        one, other = members[a], members[b]
        depth = 0.0
        parts = [
            [part.placed(member.frame) for part in convex_parts(member.shape)]
            for member in (one, other)
        ]
        for part in parts[0]:
            for against in parts[1]:
                depth = max(depth, 2.0 * shared_radius(part, against))
        if depth > gives(one.kind, other.kind):
            yield one, other, depth


def _let_in(fence: FenceModel) -> frozenset[int]:
    """Return the runs whose rails are let into their posts."""
    return frozenset(n for n, layout in enumerate(fence.layouts) if layout.run.rails.let_in)


def _may(one: Member, other: Member, let_in: frozenset[int]) -> bool:
    """Tell whether two members may stand in each other. let_in : runs whose rails do so."""
    for rail, post in ((one, other), (other, one)):
        if rail.kind == RAIL and post.kind in GOES_THROUGH[RAIL]:
            return rail.run in let_in
    return may_share_room(one.kind, other.kind)


def _near(members: tuple[Member, ...], let_in: frozenset[int]) -> Iterator[tuple[int, int]]:
    """Yield pairs whose outlines overlap in plan and in height, which may not share room."""
    import shapely

    plans = []
    lows = np.empty(len(members))
    highs = np.empty(len(members))
    for number, member in enumerate(members):
        frame = member.frame
        points = outer_points(member.shape) @ np.array([frame.x, frame.y, frame.z]) + frame.origin
        plans.append(shapely.MultiPoint(points[:, :2]).convex_hull)
        lows[number], highs[number] = points[:, 2].min(), points[:, 2].max()
    shrunk = shapely.buffer(np.array(plans), -_LEAST, quad_segs=1, join_style="mitre")
    tree = shapely.STRtree(shrunk)
    ones, others = tree.query(shrunk, predicate="intersects")
    over = np.minimum(highs[ones], highs[others]) - np.maximum(lows[ones], lows[others])
    for a, b in sorted(zip(ones[over > _LEAST], others[over > _LEAST], strict=True)):
        if a < b and not _may(members[a], members[b], let_in):
            yield int(a), int(b)
