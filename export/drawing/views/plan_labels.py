"""Labels of posts and gates on plans, where there is room, and diagonals across corners."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import product

from palewright.export.drawing.draft import style as layers
from palewright.export.drawing.draft.drafting import Draft
from palewright.export.drawing.draft.view import Item, Line, Text
from palewright.model.basis.text import plain
from palewright.model.geometry.frames import Point, cos_sin
from palewright.model.layout.placed_posts import PlacedPost
from palewright.model.layout.run_layout import Opening, RunLayout, stations_of_leg
from palewright.model.lists.setting_out import triangles
from palewright.model.resolved.words import PostRole
from palewright.model.resolved.zones import Break, leg_at

from .placing import Placer, around
from .plan_symbols import upright
from .post_chainages import across, full_name, post_name

MOST_LED = 60
"""A run with more fixed posts has no labels farther off, after a line: they would hide the plan."""

NEAREST = 12.0
"""Diagonals shorter than this on paper are left out, mm."""


def post_names(layout: RunLayout, placer: Placer, *, fixed: bool) -> Iterator[Item]:
    """Yield labels of posts with chainage: corners outside with their angle, others behind.

    Where a label has no room it stands across the line; then it loses its chainage and moves away
    a little; the label of a line post that still has none is left out (a table has its chainage).

    fixed : the ends, corners and gate posts, which have theirs farther off, after a line, but for
    a run that has too many; else the line posts.
    """
    backs, turns = backs_of(layout), turns_of(layout)
    led = sum(post.kind != PostRole.LINE for post in layout.posts) <= MOST_LED
    for post in layout.posts:
        if (post.kind != PostRole.LINE) != fixed:
            continue
        back = backs[post.label]
        if post.kind == PostRole.CORNER:
            far = layout.run.fence_front / placer.draft.n + 1.5
            choices = _at_corner(post, turns.get(post.label, 0.0), back, far, placer.draft)
        else:
            choices = _behind(post, back, placer.draft, fixed=fixed)
        text = placer.place(choices)
        if text is not None:
            yield text
        elif fixed and led:
            yield from with_leader(choices[-1].text, post.frame.origin[:2], placer)


def turns_of(layout: RunLayout) -> dict[str, float]:
    """Return the turn of the line at the corner posts, degrees; none at a curve's."""
    return {
        post.label: leg.turn_start
        for number, leg in enumerate(layout.legs)
        for post in [stations_of_leg(layout, number)[0][1]]
        if post.kind == PostRole.CORNER
    }


def gap_names(layout: RunLayout, placer: Placer) -> Iterator[Item]:
    """Yield what each gap of a run is called, on the back of the line where there is room."""
    for gap in layout.run.breaks:
        yield from gap_name(layout, gap, placer)


def gap_name(layout: RunLayout, gap: Break, placer: Placer) -> Iterator[Item]:
    """Yield what a gap is called, on the back of the line where there is room."""
    number, start = leg_at(layout.legs, gap.start)
    frame = layout.legs[number].frame
    spot = frame.point((start + (gap.end - gap.start) / 2.0, 0.0, 0.0))[:2]
    back = frame.y[:2]
    words = plain(gap.name) or ("pier" if gap.walls else "gap")
    choices = [
        around(words, spot, way, away, placer.draft)
        for away in (2.0, 4.0, 7.0, 10.0)
        for way in (back, (-back[0], -back[1]))
    ]
    yield from placed_or_led(choices, spot, placer)


def _at_corner(post: PlacedPost, turn: float, back: Point, far: float, draft: Draft) -> list[Text]:
    """Return where the label of a corner post with the corner's angle may stand: outside first."""
    out, at = (-back[0], -back[1]), post.frame.origin[:2]
    full = full_name(post, turn, draft)
    short = f"{post.label}  {180.0 - abs(turn):.1f}°" if turn else post.label
    return [
        *(
            around(full, at, way, far, draft)
            for way in (out, _turned(out, 60.0), _turned(out, -60.0))
        ),
        *(
            around(words, at, way, far + more, draft)
            for words, steps in ((full, (0.0, 2.0, 4.0)), (short, (0.0, 2.0, 4.0, 7.0, 10.0)))
            for more in steps
            for way in (out, _turned(out, 35.0), _turned(out, -35.0), back)
        ),
    ]


def _behind(post: PlacedPost, back: Point, draft: Draft, *, fixed: bool) -> list[Text]:
    """Return where the label of another post may stand: with its chainage first."""
    spot = post.frame.origin[:2]
    clear = max(post.plan.depth, post.plan.width) / 2.0 / draft.n + 1.2
    name, full = post_name(post), full_name(post, 0.0, draft)
    near = [around(full, spot, back, clear + more, draft) for more in (0.0, 2.0)]
    if fixed:
        sides = [_turned(back, degrees) for degrees in (55.0, -55.0, 75.0, -75.0)]
        near += [
            around(full, spot, way, clear + more, draft) for more in (0.0, 2.0) for way in sides
        ]
    near += [across(full, spot, back, clear + more, draft) for more in (0.0, 2.0)]
    return near + [
        around(name, spot, way, clear + more, draft)
        for more in (0.0, 2.0, 4.0, *((7.0, 10.0) if fixed else ()))
        for way in (back, _turned(back, 40.0), _turned(back, -40.0))
    ]


def gate_name(opening: Opening, placer: Placer) -> Iterator[Item]:
    """Yield the word "gate" behind an opening or before it, with the width of the opening."""
    width = placer.draft.figure(opening.end - opening.start)
    yield from _at_opening(f"gate {width}", opening, placer)


def opening_name(opening: Opening, placer: Placer) -> Iterator[Item]:
    """Yield what a gate is called with the clear width of its opening, behind it or before it."""
    words = f"{opening.called}, {placer.draft.figure(opening.spec.opening)} clear"
    yield from _at_opening(words, opening, placer)


def _at_opening(words: str, opening: Opening, placer: Placer) -> Iterator[Item]:
    leg, draft = opening.leg, placer.draft
    middle = leg.frame.point(((opening.start + opening.end) / 2.0, 0.0, 0.0))[:2]
    back = leg.frame.y[:2]
    sides = ((back[0], back[1]), (-back[0], -back[1]))
    far = opening.spec.opening / draft.n + 2.0
    steps = (2.0, far) if opening.spec.slide is None else (2.0, 6.0, 9.0, 13.0, far)
    choices = [around(words, middle, way, d, draft) for d in steps for way in sides]
    yield from placed_or_led(choices, middle, placer)


def placed_or_led(choices: list[Text], spot: Point, placer: Placer) -> Iterator[Item]:
    """Yield the first text that has room, else one farther off with a line to what it names."""
    text = placer.place(choices)
    if text is not None:
        yield text
    else:
        yield from with_leader(choices[-1].text, spot, placer)


def with_leader(words: str, spot: Point, placer: Placer) -> Iterator[Item]:
    """Yield a label farther off where there is room, after a line to what it names."""
    draft = placer.draft
    ways = [(math.cos(math.radians(a)), math.sin(math.radians(a))) for a in range(0, 360, 20)]
    choices = [
        around(words, spot, way, away, draft)
        for away in (8.0, 12.0, 17.0, 23.0, 30.0, 40.0, 52.0, 66.0)
        for way in ways
    ]
    text = placer.place(choices, must=True)
    assert text is not None
    yield from _led(text, spot, placer)


def led_name(words: str, spot: Point, placer: Placer) -> Iterator[Item]:
    """Yield a label farther off after a line to what it names, nothing where there is no room."""
    ways = [(math.cos(math.radians(a)), math.sin(math.radians(a))) for a in range(0, 360, 15)]
    choices = [
        around(words, spot, way, away, placer.draft)
        for away in (8.0, 12.0, 17.0, 23.0, 30.0, 40.0)
        for way in ways
    ]
    half = placer.draft.text / 2.0 * placer.draft.n
    clear = [
        text
        for text in choices
        if not placer.words_on(Line.through((spot, (text.at[0], text.at[1] + half)), layers.METAL))
    ]
    text = placer.place(clear)
    if text is not None:
        yield from _led(text, spot, placer)


def _led(text: Text, spot: Point, placer: Placer) -> Iterator[Item]:
    draft = placer.draft
    x, y = text.at
    middle = (x, y + draft.text / 2.0 * draft.n)
    for part in placer.gaps_in(spot, middle):
        line = Line.through(part, layers.METAL)
        placer.take(line)
        yield line
    yield text


def backs_of(layout: RunLayout) -> dict[str, Point]:
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


SHARES = (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8, 0.15, 0.85)
"""Places along a diagonal for its figure, the best first."""


def diagonals_shown(
    layout: RunLayout, placer: Placer
) -> Iterator[tuple[Text, tuple[Point, Point]]]:
    """Yield a figure for each corner, and the line that it stands on.

    It proves the corner's angle on site: the length across the triangle that the site's table has,
    or, at a corner without a post in it, from the fixed post before it to the one after; post
    middle to post middle.
    """
    draft = placer.draft
    tabled = {corner.label: (one, other) for corner, one, other in triangles(layout)}
    posts = [stations_of_leg(layout, number) for number in range(len(layout.legs))]
    for number, leg in enumerate(layout.legs):
        at_end = number == 0 and not layout.run.line.closed
        if abs(leg.turn_start) < 1e-6 or at_end or leg.bent_start:
            continue
        before = posts[number - 1][0][1]
        after = posts[number][-1][1]
        corner = posts[number][0][1].label
        before, after = tabled.get(corner, (before, after))
        a, b = before.frame.origin[:2], after.frame.origin[:2]
        if before is after or math.dist(a, b) / draft.n < NEAREST:
            continue
        degrees = upright(math.degrees(math.atan2(b[1] - a[1], b[0] - a[0])))
        cos, sin = cos_sin(degrees)
        text = draft.figure(math.dist(a, b))
        up = draft.style.gap * draft.n
        choices = []
        for off, share in product((up, -up - draft.full(draft.text)), SHARES):
            x, y = a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share
            spot = (x - off * sin, y + off * cos)
            choices.append(Text(text, spot, draft.text, "centre", degrees))
        placed = placer.place(choices)
        if placed is not None:
            yield placed, (a, b)
