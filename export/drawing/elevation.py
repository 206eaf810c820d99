"""The front elevation of one leg of a fence, whole or in parts."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

from palewright.model.fence import Fence
from palewright.model.gates import leaves
from palewright.model.geometry import Point
from palewright.model.layout import PlacedPost, RunLayout, stations_of_leg
from palewright.model.members import Member
from palewright.model.pales import pale_row
from palewright.model.posts import post_top

from . import style as layers
from .dimensions import beyond, chain, text_width
from .figures import Figures
from .scales import Scale
from .scene import FAR, Scene, Window, ground_line, show
from .style import Style
from .titles import titled
from .view import Dimension, Item, Line, Text, View

GROUND_PAST = 18.0
"""How far the ground line runs past the fence, mm on paper."""


@dataclass(frozen=True)
class Part:
    """A part of a leg from one post to another. first, last : numbers among the leg's posts."""

    run: int
    leg: int
    first: int
    last: int
    whole: bool


def parts_of_leg(fence: Fence, run: int, leg: int, longest: float) -> list[Part]:
    """Return a leg cut at posts into even parts, none longer than `longest` (mm) if bays allow."""
    xs = [x for x, _ in stations_of_leg(fence.layouts[run], leg)]
    count = max(1, math.ceil((xs[-1] - xs[0]) / longest))
    cuts = [0]
    for number in range(1, count):
        wanted = xs[0] + (xs[-1] - xs[0]) * number / count
        best = min(range(len(xs)), key=lambda i: abs(xs[i] - wanted))
        if cuts[-1] < best < len(xs) - 1:
            cuts.append(best)
    cuts.append(len(xs) - 1)
    return [Part(run, leg, a, b, len(cuts) == 2) for a, b in pairwise(cuts)]


def elevation(
    fence: Fence, part: Part, scale: Scale, style: Style, figures: Figures, *, overall: bool = False
) -> View:
    """Return the front elevation of a part of a leg.

    x runs along the leg from its start, y up from the ground there. overall : give the greatest
    height over the ground and the length alone, for a planning drawing, instead of the bays.
    """
    layout = fence.layouts[part.run]
    n = scale.n
    all_stations = stations_of_leg(layout, part.leg)
    stations = all_stations[part.first : part.last + 1]
    left, right = _ends(layout, part.leg)
    at_start, at_end = part.first == 0, part.last == len(all_stations) - 1
    window = Window(
        left=-FAR if at_start else stations[0][0], right=FAR if at_end else stations[-1][0]
    )
    scene = Scene()
    members = members_near(fence, part.run, part.leg, window.left, window.right)
    show(scene, members, layout.legs[part.leg].frame, window, ground=not overall)
    left = left if at_start else stations[0][0]
    right = right if at_end else stations[-1][0]
    ground_line(
        scene,
        left - (GROUND_PAST * n if at_start else 0.0),
        right + (GROUND_PAST * n if at_end else 0.0),
        n,
    )
    top = max(layout.run.height, *(post_top(layout, post) for _, post in stations))
    deepest = 0.0
    if not overall:
        deepest = max(post.plan.embedment + layout.run.footings.bed for _, post in stations)
    items = scene.items
    _match_lines(items, stations, top, deepest, (not at_start, not at_end), n)
    _widths(stations, items, (left, right), deepest, n, style, figures, part, overall)
    _labels(layout, stations, items, top, n, style, figures, overall=overall)
    _levels(layout, part.leg, items, (left, right), n, style, figures)
    _hanging_sides(layout, part.leg, items, window)
    if overall and at_start:
        _height(layout, stations, items, left, n, style)
    letter = layout.run.letter
    title = f"Elevation {letter}{part.leg + 1}, posts {_span(stations)}"
    if overall:
        title = f"Proposed elevation {letter}{part.leg + 1} from the front, {_span(stations)}"
    return titled(title, items, scale, style, figures, blocks=scene.blocks.values(), left=left)


def existing_elevation(
    fence: Fence, run: int, leg_number: int, scale: Scale, style: Style, figures: Figures
) -> View:
    """Return a leg as it is before the work: the ground, and what the spec says stands there."""
    layout = fence.layouts[run]
    job = layout.run
    n = scale.n
    left, right = 0.0, layout.legs[leg_number].length
    scene = Scene()
    ground_line(scene, left - GROUND_PAST * n, right + GROUND_PAST * n, n)
    items = scene.items
    if job.existing_height > 0.0:
        top = job.existing_height
        outline = ((left, 0.0), (left, top), (right, top), (right, 0.0))
        items.append(Line.through(outline, layers.HIDDEN))
        x = left - (GROUND_PAST + 4.0) * n
        items.append(Dimension((left, 0.0), (left, top), (x, 0.0), 90.0))
    words = job.existing or "no fence or wall on this line"
    y = job.existing_height + style.text * n
    items.append(Text(words, ((left + right) / 2.0, y), style.text, "centre"))
    title = f"Existing elevation {job.letter}{leg_number + 1} from the front"
    return titled(title, items, scale, style, figures, left=left)


def members_of_leg(fence: Fence, run: int, leg_number: int) -> list[Member]:
    """Return the members seen in a leg's elevation: its own, and the posts at its ends."""
    ends = {post.label for _, post in stations_of_leg(fence.layouts[run], leg_number)}
    return [
        member
        for member in fence.members
        if member.run == run and (member.leg == leg_number or member.station in ends)
        and (not member.station or member.station in ends)
    ]  # fmt: skip


def members_near(fence: Fence, run: int, leg_number: int, start: float, end: float) -> list[Member]:
    """Return the members of a leg that may reach into a span of it (mm along the leg).

    A rail starts at most its stock length, or a bay, away from where it is seen.
    """
    layout = fence.layouts[run]
    frame = layout.legs[leg_number].frame
    reach = max(layout.run.rails.stock_length, layout.run.posts.bay) + 1000.0
    return [
        member
        for member in members_of_leg(fence, run, leg_number)
        if start - reach < frame.local(member.frame.origin)[0] < end + reach
    ]


def _ends(layout: RunLayout, leg_number: int) -> tuple[float, float]:
    """Return the first and the last x that pales or posts of a leg reach."""
    leg = layout.legs[leg_number]
    xs = [x for _, post in stations_of_leg(layout, leg_number) for x in post.extent(leg)]
    for stretch in layout.stretches:
        if stretch.leg == leg_number:
            row = pale_row(layout, stretch)
            xs += [row.x0, row.x1]
    return min(xs), max(xs)


def _match_lines(
    items: list[Item],
    stations: list[tuple[float, PlacedPost]],
    top: float,
    deepest: float,
    sides: tuple[bool, bool],
    n: float,
) -> None:
    for cut, x in zip(sides, (stations[0][0], stations[-1][0]), strict=True):
        if cut:
            line = ((x, -deepest - 4.0 * n), (x, top + 3.0 * n))
            items.append(Line.through(line, layers.MATCH))


def _widths(
    stations: list[tuple[float, PlacedPost]],
    items: list[Item],
    ends: tuple[float, float],
    deepest: float,
    n: float,
    style: Style,
    figures: Figures,
    part: Part,
    overall: bool,
) -> None:
    """Add bays and the overall length."""
    tier = -deepest - style.first_tier * n
    if not overall:
        # from the concrete, so that extension lines do not run over the posts' feet
        spots: list[Point] = [(x, -deepest) for x, _ in stations]
        bays = chain(spots, (0.0, tier), 0.0, n, style, figures)
        items.extend(bays)
        if not part.whole:
            return
        tier -= style.tier * n + beyond(bays, tier, style, n)
    items.append(Dimension((ends[0], -deepest), (ends[1], -deepest), (0.0, tier)))


def _labels(
    layout: RunLayout,
    stations: list[tuple[float, PlacedPost]],
    items: list[Item],
    top: float,
    n: float,
    style: Style,
    figures: Figures,
    *,
    overall: bool,
) -> None:
    """Label the posts with their height over the ground, as many as have room.

    The first and the last always have their label; planning drawings need no heights of posts.
    """
    y = top + (style.text + 1.5) * n
    free = -math.inf
    last_x, last = stations[-1]
    last_from = last_x - text_width(last.label, style.text) / 2.0 * n - n
    for x, post in stations:
        height = figures.text(post_top(layout, post))
        words = [post.label] if overall else [f"{post.label}  +{height}", post.label]
        for text in words:
            half = text_width(text, style.text) / 2.0 * n
            if post is last and x - half <= free and text != words[-1]:
                continue
            if post is last or (x - half > free and x + half < last_from):
                items.append(Text(text, (x, y), style.text, "centre"))
                free = x + half + n
                break


def _hanging_sides(layout: RunLayout, leg_number: int, items: list[Item], window: Window) -> None:
    """Mark each leaf's hanging side: dashed lines from the free side meet on it."""
    for opening in layout.openings:
        if opening.leg != leg_number or not window.holds((opening.start + opening.end) / 2.0):
            continue
        for leaf in leaves(layout.run, opening):
            hung, free = (leaf.x0, leaf.x1) if leaf.hinge_left else (leaf.x1, leaf.x0)
            foot, head = leaf.foot, leaf.foot + leaf.height
            sign = ((free, foot), (hung, (foot + head) / 2.0), (free, head))
            items.append(Line.through(sign, layers.SYMBOLS))


def _levels(
    layout: RunLayout,
    leg: int,
    items: list[Item],
    ends: tuple[float, float],
    n: float,
    style: Style,
    figures: Figures,
) -> None:
    """Write the ground's level at both ends, on the ground line beyond the fence."""
    line = layout.legs[leg]
    level = line.start[2] + line.ground((ends[0] + ends[1]) / 2.0)
    text = f"ground {figures.text(level)}"
    for x, align in ((ends[0] - 1.5 * n, "right"), (ends[1] + 1.5 * n, "left")):
        items.append(Text(text, (x, 1.2 * n), 1.8, align))


def _height(
    layout: RunLayout,
    stations: list[tuple[float, PlacedPost]],
    items: list[Item],
    left: float,
    n: float,
    style: Style,
) -> None:
    """Add the greatest height over the ground."""
    highest = highest_point(layout, [post for _, post in stations])
    x = left - (GROUND_PAST + 4.0) * n
    items.append(Dimension((left, 0.0), (left, highest), (x, 0.0), 90.0))


def highest_point(layout: RunLayout, posts: list[PlacedPost]) -> float:
    """Return the greatest height of pales, posts and caps over the ground, mm."""
    tops = [
        post_top(layout, post) + (post.plan.cap.size[2] if post.plan.cap else 0.0) for post in posts
    ]
    return max(layout.run.height, *tops)


def _span(stations: list[tuple[float, PlacedPost]]) -> str:
    return f"{stations[0][1].label} to {stations[-1][1].label}"
