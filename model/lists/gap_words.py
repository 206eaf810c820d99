"""What lists say of the gaps between pales, or of how far they lap."""

from __future__ import annotations

from collections.abc import Callable


def gap_words(gap: float, text: Callable[[float], str]) -> str:
    """Return a gap as lists have it; under 0 (mm) pales lap by as much.

    >>> gap_words(60.0, str), gap_words(-18.5, str)
    ('60.0', 'laps 18.5')
    """
    return text(gap) if gap >= 0.0 else f"laps {text(-gap)}"
