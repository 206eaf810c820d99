"""Levels of the ground written along an elevation."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from palewright.export.drawing.draft import style as layers
from palewright.export.drawing.draft.drafting import Draft
from palewright.export.drawing.draft.view import Item, Line, Text
from palewright.model.geometry.frames import Vector

from .front import Front

LEVEL_APART = 4.5
"""Levels nearer together than this on paper are left out, mm."""


@dataclass(frozen=True)
class LevelRow:
    """A row of levels under a sloping front.

    origin : of the site in the model; firsts : x of the levels that come first, from left to
    right; others : x of those written where there is room left; below : that it hangs from, mm.
    """

    front: Front
    origin: Vector
    firsts: tuple[float, ...]
    others: tuple[float, ...]
    below: float


def level_row(row: LevelRow, draft: Draft) -> Iterator[Item]:
    """Yield levels of the ground, written upright; each has a tick on the ground line."""
    front, origin, n, text = row.front, row.origin, draft.n, draft.text
    datum = front.datum + origin[2]
    wanted = (*row.firsts, *row.others)
    words = {x: draft.figures.site(front.ground_at(x) + datum, origin) for x in wanted}
    words = {x: text if front.is_told(x) else f"({text})" for x, text in words.items()}
    chosen: list[float] = []
    told = [x for x in row.others if front.is_told(x)]
    for x in (row.firsts[0], row.firsts[-1], *told, *wanted):
        if all(abs(x - other) >= LEVEL_APART * n for other in chosen):
            chosen.append(x)
    y = row.below - max(draft.width(words[x]) for x in chosen)
    for x in sorted(chosen):
        yield Text(words[x], (x + text / 2.0 * n, y), text, "left", 90.0)
        z = front.ground_at(x)
        yield Line.through(((x, z - 1.2 * n), (x, z + 1.2 * n)), layers.RULE)
    left = min(chosen) - 3.0 * n
    unit = " (m)" if draft.figures.in_metres(origin) else ""
    yield Text(f"ground level{unit}", (left, y), text, "right")


WORKED_OUT = "ground levels in brackets: not given; on straights between those that are, or level"
UNKNOWN = "ground dashed: its level was not given; drawn level"
"""What is said of ground that nobody measured."""


def ground_notes(front: Front, items: Sequence[Item]) -> list[str]:
    """Return what to know of the ground that is drawn on a front: which of it nobody gave."""
    bracketed = any(isinstance(item, Text) and item.text.startswith("(") for item in items)
    notes = [WORKED_OUT] if bracketed else []
    dashed = any(isinstance(item, Line) and item.layer == layers.UNKNOWN_GROUND for item in items)
    return [*notes, UNKNOWN] if dashed and not front.level else notes


def level_note(front: Front, origin: Vector, draft: Draft) -> str:
    """Return the level of a level front in words."""
    return f"ground {draft.figures.site(front.datum + origin[2], origin)}"
