"""Where posts stand: fixed posts, stretches between them, bays and gate openings.

Distances x run along a leg from its start (see `line`); the front of the fence is at negative y.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

from palewright.model.geometry.shapes import tidy
from palewright.model.resolved.job import RunJob
from palewright.model.resolved.words import Follow, PostRole
from palewright.model.site.site_line import Leg

from .bases import BayBase, Place, bases_of
from .fixed_posts import FixedPost, fixed_posts
from .post_places import fixed_post, post_on_line
from .run_layout import Opening, PlacedPost, RunLayout, Stretch, StretchEnd
from .spacing import equal_bays, standard_bays

DROPS = 10.0
"""Concrete ends lower on slopes by a multiple of this, so that few footings differ, mm."""


def lay_out(run: RunJob) -> RunLayout:
    """Return where the posts of a run stand, its stretches and its gate openings.

    The run's gates must be without problems (`gate_problems`).
    """
    legs = run.line.legs
    fixed, _ = fixed_posts(run)
    posts: list[PlacedPost] = []
    stretches: list[Stretch] = []
    openings: list[Opening] = []
    first_number = 0
    for number, leg in enumerate(legs):
        marks = fixed[number]
        at = len(posts) - 1
        if number == 0 or marks[0].pair:
            at = len(posts)
            posts.append(fixed_post(run, legs, number, marks[0]))
        for this, following in itertools.pairwise(marks):
            xs = [this.x]
            numbers = [at]
            if this.opening is None:
                bays = (equal_bays if run.posts.layout == "equal" else standard_bays)(
                    following.x - this.x, run.posts.bay
                )
                if run.line.turned:
                    bays = bays[::-1]  # the make-up bay comes last as the user counts
                for bay in bays[:-1]:
                    xs.append(xs[-1] + bay)
                    numbers.append(len(posts))
                    posts.append(post_on_line(run, leg, xs[-1], PostRole.LINE))
            closing = following is marks[-1] and run.line.closed and number == len(legs) - 1
            if closing and not following.pair:
                at = first_number
            else:
                at = len(posts)
                posts.append(fixed_post(run, legs, number, following))
            xs.append(following.x)
            numbers.append(at)
            if this.opening is None:
                first, last = _limit(run, leg, this), _limit(run, leg, following)
                stretches.append(Stretch(number, tuple(numbers), tuple(xs), first, last))
            else:
                half = run.posts.gate.width / 2.0
                openings.append(
                    Opening(
                        number,
                        this.x + half,
                        following.x - half,
                        (numbers[0], numbers[-1]),
                        run.gates.openings[this.opening],
                        this.opening,
                    )
                )
    return _on_ground(RunLayout(run, _labelled(run, posts), tuple(stretches), tuple(openings)))


def _on_ground(layout: RunLayout) -> RunLayout:
    """Return the layout with the settings of its bays and gates, and its posts as high as these."""
    run, legs = layout.run, layout.legs
    half = run.pales.width / 2.0
    keyed: list[tuple[tuple[int, float], Place, int, int]] = []
    for number, stretch in enumerate(layout.stretches):
        for bay, (x0, x1) in enumerate(itertools.pairwise(stretch.xs)):
            low = min(x0, stretch.first.x) if bay == 0 else x0
            high = max(x1, stretch.last.x) if bay == len(stretch.xs) - 2 else x1
            place = Place(stretch.leg, x0, x1, (low - half, high + half))
            keyed.append(((stretch.leg, x0), place, number, bay))
    for number, opening in enumerate(layout.openings):
        place = Place(opening.leg, opening.start, opening.end, (opening.start, opening.end))
        keyed.append(((opening.leg, opening.start), place, number, -1))
    keyed.sort(key=lambda item: item[0])
    found = bases_of(run, legs, [place for _, place, _, _ in keyed])
    bays: dict[int, dict[int, BayBase]] = {}
    openings = list(layout.openings)
    bases: dict[int, list[float]] = {}
    for (_, place, number, bay), setting in zip(keyed, found, strict=True):
        leg = legs[place.leg]
        if bay >= 0:
            bays.setdefault(number, {})[bay] = setting
            stretch = layout.stretches[number]
            for end, x in ((bay, place.x0), (bay + 1, place.x1)):
                bases.setdefault(stretch.posts[end], []).append(leg.start[2] + setting.base(x))
            continue
        ground = leg.highest(place.x0, place.x1)
        base = setting.z0 if setting.follow == Follow.LEVEL else ground
        openings[number] = replace(openings[number], base=tidy(base), ground=ground)
        for post in openings[number].posts:
            bases.setdefault(post, []).append(leg.start[2] + base)
    places = _places(layout)
    posts = [
        replace(
            post,
            rise=max(0.0, tidy(max(bases[number]) - post.frame.origin[2])),
            step=tidy(max(bases[number]) - min(bases[number])),
            drop=_drop(layout, post, places[number]),
        )
        for number, post in enumerate(layout.posts)
    ]
    stretches = (
        replace(stretch, settings=tuple(bays[number][bay] for bay in range(len(stretch.xs) - 1)))
        for number, stretch in enumerate(layout.stretches)
    )
    return RunLayout(run, tuple(posts), tuple(stretches), tuple(openings))


def _places(layout: RunLayout) -> dict[int, list[tuple[int, float]]]:
    """Return for each post the legs it belongs to and its x there."""
    found: dict[int, list[tuple[int, float]]] = {}
    for stretch in layout.stretches:
        for number, x in zip(stretch.posts, stretch.xs, strict=True):
            found.setdefault(number, []).append((stretch.leg, x))
    for opening in layout.openings:
        frame = layout.legs[opening.leg].frame
        for number in opening.posts:
            x = frame.local(layout.posts[number].frame.origin)[0]
            found.setdefault(number, []).append((opening.leg, x))
    return found


def _drop(layout: RunLayout, post: PlacedPost, places: list[tuple[int, float]]) -> float:
    """Return how far the ground falls from a post's middle to the edge of its hole, mm."""
    half = layout.run.footings.half_hole
    lowest = min(
        layout.legs[leg].start[2] + layout.legs[leg].lowest(x - half, x + half) for leg, x in places
    )
    fall = max(0.0, post.frame.origin[2] - lowest)
    return min(DROPS * math.ceil(fall / DROPS - 1e-6), post.plan.embedment / 2.0)


def _labelled(run: RunJob, posts: list[PlacedPost]) -> tuple[PlacedPost, ...]:
    order = sorted(range(len(posts)), key=lambda number: posts[number].chainage)
    digits = max(2, len(str(len(posts))))
    labels = {number: f"{run.letter}{place:0{digits}d}" for place, number in enumerate(order, 1)}
    return tuple(replace(post, label=labels[number]) for number, post in enumerate(posts))


def _limit(run: RunJob, leg: Leg, mark: FixedPost) -> StretchEnd:
    if mark.kind in (PostRole.CORNER, PostRole.BEND):
        x = 0.0 if mark.at_start else leg.length
        turn = leg.turn_start if mark.at_start else leg.turn_end
        return StretchEnd(x, PostRole.CORNER, turn, mark.pair)
    if mark.kind == PostRole.WALL:
        gap = run.walls.gap
        return StretchEnd(gap if mark.at_start else leg.length - gap, PostRole.WALL)
    if mark.kind == PostRole.END:
        half = run.posts.end.width / 2.0
        return StretchEnd(mark.x + (half if mark.x > 0.0 else -half), PostRole.END)
    half = run.posts.gate.width / 2.0
    return StretchEnd(mark.x + (half if mark.opening is not None else -half), PostRole.GATE)
