"""What was measured, where it was measured, for a sketch to hold beside the site."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from palewright.model.geometry.frames import Point

from .level_lines import BookLine

MarkKind = Literal["length", "tie", "offset", "chainage", "angle", "turn", "bearing", "fall"]

Doubt = Literal["", "probably wrong", "perhaps wrong"]


@dataclass(frozen=True)
class SketchMark:
    """A measurement on a sketch.

    kind : "length" along a line that is built or "tie" beside it, both from one end to the other;
    "offset" from its foot to the point, and the two ends of the line it is square to; "chainage"
    from where it counts to the foot; "angle" at the first place from the second clockwise to the
    third; "turn" at the first, coming from the second and going to the third; "bearing" and "fall"
    from one place to the other; at : those places, (east, north), mm; said : the figure as it was
    measured; name : of what it is, as "A to C"; doubt : "probably
    wrong", "perhaps wrong" where another may be instead, or nothing.
    """

    kind: MarkKind
    at: tuple[Point, ...]
    said: str
    name: str
    doubt: Doubt = ""


@dataclass(frozen=True)
class Sketch:
    """What was measured of a site. marks : in the order of the file; north : whether a bearing
    says where north is; up : what is up where none does, in words; book : levels read from a
    staff, line by line; feet : whether levels are written in feet and inches, else in metres.
    """

    marks: tuple[SketchMark, ...]
    north: bool
    up: str
    book: tuple[BookLine, ...] = ()
    feet: bool = False
