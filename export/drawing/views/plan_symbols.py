"""What plans show beside the members: the line, walls, open leaves, north; how far all reaches."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from palewright.export.drawing.draft import style as layers
from palewright.export.drawing.draft.drafting import Draft
from palewright.export.drawing.draft.paper import Label, bounds, on_paper
from palewright.export.drawing.draft.style import CUT_WALL
from palewright.export.drawing.draft.view import (
    ArcLine,
    Dimension,
    Fill,
    Hatch,
    Insert,
    Item,
    Line,
    Text,
    View,
)
from palewright.model.geometry.frames import Frame, Point, cos_sin
from palewright.model.layout.leaves import Leaf
from palewright.model.layout.run_layout import Opening, RunLayout
from palewright.model.layout.slides import SlidWay, slid_way
from palewright.model.resolved.zones import Break, leg_at
from palewright.model.site.site_line import Leg

from .placing import Placer, around

LINE_PAST = 4.0
"""How far the fence line runs past its ends, mm on paper."""


def fence_line(layout: RunLayout, placer: Placer) -> Iterator[Item]:
    """Yield the line of a run, and the walls that it ends at."""
    run, n = layout.run, placer.draft.n
    if run.given:
        yield Line.through(run.given, layers.PARCEL, closed=run.line.closed)
    points = [(x, y) for x, y, _ in run.line.vertices]
    if run.line.closed:
        yield Line.through(tuple(points), layers.AXIS, closed=True)
        return
    past = LINE_PAST * n
    first, last = layout.legs[0], layout.legs[-1]
    yield from masonry(layout, (-math.inf, math.inf), placer)
    points[0] = first.frame.point((0.0 if run.walls.at_start else -past, 0.0, 0.0))[:2]
    far = last.length + (0.0 if run.walls.at_end else past)
    points[-1] = last.frame.point((far, 0.0, 0.0))[:2]
    for leg, end, beyond in ((first, 0.0, points[0]), (last, last.length, points[-1])):
        ends = leg.frame.point((end, 0.0, 0.0))[:2], beyond
        if math.dist(*ends) > 1.0:
            placer.take(Line.through(ends, layers.AXIS))
    yield Line.through(tuple(points), layers.AXIS)


def masonry(layout: RunLayout, span: tuple[float, float], placer: Placer) -> Iterator[Item]:
    """Yield the walls that a run meets at distances along it (mm) from span[0] to span[1]."""
    run, legs = layout.run, layout.legs
    if run.line.closed:
        return
    for gap in run.breaks:
        if gap.walls and span[0] <= gap.start <= span[1]:
            yield from _pier(layout, gap, placer)
    if span[0] <= 0.0:
        yield from _at_end(layout, 0, placer)
    if span[1] >= legs[-1].before + legs[-1].length - 1e-6:
        yield from _at_end(layout, 1, placer)


def _at_end(layout: RunLayout, at: int, placer: Placer) -> Iterator[Item]:
    """Yield the wall, the pier or the hedge at the start (0) or the end (1) of a line."""
    run, leg = layout.run, layout.legs[-at]
    x, way = (leg.length, 1.0) if at else (0.0, -1.0)
    pier = run.piers[at]
    if pier is not None:
        half = pier.across / 2.0
        ring = [(x, -half), (x + way * pier.along, -half), (x + way * pier.along, half), (x, half)]
        yield from _masonry(leg.frame, ring, placer)
    elif run.walled[at]:
        yield from _wall(leg, x, way, placer)
    if run.hedges[at]:
        yield from _hedge(leg, (x, way), (run.hedges[at], run.posts.end.width / 2.0), placer)


def _hedge(leg: Leg, end: Point, room: Point, placer: Placer) -> Iterator[Item]:
    """Yield the face of a hedge beyond the end of a line, in scallops, and what it keeps clear.

    end : x of the line's end, and which way it goes on; room : what is kept clear, and half of
    the end post, mm.
    """
    n, draft = placer.draft.n, placer.draft
    (x, way), away, size = end, sum(room), 3.0 * n
    face = []
    for bow in range(-3, 3):
        for step in range(7):
            turn = math.pi * step / 6.0
            y = (bow + 0.5) * size - size / 2.0 * math.cos(turn)
            beyond = away + 0.5 * size * (1.0 - math.sin(turn))
            face.append(leg.frame.point((x + way * beyond, y, 0.0))[:2])
    yield Line.through(tuple(face), layers.SITE)
    placer.keep_clear([*face, leg.frame.point((x + way * (away + size), 0.0, 0.0))[:2]])
    spot = leg.frame.point((x + way * (away + size), 0.0, 0.0))[:2]
    out = leg.frame.direction((way, 0.0, 0.0))[:2]
    words = f"hedge, {draft.figure(room[0])} clear"
    ways = ((out[0], out[1]), (-out[1], out[0]), (out[1], -out[0]))
    choices = [around(words, spot, way, far, draft) for far in (1.0, 4.0, 8.0) for way in ways]
    yield placer.place(choices) or choices[0]


def _pier(layout: RunLayout, gap: Break, placer: Placer) -> Iterator[Item]:
    """Yield the masonry between two faces that a run stops at, square, as only they are known."""
    number, start = leg_at(layout.legs, gap.start)
    frame = layout.legs[number].frame
    half = max(layout.run.walls.plate.depth, gap.end - gap.start) / 2.0
    ends = (start, start + gap.end - gap.start)
    ring = [(ends[0], -half), (ends[1], -half), (ends[1], half), (ends[0], half)]
    yield from _masonry(frame, ring, placer)


def _masonry(frame: Frame, ring: list[Point], placer: Placer) -> Iterator[Item]:
    """Yield masonry cut through in plan. ring : its corners in a leg's frame, mm."""
    loop = tuple(frame.point((x, y, 0.0))[:2] for x, y in ring)
    yield Line.through(loop, layers.WALL, closed=True)
    yield Hatch(loop, CUT_WALL)
    placer.keep_clear(list(loop))


def _wall(leg: Leg, x: float, way: float, placer: Placer) -> Iterator[Item]:
    """Yield a stretch of the wall at the end of a line."""
    n = placer.draft.n
    frame, half, thick = leg.frame, 6.0 * n, way * 3.0 * n
    face = tuple(frame.point((x, y, 0.0))[:2] for y in (-half, half))
    back = tuple(frame.point((x + thick, y, 0.0))[:2] for y in (half, -half))
    yield Line.through(face, layers.WALL)
    yield Hatch((*face, *back), CUT_WALL)
    placer.keep_clear([*face, *back])


def swings(layout: RunLayout, placer: Placer) -> Iterator[Item]:
    """Yield each leaf open at a right angle, and the arc it swings through."""
    for opening in layout.openings:
        yield from leaves_open(layout, opening, placer)


def leaves_open(layout: RunLayout, opening: Opening, placer: Placer) -> Iterator[Item]:
    """Yield the leaves of an opening, open at a right angle or as far as the spec says, and the
    arcs they swing through.
    """
    frame = opening.leg.frame
    out = opening.spec.swing == "out"
    for leaf in opening.leaves:
        way = slid_way(opening, leaf)
        if way is not None:
            for part in _slid_aside(opening, leaf, way, placer.draft.n):
                placer.take(part)
                yield part
            continue
        y = leaf.front if out else leaf.back + leaf.plan.ledge[1]
        hinge = leaf.x0 if leaf.hinge_left else leaf.x1
        free = leaf.x1 if leaf.hinge_left else leaf.x0
        centre = frame.point((hinge, y, 0.0))
        shut = frame.point((free, y, 0.0))
        side = -leaf.width if out else leaf.width
        cos, sin = cos_sin(leaf.plan.opens or 90.0)
        wide = frame.point((hinge + (free - hinge) * cos, y + side * sin, 0.0))
        turns = [
            math.degrees(math.atan2(spot[1] - centre[1], spot[0] - centre[0]))
            for spot in (shut, wide)
        ]
        if (leaf.hinge_left and out) or (not leaf.hinge_left and not out):
            turns.reverse()
        symbol: tuple[Item, ...] = (
            Line.through((centre[:2], wide[:2]), layers.SYMBOLS),
            ArcLine(centre[:2], leaf.width, turns[0], turns[1], layers.SYMBOLS),
        )
        for item in symbol:
            placer.take(item)
            yield item


ARROW = 2.5
"""Length of the head of an arrow along which a leaf slides, mm on paper."""


def _slid_aside(opening: Opening, leaf: Leaf, way: SlidWay, n: float) -> Iterator[Line]:
    """Yield a leaf where it stands open behind the fence, its track or its carriages, and the way
    it goes.
    """
    frame, deep = opening.leg.frame, leaf.back + leaf.plan.ledge[1]

    def line(*points: Point, closed: bool = False) -> Line:
        placed = tuple(frame.point((x, y, 0.0))[:2] for x, y in points)
        return Line.through(placed, layers.SYMBOLS, closed=closed)

    (x0, x1), (low, high) = way.opened, way.whole
    yield line((x0, leaf.front), (x1, leaf.front), (x1, deep), (x0, deep), closed=True)
    if not way.plan.cantilever:
        yield line((low, way.middle), (high, way.middle))
    tail, y = (opening.start + opening.end) / 2.0, deep + 1.2 * n
    tip = way.post + way.travel / 4.0
    head = tip - way.way * ARROW * n
    yield line((tail, y), (tip, y))
    yield line((head, y - 0.4 * ARROW * n), (tip, y), (head, y + 0.4 * ARROW * n))


def north(items: Sequence[Item], draft: Draft) -> Iterator[Item]:
    """Yield a north point above the upper right corner of what is drawn."""
    n = draft.n
    points = [point for item in items for point in reach(item)]
    y = max(py for _, py in points) - 6.0 * n
    x = max(px for px, _ in points)
    for item in items:  # words beside it reach past where they stand
        if isinstance(item, Text | Dimension):
            words = on_paper(View("", n, (item,)), draft.style)
            _, low, right, high = bounds(tuple(one for one in words if isinstance(one, Label)))
            if low < y / n + 15.0 and high > y / n - 10.0:
                x = max(x, right * n)
    x += 6.0 * n
    tip, foot, half = (x, y + 9.0 * n), (x, y - 9.0 * n), 2.5 * n
    yield Line.through((foot, tip), layers.RULE)
    yield Fill(((x - half, y + 3.0 * n), (x, y + 3.0 * n), tip))
    head = ((x - half, y + 3.0 * n), (x + half, y + 3.0 * n), tip)
    yield Line.through(head, layers.RULE, closed=True)
    yield Text("N", (x, tip[1] + 1.5 * n), draft.style.subtitle, "centre")


def below(items: Sequence[Item], draft: Draft) -> Point:
    """Return where the title starts: under all that is drawn."""
    points = [point for item in items for point in reach(item)]
    points += [end for item in items if isinstance(item, Text) for end in _text_ends(item, draft)]
    return (
        min(x for x, _ in points),
        min(y for _, y in points) - (draft.style.overrun + 2.0 * draft.style.subtitle) * draft.n,
    )


def _text_ends(text: Text, draft: Draft) -> Iterator[Point]:
    """Yield both ends of a text that is turned, mm at full size."""
    if text.degrees:
        cos, sin = cos_sin(text.degrees)
        before = {"left": 0.0, "centre": 0.5}.get(text.align, 1.0)
        for share in (-before, 1.0 - before):
            along = share * draft.width(text.text)
            yield text.at[0] + along * cos, text.at[1] + along * sin


def reach(item: Item) -> list[Point]:
    """Return points that mark how far an item reaches."""
    match item:
        case Line(vertices):
            return [(x, y) for x, y, _ in vertices]
        case ArcLine(centre=(x, y), radius=radius):
            return [(x - radius, y - radius), (x + radius, y + radius)]
        case Dimension(start, end, base, degrees):
            # the ends of the dimension line: the measured points moved across onto its base
            cos, sin = cos_sin(degrees)
            lift = -(base[0] - start[0]) * sin + (base[1] - start[1]) * cos
            return [(x - lift * sin, y + lift * cos) for x, y in (start, end)]
        case Insert(at=at) | Text(at=at):
            return [at]
        case _:
            return []


def upright(degrees: float) -> float:
    """Return a direction turned by half a turn where text along it would stand on its head.

    >>> upright(180.0), upright(-90.0), upright(45.0)
    (0.0, 90.0, 45.0)
    """
    turned = (degrees + 90.0) % 180.0 - 90.0
    return 90.0 if turned <= -90.0 + 1e-9 else turned
