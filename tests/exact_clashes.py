"""Members that stand in each other, by the CAD kernel: the check's second opinion."""

from __future__ import annotations

import numpy as np
import shapely

from palewright.export.models.assembly import location_of
from palewright.export.models.product import Product
from palewright.model.geometry.convex import outer_points
from palewright.model.parts.members import Member
from palewright.model.parts.touching import PRESSED, gives, may_share_room


def exact_clashes(built: Product) -> list[str]:
    """Return the pairs that share room, of all whose boxes meet and that may not."""
    members = built.fence.members
    corners = [_points_of(member) for member in members]
    low = np.array([points.min(axis=0) for points in corners])
    high = np.array([points.max(axis=0) for points in corners])
    boxes = shapely.box(low[:, 0], low[:, 1], high[:, 0], high[:, 1])
    ones, others = shapely.STRtree(boxes).query(boxes, predicate="intersects")
    wrong = []
    for a, b in zip(ones.tolist(), others.tolist(), strict=True):
        over = min(high[a, 2], high[b, 2]) - max(low[a, 2], low[b, 2])
        if a >= b or over < PRESSED or may_share_room(members[a].kind, members[b].kind):
            continue
        thin, _ = shared_room(built, members[a], members[b])
        if thin > gives(members[a].kind, members[b].kind):
            wrong.append(f"{members[a].name} and {members[b].name}: {thin:.1f} mm or more")
    return wrong


def shared_room(built: Product, one: Member, other: Member) -> tuple[float, float]:
    """Return bounds on the diameter of the largest ball in the room that two members share, mm.

    A convex body of volume V and surface A holds a ball of radius V / A, and none of more than
    3 V / A: the bodies within it at a distance from its surface have less surface, and a body
    whose faces all touch the ball has just so much volume.
    """
    first, second = (
        built.solids[member.mark].located(location_of(member.frame)) for member in (one, other)
    )
    pieces = [(2.0 * s.Volume() / s.Area(), 6.0 * s.Volume() / s.Area())
              for s in first.intersect(second).Solids()]  # fmt: skip
    return max(pieces, default=(0.0, 0.0))


def _points_of(member: Member) -> np.ndarray:
    frame = member.frame
    return outer_points(member.shape) @ np.array([frame.x, frame.y, frame.z]) + frame.origin
