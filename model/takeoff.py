"""What a fence is made of and where it is set out: counts, lengths, concrete, chainages."""

from __future__ import annotations

from dataclasses import dataclass

from .fence import Fence
from .layout import PlacedPost
from .members import FOOTING, KINDS, PALE, Kind
from .pales import pale_row
from .posts import post_top
from .resolve import hole_text
from .shapes import Bar, Footing, Shape


@dataclass(frozen=True)
class PartLine:
    """One mark in the list of members.

    first, second : the section, mm; length : overall, mm; volume : of one, mm3; note : end cuts
    and the like; uses : what its members do.
    """

    mark: str
    kind: Kind
    count: int
    first: float
    second: float
    length: float
    volume: float
    note: str
    uses: str


@dataclass(frozen=True)
class StretchLine:
    """Pales and bays between two fixed posts. gap, bay : mm; bays : count of each length."""

    run: str
    first: str
    last: str
    pales: int
    gap: float
    bays: tuple[tuple[int, float], ...]


@dataclass(frozen=True)
class StationLine:
    """A post to set out.

    chainage : mm from the start of the run; east, north : site coordinates of the post's middle,
    mm; hole : words; hole_depth, bottom, top, embedment : mm, levels over ground at the post.
    """

    label: str
    run: str
    kind: str
    mark: str
    chainage: float
    east: float
    north: float
    ground: float
    hole: str
    hole_depth: float
    embedment: float
    top: float
    rail_tops: tuple[float, ...]


def part_lines(fence: Fence) -> tuple[PartLine, ...]:
    """Return one line for each mark, kinds in the order of lists."""
    lines = []
    for mark, group in fence.by_mark.items():
        first, second, length = group[0].shape.size
        uses = sorted({member.role for member in group})
        lines.append(
            PartLine(
                mark,
                group[0].kind,
                len(group),
                first,
                second,
                length,
                group[0].shape.volume,
                _cuts(group[0].shape),
                ", ".join(uses),
            )
        )
    return tuple(sorted(lines, key=lambda line: KINDS.index(line.kind)))


def _cuts(shape: Shape) -> str:
    if not isinstance(shape, Bar):
        return ""
    words = []
    for name, cut in (("left", shape.left), ("right", shape.right)):
        angles = [
            f"{abs(angle):.1f} degrees {view}"
            for angle, view in ((cut.plan_angle, "in plan"), (cut.side_angle, "in face"))
            if abs(angle) > 0.05
        ]
        if angles:
            words.append(f"{name} end cut {' and '.join(angles)} off square")
    return "; ".join(words)


def stretch_lines(fence: Fence) -> tuple[StretchLine, ...]:
    """Return one line for each stretch between fixed posts."""
    lines = []
    for layout in fence.layouts:
        for stretch in layout.stretches:
            row = pale_row(layout, stretch)
            bays: dict[float, int] = {}
            for bay in stretch.bays:
                length = round(bay, 4)
                bays[length] = bays.get(length, 0) + 1
            first, last = (layout.posts[stretch.posts[end]].label for end in (0, -1))
            lines.append(
                StretchLine(
                    layout.run.letter,
                    first,
                    last,
                    row.spacing.count,
                    row.spacing.gap,
                    tuple((count, length) for length, count in bays.items()),
                )
            )
    return tuple(lines)


def station_lines(fence: Fence) -> tuple[StationLine, ...]:
    """Return one line for each post, run by run, in the order of chainage."""
    marks = {m.station: m.mark for m in fence.members if m.station and m.kind.prefix == "PO"}
    lines = []
    for layout in fence.layouts:
        bed = layout.run.footings.bed
        for post in sorted(layout.posts, key=_chainage):
            east, north, ground = post.frame.origin
            lines.append(
                StationLine(
                    post.label,
                    layout.run.name,
                    post.kind,
                    marks[post.label],
                    post.chainage,
                    east,
                    north,
                    ground,
                    hole_text(layout.run.hole()),
                    post.plan.embedment + bed,
                    post.plan.embedment,
                    post_top(layout, post),
                    layout.run.tops,
                )
            )
    return tuple(lines)


def _chainage(post: PlacedPost) -> float:
    return post.chainage


@dataclass(frozen=True)
class Concrete:
    """Concrete and digging of a fence. footings : count; volume, excavation : mm3, net."""

    footings: int
    volume: float
    excavation: float


def concrete(fence: Fence) -> Concrete:
    """Return the concrete in all footings and the volume of all holes."""
    shapes = [member.shape for member in fence.members if member.kind == FOOTING]
    found = [shape for shape in shapes if isinstance(shape, Footing)]
    return Concrete(
        len(found), sum(shape.volume for shape in found), sum(shape.excavation for shape in found)
    )


def fence_length(fence: Fence) -> float:
    """Return the length of all runs along their lines, mm."""
    return sum(layout.run.line.length for layout in fence.layouts)


def pale_count(fence: Fence) -> int:
    """Return the number of pales, those of gates included."""
    return sum(1 for member in fence.members if member.kind == PALE)
