"""Views as they come out on paper: strokes, filled areas, labels and pictures, in mm.

One recording of these serves the PDF, the SVG, the sheet layout and the tests, so that what is
measured is what is printed.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from palewright.model.geometry.frames import Point, cos_sin
from palewright.model.geometry.outlines import Edge

from .lettering import text_width
from .style import DIMENSIONS, LINETYPES, TEXT, Layer, Style
from .view import (
    ArcLine,
    Dimension,
    Fill,
    Hatch,
    Insert,
    Item,
    Line,
    Picture,
    Text,
    View,
)

CURVE = 0.02
"""Largest distance between a curve and its chords on paper, mm."""

MASK = 0.4
"""How far lines stop before a figure that masks them, mm on paper."""

DESCENT = 0.3
"""How far letters reach below their baseline, in heights of a capital."""


@dataclass(frozen=True)
class Stroke:
    """A drawn line. points : mm on paper; width : mm; dashes : mm, none for a full line."""

    points: tuple[Point, ...]
    width: float
    layer: Layer
    dashes: tuple[float, ...] = ()
    closed: bool = False


@dataclass(frozen=True)
class Area:
    """A filled area. grey : 0 black to 1 white."""

    points: tuple[Point, ...]
    grey: float


@dataclass(frozen=True)
class Label:
    """A line of text. at : left end of the baseline; height : of capitals, mm."""

    text: str
    at: Point
    height: float
    degrees: float
    layer: Layer

    @property
    def width(self) -> float:
        """Length of the line of text, mm."""
        return text_width(self.text, self.height)

    def box(self, descent: float = DESCENT) -> tuple[Point, ...]:
        """Return the corners of the text, from its lower left one anticlockwise."""
        right, low, high = self.width, -descent * self.height, self.height
        return self._turned(((0.0, low), (right, low), (right, high), (0.0, high)))

    def clear_box(self, clear: float) -> tuple[Point, ...]:
        """Return the corners of the text with `clear` mm on each side, its corners cut off."""
        right, low, high = self.width, -DESCENT * self.height, self.height
        sides = (
            (0.0, low - clear), (right, low - clear), (right + clear, low), (right + clear, high),
            (right, high + clear), (0.0, high + clear), (-clear, high), (-clear, low),
        )  # fmt: skip
        return self._turned(sides)

    def _turned(self, corners: tuple[Point, ...]) -> tuple[Point, ...]:
        """Return places along and over the baseline as they are on paper."""
        cos, sin = cos_sin(self.degrees)
        x, y = self.at
        return tuple((x + a * cos - b * sin, y + a * sin + b * cos) for a, b in corners)


@dataclass(frozen=True)
class Image:
    """A picture. at : lower left corner, mm."""

    data: bytes
    at: Point
    width: float
    height: float


Mark = Stroke | Area | Label | Image


def on_paper(view: View, style: Style) -> tuple[Mark, ...]:
    """Return a view on paper, its own origin at (0, 0)."""
    marks: list[Mark] = []
    masked: list[Mark] = []
    for item in view.items:
        own = masked if isinstance(item, Dimension) and item.masks else marks
        own.extend(_marks(item, view.scale, style))
    if masked:
        marks = [*_cut_round(marks, masked), *masked]
    if view.heading:
        x, y = view.titled_at
        spot = x / view.scale, y / view.scale
        marks.append(Label(view.heading, spot, style.subtitle, 0.0, TEXT))
    return tuple(marks)


def _cut_round(marks: Sequence[Mark], masked: Sequence[Mark]) -> Iterator[Mark]:
    """Yield marks whose lines stop at the figures among others."""
    import shapely

    boxes = [shapely.Polygon(one.clear_box(MASK)) for one in masked if isinstance(one, Label)]
    area = shapely.union_all(boxes)
    for mark in marks:
        if not isinstance(mark, Stroke) or len(mark.points) < 2:
            yield mark
            continue
        ends = (*mark.points, mark.points[0]) if mark.closed else mark.points
        line = shapely.LineString(ends)
        if not line.intersects(area):
            yield mark
            continue
        left = line.difference(area)
        for part in () if left.is_empty else shapely.get_parts(left):
            points = tuple((float(x), float(y)) for x, y in part.coords)
            yield replace(mark, points=points, closed=False)


def bounds(marks: tuple[Mark, ...]) -> tuple[float, float, float, float]:
    """Return left, bottom, right and top of what is on paper, mm."""
    xs: list[float] = []
    ys: list[float] = []
    for mark in marks:
        match mark:
            case Stroke(points=points) | Area(points=points):
                reached: tuple[Point, ...] = points
            case Label():
                reached = mark.box()
            case Image(at=(x, y), width=width, height=height):
                reached = ((x, y), (x + width, y + height))
        xs.extend(x for x, _ in reached)
        ys.extend(y for _, y in reached)
    return min(xs), min(ys), max(xs), max(ys)


def shifted(marks: tuple[Mark, ...], dx: float, dy: float) -> tuple[Mark, ...]:
    """Return marks moved on the paper."""
    moved: list[Mark] = []
    for mark in marks:
        match mark:
            case Stroke(points, width, layer, dashes, closed):
                points_there = tuple((x + dx, y + dy) for x, y in points)
                moved.append(Stroke(points_there, width, layer, dashes, closed))
            case Area(points, grey):
                moved.append(Area(tuple((x + dx, y + dy) for x, y in points), grey))
            case Label(text, (x, y), height, degrees, layer):
                moved.append(Label(text, (x + dx, y + dy), height, degrees, layer))
            case Image(data, (x, y), width, height):
                moved.append(Image(data, (x + dx, y + dy), width, height))
    return tuple(moved)


def _marks(item: Item, scale: float, style: Style) -> Iterator[Mark]:
    match item:
        case Line(vertices, layer, closed):
            yield _stroke(vertices, layer, closed, scale)
        case Insert(block, (x, y), _, degrees):
            cos, sin = cos_sin(degrees)
            for line in block.lines:
                turned = tuple(
                    (x + a * cos - b * sin, y + a * sin + b * cos, bulge)
                    for a, b, bulge in line.vertices
                )
                yield _stroke(turned, line.layer, line.closed, scale)
        case ArcLine((x, y), radius, start, end, layer):
            span = math.radians((end - start) % 360.0)
            a, b = math.radians(start), math.radians(start) + span
            ends = (
                (x + radius * math.cos(a), y + radius * math.sin(a), math.tan(span / 4.0)),
                (x + radius * math.cos(b), y + radius * math.sin(b), 0.0),
            )
            yield _stroke(ends, layer, False, scale)
        case Text(text="", data=data) if data:
            return  # it is for CAD alone
        case Text(text, (x, y), height, align, degrees, layer):
            width = text_width(text, height)
            back = {"left": 0.0, "centre": width / 2.0, "right": width}[align]
            cos, sin = cos_sin(degrees)
            spot = x / scale - back * cos, y / scale - back * sin
            yield Label(text, spot, height, degrees, layer or TEXT)
        case Dimension():
            yield from _dimension(item, scale, style)
        case Hatch():
            yield from _hatch(item, scale)
        case Fill(loop, grey):
            yield Area(tuple((x / scale, y / scale) for x, y in loop), grey)
        case Picture(data, (x, y), width, height):
            yield Image(data, (x / scale, y / scale), width / scale, height / scale)


def _stroke(
    vertices: tuple[tuple[float, float, float], ...], layer: Layer, closed: bool, scale: float
) -> Stroke:
    width, dashes = layer.weight / 100.0, dashes_of(layer)
    if not any(bulge for _, _, bulge in vertices):
        straight = tuple((x / scale, y / scale) for x, y, _ in vertices)
        return Stroke(straight, width, layer, dashes, closed)
    points: list[Point] = []
    ahead = (*vertices[1:], vertices[0]) if closed else vertices[1:]
    for (x0, y0, bulge), (x1, y1, _) in zip(vertices, ahead, strict=False):
        start = x0 / scale, y0 / scale
        if bulge:
            points.extend(Edge(start, (x1 / scale, y1 / scale), bulge).points(CURVE))
        else:
            points.append(start)
    if not closed:
        x, y, _ = vertices[-1]
        points.append((x / scale, y / scale))
    return Stroke(tuple(points), width, layer, dashes, closed)


def dashes_of(layer: Layer) -> tuple[float, ...]:
    """Return the pattern of a layer's lines on paper, mm."""
    if layer.linetype == "CONTINUOUS":
        return ()
    return tuple(abs(part) for part in LINETYPES[layer.linetype][1])


def _dimension(item: Dimension, scale: float, style: Style) -> Iterator[Mark]:
    cos, sin = cos_sin(item.degrees)

    def turned(point: Point) -> Point:
        x, y = point[0] / scale, point[1] / scale
        return x * cos + y * sin, -x * sin + y * cos

    def back(point: Point) -> Point:
        x, y = point
        return x * cos - y * sin, x * sin + y * cos

    (ax, ay), (bx, by), (_, line) = turned(item.start), turned(item.end), turned(item.base)
    width = DIMENSIONS.weight / 100.0

    def stroke(*points: Point) -> Stroke:
        return Stroke(tuple(back(point) for point in points), width, DIMENSIONS)

    for x, y in ((ax, ay), (bx, by)):
        way = 1.0 if line >= y else -1.0
        if abs(line - y) > style.offset:
            yield stroke((x, y + way * style.offset), (x, line + way * style.overrun))
        half = style.tick / 2.0
        yield stroke((x - half, line - half), (x + half, line + half))
    yield stroke((ax, line), (bx, line))
    text = item.sign + (item.figure or style.figures.text(abs(bx - ax) * scale))
    length = text_width(text, style.text)
    if item.text_at is None:
        middle, low = (ax + bx) / 2.0, line + style.gap
    else:
        middle, low = turned(item.text_at)
        low -= style.text / 2.0
    yield Label(text, back((middle - length / 2.0, low)), style.text, item.degrees, DIMENSIONS)


def _hatch(item: Hatch, scale: float) -> Iterator[Mark]:
    import shapely

    area = shapely.Polygon([(x / scale, y / scale) for x, y in item.loop])
    x0, y0, x1, y1 = area.bounds
    middle, reach = ((x0 + x1) / 2.0, (y0 + y1) / 2.0), math.hypot(x1 - x0, y1 - y0) / 2.0 + 1.0
    layer = item.pattern.layer
    lines = []
    for degrees, spacing, dashes in item.pattern.families:
        cos, sin = cos_sin(degrees)
        offset = -middle[0] * sin + middle[1] * cos
        along = middle[0] * cos + middle[1] * sin
        for number in range(
            math.ceil((offset - reach) / spacing), math.floor((offset + reach) / spacing) + 1
        ):
            v = number * spacing
            for a, b in _runs(along - reach, along + reach, dashes, number):
                lines.append(
                    [(a * cos - v * sin, a * sin + v * cos), (b * cos - v * sin, b * sin + v * cos)]
                )
    for part in shapely.get_parts(area.intersection(shapely.MultiLineString(lines))):
        if isinstance(part, shapely.LineString) and not part.is_empty:
            points = tuple((float(x), float(y)) for x, y in part.coords)
            yield Stroke(points, layer.weight / 100.0, layer)


def _runs(
    start: float, end: float, dashes: tuple[float, ...], number: int
) -> Iterator[tuple[float, float]]:
    """Yield the drawn parts of a hatch line; each line begins its dashes elsewhere."""
    if not dashes:
        yield start, end
        return
    line, gap = dashes
    period = line + gap
    at = math.floor(start / period) * period + (number * 0.381966 % 1.0) * period
    while at < end:
        if at + line > start:
            yield max(at, start), min(at + line, end)
        at += period
