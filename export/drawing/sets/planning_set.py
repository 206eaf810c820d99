"""The sheets of a planning enquiry: block plan, elevations proposed and existing, notes."""

from __future__ import annotations

from dataclasses import replace
from functools import partial

from palewright.export.drawing.draft.figures import Units
from palewright.export.drawing.draft.scales import scale_for
from palewright.export.drawing.draft.view import View
from palewright.export.drawing.views.elevation import elevation
from palewright.export.drawing.views.existing import existing_elevation
from palewright.export.drawing.views.location_plan import (
    LEAST_ROADS,
    located_in,
    location_plan,
    roads_named,
)
from palewright.export.drawing.views.plan import block_plan
from palewright.export.drawing.views.site_section import section_span, site_section
from palewright.export.drawing.views.table_views import notes_view, table_view, table_views
from palewright.model.basis.text import plain
from palewright.model.layout.heights import highest_place
from palewright.model.layout.side_ground import Side, sides_apart
from palewright.model.lists.cross_sections import cross_section
from palewright.model.lists.distances import distances
from palewright.model.order.fence_figures import finish_name
from palewright.model.parts.members import PALE
from palewright.model.spec.paper_keys import Finishes

from .brief import Brief, Groups, elevation_parts, fitted_plan
from .materials_used import materials_used

LARGEST_BLOCK_PLAN = 200.0
"""The block plan is not drawn larger than 1:n when not chosen."""

LOCATION, LOCATION_FEET = (1250.0, 2500.0), (1200.0, 2400.0)
"""Scales 1:n of location plans (validation checklists of two councils), and on sheets in feet the
nearest scales of engineers.
"""

ROUND_LOCATION = 20.0
"""Paper for the title and the north point of a location plan, mm."""

ROUND_SECTION, LARGEST_SECTION = 40.0, 100.0
"""Paper beside a section for its words, mm; it is not drawn larger than 1:n."""

MOST_DISTANCES = 60
"""More distances than this are not given: the nearest are."""

OVER: dict[Side, str] = {"line": "on both sides", "front": "in front", "back": "behind"}
"""Whose ground a height is over, in words."""

NOTES_WIDTH = 150.0
"""Width of notes, mm on paper."""


def planning_views(brief: Brief) -> Groups:
    """Return the views of a set for a planning enquiry."""
    plan = fitted_plan(partial(block_plan, apart=True), brief, LARGEST_BLOCK_PLAN)
    return [
        ("Location plan", location_views(brief)),
        ("block plan", [plan]),
        ("notes", [*_distances(brief), _heights(brief), _notes(brief), *_revisions(brief)]),
        ("section", _section(brief)),
        ("elevations proposed and existing", _elevations(brief)),
    ]


def _section(brief: Brief) -> list[View]:
    """Return the section across what is in front of the fence and behind it, if anything is."""
    section = cross_section(brief.fence)
    if section is None:
        return []
    left, right = section_span(section)
    paper, units = brief.room[0] - ROUND_SECTION, brief.figures.units
    scale = scale_for(right - left, paper, units, largest=LARGEST_SECTION * 0.96)
    return [site_section(brief.fence, section, brief.draft(scale))]


def _elevations(brief: Brief) -> list[View]:
    """Return each part as proposed, and under it the same part as it is now."""
    draft, parts = elevation_parts(brief)
    views = []
    for part in parts:
        proposed = elevation(brief.fence, part, draft, overall=True)
        views.append(replace(proposed, row="elevations"))
        views.append(replace(existing_elevation(brief.fence, part, draft), under=True))
    return views


def location_views(brief: Brief) -> list[View]:
    """Return the location plan at the largest scale of planning maps at which it fits and names
    roads enough; nothing where there is none.
    """
    feet = brief.figures.units is Units.FEET
    width, height = brief.room
    for n in LOCATION_FEET if feet else LOCATION:
        left, low, right, high = located_in(brief.fence, n).bounds
        fits = (right - left) / n < width - ROUND_LOCATION and (
            (high - low) / n < height - ROUND_LOCATION
        )
        roads = roads_named(brief.fence, located_in(brief.fence, n))
        if fits and len(roads) >= LEAST_ROADS:
            return [location_plan(brief.fence, brief.draft_at(n))]
    return []


def _distances(brief: Brief) -> list[View]:
    """Return the distances from the fence to what is near it."""
    rows = [["from the middle line of line posts at", "to", "distance"]]
    found = distances(brief.fence)
    nearest = {*sorted(found, key=lambda apart: apart.length)[:MOST_DISTANCES]}
    for apart in (one for one in found if one in nearest):
        called = " ".join(word for word in (plain(apart.feature.called), apart.part) if word)
        rows.append([apart.post, called, brief.figures.text(apart.length)])
    if len(found) > len(nearest):
        rows.append(
            ["", f"{len(found) - len(nearest)} more, farther off, are not in this table", ""]
        )
    return table_views("Distances", rows, brief.style, brief.rows)


def _heights(brief: Brief) -> View:
    """Return the highest points on each side of each run; as one where the ground is alike."""
    rows = [["run", "over the ground", "highest point", "at post", "existing"]]
    for layout in brief.fence.layouts:
        run = layout.run
        now = brief.figures.text(run.existing_height) if run.existing_height else "not given"
        for side in sides_apart(run):
            high, label = highest_place(layout, side)
            rows.append([run.called, OVER[side], brief.figures.text(high), label, now])
    return table_view("Heights, proposed and existing", rows, brief.style)


def _worst(brief: Brief) -> str:
    """Name the highest point of the whole fence: how high, over which ground, at which post."""
    places = [
        (*highest_place(layout, side), side, layout.run)
        for layout in brief.fence.layouts
        for side in sides_apart(layout.run)
    ]
    high, label, side, run = max(places, key=lambda place: place[0])
    return (
        f"Highest point of the fence: {brief.figures.text(high)} over the ground {OVER[side]}, "
        f"at post {label} of {run.called}."
    )


def _revisions(brief: Brief) -> list[View]:
    """Return the table of revisions where there are any."""
    rows = [["rev.", "date", "change"]]
    rows += [[plain(r.index), plain(r.date), plain(r.text)] for r in brief.fence.job.revisions]
    return table_views("Revisions", rows, brief.style, brief.rows)


def _datum(brief: Brief) -> list[str]:
    """Name what levels are heights over, where somebody said so, and the marks that carry them."""
    job, notes = brief.fence.job, []
    if job.project.datum:
        notes.append(f"Levels are heights over {plain(job.project.datum)}.")
    marks = [
        f"{plain(feature.called)} {brief.figures.site(feature.level + job.origin[2], job.origin)}"
        for feature in job.features
        if feature.kind == "benchmark" and feature.level is not None
    ]
    if marks:
        notes.append(
            f"Levels are those of the benchmark{'s' * (len(marks) > 1)} {', '.join(marks)}."
        )
    return notes


def _notes(brief: Brief) -> View:
    fence, figures = brief.fence, brief.figures
    project = fence.job.project
    told = {"Site": project.address or project.site, "Applicant": project.applicant}
    notes = [f"{what}: {plain(words)}." for what, words in told.items() if plain(words)]
    notes.append(_worst(brief))
    for number, layout in enumerate(fence.layouts):
        notes += materials_used(fence, number, layout, figures)
    finish = plain(fence.job.project.finish)
    drawn = finish_name(PALE, fence.job.finishes)
    if finish:
        notes.append(f"Finish: {finish}.")
    elif fence.job.finishes != Finishes():
        notes.append(f"Finish of the pales: {drawn}.")
    openings = [opening for layout in fence.layouts for opening in layout.openings]
    swings = {opening.spec.swing for opening in openings if opening.spec.slide is None}
    if "out" in swings:
        notes.append("Gates marked so open towards the front; not over a road or a footway.")
    elif swings:
        notes.append("Gates open inwards, away from the front.")
    if any(opening.spec.slide is not None for opening in openings):
        notes.append("Sliding gates open to the side, behind the fence.")
    notes.append("Heights are over the ground next to the fence.")
    notes += _datum(brief)
    return notes_view("Notes", notes, NOTES_WIDTH, brief.style)
