"""The hand that one view is drawn with: its scale, the sizes on paper, how figures are written."""

from __future__ import annotations

from dataclasses import dataclass, replace

from .figures import Figures
from .lettering import text_width
from .scales import Scale
from .style import Style


@dataclass(frozen=True)
class Draft:
    """How one view is drawn. scale : 1:n; style : sizes on paper and how lengths are written."""

    scale: Scale
    style: Style

    @property
    def n(self) -> float:
        """The n of 1:n."""
        return self.scale.n

    @property
    def figures(self) -> Figures:
        """How lengths are written."""
        return self.style.figures

    @property
    def text(self) -> float:
        """Height of lettering, mm on paper."""
        return self.style.text

    def full(self, paper: float) -> float:
        """Return the length at full size that is `paper` mm on paper.

        >>> Draft(Scale(50.0, "1:50"), Style()).full(2.5)
        125.0
        """
        return paper * self.scale.n

    def figure(self, length: float) -> str:
        """Return a length (mm at full size) as its figure."""
        return self.style.figures.text(length)

    def usual(self, length: float) -> str:
        """Return the figure that a set of sheets writes for a length where a view says no other."""
        return replace(self.style.figures, whole=True).text(length)

    def width(self, text: str) -> float:
        """Return the width of a line of lettering, mm at full size."""
        return text_width(text, self.style.text) * self.scale.n
