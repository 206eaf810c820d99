"""What the wind does to a run at a place: the pressure on its whole area, with every step."""

from __future__ import annotations

from dataclasses import dataclass

from palewright.model.fence.fence_model import FenceModel
from palewright.model.resolved.job import RunJob
from palewright.model.spec.demands import Soil, Strength, Wind

from .formulas import Formula
from .solidity import solidity
from .steps import Working
from .timber_design import KMOD
from .wind_pressure import EC1, OPEN_FENCE, net_coefficient, pressure_working

GRAVITY = 9810.0
"""mm/s2."""

FORCE, PRESSURE = Formula("cf phi"), Formula("qp c psi_s")


@dataclass(frozen=True)
class Shown:
    """What a run shows to the wind. top, foot : of its pales over the ground, mm; solidity :
    share of the area that members cover.
    """

    top: float
    foot: float
    solidity: float


@dataclass(frozen=True)
class WindOn:
    """What all checks at a place share. kmod : of wind; density : of timber by its weight, kg/m3;
    working : the steps up to the pressure w on the whole area, without factors.
    """

    run: RunJob
    wind: Wind
    strength: Strength
    soil: Soil
    shown: Shown
    kmod: float
    density: float
    working: Working

    @property
    def top(self) -> float:
        """Top of the pales over the ground, mm."""
        return self.shown.top

    @property
    def height(self) -> float:
        """Height of the pales, mm."""
        return self.shown.top - self.shown.foot

    @property
    def arm(self) -> float:
        """Height of the wind's resultant over the ground, mm."""
        return (self.shown.top + self.shown.foot) / 2.0


def shown_by(fence: FenceModel, number: int) -> Shown:
    """Return what a run shows to the wind."""
    layout = fence.layouts[number]
    placed = [(stretch.leg, pale) for stretch in layout.stretches for pale in stretch.pales]
    # the tallest pales of the run, as if they stood everywhere
    top = max(pale.top - leg.ground(pale.x) for leg, pale in placed)
    foot = max(top - max(pale.length for _, pale in placed), 0.0)
    first = next(stretch for stretch in layout.stretches if stretch.pales)
    return Shown(top, foot, solidity(fence, number, first, 0))


def wind_on(fence: FenceModel, run: RunJob, wind: Wind, shown: Shown, away: float) -> WindOn:
    """Return what checks at a place share. away : from the run's nearer end, mm."""
    job = fence.job
    working = pressure_working(
        wind.velocity,
        wind.terrain,
        shown.top / 1000.0,
        density=wind.density,
        orography=wind.orography,
    ).given("phi", "area of members / whole area", shown.solidity, "", f"{EC1}, 7.4.1")
    if wind.force is not None and shown.solidity <= 0.8:
        working = working.knowing({"cf": wind.force})
        working = working.worked("c", FORCE, "", f"{EC1}, 7.11, cf by the user")
    else:
        value = net_coefficient(shown.solidity, away, run.line.length, shown.top)
        bounded = "cp,net of a fifth open, bounds phi < 0.8"
        words = bounded if value == OPEN_FENCE else "cp,net"
        working = working.given("c", words, value, "", f"{EC1}, Table 7.9")
    kmod = KMOD[wind.duration]
    working = working.knowing(
        {
            "psi_s": wind.shelter,
            "gamma_Q": wind.wind_factor,
            "gamma_G": wind.weight_factor,
            "gamma_M": job.strength.factor,
            "kmod": kmod,
            "h": shown.top,
        }
    ).worked("w", PRESSURE, "N/m2", f"{EC1}, 5.2")
    return WindOn(run, wind, job.strength, job.soil, shown, kmod, job.timber.density, working)
