"""How lengths are written on drawings: millimetres, metres, or feet and inches."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import Enum
from itertools import pairwise

from palewright.model.basis.units import INCH, feet_and_inches, format_length
from palewright.model.geometry.frames import Vector
from palewright.model.geometry.shapes import Hole, RoundHole, SquareHole


class Units(Enum):
    """What a drawing's figures are in."""

    MILLIMETRES = "mm"
    METRES = "m"
    FEET = "ft-in"


@dataclass(frozen=True)
class Figures:
    """Writes lengths (mm) in one kind of unit.

    whole : millimetres without a fraction, for those who set out with a tape.
    """

    units: Units = Units.MILLIMETRES
    whole: bool = False

    def text(self, value: float) -> str:
        r"""Return a length as its figure.

        >>> Figures().text(1212.5), Figures(Units.METRES).text(10800)
        ('1212.5', '10.80')
        >>> Figures(Units.FEET).text(1689.1)
        '5\'-6 1/2"'
        """
        match self.units:
            case Units.MILLIMETRES:
                return format_length(_half_up(value)) if self.whole else format_length(value)
            case Units.METRES:
                return f"{value / 1000.0:.2f}"
            case Units.FEET:
                return feet_and_inches(value)

    def fine(self, value: float) -> str:
        """Return a length that is made or repeated, in millimetres to a tenth: a section, a gap.

        >>> Figures(whole=True).text(60.44), Figures(whole=True).fine(60.44)
        ('60', '60.4')
        """
        return replace(self, whole=False).text(value)

    def running(self, places: Sequence[float]) -> list[str]:
        r"""Return the lengths from each place to the next so that as written they add up to the
        whole: each place is rounded from the first on, not each length by itself.

        >>> Figures(whole=True).running([0.0, 1750.2, 3500.4, 5250.6])
        ['1750', '1750', '1751']
        >>> Figures(Units.FEET).running([0.0, 100.0, 200.0])
        ['3 15/16"', '3 15/16"']
        """
        step = self.step
        # halves always go up, so that a length with a half before and after it stays what it is
        steps = [_half_up(abs(place - places[0]) / step) for place in places]
        return [self.text((b - a) * step) for a, b in pairwise(steps)]

    @property
    def step(self) -> float:
        """What lengths are rounded to, mm."""
        if self.units is Units.MILLIMETRES and not self.whole:
            return 0.1
        return {Units.METRES: 10.0, Units.FEET: INCH / 16.0, Units.MILLIMETRES: 1.0}[self.units]

    def closing(self, lengths: Sequence[float]) -> list[str]:
        r"""Return lengths as figures that add up as written: each by itself, the longest with what
        is left of the whole.

        >>> Figures(Units.FEET).closing([100.0, 100.0, 1000.0])
        ['3 15/16"', '3 15/16"', '3\'-3 3/8"']
        """
        longest = max(range(len(lengths)), key=lambda number: round(lengths[number], 3))
        steps = [_half_up(length / self.step) for length in lengths]
        whole = _half_up(math.fsum(lengths) / self.step)
        steps[longest] = whole - sum(steps[:longest]) - sum(steps[longest + 1 :])
        return [self.text(count * self.step) for count in steps]

    def in_metres(self, origin: Vector) -> bool:
        """Tell whether site coordinates of a job with this origin are written in metres."""
        return self.units is Units.MILLIMETRES and origin != (0.0, 0.0, 0.0)

    def site(self, value: float, origin: Vector) -> str:
        """Return a site coordinate or a level, of large ones in metres to a millimetre.

        >>> Figures().site(427661375.4, (427650000.0, 0.0, 0.0))
        '427661.375'
        """
        return f"{value / 1000.0:.3f}" if self.in_metres(origin) else self.text(value)

    def fine_site(self, value: float, origin: Vector) -> str:
        """Return a site coordinate that others are measured from: to a tenth of a millimetre where
        it is no whole one.

        >>> Figures(whole=True).fine_site(1060.66, (0.0, 0.0, 0.0))
        '1060.7'
        >>> Figures().fine_site(427661375.42, (427650000.0, 0.0, 0.0))
        '427661.3754'
        """
        if not self.in_metres(origin):
            return self.fine(value)
        return f"{value / 1000.0:.{4 if abs(value - round(value)) >= 0.05 else 3}f}"

    def dug(self, hole: Hole) -> str:
        """Return the size of a hole with the sign of its shape.

        >>> Figures().dug(RoundHole(300)), Figures().dug(SquareHole(250, 250))
        ('Ø300', '□250')
        >>> Figures().dug(SquareHole(250, 300))
        '250 x 300'
        """
        match hole:
            case RoundHole(diameter):
                return hole_sign(hole) + self.text(diameter)
            case SquareHole(width, depth):
                second = "" if hole_sign(hole) else f" x {self.text(depth)}"
                return f"{hole_sign(hole)}{self.text(width)}{second}"

    @property
    def note(self) -> str:
        """What the figures are in, for the title block."""
        return {"mm": "millimetres", "m": "metres", "ft-in": "feet and inches"}[self.units.value]


def hole_sign(hole: Hole) -> str:
    """Return the sign of a hole's shape: of a diameter, of a square, none for unequal sides."""
    if isinstance(hole, RoundHole):
        return "Ø"
    return "□" if hole.width == hole.depth else ""


def _half_up(value: float) -> int:
    """Return the nearest whole number; a half, and what is one but for its last digits, goes up."""
    return math.floor(value + 0.5 + 1e-6)
