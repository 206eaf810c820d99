"""What a gate leaf weighs."""

from __future__ import annotations

import math

from palewright.model.layout.leaf_frames import stiles
from palewright.model.layout.leaves import Leaf
from palewright.model.resolved.job import RunJob


def leaf_weight(run: RunJob, density: float, leaf: Leaf) -> float:
    """Return about what a leaf weighs, kg: pales, ledges, stiles and braces; density : kg/m3."""
    ledge_height, thickness = leaf.plan.ledge
    pales = zip(leaf.pales, leaf.lengths, strict=True)
    volume = math.fsum(one.kind.width * length for one, length in pales) * run.pales.thickness
    volume += len(leaf.ledges) * leaf.width * ledge_height * thickness
    volume += sum(s.high - s.low for s in stiles(leaf)) * leaf.plan.stile * thickness
    for column in range(leaf.plan.braces):
        across = leaf.width / leaf.plan.braces
        upright = leaf.height if column else 0.0  # between two of them
        volume += (math.hypot(across, leaf.height) + upright) * leaf.plan.brace * thickness
    return volume * density / 1e9
