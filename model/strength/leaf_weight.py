"""What a gate leaf weighs."""

from __future__ import annotations

import math

from palewright.model.layout.leaves import Leaf
from palewright.model.resolved.job import RunJob


def leaf_weight(run: RunJob, density: float, leaf: Leaf) -> float:
    """Return about what a leaf weighs, kg: pales, ledges and a brace; density : kg/m3."""
    ledge_height, thickness = run.gates.ledge
    volume = run.pales.turns.total(leaf.spacing.count) * run.pales.thickness * leaf.height
    volume += len(leaf.ledges) * leaf.width * ledge_height * thickness
    volume += math.hypot(leaf.width, leaf.height) * run.gates.brace * thickness
    return volume * density / 1e9
