"""Checks of the pales of a stretch: whether they fit, and what the ground leaves of them."""

from __future__ import annotations

from collections.abc import Iterator

from palewright.model.basis import finding_register as register
from palewright.model.basis.findings import Finding
from palewright.model.basis.units import format_length as mm
from palewright.model.layout.run_layout import Stretch, place_of
from palewright.model.layout.set_pales import SetPale, clearances
from palewright.model.parts.pales import LEAST
from palewright.model.resolved.job import RunJob
from palewright.model.resolved.words import Follow, WedgeFill

from .ground_checks import rail_underside

LONGEST_TAIL = 500.0
"""How far a pale may hang below the lowest rail, mm (common practice)."""


def row_findings(run: RunJob, stretch: Stretch) -> Iterator[Finding]:
    """Yield a stretch in which no whole pale fits, or none within the largest gap."""
    row = stretch.row
    where = place_of(stretch)
    if row.count == 0:
        yield register.PALE_NO_ROOM.at(
            where, f"{mm(row.x1 - row.x0)} mm", f"{mm(run.pales.widest)} mm or more"
        )
    elif run.pales.lapped and row.gap > run.pales.gap_max + 1e-6:
        lap = f"laps {mm(-row.gap)} mm" if row.gap <= 0.0 else f"gaps of {mm(row.gap)} mm"
        yield register.LAP_SMALL.at(where, lap, f"{mm(-run.pales.gap_max)} mm or more")
    elif row.gap > run.pales.gap_max * (1.0 + 1e-9) and not run.pales.lapped:
        yield register.GAP_WIDE.at(
            where, f"{mm(row.gap)} mm", f"{mm(run.pales.gap_max)} mm or less"
        )


def foot_findings(run: RunJob, stretch: Stretch, open_foot: float) -> Iterator[Finding]:
    """Yield wedges under pales, pales too short and tails too long; open_foot : at most, mm."""
    if not stretch.pales:
        return
    yield from _wedges(run, stretch, open_foot)
    yield from _short_pales(run, stretch)
    yield from _tails(run, stretch)


def _wedges(run: RunJob, stretch: Stretch, open_foot: float) -> Iterator[Finding]:
    widest = clearances(stretch.leg, stretch.pales)[1]
    filled = all(
        setting.follow == Follow.STEP and setting.fill == WedgeFill.BOARD
        for setting in stretch.settings
    )
    if widest > open_foot and not filled:
        yield register.FOOT_OPEN.at(
            place_of(stretch), f"{mm(widest)} mm", f"{mm(open_foot)} mm or less"
        )


def _short_pales(run: RunJob, stretch: Stretch) -> Iterator[Finding]:
    rise = 0.0 if run.top_line.shape == "straight" else run.top_line.rise

    def least(pale: SetPale) -> float:
        return LEAST + rise if run.tops_cut else pale.kind.rise

    shortest = min(stretch.pales, key=lambda pale: pale.length - least(pale))
    needed = least(shortest)
    if shortest.length <= needed:
        yield register.PALE_SHORT.at(
            place_of(stretch, shortest.bay),
            f"{mm(shortest.length)} mm",
            f"more than {mm(needed)} mm",
        )


def _tails(run: RunJob, stretch: Stretch) -> Iterator[Finding]:
    tails = [_tail(run, stretch, pale) for pale in stretch.pales]
    long = [tail for tail in tails if tail > LONGEST_TAIL]
    if long:
        yield register.PALE_LONG_TAIL.at(
            place_of(stretch),
            f"{mm(max(long))} mm",
            f"{mm(LONGEST_TAIL)} mm or less",
            text=f"{len(long)} {register.PALE_LONG_TAIL.means}",
        )


def _tail(run: RunJob, stretch: Stretch, pale: SetPale) -> float:
    """Return how far a pale hangs below the lowest rail, mm."""
    setting = stretch.settings[pale.bay]
    return setting.base(pale.x) + rail_underside(run, setting) - pale.foot
