"""The front elevation of a front of a fence, whole or in parts."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

from palewright.export.drawing.draft import style as layers
from palewright.export.drawing.draft.figures import Figures
from palewright.export.drawing.draft.lettering import text_width
from palewright.export.drawing.draft.scales import Scale
from palewright.export.drawing.draft.style import Style
from palewright.export.drawing.draft.view import Dimension, Item, Line, Text, View
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.frames import Point
from palewright.model.layout.heights import heights
from palewright.model.layout.placed_posts import PlacedPost
from palewright.model.resolved.words import PostRole

from .dimensions import beyond, chain
from .front import Front, members_near
from .members_shown import (
    FAR,
    Scene,
    Window,
    ground_line,
    show,
    wall,
)
from .titles import titled

GROUND_PAST = 18.0
"""How far the ground line runs past the fence, mm on paper."""

LEVEL_APART = 4.5
"""Levels nearer together than this on paper are left out, mm."""

Stations = tuple[tuple[float, PlacedPost], ...]


@dataclass(frozen=True)
class Part:
    """A part of a front from one post to another. first, last : numbers among its posts."""

    run: int
    front: Front
    first: int
    last: int

    @property
    def whole(self) -> bool:
        """Whether it is all of the front."""
        return self.first == 0 and self.last == len(self.front.stations) - 1

    @property
    def stations(self) -> Stations:
        """The posts of the part with their x."""
        return self.front.stations[self.first : self.last + 1]


def parts_of_front(run: int, front: Front, longest: float) -> list[Part]:
    """Return a front cut at posts into even parts, none over `longest` (mm) if bays allow."""
    xs = [x for x, _ in front.stations]
    count = max(1, math.ceil((xs[-1] - xs[0]) / longest))
    cuts = [0]
    for number in range(1, count):
        wanted = xs[0] + (xs[-1] - xs[0]) * number / count
        best = min(range(len(xs)), key=lambda i: abs(xs[i] - wanted))
        if cuts[-1] < best < len(xs) - 1:
            cuts.append(best)
    cuts.append(len(xs) - 1)
    return [Part(run, front, a, b) for a, b in pairwise(cuts)]


def elevation(
    fence: FenceModel,
    part: Part,
    scale: Scale,
    style: Style,
    figures: Figures,
    *,
    overall: bool = False,
) -> View:
    """Return the front elevation of a part of a front.

    x runs along the front from its start, y up from the ground there. overall : give the greatest
    height over the ground and the length alone, for a planning drawing, instead of the bays.
    """
    front, layout = part.front, part.front.layout
    n = scale.n
    stations = part.stations
    at_start, at_end = part.first == 0, part.last == len(front.stations) - 1
    window = Window(
        left=-FAR if at_start else stations[0][0], right=FAR if at_end else stations[-1][0]
    )
    scene = Scene()
    for leg in front.legs:
        low, high = front.reach(leg)
        shown = Window(left=max(window.left, low), right=min(window.right, high))
        if shown.left >= shown.right:
            continue
        start = front.starts[leg]
        members = members_near(fence, part.run, leg, shown.left - start, shown.right - start)
        show(scene, members, front.view(leg), shown, ground=front.ground, buried=not overall)
    left, right = front.extent()
    left = left if at_start else stations[0][0]
    right = right if at_end else stations[-1][0]
    ends = (
        left - (GROUND_PAST * n if at_start and not _walled(stations[0]) else 0.0),
        right + (GROUND_PAST * n if at_end and not _walled(stations[-1]) else 0.0),
    )
    ground_line(scene, front.ground, ends, n)
    items = scene.items
    lowest = min(front.ground_at(x) for x in (*ends, *(x for x, _ in front.ground)) if
                 ends[0] <= x <= ends[1])  # fmt: skip
    deepest = lowest
    if not overall:
        deepest = min(lowest, *(_hole_bottom(front, post) for _, post in stations))
    top = max(z for x, z in front.tops if left - 1.0 <= x <= right + 1.0)
    _match_lines(front, items, stations, deepest, (not at_start, not at_end), n)
    for x, post, way in ((left, stations[0], -1.0), (right, stations[-1], 1.0)):
        if _walled(post):
            edge = 0.0 if way < 0 else front.length
            low = front.ground_at(edge) - 0.35 * n
            wall(items, edge, way, (min(low, front.ground_at(x)), top + 4.0 * n), n)
    _widths(part, items, (left, right), deepest, n, style, figures, overall)
    _labels(front, stations, items, n, style, figures, overall=overall)
    _levels(fence, part, items, (left, right), n, style, figures)
    _hanging_sides(front, items, window)
    notes = []
    if overall:
        notes = _height(part, items, left, n, figures, at_start=at_start)
    letter = layout.run.letter
    title = f"Elevation {letter}{front.number}, posts {_span(stations)}"
    if overall:
        title = f"Proposed elevation {letter}{front.number} from the front, {_span(stations)}"
    if len(front.legs) > 1:
        title += ", curve laid out flat"
    return titled(
        title, items, scale, style, figures, blocks=scene.blocks.values(), left=left, notes=notes
    )


def _walled(station: tuple[float, PlacedPost]) -> bool:
    return station[1].kind == PostRole.WALL


def _hole_bottom(front: Front, post: PlacedPost) -> float:
    """Return the level of the bottom of a post's hole in the front, mm."""
    ground = post.frame.origin[2] - front.datum
    if post.kind == PostRole.WALL:
        return ground
    return ground - post.plan.embedment - front.layout.run.footings.bed


def existing_elevation(
    fence: FenceModel, front: Front, scale: Scale, style: Style, figures: Figures
) -> View:
    """Return a front as it is before the work: the ground, and what the spec says stands there."""
    job = front.layout.run
    n = scale.n
    left, right = 0.0, front.length
    scene = Scene()
    ground_line(scene, front.ground, (left - GROUND_PAST * n, right + GROUND_PAST * n), n)
    items = scene.items
    height = job.existing_height
    if height > 0.0:
        over = tuple((x, z + height) for x, z in front.ground)
        outline = (front.ground[0], *over, front.ground[-1])
        items.append(Line.through(outline, layers.HIDDEN))
        x, z = left - (GROUND_PAST + 4.0) * n, front.ground[0][1]
        items.append(Dimension((left, z), (left, z + height), (x, 0.0), 90.0))
    words = job.existing or "no fence or wall on this line"
    middle = (left + right) / 2.0
    y = max(z for _, z in front.ground) + height + style.text * n
    items.append(Text(words, (middle, y), style.text, "centre"))
    if not front.level:
        low = min(z for _, z in front.ground) - 4.0 * n
        inner = [x for x, _ in front.ground]
        _level_row(fence, front, [left, right], items, low, n, style, figures, inner)
    title = f"Existing elevation {job.letter}{front.number} from the front"
    return titled(title, items, scale, style, figures, left=left)


def _match_lines(
    front: Front,
    items: list[Item],
    stations: Stations,
    deepest: float,
    sides: tuple[bool, bool],
    n: float,
) -> None:
    for cut, x in zip(sides, (stations[0][0], stations[-1][0]), strict=True):
        if cut:
            line = ((x, deepest - 4.0 * n), (x, front.top_near(x, 0.0) + 3.0 * n))
            items.append(Line.through(line, layers.MATCH))


def _widths(
    part: Part,
    items: list[Item],
    ends: tuple[float, float],
    deepest: float,
    n: float,
    style: Style,
    figures: Figures,
    overall: bool,
) -> None:
    """Add bays and the overall length."""
    tier = deepest - style.first_tier * n
    if not overall:
        # from the concrete, so that extension lines do not run over the posts' feet
        spots: list[Point] = [(x, deepest) for x, _ in part.stations]
        bays = chain(spots, (0.0, tier), 0.0, n, style, figures)
        items.extend(bays)
        if not part.whole:
            return
        tier -= style.tier * n + beyond(bays, tier, style, n)
    items.append(Dimension((ends[0], deepest), (ends[1], deepest), (0.0, tier)))


def _labels(
    front: Front,
    stations: Stations,
    items: list[Item],
    n: float,
    style: Style,
    figures: Figures,
    *,
    overall: bool,
) -> None:
    """Label the posts with their height over the ground, as many as have room.

    The first and the last always have their label; planning drawings need no heights of posts.
    On level ground the labels stand in one row.
    """
    highest = max(front.top_near(x, 0.0) for x, _ in stations)
    free = -math.inf
    _, last = stations[-1]
    last_from = _label_at(front, stations[-1], last.label, style.text, n)[0] - n
    for station in stations:
        x, post = station
        height = figures.text(post.top)
        words = [post.label] if overall else [f"{post.label}  +{height}", post.label]
        for text in words:
            left, right, spot, align = _label_at(front, station, text, style.text, n)
            fits = left > free and (post is last or right < last_from)
            if not fits and not (post is last and text == words[-1]):
                continue
            half = (right - left) / 2.0
            top = highest if front.level else front.top_near(x, half + n)
            items.append(Text(text, (spot, top + (style.text + 1.5) * n), style.text, align))
            free = right + n
            break


def _label_at(
    front: Front, station: tuple[float, PlacedPost], text: str, height: float, n: float
) -> tuple[float, float, float, str]:
    """Return from where to where a post's label reaches, where it is set, and its alignment.

    Over the post; at a wall beside the wall, not across it.
    """
    x, post = station
    width = text_width(text, height) * n
    if post.kind != PostRole.WALL:
        return x - width / 2.0, x + width / 2.0, x, "centre"
    if x < front.length / 2.0:
        return n, n + width, n, "left"
    edge = front.length - n
    return edge - width, edge, edge, "right"


def _hanging_sides(front: Front, items: list[Item], window: Window) -> None:
    """Mark each leaf's hanging side: dashed lines from the free side meet on it."""
    layout = front.layout
    for opening in layout.openings:
        if opening.leg_number not in front.starts:
            continue
        start = front.starts[opening.leg_number]
        if not window.holds(start + (opening.start + opening.end) / 2.0):
            continue
        base = front.rise(opening.leg_number) + opening.base
        for leaf in opening.leaves:
            hung, free = (leaf.x0, leaf.x1) if leaf.hinge_left else (leaf.x1, leaf.x0)
            hung, free = start + hung, start + free
            foot, head = base + leaf.foot, base + leaf.foot + leaf.height
            sign = ((free, foot), (hung, (foot + head) / 2.0), (free, head))
            items.append(Line.through(sign, layers.SYMBOLS))


def _levels(
    fence: FenceModel,
    part: Part,
    items: list[Item],
    ends: tuple[float, float],
    n: float,
    style: Style,
    figures: Figures,
) -> None:
    """Write the ground's level: at both ends of a level front, in a row under a sloping one."""
    front = part.front
    if front.level:
        text = f"ground {figures.site(front.datum + fence.job.origin[2], fence.job.origin)}"
        for x, align, station in (
            (ends[0] - 1.5 * n, "right", part.stations[0]),
            (ends[1] + 1.5 * n, "left", part.stations[-1]),
        ):
            if not _walled(station):
                items.append(Text(text, (x, 1.2 * n), 1.8, align))
        return
    first, last = part.stations[0][0], part.stations[-1][0]
    spots = [x for x, _ in part.stations]
    inner = [x for x, _ in front.ground if first < x < last]
    low = min(item.base[1] for item in items if isinstance(item, Dimension))
    _level_row(fence, front, spots, items, low - 4.0 * n, n, style, figures, inner)


def _level_row(
    fence: FenceModel,
    front: Front,
    spots: list[float],
    items: list[Item],
    below: float,
    n: float,
    style: Style,
    figures: Figures,
    more: list[float],
) -> None:
    """Write levels of the ground upright in a row: at `spots`, and at `more` where there is room.

    Each has a tick on the ground line.
    """
    origin = fence.job.origin
    datum = front.datum + origin[2]
    words = {x: figures.site(front.ground_at(x) + datum, origin) for x in (*spots, *more)}
    chosen: list[float] = []
    for x in (spots[0], spots[-1], *spots, *more):
        if all(abs(x - other) >= LEVEL_APART * n for other in chosen):
            chosen.append(x)
    tallest = max(text_width(words[x], style.text) for x in chosen)
    y = below - tallest * n
    for x in sorted(chosen):
        items.append(Text(words[x], (x + style.text / 2.0 * n, y), style.text, "left", 90.0))
        z = front.ground_at(x)
        items.append(Line.through(((x, z - 1.2 * n), (x, z + 1.2 * n)), layers.RULE))
    left = min(chosen) - 3.0 * n
    unit = " (m)" if figures.in_metres(origin) else ""
    items.append(Text(f"ground level{unit}", (left, y), style.text, "right"))


def _height(
    part: Part, items: list[Item], left: float, n: float, figures: Figures, *, at_start: bool
) -> list[str]:
    """Add the greatest height over the ground: dimensioned, or in words on sloping ground."""
    front = part.front
    first, last = part.stations[0][0] - 1.0, part.stations[-1][0] + 1.0
    found = [
        (height, front.starts[leg] + x)
        for height, leg, x in heights(front.layout)
        if leg in front.starts and first <= front.starts[leg] + x <= last
    ]
    highest, at = max(found)
    if front.level:
        if at_start:
            x = left - (GROUND_PAST + 4.0) * n
            items.append(Dimension((left, 0.0), (left, highest), (x, 0.0), 90.0))
        return []
    where = min(part.stations, key=lambda station: abs(station[0] - at))[1].label
    return [
        f"greatest height over the ground beside the fence: {figures.text(highest)}, at {where}"
    ]


def _span(stations: Stations) -> str:
    return f"{stations[0][1].label} to {stations[-1][1].label}"
