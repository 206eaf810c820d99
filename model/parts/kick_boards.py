"""Kick boards as pieces."""

from __future__ import annotations

from collections.abc import Iterator

from palewright.model.layout.run_layout import RunLayout, Stretch

from .lying_boards import LyingBoard, lying_boards
from .members import KICK_BOARD, Piece

AT_POST = 2
"""Nails or screws of a kick board at each post that it lies on, or skewed at each end between
posts (common practice, no source)."""


def kick_board_members(layout: RunLayout, stretch: Stretch, groups: list[str]) -> Iterator[Piece]:
    """Yield the kick boards of a stretch. groups : name of each bay."""
    run, plan = layout.run, layout.run.kick_board
    if plan is None:
        return
    board = LyingBoard(
        plan.section, plan.front(run.face), plan.thickness, plan.height, plan.clearance, 0.0,
        longest=plan.longest,
        separate=plan.stands == "between",
    )  # fmt: skip
    for bay, bar, place in lying_boards(run, board, stretch):
        frame, leg = stretch.leg.frame @ place, stretch.leg_number
        yield Piece(KICK_BOARD, bar, frame, groups[bay], "kick board", leg)


def kick_fixings(layout: RunLayout) -> int:
    """Return how many nails or screws hold the kick boards of a run: at both ends of each bay."""
    if layout.run.kick_board is None:
        return 0
    return sum(2 * AT_POST * len(stretch.settings) for stretch in layout.stretches)
