"""A small plan of what a survey holds, and what a fence would follow."""

from __future__ import annotations

import math

from palewright.export.drawing.draft import style as layers
from palewright.export.drawing.draft.drafting import Draft
from palewright.export.drawing.draft.figures import Figures, Units
from palewright.export.drawing.draft.scales import Scale, scale_for
from palewright.export.drawing.draft.style import Style
from palewright.export.drawing.draft.view import Item, Line, Text, View
from palewright.export.drawing.sheets.recorded import Placed
from palewright.export.drawing.sheets.sheet import Sheet
from palewright.export.drawing.sheets.sheet_frame import Size
from palewright.export.drawing.views.contour_lines import contour_items
from palewright.export.drawing.views.placing import Placer, around
from palewright.model.basis.text import plain
from palewright.model.geometry.frames import Point, Vector
from palewright.model.site.contours import contours, suited_step
from palewright.model.site.surface import Surface
from palewright.model.survey.extents import extent, outline
from palewright.model.survey.points_and_lines import Survey, SurveyLine, SurveyPoint

PAGE = Size("A4", 297.0, 210.0)
MARGIN, TITLE = 15.0, 12.0
"""Round the plan, and under it for its title, mm."""

WAYS = (35, 145, -35, -145, 90, -90, 0, 180)
"""Where a label may stand round its point, degrees."""

CROSS = 0.8
"""Half the size of a point's cross, mm on paper."""

NO_ORIGIN: Vector = (0.0, 0.0, 0.0)

MOST_LABELS, MOST_POINTS, MOST_LINES = 150, 20_000, 2000
"""Beyond these a small plan shows no more."""


def survey_plan(survey: Survey, taken: SurveyLine | None, ground: Surface | None) -> Sheet:
    """Return a page with the survey's lines and points; the line that is taken stands out.

    ground : the surface that its levels make, whose contours are drawn.
    """
    style = Style(figures=Figures(Units.METRES))
    ends = extent(survey)
    assert ends is not None, "an empty survey has no plan"
    (x0, y0, *_), (x1, y1, *_) = ends
    wide, tall = PAGE.width - 2.0 * MARGIN, PAGE.height - 2.0 * MARGIN - TITLE
    shape = max((x1 - x0) / wide, (y1 - y0) / tall, 1.0)
    scale: Scale = scale_for(shape, 1.0, Units.MILLIMETRES, largest=20.0)
    if shape > scale.n:
        scale = Scale(math.ceil(shape / 1000.0) * 1000.0, f"1:{math.ceil(shape / 1000.0) * 1000}")
    n = scale.n
    items: list[Item] = []
    draft = Draft(scale, style)
    placer = Placer(draft)
    lines = [line for line in survey.lines if not line.joined or line is taken][:MOST_LINES]
    lines = [line for line in lines if line is taken or not _strewn(line, survey)]
    for line in lines:
        # what is not taken is thin, and dashed where it is only points of one code in their order
        thin = layers.CHECK if survey.format == "CSV" else layers.RULE
        layer = layers.GROUND if line is taken else thin
        drawn = Line.through(_about(outline(line), x0, y0), layer)
        items.append(drawn)
        if len(lines) <= MOST_LABELS:
            placer.take(drawn)
    for point in survey.points[:MOST_POINTS]:
        x, y = point.x - x0, point.y - y0
        for dx, dy in ((CROSS, CROSS), (CROSS, -CROSS)):
            ends_of = ((x - dx * n, y - dy * n), (x + dx * n, y + dy * n))
            items.append(Line.through(ends_of, layers.METAL))
    labels = [text for line in lines[:MOST_LABELS] for text in _name(line, taken, x0, y0)]
    labels += [_point_label(point, x0, y0) for point in survey.points[:MOST_LABELS]]
    for words, spot in labels[:MOST_LABELS]:
        ways = [(math.cos(math.radians(a)), math.sin(math.radians(a))) for a in WAYS]
        choices = [around(words, spot, way, away, draft) for away in (1.0, 3.0) for way in ways]
        text = placer.place(choices)
        if text is not None:
            items.append(text)
    said = "north is up"
    if ground is not None:
        surface = ground.moved(-x0, -y0, 0.0)
        step = suited_step(surface)
        found = contours(surface, step)
        said = f"north is up, contours every {step / 1000.0:g} m"
        items += contour_items(found, ((0.0, 0.0), (x1 - x0, y1 - y0)), NO_ORIGIN, placer)
    name = plain(survey.file.replace("\\", "/").rsplit("/", 1)[-1])
    items.append(Text(f"{name}   {scale.text}", (0.0, -TITLE * n), style.subtitle))
    items.append(Text(said, (0.0, (-TITLE - 5.0) * n), style.text))
    view = View("", n, tuple(items), in_model=False, kind="survey")
    at = (MARGIN + (wide - (x1 - x0) / n) / 2.0, MARGIN + TITLE + (tall - (y1 - y0) / n) / 2.0)
    return Sheet(PAGE, name, (Placed.of(view, at, style),))


def _strewn(line: SurveyLine, survey: Survey) -> bool:
    """Tell whether points of one code are no line in their order: it would cross itself."""
    import shapely

    if survey.format != "CSV" or len(line.nodes) < 4:
        return False
    return not shapely.LineString([node.at for node in line.nodes]).is_simple


def _about(points: tuple[Point, ...], x0: float, y0: float) -> tuple[Point, ...]:
    return tuple((x - x0, y - y0) for x, y in points)


def _name(
    line: SurveyLine, taken: SurveyLine | None, x0: float, y0: float
) -> list[tuple[str, Point]]:
    """Return a line's name in its middle, and where it starts if it is taken."""
    points = _about(outline(line), x0, y0)
    a, b = points[(len(points) - 1) // 2], points[(len(points) - 1) // 2 + 1]
    middle = ((a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0)
    labels = [(plain(line.name), middle)]
    if line is taken:
        labels.insert(0, ("start", points[0]))
    return labels


def _point_label(point: SurveyPoint, x0: float, y0: float) -> tuple[str, Point]:
    words = [plain(point.number)]
    if point.level is not None:
        words.append(f"{point.level / 1000.0:.2f}")
    return " ".join(words), (point.x - x0, point.y - y0)
