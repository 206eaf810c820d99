"""The marks of all members where they go: key elevations, and a table for bays without room."""

from __future__ import annotations

import sys
from dataclasses import replace
from itertools import groupby

from palewright.export.drawing.draft.view import View
from palewright.export.drawing.views.elevation import Elevation
from palewright.export.drawing.views.key_elevation import UPRIGHT, Key, key_elevation
from palewright.export.drawing.views.table_views import notes_view
from palewright.model.lists.bay_marks import BayLine, bay_lines, by_leg
from palewright.model.parts.members import BOARD, CAPPING, FRAMING, KICK_BOARD, PALE, RAIL

from .brief import Brief, elevation_parts, tables_within
from .schedules import Rows

MARKS_LEFT = "Marks by bay; others are on elevations"
"""What the table of marks holds: not the marks that stand on key elevations."""

MOST_ROWS = 800
"""So many rows of bays that differ are shown; the labels have them all."""


MOST_KEYS = 6
"""So many key elevations a set for building has, whose tables along the lines have every mark."""

NOTE_WIDTH = 110.0
"""Width of that note, mm on paper."""

OTHER_KEYS = "Other key elevations"
NOT_DRAWN = (
    "Key elevations after posts {last} are not drawn in this set: the tables along the lines have "
    "the mark of every member, and the workshop's sheets all key elevations."
)


def key_views(brief: Brief, most: int = sys.maxsize) -> list[View]:
    """Return key elevations of all fronts, and the marks of bays that have no room for them.

    most : elevations that are drawn; where there are more a note says so.
    """
    if {"elevations", "key"} & set(brief.fence.job.sheets.leave_out):
        return []
    legs = by_leg(bay_lines(brief.fence))
    views: list[View] = []
    left_out: list[BayLine] = []
    draft, parts = elevation_parts(brief)
    for part in parts[: min(len(parts), most)]:
        key = Key(Elevation(brief.fence, part, draft, overall=True), legs)
        views.append(replace(key_elevation(key), row="marks"))
        left_out += key.left_out
    if len(parts) > len(views):
        last = parts[len(views) - 1].stations
        said = NOT_DRAWN.format(last=f"{last[0][1].label} to {last[-1][1].label}")
        views.append(notes_view(OTHER_KEYS, [said], NOTE_WIDTH, brief.style))
    if left_out:
        views += tables_within(brief, MARKS_LEFT, mark_rows(brief, left_out))
    return views


def mark_rows(brief: Brief, lines: list[BayLine]) -> Rows:
    """Return the marks of bays; bays alike that follow each other are one row."""
    rows = [["run", "bays", "posts", "marks of posts", "rails", "pales", "boards"]]
    cells = [(line, _cells(brief, line)) for line in lines]
    groups = [list(group) for _, group in groupby(cells, key=lambda item: (item[0].run, item[1]))]
    for group in groups[:MOST_ROWS]:
        (first, texts), (last, _) = group[0], group[-1]
        run = brief.fence.layouts[first.run].run.called
        bays = first.number if first is last else f"{first.number} to {last.number}"
        rows.append([run, bays, f"{first.first} to {last.last}", *texts])
    more = sum(len(group) for group in groups[MOST_ROWS:])
    if more:
        rows.append(["", f"and {more} more bays: see their labels", *[""] * (len(rows[0]) - 2)])
    return rows


def _cells(brief: Brief, line: BayLine) -> tuple[str, ...]:
    posts = []
    for label in (line.first, line.last):
        made = brief.fence.of_post.get((line.run, label), ())
        posts += [m.mark for m in made if m.kind in UPRIGHT]
    return (
        ", ".join(posts), line.marks(RAIL, CAPPING, *FRAMING), line.marks(PALE),
        line.marks(KICK_BOARD, BOARD),
    )  # fmt: skip
