"""Checks of shaped top lines: whether they can be, and whether they cover the top rail."""

from __future__ import annotations

from collections.abc import Iterator

from palewright.model.basis import finding_register as register
from palewright.model.basis.findings import Finding
from palewright.model.basis.units import format_length as mm
from palewright.model.layout.run_layout import Stretch, place_of
from palewright.model.layout.top_line import curve_ends
from palewright.model.parts.pales import pale_shape
from palewright.model.resolved.job import RunJob


def top_line_findings(run: RunJob, stretch: Stretch) -> Iterator[Finding]:
    """Yield shaped top lines that cannot be, or that leave the top rail in the open."""
    if run.top_line.shape == "straight" or not stretch.pales:
        return
    yield from _circles(run, stretch)
    yield from _open_rail(run, stretch)
    if run.top_line.heads == "curve":
        yield from _steep_cuts(run, stretch)


def _steep_cuts(run: RunJob, stretch: Stretch) -> Iterator[Finding]:
    """Yield the cut along the top line that runs farthest out of its pale."""
    out = []
    for pale in stretch.pales:
        half = pale.kind.width / 2.0
        x0, z0, x1, _ = pale_shape(run, stretch, pale).bounds
        out.append((max(-half - x0, x1 - half, -z0), pale.bay))
    worst, bay = max(out)
    if worst > 1e-3:
        yield register.TOP_LINE_STEEP.at(
            place_of(stretch, bay), f"{mm(worst)} mm out of the board", "0 mm"
        )


def _circles(run: RunJob, stretch: Stretch) -> Iterator[Finding]:
    line = run.top_line
    if line.shape == "wave" or line.curve != "circle":
        return
    for bay in range(len(stretch.settings)):
        start, end = curve_ends(stretch, bay, line.over)
        radius = (end - start) / 2.0
        if line.rise > radius:
            yield register.TOP_LINE_HIGH.at(
                place_of(stretch, bay), f"{mm(line.rise)} mm", f"{mm(radius)} mm or less"
            )


def _open_rail(run: RunJob, stretch: Stretch) -> Iterator[Finding]:
    headed = run.top_line.heads == "pale"
    cover = min(
        pale.top
        - (pale.kind.rise if headed else 0.0)
        - stretch.settings[pale.bay].base(pale.x)
        - run.rails.tops[-1]
        for pale in stretch.pales
    )
    if cover < 0.0:
        yield register.RAIL_OVER_DIP.at(place_of(stretch), f"{mm(-cover)} mm over", "0 mm")
