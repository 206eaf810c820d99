"""Plans of a fence in site coordinates: x east, y north."""

from __future__ import annotations

import math
from collections import Counter

from palewright.export.drawing.draft import style as layers
from palewright.export.drawing.draft.figures import Figures
from palewright.export.drawing.draft.scales import Scale
from palewright.export.drawing.draft.style import CUT_WALL, Style
from palewright.export.drawing.draft.view import (
    ArcLine,
    Block,
    Dimension,
    Fill,
    Hatch,
    Insert,
    Item,
    Line,
    Text,
    View,
)
from palewright.model.basis.text import plain
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.frames import Frame, Point, cos_sin
from palewright.model.geometry.shapes import Bar, Plate, Post
from palewright.model.layout.run_layout import RunLayout, stations_of_leg
from palewright.model.parts.members import LEDGE, PALE, POST, RAIL, WALL_PLATE, Member
from palewright.model.resolved.words import PostRole
from palewright.model.site.site_line import Leg

from .dimensions import chain
from .front import Front, fronts_of
from .placing import Placer, around
from .titles import NOTE_BELOW

LINE_PAST = 4.0
"""How far the fence line runs past its ends, mm on paper."""

NEARER = 1.2
"""What a step farther out weighs against lines that meet."""

NEAREST = 12.0
"""Diagonals shorter than this on paper are left out, mm."""


def setting_out_plan(fence: FenceModel, scale: Scale, style: Style, figures: Figures) -> View:
    """Return the plan to set posts out from.

    Posts with labels and running chainage where there is room, the length of every leg, where
    gates stand in it, the angle at every corner and a diagonal across it to check it by.
    """
    n = scale.n
    items: list[Item] = []
    blocks: dict[str, Block] = {}
    for member in fence.members:
        _member(member, items, blocks)
    placer = Placer(n, style, figures)
    for layout in fence.layouts:
        _line(layout, items, placer)
        _swings(layout, items, placer)
        for leg in layout.legs:
            band = ((0.0, -layout.run.pale_front), (leg.length, -layout.run.pale_front),
                    (leg.length, layout.run.face), (0.0, layout.run.face))  # fmt: skip
            placer.keep_clear([leg.frame.point((x, y, 0.0))[:2] for x, y in band])
        _lengths(layout, items, placer, style, gates=True)
    for fixed in (True, False):
        for layout in fence.layouts:
            _labels(layout, items, placer, figures, fixed=fixed)
    checks = [pair for layout in fence.layouts for pair in _diagonals(layout, items, placer)]
    for a, b in checks:  # once all texts have their places, so that lines stop at them
        for part in placer.gaps_in(a, b):
            items.append(Line.through(part, layers.CHECK))
    _north(items, placer, style)
    x, y = _below(items, n, style)
    items += _about_origin(fence, (x, y - NOTE_BELOW * style.text * n), style, figures)
    return View(
        "Setting-out plan", n, tuple(items), tuple(blocks.values()),
        titled_at=(x, y), scale_text=scale.text,
    )  # fmt: skip


def _about_origin(fence: FenceModel, at: Point, style: Style, figures: Figures) -> list[Item]:
    """Say which site coordinates the drawing's own start from, where they are not the same."""
    origin = fence.job.origin
    if origin == (0.0, 0.0, 0.0):
        return []
    east, north, level = (figures.site(value, origin) for value in origin)
    grid = f" of {plain(fence.job.crs)}" if fence.job.crs else ""
    unit = " m" if figures.in_metres(origin) else ""
    words = f"drawn about {east} east, {north} north, level {level}{unit}{grid}; the table has site"
    return [Text(f"{words} coordinates", at, style.text)]


def block_plan(fence: FenceModel, scale: Scale, style: Style, figures: Figures) -> View:
    """Return the plan for a planning enquiry: line, lengths, gates and their swing, north."""
    n = scale.n
    items: list[Item] = []
    placer = Placer(n, style, figures)
    for layout in fence.layouts:
        for stretch in layout.stretches:
            frame = stretch.leg.frame
            ends = [frame.point((x, 0.0, 0.0))[:2] for x in (stretch.first.x, stretch.last.x)]
            items.append(Line.through((ends[0], ends[1]), layers.BOUNDARY))
        _swings(layout, items, placer)
        _lengths(layout, items, placer, style, gates=False)
        for opening in layout.openings:
            leg = opening.leg
            middle = leg.frame.point(((opening.start + opening.end) / 2.0, 0.0, 0.0))[:2]
            back = leg.frame.y[:2]
            sides = ((back[0], back[1]), (-back[0], -back[1]))
            far = opening.spec.opening / n + 2.0
            choices = [around("gate", middle, way, d, placer) for d in (2.0, far) for way in sides]
            items.append(placer.place(choices) or _with_leader("gate", middle, items, placer))
    _north(items, placer, style)
    return View(
        "Block plan, proposed fence", n, tuple(items), titled_at=_below(items, n, style),
        scale_text=scale.text,
    )  # fmt: skip


def _member(member: Member, items: list[Item], blocks: dict[str, Block]) -> None:
    match member.shape:
        case Plate() as plate if member.kind == PALE:
            name = f"{member.mark}-PLAN"
            if name not in blocks:
                line = Line.through(plate.plan(), layers.PALES, closed=True)
                blocks[name] = Block(name, (line,))
            x, y, _ = member.frame.origin
            turn = math.degrees(math.atan2(member.frame.x[1], member.frame.x[0]))
            items.append(Insert(name, (x, y), layers.PALES, turn))
        case Bar() as bar if member.kind in (RAIL, LEDGE):
            items.append(_placed(bar_plan(bar), member.frame, layers.RAILS))
        case Post(width, depth) if member.kind in (POST, WALL_PLATE):
            w, d = width / 2.0, depth / 2.0
            loop = [(-w, -d), (w, -d), (w, d), (-w, d)]
            items.append(_placed(loop, member.frame, layers.POSTS))
        case _:
            pass  # braces, caps, concrete and metal are not shown on plans of this scale


def bar_plan(bar: Bar) -> list[Point]:
    """Return the outline of a bar seen from above, in its own x and y."""
    ys = [y for y, _ in bar.section]
    near, far = min(ys), max(ys)
    return [
        (bar.end_x(bar.left, 0.0, (near, 0.0)), near),
        (bar.end_x(bar.right, bar.length, (near, 0.0)), near),
        (bar.end_x(bar.right, bar.length, (far, 0.0)), far),
        (bar.end_x(bar.left, 0.0, (far, 0.0)), far),
    ]


def _placed(loop: list[Point], frame: Frame, layer: layers.Layer) -> Line:
    points = tuple(frame.point((x, y, 0.0))[:2] for x, y in loop)
    return Line.through(points, layer, closed=True)


def _line(layout: RunLayout, items: list[Item], placer: Placer) -> None:
    n = placer.scale
    points = [(x, y) for x, y, _ in layout.run.line.vertices]
    if layout.run.line.closed:
        items.append(Line.through(tuple(points), layers.AXIS, closed=True))
        return
    past = LINE_PAST * n
    first, last = layout.legs[0], layout.legs[-1]
    for walled, leg, x, way in (
        (layout.run.walls.at_start, first, 0.0, -1.0),
        (layout.run.walls.at_end, last, last.length, 1.0),
    ):
        if walled:
            _wall(leg, x, way, items, placer)
    points[0] = first.frame.point((0.0 if layout.run.walls.at_start else -past, 0.0, 0.0))[:2]
    far = last.length + (0.0 if layout.run.walls.at_end else past)
    points[-1] = last.frame.point((far, 0.0, 0.0))[:2]
    items.append(Line.through(tuple(points), layers.AXIS))


def _wall(leg: Leg, x: float, way: float, items: list[Item], placer: Placer) -> None:
    """Draw a stretch of the wall at the end of a line."""
    n = placer.scale
    frame, half, thick = leg.frame, 6.0 * n, way * 3.0 * n
    face = tuple(frame.point((x, y, 0.0))[:2] for y in (-half, half))
    back = tuple(frame.point((x + thick, y, 0.0))[:2] for y in (half, -half))
    items.append(Line.through(face, layers.WALL))
    items.append(Hatch((*face, *back), CUT_WALL))
    placer.keep_clear([*face, *back])


def _labels(
    layout: RunLayout, items: list[Item], placer: Placer, figures: Figures, *, fixed: bool
) -> None:
    """Label posts: corners outside with their angle, the others behind with their chainage.

    Where a label has no room it loses its chainage, then moves away a little; the label of a
    line post that still has none is left out (its neighbours and the table tell it).

    fixed : the ends, corners and gate posts, which must have theirs; else the line posts.
    """
    backs = _backs(layout)
    turns = {
        stations_of_leg(layout, number)[0][1].label: leg.turn_start
        for number, leg in enumerate(layout.legs)
    }
    for post in layout.posts:
        if (post.kind != PostRole.LINE) != fixed:
            continue
        back = backs[post.label]
        spot = post.frame.origin[:2]
        clear = max(post.plan.depth, post.plan.width) / 2.0 / placer.scale + 1.2
        if post.kind == PostRole.CORNER:
            out = (-back[0], -back[1])
            turn = turns.get(post.label, 0.0)
            words = f"{post.label}  {180.0 - abs(turn):.1f}°" if turn else post.label
            far = layout.run.pale_front / placer.scale + 1.5
            choices = [
                around(words, spot, way, far + more, placer)
                for more in (0.0, 2.0, 4.0, 7.0, 10.0)
                for way in (out, _turned(out, 35.0), _turned(out, -35.0), back)
            ]
        else:
            full = f"{post.label}  {figures.text(post.chainage)}"
            near = [around(full, spot, back, clear + more, placer) for more in (0.0, 2.0)]
            bare = [
                around(post.label, spot, way, clear + more, placer)
                for more in (0.0, 2.0, 4.0, *((7.0, 10.0) if fixed else ()))
                for way in (back, _turned(back, 40.0), _turned(back, -40.0))
            ]
            choices = near + bare
        text = placer.place(choices)
        if text is None and fixed:
            text = _with_leader(choices[-1].text, spot, items, placer)
        if text is not None:
            items.append(text)


def _with_leader(words: str, spot: Point, items: list[Item], placer: Placer) -> Text:
    """Return a label farther off where there is room, with a line to what it names."""
    ways = [(math.cos(math.radians(a)), math.sin(math.radians(a))) for a in range(0, 360, 20)]
    choices = [
        around(words, spot, way, away, placer)
        for away in (8.0, 12.0, 17.0, 23.0, 30.0)
        for way in ways
    ]
    text = placer.place(choices, must=True)
    assert text is not None
    x, y = text.at
    middle = (x, y + placer.style.text / 2.0 * placer.scale)
    for part in placer.gaps_in(spot, middle):
        items.append(Line.through(part, layers.METAL))
    return text


def _backs(layout: RunLayout) -> dict[str, Point]:
    """Return the way behind each post: at corners half-way between the backs of both legs."""
    sums: dict[str, list[float]] = {}
    for number, leg in enumerate(layout.legs):
        for _, post in stations_of_leg(layout, number):
            total = sums.setdefault(post.label, [0.0, 0.0])
            total[0] += leg.frame.y[0]
            total[1] += leg.frame.y[1]
    return {label: (x / math.hypot(x, y), y / math.hypot(x, y)) for label, (x, y) in sums.items()}


def _turned(way: Point, degrees: float) -> Point:
    cos, sin = cos_sin(degrees)
    return way[0] * cos - way[1] * sin, way[0] * sin + way[1] * cos


def _lengths(
    layout: RunLayout, items: list[Item], placer: Placer, style: Style, *, gates: bool
) -> None:
    """Dimension each leg from corner to corner, and the middles of its gates.

    On the front where there is room, else on the back, else farther out.
    """
    n = placer.scale
    for whole in fronts_of(layout):
        if len(whole.legs) > 1:
            _curve_length(layout, whole, items, placer)
    for number, leg in enumerate(layout.legs):
        if leg.bent_start or leg.bent_end:
            continue
        stops = [0.0, leg.length]
        inward = outward = 0.0
        for opening in layout.openings:
            if opening.leg_number == number:
                stops.append((opening.start + opening.end) / 2.0)
                widest = max(leaf.width for leaf in opening.leaves)
                if opening.spec.swing == "out":  # past the arc of the leaves
                    outward = widest + style.offset * n
                else:
                    inward = widest + style.offset * n
        stops.sort()
        front, back = -layout.run.pale_front, layout.run.face
        choices = []
        for step in range(6):
            more = (style.first_tier + 1.7 * style.tier * step) * n
            choices.append(
                _tiers(leg, stops, front, front - max(more, outward), -1.0, placer, gates)
            )
            choices.append(_tiers(leg, stops, back, back + max(more, inward), 1.0, placer, gates))
        # a near line that meets another's end is better than one far off
        cost = [placer.clashes(made) + NEARER * (place // 2) for place, made in enumerate(choices)]
        chosen = choices[cost.index(min(cost))]
        for item in chosen:
            items.append(item)
            placer.take(item)


def _curve_length(layout: RunLayout, front: Front, items: list[Item], placer: Placer) -> None:
    """Say how many chords a curve has and how long they are, beside its middle."""
    chords = Counter(round(layout.legs[number].length, 1) for number in front.legs)
    words = " + ".join(
        f"{count} x {placer.figures.text(length)}" for length, count in chords.items()
    )
    leg = layout.legs[front.legs[len(front.legs) // 2]]
    spot = leg.frame.point((leg.length / 2.0, 0.0, 0.0))[:2]
    front_way = (-leg.frame.y[0], -leg.frame.y[1])
    choices = [
        around(f"chords {words}", spot, way, away, placer)
        for away in (4.0, 7.0, 11.0, 16.0)
        for way in (front_way, leg.frame.y[:2])
    ]
    items.append(placer.place(choices) or _with_leader(f"chords {words}", spot, items, placer))


def _tiers(
    leg: Leg, stops: list[float], face: float, tier: float, way: float, placer: Placer, gates: bool
) -> list[Dimension]:
    """Return the dimension of a leg, and before it a line with its gates if it has any."""
    made: list[Dimension] = []
    if len(stops) > 2 and gates:
        one = _along(leg, (stops[0], stops[1]), face, tier)
        spots = [leg.frame.point((x, face, 0.0))[:2] for x in stops]
        made = chain(spots, one.base, one.degrees, placer.scale, placer.style, placer.figures)
        tier += way * placer.style.tier * placer.scale
    return [*made, _along(leg, (0.0, leg.length), face, tier)]


def _along(leg: Leg, span: Point, face: float, tier: float) -> Dimension:
    frame = leg.frame
    degrees = upright(math.degrees(math.atan2(frame.x[1], frame.x[0])))
    start, end, base = (
        frame.point((x, y, 0.0))[:2] for x, y in ((span[0], face), (span[1], face), (0.0, tier))
    )
    return Dimension(start, end, base, degrees)


def _diagonals(layout: RunLayout, items: list[Item], placer: Placer) -> list[tuple[Point, Point]]:
    """Measure across each corner, from the fixed post before it to the one after.

    Adds the figures; returns the lines they stand on.

    Measured from post middle to post middle, it proves the corner's angle on site.
    """
    posts = [stations_of_leg(layout, number) for number in range(len(layout.legs))]
    found = []
    for number, leg in enumerate(layout.legs):
        at_end = number == 0 and not layout.run.line.closed
        if abs(leg.turn_start) < 1e-6 or at_end or leg.bent_start:
            continue
        before = posts[number - 1][0][1]
        after = posts[number][-1][1]
        a, b = before.frame.origin[:2], after.frame.origin[:2]
        if before is after or math.dist(a, b) / placer.scale < NEAREST:
            continue
        degrees = upright(math.degrees(math.atan2(b[1] - a[1], b[0] - a[0])))
        cos, sin = cos_sin(degrees)
        text = placer.figures.text(math.dist(a, b))
        up = placer.style.gap * placer.scale
        choices = []
        for share in (0.5, 0.35, 0.65, 0.25, 0.75):
            x, y = a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share
            spot = (x - up * sin, y + up * cos)
            choices.append(Text(text, spot, placer.style.text, "centre", degrees))
        placed = placer.place(choices)
        if placed is not None:
            items.append(placed)
            found.append((a, b))
    return found


def _swings(layout: RunLayout, items: list[Item], placer: Placer) -> None:
    """Draw each leaf open at a right angle, and the arc it swings through."""
    for opening in layout.openings:
        frame = opening.leg.frame
        out = opening.spec.swing == "out"
        y = -layout.run.pale_front if out else -layout.run.pale_back + layout.run.gates.ledge[1]
        for leaf in opening.leaves:
            hinge = leaf.x0 if leaf.hinge_left else leaf.x1
            free = leaf.x1 if leaf.hinge_left else leaf.x0
            centre = frame.point((hinge, y, 0.0))
            shut = frame.point((free, y, 0.0))
            side = -leaf.width if out else leaf.width
            wide = frame.point((hinge, y + side, 0.0))
            made: list[Item] = [Line.through((centre[:2], wide[:2]), layers.SYMBOLS)]
            turns = [
                math.degrees(math.atan2(spot[1] - centre[1], spot[0] - centre[0]))
                for spot in (shut, wide)
            ]
            if (leaf.hinge_left and out) or (not leaf.hinge_left and not out):
                turns.reverse()
            made.append(ArcLine(centre[:2], leaf.width, turns[0], turns[1], layers.SYMBOLS))
            for item in made:
                items.append(item)
                placer.take(item)


def _north(items: list[Item], placer: Placer, style: Style) -> None:
    """Add a north point above the upper right corner of what is drawn."""
    n = placer.scale
    points = [point for item in items for point in reach(item)]
    x = max(px for px, _ in points) + 6.0 * n
    y = max(py for _, py in points) - 6.0 * n
    tip, foot, half = (x, y + 9.0 * n), (x, y - 9.0 * n), 2.5 * n
    items.append(Line.through((foot, tip), layers.RULE))
    items.append(Fill(((x - half, y + 3.0 * n), (x, y + 3.0 * n), tip)))
    head = ((x - half, y + 3.0 * n), (x + half, y + 3.0 * n), tip)
    items.append(Line.through(head, layers.RULE, closed=True))
    items.append(Text("N", (x, tip[1] + 1.5 * n), style.subtitle, "centre"))


def _below(items: list[Item], n: float, style: Style) -> Point:
    """Return where the title starts: under all that is drawn."""
    points = [point for item in items for point in reach(item)]
    return (
        min(x for x, _ in points),
        min(y for _, y in points) - (style.overrun + 2.0 * style.subtitle) * n,
    )


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
