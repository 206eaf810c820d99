"""Checks of ground that is lower on one side of a fence than on the other."""

from __future__ import annotations

from collections.abc import Iterator

from palewright.model.basis import site_kinds
from palewright.model.basis.findings import Finding
from palewright.model.basis.units import format_length as mm
from palewright.model.geometry.frames import Point
from palewright.model.layout.run_layout import RunLayout
from palewright.model.layout.side_ground import Side, ground_beside, sides_apart
from palewright.model.site.site_line import level_at

DROP = 300.0
"""Ground that is lower on one side by more is told of, mm (common practice, no source)."""


def drop_findings(layout: RunLayout) -> Iterator[Finding]:
    """Yield where the ground drops most across a run to either side."""
    if "line" in sides_apart(layout.run):
        return
    drops = list(_drops(layout))
    for lower in ("front", "back"):
        sign = 1.0 if lower == "front" else -1.0
        drop, place = max((sign * drop, place) for drop, place in drops)
        if drop > DROP:
            yield site_kinds.GROUND_DROP.at(
                f"{layout.run.called}, chainage {mm(place, 0)}, {mm(drop, 0)} mm lower at the "
                f"{lower}", f"{mm(drop, 0)} mm", f"{mm(DROP, 0)} mm",
            )  # fmt: skip


def _drops(layout: RunLayout) -> Iterator[tuple[float, float]]:
    """Yield how much lower the front is than the back, with the chainage, wherever it may turn."""
    sides: tuple[Side, Side] = ("back", "front")
    for number, leg in enumerate(layout.legs):
        back, front = (ground_beside(layout, number, (0.0, leg.length), side) for side in sides)
        tables = [(side, _by_place(side)) for side in (back, front)]
        for x in sorted({x for x, _ in (*back, *front)}):
            # a side may end in a step: before it and after it
            at = [known.get(x) or [level_at(side, x)] for side, known in tables]
            place = layout.run.line.chainage(leg.before + x)
            yield max(at[0]) - min(at[1]), place
            yield min(at[0]) - max(at[1]), place


def _by_place(side: tuple[Point, ...]) -> dict[float, list[float]]:
    """Return the levels of a side by their places."""
    levels: dict[float, list[float]] = {}
    for x, z in side:
        levels.setdefault(x, []).append(z)
    return levels
