"""Tables of a fence as it was measured: posts and bays against the plan, pieces cut already."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

from palewright.model.basis.units import format_length as mm
from palewright.model.fence.fence_model import FenceModel, build_fence
from palewright.model.lists.as_built_lists import bay_changes, post_changes
from palewright.model.order.already_cut import cut_uses

from .list_tables import Row, in_units


def as_built_tables(fence: FenceModel) -> dict[str, list[Row]]:
    """Return the tables of what was measured and cut, by name; none where nothing was."""
    tables: dict[str, list[Row]] = {}
    if fence.job.planned:
        tables["as-built"] = _posts(fence)
        tables["as-built-bays"] = _bays(fence)
        tables["as-built-limits"] = _limits(fence)
    if fence.job.cut:
        tables["cut-already"] = _cut(fence)
    return tables


def _posts(fence: FenceModel) -> list[Row]:
    rows: list[Row] = [
        (
            "run",
            "post",
            "along the line mm",
            "to the front mm",
            "height of its top mm",
            "packing mm",
        )
    ]
    for one in post_changes(fence):
        figures = (one.along, one.across, one.height, one.packing)
        rows.append((one.run, one.label, *(_signed(figure) for figure in figures)))
    return in_units(rows, feet=fence.job.feet)


def _limits(fence: FenceModel) -> list[Row]:
    """Return what is found of the fence as built that was not of the plan."""
    from palewright.model.checks.building_checks import check

    planned = build_fence(replace(fence.job, runs=fence.job.planned, planned=(), measured=()))
    known = Counter(finding.code for finding in check(planned))
    rows: list[Row] = [("found now", "where", "measured", "allowed", "what it is")]
    for finding in check(fence):
        known[finding.code] -= 1
        if known[finding.code] < 0:
            place = (finding.where, finding.measured, finding.allowed)
            rows.append((finding.code, *place, finding.text))
    return in_units(rows, feet=fence.job.feet)


def _signed(value: float) -> str:
    text = mm(value)
    return text if text.startswith("-") or text == "0" else f"+{text}"


def _bays(fence: FenceModel) -> list[Row]:
    rows: list[Row] = [
        ("run", "from", "to", "in plan mm", "as built mm", "difference mm", "clear between mm")
    ]
    for one in bay_changes(fence):
        lengths = (mm(one.planned), mm(one.built), _signed(one.built - one.planned), mm(one.clear))
        rows.append((one.run, one.first, one.last, *lengths))
    return in_units(rows, feet=fence.job.feet)


def _cut(fence: FenceModel) -> list[Row]:
    rows: list[Row] = [("part", "length mm", "count", "used as it is", "cut down to", "left over")]
    uses, _ = cut_uses(fence)
    for one in uses:
        shorter = ", ".join(f"{count} x {mm(length)}" for length, count in one.cut_down)
        rows.append((one.part, mm(one.length), one.count, one.as_is, shorter, one.left))
    return in_units(rows, feet=fence.job.feet)
