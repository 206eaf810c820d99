"""Members as a view shows them: visible lines, pales as blocks, what is below ground dashed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from palewright.export.drawing.draft import style as layers
from palewright.export.drawing.draft.drafting import Draft
from palewright.export.drawing.draft.style import CUT_WALL, Layer
from palewright.export.drawing.draft.view import Block, Hatch, Insert, Item, Line, outline_line
from palewright.model.geometry.frames import Frame, Point
from palewright.model.geometry.shapes import Footing, Plate, RoundHole, SquareHole
from palewright.model.parts.members import (
    BOARD,
    BURIED,
    CAP,
    CAPPING,
    FINIAL,
    FRAMING,
    GATE_BASE,
    IN_HOLE,
    KEPT_POST,
    KICK_BOARD,
    METAL,
    METAL_CAP,
    PALE,
    PANEL_UPRIGHT,
    PLATES,
    RAIL,
    SET_POSTS,
    Member,
)
from palewright.model.site.site_line import level_at, profile_between

from .projection import polylines, project, seen_members, view_frame

FAR = 1e9
LEVEL: tuple[Point, ...] = ((0.0, 0.0), (1.0, 0.0))
"""The ground line of level ground."""


@dataclass(frozen=True)
class Window:
    """The part of a view that is shown, mm. Lines are cut at it; a pale is shown whole when its
    middle lies inside.
    """

    left: float = -FAR
    right: float = FAR

    def holds(self, x: float) -> bool:
        """Tell whether a pale with its middle at x is shown."""
        return self.left <= x < self.right


WHOLE = Window()


@dataclass(frozen=True)
class Facing:
    """How members are looked at.

    frame : x to the right and z up on the paper, y away from the viewer; window : what is shown;
    ground : (x, z) of the ground line on the paper, level beyond its ends, mm.
    """

    frame: Frame
    window: Window = WHOLE
    ground: tuple[Point, ...] = LEVEL


def show(
    members: Sequence[Member], facing: Facing, *, blocks: bool = True, buried: bool = True
) -> Iterator[Item]:
    """Yield what is seen of members.

    Parameters
    ----------
    members : sequence of Member
        Footings are drawn as dashed holes, the rest by its visible faces.
    facing : Facing
        Where from, and what of them.
    blocks : bool
        Whether pales seen from their front are uses of a block named by mark; else they are cut
        at the window like everything else.
    buried : bool
        Whether what is below ground is dashed; else it is left out.
    """
    import shapely

    window, ground = facing.window, facing.ground
    shown = shapely.box(window.left, -FAR, window.right, FAR)
    above = shapely.Polygon(
        [(-FAR, ground[0][1]), *ground, (FAR, ground[-1][1]), (FAR, FAR), (-FAR, FAR)]
    )
    highest = max(z for _, z in ground)
    pales: dict[str, Block] = {}
    standing = tuple(member for member in members if member.kind not in BURIED)
    for member, lines in seen_members(standing, facing.frame):
        if blocks and member.kind == PALE:
            yield from _pale(member, facing, pales)
            continue
        left, low, right, _ = lines.bounds
        whole = window.left <= left and right <= window.right
        inside = lines if whole else lines.intersection(shown)
        on_air = low > highest
        for part in polylines(inside if on_air else inside.intersection(above)):
            yield Line.through(part, layer_of(member))
        if buried and not on_air:
            for part in polylines(inside.difference(above)):
                yield Line.through(part, layers.HIDDEN)
    if not buried:
        return
    for member in members:
        if member.kind in IN_HOLE:
            hole = shapely.LineString(hole_outline(member, facing.frame)).intersection(shown)
            for part in polylines(hole):
                yield Line.through(part, layers.HIDDEN)
        elif member.kind == GATE_BASE:
            for loop in project(member, facing.frame).loops:
                sides = shapely.LineString([*loop, loop[0]]).intersection(shown)
                for part in polylines(sides):
                    yield Line.through(part, layers.HIDDEN)


def _pale(member: Member, facing: Facing, known: dict[str, Block]) -> Iterator[Insert]:
    """Yield a pale as the use of its block, which is made once. known : those made, by name."""
    frame = view_frame(member.frame, facing.frame)
    x, _, z = frame.origin
    if not facing.window.holds(x):
        return
    # a pale with its other face to the front is seen mirrored
    turned = frame.x[0] < 0.0
    name = f"{member.mark}-TURNED" if turned else member.mark
    if name not in known:
        assert isinstance(member.shape, Plate)
        outline = member.shape.outline
        line = outline_line(outline.mirrored() if turned else outline, layers.PALES)
        known[name] = Block(name, (line,))
    yield Insert(known[name], (x, z), layers.PALES)


def hole_outline(member: Member, view: Frame) -> tuple[Point, ...]:
    """Return the sides and the bottom of a footing's hole, from ground to ground."""
    footing = member.shape
    assert isinstance(footing, Footing)
    frame = view_frame(member.frame, view)
    x, _, z = frame.origin
    match footing.hole:
        case RoundHole(diameter):
            half = diameter / 2.0
        case SquareHole(width, depth):
            half = (width * abs(frame.x[0]) + depth * abs(frame.y[0])) / 2.0
    low = z - footing.depth
    return (x - half, z), (x - half, low), (x + half, low), (x + half, z)


def layer_of(member: Member) -> Layer:
    """Return the layer that a member's lines are on."""
    if member.kind == PALE:
        return layers.PALES
    if member.kind in (*SET_POSTS, *PLATES, KEPT_POST, CAP, METAL_CAP, FINIAL):
        return layers.POSTS
    if member.kind in (RAIL, PANEL_UPRIGHT, CAPPING, KICK_BOARD, BOARD, *FRAMING):
        return layers.RAILS
    assert member.kind.material == METAL
    return layers.METAL


def ground_line(
    ground: tuple[Point, ...],
    ends: tuple[float, float],
    draft: Draft,
    known: tuple[float, float] | None = None,
) -> Iterator[Line]:
    """Yield the ground line between two places, with strokes below it. known : from where to where
    it is; dashed and without strokes elsewhere, everywhere where the first is not the lower.
    """
    left, right = ends
    if known is not None:
        left, right = (min(max(x, ends[0]), ends[1]) for x in known)
        if left >= right:
            left = right = ends[1]
        for a, b in ((ends[0], left), (right, ends[1])):
            if b > a:
                yield Line.through(profile_between(ground, a, b), layers.UNKNOWN_GROUND)
        if left >= right:
            return
    inside = [point for point in ground if left < point[0] < right]
    points = ((left, level_at(ground, left)), *inside, (right, level_at(ground, right)))
    yield Line.through(points, layers.GROUND)
    size, every = draft.full(2.5), draft.full(16.0)
    x = left + size
    while x + size < right:
        for step in range(3):
            at = x + step * size / 2.0
            z = level_at(ground, at)
            yield Line.through(((at, z), (at - size, z - size)), layers.GROUND_HATCH)
        x += every


def wall(x: float, way: float, levels: Point, draft: Draft) -> Iterator[Item]:
    """Yield a wall seen from the side: its face at x, hatched away from the fence.

    way : -1.0 when it lies to the left, 1.0 to the right; levels : from where to where it is shown.
    """
    low, high = levels
    far = x + way * 4.0 * draft.n
    yield Line.through(((x, low), (x, high)), layers.WALL)
    yield Hatch(((x, low), (far, low), (far, high), (x, high)), CUT_WALL)


def break_line(points: tuple[Point, Point], draft: Draft) -> Line:
    """Return a line with a zigzag in its middle, where a drawing is broken off."""
    (x0, y0), (x1, y1) = points
    length = ((x1 - x0) ** 2 + (y1 - y0) ** 2) ** 0.5
    ux, uy = (x1 - x0) / length, (y1 - y0) / length
    size, past = draft.full(1.5), draft.full(0.8)
    steps = (
        (-past, 0.0),
        (length / 2 - size / 2, 0.0),
        (length / 2 - size / 4, size),
        (length / 2 + size / 4, -size),
        (length / 2 + size / 2, 0.0),
        (length + past, 0.0),
    )
    bends = tuple((x0 + a * ux - b * uy, y0 + a * uy + b * ux) for a, b in steps)
    return Line.through(bends, layers.METAL)
