"""Entities of a STEP file as text, one after the other (ISO 10303-21)."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from palewright.model.geometry.frames import Frame, Vector


@dataclass(frozen=True)
class StepProduct:
    """Numbers of the entities of a product that others refer to.

    definition : its product definition; shape : its shape representation; axes : the placement in
    that representation; context : of the representation's units; solid : 0 for an assembly.
    """

    definition: int
    shape: int
    axes: int
    context: int
    solid: int = 0


@dataclass
class StepEntities:
    """Entities in the order in which they are made. last : the number of the last one."""

    last: int = 0
    text: bytearray = field(default_factory=bytearray)
    _directions: dict[Vector, int] = field(default_factory=dict)
    _vectors: dict[int, int] = field(default_factory=dict)

    def add(self, entity: str) -> int:
        """Add an entity of ASCII and return its number."""
        self.last += 1
        self.text += f"#{self.last}={entity};\n".encode("ascii")
        return self.last

    def direction(self, vector: Vector) -> int:
        """Return the direction of a unit vector, one for all that point the same way."""
        x, y, z = vector
        key = (round(x, 15) + 0.0, round(y, 15) + 0.0, round(z, 15) + 0.0)
        if key not in self._directions:
            self._directions[key] = self.add(f"DIRECTION('',({reals(key, 15)}))")
        return self._directions[key]

    def vector(self, vector: Vector) -> int:
        """Return the step along a line in the direction of a unit vector, one for all alike."""
        direction = self.direction(vector)
        if direction not in self._vectors:
            self._vectors[direction] = self.add(f"VECTOR('',#{direction},1.)")
        return self._vectors[direction]

    def point(self, point: Vector, digits: int) -> int:
        """Return a new point, mm."""
        return self.add(f"CARTESIAN_POINT('',({reals(point, digits)}))")

    def axes(self, point: int, z: Vector, x: Vector) -> int:
        """Return a placement at a point. z, x : unit vectors at right angles."""
        along, across = self.direction(z), self.direction(x)
        return self.add(f"AXIS2_PLACEMENT_3D('',#{point},#{along},#{across})")

    def placement(self, frame: Frame) -> int:
        """Return the placement that a frame is."""
        return self.axes(self.point(frame.origin, 6), frame.z, frame.x)


def reals(values: Vector, digits: int) -> str:
    """Return rounded numbers, divided by commas."""
    return ",".join([real(value, digits) for value in values])


def real(value: float, digits: int) -> str:
    """Return a rounded number as ISO 10303-21 writes one: with a point, and E for an exponent.

    >>> real(1200.0, 6), real(-1e-16, 15), real(2e-7, 15), real(-0.25, 15)
    ('1200.', '0.', '2.E-07', '-0.25')
    """
    mantissa, _, exponent = repr(round(value, digits) + 0.0).partition("e")
    whole, _, fraction = mantissa.partition(".")
    return f"{whole}.{fraction if fraction != '0' else ''}" + (f"E{exponent}" if exponent else "")


def quoted(text: str) -> str:
    """Return a text as a string of ISO 10303-21."""
    return "'" + re.sub(r"[^\x00-\x7f]+", _escaped, text.replace("'", "''")) + "'"


def _escaped(match: re.Match[str]) -> str:
    """Return letters in the X2 form of ISO 10303-21 (UTF-16, four hexadecimal digits)."""
    return "\\X2\\" + match[0].encode("utf-16-be").hex().upper() + "\\X0\\"
