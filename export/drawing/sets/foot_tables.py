"""Tables of the steel at the feet of posts: where each piece is about the post's middle."""

from __future__ import annotations

from palewright.export.drawing.draft.figures import Figures
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.convex import outer_points
from palewright.model.geometry.frames import Vector
from palewright.model.geometry.shapes import Bolt, Rod
from palewright.model.layout.placed_posts import PlacedPost
from palewright.model.parts.members import STEEL_FEET, Member

from .schedules import Rows

STEEL = "At the feet of posts, about their middles"
"""What the table of steel is called."""

STEEL_HOW = (
    f"{STEEL}: along the front of the post to its right (left under 0), from its middle to the "
    "back (the front under 0), and over the ground in its middle; of anchors and bolts the middle "
    "line, from the top of the head on as long as they are called."
)

Piece = tuple[str, str, str, str]
"""A mark, and from where to where it is along the post's front, to the back and upwards."""


def steel_rows(fence: FenceModel, figures: Figures) -> Rows:
    """Return the steel at the feet of posts; posts alike share their rows."""
    rows = [["posts", "mark", "along", "to the back", "over the ground"]]
    shared: dict[tuple[Piece, ...], list[str]] = {}
    for run, layout in enumerate(fence.layouts):
        for post in sorted(layout.posts, key=_chainage):
            own = [m for m in fence.of_post.get((run, post.label), ()) if m.kind in STEEL_FEET]
            if own:
                pieces = tuple(_piece(post, member, figures) for member in own)
                shared.setdefault(pieces, []).append(post.label)
    for pieces, labels in shared.items():
        posts = _labels(labels)
        rows += [[posts, *piece] for piece in pieces]
    return rows


def _chainage(post: PlacedPost) -> float:
    return post.chainage


def _labels(labels: list[str]) -> str:
    """Return labels in short: "A01 to A04, A07"."""
    parts: list[list[str]] = []
    for label in labels:
        if parts and _number(parts[-1][-1]) == (_number(label)[0], _number(label)[1] - 1):
            parts[-1].append(label)
        else:
            parts.append([label])
    return ", ".join(
        f"{part[0]} to {part[-1]}" if len(part) > 2 else ", ".join(part) for part in parts
    )


def _number(label: str) -> tuple[str, int]:
    letters = label.rstrip("0123456789")
    return letters, int(label[len(letters) :])


def _piece(post: PlacedPost, member: Member, figures: Figures) -> Piece:
    """Return where a piece is, a bolt or a rod by its middle line."""
    ends = [post.frame.local(member.frame.point(point)) for point in _reach(member)]
    along, back, up = (
        (figures.fine(min(side) + 0.0), figures.fine(max(side) + 0.0))
        for side in zip(*ends, strict=True)
    )
    return member.mark, _span(*along), _span(*back), _span(*up)


def _span(low: str, high: str) -> str:
    return low if low == high else f"{low} to {high}"


def _reach(member: Member) -> list[Vector]:
    """Return points that bound a piece; of bolts and rods both ends of the middle line."""
    match member.shape:
        case Rod(length=length):
            return [(0.0, 0.0, 0.0), (0.0, 0.0, length)]
        case Bolt(length=length):
            return [(0.0, 0.0, 0.0), (0.0, length, 0.0)]
        case _:
            return [(x, y, z) for x, y, z in outer_points(member.shape).tolist()]
