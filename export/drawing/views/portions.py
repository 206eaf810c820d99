"""A few bays of a fence taken out of it: members by where they stand along a leg, rails cut off."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.frames import Frame, Point, dot
from palewright.model.geometry.post_shapes import Post
from palewright.model.geometry.prisms import SQUARE_CUT
from palewright.model.geometry.shapes import Bar, bar_of, tidy
from palewright.model.layout.run_layout import Opening, RunLayout, stations_of_leg
from palewright.model.parts.members import BOARD, CAPPING, KICK_BOARD, PALE, POSTS, RAIL, Member

from .front import members_near

PAST = 150.0
"""How far rails and pales are shown beyond the last post where the fence goes on, mm."""


@dataclass(frozen=True)
class Portion:
    """Some bays of one leg. run, leg : numbers; first, last : number of the first and the last
    post of the leg that stand in it; past : how far rails and pales are shown beyond these, where
    the fence goes on, mm.
    """

    run: int
    leg: int
    first: int
    last: int
    past: float = PAST


def gate_portion(layout: RunLayout, run: int, opening: Opening, bays: tuple[int, int]) -> Portion:
    """Return a gate with so many bays on its left and on its right, as far as its leg has them."""
    stations = stations_of_leg(layout, opening.leg_number)
    labels = [post.label for _, post in stations]
    at = labels.index(opening.posts[0].label)
    last = min(len(labels) - 1, at + 1 + bays[1])
    return Portion(run, opening.leg_number, max(0, at - bays[0]), last)


def end_portion(layout: RunLayout, run: int, leg: int, bays: int, *, at_end: bool) -> Portion:
    """Return so many bays at the start or the end of a leg."""
    count = len(stations_of_leg(layout, leg))
    if at_end:
        return Portion(run, leg, max(0, count - 1 - bays), count - 1)
    return Portion(run, leg, 0, min(count - 1, bays))


def labels_of_portion(fence: FenceModel, portion: Portion) -> list[str]:
    """Return the labels of its posts from left to right."""
    stations = stations_of_leg(fence.layouts[portion.run], portion.leg)
    return [post.label for _, post in stations[portion.first : portion.last + 1]]


def span_of(fence: FenceModel, portion: Portion) -> Point:
    """Return from where to where along its leg it is shown, mm: without end where its leg ends,
    to the faces of its posts where a gate is its first or last.
    """
    layout = fence.layouts[portion.run]
    stations = stations_of_leg(layout, portion.leg)
    (x0, first), (x1, last) = stations[portion.first], stations[portion.last]
    low, high = x0 - portion.past, x1 + portion.past
    if portion.first == 0:
        low = -math.inf
    if portion.last == len(stations) - 1:
        high = math.inf
    for opening in layout.openings_of[portion.leg]:
        if opening.posts[0].label == first.label:
            low = opening.start
        if opening.posts[1].label == last.label:
            high = opening.end
    return low, high


def members_of_portion(fence: FenceModel, portion: Portion) -> list[Member]:
    """Return the members that stand in it; what goes on beyond it is cut off."""
    layout = fence.layouts[portion.run]
    frame = layout.legs[portion.leg].frame
    stations = stations_of_leg(layout, portion.leg)[portion.first : portion.last + 1]
    near = members_near(fence, portion.run, portion.leg, stations[0][0], stations[-1][0])
    labels = {post.label for _, post in stations}
    letter = layout.run.letter
    gates = {
        f"{letter} gate {opening.number + 1}"
        for opening in layout.openings_of[portion.leg]
        if {post.label for post in opening.posts} <= labels
    }
    return list(_kept(near, frame, span_of(fence, portion), labels, gates))


def _kept(
    members: Iterable[Member], frame: Frame, span: Point, labels: set[str], gates: set[str]
) -> Iterator[Member]:
    """Yield those of members that stand in a span of a leg, cut off at its ends."""
    low, high = span
    for member in members:
        x = frame.local(member.frame.origin)[0]
        if member.station:
            if member.station in labels:
                yield member
        elif " gate " in member.group and (member.leaf is not None or member.group in gates):
            if member.group in gates:
                yield member
        elif member.kind in (RAIL, CAPPING, KICK_BOARD):
            cut = cut_off(member, frame, span)
            if cut is not None:
                yield cut
        elif member.kind in (PALE, BOARD):
            first, _, second = member.shape.size
            middle = x if member.kind == PALE else x + max(first, second) / 2.0
            if low < middle < high:
                yield member
        elif low - 1.0 < x < high + 1.0:  # a bolt in the middle of the last post
            yield member


def cut_off(rail: Member, frame: Frame, span: Point) -> Member | None:
    """Return a bar cut square where it leaves a span of a leg (mm), None where it lies outside."""
    bar = bar_of(rail.shape)
    assert bar is not None
    start, along = frame.local(rail.frame.origin)[0], dot(rail.frame.x, frame.x)
    first, last = sorted((edge - start) / along for edge in span)
    low, high = bar.overall
    if last <= low or high <= first:
        return None
    left, right, move, length = bar.left, bar.right, 0.0, bar.length
    if first > low:
        left, move = SQUARE_CUT, first
        length -= first
    if last < high:
        right = SQUARE_CUT
        length = last - move
    shape = Bar(bar.section, tidy(length), left, right)
    cuts = tuple(cut.moved((-move, 0.0, 0.0)) for cut in rail.cuts)
    return replace(rail, shape=shape, frame=rail.frame @ Frame.at(move, 0.0, 0.0), cuts=cuts)


def above_ground(members: Iterable[Member], fence: FenceModel) -> Iterator[Member]:
    """Yield members without what is in the ground: posts from there up."""
    levels = {
        (run, post.label): post.frame.origin[2]
        for run, layout in enumerate(fence.layouts)
        for post in layout.posts
    }
    for member in members:
        if member.kind in POSTS and isinstance(member.shape, Post):
            deep = levels[member.run, member.station] - member.frame.origin[2]
            shape = member.shape.from_level(deep)
            cuts = tuple(cut.moved((0.0, 0.0, -deep)) for cut in member.cuts)
            frame = member.frame @ Frame.at(0.0, 0.0, deep)
            yield replace(member, shape=shape, frame=frame, cuts=cuts)
        else:
            yield member
