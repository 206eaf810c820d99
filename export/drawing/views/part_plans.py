"""A long plan in parts: a key with where each part is, and parts cut at posts by match lines."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from palewright.export.drawing.draft import style as layers
from palewright.export.drawing.draft.drafting import Draft
from palewright.export.drawing.draft.view import Item, Line, Text, View
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.frames import Point
from palewright.model.layout.placed_posts import PlacedPost
from palewright.model.layout.run_layout import RunLayout, stations_of_leg
from palewright.model.resolved.words import PostRole
from palewright.model.resolved.zones import leg_at
from palewright.model.site.features import bounds_near, bounds_of

from .masked_figures import masked_figures
from .placing import Placer, around
from .plan_labels import backs_of, gap_name, opening_name, placed_or_led, turns_of
from .plan_lengths import leg_length
from .plan_symbols import below, fence_line, leaves_open, masonry, north
from .post_chainages import across, chainage_rows, full_name, unsaid
from .site_things import names_in, thing_drawn
from .titles import NOTE_BELOW, NOTE_STEP

MATCH_HALF = 14.0
"""How far a match line reaches on either side of the fence, mm on paper."""

LEAST_MEASURED = 15.0
"""Legs shorter than this on paper have no dimension in a part, mm: chainages tell their lengths."""

ALL_SAID = "chainage beside each post or in the rows below"
"""What a part says of its posts."""

ROUND_PART = 12.0
"""How far round a part things on the site are shown, mm on paper."""


@dataclass(frozen=True)
class PlanPart:
    """Part of a run between two posts. run : its number; posts : with their distances along the
    line, mm, in order; before, after : numbers of the parts that it is cut from, 0 for none.
    """

    run: int
    posts: tuple[tuple[float, PlacedPost], ...]
    before: int = 0
    after: int = 0

    @property
    def span(self) -> tuple[float, float]:
        """Where it begins and ends along the line, mm."""
        return self.posts[0][0], self.posts[-1][0]

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Least east and north, greatest east and north of its posts, mm."""
        xs, ys = zip(*(post.frame.origin[:2] for _, post in self.posts), strict=True)
        return min(xs), min(ys), max(xs), max(ys)


def posts_along(layout: RunLayout) -> list[tuple[float, PlacedPost]]:
    """Return the posts of a run with their distances along the line, mm; of a closed one the
    first once more at its end.
    """
    found: dict[str, tuple[float, PlacedPost]] = {}
    for number, leg in enumerate(layout.legs):
        for x, post in stations_of_leg(layout, number):
            found.setdefault(post.label, (leg.before + x, post))
    posts = sorted(found.values(), key=lambda one: one[0])
    if layout.run.line.closed and posts:
        posts.append((posts[0][0] + layout.run.line.length, posts[0][1]))
    return posts


def parts_that_fit(layout: RunLayout, run: int, size: Point) -> Iterator[PlanPart]:
    """Yield a run in parts whose posts lie in a box of a size (mm), each as long as it goes, but
    cut at a corner where its second half has one, so that legs stay whole.

    A part has at least two posts, so one bay may be larger than the box.
    """
    posts = posts_along(layout)
    first = 0
    while first < len(posts) - 1:
        (x0, y0), last = posts[first][1].frame.origin[:2], first + 1
        x1, y1 = x0, y0
        for number in range(first + 1, len(posts)):
            x, y = posts[number][1].frame.origin[:2]
            x0, y0, x1, y1 = min(x0, x), min(y0, y), max(x1, x), max(y1, y)
            if (x1 - x0 > size[0] or y1 - y0 > size[1]) and number > first + 1:
                break
            last = number
        if last < len(posts) - 1:
            second = range(last, (first + last) // 2, -1)
            last = next((n for n in second if posts[n][1].kind == PostRole.CORNER), last)
        yield PlanPart(run, tuple(posts[first : last + 1]))
        first = last


def halves(part: PlanPart) -> tuple[PlanPart, ...]:
    """Return a part cut in two at a post, or itself where it is a single bay."""
    middle = len(part.posts) // 2
    if len(part.posts) < 3:
        return (part,)
    return (
        PlanPart(part.run, part.posts[: middle + 1]),
        PlanPart(part.run, part.posts[middle:]),
    )


def key_plan(fence: FenceModel, parts: Sequence[PlanPart], draft: Draft) -> View:
    """Return the lines of a fence with where its parts are cut and what they are numbered."""
    placer, items = Placer(draft), []
    for layout in fence.layouts:
        for item in fence_line(layout, placer):
            placer.take(item)
            items.append(item)
    for part in parts:
        for before, (at, _) in ((True, part.posts[0]), (False, part.posts[-1])):
            if before or not part.after:
                tick = _cut(fence, part, at, 2.0 * draft.n)
                placer.take(tick)
                items.append(tick)
    for number, part in enumerate(parts, 1):
        spot, back = _place(fence, part, sum(part.span) / 2.0)
        sides = (back, (-back[0], -back[1]))
        choices = [
            around(f"{number}", spot, way, away, draft) for away in (1.5, 3.5, 6.0) for way in sides
        ]
        items += placed_or_led(choices, spot, placer)
    for layout in fence.layouts:
        posts = posts_along(layout)
        for (_, post), words in zip((posts[0], posts[-1]), ("starts", "ends"), strict=True):
            said = f"{layout.run.called} {words}, {post.label}"
            spot = post.frame.origin[:2]
            ways = ((0.0, 1.0), (0.0, -1.0), (1.0, 0.0), (-1.0, 0.0))
            choices = [around(said, spot, way, away, draft) for away in (3.0, 7.0) for way in ways]
            items += placed_or_led(choices, spot, placer)
    items += north(items, draft)
    note = "numbers are the parts of the plan that follow; each post stands in one of them"
    return _finished("Setting-out plan, key", items, [note], (), draft)


def part_plan(fence: FenceModel, part: PlanPart, number: int, draft: Draft) -> View:
    """Return one part of a plan: each of its posts with its chainage beside it, or in rows under
    the plan. number : of the part, from 1.
    """
    layout, placer = fence.layouts[part.run], Placer(draft)
    items = [*_line(fence, part), *masonry(layout, part.span, placer)]
    items += _bays(layout, part)
    for opening in layout.openings:
        if _within(opening.leg.before + (opening.start + opening.end) / 2.0, part):
            items += leaves_open(layout, opening, placer)
    items += _posts(part)
    for item in items:
        placer.take(item)
    for leg_number in range(*_legs(layout, part)):
        leg = layout.legs[leg_number]
        whole = part.span[0] <= leg.before and leg.before + leg.length <= part.span[1]
        drawn = leg.length / draft.n >= LEAST_MEASURED and not (leg.bent_start or leg.bent_end)
        if whole and drawn:
            items += leg_length(layout, leg_number, placer, gates=True)
    items += _matches(fence, part, placer)
    for gap in layout.run.breaks:
        if _within(gap.start, part):
            items += gap_name(layout, gap, placer)
    items += _names(layout, part, placer)
    for opening in layout.openings:
        if _within(opening.leg.before + (opening.start + opening.end) / 2.0, part):
            items += opening_name(opening, placer)
    items += _things(fence, part, placer)
    items += north(items, draft)
    missing = unsaid([post for _, post in part.posts], turns_of(layout), items, draft)
    first, last = part.posts[0][1], part.posts[-1][1]
    title = f"Setting-out plan, part {number}: {first.label} to {last.label}"
    notes = [f"{layout.run.called}; {ALL_SAID}", *_cut_legs(layout, part, draft)]
    return _finished(title, items, notes, missing, draft)


def _finished(
    title: str,
    items: list[Item],
    notes: Sequence[str],
    missing: Sequence[PlacedPost],
    draft: Draft,
) -> View:
    x, y = below(items, draft)
    low = NOTE_BELOW * draft.text * draft.n
    for words in notes:
        items.append(Text(words, (x, y - low), draft.text))
        low += NOTE_STEP * draft.text * draft.n
    items += chainage_rows(missing, (x, y - low), 200.0, draft)
    drawn = tuple(masked_figures(items, draft))
    return View(title, draft.n, drawn, titled_at=(x, y), scale_text=draft.scale.text)


def _within(distance: float, part: PlanPart) -> bool:
    return part.span[0] <= distance <= part.span[1]


def _legs(layout: RunLayout, part: PlanPart) -> tuple[int, int]:
    """Return the first leg that a part has something of, and the one after its last."""
    first, _ = leg_at(layout.legs, part.span[0])
    last, _ = leg_at(layout.legs, min(part.span[1], layout.run.line.length) - 1e-6)
    return first, last + 1


def _cut_legs(layout: RunLayout, part: PlanPart, draft: Draft) -> Iterator[str]:
    """Say how long legs are that begin in a part and go on beyond its match line."""
    for number in range(*_legs(layout, part)):
        leg = layout.legs[number]
        if leg.bent_start or leg.bent_end or not part.span[0] <= leg.before < part.span[1]:
            continue
        if leg.before + leg.length > part.span[1] + 1.0:
            first, last = (stations_of_leg(layout, number)[end][1].label for end in (0, -1))
            yield f"leg from {first} to {last}, beyond the match line: {draft.figure(leg.length)}"


def _place(fence: FenceModel, part: PlanPart, distance: float) -> tuple[Point, Point]:
    """Return the point at a distance along the line, and the way to the back there."""
    layout = fence.layouts[part.run]
    length = layout.run.line.length
    if layout.run.line.closed and distance > length:
        distance -= length
    number, x = leg_at(layout.legs, distance)
    frame = layout.legs[number].frame
    return frame.point((x, 0.0, 0.0))[:2], frame.y[:2]


def _cut(fence: FenceModel, part: PlanPart, distance: float, half: float) -> Line:
    """Return a line across the fence."""
    (x, y), (bx, by) = _place(fence, part, distance)
    ends = (x - bx * half, y - by * half), (x + bx * half, y + by * half)
    return Line.through(ends, layers.MATCH)


def _line(fence: FenceModel, part: PlanPart) -> Iterator[Line]:
    """Yield the line of the posts of a part."""
    layout = fence.layouts[part.run]
    first, last = _legs(layout, part)
    corners = [layout.legs[number].start[:2] for number in range(first + 1, last)]
    ends = [_place(fence, part, distance)[0] for distance in part.span]
    yield Line.through((ends[0], *corners, ends[1]), layers.AXIS)


def _bays(layout: RunLayout, part: PlanPart) -> Iterator[Line]:
    """Yield the fronts of the pales as lines: single pales are not set out from a plan."""
    for number in range(*_legs(layout, part)):
        for stretch in layout.stretches_of[number]:
            low, high = (at - stretch.leg.before for at in part.span)
            ends = max(stretch.first.x, low), min(stretch.last.x, high)
            if ends[0] < ends[1]:
                y, frame = -layout.run.fence_front, stretch.leg.frame
                a, b = (frame.point((x, y, 0.0))[:2] for x in ends)
                yield Line.through((a, b), layers.PALES)


def _posts(part: PlanPart) -> Iterator[Line]:
    for _, post in part.posts:
        yield Line.through(post.corners, layers.POSTS, closed=True)


def _matches(fence: FenceModel, part: PlanPart, placer: Placer) -> Iterator[Item]:
    """Yield the lines that a part is cut at, each with the part that goes on there."""
    draft = placer.draft
    for distance, beyond in zip(part.span, (part.before, part.after), strict=True):
        if not beyond:
            continue
        line = _cut(fence, part, distance, MATCH_HALF * draft.n)
        placer.take(line)
        yield line
        (ax, ay, _), (bx, by, _) = line.vertices
        long = math.dist((ax, ay), (bx, by))
        out = (bx - ax) / long, (by - ay) / long
        ends = (((bx, by), out), ((ax, ay), (-out[0], -out[1])))
        choices = [
            around(f"match line, part {beyond}", spot, way, away, draft)
            for away in (1.5, 4.0, 8.0)
            for spot, way in ends
        ]
        yield from placed_or_led(choices, (bx, by), placer)


def _names(layout: RunLayout, part: PlanPart, placer: Placer) -> Iterator[Item]:
    """Yield the posts with their chainages, fixed ones first; line posts across the line."""
    backs, turns, draft = backs_of(layout), turns_of(layout), placer.draft
    fixed = [post for _, post in part.posts if post.kind != PostRole.LINE]
    others = [post for _, post in part.posts if post.kind == PostRole.LINE]
    for post in dict.fromkeys(itertools.chain(fixed, others)):
        back, spot = backs[post.label], post.frame.origin[:2]
        words = full_name(post, turns.get(post.label, 0.0), draft)
        clear = max(post.plan.depth, post.plan.width) / 2.0 / draft.n + 1.2
        ways = (back, (-back[0], -back[1]))
        if post.kind == PostRole.CORNER:
            ways = ways[::-1]
        front = layout.run.fence_front / draft.n
        text = placer.place(
            [
                across(words, spot, way, clear + more + front, draft)
                for more in (0.0, 3.0, 7.0)
                for way in ways
            ]
        )
        if text is not None:
            yield text


def _things(fence: FenceModel, part: PlanPart, placer: Placer) -> Iterator[Item]:
    """Yield what stands and lies near a part, with its name where there is room."""
    if not fence.job.features:
        return
    import shapely

    more = placer.draft.full(ROUND_PART)
    x0, y0, x1, y1 = part.box
    window = shapely.box(x0 - more, y0 - more, x1 + more, y1 + more)
    near = bounds_near(bounds_of(fence.job.features), part.box, more)
    features = [fence.job.features[number] for number in near]
    for feature in features:
        for item in thing_drawn(feature, window, placer.draft):
            placer.take(item)
            yield item
    yield from names_in(window, features, fence, placer)
