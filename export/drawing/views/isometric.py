"""Isometric views of a fence or of some of its bays, hidden lines removed."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from palewright.export.drawing.draft import style as layers
from palewright.export.drawing.draft.drafting import Draft
from palewright.export.drawing.draft.style import Layer
from palewright.export.drawing.draft.view import Item, Line, Text, View
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.frames import Point, Vector
from palewright.model.geometry.prisms import Prism
from palewright.model.geometry.shapes import Bar, Plate, Tenoned
from palewright.model.layout.placed_posts import PlacedPost
from palewright.model.parts.members import BOLT, BRACKET, BURIED, Member
from palewright.model.resolved.words import PostRole

from .axonometry import isometric_eye
from .hidden_lines import Body, Eye, Scene, hidden_spans, scene, seen_lines, turned_to
from .placing import Placer
from .portions import Portion, above_ground, labels_of_portion, members_of_portion, span_of
from .titles import titled

TOO_SMALL = (BOLT, BRACKET)
"""Kinds that a view of a whole fence leaves out."""

TO_SCALE = "lengths along the first leg, square to it and upright are to scale"

LABEL_STEPS = (1.0, 3.5, 6.0, 9.0)
"""From the top of a post to its label, tried in turn, mm on paper."""

LABEL_REACH = 22.0
"""How far from the top of a post its label may reach, mm on paper."""

Weights = Callable[[Member, bool], Layer]
"""The layer of a member's lines; whether they are its outline."""


@dataclass(frozen=True)
class Standing:
    """What an isometric view shows. members : as they stand; portions : of the fence that they
    are, none for all of it; eye : where from.
    """

    fence: FenceModel
    members: tuple[Member, ...]
    portions: tuple[Portion, ...]
    eye: Eye

    @property
    def size(self) -> Point:
        """Width and height on paper at full size, mm."""
        return _size(self.members, self.eye)

    @property
    def posts(self) -> Iterator[tuple[int, PlacedPost]]:
        """The posts that are shown, with the numbers of their runs."""
        if not self.portions:
            for run, layout in enumerate(self.fence.layouts):
                yield from ((run, post) for post in layout.posts)
            return
        for portion in self.portions:
            labels = labels_of_portion(self.fence, portion)
            for post in self.fence.layouts[portion.run].posts:
                if post.label in labels:
                    yield portion.run, post


def standing(fence: FenceModel, portions: Sequence[Portion] = ()) -> Standing:
    """Return a fence over the ground, or portions of it, seen from the front and from the side
    from which it takes less paper.
    """
    shown: Iterable[Member] = fence.members
    if portions:
        by_name = {m.name: m for portion in portions for m in members_of_portion(fence, portion)}
        shown = by_name.values()
    kept = tuple(
        member
        for member in above_ground(shown, fence)
        if member.kind not in BURIED and member.kind not in TOO_SMALL
    )
    first = portions[0] if portions else Portion(0, 0, 0, 0)
    frame = fence.layouts[first.run].legs[first.leg].frame
    eyes = [isometric_eye(frame, from_right=right) for right in (False, True)]
    areas = [round(w * h / 1e4) for w, h in (_size(kept, eye) for eye in eyes)]
    return Standing(fence, kept, tuple(portions), eyes[0] if areas[0] <= areas[1] else eyes[1])


def _size(members: Sequence[Member], eye: Eye) -> Point:
    """Return about how much paper members take at full size, mm: by their origins and lengths."""
    spots = [eye.spot(point) for member in members for point in _reach(member)]
    xs, ys = zip(*spots, strict=True)
    return max(xs) - min(xs), max(ys) - min(ys)


def _reach(member: Member) -> tuple[Vector, Vector]:
    """Return a member's origin and its far end, whichever of its axes is long."""
    match member.shape:
        case Tenoned(bar):
            return member.frame.origin, member.frame.point((bar.length, 0.0, 0.0))
        case Bar() | Prism() as bar:
            return member.frame.origin, member.frame.point((bar.length, 0.0, 0.0))
        case Plate(outline):
            x0, z0, x1, z1 = outline.bounds
            return member.frame.point((x0, 0.0, z0)), member.frame.point((x1, 0.0, z1))
    return member.frame.origin, member.frame.point((0.0, 0.0, max(member.shape.size)))


def bodies_of(members: Iterable[Member]) -> list[Body]:
    """Return members as bodies of a scene."""
    return [Body(member.finished, member.frame) for member in members]


def solid_layer(_: Member, outer: bool) -> Layer:
    """Return the layer of a member's lines where all are shown alike."""
    return layers.SOLID_OUTER if outer else layers.SOLID_INNER


def fine_layer(_: Member, outer: bool) -> Layer:
    """Return the layer of a member's lines where they stand close: thin ones alone."""
    return layers.SOLID_INNER if outer else layers.SOLID_THERE


def solid_lines(
    members: Sequence[Member], shown: Scene, weights: Weights = solid_layer
) -> Iterator[Line]:
    """Yield what is seen of members, which are the bodies of a scene in their order."""
    for seen in seen_lines(shown):
        layer = weights(members[seen.number], seen.outer)
        for line in seen.lines:
            yield Line.through(line, layer)


def isometric_view(shown: Standing, title: str, draft: Draft, notes: Sequence[str] = ()) -> View:
    """Return an isometric view with the labels of ends, corners and gate posts."""
    before = scene(bodies_of(shown.members), shown.eye)
    weights = fine_layer if draft.n > 60.0 else solid_layer
    items: list[Item] = [*solid_lines(shown.members, before, weights)]
    items += _ground(shown, before)
    items += _labels(shown, items, draft)
    return titled(title, items, draft, notes=[*notes, TO_SCALE])


def _ground(shown: Standing, before: Scene) -> Iterator[Line]:
    """Yield the ground under the line of the fence where nothing hides it."""
    yield from lines_before(list(_ground_lines(shown)), shown.eye, before, layers.SOLID_THERE)


def lines_before(
    pieces: Sequence[tuple[Vector, Vector]], eye: Eye, before: Scene, layer: Layer
) -> Iterator[Line]:
    """Yield straight lines in space, of members' coordinates, where no body hides them."""
    if not pieces:
        return
    edges = np.array(pieces) @ turned_to(eye)
    numbers, spans = hidden_spans(edges, before)
    hidden: dict[int, list[list[float]]] = {}
    for number, span in zip(numbers.tolist(), spans.tolist(), strict=True):
        hidden.setdefault(number, []).append(span)
    for number, (a, b) in enumerate(edges[:, :, :2].tolist()):
        at = 0.0
        for low, high in [*hidden.get(number, []), [1.0, 1.0]]:
            if low > at + 1e-9:
                ends = tuple(
                    (a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t) for t in (at, low)
                )
                yield Line.through(ends, layer)
            at = max(at, high)


def _ground_lines(shown: Standing) -> Iterator[tuple[Vector, Vector]]:
    """Yield the straight parts of the ground under the line of what is shown."""
    whole = [
        (run, leg, (0.0, each.length))
        for run, layout in enumerate(shown.fence.layouts)
        for leg, each in enumerate(layout.legs)
    ]
    spans = [(p.run, p.leg, span_of(shown.fence, p)) for p in shown.portions]
    for run, number, (low, high) in spans or whole:
        leg = shown.fence.layouts[run].legs[number]
        part = leg.ground_between(max(low, 0.0), min(high, leg.length))
        points = [leg.frame.point((x, 0.0, z)) for x, z in part]
        yield from pairwise(points)


def _labels(shown: Standing, items: Sequence[Item], draft: Draft) -> Iterator[Item]:
    """Yield the labels of posts that a reader looks for, as far as there is room over them."""
    tops = {
        post.label: shown.eye.spot(post.frame.point((0.0, 0.0, post.full_height)))
        for _, post in shown.posts
        if post.kind != PostRole.LINE
    }
    placer = Placer(draft)
    for item in items:
        if isinstance(item, Line) and _is_near(item, tops.values(), LABEL_REACH * draft.n):
            placer.take(item)
    for label, top in tops.items():
        choices = [
            Text(label, (top[0] + way * step * draft.n, top[1] + step * draft.n), draft.text, align)
            for step in LABEL_STEPS
            for way, align in ((0.0, "centre"), (-0.5, "right"), (0.5, "left"))
        ]
        text = placer.place(choices)
        if text is not None:
            yield text


def _is_near(line: Line, places: Iterable[Point], reach: float) -> bool:
    """Tell whether a line may come within reach of any place, by the box around it."""
    xs, ys = [x for x, _, _ in line.vertices], [y for _, y, _ in line.vertices]
    left, right, low, high = min(xs) - reach, max(xs) + reach, min(ys) - reach, max(ys) + reach
    return any(left < x < right and low < y < high for x, y in places)
