"""The front elevation of a front of a fence, whole or in parts."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from palewright.export.drawing.draft import style as layers
from palewright.export.drawing.draft.drafting import Draft
from palewright.export.drawing.draft.view import Dimension, Item, Line, Text, View
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.frames import Point
from palewright.model.layout.heights import heights
from palewright.model.layout.placed_posts import PlacedPost
from palewright.model.layout.run_layout import Opening
from palewright.model.layout.side_ground import Side, sides_apart
from palewright.model.resolved.footing_plan import half_of

from .dimensions import beyond, level_chain
from .front import Front, FrontPart, Stations, members_near
from .ground_levels import LevelRow, ground_notes, level_note, level_row
from .members_shown import FAR, Facing, Window, ground_line, show, wall
from .post_labels import post_labels
from .side_lines import side_lines, sides_shown
from .small_scale import NOTE, outlines, too_small
from .titles import titled

GROUND_PAST, PAST_WORDS = 7.0, 3.0
"""How far the ground line runs past the fence, and past the words on it, mm on paper."""


@dataclass(frozen=True)
class Elevation:
    """A part of a front as it is drawn.

    overall : give the greatest height over the ground and the length alone, for a planning
    drawing, instead of the bays.
    """

    fence: FenceModel
    part: FrontPart
    draft: Draft
    overall: bool

    @property
    def front(self) -> Front:
        """The front that the part is of."""
        return self.part.front

    @property
    def stations(self) -> Stations:
        """The posts that are shown, with their x."""
        return self.part.stations

    @cached_property
    def window(self) -> Window:
        """What is shown: to the match lines, or all there is."""
        first, last = self.stations[0][0], self.stations[-1][0]
        return Window(
            left=-FAR if self.part.at_start else first, right=FAR if self.part.at_end else last
        )

    @cached_property
    def span(self) -> Point:
        """From where to where the fence is shown, mm."""
        left, right = self.front.extent()
        return (
            left if self.part.at_start else self.stations[0][0],
            right if self.part.at_end else self.stations[-1][0],
        )

    @cached_property
    def level_words(self) -> str:
        """What stands at both ends of a level front: the level of its ground, where it is said."""
        if not self.front.level or (self.overall and not level_said(self)):
            return ""
        return level_note(self.front, self.fence.job.origin, self.draft)

    @cached_property
    def past(self) -> float:
        """How far the ground line runs past the fence, mm."""
        words = self.draft.width(self.level_words) + self.draft.full(PAST_WORDS)
        return max(self.draft.full(GROUND_PAST), words if self.level_words else 0.0)

    @cached_property
    def ground_span(self) -> Point:
        """From where to where the ground is shown: past the fence, but not into a wall, mm."""
        past = self.past
        open_start = self.part.at_start and not is_wall(self.stations[0])
        open_end = self.part.at_end and not is_wall(self.stations[-1])
        left, right = self.span
        return left - (past if open_start else 0.0), right + (past if open_end else 0.0)

    @cached_property
    def in_outline(self) -> bool:
        """Whether pales would run into one another at the scale, and outlines are drawn."""
        return too_small(self.front, self.draft)

    @cached_property
    def deepest(self) -> float:
        """The lowest that is drawn: of the ground, and of the holes unless they are left out."""
        left, right = self.ground_span
        xs = (left, right, *(x for x, _ in self.front.ground))
        lowest = min(self.front.ground_at(x) for x in xs if left <= x <= right)
        sides = sides_shown(self.front, self.span)
        lowest = min(lowest, *(z for _, ground in sides for _, z in ground), lowest)
        if self.overall:
            return lowest
        return min(lowest, *(_hole_bottom(self.front, post) for _, post in self.stations))

    @cached_property
    def top(self) -> float:
        """The highest top of posts and pales that is shown."""
        left, right = self.span
        return max(z for x, z in self.front.tops if left - 1.0 <= x <= right + 1.0)


def elevation(fence: FenceModel, part: FrontPart, draft: Draft, *, overall: bool = False) -> View:
    """Return the front elevation of a part of a front.

    x runs along the front from its start, y up from the ground there. overall : give the greatest
    height over the ground and the length alone, for a planning drawing, instead of the bays.
    """
    shown = Elevation(fence, part, draft, overall)
    widths = list(_widths(shown))
    items: list[Item] = [
        *members_seen(shown),
        *ground_line(shown.front.ground, shown.ground_span, draft, shown.front.known),
        *match_lines(shown),
        *end_walls(shown),
        *widths,
        *post_labels(shown.front, shown.stations, draft, heights=not overall),
        *_levels(shown, min((line.base[1] for line in widths), default=shown.deepest)),
        *_hanging_sides(shown),
        *side_lines(shown.front, shown.span, fence.job.origin, draft, _words_at_end(shown)),
    ]
    notes = [NOTE] if shown.in_outline else []
    dug = [post.plan.foot.dug for _, post in shown.stations]
    hole = next((one.hole for one in dug if one is not None), None)
    if not overall and hole is not None:
        notes.append(f"holes {draft.figures.dug(hole)}")
    notes += ground_notes(shown.front, items)
    if overall:
        items += _height_line(shown)
        notes += _height_note(shown)
    return titled(_title(shown), items, draft, left=shown.span[0], notes=notes)


def is_wall(station: tuple[float, PlacedPost]) -> bool:
    """Tell whether a post of a front is a plate on a wall."""
    return station[1].on_wall


def _title(shown: Elevation) -> str:
    front, stations = shown.front, shown.stations
    name = elevation_name(front)
    posts = f"{stations[0][1].label} to {stations[-1][1].label}"
    title = f"Elevation {name}, posts {posts}"
    if shown.overall:
        title = f"Proposed elevation {name} from the front, {posts}"
    if len(front.legs) == 1:
        return title
    curved = any(front.layout.legs[leg].bent_start for leg in front.legs[1:])
    return f"{title}, {'curve' if curved else 'slight corners'} laid out flat"


def elevation_name(front: Front) -> str:
    """Return an elevation's mark, with the name that its run was given."""
    run = front.layout.run
    given = "" if run.called == f"run {run.letter}" else f" of {run.called}"
    return f"{run.letter}{front.number}{given}"


def _hole_bottom(front: Front, post: PlacedPost) -> float:
    """Return the level of the bottom of a post's hole in the front, mm."""
    return post.frame.origin[2] - front.datum - post.plan.foot.deep


def members_seen(shown: Elevation) -> Iterator[Item]:
    """Yield what is seen of the members of a front, or its outlines at a small scale."""
    front, window, buried = shown.front, shown.window, not shown.overall
    if shown.in_outline:
        yield from outlines(front, shown.stations, window, shown.draft, buried=buried)
        return
    for leg in front.legs:
        low, high = front.reach(leg)
        left, right = max(window.left, low), min(window.right, high)
        if left >= right:
            continue
        start = front.starts[leg]
        members = members_near(shown.fence, shown.part.run, leg, left - start, right - start)
        facing = Facing(front.view(leg), Window(left=left, right=right), front.ground)
        yield from show(members, facing, buried=buried)


def match_lines(shown: Elevation) -> Iterator[Line]:
    """Yield the lines at which a part is cut."""
    n = shown.draft.n
    cuts = (not shown.part.at_start, not shown.part.at_end)
    for cut, x in zip(cuts, (shown.stations[0][0], shown.stations[-1][0]), strict=True):
        if cut:
            top = shown.front.top_near(x, shown.front.repeat) + 3.0 * n
            yield Line.through(((x, shown.deepest - 4.0 * n), (x, top)), layers.MATCH)


def end_walls(shown: Elevation) -> Iterator[Item]:
    """Yield the walls that a front starts and ends on."""
    front, n = shown.front, shown.draft.n
    left, right = shown.span
    for x, station, way in (
        (left, shown.stations[0], -1.0), (right, shown.stations[-1], 1.0)
    ):  # fmt: skip
        if is_wall(station):
            edge = 0.0 if way < 0 else front.length
            low = front.ground_at(edge) - 0.35 * n
            levels = (min(low, front.ground_at(x)), shown.top + 4.0 * n)
            yield from wall(edge, way, levels, shown.draft)


def _widths(shown: Elevation) -> Iterator[Dimension]:
    """Yield bays and the overall length; where pales are too close to be drawn, bays are too
    close to be dimensioned, and the length of the part stands alone.
    """
    draft, deepest = shown.draft, shown.deepest
    tier = deepest - draft.full(draft.style.first_tier)
    if not shown.overall and not shown.in_outline:
        # from the concrete, so that extension lines do not run over the posts' feet
        bays = level_chain([(x, deepest) for x, _ in shown.stations], tier, draft)
        yield from bays
        if not (shown.part.at_start and shown.part.at_end):
            return
        tier -= draft.full(draft.style.tier) + beyond(bays, tier, draft)
    left, right = shown.span
    yield Dimension((left, deepest), (right, deepest), (0.0, tier))


def _hanging_sides(shown: Elevation) -> Iterator[Line]:
    """Mark each leaf's hanging side: dashed lines from the free side meet on it."""
    front = shown.front
    for opening in front.layout.openings:
        if opening.leg_number not in front.starts:
            continue
        start = front.starts[opening.leg_number]
        if not shown.window.holds(start + (opening.start + opening.end) / 2.0):
            continue
        base = front.rise(opening.leg_number) + opening.base
        if opening.leaves[0].plan.slide is not None:
            yield from _sliding_sign(opening, start, base)
            continue
        for leaf in opening.leaves:
            hung, free = (leaf.x0, leaf.x1) if leaf.hinge_left else (leaf.x1, leaf.x0)
            hung, free = start + hung, start + free
            foot = base + leaf.foot
            head = foot + (leaf.lengths or (leaf.height,))[-1 if leaf.hinge_left else 0]
            sign = ((free, foot), (hung, (foot + head) / 2.0), (free, head))
            yield Line.through(sign, layers.SYMBOLS)


def _sliding_sign(opening: Opening, start: float, base: float) -> Iterator[Line]:
    """Mark which way a leaf slides: an arrow across the opening."""
    leaf, (x0, x1) = opening.leaves[0], (start + opening.start, start + opening.end)
    ends = (x1, x0) if leaf.hinge_left else (x0, x1)
    quarter = (ends[1] - ends[0]) / 4.0
    tail, tip = ends[0] + quarter, ends[1] - quarter
    z, wing = base + leaf.foot + leaf.height / 2.0, abs(quarter) / 4.0
    back = tip - math.copysign(wing, quarter)
    yield Line.through(((tail, z), (tip, z)), layers.SYMBOLS)
    yield Line.through(((back, z + wing / 2.0), (tip, z), (back, z - wing / 2.0)), layers.SYMBOLS)


def level_said(shown: Elevation) -> bool:
    """Tell whether anybody said at what level the ground is: a bare line lies at 0."""
    job = shown.fence.job
    return job.surveyed or abs(shown.front.datum + job.origin[2]) >= 0.5


def _levels(shown: Elevation, lowest: float) -> Iterator[Item]:
    """Write the ground's level: at both ends of a level front, in a row under a sloping one.

    lowest : of the dimension lines.
    """
    front, n, origin = shown.front, shown.draft.n, shown.fence.job.origin
    if front.level:
        text = shown.level_words
        if not text:
            return
        left, right = shown.span
        for x, align, station in (
            (left - 1.5 * n, "right", shown.stations[0]),
            (right + 1.5 * n, "left", shown.stations[-1]),
        ):
            if not is_wall(station):
                yield Text(text, (x, 1.2 * n), shown.draft.text, align)
        return
    xs = tuple(x for x, _ in shown.stations)
    inner = tuple(x for x, _ in front.ground if xs[0] < x < xs[-1])
    yield from level_row(LevelRow(front, origin, xs, inner, lowest - 4.0 * n), shown.draft)


def _words_at_end(shown: Elevation) -> tuple[float, list[float]]:
    """Return how far a hole reaches past the fence at its right, and where words stand there: its
    level, and the ground line.
    """
    at_end = shown.front.ground_at(shown.span[1])
    post = shown.stations[-1][1]
    taken = None if shown.overall else post.plan.foot.taken
    half = 0.0 if taken is None else half_of(taken)
    past = max(0.0, shown.stations[-1][0] + half - shown.span[1])
    return past, [at_end, at_end + 1.2 * shown.draft.n]


def _heights(shown: Elevation, side: Side) -> list[Point]:
    """Return heights of the part over the ground of a side, mm, and where they are."""
    front = shown.front
    first, last = shown.stations[0][0] - 1.0, shown.stations[-1][0] + 1.0
    return [
        (height, front.starts[leg] + x)
        for height, leg, x in heights(front.layout, side)
        if leg in front.starts and first <= front.starts[leg] + x <= last
    ]


def _height_line(shown: Elevation) -> Iterator[Dimension]:
    """Dimension the greatest height over level ground."""
    if shown.front.level and shown.part.at_start:
        left, (highest, _) = shown.span[0], max(_heights(shown, "line"))
        x = left - shown.past - 4.0 * shown.draft.n
        yield Dimension((left, 0.0), (left, highest), (x, 0.0), 90.0)


BESIDE: dict[Side, str] = {
    "line": "beside the fence", "front": "in front", "back": "behind"
}  # fmt: skip
"""Whose ground a height is over, in words."""


def _height_note(shown: Elevation) -> list[str]:
    """Say in words how high it is over the ground: once where that is alike on both sides, and
    not where the height is dimensioned.
    """
    sides = sides_apart(shown.front.layout.run)
    measured = {side: _heights(shown, side) for side in sides}
    alike = all(found == measured[sides[0]] for found in measured.values())
    if alike and shown.front.level and shown.part.at_start:
        line = max(_heights(shown, "line"))[0]
        if abs(max(measured[sides[0]])[0] - line) < 0.5:
            return []
    notes = []
    for side in sides[:1] if alike else sides:
        highest, at = max(measured[side])
        where = min(shown.stations, key=lambda station: abs(station[0] - at))[1].label
        ground = "on both sides" if alike and len(sides) > 1 else BESIDE[side]
        height = shown.draft.figure(highest)
        notes.append(f"greatest height over the ground {ground}: {height}, at {where}")
    return notes
