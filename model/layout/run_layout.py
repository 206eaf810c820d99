"""A run laid out: posts, stretches with their rails and pales, gates with their leaves.

Distances x run along a leg from its start (see `site_line`); the front of the fence is at
negative y.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TypeVar

from palewright.model.basis.text import plain
from palewright.model.basis.units import format_length as mm
from palewright.model.resolved.footing_plan import FootingPlan
from palewright.model.resolved.job import RunJob
from palewright.model.resolved.post_feet import Foot
from palewright.model.resolved.words import PostRole
from palewright.model.site.site_line import Leg
from palewright.model.spec.gate_keys import GateSpec

from .leaves import Leaf
from .pale_rows import PaleRow
from .placed_posts import FOOTED, PlacedPost
from .rail_pieces import BayRail, RailPiece
from .set_pales import SetPale
from .spans import Span


@dataclass(frozen=True)
class Stretch(Span):
    """Fence between two neighbouring fixed posts of one leg, with what is on it.

    row : how its pales are spaced; pales : in their places; rails : on the faces of the posts,
    between joints; bay_rails : of each bay; rail_spans : of each bay, from end or joint to end
    or joint, mm.
    """

    row: PaleRow
    pales: tuple[SetPale, ...]
    rails: tuple[RailPiece, ...]
    bay_rails: tuple[BayRail, ...]
    rail_spans: tuple[float, ...]


@dataclass(frozen=True)
class Opening:
    """A gate opening. leg_number, leg : that it is in; start, end : x of the gate posts' faces;
    numbers, posts : of its posts; number : of the gate in its run; base : that its heights count
    from, and ground : its highest ground, mm over the leg's start; leaves : from left to right.
    """

    leg_number: int
    leg: Leg
    start: float
    end: float
    numbers: tuple[int, int]
    posts: tuple[PlacedPost, PlacedPost]
    spec: GateSpec
    number: int
    base: float
    ground: float
    leaves: tuple[Leaf, ...]

    @property
    def called(self) -> str:
        """What the gate is called on paper: its own name, or "gate 1"."""
        return plain(self.spec.name) if self.spec.name.strip() else f"gate {self.number + 1}"


Placed = TypeVar("Placed", Stretch, Opening)


@dataclass(frozen=True)
class RunLayout:
    """A run with its posts, its stretches and its gates."""

    run: RunJob
    posts: tuple[PlacedPost, ...]
    stretches: tuple[Stretch, ...]
    openings: tuple[Opening, ...]

    @property
    def legs(self) -> tuple[Leg, ...]:
        """The legs of the run's line."""
        return self.run.line.legs

    @cached_property
    def feet(self) -> tuple[Foot, ...]:
        """How the posts that are made stand, each way once."""
        return tuple(dict.fromkeys(post.plan.foot for post in self.posts if post.made))

    @cached_property
    def fillings(self) -> tuple[FootingPlan, ...]:
        """The holes of its posts with what fills them, each kind once."""
        dug = (post.plan.foot.dug for post in self.posts)
        return tuple(dict.fromkeys(one for one in dug if one is not None))

    @cached_property
    def stretches_of(self) -> tuple[tuple[Stretch, ...], ...]:
        """The stretches of each leg, in the order of the run."""
        return _of_legs(self.stretches, len(self.legs))

    @cached_property
    def openings_of(self) -> tuple[tuple[Opening, ...], ...]:
        """The gate openings of each leg, in the order of the run."""
        return _of_legs(self.openings, len(self.legs))

    @cached_property
    def hung(self) -> tuple[tuple[Opening, Leaf], ...]:
        """The leaves of all gates, in the order of the numbers that members have them by."""
        along = sorted(self.openings, key=lambda one: (one.leg_number, one.start))
        return tuple((opening, leaf) for opening in along for leaf in opening.leaves)


def _of_legs(things: Sequence[Placed], legs: int) -> tuple[tuple[Placed, ...], ...]:
    groups: list[list[Placed]] = [[] for _ in range(legs)]
    for thing in things:
        groups[thing.leg_number].append(thing)
    return tuple(tuple(group) for group in groups)


def place_of(stretch: Stretch, bay: int | None = None) -> str:
    """Return where a stretch or one of its bays is: "A01 to A05, chainage 0 to 7200"."""
    posts = stretch.posts if bay is None else stretch.posts[bay : bay + 2]
    first, last = posts[0], posts[-1]
    low, high = sorted((first.chainage, last.chainage))
    return f"{first.label} to {last.label}, chainage {mm(low, 0)} to {mm(high, 0)}"


def gate_place(layout: RunLayout, opening: Opening) -> str:
    """Return which gate an opening is: "run A, gate 1", or by their names."""
    return f"{layout.run.called}, {opening.called}"


def footed_posts(layout: RunLayout) -> Iterator[tuple[PostRole, list[PlacedPost]]]:
    """Yield the posts that are made by kind, those of gates that have their own by themselves;
    those of a kind are equally thick and stand alike.
    """
    for kind in FOOTED:
        alike: dict[tuple[float, float, Foot], list[PlacedPost]] = {}
        for post in layout.posts:
            if post.kind == kind and post.made:
                plan = post.plan
                alike.setdefault((plan.width, plan.depth, plan.foot), []).append(post)
        for posts in alike.values():
            yield kind, posts


def stations_of_leg(layout: RunLayout, leg_number: int) -> list[tuple[float, PlacedPost]]:
    """Return the posts of a leg from left to right, with their x on the line."""
    places: dict[int, float] = {}
    for stretch in layout.stretches_of[leg_number]:
        places.update(zip(stretch.numbers, stretch.xs, strict=True))
    for opening in layout.openings_of[leg_number]:
        half = layout.run.posts.of_gate(opening.number).width / 2.0
        places[opening.numbers[0]] = opening.start - half
        places[opening.numbers[1]] = opening.end + half
    return [(x, layout.posts[number]) for number, x in sorted(places.items(), key=lambda i: i[1])]
