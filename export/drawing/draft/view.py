"""What a drawing view is made of: plain values in view coordinates, mm at full size."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace

from palewright.model.geometry.frames import Point
from palewright.model.geometry.outlines import Outline

from .scales import Scale
from .style import Layer, Pattern


@dataclass(frozen=True)
class Line:
    """An open or closed polyline. vertices : (x, y, bulge)."""

    vertices: tuple[tuple[float, float, float], ...]
    layer: Layer
    closed: bool = False

    @staticmethod
    def through(points: tuple[Point, ...], layer: Layer, *, closed: bool = False) -> Line:
        """Return straight segments through points."""
        return Line(tuple((x, y, 0.0) for x, y in points), layer, closed)


@dataclass(frozen=True)
class Block:
    """A drawing used many times under one name. lines : in the block's own coordinates."""

    name: str
    lines: tuple[Line, ...]


@dataclass(frozen=True)
class Insert:
    """One use of a block. degrees : turned anticlockwise."""

    block: Block
    at: Point
    layer: Layer
    degrees: float = 0.0


@dataclass(frozen=True)
class Dimension:
    """A linear dimension between two points.

    base : a point on the dimension line; degrees : direction of measurement;
    text_at : middle of the figure where it does not stand in the middle of the line; figure : what
    is written, where that is not the length by itself; sign : before the figure, of a diameter or a
    square; masks : whether the lines of other items stop at the figure, where it can stand on
    nothing else.
    """

    start: Point
    end: Point
    base: Point
    degrees: float = 0.0
    text_at: Point | None = None
    figure: str = ""
    sign: str = ""
    masks: bool = False


@dataclass(frozen=True)
class MarkData:
    """What a mark stands for, for a data extraction in CAD. mark : of the members; kind : the
    trade's word; size : section as a figure; length : as a figure; count : how many; place : the
    bay, gate or post.
    """

    mark: str
    kind: str
    size: str
    length: str
    count: int
    place: str


@dataclass(frozen=True)
class Text:
    """A line of text. height : mm on paper; align : "left", "centre" or "right"; at : baseline;
    layer : None for that of the drawing's text; data : of the members that it names; where they
    have no room to be named the text is empty.
    """

    text: str
    at: Point
    height: float
    align: str = "left"
    degrees: float = 0.0
    layer: Layer | None = None
    data: tuple[MarkData, ...] = ()


@dataclass(frozen=True)
class ArcLine:
    """A circular arc. start, end : degrees, anticlockwise."""

    centre: Point
    radius: float
    start: float
    end: float
    layer: Layer


@dataclass(frozen=True)
class Hatch:
    """A hatched area. loop : points."""

    loop: tuple[Point, ...]
    pattern: Pattern


@dataclass(frozen=True)
class Fill:
    """A filled area. loop : points; grey : 0 black to 1 white."""

    loop: tuple[Point, ...]
    grey: float = 0.0


@dataclass(frozen=True)
class Picture:
    """A picture (PNG). at : lower left corner; width, height : mm at full size."""

    data: bytes
    at: Point
    width: float
    height: float


Item = Line | Insert | Dimension | Text | ArcLine | Hatch | Fill | Picture


@dataclass(frozen=True)
class Redrawing:
    """How a view is drawn at another scale. kin : views of one kin share a scale; largest : n of
    the largest scale 1:n that is of use; draw : from a scale to the view.
    """

    kin: str
    largest: float
    draw: Callable[[Scale], View]


@dataclass(frozen=True)
class View:
    """A titled view.

    scale : n of 1:n, for lettering and dimensions; titled_at : where the title starts;
    scale_text : the scale in words, empty for what has none (a table); sited : whether its
    coordinates are the site's, for the drawing's model space; in_model : whether it stands there
    at all, or on paper alone; kind : what a view without a title is; group : what a sheet that
    holds it is titled by; row : what it is read with, one view after the other, empty for what
    stands alone; under : whether it stands under the view before it, their x in line; redrawing :
    how it is drawn larger where there is room, None for what has its scale; recut : of a table and
    all its pieces, how it is cut into pieces of at most so many rows and of a width (mm) where it
    can be.
    """

    title: str
    scale: float
    items: tuple[Item, ...]
    sited: bool = False
    titled_at: Point = field(default=(0.0, 0.0))
    scale_text: str = ""
    in_model: bool = True
    kind: str = ""
    group: str = ""
    row: str = ""
    under: bool = False
    redrawing: Redrawing | None = field(default=None, compare=False, repr=False)
    recut: Callable[[int, float], list[View]] | None = field(
        default=None, compare=False, repr=False
    )

    def at_scale(self, scale: Scale) -> View:
        """Return the view drawn at another scale, in the same place of its set."""
        assert self.redrawing is not None
        return replace(
            self.redrawing.draw(scale), group=self.group, row=self.row, under=self.under,
            redrawing=self.redrawing,
        )  # fmt: skip

    @property
    def blocks(self) -> tuple[Block, ...]:
        """The blocks that are used, each once, in the order of their first use."""
        used = {item.block.name: item.block for item in self.items if isinstance(item, Insert)}
        return tuple(used.values())

    @property
    def heading(self) -> str:
        """The title with the scale; empty for a view without a title."""
        return f"{self.title}   {self.scale_text}" if self.title and self.scale_text else self.title


def outline_line(outline: Outline, layer: Layer) -> Line:
    """Return an outline as a closed line."""
    return Line(outline.vertices, layer, closed=True)
