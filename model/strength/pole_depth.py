"""How deep a post has to stand: published methods, side by side."""

from __future__ import annotations

import math
from dataclasses import dataclass

from .formulas import Formula

SOILS = {
    "bedrock": 188.5,
    "soft rock": 62.8,
    "gravel": 31.4,
    "sand": 23.6,
    "clay": 15.7,
}
"""Lateral bearing, kPa for each metre of depth: IBC Table 1806.2 (1200, 400, 200, 150 and 100
psf/ft for crystalline bedrock, sedimentary rock, sandy gravel, sand with silt or clay, clay and
silt).
Peat, organic soil and made ground have none."""

POLE_PRESSURE = Formula("s d / 3")
POLE_A = Formula("2.34 Fk / (S1 b)")
POLE_DEPTH = Formula("0.5 A (1 + sqrt(1 + 4.36 e / A))")
"""International Building Code, 1807.3.2.1."""

POLE_TURNED = Formula("sqrt(1.09 2.34 Mk / (S1 b))")
"""The same under a moment alone: the limit of a small force high up."""

CLAY = (
    ("f", Formula("nu Fk / (9 c b)")),
    ("M", Formula("nu Fk (e + 1.5 b + 0.5 f)")),
    ("g", Formula("sqrt(M / (2.25 c b))")),
    ("L", Formula("1.5 b + f + g")),
)
CLAY_TURNED = (
    ("M", Formula("nu Mk")),
    ("g", Formula("sqrt(M / (2.25 c b))")),
    ("L", Formula("1.5 b + g")),
)
"""A short post in clay, free at its head, under a force and under a moment alone, with a factor nu
of safety: Broms, ASCE SM2, 1964."""

PASSIVE = Formula("(1 + sin) / (1 - sin)")
SAND_LOAD = Formula("0.5 gamma b Kp L^3")
"""Rankine's coefficient, and the moment about its foot that a short post in sand holds, free at
its head: Broms, ASCE SM3, 1964 (from memory)."""

DEEPEST = 100.0
"""Deeper than this (m) nothing is looked for."""


@dataclass(frozen=True)
class Embedment:
    """depth : needed, m; pressure : lateral soil pressure used, kPa; a : the formula's A, m."""

    depth: float
    pressure: float
    a: float


def pole(
    load: float, height: float, width: float, lateral: float, *, moment: float = 0.0
) -> Embedment:
    """Return the depth of a pole that nothing holds at the ground.

    Parameters
    ----------
    load : float, kN
        Horizontal, without load factors.
    height : float, m
        Of the load over the ground.
    width : float, m
        Diameter of a round footing, diagonal of a square one.
    lateral : float, kPa/m
        Lateral bearing of the soil for each metre of depth.
    moment : float, kNm
        That acts alone where the load is 0.

    Source
    ------
    International Building Code, 1807.3.2.1: d = 0.5 A (1 + sqrt(1 + 4.36 h / A)) with
    A = 2.34 P / (S1 b) and S1 the pressure at d / 3, which depends on d: solved until it agrees.

    Examples
    --------
    >>> round(pole(0.5, 0.6, 0.30, 15.708).depth, 4)
    1.0914
    """
    low, high = 0.0, DEEPEST
    for _ in range(100):
        depth = (low + high) / 2.0
        if _needed(load, height, width, lateral * depth / 3.0, moment)[0] > depth:
            low = depth
        else:
            high = depth
    pressure = POLE_PRESSURE.value({"s": lateral, "d": high})
    return Embedment(high, pressure, _needed(load, height, width, pressure, moment)[1])


def _needed(
    load: float, height: float, width: float, pressure: float, moment: float
) -> tuple[float, float]:
    """Return d and A for a given pressure."""
    if load > 0.0:
        a = POLE_A.value({"Fk": load, "S1": pressure, "b": width})
        return POLE_DEPTH.value({"A": a, "e": height}), a
    return POLE_TURNED.value({"Mk": moment, "S1": pressure, "b": width}), 0.0


@dataclass(frozen=True)
class Short:
    """A short post in clay at failure. depth : needed, m; zero : depth below 1.5 widths where the
    shear is nothing, m; moment : largest in the post, kNm; rest : length below that point, m.
    """

    depth: float
    zero: float
    moment: float
    rest: float


def short_in_clay(load: float, moment: float, width: float, cohesion: float) -> Short:
    """Return the depth at which a short post, free at its head, just holds in clay.

    load, moment : at the ground, kN and kNm, with their factor of safety; width : of the footing,
    m; cohesion : undrained shear strength, kPa.

    Source: Broms, Lateral resistance of piles in cohesive soils, ASCE SM2 (1964): f = P / (9 c b),
    M = P (e + 1.5 b + 0.5 f), g = sqrt(M / (2.25 c b)), L = 1.5 b + f + g.

    >>> round(short_in_clay(13.6, 13.6 * 7.5, 0.75, 50.0).depth, 2)
    2.35
    """
    values = {"nu": 1.0, "c": cohesion, "b": width, "Fk": load, "Mk": moment, "f": 0.0}
    if load > 0.0:
        values["e"] = moment / load
    for symbol, formula in CLAY if load > 0.0 else CLAY_TURNED:
        values[symbol] = formula.value(values)
    return Short(values["L"], values["f"], values["M"], values["g"])


def short_in_sand(
    load: float, moment: float, width: float, friction: float, weight: float
) -> float:
    """Return the depth at which a short post, free at its head, just holds in sand, m.

    load, moment : at the ground, kN and kNm, with their factor of safety; width : of the footing,
    m; friction : degrees; weight : of the sand, kN/m3.

    Source: Broms, Lateral resistance of piles in cohesionless soils, ASCE SM3 (1964), from memory:
    P (e + L) = 0.5 gamma b Kp L^3.

    >>> round(short_in_sand(1.458, 1.458 * 0.6, 0.3, 30.0, 18.0), 2)
    0.6
    """
    passive = PASSIVE.value({"sin": math.sin(math.radians(friction))})
    low, high = 0.0, DEEPEST
    for _ in range(100):
        depth = (low + high) / 2.0
        holds = SAND_LOAD.value({"gamma": weight, "b": width, "Kp": passive, "L": depth})
        if holds < moment + load * depth:
            low = depth
        else:
            high = depth
    return high
