"""Members as a view shows them: visible lines, pales as blocks, what is below ground dashed."""

from __future__ import annotations

from dataclasses import dataclass, field

from palewright.model.geometry import Frame, Point
from palewright.model.members import BRACE, CAP, FOOTING, LEDGE, METAL, PALE, POST, RAIL, Member
from palewright.model.shapes import Footing, Plate, RoundHole, SquareHole

from . import style as layers
from .project import polylines, project, view_frame, visible
from .style import Layer
from .view import Block, Insert, Item, Line, outline_line

FAR = 1e9


@dataclass
class Scene:
    """Items and blocks of a view while it is put together."""

    items: list[Item] = field(default_factory=list)
    blocks: dict[str, Block] = field(default_factory=dict)


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


def show(
    scene: Scene,
    members: list[Member],
    view: Frame,
    window: Window = WHOLE,
    *,
    blocks: bool = True,
    ground: bool = True,
) -> None:
    """Add what a view shows of members.

    Parameters
    ----------
    scene : Scene
        What is added to.
    members : list of Member
        Footings are drawn as dashed holes, the rest by its visible faces.
    view : Frame
        x to the right and z up on the paper, y away from the viewer.
    window : Window
        What to show of it.
    blocks : bool
        Whether pales seen from their front are uses of a block named by mark; else they are cut
        at the window like everything else.
    ground : bool
        Whether what is below ground is dashed; else it is left out.
    """
    import shapely

    shown = shapely.box(window.left, -FAR, window.right, FAR)
    above = shapely.box(-FAR, 0.0, FAR, FAR)
    drawn = [project(member, view) for member in members if member.kind != FOOTING]
    for member, lines in visible(drawn):
        if blocks and member.kind == PALE:
            _pale(scene, member, view, window)
            continue
        inside = lines.intersection(shown)
        for part in polylines(inside.intersection(above)):
            scene.items.append(Line.through(part, layer_of(member)))
        if ground:
            for part in polylines(inside.difference(above)):
                scene.items.append(Line.through(part, layers.HIDDEN))
    if not ground:
        return
    for member in members:
        if member.kind == FOOTING:
            hole = shapely.LineString(hole_outline(member, view)).intersection(shown)
            for part in polylines(hole):
                scene.items.append(Line.through(part, layers.HIDDEN))


def _pale(scene: Scene, member: Member, view: Frame, window: Window) -> None:
    x, _, z = view_frame(member.frame, view).origin
    if not window.holds(x):
        return
    if member.mark not in scene.blocks:
        assert isinstance(member.shape, Plate)
        line = outline_line(member.shape.outline, layers.PALES)
        scene.blocks[member.mark] = Block(member.mark, (line,))
    scene.items.append(Insert(member.mark, (x, z), layers.PALES))


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
    if member.kind in (POST, CAP):
        return layers.POSTS
    if member.kind in (RAIL, LEDGE, BRACE):
        return layers.RAILS
    assert member.kind.material == METAL
    return layers.METAL


def ground_line(scene: Scene, left: float, right: float, scale: float) -> None:
    """Add the ground line from left to right, with strokes below it."""
    scene.items.append(Line.through(((left, 0.0), (right, 0.0)), layers.GROUND))
    size, every = 2.5 * scale, 16.0 * scale
    x = left + size
    while x + size < right:
        for step in range(3):
            spot = x + step * size / 2.0
            scene.items.append(
                Line.through(((spot, 0.0), (spot - size, -size)), layers.GROUND_HATCH)
            )
        x += every


def break_line(points: tuple[Point, Point], scale: float) -> Line:
    """Return a line with a zigzag in its middle, where a drawing is broken off."""
    (x0, y0), (x1, y1) = points
    length = ((x1 - x0) ** 2 + (y1 - y0) ** 2) ** 0.5
    ux, uy = (x1 - x0) / length, (y1 - y0) / length
    size, past = 1.5 * scale, 0.8 * scale
    steps = (
        (-past, 0.0),
        (length / 2 - size / 2, 0.0),
        (length / 2 - size / 4, size),
        (length / 2 + size / 4, -size),
        (length / 2 + size / 2, 0.0),
        (length + past, 0.0),
    )
    spots = tuple((x0 + a * ux - b * uy, y0 + a * uy + b * ux) for a, b in steps)
    return Line.through(spots, layers.METAL)
