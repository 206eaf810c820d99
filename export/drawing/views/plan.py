"""Plans of a fence in site coordinates: x east, y north."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import chain

from palewright.export.drawing.draft import style as layers
from palewright.export.drawing.draft.drafting import Draft
from palewright.export.drawing.draft.view import Block, Insert, Item, Line, Text, View
from palewright.model.basis.text import plain
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.frames import Point
from palewright.model.geometry.post_shapes import Post
from palewright.model.geometry.shapes import Bar, Plate, Tenoned
from palewright.model.layout.placed_posts import PlacedPost
from palewright.model.layout.run_layout import RunLayout
from palewright.model.lists.cross_sections import cross_section
from palewright.model.lists.crossings import round_fence
from palewright.model.lists.distances import block_window
from palewright.model.parts.members import KEPT_POST, LEDGE, PALE, PLATES, RAIL, SET_POSTS, Member

from .contour_lines import fence_contours
from .masked_figures import masked_figures
from .placing import Placer
from .plan_distances import distance_lines, short_distances
from .plan_labels import diagonals_shown, gap_names, gate_name, opening_name, post_names, turns_of
from .plan_lengths import lengths, too_short
from .plan_symbols import below, fence_line, north, swings
from .post_chainages import chainage_rows, unsaid
from .site_section import section_mark
from .site_things import kept_clear, names_in, site_things, thing_names
from .tie_lines import gap_lengths, point_names, tie_lines
from .titles import NOTE_BELOW, NOTE_STEP

ROWS_WIDE = 240.0
"""Paper for rows of chainages under a plan, mm."""


def setting_out_plan(fence: FenceModel, draft: Draft) -> View:
    """Return the plan to set posts out from.

    Posts with labels and running chainage where there is room, the length of every leg, where
    gates stand in it, the angle at every corner and a diagonal across it to check it by.
    """
    items = list(_members(fence))
    placer = Placer(draft)
    things = list(site_things(fence, draft))
    items += things
    for layout in fence.layouts:
        items += fence_line(layout, placer)
        items += swings(layout, placer)
        _keep_fence_clear(layout, placer)
        items += lengths(layout, placer, gates=True)
    items += gap_lengths(fence, placer)
    for item in things:  # after the dimensions, which may cross them
        placer.take(item)
    for layout in fence.layouts:
        items += gap_names(layout, placer)
        items += kept_clear(layout, placer)
    for fixed in (True, False):
        for layout in fence.layouts:
            items += post_names(layout, placer, fixed=fixed)
    for layout in fence.layouts:
        for opening in layout.openings:
            items += opening_name(opening, placer)
    items += thing_names(fence, placer)
    items += point_names(fence, placer)
    checks = []
    shown = (diagonals_shown(layout, placer) for layout in fence.layouts)
    for figure, line in chain.from_iterable((*shown, tie_lines(fence, placer))):
        items.append(figure)
        checks.append(line)
    for a, b in checks:  # once all texts have their places, so that lines stop at them
        items += (Line.through(part, layers.CHECK) for part in placer.gaps_in(a, b))
    ground, said = fence_contours(fence, placer)
    items += ground
    items += north(items, draft)
    x, y = below(items, draft)
    low = NOTE_BELOW * draft.text * draft.n
    for words in (*_notes(fence, draft), *([said] if said else [])):
        items.append(Text(words, (x, y - low), draft.text))
        low += NOTE_STEP * draft.text * draft.n
    items += _chainages(fence, items, (x, y - low), draft)
    shown_items = tuple(masked_figures(items, draft))
    return View(
        "Setting-out plan", draft.n, shown_items, titled_at=(x, y), scale_text=draft.scale.text
    )


def block_plan(fence: FenceModel, draft: Draft, *, apart: bool = False) -> View:
    """Return the plan for a planning enquiry: line, lengths, gates and their swing, north.

    apart : reach farther round the fence, give distances to what is there, mark the section.
    """
    items: list[Item] = []
    placer = Placer(draft)
    window = block_window(fence) if apart else round_fence(fence)
    things = list(site_things(fence, draft, window))
    for layout in fence.layouts:
        if layout.run.given and layout.run.line_is.startswith("boundary"):
            closed = layout.run.line.closed
            things.append(Line.through(layout.run.given, layers.PARCEL, closed=closed))
        for stretch in layout.stretches:
            frame = stretch.leg.frame
            ends = [frame.point((x, 0.0, 0.0))[:2] for x in (stretch.first.x, stretch.last.x)]
            things.append(Line.through((ends[0], ends[1]), layers.BOUNDARY))
        items += swings(layout, placer)
        items += lengths(layout, placer, gates=False)
    near = list(distance_lines(fence, things, placer)) if apart else []
    items += near
    for item in things:  # after the dimensions, which may cross them
        placer.take(item)
        items.append(item)
    for layout in fence.layouts:
        for opening in layout.openings:
            items += gate_name(opening, placer)
        items += gap_names(layout, placer)
    if window is not None:
        items += names_in(window, fence.job.features, fence, placer, led=apart)
    items += short_distances(fence, near, placer) if apart else ()
    section = cross_section(fence) if apart else None
    if section is not None:
        items += section_mark(section, placer)
    ground, said = fence_contours(fence, placer)
    items += ground
    items += north(items, draft)
    x, y = below(items, draft)
    if said:
        items.append(Text(said, (x, y - NOTE_BELOW * draft.text * draft.n), draft.text))
    return View(
        "Block plan, proposed fence", draft.n, tuple(masked_figures(items, draft)),
        titled_at=(x, y),
        scale_text=draft.scale.text,
    )  # fmt: skip


def _keep_fence_clear(layout: RunLayout, placer: Placer) -> None:
    """Mark the ground that the fence stands on as taken."""
    front, back = -layout.run.fence_front, layout.run.face
    for leg in layout.legs:
        band = ((0.0, front), (leg.length, front), (leg.length, back), (0.0, back))
        placer.keep_clear([leg.frame.point((x, y, 0.0))[:2] for x, y in band])


def _chainages(fence: FenceModel, items: Sequence[Item], at: Point, draft: Draft) -> Iterator[Item]:
    """Yield rows under the plan for posts whose chainage has no room on it. at : where they may
    start.
    """
    yield from chainage_rows(chainages_missing(fence, items, draft), at, ROWS_WIDE, draft)


def chainages_missing(fence: FenceModel, items: Sequence[Item], draft: Draft) -> list[PlacedPost]:
    """Return the posts that no item of a plan names with their chainage."""
    return [
        post
        for layout in fence.layouts
        for post in unsaid(layout.posts, turns_of(layout), items, draft)
    ]


def _notes(fence: FenceModel, draft: Draft) -> Iterator[str]:
    """Yield what to know of a setting-out plan."""
    if fence.job.planned:
        yield "as built: the posts are where they were measured; see the as-built lists"
    yield from _about_origin(fence, draft)
    yield from lines_given(fence, draft)
    yield from levels_given(fence, draft)
    if any(too_short(leg, draft) for layout in fence.layouts for leg in layout.legs):
        yield "lengths of the shortest legs are in the table alone"


def lines_given(fence: FenceModel, draft: Draft) -> Iterator[str]:
    """Yield what the line that was given marks, of runs where it is not the middle of the posts."""
    for layout in fence.layouts:
        run = layout.run
        if run.given:
            free = f", {draft.figure(run.inset)} kept free" if run.inset else ""
            yield f"{run.called}: given is the {run.line_is}{free}; chainage is along the posts"


MOST_LEVELS = 8
"""The places of more levels than this are not named."""


def levels_given(fence: FenceModel, draft: Draft) -> Iterator[str]:
    """Yield at what chainage levels of the ground were given, of runs that are not on a surface."""
    for layout in fence.layouts:
        line, ground = layout.run.line, layout.run.ground
        if ground.by == "surface" or len(line.knots) < 2:
            continue
        places = sorted(line.chainage(x) for x, _ in line.knots)
        named = ", ".join(draft.figure(x) for x in places)
        if len(places) > MOST_LEVELS:
            named = f"{len(places)} places"
        ends = () if line.closed else (places[0], line.length - places[-1])
        beyond = ", level beyond" if any(end > 1.0 for end in ends) else ""
        yield f"{layout.run.called}: ground levels given at {named}; straight between{beyond}"


def _about_origin(fence: FenceModel, draft: Draft) -> Iterator[str]:
    """Say which site coordinates the drawing's own start from, where they are not the same."""
    origin, figures = fence.job.origin, draft.figures
    if origin == (0.0, 0.0, 0.0):
        return
    east, north, level = (figures.site(value, origin) for value in origin)
    grid = f" of {plain(fence.job.crs)}" if fence.job.crs else ""
    unit = " m" if figures.in_metres(origin) else ""
    words = f"drawn about {east} east, {north} north, level {level}{unit}{grid}; the table has site"
    yield f"{words} coordinates"


def _members(fence: FenceModel) -> Iterator[Item]:
    """Yield pales, rails and posts seen from above; each kind of pale is a block."""
    blocks: dict[str, Block] = {}
    for member in fence.members:
        match member.shape:
            case Plate() as plate if member.kind == PALE:
                name = f"{member.mark}-PLAN"
                if name not in blocks:
                    line = Line.through(plate.plan(), layers.PALES, closed=True)
                    blocks[name] = Block(name, (line,))
                x, y, _ = member.frame.origin
                turn = math.degrees(math.atan2(member.frame.x[1], member.frame.x[0]))
                yield Insert(blocks[name], (x, y), layers.PALES, turn)
            case Bar() as bar if member.kind in (RAIL, LEDGE):
                yield _placed(bar_plan(bar), member, layers.RAILS)
            case Tenoned(bar):
                yield _placed(bar_plan(bar), member, layers.RAILS)
            case Post(width, depth) if member.kind in (*SET_POSTS, *PLATES, KEPT_POST):
                w, d = width / 2.0, depth / 2.0
                yield _placed([(-w, -d), (w, -d), (w, d), (-w, d)], member, layers.POSTS)
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


def _placed(loop: list[Point], member: Member, layer: layers.Layer) -> Line:
    points = tuple(member.frame.point((x, y, 0.0))[:2] for x, y in loop)
    return Line.through(points, layer, closed=True)
