"""What a fence is made of and where it is set out: counts, lengths, concrete, chainages."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from palewright.model.basis.units import feet_and_inches
from palewright.model.basis.units import format_length as mm
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.post_shapes import Post
from palewright.model.geometry.shapes import Footing, Hole, Plate, Tenoned, bar_of, tidy
from palewright.model.geometry.tenons import NEAR
from palewright.model.layout.bases import BayBase
from palewright.model.layout.heights import highest_point
from palewright.model.layout.placed_posts import PlacedPost
from palewright.model.layout.run_layout import RunLayout, Stretch
from palewright.model.layout.set_pales import clearances
from palewright.model.parts.members import (
    BEAM,
    CARRIAGE,
    CHANNEL,
    FOOTING,
    GATE_BASE,
    GATE_STOP,
    IN_HOLE,
    KEPT_POST,
    KINDS,
    LEDGE,
    PACKING,
    PALE,
    PLATES,
    POSTS,
    RECEIVER,
    SET_POSTS,
    TIMBER,
    Kind,
    Member,
)
from palewright.model.parts.pales import head_of_pale
from palewright.model.resolved.footing_plan import hole_text
from palewright.model.resolved.words import PostRole

LEAST_STEP = 1.0
"""Smaller steps between bays are none, mm."""


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
    """Pales and bays between two fixed posts.

    gap : mm; bays : count of each length; follow : how it stands on the ground; slopes : of
    the ground under its flattest and steepest bay; clearances : smallest and largest under its
    pales, mm; steps : at its posts, mm, none where there are no steps; offset : of a chord from
    its curve, mm.
    """

    run: str
    first: str
    last: str
    pales: int
    gap: float
    bays: tuple[tuple[int, float], ...]
    follow: str
    slopes: tuple[float, float]
    clearances: tuple[float, float]
    steps: tuple[float, ...]
    offset: float


@dataclass(frozen=True)
class StationLine:
    """A post to set out.

    chainage : mm from the start of the run; east, north, ground : site coordinates of the post's
    middle and level of the ground there, mm; hole : words, or how a post stands without
    one, empty for a plate on a wall and a post that is kept;
    hole_depth, embedment, top : mm below and over the ground at the post (an embedment under 0
    is over it); rail_tops : over the
    ground there, of each side of the post where they differ, mm; hole_bottom, top_level : levels;
    dug : its hole, None where there is none; foot : level of the post's foot, mm, None where
    nobody makes it; host : the post of another run, or
    the pier, that a plate is on.
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
    rail_tops: tuple[tuple[float, ...], ...]
    hole_bottom: float
    top_level: float
    dug: Hole | None = None
    foot: float | None = None
    host: str = ""

    @property
    def plate(self) -> str:
        """What a plate in place of a post is on, in words; empty for a post."""
        if self.kind != PostRole.WALL:
            return ""
        return f"plate on {self.host}" if self.host else "plate on wall"


def part_lines(fence: FenceModel) -> tuple[PartLine, ...]:
    """Return one line for each mark, kinds in the order of lists."""
    lines = []
    for mark, group in fence.by_mark.items():
        first, second, length = group[0].size
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
                _cuts(fence, group[0], feet_and_inches if fence.job.feet else mm),
                ", ".join(uses),
            )
        )
    return tuple(sorted(lines, key=lambda line: KINDS.index(line.kind)))


def _cuts(fence: FenceModel, member: Member, text: Callable[[float], str]) -> str:
    shape = member.shape
    if isinstance(shape, Plate) and member.kind == GATE_STOP:
        return _angle(shape, text)
    if isinstance(shape, Plate) and member.kind in (CHANNEL, BEAM, CARRIAGE, RECEIVER):
        return _profile(shape, text, in_plan=member.kind == RECEIVER)
    if member.kind.material != TIMBER:
        return ""
    if isinstance(shape, Post):
        return shape.bevel.words(text) if shape.bevel is not None else ""
    if isinstance(shape, Plate) and member.kind == LEDGE:
        return _tenons(shape, text)
    if isinstance(shape, Plate):
        sides = (("left", shape.bevel_left), ("right", shape.bevel_right))
        words = [
            f"{name} side bevelled {math.degrees(math.atan(abs(slope))):.1f} degrees, "
            f"wide at the {_wide_face(name, slope)}"
            for name, slope in sides
            if slope
        ]
        low, high = side_heights(shape)
        run = fence.layouts[member.run].run
        capped = member.kind == PALE and member.leaf is None and run.capping is not None
        bend = _bend(shape, text) if capped else []
        if abs(low - high) > 0.05 or bend:
            words.insert(0, f"left side {text(low)} high, right side {text(high)}")
        words[1:1] = bend
        if member.kind == PALE:
            words += head_of_pale(fence.layouts[member.run], member)
        return "; ".join(words)
    bar = bar_of(shape)
    if bar is None:
        return ""
    words = []
    for name, cut in (("left", bar.left), ("right", bar.right)):
        angles = [
            f"{abs(angle):.1f} degrees {view}"
            for angle, view in ((cut.plan_angle, "in plan"), (cut.side_angle, "in face"))
            if abs(angle) > 0.05
        ]
        if angles:
            words.append(f"{name} end cut {' and '.join(angles)} off square")
    if isinstance(shape, Tenoned):
        words += rail_tenons(shape, text)
    return "; ".join(words)


def rail_tenons(rail: Tenoned, text: Callable[[float], str]) -> list[str]:
    """Return the tenons of a rail in words, those of both ends together where they are alike."""
    said: dict[str, list[str]] = {}
    for name, tenon in (("left", rail.left), ("right", rail.right)):
        if tenon is None:
            continue
        low, high = tenon.root
        far = [y for u, y in tenon.plan if abs(u - tenon.length) < NEAR]
        tip = max(far) - min(far)
        words = f"tenon {text(tenon.length)} long, {text(tenon.high - tenon.low)} high, "
        words += f"{text(high - low)} thick, {text(low)} behind the front"
        if tip < high - low - 0.05:
            words += f", cut slanting to {text(tip)} at its end"
        said.setdefault(words, []).append(name)
    return [f"{' and '.join(names)} end: {words}" for words, names in said.items()]


def _bend(pale: Plate, text: Callable[[float], str]) -> list[str]:
    """Return where the top of a pale that stands before a post bends from one line to another."""
    left, low, _, _ = pale.outline.bounds
    top = pale.outline.vertices[2:]
    if len(top) != 3 or any(bulge for _, _, bulge in top):
        return []
    x, z, _ = top[1]
    return [
        f"top bends {text(tidy(x - left))} from its left side, {text(tidy(z - low))} high there"
    ]


def _tenons(ledge: Plate, text: Callable[[float], str]) -> str:
    """Return the tenons of a ledge, whose outline lies in plan."""
    _, low, _, high = ledge.outline.bounds
    long = min(x for x, z, _ in ledge.outline.vertices if z in (low, high))
    thick = text(tidy((high - low) / 3.0))
    return f"tenons {text(long)} long and {thick} thick in the middle of both ends"


def _profile(shape: Plate, text: Callable[[float], str], *, in_plan: bool) -> str:
    """Return the corners of a profile that does not fill its box, from its least; else nothing."""
    if len(shape.outline.vertices) == 4:
        return ""
    x0, z0, x1, z1 = shape.outline.bounds
    if in_plan:  # as it lies: its outline goes along the fence and to the front
        corners = [(x - x0, z1 - z) for x, z, _ in shape.outline.vertices]
    else:  # its outline goes to the front and up
        corners = [(x1 - x, z - z0) for x, z, _ in shape.outline.vertices]
    told = ", ".join(f"{text(tidy(a))} / {text(tidy(b))}" for a, b in corners)
    return f"profile, {'along / back' if in_plan else 'back / up'}: {told}"


def _angle(stop: Plate, text: Callable[[float], str]) -> str:
    """Return how an angle on a post is bent, seen from above; empty for a block."""
    left, _, _, high = stop.outline.bounds
    if len(stop.outline.vertices) != 6:
        return ""
    metal = min(high - z for _, z, _ in stop.outline.vertices if high - z > 1e-6)
    return f"angle of {text(tidy(metal))}, its lip to the front, its leg to the {_leg(left)}"


def _leg(left: float) -> str:
    return "right" if left < -1e-6 else "left"


def _wide_face(side: str, slope: float) -> str:
    """Return the face on which a bevel (dx/dy) leaves a plate its full width."""
    return "front" if (slope > 0.0) == (side == "left") else "back"


def side_heights(plate: Plate) -> tuple[float, float]:
    """Return how high a plate's left and right sides are, mm."""
    left, _, right, _ = plate.outline.bounds
    heights = []
    for side in (left, right):
        zs = [z for x, z, _ in plate.outline.vertices if abs(x - side) < 1e-3]
        heights.append(max(zs, default=0.0) - min(zs, default=0.0))
    return heights[0], heights[1]


def stretch_lines(fence: FenceModel) -> tuple[StretchLine, ...]:
    """Return one line for each stretch between fixed posts."""
    lines = []
    for layout in fence.layouts:
        for stretch in layout.stretches:
            row = stretch.row
            settings = stretch.settings
            slopes = sorted((_fall(stretch, setting) for setting in settings), key=abs)
            steps = (post.step for post in stretch.posts)
            bays: dict[float, int] = {}
            for bay in stretch.bays:
                length = round(bay, 4)
                bays[length] = bays.get(length, 0) + 1
            first, last = (stretch.posts[end].label for end in (0, -1))
            lines.append(
                StretchLine(
                    layout.run.called,
                    first,
                    last,
                    row.count,
                    row.gap,
                    tuple((count, length) for length, count in bays.items()),
                    " and ".join(dict.fromkeys(setting.follow for setting in settings)),
                    (slopes[0], slopes[-1]),
                    clearances(stretch.leg, stretch.pales),
                    tuple(step for step in steps if step >= LEAST_STEP),
                    stretch.leg.offset,
                )
            )
    return tuple(lines)


def _fall(stretch: Stretch, setting: BayBase) -> float:
    """Return the slope of the ground from post to post."""
    leg = stretch.leg
    rise = leg.ground(setting.x1) - leg.ground(setting.x0)
    return rise / (setting.x1 - setting.x0)


def station_lines(fence: FenceModel) -> tuple[StationLine, ...]:
    """Return one line for each post, run by run, in the order of chainage."""
    marks = {m.station: m.mark for m in fence.members if m.kind in (*POSTS, *PLATES, KEPT_POST)}
    lines = []
    origin = fence.job.origin
    for layout in fence.layouts:
        bases = _bases(layout)
        for post in sorted(layout.posts, key=_chainage):
            east, north, ground = (a + b for a, b in zip(post.frame.origin, origin, strict=True))
            foot = post.plan.foot
            depth = foot.deep
            top = post.top
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
                    hole_text(foot.dug.hole) if foot.dug else foot.short,
                    depth,
                    post.plan.embedment,
                    top,
                    tuple(
                        tuple(base + rail for rail in _rail_tops(layout, post))
                        for base in bases[post.label]
                    ),
                    ground - depth,
                    ground + top,
                    foot.dug.hole if foot.dug else None,
                    ground - foot.embedment if foot.made else None,
                    post.host or ("pier" if post.pier else ""),
                )
            )
    return tuple(lines)


def _rail_tops(layout: RunLayout, post: PlacedPost) -> tuple[float, ...]:
    """Return the tops of rails at a post over the base; at the end of a ramp the top one is low."""
    *low, high = layout.run.rails.tops
    return *low, high - post.lowered


def _bases(layout: RunLayout) -> dict[str, tuple[float, ...]]:
    """Return the bases on either side of each post over the ground there, mm; one where equal."""
    by_post: dict[str, list[float]] = {}
    for stretch in layout.stretches:
        start = stretch.leg.start[2]
        for end, post in enumerate(stretch.posts):
            for setting in stretch.settings[max(0, end - 1) : end + 1]:
                base = start + setting.base(stretch.xs[end]) - post.frame.origin[2]
                by_post.setdefault(post.label, []).append(round(base, 1) + 0.0)
    for opening in layout.openings:
        start = opening.leg.start[2]
        for post in opening.posts:
            base = start + opening.base - post.frame.origin[2]
            by_post.setdefault(post.label, [round(base, 1) + 0.0])
    return {label: tuple(dict.fromkeys(bases)) for label, bases in by_post.items()}


def _chainage(post: PlacedPost) -> float:
    return post.chainage


@dataclass(frozen=True)
class ConcreteTotal:
    """Concrete and digging of a fence. footings : count; volume, excavation : mm3, net."""

    footings: int
    volume: float
    excavation: float


def concrete(fence: FenceModel) -> ConcreteTotal:
    """Return the concrete in all footings and the volume of all holes."""
    poured = [shape.volume for shape in _filled(fence, FOOTING)]
    dug = [shape.excavation for shape in _filled(fence, *IN_HOLE)]
    strips = [member.shape.volume for member in fence.members if member.kind == GATE_BASE]
    count = len(poured) + len(strips)
    return ConcreteTotal(count, math.fsum([*poured, *strips]), math.fsum([*dug, *strips]))


def gravel(fence: FenceModel) -> float:
    """Return the volume of all gravel that is rammed round posts, mm3, as it lies there."""
    return math.fsum(shape.volume for shape in _filled(fence, PACKING))


def _filled(fence: FenceModel, *kinds: Kind) -> Iterator[Footing]:
    """Yield the shapes of what fills holes, of some kinds."""
    for member in fence.members:
        if member.kind in kinds and isinstance(member.shape, Footing):
            yield member.shape


def gate_count(fence: FenceModel) -> int:
    """Return the number of gates."""
    return sum(len(layout.openings) for layout in fence.layouts)


def fence_height(fence: FenceModel) -> float:
    """Return the highest point of all runs over their ground, mm."""
    return max((highest_point(layout) for layout in fence.layouts), default=0.0)


def fence_length(fence: FenceModel) -> float:
    """Return the length of all runs along their lines, mm."""
    return math.fsum(layout.run.line.length for layout in fence.layouts)


def post_count(fence: FenceModel) -> int:
    """Return the number of posts; plates on walls are none."""
    return sum(1 for member in fence.members if member.kind in SET_POSTS)


def pale_count(fence: FenceModel) -> int:
    """Return the number of pales, those of gates included."""
    return sum(1 for member in fence.members if member.kind == PALE)
