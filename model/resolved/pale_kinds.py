"""From the spec's table of pales to kinds that stand by turns, and what cannot be made of it."""

from __future__ import annotations

from collections.abc import Iterator

from palewright.model.basis.errors import KeyPath, Problem
from palewright.model.geometry.heads import HeadError, pale_outline
from palewright.model.spec.infill_keys import Pales, PaleTurn

from .job import RunJob
from .pale_plan import PaleKind, PalePlan

GAP_MAX = 4.0 / 3.0
"""The largest gap allowed over the wanted one, when not given (common practice, no source)."""


def pale_plan(pales: Pales, path: KeyPath) -> PalePlan | Problem:
    """Return the pales of a run, or why a head cannot be cut. path : of their table."""
    kinds = []
    for number, turn in enumerate(pales.turns or (PaleTurn(),)):
        try:
            kinds.append(_kind(pales, turn))
        except HeadError as error:
            own = (*path, "turns", number) if pales.turns and turn != PaleTurn() else path
            return Problem((*own, "head"), f"cannot be cut: {error}")
    return PalePlan(
        tuple(kinds),
        pales.thickness,
        pales.gap,
        pales.gap_max if pales.gap_max is not None else pales.gap * GAP_MAX,
        pales.ends,
        pales.spaced,
        pales.clearance,
        pales.turns_from,
        pales.ready_shaped,
    )


def _kind(pales: Pales, turn: PaleTurn) -> PaleKind:
    """Return a turn of the pales; raises HeadError when its head cannot be cut."""
    width, length = turn.width or pales.width, turn.length or pales.length
    spec = turn.head or pales.head
    head = spec.head(width)
    outline = pale_outline(head, width, length)
    return PaleKind(width, length, head, outline, spec.shape.replace("-", " "))


def pale_problems(run: RunJob, pales: Pales) -> Iterator[Problem]:
    """Yield what does not go together in a run's pales. pales : as the spec has them."""
    path = (*run.path, "pales")
    if run.pales.gap_max < run.pales.gap:
        text = f"is less than the wanted gap ({run.pales.gap:g} mm)"
        yield Problem((*path, "gap_max"), text)
    yield from _turn_problems(run, pales, path)


def _turn_problems(run: RunJob, pales: Pales, path: KeyPath) -> Iterator[Problem]:
    """Yield what is written of turns and would do nothing."""
    given = pales.model_fields_set
    if len(pales.turns) == 1:
        yield Problem((*path, "turns"), "one kind alone takes no turns: two or more rows")
    if not pales.turns and "turns_from" in given:
        yield Problem((*path, "turns_from"), "says where turns begin, and there is no pales.turns")
    for key in ("width", "length", "head"):
        if pales.turns and key in given and all(getattr(t, key) is not None for t in pales.turns):
            text = f"is not used: every row of pales.turns has its own {key}"
            yield Problem((*path, key), text)
    if run.top_line.heads == "curve":
        for number, turn in enumerate(pales.turns):
            if turn.head is not None:
                text = 'is not cut: top_line.heads is "curve", so tops follow the curve'
                yield Problem((*path, "turns", number, "head"), text)
