"""The section across road, footway, fence and garden: what is known of it and no more."""

from __future__ import annotations

from collections.abc import Iterator

from palewright.export.drawing.draft import style as layers
from palewright.export.drawing.draft.drafting import Draft
from palewright.export.drawing.draft.view import Item, Line, Text, View
from palewright.model.basis.text import plain
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.frames import Point
from palewright.model.lists.cross_sections import CrossedThing, CrossSection
from palewright.model.site.site_line import level_at

from .dimensions import level_chain
from .members_shown import break_line
from .placing import Placer, around
from .titles import titled

MARGIN = 1500.0
"""How far a section goes on past the last thing it crosses, mm."""

DEEP = 2500.0
"""As much of a house is shown, mm."""

STANDING = ("house", "wall", "hedge", "fence")
"""Kinds that stand over the ground; others lie on it or in it."""

MOST_LIFTS = 14
"""How many rows of words may stand over one another."""


def site_section(fence: FenceModel, section: CrossSection, draft: Draft) -> View:
    """Return a section; x runs from the front to the back, 0 on the fence's line."""
    placer = Placer(draft)
    left, right = section_span(section)
    items: list[Item] = [*_ground(section, (left, right)), *_fence(section)]
    for item in items:
        placer.take(item)
    for thing in section.things:
        for line in _thing(thing, section, (left, right), draft):
            placer.take(line)
            items.append(line)
    items += _names(section, (left, right), placer)
    low = min(z for part in section.ground for _, z in part)
    edges = sorted(
        {round(y, 1) for one in section.things for y in _measured(one) if left < y < right} | {0.0}
    )
    base = low - draft.full(draft.style.first_tier)
    items += level_chain([(y, _level(section, y)) for y in edges], base, draft)
    notes = list(_notes(fence, section, (left, right), draft))
    title = f"Section S {_where(section)}, the front to the left"
    return titled(title, items, draft, left=left, notes=notes)


def section_span(section: CrossSection) -> Point:
    """Return from where to where a section is shown, mm behind the fence's line."""
    ys = [y for one in section.things for y in _edges(one)]
    return min(*ys, -MARGIN, 0.0) - MARGIN / 3.0, max(*ys, MARGIN, 0.0) + MARGIN / 3.0


def _edges(thing: CrossedThing) -> Point:
    """Return from where to where a thing is shown: of a house the part next to the fence."""
    if thing.feature.kind != "house":
        return thing.front, thing.back
    if thing.front >= 0.0:
        return thing.front, min(thing.back, thing.front + DEEP)
    return max(thing.front, thing.back - DEEP), thing.back


def _measured(thing: CrossedThing) -> Point:
    """Return the edges that distances are given to: not where a house is broken off."""
    shown = _edges(thing)
    return thing.front if thing.front in shown else shown[1], (
        thing.back if thing.back in shown else shown[0]
    )


def _where(section: CrossSection) -> str:
    run = section.layout.run
    if section.opening is None:
        return f"near post {section.post.label} of {run.called}"
    first, last = (post.label for post in section.opening.posts)
    return f"through {section.opening.called}, {first} to {last} of {run.called}"


def _level(section: CrossSection, y: float) -> float:
    """Return the ground at a place, level beyond what is known."""
    for part in section.ground:
        if part[0][0] <= y <= part[-1][0]:
            return level_at(part, y)
    return min((abs(y - p[0]), p[1]) for part in section.ground for p in (part[0], part[-1]))[1]


def section_mark(section: CrossSection, placer: Placer) -> Iterator[Item]:
    """Yield where a section is on a plan: its line where no words stand, an S at either end."""
    frame, draft = section.layout.legs[section.leg].frame, placer.draft
    front, back = (frame.point((section.x, y, 0.0))[:2] for y in section_span(section))
    x, y = frame.y[:2]
    for end, way in ((front, (-x, -y)), (back, (x, y))):
        text = placer.place([around("S", end, way, away, draft) for away in (1.0, 3.0, 6.0)])
        if text is not None:
            yield text
    for part in placer.gaps_in(front, back):
        yield Line.through(part, layers.CHECK)


def _ground(section: CrossSection, span: Point) -> Iterator[Line]:
    """Yield the ground, dashed where nobody gave it."""
    left, right = span
    known = [(part[0][0], part[-1][0]) for part in section.ground]
    for part in section.ground:
        points = [point for point in part if left <= point[0] <= right]
        ends = [(y, level_at(part, y)) for y in span if part[0][0] < y < part[-1][0]]
        yield Line.through(tuple(sorted({*points, *ends}) if ends else points), layers.GROUND)
    edges = [left, *(y for ends in known for y in ends), right]
    for a, b in zip(edges[::2], edges[1::2], strict=True):
        if b - a > 1.0:
            yield Line.through(((a, _level(section, a)), (b, _level(section, b))), layers.HIDDEN)


def _box(ys: Point, zs: Point, layer: layers.Layer) -> Line:
    (a, b), (low, high) = ys, zs
    return Line.through(((a, low), (b, low), (b, high), (a, high)), layer, closed=True)


def fence_top(section: CrossSection) -> float:
    """Return the highest of the fence at a section, mm over the leg's start."""
    return max(line.vertices[2][1] for line in _fence(section))


def _fence(section: CrossSection) -> Iterator[Line]:
    """Yield the post that is seen and the pales that are cut, or those of the gate."""
    layout, run = section.layout, section.layout.run
    half = section.post.plan.depth / 2.0
    start = layout.legs[section.leg].start[2]
    foot = section.post.frame.origin[2] - start
    yield _box((-half, half), (foot, foot + section.post.full_height), layers.POSTS)
    if section.opening is not None:
        leaf = section.opening.leaves[0]
        low = section.opening.base + leaf.foot
        zs = (low, low + leaf.height)
        faces = [(-run.pale_front, -run.pale_back)]
    else:
        pales = [pale for one in layout.stretches_of[section.leg] for pale in one.pales]
        pale = min(pales, key=lambda one: round(abs(one.x - section.x), 1))
        zs = (pale.top - pale.kind.length, pale.top)
        faces = [(-layer.front, -layer.back) for layer in run.layers]
    for ys in faces:
        yield _box(ys, zs, layers.PALES)


def _thing(thing: CrossedThing, section: CrossSection, span: Point, draft: Draft) -> Iterator[Line]:
    feature = thing.feature
    layer = layers.SITE_DASHED if feature.goes else layers.SITE
    a, b = _edges(thing)
    foot = _level(section, a), _level(section, b)
    if feature.kind in STANDING:
        high = feature.height or fence_top(section) - min(foot)
        top = max(foot) + high
        if b - a < 1.0:
            yield Line.through(((a, foot[0]), (a, top)), layer)
        elif feature.height:
            yield Line.through(((a, top), (b, top)), layer)
            for y, z, end in ((a, foot[0], thing.front), (b, foot[1], thing.back)):
                if y == end:
                    yield Line.through(((y, z), (y, top)), layer)
                else:  # broken off
                    yield break_line(((y, z), (y, top)), draft)
        else:
            yield Line.through(((a, foot[0]), (a, top)), layer)
            yield Line.through(((b, foot[1]), (b, top)), layer)
        return
    if feature.kind == "boundary":
        layer = {"site": layers.SITE_EDGE, "other": layers.OTHER_LAND}.get(
            feature.land, layers.PARCEL
        )
    down = draft.full(2.0)
    for y, z in zip((a, b), foot, strict=True):
        yield Line.through(((y, z - down), (y, z + (down if feature.kind == "boundary" else 0.0))),
                           layer)  # fmt: skip


def _names(section: CrossSection, span: Point, placer: Placer) -> Iterator[Text]:
    """Yield what things are called, over them, moved up where other words stand."""
    draft = placer.draft
    for thing in section.things:
        feature = thing.feature
        a, b = _edges(thing)
        words = plain(feature.called)
        if feature.kind in STANDING and feature.height:
            words += f", {draft.figure(feature.height)} high"
        if feature.goes:
            words += " (taken down)"
        if feature.kind in STANDING and not feature.height:
            words += " (height not given)"
        middle = (max(a, span[0]) + min(b, span[1])) / 2.0
        over = _level(section, middle)
        if feature.kind in STANDING:
            over += feature.height or fence_top(section) - over
        step = draft.full(1.8 * draft.text)
        choices = [
            Text(words, (middle, over + draft.full(1.2) + step * lift), draft.text, "centre")
            for lift in range(MOST_LIFTS)
        ]
        text = placer.place(choices, must=True)
        assert text is not None
        yield text


def _levels(fence: FenceModel, section: CrossSection, draft: Draft) -> Iterator[str]:
    """Yield the levels of the ground next to the fence, where anybody gave levels."""
    job, run = fence.job, section.layout.run
    datum = section.layout.legs[section.leg].start[2] + job.origin[2]
    front, back = (datum + section.beside(side) for side in (-1.0, 1.0))
    sides = bool(run.front_ground or run.back_ground)
    if not (job.surveyed or sides or abs(front) >= 0.5):
        return
    words = [draft.figures.site(level, job.origin) for level in (front, back)]
    unit = " m" if draft.figures.in_metres(job.origin) else ""
    if abs(front - back) < 0.5:
        yield f"ground level at the fence {words[0]}{unit}"
    else:
        yield f"ground level in front of the fence {words[0]}{unit}, behind it {words[1]}{unit}"


def _notes(fence: FenceModel, section: CrossSection, span: Point, draft: Draft) -> Iterator[str]:
    """Yield the height on each side, once where they are alike, and what was not given."""
    top = fence_top(section)
    front, back = top - section.beside(-1.0), top - section.beside(1.0)
    if abs(front - back) < 0.5:
        yield f"height here {draft.figure(front)} over the ground"
    else:
        yield (
            f"height here {draft.figure(front)} over the ground in front, "
            f"{draft.figure(back)} over that behind"
        )
    yield from _levels(fence, section, draft)
    if any(item.layer == layers.HIDDEN for item in _ground(section, span)):
        yield "dashed: levels there were not given; the ground is drawn level"
