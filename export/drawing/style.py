"""How drawings look: layers, line widths, lettering and dimension sizes, in one frozen value.

Layer names follow ISO 13567-2: two characters for the agent (W, contractor), six for the element,
two for the presentation (E element graphics, T text, D dimensions, H hatching). Line widths are
those of ISO 128 (0.13, 0.18, 0.25, 0.35, 0.5, 0.7 mm), lettering heights those of ISO 3098
(2.5, 3.5, 5 mm).
"""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path

FONT = "LiberationSans-Regular.ttf"
FONT_FILE = Path(__file__).parent / "fonts" / FONT


@dataclass(frozen=True)
class Layer:
    """A layer. weight : line width, 1/100 mm; colour : AutoCAD colour index, for the screen."""

    name: str
    weight: int
    colour: int
    linetype: str = "CONTINUOUS"
    note: str = ""


PALES = Layer("W-PALES-E-", 35, 7, note="pales")
POSTS = Layer("W-POSTS-E-", 50, 32, note="posts and caps")
RAILS = Layer("W-RAILS-E-", 25, 34, note="rails, ledges and braces")
METAL = Layer("W-METAL-E-", 18, 140, note="bolts, brackets and gate furniture")
HIDDEN = Layer("W-UNDERGE-", 18, 8, "DASHED", "posts and concrete below ground")
GROUND = Layer("W-GROUNDE-", 70, 36, note="ground line")
GROUND_HATCH = Layer("W-GROUNDH-", 13, 36, note="ground hatching")
AXIS = Layer("W-FLINE-E-", 18, 1, "CENTER", "fence line")
SYMBOLS = Layer("W-GATES-E-", 18, 5, "DASHED", "gate swings and hanging sides")
DIMENSIONS = Layer("W-FENCE-D-", 18, 3, note="dimensions")
TEXT = Layer("W-FENCE-T-", 25, 2, note="text")

LAYERS = (
    PALES, POSTS, RAILS, METAL, HIDDEN, GROUND, GROUND_HATCH, AXIS, SYMBOLS, DIMENSIONS, TEXT,
)  # fmt: skip


@dataclass(frozen=True)
class Style:
    """Sizes on paper, mm.

    text, title : lettering heights; first_tier, tier : from the outline to the first dimension
    line, and between dimension lines; side_tier : between upright ones, which keep room for
    lifted figures; tick : length of the oblique strokes;
    gap : between dimension line and text; overrun : extension line past the dimension line;
    offset : from the object to its extension line.
    """

    text: float = 2.5
    title: float = 5.0
    subtitle: float = 3.5
    first_tier: float = 10.0
    tier: float = 7.0
    side_tier: float = 9.5
    tick: float = 2.0
    gap: float = 0.8
    overrun: float = 1.5
    offset: float = 1.5
    layers: tuple[Layer, ...] = field(default=LAYERS)


SCALES = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000, 10000)
"""Reduction scales of ISO 5455, as 1:n."""


def scale_for(size: float, paper: float) -> int:
    """Return the largest scale 1:n at which `size` (mm) fits on `paper` (mm).

    >>> scale_for(10_800, 380), scale_for(90, 380)
    (50, 1)
    """
    for scale in SCALES:
        if size / scale <= paper:
            return scale
    return SCALES[-1]
