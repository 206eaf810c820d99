"""Caps of sheet metal over the flat tops of posts."""

from __future__ import annotations

from dataclasses import dataclass

from .frames import Vector


@dataclass(frozen=True)
class MetalCap:
    """A cap of sheet metal with a four-way or a flat top, centred, the post's top at z = 0.

    width, depth : outside; skirt : how far it comes down the post; rise : of its top to its point;
    metal : thickness, mm.
    """

    width: float
    depth: float
    skirt: float
    rise: float
    metal: float

    @property
    def height(self) -> float:
        """Height over the post's top, mm."""
        return self.rise + self.metal

    @property
    def volume(self) -> float:
        """Volume of the metal, mm3: a box with a four-way top less the room in it."""
        outer = self.width * self.depth
        inner = (self.width - 2.0 * self.metal) * (self.depth - 2.0 * self.metal)
        return outer * (self.skirt + self.metal + self.rise / 3.0) - inner * (
            self.skirt + self.rise / 3.0
        )

    @property
    def size(self) -> tuple[float, float, float]:
        """Width, depth and height over all."""
        return self.width, self.depth, self.skirt + self.height

    def rings(self) -> tuple[tuple[Vector, ...], ...]:
        """Return its corners: outside below and above, inside below and above."""
        w, d, m = self.width / 2.0, self.depth / 2.0, self.metal
        return tuple(
            ((-a, -b, z), (a, -b, z), (a, b, z), (-a, b, z))
            for a, b, z in (
                (w, d, -self.skirt), (w, d, m), (w - m, d - m, -self.skirt), (w - m, d - m, 0.0),
            )
        )  # fmt: skip

    def faces(self) -> tuple[tuple[Vector, ...], ...]:
        """Return its faces, anticlockwise seen from outside; the rim mitred at its corners."""
        out0, out1, in0, in1 = self.rings()
        tip, under = (0.0, 0.0, self.height), (0.0, 0.0, self.rise)
        found: list[tuple[Vector, ...]] = []
        for n in range(4):
            m = (n + 1) % 4
            found += [
                (out0[n], out0[m], out1[m], out1[n]),
                (in0[m], in0[n], in1[n], in1[m]),
                (out0[m], out0[n], in0[n], in0[m]),
            ]
            if self.rise:
                found += [(out1[n], out1[m], tip), (in1[m], in1[n], under)]
        if not self.rise:
            found += [out1, in1[::-1]]
        return tuple(found)

    def pieces(self) -> tuple[tuple[tuple[Vector, ...], tuple[Vector, ...]], ...]:
        """Return rings of convex pieces that together make it: its walls, and its top."""
        out0, out1, in0, in1 = self.rings()
        tip, under = (0.0, 0.0, self.height), (0.0, 0.0, self.rise)
        found: list[tuple[tuple[Vector, ...], tuple[Vector, ...]]] = []
        for n in range(4):
            m = (n + 1) % 4
            found.append(((out0[n], out0[m], in0[m], in0[n]), (out1[n], out1[m], in1[m], in1[n])))
            if self.rise:
                found.append(((in1[n], in1[m], under), (out1[n], out1[m], tip)))
        if not self.rise:
            found.append((in1, tuple((x, y, self.metal) for x, y, _ in in1)))
        return tuple(found)
