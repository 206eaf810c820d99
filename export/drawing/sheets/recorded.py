"""Views on paper, each recorded once for packing, printing and viewports."""

from __future__ import annotations

from dataclasses import dataclass

from palewright.export.drawing.draft.paper import Mark, bounds, on_paper
from palewright.export.drawing.draft.style import Style
from palewright.export.drawing.draft.view import View
from palewright.model.geometry.frames import Point


@dataclass(frozen=True)
class Placed:
    """A view on a sheet.

    at : where its own origin stands on the paper, mm; recorded : the view on paper, its origin at
    (0, 0), made once for packing, printing and viewports.
    """

    view: View
    at: Point
    recorded: tuple[Mark, ...]

    @staticmethod
    def of(view: View, at: Point, style: Style) -> Placed:
        """Record a view and place it."""
        return Placed(view, at, on_paper(view, style))


Reach = tuple[float, float, float, float]


class Recorded:
    """Views of a set on paper: each is drawn once, however often the set is packed."""

    def __init__(self, style: Style) -> None:
        self.style = style
        self.known: dict[int, tuple[View, tuple[Mark, ...]]] = {}
        self.reached: dict[int, tuple[tuple[Mark, ...], Reach]] = {}

    def of(self, view: View) -> tuple[Mark, ...]:
        """Return a view on paper, its own origin at (0, 0)."""
        if id(view) not in self.known:  # kept with the view, so that its id stays its own
            self.known[id(view)] = view, on_paper(view, self.style)
        return self.known[id(view)][1]

    def reach(self, marks: tuple[Mark, ...]) -> Reach:
        """Return left, bottom, right and top of what is on paper, mm, measured once."""
        if id(marks) not in self.reached:
            self.reached[id(marks)] = marks, bounds(marks)
        return self.reached[id(marks)][1]
