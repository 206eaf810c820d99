"""The depth of a post's footing, by two published methods."""

from __future__ import annotations

import math
from collections.abc import Iterator

from palewright.model.basis.finding_register import WIND_CLAY, WIND_DEPTH
from palewright.model.geometry.shapes import RoundHole
from palewright.model.layout.placed_posts import PlacedPost

from .pole_depth import CLAY, POLE_A, POLE_DEPTH, POLE_PRESSURE, SOILS, pole
from .steps import StrengthCheck, Working
from .wind_on_run import WindOn

IBC, BROMS = "IBC 1807.3.2.1", "Broms 1964"

MEND = "a deeper hole (posts.embedment), a wider one (footings.size) or shorter bays"

CLAY_UNITS = {"M": "kNm"}
"""Units of the steps in clay that are not m."""


def footing_checks(on: WindOn, post: PlacedPost, loads: Working) -> Iterator[StrengthCheck]:
    """Yield the checks of a footing under loads."""
    deep = (post.plan.embedment + on.run.footings.bed) / 1000.0
    yield _pole(on, loads, deep)
    if on.soil.cohesion is not None:
        yield _clay(on, loads, deep, on.soil.cohesion)


def _pole(on: WindOn, loads: Working, deep: float) -> StrengthCheck:
    """Return the check by the building code's formula. deep : as it is, m."""
    soil, hole = on.soil, on.run.footings.hole
    width = hole.diameter if isinstance(hole, RoundHole) else math.hypot(hole.width, hole.depth)
    lateral = soil.lateral if soil.lateral is not None else SOILS[soil.kind]
    lateral *= 2.0 if soil.doubled else 1.0
    needed = pole(loads["Fk"] / 1000.0, on.arm / 1000.0, width / 1000.0, lateral)
    words = "lateral bearing of the soil" + (", doubled" if soil.doubled else "")
    working = (
        loads.fresh()
        .given("b", "diameter or diagonal of the hole", width / 1000.0, "m", IBC)
        .given("s", words, lateral, "kPa/m",
               "IBC Table 1806.2" if soil.lateral is None else "by the user")
        .knowing({"d": needed.depth * 1000.0})
        .worked("S1", POLE_PRESSURE, "kPa", IBC)
        .worked("A", POLE_A, "m", IBC)
        .worked("d", POLE_DEPTH, "m", IBC, note=", solved with S1")
    )  # fmt: skip
    return StrengthCheck(
        WIND_DEPTH, "depth of the footing", working["d"] / 1000.0, deep, "m", working.steps,
        MEND, IBC,
    )  # fmt: skip


def _clay(on: WindOn, loads: Working, deep: float, cohesion: float) -> StrengthCheck:
    """Return the check of a short post in clay. deep : as it is, m; cohesion : kPa."""
    load = on.soil.safety * loads["Fk"] / 1000.0
    working = (
        loads.fresh()
        .given("P", "safety factor times Fk", load, "kN", "common practice")
        .knowing({"b": 2.0 * on.run.footings.half_hole, "c": cohesion / 1000.0})
    )
    for symbol, formula in CLAY:
        working = working.worked(symbol, formula, CLAY_UNITS.get(symbol, "m"), BROMS)
    return StrengthCheck(
        WIND_CLAY, "depth of the footing in clay", working["L"] / 1000.0, deep, "m",
        working.steps, MEND, "Broms, ASCE SM2, 1964",
    )  # fmt: skip
