"""What of the planning guidance is on the sheets of a job, line by line."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from palewright.export.drawing.draft.view import Line, Text, View
from palewright.export.drawing.sheets.sheet import Sheet
from palewright.export.drawing.views.existing import NOT_SAID
from palewright.model.fence.fence_model import FenceModel
from palewright.model.lists.crossings import body_of
from palewright.model.lists.distances import block_window, distances
from palewright.model.spec.paper_keys import Finishes

from .planning_guidance import GUIDANCE, GuidanceItem

ENOUGH = 10_000.0
"""Least length of a scale bar, mm (one council's checklist)."""


@dataclass(frozen=True)
class SheetsShown:
    """The sheets that are asked about. near : kinds of things that the block plan shows."""

    fence: FenceModel
    sheets: tuple[Sheet, ...]
    near: frozenset[str]

    def views(self, start: str) -> list[View]:
        """Return the views whose titles, or kinds where they have none, begin with words."""
        return [
            placed.view
            for sheet in self.sheets
            for placed in sheet.placed
            if (placed.view.title or placed.view.kind).startswith(start)
        ]

    def at(self, start: str, scales: Sequence[float]) -> bool:
        """Tell whether there are views that begin so, all at one of some scales 1:n."""
        views = self.views(start)
        return bool(views) and all(view.scale in scales for view in views)

    def apart_from(self, kind: str) -> bool:
        """Tell whether a distance to a kind of thing is given."""
        return any(apart.feature.kind == kind for apart in distances(self.fence))


def _given(*names: str) -> Callable[[SheetsShown], bool]:
    return lambda shown: any(getattr(shown.fence.job.project, name).strip() for name in names)


def _near(*kinds: str) -> Callable[[SheetsShown], bool]:
    return lambda shown: not shown.near.isdisjoint(kinds)


def _land(whose: str) -> Callable[[SheetsShown], bool]:
    return lambda shown: any(one.land == whose for one in shown.fence.job.features)


def _existing(shown: SheetsShown) -> bool:
    views = shown.views("Existing elevation")
    return bool(views) and all(_said(view) for view in views)


def _said(view: View) -> bool:
    return not any(getattr(item, "text", "") == NOT_SAID for item in view.items)


def _levels(shown: SheetsShown) -> bool:
    job = shown.fence.job
    return job.surveyed or any(
        z + job.origin[2] for run in job.runs for *_, z in run.line.vertices
    ) or any(run.front_ground or run.back_ground for run in job.runs)  # fmt: skip


def _long_bars(shown: SheetsShown) -> bool:
    """Tell whether every scale bar is long enough: a part of it is a tenth."""
    bars = shown.views("scale bar")
    scales = {scale_text: view.scale for view in shown.views("") if (scale_text := view.scale_text)}
    return bool(bars) and all(_bar_length(bar, scales) >= ENOUGH for bar in bars)


def _bar_length(bar: View, scales: dict[str, float]) -> float:
    """Return how long a scale bar is at full size, mm."""
    ratio = [item.text for item in bar.items if isinstance(item, Text)][-1]
    ends = [x for item in bar.items if isinstance(item, Line) for x, _, _ in item.vertices]
    return (max(ends) - min(ends)) * scales.get(ratio, 0.0) + 1e-6


def _datum(shown: SheetsShown) -> bool:
    job = shown.fence.job
    marks = (one.kind == "benchmark" and one.level is not None for one in job.features)
    return bool(job.project.datum.strip()) or any(marks)


ANSWERS: dict[str, Callable[[SheetsShown], bool]] = {
    "address": _given("address", "site"),
    "applicant": _given("applicant"),
    "location": lambda shown: shown.at("Location plan", (1250.0, 2500.0)),
    "map": lambda shown: False,
    "site edge": _land("site"),
    "other land": _land("other"),
    "block": lambda shown: shown.at("Block plan", (500.0, 200.0)),
    "north": lambda shown: bool(shown.views("Block plan")),
    "buildings": lambda shown: shown.apart_from("house"),
    "boundaries": lambda shown: shown.apart_from("boundary"),
    "roads": _near("road"),
    "paths": _near("path"),
    "trees": _near("tree", "hedge"),
    "surfacing": lambda shown: False,
    "proposed": lambda shown: shown.at("Proposed elevation", (50.0, 100.0)),
    "existing": _existing,
    "all sides": lambda shown: False,
    "materials": lambda shown: bool(shown.views("Notes")),
    "finish": lambda shown: (
        _given("finish")(shown) or shown.fence.job.finishes != Finishes()
    ),
    "levels": _levels,
    "datum": _datum,
    "section": lambda shown: bool(shown.views("Section")),
    "footing": lambda shown: False,
    "scale": lambda shown: bool(shown.views("scale bar")),
    "bar": _long_bars,
    "size": lambda shown: all(sheet.size.name in ("A4", "A3") for sheet in shown.sheets),
    "number": lambda shown: bool(shown.fence.job.project.reference.strip()),
    "revision": lambda shown: bool(shown.fence.job.revisions),
    "date": _given("date"),
    "dimensions": lambda shown: bool(shown.views("Proposed elevation")),
    "scaling": lambda shown: True,
}  # fmt: skip
"""Whether what is asked for is on the sheets, by its name."""


def answers(fence: FenceModel, sheets: tuple[Sheet, ...]) -> list[tuple[GuidanceItem, bool]]:
    """Return what planning authorities ask for and whether a job's planning sheets show it."""
    window = block_window(fence)
    features = fence.job.features if window is not None else ()
    near = frozenset(one.kind for one in features if body_of(one).intersects(window))
    shown = SheetsShown(fence, sheets, near)
    return [(asked, ANSWERS[asked.name](shown)) for asked in GUIDANCE]


def answer_lines(fence: FenceModel, sheets: tuple[Sheet, ...]) -> list[str]:
    """Return a line for each thing asked for: on the sheets, or not given and what gives it."""
    lines = []
    for asked, is_shown in answers(fence, sheets):
        state = "on the sheets" if is_shown else "not given"
        hint = "" if is_shown or not asked.key else f": {asked.key}"
        lines.append(f"{state + ',':15}{asked.what}{hint} [{asked.source}]")
    return lines
