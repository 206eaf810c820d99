"""Which paper is taken: shapes by the squares that they lie in, so that few have to be asked."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from shapely import Geometry

SQUARE = 15.0
"""Side of the squares, mm on paper."""


class TakenPaper:
    """Shapes on paper, found by where they are."""

    def __init__(self) -> None:
        self.shapes: list[Geometry] = []
        self.squares: dict[tuple[int, int], list[int]] = {}

    def add(self, shapes: Iterable[Geometry]) -> None:
        """Take the paper of shapes."""
        for shape in shapes:
            for square in _squares(shape):
                self.squares.setdefault(square, []).append(len(self.shapes))
            self.shapes.append(shape)

    def near(self, shape: Geometry) -> list[Geometry]:
        """Return the shapes in the squares that a shape's box lies in."""
        found: set[int] = set()
        for square in _squares(shape):
            found.update(self.squares.get(square, ()))
        return [self.shapes[number] for number in sorted(found)]

    def met_by(self, shapes: Iterable[Geometry]) -> int:
        """Return how often any of some shapes meets one that is there."""
        import shapely

        total = 0
        for shape in shapes:
            near = self.near(shape)
            total += int(shapely.intersects(shape, near).sum()) if near else 0
        return total


def _squares(shape: Geometry) -> Iterator[tuple[int, int]]:
    x0, y0, x1, y1 = (math.floor(value / SQUARE) for value in shape.bounds)
    for x in range(x0, x1 + 1):
        for y in range(y0, y1 + 1):
            yield x, y
