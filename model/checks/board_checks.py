"""Checks of gravel boards: ends that run out thin."""

from __future__ import annotations

from collections.abc import Iterator

from palewright.model.basis import finding_register as register
from palewright.model.basis.findings import Finding
from palewright.model.basis.units import format_length as mm
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.shapes import Plate
from palewright.model.lists.takeoff import side_heights
from palewright.model.parts.gravel_boards import THINNEST
from palewright.model.parts.members import BOARD


def board_findings(fence: FenceModel) -> Iterator[Finding]:
    """Yield the gravel boards of each run that have an end lower than it should be."""
    for number, layout in enumerate(fence.layouts):
        ends: dict[str, float] = {}
        for member in fence.members:
            if member.kind == BOARD and member.run == number and isinstance(member.shape, Plate):
                ends[member.mark] = min(side_heights(member.shape))
        thin = {mark: high for mark, high in ends.items() if high < THINNEST}
        if thin:
            where = f"{layout.run.called}, gravel boards {', '.join(thin)}"
            low = min(thin.values())
            yield register.BOARD_SLIVER.at(where, f"{mm(low)} mm", f"{mm(THINNEST)} mm or more")
