"""A sheet of what was measured by tape and level, to hold beside the site."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from palewright.export.drawing.draft import style as layers
from palewright.export.drawing.draft.drafting import Draft
from palewright.export.drawing.draft.figures import Figures, Units
from palewright.export.drawing.draft.paper import bounds, on_paper
from palewright.export.drawing.draft.scales import METRIC, RULERS, Scale
from palewright.export.drawing.draft.style import Style
from palewright.export.drawing.draft.view import Item, Line, Text, View
from palewright.export.drawing.sheets.recorded import Placed
from palewright.export.drawing.sheets.sheet import Sheet, finished
from palewright.export.drawing.sheets.sheet_frame import (
    SIZES,
    Box,
    Fields,
    Size,
    frame_box,
    title_box,
)
from palewright.export.drawing.views.placing import Placer, around
from palewright.export.drawing.views.plan_symbols import north as north_point
from palewright.export.drawing.views.sketch_items import (
    CROSS,
    WAYS,
    SketchPen,
    sketch_figures,
    sketch_lines,
)
from palewright.export.drawing.views.table_views import wrapped
from palewright.model.basis.text import plain
from palewright.model.basis.units import feet_and_inches
from palewright.model.survey.extents import extent, outline
from palewright.model.survey.points_and_lines import Survey, SurveyLine, SurveyPoint
from palewright.model.survey.sketch_marks import Sketch, SketchMark

INSET, PITCH, MOST_NOTES = 6.0, 4.2, 16
"""From the frame to what stands in it, between lines of notes, mm; and most of those lines."""

ARROW_WIDE, ARROW_TALL = 14.0, 24.0
"""Paper for a north point beside the notes, mm."""

LARGEST = 20.0
"""Sketches are not drawn larger than 1:n."""


def sketch_sheet(survey: Survey, sketch: Sketch, taken: SurveyLine | None, title: str) -> Sheet:
    """Return a sheet of A4 with what was measured; the line that is taken is the thickest.

    title : of the job, for the title block.
    """
    style = Style(figures=Figures(Units.METRES))
    ends = extent(survey)
    assert ends is not None, "an empty survey has no sketch"
    (x0, y0, *_), (x1, y1, *_) = ends
    upright = SIZES["A4"]
    sizes = [upright, Size("A4", upright.height, upright.width)]
    if x1 - x0 > y1 - y0:
        sizes.reverse()
    drawn = [_fitted(size, survey, sketch, taken, style) for size in sizes]
    best = min(drawn, key=lambda one: one.view.scale)
    notes = _notes_view(best.notes, best.size, style, north=sketch.north)
    placed = [Placed.of(best.view, best.at, style), Placed.of(notes, (0.0, 0.0), style)]
    name = plain(survey.file.replace("\\", "/").rsplit("/", 1)[-1])

    def fields(_: str, number: int, count: int, scale: str) -> Fields:
        return Fields(
            owner="", title=plain(title) or name, sheet_title="What was measured",
            number=f"{name.rsplit('.', 1)[0]}-SKETCH", revision="-", date="", sheet=number,
            sheets=count, creator="", approver="", document_type="Sketch of a survey",
            scale=scale, units="as measured",
        )  # fmt: skip

    (sheet,) = finished([("What was measured", placed)], best.size, fields, style)
    return sheet


@dataclass(frozen=True)
class _Drawn:
    """A sketch on a size of sheet. at : where the view's origin stands on paper, mm."""

    size: Size
    view: View
    at: tuple[float, float]
    notes: list[str]


def _fitted(
    size: Size, survey: Survey, sketch: Sketch, taken: SurveyLine | None, style: Style
) -> _Drawn:
    """Return the sketch at the largest scale at which all of it fits on a sheet."""
    frame, block = frame_box(size), title_box(size)
    for scale in _scales(survey, frame):
        view, crowded = _view(survey, sketch, taken, Draft(scale, style))
        notes = _notes(survey, sketch, crowded)
        lines = _wrapped(notes, size, style, north=sketch.north)
        tall = max(len(lines) * PITCH, ARROW_TALL if sketch.north else 0.0)
        low = block.high + tall + 2.0 * INSET
        room = Box(frame.left + INSET, low, frame.right - INSET, frame.high - INSET)
        left, bottom, right, top = bounds(on_paper(view, style))
        if right - left <= room.width and top - bottom <= room.height:
            break
    x = room.left + (room.width - (right - left)) / 2.0 - left
    y = room.low + (room.height - (top - bottom)) / 2.0 - bottom
    return _Drawn(size, view, (x, y), notes)


def _scales(survey: Survey, frame: Box) -> Iterator[Scale]:
    """Yield the scales at which the points alone fit, the largest first, without an end."""
    ends = extent(survey)
    assert ends is not None, "an empty survey has no sketch"
    (x0, y0, *_), (x1, y1, *_) = ends
    least = max((x1 - x0) / frame.width, (y1 - y0) / frame.height, LARGEST)
    for scale in sorted((*METRIC, *RULERS), key=lambda scale: scale.n):
        if scale.n >= least:
            yield scale
    n = max(math.ceil(least / 10_000.0) * 10_000, 20_000)
    while True:
        yield Scale(float(n), f"1:{n}")
        n *= 2


def _view(
    survey: Survey, sketch: Sketch, taken: SurveyLine | None, draft: Draft
) -> tuple[View, list[str]]:
    """Return the sketch at one scale, and the figures that found no room."""
    ends = extent(survey)
    assert ends is not None, "an empty survey has no sketch"
    x0, y0 = ends[0][:2]
    n = draft.n
    pen = SketchPen(draft, Placer(draft))
    marks = [_moved(mark, x0, y0) for mark in sketch.marks]
    for line in survey.lines:
        built = line is taken or survey.format == "legs"
        layer = layers.GROUND if built else layers.PALES
        drawn = tuple((x - x0, y - y0) for x, y in outline(line))
        pen.draw(Line.through(drawn, layer), firm=True)
    sketch_lines(marks, pen)
    spots = [(point, (point.x - x0, point.y - y0)) for point in survey.points]
    for _, (x, y) in spots:
        for dx, dy in ((CROSS, CROSS), (CROSS, -CROSS)):
            cross = (x - dx * n, y - dy * n), (x + dx * n, y + dy * n)
            pen.draw(Line.through(cross, layers.METAL), firm=True)
    for point, spot in spots:
        pen.write(_places(_point(point, feet=sketch.feet), spot, draft), "point")
    if taken is not None and not taken.closed:
        at = taken.nodes[0].at
        pen.write(_places("start", (at[0] - x0, at[1] - y0), draft), "the line's start")
    sketch_figures(marks, pen)
    items, words = tuple(pen.items), draft.scale.text
    view = View("", n, items, scale_text=words, in_model=False, kind="sketch")
    return view, pen.crowded


def _point(point: SurveyPoint, *, feet: bool) -> str:
    """Return a point's name with its level."""
    if point.level is None:
        return plain(point.number)[:20]
    level = feet_and_inches(point.level) if feet else f"{point.level / 1000.0:.3f}"
    return f"{plain(point.number)[:20]}  {level}"


def _places(said: str, spot: tuple[float, float], draft: Draft) -> list[Text]:
    ways = [(math.cos(math.radians(a)), math.sin(math.radians(a))) for a in WAYS]
    return [around(said, spot, way, away, draft) for away in (1.5, 4.0, 7.0) for way in ways]


def _moved(mark: SketchMark, x0: float, y0: float) -> SketchMark:
    return replace(mark, at=tuple((x - x0, y - y0) for x, y in mark.at))


def _notes(survey: Survey, sketch: Sketch, crowded: Sequence[str]) -> list[str]:
    """Return what stands under the sketch."""
    unit = "" if sketch.feet else ", m"
    there = any(point.level is not None for point in survey.points)
    levels = f" Figures beside points are levels{unit}." if there else ""
    notes = [f"Figures are as they were measured; the plan is as adjusted.{levels}"]
    if not sketch.north:
        notes.append(f"{sketch.up[:1].upper()}{sketch.up[1:]}.")
    notes += [f"{note[:1].upper()}{note[1:]}." for note in survey.notes]
    if crowded:
        notes.append(f"No room on the sketch for {'; '.join(crowded)}.")
    return [plain(note) for note in notes]


def _wrapped(notes: Sequence[str], size: Size, style: Style, *, north: bool) -> list[str]:
    """Return the notes in lines. north : whether they leave room for a north point."""
    width = frame_box(size).width - 2.0 * INSET - (ARROW_WIDE if north else 0.0)
    lines = [line for note in notes for line in wrapped(note, width, style.text)]
    if len(lines) > MOST_NOTES:
        more = len(lines) - MOST_NOTES + 1
        lines[MOST_NOTES - 1 :] = [f"({more} more lines: palewright survey prints them all)"]
    return lines


def _notes_view(notes: Sequence[str], size: Size, style: Style, *, north: bool) -> View:
    """Return the notes over the title block, in paper space, and the north point beside them."""
    frame, low = frame_box(size), title_box(size).high + INSET
    lines = _wrapped(notes, size, style, north=north)
    items: list[Item] = [
        Text(line, (frame.left + INSET, low + (len(lines) - 1 - number) * PITCH), style.text)
        for number, line in enumerate(lines)
    ]
    if north:
        x, y = frame.right - INSET - ARROW_WIDE / 2.0 - 6.0, low + 15.0
        corner = Line.through(((x, y), (x, y)), layers.RULE)
        items += north_point([corner], Draft(Scale(1.0, "1:1"), style))
    return View("", 1.0, tuple(items), in_model=False, kind="notes")
