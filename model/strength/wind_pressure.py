"""Wind on a fence after EN 1991-1-4. Values are the standard's own; national annexes differ."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from .formulas import Formula
from .steps import Working

TERRAINS = {
    "0": (0.003, 1.0),
    "I": (0.01, 1.0),
    "II": (0.05, 2.0),
    "III": (0.3, 5.0),
    "IV": (1.0, 10.0),
}
"""Roughness length z0 and least height zmin of terrain categories, m. EN 1991-1-4, Table 4.1 (III
and IV read in worked examples, the others from memory): sea; flat without obstacles; low
vegetation; suburbs, villages, woods; towns."""

EC1 = "EN 1991-1-4"

BASIC = Formula("rho vb^2 / 2")
TERRAIN_FACTOR = Formula("0.19 (z0 / 0.05)^0.07")
ROUGHNESS = Formula("kr ln(z / z0)")
MEAN = Formula("cr co vb")
INTENSITY = Formula("1 / (co ln(z / z0))")
PEAK = Formula("(1 + 7 Iv) rho vm^2 / 2")
"""EN 1991-1-4, 4.3 to 4.5; z0 of the terrain factor in m; the intensity with kI = 1, the
recommended value.
"""

OPEN_FENCE = 1.2
"""Net pressure coefficient of a fence one fifth open, all zones: EN 1991-1-4, Table 7.9. For a
fence that is more open the standard has force coefficients on the members' own area, 7.11."""

Rows = tuple[tuple[float, tuple[float, float, float, float]], ...]

SOLID: dict[str, Rows] = {
    "none": (
        (3.0, (2.3, 1.4, 1.2, 1.2)),
        (5.0, (2.9, 1.8, 1.4, 1.2)),
        (10.0, (3.4, 2.1, 1.7, 1.2)),
    ),
    "return": ((3.0, (2.1, 1.8, 1.4, 1.2)), (10.0, (2.1, 1.8, 1.4, 1.2))),
}
"""Net pressure coefficients of solid walls by length over height, in zones A to D: EN 1991-1-4,
Table 7.9; without and with a return corner as long as the wall is high."""

ZONES = (0.3, 2.0, 4.0)
"""Where zones A, B and C end, in heights from the free end: EN 1991-1-4, Figure 7.19."""


@dataclass(frozen=True)
class Pressure:
    """Peak velocity pressure at a height, and what it is made of.

    height, used : height asked for and, not under zmin, used, m; factor : terrain factor kr;
    roughness : cr; mean : mean velocity, m/s; intensity : Iv; basic, peak : pressures, N/m2.
    """

    height: float
    used: float
    factor: float
    roughness: float
    mean: float
    intensity: float
    basic: float
    peak: float

    @property
    def exposure(self) -> float:
        """Exposure factor ce: peak over basic pressure."""
        return self.peak / self.basic


def peak_pressure(
    velocity: float,
    terrain: str,
    height: float,
    *,
    density: float = 1.25,
    orography: float = 1.0,
) -> Pressure:
    """Return the peak velocity pressure.

    Parameters
    ----------
    velocity : float, m/s
        Basic wind velocity vb, direction and season in it.
    terrain : str
        Category "0" to "IV".
    height : float, m
        Over the ground.
    density : float, kg/m3
        Of air.
    orography : float
        Factor co.

    Source
    ------
    EN 1991-1-4, 4.3 to 4.5: kr = 0.19 (z0 / 0.05)^0.07, cr = kr ln(z / z0), vm = cr co vb,
    Iv = kI / (co ln(z / z0)), qp = (1 + 7 Iv) rho vm^2 / 2.

    Examples
    --------
    >>> round(peak_pressure(26.0, "IV", 9.0).peak)
    497
    """
    working = pressure_working(velocity, terrain, height, density=density, orography=orography)
    values = {step.symbol: step.value for step in working.steps}
    return Pressure(
        height,
        used=values["z"],
        factor=values["kr"],
        roughness=values["cr"],
        mean=values["vm"],
        intensity=values["Iv"],
        basic=values["qb"],
        peak=values["qp"],
    )


def pressure_working(
    velocity: float, terrain: str, height: float, *, density: float, orography: float
) -> Working:
    """Return the peak velocity pressure qp step by step; see `peak_pressure`."""
    z0, least = TERRAINS[terrain]
    values = {"rho": density * 1e-12, "vb": velocity * 1e3, "co": orography, "z0": z0}
    return (
        Working(values)
        .worked("qb", BASIC, "N/m2", f"{EC1}, 4.5")
        .worked("kr", TERRAIN_FACTOR, "", f"{EC1}, 4.3.2")
        .knowing({"z0": z0 * 1e3})
        .given("z", "height, at least zmin", max(height, least), "m", f"{EC1}, Table 4.1")
        .worked("cr", ROUGHNESS, "", f"{EC1}, 4.3.2")
        .worked("vm", MEAN, "m/s", f"{EC1}, 4.3.1")
        .worked("Iv", INTENSITY, "", f"{EC1}, 4.4")
        .worked("qp", PEAK, "N/m2", f"{EC1}, 4.5")
    )


def zone_at(away: float, height: float) -> str:
    """Return the zone of a place by its distance from the end, mm: EN 1991-1-4, Figure 7.19.

    >>> zone_at(500.0, 1800.0), zone_at(3600.0, 1800.0), zone_at(8000.0, 1800.0)
    ('A', 'C', 'D')
    """
    return "ABCD"[sum(away >= end * height for end in ZONES)]


def solid_coefficient(
    solidity: float, away: float, ratio: float, height: float, returned: float
) -> float:
    """Return the net pressure coefficient on the whole area of a fence.

    Parameters
    ----------
    solidity : float
        Share of the area that members cover; up to 0.8 the coefficient is that of 0.8.
    away : float, mm
        Distance from the end.
    ratio : float
        Length of the fence, end to end, over its height.
    height : float, mm
        Of the fence.
    returned : float
        Length of the return corner at that end over the height, 0 to 1.

    Source
    ------
    EN 1991-1-4, 7.4.1 and Table 7.9: linear between the lengths, then between no return and one
    as long as the fence is high, then between solidities of 0.8 and 1.

    Examples
    --------
    >>> round(solid_coefficient(0.9, 0.0, 4.0, 4000.0, 0.5), 6)
    1.775
    """
    if solidity <= 0.8:
        return OPEN_FENCE
    zone = "ABCD".index(zone_at(away, height))
    free, corner = (_of_length(SOLID[name], ratio, zone) for name in ("none", "return"))
    solid = free + (corner - free) * returned
    return OPEN_FENCE + (solid - OPEN_FENCE) * (min(solidity, 1.0) - 0.8) / 0.2


def _of_length(rows: Rows, ratio: float, zone: int) -> float:
    """Return the coefficient of a solid wall in a zone for its length over its height."""
    ratio = min(max(ratio, rows[0][0]), rows[-1][0])
    for (r0, low), (r1, high) in pairwise(rows):
        if ratio <= r1:
            return low[zone] + (high[zone] - low[zone]) * (ratio - r0) / (r1 - r0)
    return rows[-1][1][zone]
