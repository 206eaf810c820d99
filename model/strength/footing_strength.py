"""The depth of a post's footing by published methods, side by side."""

from __future__ import annotations

import math
from collections.abc import Iterator

from palewright.model.basis.wind_kinds import WIND_CLAY, WIND_DEPTH, WIND_SAND
from palewright.model.layout.placed_posts import PlacedPost
from palewright.model.resolved.post_feet import GroundBearing
from palewright.model.resolved.words import PostRole

from .formulas import Formula
from .load_case import LoadCase
from .pole_depth import (
    CLAY,
    CLAY_TURNED,
    PASSIVE,
    POLE_A,
    POLE_DEPTH,
    POLE_PRESSURE,
    POLE_TURNED,
    SAND_LOAD,
    SOILS,
    pole,
    short_in_clay,
    short_in_sand,
)
from .steps import StrengthCheck, Working
from .wind_on_fence import Basis

IBC, BROMS = "IBC 1807.3.2.1", "Broms 1964"

CLAY_UNITS = {"M": "kNm"}
"""Units of the steps in clay that are not m."""

ASSUMED_COHESION, ASSUMED_FRICTION = 50.0, {"sand": 30.0, "gravel": 35.0}
"""Of firm clay, kPa, and of granular ground, degrees, where the spec has none: only to compare
(common practice, no source)."""


def footing_checks(basis: Basis, post: PlacedPost, loads: LoadCase) -> Iterator[StrengthCheck]:
    """Yield the checks of a footing under loads, none of one that does not press on the ground."""
    bearing = post.plan.foot.bears
    if bearing is None:
        return
    working = _overturning(loads)
    yield _pole(basis, post, loads, working, bearing)
    soil = basis.soil
    if soil.cohesion is not None:
        yield _clay(basis, working, bearing, soil.cohesion)
    if soil.friction is not None:
        yield _sand(basis, working, bearing, soil.friction)


def _overturning(loads: LoadCase) -> Working:
    """Return the loads with the force Fk and its height e, or with a moment Mk alone, without
    factors.
    """
    moments = [" + ".join(term for _, term in terms) for terms in (loads.across, loads.along)]
    working = loads.working.fresh()
    if loads.wind and len(loads.across) + len(loads.along) == 1:
        return working
    both = [f"({text})^2" for text in moments if text]
    text = f"sqrt({' + '.join(both)})" if len(both) == 2 else next(filter(None, moments))
    working = working.worked("Mk", Formula(text), "kNm", "statics")
    return working.worked("e", Formula("Mk / Fk"), "m") if loads.wind else working


def _pole(
    basis: Basis, post: PlacedPost, loads: LoadCase, working: Working, bearing: GroundBearing
) -> StrengthCheck:
    """Return the check by the building code's formula."""
    soil, deep = basis.soil, bearing.deep / 1000.0
    width, what = bearing.width, bearing.what
    lateral = soil.lateral if soil.lateral is not None else SOILS[soil.kind]
    source = "IBC Table 1806.2" if soil.lateral is None else "by the user"
    working = working.given("b", f"diameter or diagonal of the {what}", width / 1000.0, "m", IBC)
    doubled = post.kind != PostRole.GATE if soil.doubled is None else soil.doubled
    depths = []
    for times, words in ((1.0, "lateral bearing of the soil"), (2.0, "lateral bearing, doubled")):
        working = _pole_depth(working, loads, lateral * times, words, source)
        depths.append(working["d"] / 1000.0)
    why = "with" if doubled else "without"
    words = f"{why} doubling, as 13 mm of movement {'does no' if doubled else 'may do'} harm"
    working = working.given("D", words, depths[doubled], "m", "IBC 1806.3.4")
    mend = f"{bearing.mend}{_contradicted(basis, post, working, bearing)}"
    return StrengthCheck(
        WIND_DEPTH, "depth of the footing", depths[doubled], deep, "m", working.steps, mend, IBC
    )


def _pole_depth(
    working: Working, loads: LoadCase, lateral: float, words: str, source: str
) -> Working:
    working = working.given("s", words, lateral, "kPa/m", source)
    moment = 0.0 if loads.wind else working["Mk"] / 1e6
    force = working["Fk"] / 1000.0 if loads.wind else 0.0
    arm = working["e"] / 1000.0 if loads.wind else 0.0
    needed = pole(force, arm, working["b"] / 1000.0, lateral, moment=moment)
    working = working.knowing({"d": needed.depth * 1000.0}).worked("S1", POLE_PRESSURE, "kPa", IBC)
    if loads.wind:
        working = working.worked("A", POLE_A, "m", IBC)
    formula = POLE_DEPTH if loads.wind else POLE_TURNED
    return working.worked("d", formula, "m", IBC, note=", solved with S1")


def _contradicted(basis: Basis, post: PlacedPost, working: Working, bearing: GroundBearing) -> str:
    """Return a sentence that says why the trade sets posts less deep, where it does and another
    method agrees with it; empty where it does not.
    """
    deep = bearing.deep / 1000.0
    if working["D"] / 1000.0 <= deep or not post.plan.foot.buried:
        return ""
    quarter = (post.full_height + post.plan.embedment) / 4.0
    other, words = _second(basis, bearing, working)
    if post.plan.embedment < quarter or other > deep:
        return ""
    return (
        f". The trade's quarter of the post's length ({quarter:.0f} mm) and Broms' method with "
        f"{words} ({other * 1000.0:.0f} mm) are content with less: this code's bearing is "
        "presumed low for untested ground, and a test (soil.lateral) decides"
    )


def _second(basis: Basis, bearing: GroundBearing, working: Working) -> tuple[float, str]:
    """Return the depth that Broms' method asks for, m, and what it is fed with."""
    soil = basis.soil
    force = soil.safety * working.values.get("Fk", 0.0) / 1000.0
    moment = soil.safety * _moment(working) / 1e6
    width = bearing.square / 1000.0
    if soil.kind in ASSUMED_FRICTION:
        friction = soil.friction or ASSUMED_FRICTION[soil.kind]
        said = "given" if soil.friction else "assumed"
        depth = short_in_sand(force, moment, width, friction, soil.weight)
        return depth, f"a friction of {friction:g} degrees ({said})"
    cohesion = soil.cohesion or ASSUMED_COHESION
    said = "given" if soil.cohesion else "assumed"
    return short_in_clay(force, moment, width, cohesion).depth, f"{cohesion:g} kPa ({said})"


def _moment(working: Working) -> float:
    """Return the moment without factors, Nmm."""
    if "Fk" in working.values:
        return working["Fk"] * working["e"]
    return working["Mk"]


def _clay(basis: Basis, working: Working, bearing: GroundBearing, cohesion: float) -> StrengthCheck:
    """Return the check of a short post in clay. cohesion : kPa."""
    wide, deep = bearing.square, bearing.deep / 1000.0
    soil, turned = basis.soil, "Fk" not in working.values
    working = working.fresh().knowing({"b": wide, "c": cohesion / 1000.0, "nu": soil.safety})
    for symbol, formula in CLAY_TURNED if turned else CLAY:
        working = working.worked(symbol, formula, CLAY_UNITS.get(symbol, "m"), BROMS)
    return StrengthCheck(
        WIND_CLAY, "depth of the footing in clay", working["L"] / 1000.0, deep, "m",
        working.steps, bearing.mend, "Broms, ASCE SM2, 1964",
    )  # fmt: skip


def _sand(basis: Basis, working: Working, bearing: GroundBearing, friction: float) -> StrengthCheck:
    """Return the check of a short post in granular ground. friction : degrees."""
    soil, width, deep = basis.soil, bearing.square, bearing.deep / 1000.0
    force, moment = working.values.get("Fk", 0.0), _moment(working)
    depth = short_in_sand(
        soil.safety * force / 1e3, soil.safety * moment / 1e6, width / 1e3, friction, soil.weight
    )
    working = (
        working.fresh()
        .knowing(
            {
                "b": width,
                "gamma": soil.weight * 1e-6,
                "sin": math.sin(math.radians(friction)),
                "nu": soil.safety,
                "Fk": force,
                "Mk": moment,
            }
        )
        .worked("Kp", PASSIVE, "", f"Rankine, {friction:g} degrees")
        .given("L", "depth at which it just holds", depth, "m", BROMS)
        .worked("ML", SAND_LOAD, "kNm", BROMS)
        .worked("MF", Formula("nu (Mk + Fk L)"), "kNm", "as much")
    )
    return StrengthCheck(
        WIND_SAND, "depth of the footing in granular ground", depth, deep, "m", working.steps,
        bearing.mend, "Broms, ASCE SM3, 1964",
    )  # fmt: skip
