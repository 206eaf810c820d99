"""The leaves of a gate in its opening: edges, ledges, pales, and the brace between ledges."""

from __future__ import annotations

import math
from dataclasses import dataclass

from palewright.model.resolved.job import RunJob
from palewright.model.resolved.pale_plan import PaleKind
from palewright.model.spec.infill_keys import GateSpec

from .pale_turns import PalePlace, places, space_by_turns
from .spacing import Spacing

MIDDLE_LEDGE = 1500.0
"""A leaf taller than this between its outer ledges gets a middle one, mm (common practice)."""

STEEP_ENOUGH, LEAST_REACH = 36.0, 0.7
"""A brace from corner to corner that would be flatter (degrees) is set at this angle and ends short
of the latch side, as long as it reaches so much of the leaf (common practice)."""

BRACE_INSET = 20.0
"""From the leaf's edges to the brace's ends along the ledges, mm."""


@dataclass(frozen=True)
class Leaf:
    """A gate leaf.

    x0, x1 : its edges along the leg; hinge_left : whether it hangs on the left, seen from the
    front; foot, height : of its longest pales over the gate's base; ledges : height of each ledge's
    underside over it, lowest first; spacing : of its pales; keeps : whether its free side shuts
    against a post; stands : whether it is held by a drop bolt.
    """

    x0: float
    x1: float
    hinge_left: bool
    foot: float
    height: float
    ledges: tuple[float, ...]
    spacing: Spacing
    keeps: bool
    stands: bool

    @property
    def width(self) -> float:
        """Width of the leaf, mm."""
        return self.x1 - self.x0


@dataclass(frozen=True)
class Brace:
    """A brace tight between two ledges.

    degrees : of its axis over the horizontal; along : length of its cuts on the ledges, mm;
    run : level distance from one end of a side to the other, mm; rise : between the ledges, mm.
    """

    degrees: float
    along: float
    run: float
    rise: float


def leaves_of(
    run: RunJob, spec: GateSpec, start: float, end: float, ground: float, base: float
) -> tuple[Leaf, ...]:
    """Return the leaves of a gate, from left to right.

    start, end : x of the gate posts' faces; ground : its highest, base : what heights count from,
    mm over the leg's start; with a level top line the ground may lie below the base.
    """
    gates = run.gates
    foot = max(run.pales.clearance, gates.ground_clearance) + ground - base
    hinge, latch = gates.hinge_clearance, gates.latch_clearance
    spans: tuple[tuple[float, float, bool, bool, bool], ...]
    if spec.leaves == 2:
        middle = (start + end) / 2.0
        spans = (
            (start + hinge, middle - latch / 2.0, True, False, False),
            (middle + latch / 2.0, end - hinge, False, False, True),
        )
    elif spec.hinge == "left":
        spans = ((start + hinge, end - latch, True, True, False),)
    else:
        spans = ((start + latch, end - hinge, False, True, False),)
    return tuple(
        Leaf(
            x0,
            x1,
            left,
            foot,
            run.height - foot,
            _ledge_heights(run, foot),
            space_by_turns(run.pales.on_leaf, x1 - x0),
            keeps,
            stands,
        )
        for x0, x1, left, keeps, stands in spans
    )


def leaf_pales(run: RunJob, leaf: Leaf) -> tuple[PalePlace, ...]:
    """Return where the pales of a leaf stand along its leg."""
    return places(run.pales.on_leaf, leaf.spacing, leaf.x0)


def leaf_pale_length(run: RunJob, leaf: Leaf, kind: PaleKind) -> float:
    """Return how long a pale is in a leaf, mm: its top stands as high as in the fence."""
    return leaf.height - (run.pales.longest - kind.length)


def _ledge_heights(run: RunJob, foot: float) -> tuple[float, ...]:
    height = run.gates.ledge[0]
    low, high = run.rails.tops[0] - height, run.rails.tops[-1] - height
    low = max(low, foot) if foot >= 0.0 else foot + low
    if len(run.rails.tops) == 1:
        low = foot + (run.shoulder - run.rails.tops[-1])
    if high - low - height > MIDDLE_LEDGE:
        return low, (low + high) / 2.0, high
    return low, high


def brace_of(width: float, rise: float, size: float) -> Brace | None:
    """Return the brace of a leaf, or None when it does not fit.

    Parameters
    ----------
    width, rise : float, mm
        Of the leaf, and between the ledges.
    size : float, mm
        Width of the brace.

    Notes
    -----
    A brace of width b, level run r between the ends of one side and rise H is cut to a length
    s = b sqrt(H^2 + r^2) / H along the ledges, and r + s is the room R. Put together,
    (H^2 - b^2) s^2 + 2 b^2 R s - b^2 (H^2 + R^2) = 0. A brace that would be too flat from corner to
    corner ends short of the latch side.
    """
    room = width - 2.0 * BRACE_INSET
    if rise <= size or room <= size:
        return None
    a = rise**2 - size**2
    b = 2.0 * size**2 * room
    c = -(size**2) * (rise**2 + room**2)
    along = (-b + math.sqrt(b * b - 4.0 * a * c)) / (2.0 * a)
    run = room - along
    if run < 0.0:
        return None
    degrees = math.degrees(math.atan2(rise, run))
    steep = math.radians(STEEP_ENOUGH)
    short = size / math.sin(steep), rise / math.tan(steep)
    if degrees < STEEP_ENOUGH and sum(short) >= LEAST_REACH * room:
        return Brace(STEEP_ENOUGH, *short, rise)
    return Brace(degrees, along, run, rise)
