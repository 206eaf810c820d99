"""Pales in their places: how high each stands and how long it is."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from palewright.model.geometry.shapes import tidy
from palewright.model.resolved.job import RunJob
from palewright.model.resolved.pale_plan import PaleKind
from palewright.model.resolved.words import Follow, WedgeFill
from palewright.model.site.site_line import Leg

from .pale_rows import PaleRow, bevel
from .spans import Span
from .top_line import top_offset


@dataclass(frozen=True)
class SetPale:
    """A pale in its place.

    x : of its middle; kind : of it; layer : number of the one it stands on; bay : number of its
    bay; top : level of its head, mm over the leg's start; length : overall, mm; bevels : dx/dy of
    its left and right side.
    """

    x: float
    kind: PaleKind
    layer: int
    bay: int
    top: float
    length: float
    bevels: tuple[float, float] = (0.0, 0.0)

    @property
    def foot(self) -> float:
        """Level of its foot, mm over the leg's start."""
        return self.top - self.length

    @property
    def sides(self) -> tuple[float, float]:
        """X of its left and its right side."""
        half = self.kind.width / 2.0
        return self.x - half, self.x + half


def set_pales(run: RunJob, rows: Sequence[tuple[Span, PaleRow]]) -> tuple[tuple[SetPale, ...], ...]:
    """Return the pales of each stretch of a run in their places.

    The top line follows the bay's base (and its shape); a foot stays `clearance` over the highest
    ground under the pale; those of pales by turns stand in one line, narrow ones too. Where the
    ground differs from the base the length does too: it is up to
    `slopes.group` shorter than it could be, so that the run needs few different lengths.
    """
    clearance = run.pales.clearance
    wide = run.pales.widest / 2.0
    standing: list[list[tuple[SetPale, float]]] = []  # each with its room to be longer
    for span, row in rows:
        pales = []
        for place in row.places:
            kind, half = place.kind, place.kind.width / 2.0
            x = place.edge + half
            bay = span.bay_at(x)
            setting = span.settings[bay]
            # a capping rail lies on the line itself, which then goes on from bay to bay
            lift = abs(setting.slope) * wide if run.capping is None else 0.0
            plain = setting.base(x) + lift + (clearance + kind.length)
            room = tidy(plain - span.leg.highest(x - half, x + half) - clearance - kind.length)
            if setting.follow == Follow.STEP and setting.fill != WedgeFill.PALES:
                room = min(room, 0.0)
            offset = top_offset(run, span, bay, x)
            pales.append(
                (SetPale(x, kind, place.layer, bay, plain + offset, kind.length + offset), room)
            )
        standing.append(pales)
    chosen = grouped((room for pales in standing for _, room in pales), run.slopes.group)
    return tuple(
        _with_bevels(
            run,
            span,
            [replace(pale, length=tidy(pale.length + chosen[room])) for pale, room in pales],
        )
        for (span, _), pales in zip(rows, standing, strict=True)
    )


def _with_bevels(run: RunJob, span: Span, pales: list[SetPale]) -> tuple[SetPale, ...]:
    if pales:
        left, right = -bevel(run, span.first), bevel(run, span.last)
        pales[0] = replace(pales[0], bevels=(left, pales[0].bevels[1]))
        pales[-1] = replace(pales[-1], bevels=(pales[-1].bevels[0], right))
    return tuple(pales)


def grouped(rooms: Iterable[float], tolerance: float) -> dict[float, float]:
    """Return for each room the length to use of it, with few different lengths.

    Each length is at most its room and at least `tolerance` less. Rooms that 0 suits (the plain
    pale) get 0; the rest get the fewest lengths that do: the smallest room serves all that are no
    more than the tolerance over it, and so on up (stabbing intervals from the left is optimal).

    Examples
    --------
    >>> grouped([0.0, 4.0, 30.0, 33.0, 52.0], 20.0)
    {0.0: 0.0, 4.0: 0.0, 30.0: 30.0, 33.0: 30.0, 52.0: 52.0}
    """
    result: dict[float, float] = {}
    length = -math.inf
    for room in sorted(set(rooms)):
        if 0.0 <= room <= tolerance:
            result[room] = 0.0
            continue
        if room - tolerance > length:
            whole = float(math.floor(room))
            length = whole if room - whole <= tolerance else room
        result[room] = length
    return result


def clearances(leg: Leg, pales: tuple[SetPale, ...]) -> tuple[float, float]:
    """Return the smallest and the largest clearance under the pales of a stretch, mm.

    Measured over the whole width of every pale; (0, 0) where there is none.
    """
    if not pales:
        return 0.0, 0.0
    return (
        min(p.foot - leg.highest(*p.sides) for p in pales),
        max(p.foot - leg.lowest(*p.sides) for p in pales),
    )
