"""What was measured on a site as a sketch: lengths along their lines, feet of offsets, angles."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from palewright.export.drawing.draft import style as layers
from palewright.export.drawing.draft.drafting import Draft
from palewright.export.drawing.draft.view import ArcLine, Fill, Item, Line, Text
from palewright.model.geometry.frames import Point, cos_sin
from palewright.model.survey.sketch_marks import SketchMark

from .placing import Placer, around

WAYS = (35, 145, -35, -145, 90, -90, 0, 180)
"""Where a label may stand round its point, degrees."""

ALONG = (0.5, 0.38, 0.62, 0.28, 0.72, 0.2, 0.8)
"""Where along its line a figure may stand."""

NEAREST = 2 * len(ALONG)
"""Places for a figure that are next to what it is of."""

LIFT, CROSS, SQUARE, RADIUS = 1.2, 1.0, 2.2, 7.0
"""From a line to its figure, half a point's cross, side of a right-angle mark and radius of an
angle's arc, mm on paper."""

MOST_TAKEN, MOST_CROWDED = 600, 60
"""Texts and firm lines on a sketch, and figures without room, from which on no more are tried."""

RIGHT = 0.05
"""An angle this near to a right one gets the mark of one, degrees."""

NEARLY = 2.0
"""And one that was measured as such, adjusted by no more than this, degrees."""

DEGREE = "\N{DEGREE SIGN}"

SHORT = 1e-6
"""Lines shorter than this are not drawn, mm."""


class SketchPen:
    """Draws marks one after the other, figures where there is room.

    items : what is drawn; crowded : figures that found no room, with the names of what they are of.
    """

    def __init__(self, draft: Draft, placer: Placer) -> None:
        self.draft = draft
        self.placer = placer
        self.items: list[Item] = []
        self.crowded: list[str] = []

    def draw(self, item: Item, *, firm: bool = False) -> None:
        """Draw a line and keep its paper clear of figures; firm : also where there is no room."""
        self.items.append(item)
        self.placer.take(item, firm=firm)

    def write(self, choices: list[Text], name: str) -> None:
        """Write a figure at the first place that is clear."""
        full = len(self.placer.texts.shapes) > MOST_TAKEN or len(self.crowded) > MOST_CROWDED
        text = None if full else self.placer.place(choices)
        if text is None:
            if not full:  # better across thin lines than far away
                near = self.placer.place_over_lines(choices[:NEAREST])
                text = near or self.placer.place_over_lines(choices)
            if text is None:
                said = choices[0].text
                self.crowded.append(said if name in said else f"{name}: {said}")
                return
            self.items.append(Fill(_paper_under(text, self.draft), 1.0))
        self.items.append(text)


def sketch_lines(marks: Sequence[SketchMark], pen: SketchPen) -> None:
    """Draw the lines of all marks; of two along the same line one, the fullest."""
    drawn: set[tuple[Point, ...]] = set()
    full = ("length", "tie", "offset")
    for mark in sorted(marks, key=lambda mark: (not mark.doubt, mark.kind not in full)):
        for item in _lines(mark, pen.draft):
            ends = tuple(sorted(v[:2] for v in item.vertices)) if isinstance(item, Line) else ()
            if ends and ends in drawn:
                continue
            drawn.add(ends)
            pen.draw(item, firm=mark.kind == "length")


def sketch_figures(marks: Sequence[SketchMark], pen: SketchPen) -> None:
    """Write the figures of all marks; those that are probably wrong first, then what is built."""
    order = ("length", "offset", "chainage", "tie", "turn", "angle", "bearing", "fall")
    for mark in sorted(marks, key=lambda mark: (not mark.doubt, order.index(mark.kind))):
        said = f"{mark.said}  {mark.doubt.upper()}" if mark.doubt else mark.said
        match mark.kind:
            case "angle" | "turn":
                choices = _at_corner(said, mark, pen.draft)
            case "chainage":
                choices = _round(said, mark.at[1], pen.draft)
            case _:
                (ax, ay), (bx, by) = mark.at[:2]
                choices = _beside(said, mark.at[0], mark.at[1], pen.draft)
                # farther off it says what it is of
                named = said if mark.name in said else f"{mark.name}: {said}"
                choices += _round(named, ((ax + bx) / 2.0, (ay + by) / 2.0), pen.draft)
        pen.write(choices, mark.name)


def _lines(mark: SketchMark, draft: Draft) -> Iterator[Item]:
    """Yield the lines of one mark, in mm at full size."""
    layer = layers.MATCH if mark.doubt else layers.DIMENSIONS
    match mark.kind:
        case "length":
            yield Line.through(mark.at, layers.MATCH if mark.doubt else layers.PALES)
        case "tie":
            yield Line.through(mark.at, layer)
        case "fall" | "bearing":
            yield Line.through(mark.at, layers.MATCH if mark.doubt else layers.CHECK)
        case "chainage":
            yield from _tick(mark.at[1], mark.at[0], draft)
        case "offset":
            foot, point, a, b = mark.at
            yield Line.through((foot, point), layer)
            near, far = sorted((a, b), key=lambda end: math.dist(end, foot))
            reach = math.dist(a, b)
            if max(math.dist(foot, a), math.dist(foot, b)) > reach + SHORT:
                yield Line.through((near, foot), layers.CHECK)
            yield Line.through((a, b), layers.CHECK)
            toward = far if math.dist(far, foot) > SHORT else near
            yield from _square(foot, toward, point, draft)
        case "angle" | "turn":
            yield from _arc(mark, draft)


def _paper_under(text: Text, draft: Draft) -> tuple[Point, ...]:
    """Return the area that a centred text covers, with a little round it."""
    half, low, high = draft.width(text.text) / 2.0 + draft.full(0.4), -0.8, text.height + 0.5
    cos, sin = cos_sin(text.degrees)
    return tuple(
        (text.at[0] + x * cos - y * sin, text.at[1] + x * sin + y * cos)
        for x, y in (
            (-half, draft.full(low)),
            (half, draft.full(low)),
            (half, draft.full(high)),
            (-half, draft.full(high)),
        )
    )


def _tick(at: Point, along: Point, draft: Draft) -> Iterator[Item]:
    """Yield a short stroke across a line that runs to a place."""
    way = _way(along, at)
    if way is not None:
        dx, dy = -way[1] * draft.full(CROSS), way[0] * draft.full(CROSS)
        yield Line.through(((at[0] - dx, at[1] - dy), (at[0] + dx, at[1] + dy)), layers.METAL)


def _square(corner: Point, a: Point, b: Point, draft: Draft) -> Iterator[Item]:
    """Yield the mark of a right angle."""
    first, second = _way(corner, a), _way(corner, b)
    if first is None or second is None:
        return
    size = draft.full(SQUARE)
    p = corner[0] + first[0] * size, corner[1] + first[1] * size
    q = p[0] + second[0] * size, p[1] + second[1] * size
    r = corner[0] + second[0] * size, corner[1] + second[1] * size
    yield Line.through((p, q, r), layers.METAL)


def _arc(mark: SketchMark, draft: Draft) -> Iterator[Item]:
    """Yield the arc of an angle, or the mark of a right one."""
    at, back, fore = mark.at
    first, second = _way(at, back), _way(at, fore)
    if first is None or second is None:
        return
    square = f"90{DEGREE}" in mark.said
    start, end = (math.degrees(math.atan2(y, x)) for x, y in (first, second))
    swept = (start - end) % 360.0  # clockwise from back to fore
    if min(abs(swept - 90.0), abs(swept - 270.0)) < (NEARLY if square else RIGHT):
        yield from _square(at, back, fore, draft)
    elif mark.kind == "angle":
        yield ArcLine(at, draft.full(RADIUS), end, end + swept, layers.METAL)
    elif abs(swept - 180.0) > RIGHT:  # a turn is from straight on
        reach = draft.full(RADIUS + 2.0)
        on = at[0] - first[0] * reach, at[1] - first[1] * reach
        yield Line.through((at, on), layers.CHECK)
        start += 180.0
        turned = math.remainder(end - start, 360.0)
        low, high = (start, start + turned) if turned > 0.0 else (start + turned, start)
        yield ArcLine(at, draft.full(RADIUS), low, high, layers.METAL)
    # a sight need be no line of another mark
    yield Line.through((at, fore), layers.CHECK)
    yield Line.through((at, back), layers.CHECK)


def _way(a: Point, b: Point) -> Point | None:
    length = math.dist(a, b)
    return ((b[0] - a[0]) / length, (b[1] - a[1]) / length) if length > SHORT else None


def _beside(said: str, a: Point, b: Point, draft: Draft) -> list[Text]:
    """Return places for a figure along a line, on both sides, to be read from below or right."""
    way = _way(a, b)
    if way is None:
        return _round(said, a, draft)
    degrees = math.degrees(math.atan2(way[1], way[0]))
    if not -90.0 < round(degrees, 6) <= 90.0:
        degrees = degrees - 180.0 if degrees > 0.0 else degrees + 180.0
    up = -math.sin(math.radians(degrees)), math.cos(math.radians(degrees))
    choices = []
    for extra in (0.0, 3.8, 7.6, 11.4):
        for share in ALONG:
            x, y = a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share
            for lift in (LIFT + extra, -LIFT - extra - draft.text):
                rise = draft.full(lift)
                at = x + up[0] * rise, y + up[1] * rise
                choices.append(Text(said, at, draft.text, "centre", degrees))
    return choices


def _round(said: str, at: Point, draft: Draft) -> list[Text]:
    """Return places for a figure round a point, the nearest first."""
    ways = [(math.cos(math.radians(a)), math.sin(math.radians(a))) for a in WAYS]
    return [around(said, at, way, away, draft) for away in (1.2, 3.5, 6.5, 10.0) for way in ways]


def _at_corner(said: str, mark: SketchMark, draft: Draft) -> list[Text]:
    """Return places for an angle's figure: within the angle first, then round the corner."""
    at, back, fore = mark.at
    first, second = _way(at, back), _way(at, fore)
    if first is None or second is None:
        return _round(said, at, draft)
    start, end = (math.atan2(y, x) for x, y in (first, second))
    swept = (start - end) % math.tau
    square = f"90{DEGREE}" in said
    if mark.kind == "turn" and square and swept > math.pi:
        start, swept = end, math.tau - swept
    elif mark.kind == "turn" and not square:  # between straight on and the leg
        start += math.pi
        swept = -math.remainder(end - start, math.tau)
    middle = start - swept / 2.0
    ways = [(math.cos(middle + turn), math.sin(middle + turn)) for turn in (0.0, 0.4, -0.4)]
    inner = [
        around(said, at, way, away, draft) for away in (RADIUS + 1.0, RADIUS + 4.0) for way in ways
    ]
    near = [around(said, at, way, SQUARE + 1.5, draft) for way in ways[:1]]
    return [*near, *inner, *_round(said, at, draft)]
