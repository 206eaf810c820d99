"""A run set out: where its posts stand and what is between them, before anything is fixed to them.

Distances x run along a leg from its start (see `site_line`); the front of the fence is at
negative y.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass, field

from palewright.model.geometry.frames import Point
from palewright.model.resolved.job import RunJob
from palewright.model.resolved.words import PostRole
from palewright.model.site.site_line import Leg

from .bases import BayBase, Place, bases_of
from .fixed_posts import FixedPost, fixed_posts
from .line_posts import line_posts
from .panel_bays import post_edge
from .post_places import PostPlace, fixed_post, post_on_line
from .spans import StretchEnd


@dataclass(frozen=True)
class PostsBetween:
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
class SetOut:
    """A run's posts and what is between them, in the order of the line, while it is set out."""

    places: list[PostPlace] = field(default_factory=list)
    parts: list[PostsBetween] = field(default_factory=list)

    def post(self, place: PostPlace) -> int:
        """Add a post and return its number."""
        self.places.append(place)
        return len(self.places) - 1


def set_out(run: RunJob) -> SetOut:
    """Return the posts of a run and what is between them, in the order of the line."""
    legs = run.line.legs
    fixed, _ = fixed_posts(run)
    out = SetOut()
    for number, leg in enumerate(legs):
        marks = fixed[number]
        at = len(out.places) - 1
        if number == 0 or marks[0].pair:
            at = out.post(fixed_post(run, legs, number, marks[0]))
        for this, following in itertools.pairwise(marks):
            xs, numbers = [this.x], [at]
            room = _room_for_bays(run, number, (this, out.places[at]), following)
            for x in line_posts(run, number, *room) if this.fence_after else ():
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
            ends = _limit(run, leg, this), _limit(run, leg, following)
            if this.opening is not None:
                half = run.posts.of_gate(this.opening).width / 2.0
                xs = [this.x + half, following.x - half]
            out.parts.append(PostsBetween(number, tuple(numbers), tuple(xs), *ends, this.opening))
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


def bases_between(run: RunJob, parts: list[PostsBetween]) -> list[tuple[BayBase, ...]]:
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


def labels_of(run: RunJob, places: list[PostPlace]) -> dict[int, str]:
    """Return the labels of posts by number: A01, A02 in the order of chainage."""
    order = sorted(range(len(places)), key=lambda number: places[number].chainage)
    digits = max(2, len(str(len(places))))
    return {number: f"{run.letter}{place:0{digits}d}" for place, number in enumerate(order, 1)}


def _limit(run: RunJob, leg: Leg, mark: FixedPost) -> StretchEnd:
    if mark.kind in (PostRole.CORNER, PostRole.BEND):
        x = 0.0 if mark.at_start else leg.length
        turn = leg.turn_start if mark.at_start else leg.turn_end
        return StretchEnd(x, PostRole.CORNER, turn, mark.pair)
    if mark.kind == PostRole.WALL and mark.host is not None:
        # clear of the plane of the post's face on all its depth
        lean = math.tan(math.radians(mark.host.lean))
        hand = -1.0 if mark.at_start else 1.0
        over = max(0.0, *(hand * lean * y for y in (-run.fence_front, run.face)))
        x = 0.0 if mark.at_start else leg.length
        return StretchEnd(x - hand * (run.walls.gap + over), PostRole.WALL)
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
