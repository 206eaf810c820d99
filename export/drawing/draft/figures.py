"""How lengths are written on drawings: millimetres, metres, or feet and inches."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from palewright.model.basis.units import feet_and_inches, format_length
from palewright.model.geometry.frames import Vector
from palewright.model.geometry.shapes import Hole, RoundHole, SquareHole


class Units(Enum):
    """What a drawing's figures are in."""

    MILLIMETRES = "mm"
    METRES = "m"
    FEET = "ft-in"


@dataclass(frozen=True)
class Figures:
    """Writes lengths (mm) in one kind of unit."""

    units: Units = Units.MILLIMETRES

    def text(self, value: float) -> str:
        r"""Return a length as its figure.

        >>> Figures().text(1212.5), Figures(Units.METRES).text(10800)
        ('1212.5', '10.80')
        >>> Figures(Units.FEET).text(1689.1)
        '5\'-6 1/2"'
        """
        match self.units:
            case Units.MILLIMETRES:
                return format_length(value)
            case Units.METRES:
                return f"{value / 1000.0:.2f}"
            case Units.FEET:
                return feet_and_inches(value)

    def in_metres(self, origin: Vector) -> bool:
        """Tell whether site coordinates of a job with this origin are written in metres."""
        return self.units is Units.MILLIMETRES and origin != (0.0, 0.0, 0.0)

    def site(self, value: float, origin: Vector) -> str:
        """Return a site coordinate or a level, of large ones in metres to a millimetre.

        >>> Figures().site(427661375.4, (427650000.0, 0.0, 0.0))
        '427661.375'
        """
        return f"{value / 1000.0:.3f}" if self.in_metres(origin) else self.text(value)

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
