"""Plan and elevation on a proposal: drawn views, placed in the columns of its pages."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

from reportlab.lib.units import mm
from reportlab.platypus import Flowable

from palewright.export.drawing.draft.drafting import Draft
from palewright.export.drawing.draft.figures import Figures, Units
from palewright.export.drawing.draft.paper import Mark, Stroke, bounds, on_paper, shifted
from palewright.export.drawing.draft.scales import ARCHITECTS, METRIC, RULERS, SMALLER, Scale
from palewright.export.drawing.draft.style import BLACK, Style
from palewright.export.drawing.draft.view import View
from palewright.export.drawing.views.customer_elevation import PERSON, customer_elevation
from palewright.export.drawing.views.front import FrontPart, fronts_of, parts_of_front
from palewright.export.drawing.views.plan import block_plan
from palewright.export.drawing.writers.pdf import draw_marks
from palewright.model.basis.text import titled_text
from palewright.model.fence.fence_model import FenceModel

from .firm_paper import GREY, Look
from .offer_words import in_imperial, length_words

LARGEST, SMALLEST = 25.0, 100.0
"""Elevations are drawn at 1:n between these, longer fronts in part."""

LARGEST_PLAN = 50.0
HIGHEST_FRONTS = 60.0
"""Room that a second front leaves for the plan, mm."""

HIGHEST_PLAN, LEAST_PLAN = 100.0, 42.0
"""Room that a plan takes at most, and needs at least, mm."""

FINER = 0.6
"""Width of lines as part of that on sheets, which are read at arm's length."""

CAPTION, APART = 5.0, 4.0
"""Room for the words under a drawing, and under those, mm."""


def customer_style(fence: FenceModel) -> Style:
    """Return how figures are written for a customer."""
    figures = Figures(Units.FEET if in_imperial(fence) else Units.METRES)
    return Style(text=2.1, first_tier=9.0, tier=6.0, tick=1.6, figures=figures)


def usual_scales(fence: FenceModel) -> list[Scale]:
    """Return the scales for a customer's drawings, the largest first."""
    if in_imperial(fence):
        feet = (Scale(12.0 * n, f"1\" = {n}'") for n in (30, 50, 60, 80))  # engineers' rulers
        return sorted((*ARCHITECTS, *feet), key=lambda scale: scale.n)
    return sorted((*METRIC, *RULERS, *SMALLER), key=lambda scale: scale.n)


@dataclass(frozen=True)
class DrawnView:
    """A view on paper. marks : from its lower left corner; width, height : mm."""

    marks: tuple[Mark, ...]
    width: float
    height: float


def drawn(view: View, style: Style, look: Look) -> DrawnView:
    """Return a view as it is drawn, its black lines in the firm's ink."""
    marks = on_paper(replace(view, title=""), style)
    left, low, right, high = bounds(marks)
    ink = (look.ink.red, look.ink.green, look.ink.blue)
    inked = [
        replace(mark, width=FINER * mark.width, layer=replace(mark.layer, ink=ink))
        if isinstance(mark, Stroke) and mark.layer.ink == BLACK
        else mark
        for mark in shifted(marks, -left, -low)
    ]
    return DrawnView(tuple(inked), right - left, high - low)


class ViewInFrame(Flowable):  # type: ignore[misc]
    """A drawing with words under it."""

    def __init__(self, shown: DrawnView, words: str, look: Look) -> None:
        super().__init__()
        self.shown, self.words, self.look = shown, words, look

    def wrap(self, wide: float, high: float) -> tuple[float, float]:
        """Return the room that it takes, points."""
        self.width = wide
        self.height = (self.shown.height + CAPTION + APART) * mm
        return self.width, self.height

    def draw(self) -> None:
        """Draw it where the canvas stands."""
        canvas = self.canv
        canvas.saveState()
        canvas.translate(0.0, (CAPTION + APART) * mm)
        draw_marks(canvas, self.shown.marks)
        canvas.restoreState()
        said = self.look.para(self.words, 8.0, colour=GREY, leading=1.2)
        _, high = said.wrapOn(canvas, self.width, CAPTION * mm)
        said.drawOn(canvas, 0.0, (CAPTION + APART - 1.5) * mm - high)


class PlanInFrame(Flowable):  # type: ignore[misc]
    """A plan as large as the page has room for."""

    def __init__(self, fence: FenceModel, look: Look) -> None:
        super().__init__()
        self.fence, self.look = fence, look

    def wrap(self, wide: float, high: float) -> tuple[float, float]:
        """Choose the scale for the room that is left; return what it takes, points."""
        room = min(max(high / mm - CAPTION - APART - 1.0, LEAST_PLAN), HIGHEST_PLAN)
        style = customer_style(self.fence)
        for scale in usual_scales(self.fence):
            if scale.n < LARGEST_PLAN * 0.96 or not _may_fit(self.fence, scale.n, wide / mm, room):
                continue
            shown = drawn(block_plan(self.fence, Draft(scale, style)), style, self.look)
            if shown.width <= wide / mm and shown.height <= room:
                break
        unit = "feet and inches" if in_imperial(self.fence) else "metres"
        self.inner = ViewInFrame(shown, f"Plan, {scale.text}. Lengths in {unit}.", self.look)
        self.width, self.height = self.inner.wrap(wide, high)
        return self.width, self.height

    def draw(self) -> None:
        """Draw it where the canvas stands."""
        self.inner.canv = self.canv
        self.inner.draw()


def _may_fit(fence: FenceModel, n: float, wide: float, high: float) -> bool:
    """Tell whether the lines alone fit at a scale, mm; a long fence's plan takes time."""
    xs, ys = zip(
        *(v[:2] for layout in fence.layouts for v in layout.run.line.vertices), strict=True
    )
    return bool((max(xs) - min(xs)) / n <= wide and (max(ys) - min(ys)) / n <= high)


def front_views(fence: FenceModel, look: Look, most: int) -> list[ViewInFrame]:
    """Return the longest fronts as they are seen, those with gates first."""
    style = customer_style(fence)
    width = look.width / mm
    fronts = [
        (any(o.leg_number in front.starts for o in layout.openings), front.length, run, front)
        for run, layout in enumerate(fence.layouts)
        for front in fronts_of(layout)
    ]
    fronts.sort(key=lambda told: (-told[0], -told[1], told[2], told[3].number))
    scale = _scale_for(fence, max(front.length for _, _, _, front in fronts[:most]), width)
    draft = Draft(scale, style)
    shown: list[ViewInFrame] = []
    for _, _, run, front in fronts[:most]:
        parts = parts_of_front(run, front, _room(width) * scale.n)
        view = customer_elevation(fence, _best_part(parts), draft)
        words = _caption(fence, parts, scale, first=not shown)
        shown.append(ViewInFrame(drawn(view, style, look), words, look))
    return shown


def _room(width: float) -> float:
    """Return what the fence may take of a width, mm: a person, the height and the ground beside."""
    return width - 14.0


def _scale_for(fence: FenceModel, longest: float, width: float) -> Scale:
    """Return the largest scale that shows a length with a person beside it, or the smallest."""
    beside = 2200.0
    allowed = [s for s in usual_scales(fence) if LARGEST * 0.9 <= s.n <= SMALLEST * 1.01]
    for scale in allowed:
        if (longest + beside) / scale.n <= _room(width):
            return scale
    return allowed[-1]


def _best_part(parts: list[FrontPart]) -> FrontPart:
    """Return the part of a front with a gate, or the first."""
    for part in parts:
        first, last = part.stations[0][0], part.stations[-1][0]
        for opening in part.front.layout.openings:
            start = part.front.starts.get(opening.leg_number)
            if start is not None and first <= start + opening.start <= last:
                return part
    return parts[0]


def _caption(fence: FenceModel, parts: list[FrontPart], scale: Scale, *, first: bool) -> str:
    front = parts[0].front
    feet = in_imperial(fence)
    name = titled_text(front.layout.run.called)
    turns = len(fronts_of(front.layout)) > 1
    which = f"{name}, side {front.number}" if turns else name
    whole = "" if len(parts) == 1 else f"; a part of {length_words(front.length, feet=feet)}"
    who = f" The person is {length_words(PERSON, feet=feet)} tall." if first else ""
    return f"{which} from the front, {scale.text}{whole}.{who}"


def drawings(fence: FenceModel, look: Look, most: int = 2) -> Iterator[Any]:
    """Yield the drawings of a fence, for the story of a paper."""
    fronts = front_views(fence, look, most)
    room = HIGHEST_FRONTS
    for number, front in enumerate(fronts):
        room -= front.shown.height
        if number and room < 0.0:
            break
        yield front
    yield PlanInFrame(fence, look)
