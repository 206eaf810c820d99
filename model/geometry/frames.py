"""Points, directions and frames that place things in space."""

from __future__ import annotations

import math
from dataclasses import dataclass

Point = tuple[float, float]
Vector = tuple[float, float, float]


def dot(a: Vector, b: Vector) -> float:
    """Return the scalar product of two vectors."""
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def cross(a: Vector, b: Vector) -> Vector:
    """Return the vector product of two vectors."""
    return a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]


@dataclass(frozen=True)
class Frame:
    """A right-handed frame in space: origin (mm) and the unit vectors x and y; z is x cross y."""

    origin: Vector = (0.0, 0.0, 0.0)
    x: Vector = (1.0, 0.0, 0.0)
    y: Vector = (0.0, 1.0, 0.0)

    @property
    def z(self) -> Vector:
        """The third axis."""
        return cross(self.x, self.y)

    def point(self, local: Vector) -> Vector:
        """Return where the local point stands in the outer frame, mm."""
        z = self.z
        a, b, c = local
        return (
            self.origin[0] + a * self.x[0] + b * self.y[0] + c * z[0],
            self.origin[1] + a * self.x[1] + b * self.y[1] + c * z[1],
            self.origin[2] + a * self.x[2] + b * self.y[2] + c * z[2],
        )

    def direction(self, local: Vector) -> Vector:
        """Return a local direction in the outer frame."""
        z = self.z
        a, b, c = local
        return (
            a * self.x[0] + b * self.y[0] + c * z[0],
            a * self.x[1] + b * self.y[1] + c * z[1],
            a * self.x[2] + b * self.y[2] + c * z[2],
        )

    def local(self, point: Vector) -> Vector:
        """Return the coordinates of an outer point in this frame, mm."""
        offset = (
            point[0] - self.origin[0],
            point[1] - self.origin[1],
            point[2] - self.origin[2],
        )
        return dot(offset, self.x), dot(offset, self.y), dot(offset, self.z)

    def __matmul__(self, inner: Frame) -> Frame:
        """Return `inner`, given in this frame, in the outer frame."""
        return Frame(self.point(inner.origin), self.direction(inner.x), self.direction(inner.y))

    @staticmethod
    def at(x: float, y: float, z: float) -> Frame:
        """Return the frame moved to (x, y, z) without turning."""
        return Frame((x, y, z))

    @staticmethod
    def turned(x: float, y: float, z: float, degrees: float) -> Frame:
        """Return the frame at (x, y, z) turned about the vertical, anticlockwise from above."""
        cos, sin = cos_sin(degrees)
        return Frame((x, y, z), (cos, sin, 0.0), (-sin, cos, 0.0))

    @staticmethod
    def tilted(x: float, y: float, z: float, degrees: float) -> Frame:
        """Return the frame at (x, y, z) with its x axis raised by `degrees`, y unchanged."""
        cos, sin = cos_sin(degrees)
        return Frame((x, y, z), (cos, 0.0, sin), (0.0, 1.0, 0.0))


def cos_sin(degrees: float) -> tuple[float, float]:
    """Return cosine and sine, exact at whole quarter turns.

    >>> cos_sin(90.0), cos_sin(-180.0)
    ((0.0, 1.0), (-1.0, 0.0))
    """
    quarter = degrees / 90.0
    if quarter == round(quarter):
        return ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[round(quarter) % 4]
    return math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
