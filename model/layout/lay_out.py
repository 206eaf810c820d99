"""A run laid out once: posts, stretches with their rails and pales, gates with their leaves.

Distances x run along a leg from its start (see `site_line`); the front of the fence is at
negative y.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass, field, replace

from palewright.model.geometry.frames import Point
from palewright.model.geometry.shapes import tidy
from palewright.model.resolved.footing_plan import half_of
from palewright.model.resolved.job import RunJob
from palewright.model.resolved.post_feet import BY_ITSELF, Foot
from palewright.model.resolved.words import Follow, PostRole
from palewright.model.site.site_line import Leg

from .bases import BayBase, Place, bases_of
from .fixed_posts import FixedPost, fixed_posts
from .leaves import leaves_of, raised_for
from .line_posts import line_posts
from .pale_rows import pale_row
from .panel_bays import panel_ends, panel_rails, post_edge
from .placed_posts import PlacedPost
from .post_places import PostPlace, fixed_post, post_on_line
from .rail_pieces import between_posts, rail_pieces, rail_rows, rail_spans
from .run_layout import Opening, RunLayout, Stretch
from .set_pales import set_pales
from .spans import Span, StretchEnd

DROPS = 10.0
"""Concrete ends lower on slopes by a multiple of this, so that few footings differ, mm."""

Rows = tuple[tuple[int, ...], ...]


@dataclass(frozen=True)
class _Between:
    """What stands between two fixed posts: bays, or the opening of a gate.

    numbers : of its posts; xs : of the posts, or of an opening's sides; gate : number of the
    gate, None where there is fence; first, last : how a stretch ends.
    """

    leg: int
    numbers: tuple[int, ...]
    xs: tuple[float, ...]
    first: StretchEnd
    last: StretchEnd
    gate: int | None


@dataclass
class _SetOut:
    """A run's posts and what is between them, in the order of the line, while it is set out."""

    places: list[PostPlace] = field(default_factory=list)
    parts: list[_Between] = field(default_factory=list)

    def post(self, place: PostPlace) -> int:
        """Add a post and return its number."""
        self.places.append(place)
        return len(self.places) - 1


def lay_out(run: RunJob) -> RunLayout:
    """Return a run laid out, its face rails with as few joints as can be.

    The run's gates must be without problems (`gate_problems`).
    """
    out = _set_out(run)
    bases = _bases(run, out.parts)
    posts = _posts(run, out, bases)
    legs = run.line.legs
    spans = [
        Span(
            part.leg,
            legs[part.leg],
            part.numbers,
            tuple(posts[number] for number in part.numbers),
            part.xs,
            part.first,
            part.last,
            settings,
        )
        for part, settings in zip(out.parts, bases, strict=True)
        if part.gate is None
    ]
    rows = [(span, pale_row(run, span)) for span in spans]
    pales = set_pales(run, rows)
    openings = tuple(
        _opening(run, part, posts, base[0])
        for part, base in zip(out.parts, bases, strict=True)
        if part.gate is not None
    )
    stretches = []
    for (span, row), standing in zip(rows, pales, strict=True):
        over = run.rails.over_posts
        if run.panels is not None:
            rails, spans = panel_rails(run, span), tuple(b - a for a, b in panel_ends(run, span))
        else:
            joints = rail_rows(run, span, run.rails.stock_length) if over else ()
            rails = rail_pieces(run, span, joints) if over else ()
            spans = rail_spans(run, span)
        stretches.append(
            Stretch(
                span.leg_number, span.leg, span.numbers, span.posts, span.xs, span.first,
                span.last, span.settings, row, standing,
                rails=rails,
                bay_rails=() if over else tuple(between_posts(run, span)),
                rail_spans=spans,
            )
        )  # fmt: skip
    return RunLayout(run, posts, tuple(stretches), openings)


def jointed(run: RunJob, stretch: Stretch, rows: Rows) -> Stretch:
    """Return a stretch with its face rails jointed otherwise."""
    return replace(stretch, rails=rail_pieces(run, stretch, rows))


def _set_out(run: RunJob) -> _SetOut:
    """Return the posts of a run and what is between them, in the order of the line."""
    legs = run.line.legs
    fixed, _ = fixed_posts(run)
    out = _SetOut()
    for number, leg in enumerate(legs):
        marks = fixed[number]
        at = len(out.places) - 1
        if number == 0 or marks[0].pair:
            at = out.post(fixed_post(run, legs, number, marks[0]))
        for this, following in itertools.pairwise(marks):
            xs, numbers = [this.x], [at]
            ends = _room_for_bays(run, number, (this, out.places[at]), following)
            for x in line_posts(run, number, *ends) if this.fence_after else ():
                xs.append(x)
                numbers.append(out.post(post_on_line(run, leg, x, PostRole.LINE)))
            closing = following is marks[-1] and run.line.closed and number == len(legs) - 1
            if closing and not following.pair:
                at = 0
            else:
                at = out.post(fixed_post(run, legs, number, following))
            xs.append(following.x)
            numbers.append(at)
            if this.broken:
                continue
            limits = _limit(run, leg, this), _limit(run, leg, following)
            if this.opening is not None:
                half = run.posts.of_gate(this.opening).width / 2.0
                xs = [this.x + half, following.x - half]
            out.parts.append(_Between(number, tuple(numbers), tuple(xs), *limits, this.opening))
    return out


def _room_for_bays(
    run: RunJob, number: int, this: tuple[FixedPost, PostPlace], following: FixedPost
) -> Point:
    """Return from where to where bays are shared out between two fixed posts of a leg: from middle
    to middle, or so that panels between the posts come out equally long where they are thicker.
    """
    mark, place = this
    zoned = bool(run.zones) and bool(run.zones[number])
    if run.panels is None or not run.panels.between or zoned:
        return mark.x, following.x
    leg = run.line.legs[number]
    last = fixed_post(run, run.line.legs, number, following)
    half = run.posts.line.width / 2.0
    return (
        post_edge(run, leg, place, to_right=True) - half,
        post_edge(run, leg, last, to_right=False) + half,
    )


def _bases(run: RunJob, parts: list[_Between]) -> list[tuple[BayBase, ...]]:
    """Return the bases of the bays of each part; of a gate there is one."""
    half = run.pales.widest / 2.0
    places = []
    for part in parts:
        if part.gate is not None:
            (start, end) = part.xs
            places.append(Place(part.leg, start, end, (start, end)))
            continue
        for bay, (x0, x1) in enumerate(itertools.pairwise(part.xs)):
            low = min(x0, part.first.x) if bay == 0 else x0
            high = max(x1, part.last.x) if bay == len(part.xs) - 2 else x1
            places.append(Place(part.leg, x0, x1, (low - half, high + half)))
    bases = iter(bases_of(run, run.line.legs, places))
    return [tuple(itertools.islice(bases, len(part.xs) - 1)) for part in parts]


def _posts(run: RunJob, out: _SetOut, bases: list[tuple[BayBase, ...]]) -> tuple[PlacedPost, ...]:
    """Return the posts, as high as the bays beside them and as deep as their ground asks for."""
    legs = run.line.legs
    levels: dict[int, list[float]] = {}  # of the bases at each post
    stations: dict[int, list[tuple[int, float]]] = {}  # of each post: leg, x
    raised: dict[int, float] = {}  # of posts of gates whose leaves are higher than the fence
    for part, settings in zip(out.parts, bases, strict=True):
        leg = legs[part.leg]
        if part.gate is not None:
            base, _ = _gate_levels(leg, part, settings[0])
            lift = raised_for(run, part.gate)
            for number in part.numbers:
                raised[number] = max(lift, raised.get(number, 0.0))
                levels.setdefault(number, []).append(leg.start[2] + base)
                x = leg.frame.local(out.places[number].frame.origin)[0]
                stations.setdefault(number, []).append((part.leg, x))
            continue
        for bay, setting in enumerate(settings):
            for end, x in ((bay, setting.x0), (bay + 1, setting.x1)):
                levels.setdefault(part.numbers[end], []).append(leg.start[2] + setting.base(x))
        for number, x in zip(part.numbers, part.xs, strict=True):
            stations.setdefault(number, []).append((part.leg, x))
    labels = _labels(run, out.places)
    posts = (
        _post(
            run,
            replace(place, raised=raised.get(number, 0.0)),
            labels[number],
            levels[number],
            stations[number],
        )
        for number, place in enumerate(out.places)
    )
    tops = {post.label: post.top for post in run.stood if post.top is not None}
    return tuple(replace(post, top=tops.get(post.label, post.top)) for post in posts)


def _post(
    run: RunJob,
    place: PostPlace,
    label: str,
    levels: list[float],
    stations: list[tuple[int, float]],
) -> PlacedPost:
    """Return a post. levels : of the bases beside it, stations : leg and x where it stands, mm."""
    plan = run.post_plan(place.kind, place.gate)
    if place.raised:
        plan = replace(plan, above_rail=plan.above_rail + place.raised)
    rise = max(0.0, tidy(max(levels) - place.frame.origin[2]))
    if place.kept:
        plan = replace(plan, foot=BY_ITSELF)
    drop = _drop(run, plan.foot, place, stations)
    return PlacedPost(
        place.kind,
        plan,
        place.frame,
        place.chainage,
        label,
        rise,
        step=tidy(max(levels) - min(levels)),
        drop=drop,
        # on sloping ground the rails of its higher bay decide
        top=run.rails.tops[-1] + plan.above_rail + rise,
        footing=plan.foot.filled(drop),
        kept=place.kept,
        named=place.named,
        fence_on=place.fence_on,
    )


def _drop(run: RunJob, foot: Foot, place: PostPlace, stations: list[tuple[int, float]]) -> float:
    """Return how far the ground falls from a post's middle to the edge of its hole, mm."""
    if foot.dug is None:
        return 0.0
    half = half_of(foot.dug.hole)
    legs = run.line.legs
    lowest = min(legs[leg].start[2] + legs[leg].lowest(x - half, x + half) for leg, x in stations)
    fall = max(0.0, place.frame.origin[2] - lowest)
    deep = foot.deep - foot.dug.bed
    return min(DROPS * math.ceil(fall / DROPS - 1e-6), deep / 2.0)


def _labels(run: RunJob, places: list[PostPlace]) -> dict[int, str]:
    """Return the labels of posts by number: A01, A02 in the order of chainage."""
    order = sorted(range(len(places)), key=lambda number: places[number].chainage)
    digits = max(2, len(str(len(places))))
    return {number: f"{run.letter}{place:0{digits}d}" for place, number in enumerate(order, 1)}


def _gate_levels(leg: Leg, part: _Between, setting: BayBase) -> tuple[float, float]:
    """Return a gate's base and its highest ground, mm over the leg's start."""
    (start, end) = part.xs
    ground = leg.highest(start, end)
    return (setting.z0 if setting.follow == Follow.LEVEL else ground), ground


def _opening(
    run: RunJob, part: _Between, posts: tuple[PlacedPost, ...], setting: BayBase
) -> Opening:
    assert part.gate is not None
    leg = run.line.legs[part.leg]
    base, ground = _gate_levels(leg, part, setting)
    base = tidy(base)
    (first, last), (start, end) = part.numbers, part.xs
    spec = run.gates.openings[part.gate]
    return Opening(
        part.leg,
        leg,
        start,
        end,
        (first, last),
        (posts[first], posts[last]),
        spec,
        part.gate,
        base,
        ground,
        leaves_of(run, part.gate, (start, end), ground, base),
    )


def _limit(run: RunJob, leg: Leg, mark: FixedPost) -> StretchEnd:
    if mark.kind in (PostRole.CORNER, PostRole.BEND):
        x = 0.0 if mark.at_start else leg.length
        turn = leg.turn_start if mark.at_start else leg.turn_end
        return StretchEnd(x, PostRole.CORNER, turn, mark.pair)
    if mark.kind == PostRole.WALL:
        away = run.walls.gap - run.walls.plate.width / 2.0
        starts = mark.at_start or mark.resumes
        return StretchEnd(mark.x + (away if starts else -away), PostRole.WALL)
    if mark.kind == PostRole.END:
        half = run.posts.end.width / 2.0
        starts = mark.at_start or mark.resumes
        return StretchEnd(mark.x + (-half if starts else half), PostRole.END)
    half = run.post_plan(PostRole.GATE, mark.gate).width / 2.0
    opens = mark.opening is not None or (mark.bent and not mark.at_start)
    if mark.bent:
        # inside a bend rails and pales lean over the post's edge, towards the gate
        turn = min(0.0, leg.turn_start if mark.at_start else leg.turn_end)
        half -= run.pale_front * math.tan(math.radians(-turn))
    return StretchEnd(mark.x + (half if opens else -half), PostRole.GATE)
