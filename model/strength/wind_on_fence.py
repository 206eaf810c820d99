"""The wind on a place of a fence: its pressure on the whole area, with every step."""

from __future__ import annotations

from dataclasses import dataclass

from palewright.model.fence.fence_model import FenceModel
from palewright.model.resolved.job import RunJob
from palewright.model.spec.demands import Soil, Strength, Wind

from .formulas import Formula
from .shown import Shown
from .steps import Working
from .straight_parts import StraightParts, coefficient_at
from .timber_design import KMOD
from .wind_pressure import EC1, pressure_working

GRAVITY = 9810.0
"""mm/s2."""

FORCE, PRESSURE = Formula("cf phi"), Formula("qp c psi_s")


@dataclass(frozen=True)
class Basis:
    """What all checks of a run share. density : of timber by its weight, kg/m3."""

    run: RunJob
    wind: Wind
    strength: Strength
    soil: Soil
    density: float

    @property
    def kmod(self) -> float:
        """Modification factor of timber for wind."""
        return KMOD[self.wind.duration]

    @property
    def factors(self) -> dict[str, float]:
        """The factors that formulas use, by symbol."""
        return {
            "psi_s": self.wind.shelter,
            "gamma_Q": self.wind.wind_factor,
            "gamma_G": self.wind.weight_factor,
            "gamma_M": self.strength.factor,
            "kmod": self.kmod,
            "g": GRAVITY,
        }


def basis_of(fence: FenceModel, run: RunJob, wind: Wind) -> Basis:
    """Return what all checks of a run share."""
    job = fence.job
    return Basis(run, wind, job.strength, job.soil, job.timber.density)


def wind_working(
    basis: Basis, shown: Shown, parts: StraightParts, span: tuple[float, float]
) -> Working:
    """Return the steps up to the pressure w on the whole area, without factors.

    span : from where to where along the run, mm; both alike for a post.
    """
    wind = basis.wind
    working = (
        pressure_working(
            wind.velocity,
            wind.terrain,
            shown.top / 1000.0,
            density=wind.density,
            orography=wind.orography,
        )
        .knowing({**basis.factors, "h": shown.top})
        .given("phi", "area of members / whole area", shown.solidity, "", f"{EC1}, 7.4.1")
    )
    if wind.force is not None and shown.solidity <= 0.8:
        working = working.knowing({"cf": wind.force})
        working = working.worked("c", FORCE, "", f"{EC1}, 7.11, cf by the user")
    else:
        chosen = coefficient_at(parts, span, shown.top, shown.solidity)
        working = working.given("c", chosen.words, chosen.value, "", f"{EC1}, Table 7.9")
    return working.worked("w", PRESSURE, "N/m2", f"{EC1}, 5.2").given(
        "H", "height of the pales", shown.height / 1000.0, "m"
    )
