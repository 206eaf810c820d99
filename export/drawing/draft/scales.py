"""Drawing scales: ISO 5455 for metric sheets, architects' scales for sheets in feet and inches."""

from __future__ import annotations

from dataclasses import dataclass

from .figures import Units


@dataclass(frozen=True)
class Scale:
    """A scale 1:n. text : as it is written."""

    n: float
    text: str


METRIC = tuple(
    Scale(n, f"1:{n}") for n in (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000, 10000)
)
"""Full size and reductions of ISO 5455 (from memory)."""

SMALLER = tuple(Scale(n, f"1:{n}") for n in (20000, 50000, 100000))
"""Reductions in the same steps, for a fence of many kilometres on one sheet."""

PLANNING = tuple(Scale(n, f"1:{n}") for n in (1250, 2500))
"""Scales of the maps that planning authorities ask for; not in ISO 5455."""

RULERS = tuple(Scale(n, f"1:{n}") for n in (25, 75, 125, 250, 300, 400, 750, 1250, 2500))
"""Other scales that scale rulers have (common practice, no source), for sketches."""

ARCHITECTS = tuple(
    Scale(n, f"{text} = 1'-0\"" if n < 200 else f"1\" = {text}'")
    for n, text in (
        (1, "FULL SIZE"), (2, '6"'), (4, '3"'), (8, '1 1/2"'), (12, '1"'), (16, '3/4"'),
        (24, '1/2"'), (48, '1/4"'), (96, '1/8"'), (192, '1/16"'), (240, "20"), (480, "40"),
        (1200, "100"), (2400, "200"), (6000, "500"), (12000, "1000"), (24000, "2000"),
        (60000, "5000"), (120000, "10000"),
    )
)  # fmt: skip
"""Inches to the foot, and engineers' feet to the inch (common practice, no source)."""


def scales(units: Units) -> tuple[Scale, ...]:
    """Return the scales of a kind of sheet, the largest first."""
    return ARCHITECTS if units is Units.FEET else (*METRIC, *SMALLER)


def scale_for(size: float, paper: float, units: Units, *, largest: float = 1.0) -> Scale:
    """Return the largest scale at which `size` fits on `paper` (both mm), from 1:largest down.

    >>> scale_for(10_800, 380, Units.MILLIMETRES).text, scale_for(90, 380, Units.METRES).text
    ('1:50', '1:1')
    """
    allowed = [scale for scale in scales(units) if scale.n >= largest]
    for scale in allowed:
        if size / scale.n <= paper:
            return scale
    return allowed[-1]


def scale_named(n: float, units: Units) -> Scale:
    """Return the scale 1:n of the standard series, or the plain ratio."""
    for scale in (*scales(units), *PLANNING):
        if scale.n == n:
            return scale
    return Scale(n, f"1:{n:g}")
