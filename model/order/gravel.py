"""Gravel that holes are packed with: how much is bought."""

from __future__ import annotations

import math
from dataclasses import dataclass

from palewright.model.fence.fence_model import FenceModel
from palewright.model.lists.takeoff import gravel

LOOSE = 1.2
"""Loose gravel to a volume of rammed gravel (common practice, no source)."""


@dataclass(frozen=True)
class RammedGravel:
    """Gravel of a fence. rammed : as it lies in the holes, m3; loose : as it is delivered, the
    extra included, m3; weight : of that, kg; bags : whole bulk bags.
    """

    rammed: float
    loose: float
    weight: float
    bags: int


def rammed(fence: FenceModel) -> RammedGravel:
    """Return the gravel of a fence; the extra, its density and bags are those of concrete's
    aggregates.
    """
    told = fence.job.concrete
    net = gravel(fence) / 1e9
    loose = net * LOOSE * (1.0 + told.extra)
    weight = loose * told.aggregate
    return RammedGravel(net, loose, weight, math.ceil(weight / told.bulk_bag - 1e-9))
