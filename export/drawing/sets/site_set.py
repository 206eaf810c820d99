"""The site's papers: plan, posts to set out, corners, concrete, the order of work, a section."""

from __future__ import annotations

from palewright.export.drawing.draft.figures import Figures
from palewright.export.drawing.draft.view import View
from palewright.export.drawing.views.table_views import notes_view, table_view, table_views
from palewright.export.tables.list_tables import rail_tops_text
from palewright.export.tables.order_tables import concrete_table, fixings_table
from palewright.model.basis.imperial import imperial
from palewright.model.fence.fence_model import FenceModel
from palewright.model.lists.setting_out import diagonals, offsets, site_steps
from palewright.model.lists.takeoff import station_lines
from palewright.model.order.order_lines import Order, order

from .brief import Brief, Groups
from .build_set import NOTES_WIDTH
from .detail_views import details
from .schedules import AT_STEPS, FIRST_PALE, THINGS, Rows, as_text, stop_rows, thing_rows
from .setting_out_plans import setting_out_views
from .setting_out_tables import setting_out_tables


def site_views(brief: Brief) -> Groups:
    """Return the views of a set for the site."""
    return [
        ("setting out", setting_out_views(brief)),
        ("posts, corners, order of work", _lists(brief, order(brief.fence))),
        ("section", list(details(brief, ("section",)))),
    ]


def _lists(brief: Brief, bought: Order) -> list[View]:
    """Return posts to set out, diagonals, spacers, concrete, fixings and the order of work."""
    fence, figures, style, rows = brief.fence, brief.figures, brief.style, brief.rows
    views = table_views("Posts", _posts(fence, figures), style, rows)
    corners = _corners(fence, figures)
    if len(corners) > 1:
        title = "Diagonals, post middle to post middle, level"
        views.append(table_view(title, corners, style))
    views += setting_out_tables(brief)
    things = thing_rows(fence, figures)
    if len(things) > 1:
        views += table_views(THINGS, things, style, rows)
    stops = stop_rows(fence, figures)
    views += table_views("Spacers and stops", stops, style, rows)
    if len(stops) > 1:
        views.append(notes_view("Where pales start", [FIRST_PALE], NOTES_WIDTH, style))
    if bought.concrete.footings:
        views += table_views("Concrete", as_text(concrete_table(bought)), style, rows)
    views += table_views("Fixings", as_text(fixings_table(bought)), style, rows)
    deep = "foot and a half" if brief.feet else "half metre"
    steps = [step.replace("half metre", deep) for step in site_steps(fence)]
    views.append(notes_view("Order of work", steps, NOTES_WIDTH, style))
    heavy = bought.weights.heavy
    if heavy:
        over = imperial("Over 25 kg") if brief.feet else "Over 25 kg"
        note = f"{over} each, for two people or a machine: {', '.join(heavy)}."
        views.append(notes_view("Lifting", [note], NOTES_WIDTH, style))
    return views


def _corners(fence: FenceModel, figures: Figures) -> Rows:
    """Return the triangles that prove corners."""
    rows = [["corner", "to", "", "and to", "", "across"]]
    for one in diagonals(fence):
        first, last = (figures.text(side) for side in one.sides)
        rows.append([one.corner, one.first, first, one.last, last, figures.text(one.across)])
    return rows


def _posts(fence: FenceModel, figures: Figures) -> Rows:
    """Return the setting-out of every post as the site needs it."""
    text, origin = figures.text, fence.job.origin
    unit = " (m)" if figures.in_metres(origin) else ""
    rows = [
        ["post", "mark", "chainage", "middle behind string", f"east{unit}", f"north{unit}", "hole",
         "hole depth", "rail tops over ground"]
    ]  # fmt: skip
    if any(len(line.rail_tops) > 1 for line in station_lines(fence)):
        rows[0][-1] += f", {AT_STEPS}"
    behind: dict[str, float] = {}
    for layout in fence.layouts:
        behind |= offsets(layout)
    for line in station_lines(fence):
        east, north = (figures.site(place, origin) for place in (line.east, line.north))
        hole = figures.dug(line.dug) if line.dug else line.plate.replace(" on wall", "")
        rows.append(
            [line.label, line.mark, text(line.chainage), text(behind.get(line.label, 0.0)), east,
             north, hole, text(line.hole_depth) if line.dug else "", rail_tops_text(line, text)]
        )  # fmt: skip
    return rows
