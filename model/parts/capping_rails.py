"""Capping rails as pieces, and how they are fixed."""

from __future__ import annotations

import math
from collections.abc import Iterator

from palewright.model.layout.run_layout import RunLayout, Stretch

from .lying_boards import LyingBoard, lying_boards
from .members import CAPPING, Piece

EVERY, ENDS = 300.0, 2
"""Capping rails are fixed at least every so many mm, and with so many nails or screws at each of a
piece's ends (common practice, no source)."""


def capping_fixings(length: float) -> int:
    """Return how many nails or screws hold a capping rail.

    >>> capping_fixings(1800.0), capping_fixings(250.0)
    (9, 4)
    """
    return 2 * ENDS + max(0, math.ceil(length / EVERY - 1e-9) - 1)


def capping_members(layout: RunLayout, stretch: Stretch, groups: list[str]) -> Iterator[Piece]:
    """Yield the capping rails of a stretch. groups : name of each bay."""
    run, plan = layout.run, layout.run.capping
    if plan is None:
        return
    board = LyingBoard(
        plan.section, plan.front, plan.width, plan.thickness, run.height,
        # an end at which another run may go on has no overhang
        past=0.0 if run.guests else plan.overhang,
        longest=plan.longest,
        separate=run.between_posts and not plan.on_posts,
    )  # fmt: skip
    for bay, bar, place in lying_boards(run, board, stretch):
        frame, leg = stretch.leg.frame @ place, stretch.leg_number
        yield Piece(CAPPING, bar, frame, groups[bay], "capping rail", leg)
