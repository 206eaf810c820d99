"""Arranging dimensions: chains, tiers, and where a figure goes that has no room on its line."""

from __future__ import annotations

import itertools
import math
from functools import lru_cache
from typing import Any

from palewright.model.geometry import Point

from .figures import Figures
from .style import FONT_FILE, Style
from .view import Dimension


def text_width(text: str, height: float) -> float:
    """Return the width of a line of text in the drawings' font, in the unit of `height`.

    height : of the capitals. Advances from the font's own metrics.
    """
    advances, capitals = _metrics()
    default = advances.get(ord("n"), 0.0)
    return sum(advances.get(ord(letter), default) for letter in text) / capitals * height


def cap_height() -> float:
    """Return the height of a capital for a font size of 1."""
    return _metrics()[1]


@lru_cache(maxsize=1)
def _metrics() -> tuple[dict[int, float], float]:
    """Return the advance of each letter and the height of capitals, for a font size of 1."""
    from fontTools.ttLib import TTFont

    with TTFont(FONT_FILE) as font:
        size = float(font["head"].unitsPerEm)
        names: dict[int, str] = font.getBestCmap()
        widths: Any = font["hmtx"].metrics
        table: Any = font["OS/2"]
        advances = {code: widths[name][0] / size for code, name in names.items()}
        return advances, table.sCapHeight / size


def chain(
    points: list[Point],
    base: Point,
    degrees: float,
    scale: float,
    style: Style,
    figures: Figures,
    *,
    aside: bool = True,
) -> list[Dimension]:
    """Return a chain of dimensions that closes: each begins where the one before ends.

    A figure that is wider than its dimension stands beside the chain when it is the first or the
    last, and a line higher when it is between others (or the first, and `aside` is false).

    Parameters
    ----------
    points : list of (x, y), mm
        In the order of measurement.
    base : (x, y), mm
        A point on the dimension line.
    degrees : float
        Direction of measurement.
    scale : float
        n of 1:n.
    style : Style
        Sizes on paper.
    figures : Figures
        How lengths are written.
    aside : bool
        Whether the first figure may stand before the chain.
    """
    cos, sin = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    spots = [x * cos + y * sin for x, y in points]
    across = -base[0] * sin + base[1] * cos
    made = []
    last = len(points) - 2
    for number, (start, end) in enumerate(itertools.pairwise(points)):
        a, b = spots[number], spots[number + 1]
        width = text_width(figures.text(abs(b - a)), style.text) * scale
        middle, lift = (a + b) / 2.0, 0.0
        if width + style.tick * scale > abs(b - a):  # the strokes take half of theirs each
            past = (width / 2.0 + (style.tick + style.gap) * scale) * (1 if b > a else -1)
            if number == 0 and aside:
                middle = a - past
            elif number == last:
                middle = b + past
            else:
                lift = (style.text + style.gap) * scale
        along, up = middle, across + (style.gap + style.text / 2.0) * scale + lift
        moved = (
            (along * cos - up * sin, along * sin + up * cos)
            if middle != (a + b) / 2.0 or lift
            else None
        )
        made.append(Dimension(start, end, base, degrees, text_at=moved))
    return made
