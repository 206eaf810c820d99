"""Pieces that were cut before the posts were measured, put to the pieces that are wanted now."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from palewright.model.fence.fence_model import FenceModel

SAME_LENGTH = 1.0
"""A piece is used as it is where it differs by no more, mm (common practice, no source)."""


@dataclass(frozen=True)
class CutUse:
    """What pieces that are cut already are good for. part, length, count : as given; as_is : how
    many are used as they are; cut_down : how many are cut to each shorter length, mm; left : over.
    """

    part: str
    length: float
    count: int
    as_is: int
    cut_down: tuple[tuple[float, int], ...]
    left: int


def cut_uses(fence: FenceModel) -> tuple[tuple[CutUse, ...], dict[str, int]]:
    """Return what each lot of cut pieces is used for, and how many of each mark they make.

    Those of the right length first; then the longest wanted piece is cut from the shortest that
    is long enough.
    """
    lots = fence.job.cut
    left = [lot.count for lot in lots]
    uses: list[Counter[float]] = [Counter() for _ in lots]
    as_is = [0 for _ in lots]
    made: Counter[str] = Counter()
    wanted = sorted(
        (
            (group[0].kind.name, group[0].shape.size[2], mark, len(group))
            for mark, group in fence.by_mark.items()
        ),
        key=lambda piece: (-piece[1], piece[2]),
    )
    for exact in (True, False):
        for part, length, mark, count in wanted:
            order = sorted(range(len(lots)), key=lambda n: (lots[n].length, n))
            for number in order:
                lot = lots[number]
                over = lot.length - length
                fits = abs(over) <= SAME_LENGTH if exact else over > SAME_LENGTH
                if lot.part != part or not fits:
                    continue
                taken = min(left[number], count - made[mark])
                left[number] -= taken
                made[mark] += taken
                if exact:
                    as_is[number] += taken
                elif taken:
                    uses[number][length] += taken
    told = tuple(
        CutUse(
            lot.part, lot.length, lot.count, as_is[n], tuple(sorted(uses[n].items(), reverse=True)),
            left[n],
        )
        for n, lot in enumerate(lots)
    )  # fmt: skip
    return told, dict(made)
