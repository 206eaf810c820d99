"""The heads of pales of a run: those of the fence, and of gates that have their own."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from palewright.model.geometry.heads import Head, pale_outline
from palewright.model.geometry.outlines import Outline

from .run_layout import RunLayout

WHOLE, LONGEST = "a whole pale", "the longest"
"""Whose foot the springing line of a head is measured from."""


@dataclass(frozen=True)
class PaleHead:
    """A head as it is made. called : whose, as "run A" or "gate 1, run A"; whose : "a whole
    pale" or "the longest"; width, length : of the
    longest pale that has it, mm; shape : its name in words.
    """

    called: str
    whose: str
    width: float
    length: float
    head: Head
    shape: str

    @property
    def rise(self) -> float:
        """Height of the head over the springing line, mm."""
        return self.head.rise(self.width)

    @cached_property
    def outline(self) -> Outline:
        """The outline of the longest pale that has it."""
        return pale_outline(self.head, self.width, self.length)


def fence_head(layout: RunLayout) -> PaleHead:
    """Return the head of the pales of a run."""
    run, pales = layout.run, layout.run.pales
    return PaleHead(run.called, WHOLE, pales.width, pales.length, pales.head, pales.head_shape)


def gate_heads(layout: RunLayout) -> list[PaleHead]:
    """Return each head of gates that is not that of the fence, as the first gate that has it."""
    run = layout.run
    squared = run.top_line.heads == "pale"  # else those of the fence are cut along its top line
    found = {run.pales.head: fence_head(layout)} if squared else {}
    for opening in layout.openings:
        plan = opening.leaves[0].plan
        length = max(leaf.height for leaf in opening.leaves)
        called = f"{opening.called}, {run.called}"
        own = PaleHead(called, LONGEST, run.pales.width, length, plan.head, plan.head_shape)
        found.setdefault(plan.head, own)
    return list(found.values())[1 if squared else 0 :]


def head_on(layout: RunLayout, leaf: int | None) -> PaleHead:
    """Return the head of the pales of a leaf by its number, or of the fence's own."""
    if leaf is None:
        return fence_head(layout)
    opening, hung = layout.hung[leaf]
    plan = hung.plan
    return PaleHead(
        opening.called, LONGEST, layout.run.pales.width, hung.height, plan.head, plan.head_shape
    )
