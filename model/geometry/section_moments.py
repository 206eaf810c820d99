"""Area, centroid and second moments of sections of lines and arcs, in closed form.

By Green's theorem the integral of X^n over an area is that of X^(n+1) / (n + 1) along its boundary
in Y, anticlockwise.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from .frames import Point
from .outlines import Edge, Outline


@dataclass(frozen=True)
class SectionMoments:
    """Of a section in x and y. area : mm2; centroid : mm; across_x : integral of (x - centroid)^2,
    mm4, that of bending towards x; across_y : likewise towards y; bounds : as of the outline.
    """

    area: float
    centroid: Point
    across_x: float
    across_y: float
    bounds: tuple[float, float, float, float]

    @property
    def modulus_x(self) -> float:
        """Section modulus of bending towards x, at the side that is farther away, mm3."""
        low, _, high, _ = self.bounds
        return self.across_x / max(high - self.centroid[0], self.centroid[0] - low)

    @property
    def modulus_y(self) -> float:
        """Section modulus of bending towards y, mm3."""
        _, low, _, high = self.bounds
        return self.across_y / max(high - self.centroid[1], self.centroid[1] - low)


def section_moments(outline: Outline) -> SectionMoments:
    """Return the moments of a section.

    >>> made = section_moments(Outline.rectangle(0.0, 0.0, 30.0, 60.0))
    >>> made.area, made.centroid, made.across_x, made.modulus_y
    (1800.0, (15.0, 30.0), 135000.0, 18000.0)
    """
    turned = Outline(tuple((y, -x, bulge) for x, y, bulge in outline.vertices))
    area, first_x, second_x = _moments(outline.edges)
    _, first_y, second_y = _moments(turned.edges)
    x, y = first_x / area, first_y / area
    return SectionMoments(
        area, (x, y), second_x - area * x * x, second_y - area * y * y, outline.bounds
    )


def _moments(edges: Sequence[Edge]) -> tuple[float, float, float]:
    """Return the integrals of 1, x and x^2 over an area within edges."""
    a, b, c = zip(*(_along(edge) for edge in edges), strict=True)
    return math.fsum(a), math.fsum(b) / 2.0, math.fsum(c) / 3.0


def _along(edge: Edge) -> tuple[float, float, float]:
    """Return the integrals of x, x^2 and x^3 along an edge in y."""
    (x0, y0), (x1, y1) = edge.start, edge.end
    if not edge.bulge:
        rise = y1 - y0
        return (
            rise * (x0 + x1) / 2.0,
            rise * (x0 * x0 + x0 * x1 + x1 * x1) / 3.0,
            rise * (x0 + x1) * (x0 * x0 + x1 * x1) / 4.0,
        )
    (cx, cy), r = edge.centre, edge.radius
    start = math.atan2(y0 - cy, x0 - cx)
    # integrals of cos t to the powers 1 to 4
    c1, c2, c3, c4 = (
        high - low for low, high in zip(_powers(start), _powers(start + edge.angle), strict=True)
    )
    return (
        r * (cx * c1 + r * c2),
        r * (cx * cx * c1 + 2.0 * cx * r * c2 + r * r * c3),
        r * (cx**3 * c1 + 3.0 * cx * cx * r * c2 + 3.0 * cx * r * r * c3 + r**3 * c4),
    )


def _powers(t: float) -> tuple[float, float, float, float]:
    """Return primitives of cos t to the powers 1 to 4."""
    sin, cos = math.sin(t), math.cos(t)
    return (
        sin,
        (t + sin * cos) / 2.0,
        sin - sin**3 / 3.0,
        (3.0 * t + 3.0 * sin * cos + 2.0 * sin * cos**3) / 8.0,
    )
