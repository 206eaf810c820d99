"""The sheets of a planning enquiry: block plan, elevations proposed and existing, notes."""

from __future__ import annotations

from palewright.export.drawing.draft.figures import Figures, Units
from palewright.export.drawing.draft.view import View
from palewright.export.drawing.views.existing import existing_elevation
from palewright.export.drawing.views.front import fronts_of
from palewright.export.drawing.views.plan import block_plan
from palewright.export.drawing.views.table_views import notes_view, table_view
from palewright.model.basis.text import plain, titled_text
from palewright.model.layout.heights import highest_point
from palewright.model.layout.side_ground import Side
from palewright.model.order.fence_figures import finish_name
from palewright.model.parts.members import PALE

from .brief import ELEVATION_SIDES, Brief, Groups, elevations, fitted_plan

LARGEST_BLOCK_PLAN = 100.0
"""The block plan is not drawn larger than 1:n when not chosen."""

NOTES_WIDTH = 150.0
"""Width of notes, mm on paper."""


def planning_views(brief: Brief) -> Groups:
    """Return the views of a set for a planning enquiry."""
    plan = fitted_block_plan(brief)
    proposed = elevations(brief, overall=True)
    draft = brief.draft_at(proposed[0].scale)
    existing = [
        existing_elevation(brief.fence, front, draft)
        for layout in brief.fence.layouts
        for front in fronts_of(layout)
        if front.length / draft.n < brief.room[0] - ELEVATION_SIDES
    ]
    return [
        ("Block plan", [plan, _heights(brief), _notes(brief)]),
        ("proposed elevations", proposed),
        ("existing elevations", existing),
    ]


def fitted_block_plan(brief: Brief) -> View:
    """Return the block plan, as large as fits."""
    return fitted_plan(block_plan, brief, LARGEST_BLOCK_PLAN)


def _heights(brief: Brief) -> View:
    """Return the highest points on each side of each run; on flat ground both are the same."""
    rows = [["run", "side", "highest point over ground", "existing"]]
    for layout in brief.fence.layouts:
        run = layout.run
        now = brief.figures.text(run.existing_height) if run.existing_height else ""
        sides: tuple[Side, Side] = ("front", "back")
        for side in sides:
            high = brief.figures.text(highest_point(layout, side))
            rows.append([run.called, side, high, now])
    return table_view("Heights, proposed and existing", rows, brief.style)


def _notes(brief: Brief) -> View:
    fence, figures = brief.fence, brief.figures
    site = plain(fence.job.project.site)
    notes = [f"Site: {site}."] if site else []
    for layout in fence.layouts:
        run = layout.run
        gaps = [stretch.row.gap for stretch in layout.stretches]
        widest = max(gaps, default=0.0)
        notes.append(
            f"{titled_text(run.called)}: timber pales {_small(run.pales.width, figures)} wide, "
            f"gaps up to {_small(widest, figures)}, on {len(run.rails.tops)} rails between timber "
            "posts."
        )
    finish = plain(fence.job.project.finish)
    drawn = finish_name(PALE, fence.job.finishes)
    notes.append(f"Finish: {finish}." if finish else f"Finish of the pales: {drawn}.")
    swings = {opening.spec.swing for layout in fence.layouts for opening in layout.openings}
    if "out" in swings:
        notes.append("Gates marked so open towards the front; not over a road or a footway.")
    elif swings:
        notes.append("Gates open inwards, away from the front.")
    notes.append("Heights are over the ground next to the fence. Levels and boundary by others.")
    return notes_view("Notes", notes, NOTES_WIDTH, brief.style)


def _small(value: float, figures: Figures) -> str:
    """Return a small size in words: millimetres also where the drawing is in metres."""
    if figures.units is Units.FEET:
        return figures.text(value)
    return f"{Figures().text(value)} mm"
