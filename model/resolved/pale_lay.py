"""Where pales stand across the rails: on their front, their back, on both, or over each other."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

On = Literal["front", "back", "both", "board on board"]


@dataclass(frozen=True)
class PaleLayer:
    """A layer of a run's pales. name : "front", "back" or "over"; back, front : of its faces before
    the line, mm; through : what its fixings pass before they reach a rail, mm.
    """

    name: str
    back: float
    front: float
    through: float

    @property
    def role(self) -> str:
        """What its pales do, in words of lists."""
        return "pale" if self.name == "front" else f"{self.name} pale"


def layers_of(on: On, rails: tuple[float, float], thickness: float) -> tuple[PaleLayer, ...]:
    """Return the layers of pales, in the order in which pales take turns on them.

    rails : the rails' backs and their fronts before the line, thickness : of a pale, mm.
    """
    back, front = rails
    first = PaleLayer("front", front, front + thickness, thickness)
    behind = PaleLayer("back", back - thickness, back, thickness)
    over = PaleLayer("over", first.front, first.front + thickness, 2.0 * thickness)
    return {
        "front": (first,),
        "back": (behind,),
        "both": (first, behind),
        "board on board": (first, over),
    }[on]


@dataclass(frozen=True)
class LayWords:
    """What papers say of how pales are laid. laid : behind their sizes; order : before how they
    are fixed; figure : under a bay that shows how far they lap. Empty where nothing needs saying.
    """

    laid: str = ""
    order: str = ""
    figure: str = ""


WORDS: dict[On, LayWords] = {
    "front": LayWords(),
    "back": LayWords(", on the back of the rails, between the posts"),
    "both": LayWords(
        ", on both faces of the rails by turns (hit and miss)",
        "Fix the pales on the front of the rails first, those on the back over their gaps. ",
        "pales on the front and on the back of the rails by turns; the figure is their lap",
    ),
    "board on board": LayWords(
        ", board on board",
        "Fix the pales on the rails first, the outer ones over their gaps. ",
        "pales on the rails and over their gaps by turns; the figure is their lap",
    ),
}
