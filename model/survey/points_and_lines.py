"""What a survey holds, whatever file it came from."""

from __future__ import annotations

import difflib
import math
from dataclasses import dataclass
from functools import cached_property

from palewright.model.basis.errors import PalewrightError
from palewright.model.geometry.frames import Vector
from palewright.model.site.path import Node
from palewright.model.site.surface import Surface

from .code_words import USUAL_CODES, FieldCodes
from .sketch_marks import Sketch


@dataclass(frozen=True)
class Asked:
    """What a user says of a survey that the file may not say itself.

    units : "mm", "cm", "m", "in", "ft" or "us-ft"; without it a DXF drawing goes by its header,
    others by their grid, else they are in metres; crs : grid of the coordinates ("EPSG:27700");
    tolerance : how closely splines are followed, mm; columns : what those of a point file without a
    heading hold, as "PNEZD"; named_by : the property that names the features of GeoJSON, empty for
    their id, or their property "name"; codes : words behind codes; layer : of a file that has
    several.
    """

    units: str | None = None
    crs: str = ""
    tolerance: float = 5.0
    columns: str = ""
    named_by: str = ""
    codes: FieldCodes = USUAL_CODES
    layer: str = ""


class SurveyError(PalewrightError):
    """A survey that cannot be used; the text, one line, says where and why."""

    def __init__(self, text: str) -> None:
        super().__init__(" ".join(text.split()))


@dataclass(frozen=True)
class SurveyPoint:
    """A surveyed point. number, code : as in the file; x, y : east and north, mm;
    level : mm, or None where the file has none.
    """

    number: str
    x: float
    y: float
    level: float | None
    code: str


@dataclass(frozen=True)
class SurveyLine:
    """A line that a fence can follow.

    name : unlike any other's (a handle, a code, a number); group : code or layer; kind : what it
    is in the file; spots : (x, y, level) along it between the nodes, mm; joined : whether it is
    also part of a longer line, so that it is only taken by its name.
    """

    name: str
    group: str
    kind: str
    nodes: tuple[Node, ...]
    closed: bool = False
    spots: tuple[Vector, ...] = ()
    joined: bool = False


@dataclass(frozen=True)
class GivenSurface:
    """Ground that a file has as triangles. name : unlike any other's."""

    name: str
    surface: Surface


def unlike(name: str, names: dict[str, int]) -> str:
    """Return a name of its own, counted on from the last of that name."""
    own = name
    while own in names:
        names[name] += 1
        own = f"{name} #{names[name]}"
    names[own] = 1
    return own


def as_ring(nodes: list[Node]) -> tuple[tuple[Node, ...], bool]:
    """Return straight nodes, without the last where it closes a ring, and whether it does."""
    closed = len(nodes) > 3 and math.dist(nodes[0].at, nodes[-1].at) < 1.0
    return tuple(nodes[:-1] if closed else nodes), closed


@dataclass(frozen=True)
class Survey:
    """A survey. file : as in messages; format : "CSV", "DXF", "GeoJSON", "LandXML", "GSI" or
    "tape"; crs : of the coordinates, empty when not known; notes : what a reader should know of
    them; sketch : what was measured by tape and level, None of other files; surfaces : of ground.
    """

    file: str
    format: str
    points: tuple[SurveyPoint, ...] = ()
    lines: tuple[SurveyLine, ...] = ()
    crs: str = ""
    notes: tuple[str, ...] = ()
    sketch: Sketch | None = None
    surfaces: tuple[GivenSurface, ...] = ()

    def line(self, name: str) -> SurveyLine:
        """Return the line called `name`; without a name the only one there is.

        Raises
        ------
        SurveyError
            When there is none or more than one; the text lists what there is.
        """
        if not self.lines:
            raise SurveyError(f"{self.file}: holds no line that a fence could follow")
        wanted = name.casefold()
        named = [line for line in self.lines if line.name.casefold() == wanted] or [
            line
            for line in self.lines
            if not line.joined and (not wanted or line.group.casefold() == wanted)
        ]
        if len(named) == 1:
            return named[0]
        there = ", ".join(dict.fromkeys(self._said(line) for line in (named or self.lines)[:20]))
        if named:
            what = f"{len(named)} lines" if not name else f"{len(named)} lines called '{name}'"
            raise SurveyError(f"{self.file}: has {what}; say which by its name: {there}")
        near = difflib.get_close_matches(name, [line.name for line in self.lines], 1)
        hint = f"did you mean '{near[0]}'? " if near else ""
        raise SurveyError(f"{self.file}: has no line '{name}'; {hint}there are: {there}")

    @staticmethod
    def _said(line: SurveyLine) -> str:
        return line.name if line.name == line.group else f"{line.name} ({line.group})"

    @cached_property
    def codes(self) -> dict[str, int]:
        """How many points each code has."""
        counts: dict[str, int] = {}
        for point in self.points:
            counts[point.code] = counts.get(point.code, 0) + 1
        return counts

    def spots(
        self, codes: tuple[str, ...], own: str | None = None, left_out: tuple[str, ...] = ()
    ) -> tuple[Vector, ...]:
        """Return the spot levels with one of these codes; without codes all, but for a line's own.

        own : code of that line; left_out : codes whose levels are not of the ground.
        """
        wanted = {code.casefold() for code in codes}
        unwanted = {code.casefold() for code in left_out}
        return tuple(
            (point.x, point.y, point.level)
            for point in self.points
            if point.level is not None
            and point.code.casefold() not in unwanted
            and (point.code.casefold() in wanted if wanted else point.code != own)
        )
