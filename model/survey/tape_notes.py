"""What is said of adjusted measurements: how well they agree, which is wrong, which unchecked."""

from __future__ import annotations

import math
from collections.abc import Iterator

from palewright.model.basis.text import plain
from palewright.model.basis.units import format_length

from .adjustment import Adjusted, Left
from .level_lines import BookLine
from .measurements import Along, Angle, Bearing, Offset, Reading, names_of

MOST_NAMED = 12
"""Measurements that a note names."""


def adjustment_notes(found: Adjusted, what: str, sigma: float) -> Iterator[str]:
    """Yield notes on what an adjustment left over.

    what : was measured; sigma : standard deviation of most of it, mm.
    """
    if not found.freedom:
        yield f"{what}: no more measured than needed, so that nothing is checked"
        return
    worst_left = max(found.left, key=lambda one: abs(one.residual / one.measurement.sigma))
    yield (
        f"{what}: {len(found.left)} measured, {found.freedom} more than needed; they agree to "
        f"{found.factor:.1f} times their accuracy of {format_length(sigma)} mm, at most "
        f"{_said(worst_left)}"
    )
    suspects = found.suspects
    if suspects and not found.alike:
        said = ", or else ".join(
            f"{_named(one)}, by about {_amount(one, abs(one.blunder or 0.0))}"
            for one in suspects[:MOST_NAMED]
        )
        yield f"probably wrong: {said}: measure again"
    elif suspects:
        said = ", ".join(_named(one) for one in suspects[:MOST_NAMED])
        yield f"one of these is probably wrong, and nothing tells which: {said}; measure one more"
    elif found.factor**2 > found.bounds[1]:
        yield f"{what}: they agree worse than their accuracy explains; measure the worst again"
    loose = [_named(one) for one in found.left if one.standardised is None]
    if loose:
        yield f"checked by no other: {', '.join(loose[:MOST_NAMED])}"


def book_notes(book: tuple[BookLine, ...]) -> Iterator[str]:
    """Yield how lines of levels close."""
    for line in book:
        rows = line.rows
        called = f"levels {plain(rows[0].point)[:20]} to {plain(rows[-1].point)[:20]}"
        for point, level, wanted in line.closings:
            miss = level - wanted
            said = format_length(abs(miss))
            way = "" if said == "0" else " too high" if miss > 0.0 else " too low"
            yield (
                f"{called}: {plain(point)[:20]} comes out {said} mm{way} after "
                f"{line.setups} set-up{'' if line.setups == 1 else 's'}, shared out over them"
            )
        if not line.closings:
            yield f"{called}: comes back to no known level, so that nothing checks it"


def _said(one: Left) -> str:
    return f"{_amount(one, one.residual)} in {_named(one)}"


def _amount(one: Left, value: float) -> str:
    if isinstance(one.measurement, Angle | Bearing):
        return f"{math.degrees(value):.2f} degrees"
    return f"{format_length(value)} mm"


def _named(one: Left) -> str:
    names = [plain(name)[:20] for name in names_of(one.measurement)]
    match one.measurement:
        case Offset():
            return f"{names[0]} from {names[1]} {names[2]}"
        case Along():
            return f"{names[0]} along {names[1]} {names[2]}"
        case Angle():
            return f"the angle at {names[0]}"
        case Bearing():
            return f"the bearing {names[0]} to {names[1]}"
        case Reading(setup=setup):
            return f"the staff on {names[0]}, {setup}"
        case _:
            return f"{names[0]} to {names[1]}"
