"""A run laid out once: posts, stretches with their rails and pales, gates with their leaves.

Distances x run along a leg from its start (see `site_line`); the front of the fence is at
negative y.
"""

from __future__ import annotations

import math
from dataclasses import replace

from palewright.model.geometry.shapes import tidy
from palewright.model.resolved.footing_plan import half_of
from palewright.model.resolved.job import RunJob
from palewright.model.resolved.post_feet import BY_ITSELF, Foot
from palewright.model.resolved.words import Follow
from palewright.model.site.site_line import Leg

from .bases import BayBase
from .host_posts import lifts, on_host
from .leaves import leaves_of, raised_for
from .pale_rows import pale_row
from .panel_bays import panel_ends, panel_rails
from .placed_posts import PlacedPost
from .post_places import PostPlace
from .rail_pieces import between_posts, rail_pieces, rail_rows, rail_spans
from .run_layout import Opening, RunLayout, Stretch
from .set_out import PostsBetween, SetOut, bases_between, labels_of, set_out
from .set_pales import set_pales
from .spans import Span

DROPS = 10.0
"""Concrete ends lower on slopes by a multiple of this, so that few footings differ, mm."""

Rows = tuple[tuple[int, ...], ...]


def lay_out(run: RunJob) -> RunLayout:
    """Return a run laid out, its face rails with as few joints as can be.

    The run's gates must be without problems (`gate_problems`).
    """
    out = set_out(run)
    bases = bases_between(run, out.parts)
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
            rails = panel_rails(run, span)
            lengths = tuple(b - a for a, b in panel_ends(run, span))
        else:
            joints = rail_rows(run, span, run.rails.stock_length) if over else ()
            rails = rail_pieces(run, span, joints) if over else ()
            lengths = rail_spans(run, span)
        stretches.append(
            Stretch(
                span.leg_number, span.leg, span.numbers, span.posts, span.xs, span.first,
                span.last, span.settings, row, standing,
                rails=rails,
                bay_rails=() if over else tuple(between_posts(run, span)),
                rail_spans=lengths,
            )
        )  # fmt: skip
    return RunLayout(run, posts, tuple(stretches), openings)


def jointed(run: RunJob, stretch: Stretch, rows: Rows) -> Stretch:
    """Return a stretch with its face rails jointed otherwise."""
    return replace(stretch, rails=rail_pieces(run, stretch, rows))


def _posts(run: RunJob, out: SetOut, bases: list[tuple[BayBase, ...]]) -> tuple[PlacedPost, ...]:
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
    chainages = {number: place.chainage for number, place in enumerate(out.places)}
    ends = (0, len(out.places) - 1)
    lowered = {number: drop for number, drop in zip(ends, run.ramps, strict=True) if drop}
    highest = {number: max(bases) - lowered.get(number, 0.0) for number, bases in levels.items()}
    for number, lift in lifts(run, chainages, highest).items():
        raised[number] = max(lift, raised.get(number, 0.0))
    labels = labels_of(run, out.places)
    posts = (
        _post(
            run,
            replace(
                place,
                raised=raised.get(number, 0.0) - lowered.get(number, 0.0),
                lowered=lowered.get(number, 0.0),
            ),
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
    met = None if place.host is None else on_host(run, place.host)
    ground = place.frame.origin[2]
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
        host="" if met is None else met.label,
        lowered=place.lowered,
        pier=place.pier,
        hold=0.0 if met is None else met.hold,
        floor=0.0 if met is None else tidy(met.floor - ground),
        taken=() if met is None else tuple(tidy(level - ground) for level in met.taken),
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


def _gate_levels(leg: Leg, part: PostsBetween, setting: BayBase) -> tuple[float, float]:
    """Return a gate's base and its highest ground, mm over the leg's start."""
    (start, end) = part.xs
    ground = leg.highest(start, end)
    return (setting.z0 if setting.follow == Follow.LEVEL else ground), ground


def _opening(
    run: RunJob, part: PostsBetween, posts: tuple[PlacedPost, ...], setting: BayBase
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
