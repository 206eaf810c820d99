"""Panels for the bench: each different one with its jig and its pieces, and the schedule of all."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from palewright.export.drawing.draft.paper import bounds, on_paper
from palewright.export.drawing.draft.scales import scales
from palewright.export.drawing.draft.view import View
from palewright.export.drawing.views.panel_views import jig_notes, jig_view, panel_front
from palewright.export.drawing.views.table_views import notes_view
from palewright.model.basis.imperial import POUND
from palewright.model.fence.made_panels import MadePanel, PanelPiece
from palewright.model.order.fixings import (
    NAILS,
    SCREWED,
    SCREWS,
    UPRIGHT_SCREWS,
    driven_size,
    upright_screw,
)
from palewright.model.order.panel_lines import PanelLine, panel_lines, panels_by_mark
from palewright.model.parts.members import BOLT, BRACKET, PALE, PANEL_UPRIGHT, RAIL

from .brief import Brief, Groups, tables_within

PANEL, LARGEST = 10.0, 5.0
"""Panels are drawn at 1:n, or smaller where they do not fit, and up to the other where that takes
no further sheet."""

SMALL = 16.0
"""From this 1:n on a panel need not share its sheet with its jig: smaller is hard to read."""

PANEL_TITLE = "panel"
"""How the titles of sheets of panels begin: each is made from a sheet of its own."""

TABLE_HEIGHT = 120.0
"""Height that the pieces and the steps take, mm on paper."""

PARTS_WIDTH = 165.0
"""Width of a table of pieces, mm on paper."""

MOST_BAYS = 6
"""So many bays are named that panels alike hang in; of more their count is said."""


def panel_groups(brief: Brief) -> Groups:
    """Return the views of each different panel, with a table of its pieces, as a group each."""
    groups: Groups = []
    lines = {line.mark: line for line in panel_lines(brief.fence)}
    for mark, panels in panels_by_mark(brief.fence).items():
        rows = piece_rows(panels[0], lines[mark], brief)
        views = [*_fitted(panels[0], brief)]
        title = f"Pieces of panel {mark}, {len(panels)} to make"
        views += tables_within(brief, title, rows, PARTS_WIDTH)
        steps = jig_notes(panels[0], brief.fine_draft_at(PANEL))
        views.append(notes_view(f"How panel {mark} is made", steps, PARTS_WIDTH, brief.style))
        groups.append((f"{PANEL_TITLE} {mark}", views))
    return groups


def _fitted(panel: MadePanel, brief: Brief) -> list[View]:
    """Return a panel and its jig at the largest scale at which both fit one sheet."""
    width, height = brief.room
    views: list[View] = []
    for scale in scales(brief.figures.units):
        if scale.n < 0.96 * PANEL:
            continue
        draw = (partial(panel_front, panel), partial(jig_view, panel))
        views = [brief.enlargeable("panel", LARGEST, one, scale.n) for one in draw]
        boxes = [bounds(on_paper(view, brief.style)) for view in views]
        (wide, high), (other, tall) = ((x1 - x0, y1 - y0) for x0, y0, x1, y1 in boxes)
        if scale.n >= SMALL and max(wide, other) <= width and max(high, tall) <= height:
            break
        stacked = max(wide, other) <= width - PARTS_WIDTH - 8.0 and high + tall <= height - 8.0
        beside = wide + other <= width - 8.0 and max(high, tall) <= height - TABLE_HEIGHT
        if stacked or beside:
            break
    return views


def piece_rows(panel: MadePanel, line: PanelLine, brief: Brief) -> list[list[str]]:
    """Return the pieces of a panel by mark: count, finished size, where they lie and how they are
    fixed; last what it weighs, where it hangs and by what.
    """
    text = brief.figures.text
    rows = [["mark", "part", "no.", "width", "thickness", "length", "where, and how it is fixed"]]
    for member, count in panel.counts():
        *section, length = (brief.figures.fine(size) for size in member.size)
        own = [piece for piece in panel.pieces if piece.mark == member.mark]
        first, *more = _words(panel, own, brief)
        sizes = ["", "", ""] if member.kind == BOLT else [*section, length]
        rows.append([member.mark, member.kind.name, str(count), *sizes, first])
        rows += [["", "", "", "", "", "", words] for words in more]
    weight = f"{line.weight / POUND:.0f} lb" if brief.feet else f"{line.weight:.1f} kg"
    most = panel.plan.carried
    carried = f"{most / POUND:.0f} lb" if brief.feet else f"{most:g} kg"
    last = [
        f"weighs {weight} at {brief.fence.job.timber.density:g} kg/m3; two people carry {carried} "
        "at most" + (": CAUTION, heavier" if line.weight > most + 1e-9 else ""),
        _hung(panel, brief),
        f"hangs {panel.plan.where}: {_bays(line)}",
        f"over all {text(line.width)} x {text(line.height)}",
    ]
    return [*rows, *([*[""] * 6, words] for words in last)]


def _bays(line: PanelLine) -> str:
    more = len(line.bays) - MOST_BAYS
    return ", ".join(line.bays[:MOST_BAYS]) + (f" and {more} more" if more > 0 else "")


def _hung(panel: MadePanel, brief: Brief) -> str:
    plan = panel.plan
    if not plan.between:
        return f"{plan.fixings} bolts on each side through the posts"
    length, diameter = SCREWS[0]
    screws = f"{SCREWED[BRACKET]} screws {diameter:g} x {length:g} each"
    return (
        f"{plan.fixings} brackets on each side, {screws}; {brief.figures.fine(plan.clearance)} "
        "clear of each post"
    )


def _words(panel: MadePanel, own: list[PanelPiece], brief: Brief) -> Iterator[str]:
    """Yield where pieces alike lie and how they are fixed."""
    text, fine = brief.figures.text, brief.figures.fine
    kind = own[0].kind
    left = panel.framed[0][0]
    edges = ", ".join(_each(fine(piece.low[0] - left + 0.0) for piece in own))
    if kind == PALE:
        yield f"left edges from the left end: {edges}"
        feet = _each(fine(piece.low[2]) for piece in own)
        if feet != ["0"]:
            yield f"feet over the lowest foot: {', '.join(feet)}"
        told, first = brief.fence.job.fixings, own[0].member
        behind = panel.of(RAIL)[0].member.size[1]
        thick = behind_words(panel, own[0])
        sold = NAILS if told.pales == "nails" else SCREWS
        length, diameter = driven_size(thick * first.size[1], behind, sold)
        yield f"{told.crossing} {told.pales} {diameter:g} x {length:g} at each rail"
    elif kind == RAIL:
        lows = ", ".join(_each(fine(_low_left(panel, piece)) for piece in own))
        yield f"undersides at the left end {lows} over the lowest foot"
        yield f"left ends {edges} from the left end"
    elif kind == PANEL_UPRIGHT:
        lows = ", ".join(_each(fine(piece.low[2]) for piece in own))
        yield f"left edges {edges} from the left end, feet {lows} over the lowest foot"
        length, diameter = upright_screw(panel.plan.upright)
        yield f"{UPRIGHT_SCREWS} screws {diameter:g} x {length:g} through it into each rail's end"
    elif kind == BOLT:
        places = (f"{text(p.middle[0] - left)} and {text(p.middle[1])}" for p in own)
        yield f"middles from the left end and over the lowest foot: {'; '.join(places)}"


def behind_words(panel: MadePanel, pale: PanelPiece) -> float:
    """Return how many pales thick what a pale's nails pass is: two over the gaps of others."""
    return 2.0 if pale.high[1] < -0.5 * pale.member.size[1] else 1.0


def _low_left(panel: MadePanel, rail: PanelPiece) -> float:
    points = panel.points(rail)
    return min(z for x, _, z in points if x < rail.low[0] + 1.0)


def _each(words: Iterator[str]) -> list[str]:
    return list(dict.fromkeys(words))


def schedule_rows(brief: Brief, *, hung: bool = False) -> list[list[str]]:
    """Return all panels by mark: how many, over all, the frame's diagonals, weight, pieces. hung :
    with the bays that they hang in.
    """
    text = brief.figures.text
    unit = "lb" if brief.feet else "kg"
    rows = [["panel", "no.", "over all", "high", "diagonals", f"{unit} each", "pieces"]]
    rows[0] += ["hangs from post to post"] if hung else []
    for line in panel_lines(brief.fence):
        one, other = (text(length) for length in line.diagonals)
        weight = line.weight / (POUND if brief.feet else 1.0)
        row = [
            line.mark, str(line.count), text(line.width), text(line.height),
            one if line.square else f"{one} and {other}", f"{weight:.1f}", line.pieces,
        ]  # fmt: skip
        rows.append([*row, ", ".join(line.bays)] if hung else row)
    return rows
