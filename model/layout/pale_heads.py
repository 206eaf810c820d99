"""The heads of pales of a run: those of the fence, and of gates that have their own."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from palewright.model.geometry.heads import Head, pale_outline
from palewright.model.geometry.outlines import Outline
from palewright.model.resolved.pale_plan import PaleKind, PalePlan

from .run_layout import RunLayout

WHOLE, LONGEST = "a whole pale", "the longest"
"""Whose foot the springing line of a head is measured from."""


@dataclass(frozen=True)
class PaleHead:
    """A head as it is made. called : whose, as "run A" or "gate 1, run A"; whose : "a whole
    pale" or "the longest"; width, length : of the
    longest pale that has it, mm; shape : its name in words; number : which of several it is, for
    titles; lengths : of whole pales that have it, where not all are alike.
    """

    called: str
    whose: str
    width: float
    length: float
    head: Head
    shape: str
    number: str = ""
    lengths: tuple[float, ...] = ()

    @property
    def rise(self) -> float:
        """Height of the head over the springing line, mm."""
        return self.head.rise(self.width)

    @cached_property
    def outline(self) -> Outline:
        """The outline of the longest pale that has it."""
        return pale_outline(self.head, self.width, self.length)


def fence_heads(layout: RunLayout) -> list[PaleHead]:
    """Return each head of the pales of a run."""
    run, pales = layout.run, layout.run.pales
    return [
        PaleHead(
            run.called, WHOLE, kind.width, kind.length, kind.head, kind.head_shape,
            _number(pales, kind), _lengths(pales, kind),
        )
        for kind in pales.headed
    ]  # fmt: skip


def gate_heads(layout: RunLayout) -> list[PaleHead]:
    """Return each head of gates that is not that of the fence, as the first gate that has it."""
    run = layout.run
    squared = not run.tops_cut  # else those of the fence are cut along its top line
    known = {(kind.head, kind.width) for kind in run.pales.headed} if squared else set()
    found: list[PaleHead] = []
    for opening in layout.openings:
        pales = opening.leaves[0].plan.pales
        called = f"{opening.called}, {run.called}"
        for kind in pales.headed:
            if (kind.head, kind.width) in known:
                continue
            known.add((kind.head, kind.width))
            length = max(leaf.height for leaf in opening.leaves) - pales.shorter(kind)
            number = _number(pales, kind)
            own = (called, LONGEST, kind.width, length, kind.head, kind.head_shape, number)
            found.append(PaleHead(*own))
    return found


def _number(pales: PalePlan, kind: PaleKind) -> str:
    """Return which of several heads a kind has, as it stands in titles: " 1"."""
    return f" {pales.head_number(kind)}" if len(pales.headed) > 1 else ""


def _lengths(pales: PalePlan, kind: PaleKind) -> tuple[float, ...]:
    """Return how long the kinds with the head of one are, where not all are alike, mm."""
    if len(pales.sorts) == 1:
        return ()
    return tuple(k.length for k in pales.sorts if (k.head, k.width) == (kind.head, kind.width))
