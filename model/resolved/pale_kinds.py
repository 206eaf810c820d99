"""From the spec's table of pales to kinds that stand by turns, and what cannot be made of it."""

from __future__ import annotations

from collections.abc import Iterator

from palewright.model.basis.errors import KeyPath, Problem
from palewright.model.geometry.heads import HeadError, pale_outline
from palewright.model.spec.infill_keys import Capping, Pales, PaleTurn

from .job import RunJob
from .kick_plan import KickPlan
from .pale_plan import MOST_LAP, PaleKind, PalePlan

GAP_MAX = 4.0 / 3.0
"""The largest gap allowed over the wanted one, when not given (common practice, no source)."""

CLOSE = 10.0
"""The largest gap of pales set close, mm: what whole ones leave (common practice, no source)."""

SLIGHT = 5.0
"""A line that turns by no more goes on as if it were straight, degrees."""

BUTTED = 59.0
"""Rails that are to butt do so at corners sharper than this, degrees."""

OVERLAP, LEAST_LAP = 20.0, 1.0 / 3.0
"""How far pales lap when not said, mm, and the least share of what is wanted (common practice)."""


def pale_plan(
    pales: Pales,
    path: KeyPath,
    capping: Capping | None = None,
    kick: KickPlan | None = None,
    *,
    by_bay: bool = False,
) -> PalePlan | Problem:
    """Return the pales of a run, or why a head cannot be cut. path : of their table; capping,
    kick : what lies on their tops, and under them; by_bay : whether each bay has its own whatever
    they say.
    """
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
        *_gaps(pales),
        pales.ends,
        "bay" if by_bay else pales.spaced,
        pales.clearance,
        pales.turns_from,
        pales.ready_shaped,
        pales.on,
        crown=0.0 if capping is None else capping.thickness,
        sill=0.0 if kick is None else max(0.0, pales.clearance - kick.clearance),
    )


def _gaps(pales: Pales) -> tuple[float, float]:
    """Return the wanted and the largest gap of pales, mm; under 0 where they lap."""
    if pales.on in ("both", "board on board"):
        lap = OVERLAP if pales.overlap is None else pales.overlap
        return -lap, -lap * LEAST_LAP
    if pales.gap_max is not None:
        return pales.gap, pales.gap_max
    return pales.gap, pales.gap * GAP_MAX if pales.gap else CLOSE


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
    yield from _lay_problems(run, pales, path)
    yield from _turn_problems(run, pales, path)


def _lay_problems(run: RunJob, pales: Pales, path: KeyPath) -> Iterator[Problem]:
    """Yield what does not go with where pales stand across the rails."""
    given, plan = pales.model_fields_set, run.pales
    behind = any(layer.name == "back" for layer in run.layers)
    if behind and not run.rails.flat_back:
        yield Problem((*path, "on"), run.rails.way.no_back)
    if not plan.lapped and pales.overlap is not None:
        text = 'pales lap where on is "both" or "board on board"'
        yield Problem((*path, "overlap"), text)
    most = MOST_LAP * plan.narrowest
    if plan.lapped and -plan.gap > most:
        text = f"pales {plan.narrowest:g} mm wide lap by {most:g} mm at most"
        yield Problem((*path, "overlap"), text)
    for key in ("gap", "gap_max") if plan.lapped else ():
        if key in given:
            yield Problem((*path, key), f'is not used where on is "{plan.on}": say overlap')
    by_post = run.between_posts and run.panels is None
    for key in ("ends", "spaced") if by_post else ():
        if key in given:
            text = f'is not used where on is "{plan.on}": each bay is filled from post to post'
            yield Problem((*path, key), text)
    if plan.on == "board on board" and pales.ends != "pale":
        yield Problem((*path, "ends"), "is not used: boards that lap leave no gap at the ends")
    yield from _corner_problems(run)


def _corner_problems(run: RunJob) -> Iterator[Problem]:
    """Yield corners at which pales cannot stand between posts."""
    if not run.between_posts:
        return
    way = f'where pales.on is "{run.pales.on}"'
    turns = [leg.turn_end for leg in run.line.legs]
    corner = any(abs(turn) > SLIGHT for turn in turns)
    if run.corners.pales == "mitre":
        text = f"pales that stand between posts meet no others at corners, {way}"
        yield Problem((*run.path, "corners", "pales"), text)
    if corner and run.corners.posts == "pair":
        text = f"two posts leave the corner between them open, {way}"
        yield Problem((*run.path, "corners", "posts"), text)
    if run.rails.corners == "butt" and any(turn < -BUTTED for turn in turns):
        text = f"a rail that runs on behind an inside corner is in the pales' way, {way}; mitre"
        yield Problem((*run.path, "rails", "corners"), text)


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
