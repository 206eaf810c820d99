"""What members weigh: for lifting one, and for carrying all of them."""

from __future__ import annotations

from dataclasses import dataclass

from palewright.model.fence.fence_model import FenceModel
from palewright.model.parts.members import CAST, CONCRETE, GRAVEL, METAL, STANDING, TIMBER

from .concrete_mix import DENSITY
from .fixings import STEEL

HEAVY = 25.0
"""A piece over this weight (kg) is lifted by two people or a machine (common practice)."""


@dataclass(frozen=True)
class Weights:
    """each : of one member by mark, kg; timber, metal, concrete : of all members,
    kg; cast : of posts of concrete, kg.
    """

    each: dict[str, float]
    timber: float
    metal: float
    concrete: float
    cast: float = 0.0

    @property
    def load(self) -> float:
        """What is carried to the site besides concrete for holes, kg."""
        return self.timber + self.metal + self.cast

    @property
    def heavy(self) -> tuple[str, ...]:
        """Marks of members that one person should not lift alone."""
        return tuple(mark for mark, weight in self.each.items() if weight > HEAVY)


def weights(fence: FenceModel) -> Weights:
    """Return the weight of each member and of all; footings are not lifted and have none."""
    each: dict[str, float] = {}
    sums = {TIMBER: 0.0, CONCRETE: 0.0, CAST: 0.0, METAL: 0.0}
    densities = {TIMBER: fence.job.timber.density, CONCRETE: DENSITY, CAST: DENSITY, METAL: STEEL}
    for mark, group in fence.by_mark.items():
        material = group[0].kind.material
        if material in (STANDING, GRAVEL):
            continue
        weight = group[0].shape.volume / 1e9 * densities[material]
        sums[material] += weight * len(group)
        if material != CONCRETE:
            each[mark] = weight
    return Weights(each, sums[TIMBER], sums[METAL], sums[CONCRETE], sums[CAST])
