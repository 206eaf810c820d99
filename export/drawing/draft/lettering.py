"""How wide and high text is in the drawings' font."""

from __future__ import annotations

import math
from functools import lru_cache
from typing import Any

from .style import FONT_FILE


def text_width(text: str, height: float) -> float:
    """Return the width of a line of text in the drawings' font, in the unit of `height`.

    height : of the capitals. Advances from the font's own metrics.
    """
    return _width(text) * height


@lru_cache(maxsize=4096)
def _width(text: str) -> float:
    """Return the width of a text with capitals of height 1; a plan tries one in many places."""
    advances, capitals = _metrics()
    default = advances.get(ord("n"), 0.0)
    return math.fsum(advances.get(ord(letter), default) for letter in text) / capitals


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
