"""The construction drawings: plan and schedules, elevations, details, notes."""

from __future__ import annotations

from palewright.export.drawing.draft.view import View
from palewright.export.drawing.views.table_views import notes_view, table_view, table_views
from palewright.model.basis.imperial import imperial
from palewright.model.basis.text import plain
from palewright.model.checks.building_checks import CAUTIONS
from palewright.model.lists.takeoff import concrete

from .brief import Brief, Groups, elevations
from .detail_views import KINDS, details
from .schedules import THINGS, bay_rows, member_rows, post_rows, thing_rows
from .setting_out_plans import setting_out_views
from .setting_out_tables import setting_out_tables

NOTES_WIDTH = 175.0
"""Width of notes, mm on paper."""


def build_views(brief: Brief) -> Groups:
    """Return the views of a set for building, without those that the spec leaves out."""
    fence, style, figures = brief.fence, brief.style, brief.figures
    out = set(fence.job.sheets.leave_out)
    plans: list[View] = []
    if "plan" not in out:
        plans += setting_out_views(brief)
        plans += table_views("Setting out", post_rows(fence, figures), style, brief.rows)
        plans += setting_out_tables(brief)
        things = thing_rows(fence, figures)
        if len(things) > 1:
            plans += table_views(THINGS, things, style, brief.rows)
        plans += table_views("Bays and pales", bay_rows(fence, figures), style, brief.rows)
    groups: Groups = [("Setting out", plans)]
    if "elevations" not in out:
        groups.append(("elevations", elevations(brief, overall=False)))
    groups.append(("details", list(details(brief, KINDS))))
    lists: list[View] = []
    if "schedule" not in out:
        lists += table_views("Members by mark", member_rows(fence, figures), style, brief.rows)
    if "notes" not in out:
        lists += _notes(brief)
    groups.append(("schedule, notes", lists))
    return groups


def _notes(brief: Brief) -> list[View]:
    revisions = [["rev.", "date", "change"]]
    revisions += [[plain(r.index), plain(r.date), plain(r.text)] for r in brief.fence.job.revisions]
    if len(revisions) == 1:
        revisions.append(["-", "", "first issue"])
    return [
        notes_view("Materials", _materials(brief), NOTES_WIDTH, brief.style),
        notes_view("Cautions", CAUTIONS, NOTES_WIDTH, brief.style),
        table_view("Revisions", revisions, brief.style),
    ]


def _materials(brief: Brief) -> list[str]:
    fence, figures = brief.fence, brief.figures
    total = concrete(fence)
    volume = f"{total.volume / 1e9:.2f} m3"
    steel = "Steel parts galvanised or stainless, as the timber's treatment asks."
    if brief.feet:
        volume = imperial(volume)
        steel += " Bolts, nails and screws are called by the metric sizes they are sold in."
    return [
        f"Finished sizes in {figures.note}. Timber in the ground and all cut, notched and bored "
        "surfaces treated against decay; the uncut end of each post goes into the ground.",
        f"Concrete {volume} net in {total.footings} footings, its top sloped away from the post.",
        f"No rail is longer than {_longest_rails(brief)}; they are jointed on posts only, and sawn "
        "from the boards that are ordered.",
        steel,
        "Gaps are equal within each stretch between fixed posts; see the table of bays and pales.",
        "Check all dimensions on site before cutting.",
    ]


def _longest_rails(brief: Brief) -> str:
    """Return how long a rail may be, of each run where they differ."""
    runs: dict[float, list[str]] = {}
    for run in brief.fence.job.runs:
        runs.setdefault(run.rails.stock_length, []).append(run.called)
    if len(runs) == 1:
        return brief.figures.text(next(iter(runs)))
    return ", ".join(
        f"{brief.figures.text(length)} ({', '.join(called)})" for length, called in runs.items()
    )
