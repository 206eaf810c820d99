"""The construction drawings: key, plan and schedules, elevations, details, notes."""

from __future__ import annotations

import math

from palewright.export.drawing.draft.view import View
from palewright.export.drawing.views.table_views import notes_view, table_view, table_views
from palewright.model.basis.imperial import imperial_amount
from palewright.model.basis.text import plain
from palewright.model.checks.building_checks import cautions
from palewright.model.fence.fence_model import FenceModel
from palewright.model.lists.takeoff import concrete
from palewright.model.order.gravel import rammed
from palewright.model.parts.members import CAPPING, KICK_BOARD, STEEL_FEET

from .assembly_set import assembly_views
from .brief import Brief, Groups, elevations, tables_within
from .detail_views import KINDS, details
from .fitting_places import (
    anchor_rows,
    bolt_rows,
    bracket_rows,
    fitting_rows,
    leaf_place_rows,
    screw_rows,
)
from .foot_tables import STEEL, STEEL_HOW, steel_rows
from .isometrics import key_isometric
from .key_set import MOST_KEYS, key_views
from .member_places import (
    before_rows,
    board_place_rows,
    line_rows,
    pale_place_rows,
    rail_place_rows,
    upright_place_rows,
)
from .panel_sheets import schedule_rows
from .schedules import THINGS, bay_rows, member_rows, post_rows, thing_rows
from .setting_out_plans import setting_out_views
from .setting_out_tables import setting_out_tables

LINES = "Lines through the middles of line posts, left to right from the front"
"""Title of the table that all places along lines are measured by."""

PALES, BOLTS, BOARDS = "Pales along the lines", "Bolts along the lines", "Gravel boards"

LONG, PLACES_WIDTH = (PALES, BOLTS, BOARDS), 192.0
"""Tables with long rows, and their most width, mm on paper: two stand beside each other."""

HOW = (
    "Places are measured level along each line from its start, from left to right seen from the "
    "front; under 0 they lie before it. Levels count from the datum of the table of levels.",
    "Rails: from and to at their front, at their back where an end slants; undersides at these "
    "ends, straight between them; ends cut upright.",
    "Pales of a row stand at equal distances, upright, their feet in a straight line from the "
    "first to the last.",
    "Bolts: how far their middle is over the rail's underside, measured upright.",
)
"""What tables of places mean."""

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
    key = [] if "isometric" in out else [key_isometric(brief)]
    groups: Groups = [("Key", key + key_views(brief, MOST_KEYS)), ("setting out", plans)]
    if "elevations" not in out:
        groups.append(("elevations", elevations(brief, overall=False)))
    groups.append(("details", list(details(brief, KINDS))))
    groups.append(("assembly", assembly_views(brief)))
    lists: list[View] = []
    if "schedule" not in out:
        lists += table_views("Members by mark", member_rows(fence, figures), style, brief.rows)
        panels = schedule_rows(brief, hung=True)
        lists += tables_within(brief, "Panels made in the workshop", panels, PLACES_WIDTH)
        lists += places(brief)
    if "notes" not in out:
        lists += _notes(brief)
    groups.append(("schedule, notes", lists))
    return groups


def places(brief: Brief) -> list[View]:
    """Return the tables of where each member is."""
    fence, figures = brief.fence, brief.figures
    views: list[View] = []
    for title, rows in (
        (LINES, line_rows(fence, figures)),
        ("In front of the lines", before_rows(fence, figures)),
        ("Rails along the lines", rail_place_rows(fence, figures)),
        ("Panel uprights along the lines", upright_place_rows(fence, figures)),
        ("Capping rails along the lines", rail_place_rows(fence, figures, CAPPING)),
        ("Kick boards along the lines", rail_place_rows(fence, figures, KICK_BOARD)),
        (PALES, pale_place_rows(fence, figures)),
        ("Gate leaves along the lines", leaf_place_rows(fence, figures)),
        ("Gate fittings along the lines", fitting_rows(fence, figures)),
        (BOLTS, bolt_rows(fence, figures)),
        ("Rail brackets along the lines", bracket_rows(fence, figures)),
        ("Wall anchors", anchor_rows(fence, figures)),
        ("Coach screws of plates", screw_rows(fence, figures)),
        (BOARDS, board_place_rows(fence, figures)),
        (STEEL, steel_rows(fence, figures)),
    ):
        views += tables_within(brief, title, rows, PLACES_WIDTH if title in LONG else math.inf)
    views.append(notes_view("How places are given", how_given(fence), NOTES_WIDTH, brief.style))
    return views


def how_given(fence: FenceModel) -> list[str]:
    """Return what tables of places mean; pales of several widths stand at no equal distances."""
    by_turns = any(len(layout.run.pales.kinds) > 1 for layout in fence.layouts)
    spoken = "with equal gaps" if by_turns else "at equal distances"
    steel = [STEEL_HOW] if any(m.kind in STEEL_FEET for m in fence.members) else []
    return [*(line.replace("at equal distances", spoken) for line in HOW), *steel]


def _notes(brief: Brief) -> list[View]:
    revisions = [["rev.", "date", "change"]]
    revisions += [[plain(r.index), plain(r.date), plain(r.text)] for r in brief.fence.job.revisions]
    if len(revisions) == 1:
        revisions.append(["-", "", "first issue"])
    return [
        notes_view("Materials", _materials(brief), NOTES_WIDTH, brief.style),
        notes_view("Cautions", cautions(brief.fence), NOTES_WIDTH, brief.style),
        table_view("Revisions", revisions, brief.style),
    ]


def _materials(brief: Brief) -> list[str]:
    fence, figures = brief.fence, brief.figures
    total = concrete(fence)
    volume, unit = total.volume / 1e9, "m3"
    steel = "Steel parts galvanised or stainless, as the timber's treatment asks."
    if brief.feet:
        volume, unit = imperial_amount(volume, unit)
        steel += " Bolts, nails and screws are called by the metric sizes they are sold in."
    return [
        f"Finished sizes in {figures.note}. {_treated(fence)}",
        *(
            [
                f"Concrete {volume:.2f} {unit} net in {total.footings} footings, "
                "its top sloped away from the post."
            ]
            if total.footings
            else []
        ),
        *_gravel_words(brief),
        *_rail_notes(brief),
        steel,
        "Gaps are equal within each stretch between fixed posts; see the table of bays and pales.",
        "Check all dimensions on site before cutting.",
    ]


def _treated(fence: FenceModel) -> str:
    """Return what is treated against decay, and how posts stand in the ground where any does."""
    feet = [foot for layout in fence.layouts for foot in layout.feet]
    buried = not feet or any(foot.buried for foot in feet)
    there, end = (
        "Timber in the ground and all",
        "; the uncut end of each post goes into the ground",
    )
    return (
        f"{there if buried else 'All'} cut, notched and bored surfaces treated against decay"
        f"{end if buried else ''}."
    )


def _gravel_words(brief: Brief) -> list[str]:
    """Say how much gravel is rammed round posts, where any is."""
    volume, unit = rammed(brief.fence).loose, "m3"
    if not volume:
        return []
    if brief.feet:
        volume, unit = imperial_amount(volume, unit)
    return [f"Gravel {volume:.2f} {unit} loose, rammed in layers round the posts."]


def _rail_notes(brief: Brief) -> list[str]:
    """Say how long rails may be, and of panels that they have no joints."""
    runs = brief.fence.job.runs
    notes = []
    if any(run.panels is None for run in runs):
        notes.append(
            f"No rail is longer than {_longest_rails(brief)}; they are jointed on posts only, and "
            "sawn from the boards that are ordered."
        )
    if any(run.panels is not None for run in runs):
        notes.append(
            "Panels are made in the workshop, their rails in one length; measure between the posts "
            "before they are made."
        )
    return notes


def _longest_rails(brief: Brief) -> str:
    """Return how long a rail may be, of each run where they differ."""
    runs: dict[float, list[str]] = {}
    for run in brief.fence.job.runs:
        if run.panels is not None:
            continue
        runs.setdefault(run.rails.stock_length, []).append(run.called)
    if len(runs) == 1:
        return brief.figures.text(next(iter(runs)))
    return ", ".join(
        f"{brief.figures.text(length)} ({', '.join(called)})" for length, called in runs.items()
    )
