"""The pales of a run: one kind, or several by turns, and where the turns begin."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import accumulate
from typing import Literal

from palewright.model.geometry.heads import Head
from palewright.model.geometry.outlines import Outline

from .pale_lay import WORDS, LayWords, On

Begin = Literal["ends", "middle", "left", "right"]

MOST_LAP = 0.45
"""Pales lap by no more than this share of the narrowest, so that those of a layer keep apart."""


@dataclass(frozen=True)
class PaleKind:
    """A pale, sizes in mm. length : overall; head : with its sizes; outline : of a plain one;
    head_shape : its name in words.
    """

    width: float
    length: float
    head: Head
    outline: Outline
    head_shape: str

    @cached_property
    def rise(self) -> float:
        """Height of its head over the springing line, mm."""
        return self.head.rise(self.width)

    @property
    def spring(self) -> float:
        """Height of the springing line over its foot, mm."""
        return self.length - self.rise


@dataclass(frozen=True)
class PaleTurns:
    """Pales that stand by turns in a row. widths : of each turn, mm; begin : where the first turn
    stands: at both ends, and on to the middle; in the middle, and on to both ends; or at one end.
    """

    widths: tuple[float, ...]
    begin: Begin

    @property
    def mirrored(self) -> bool:
        """Whether a row is the same from either end."""
        return self.begin in ("ends", "middle")

    def of(self, count: int) -> tuple[int, ...]:
        """Return the turns of so many pales from left to right.

        >>> PaleTurns((90.0, 60.0, 60.0), "ends").of(5)
        (0, 1, 2, 1, 0)
        >>> PaleTurns((90.0, 60.0, 60.0), "middle").of(6)
        (2, 1, 0, 0, 1, 2)
        """
        many = len(self.widths)
        if many == 1:
            return (0,) * count
        match self.begin:
            case "left":
                return tuple(place % many for place in range(count))
            case "right":
                return tuple((count - 1 - place) % many for place in range(count))
            case "ends":
                away = [min(place, count - 1 - place) for place in range(count)]
            case "middle":
                middle = (count - 1) // 2
                away = [middle - min(place, count - 1 - place) for place in range(count)]
        return tuple(step % many for step in away)

    def total(self, count: int) -> float:
        """Return the width of so many pales together, mm, without counting them one by one."""
        half, odd = divmod(count, 2)
        match self.begin:
            case "left" | "right":
                return self._first(count)
            case "ends":
                middle = self.widths[half % len(self.widths)] if odd else 0.0
                return 2.0 * self._first(half) + middle
            case "middle":
                return 2.0 * self._first(half + odd) - (self.widths[0] if odd else 0.0)

    def _first(self, count: int) -> float:
        """Return the width of the first so many turns, mm."""
        whole, rest = divmod(count, len(self.widths))
        sums = (0.0, *accumulate(self.widths))
        return whole * sums[-1] + sums[rest]


@dataclass(frozen=True)
class PalePlan:
    """The pales of a run, sizes in mm. kinds : by turns, each as often as it comes in them; gap,
    gap_max : wanted and largest, under 0 where they lap each other by as much; ready_shaped :
    whether they are bought with their heads made; begin : see PaleTurns; on : where they stand
    across the rails; crown : how thick what lies on their tops is, 0 for nothing;
    sill : how far what stands under them reaches down from their feet, 0 for nothing.
    """

    kinds: tuple[PaleKind, ...]
    thickness: float
    gap: float
    gap_max: float
    ends: Literal["pale", "gap", "half-gap"]
    spaced: Literal["stretch", "bay"]
    clearance: float
    begin: Begin = "ends"
    ready_shaped: bool = False
    on: On = "front"
    crown: float = 0.0
    sill: float = 0.0

    @property
    def lapped(self) -> bool:
        """Whether they stand on two layers by turns and lap each other."""
        return self.on in ("both", "board on board")

    @property
    def words(self) -> LayWords:
        """What papers say of how they are laid."""
        return WORDS[self.on]

    @property
    def least_gap(self) -> float:
        """The least gap there can be, mm: more than half a pale of the other layer shows."""
        return -MOST_LAP * self.narrowest if self.lapped else 0.0

    @cached_property
    def on_leaf(self) -> PalePlan:
        """The pales of gate leaves: on the front of the ledges, set close in fences that lap."""
        if self.lapped:
            return replace(self, on="front", gap=0.0, gap_max=self.narrowest, crown=0.0, sill=0.0)
        plain = self.on == "front" and not (self.crown or self.sill)
        return self if plain else replace(self, on="front", crown=0.0, sill=0.0)

    @cached_property
    def turns(self) -> PaleTurns:
        """The turns that they stand by."""
        return PaleTurns(tuple(kind.width for kind in self.kinds), self.begin)

    @cached_property
    def sorts(self) -> tuple[PaleKind, ...]:
        """Each kind once, in the order of the turns."""
        return tuple(dict.fromkeys(self.kinds))

    @cached_property
    def headed(self) -> tuple[PaleKind, ...]:
        """A kind for each head that is cut: of kinds that only differ in length one."""
        return tuple({(kind.head, kind.width): kind for kind in reversed(self.sorts)}.values())[
            ::-1
        ]

    def head_number(self, kind: PaleKind) -> int:
        """Return which of the heads a kind has, from 1."""
        heads = [(one.head, one.width) for one in self.headed]
        return heads.index((kind.head, kind.width)) + 1

    @cached_property
    def widths(self) -> tuple[float, ...]:
        """The widths that they have, the widest first, mm."""
        return tuple(sorted({kind.width for kind in self.kinds}, reverse=True))

    @property
    def widest(self) -> float:
        """Width of the widest, mm."""
        return self.widths[0]

    @property
    def narrowest(self) -> float:
        """Width of the narrowest, mm."""
        return self.widths[-1]

    @cached_property
    def longest(self) -> float:
        """Length of the longest, mm."""
        return max(kind.length for kind in self.kinds)

    def shorter(self, kind: PaleKind) -> float:
        """Return how much shorter than the longest a kind is, mm."""
        return self.longest - kind.length

    @property
    def heads_said(self) -> str:
        """The shapes of their heads in words."""
        return in_words([kind.head_shape for kind in self.headed])

    @cached_property
    def head_drop(self) -> float:
        """How far the lowest springing line is under the tops of the longest, mm."""
        return max(self.longest - kind.length + kind.rise for kind in self.kinds)

    @cached_property
    def shortest(self) -> float:
        """Length of the shortest, mm."""
        return min(kind.length for kind in self.kinds)

    @cached_property
    def shoulder(self) -> float:
        """Height over ground where the straight sides of the lowest end, mm."""
        return min(self.clearance + kind.length - kind.rise for kind in self.kinds)

    @property
    def mean_pitch(self) -> float:
        """About how far it is from one to the next, mm."""
        return sum(self.turns.widths) / len(self.kinds) + self.gap


def in_words(values: Sequence[str]) -> str:
    """Return words that go together: "90 and 60"; each once.

    >>> in_words(["90", "60", "90", "45"])
    '90, 60 and 45'
    """
    *most, last = dict.fromkeys(values)
    return f"{', '.join(most)} and {last}" if most else last
