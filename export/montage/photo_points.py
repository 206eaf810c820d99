"""The file of points that are known in a photograph, TOML beside it."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import Annotated, Literal

from pydantic import Field, ValidationError, model_validator

from palewright.model.basis.errors import Problem, SpecError
from palewright.model.basis.lengths import Coordinate, Table
from palewright.model.basis.source_files import (
    SourceFileError,
    read_source,
    text_of,
    toml_tables,
)
from palewright.model.basis.toml_lines import key_lines

LARGEST_FILE, MOST_POINTS, MOST_CORNERS = 200_000, 200, 2000
"""Bytes, points, and corners of a mask."""

Pixel = tuple[
    Annotated[float, Field(ge=-1e5, le=1e5, allow_inf_nan=False)],
    Annotated[float, Field(ge=-1e5, le=1e5, allow_inf_nan=False)],
]
"""Across and down from the photograph's upper left."""


class PhotoPoint(Table):
    """A point seen in the photograph: a post's foot or top, or a place on the site."""

    pixel: Pixel
    post: str | None = Field(None, max_length=20)
    at: Literal["ground", "top"] = "ground"
    place: tuple[Coordinate, Coordinate, Coordinate] | None = None

    @model_validator(mode="after")
    def _one(self) -> PhotoPoint:
        if (self.post is None) == (self.place is None):
            raise ValueError(
                "needs either 'post' (a label, as A03) or 'place' ([east, north, level])"
            )
        return self


class Horizon(Table):
    """The line where level ground far away ends."""

    pixels: tuple[Pixel, ...] = Field(min_length=2, max_length=50)


class Mask(Table):
    """The outline of what stands before the fence in the photograph."""

    pixels: tuple[Pixel, ...] = Field(min_length=3, max_length=MOST_CORNERS)


class Sky(Table):
    """When and where the photograph was taken, or that the sky was overcast."""

    taken: datetime | None = None
    place: (
        tuple[Annotated[float, Field(ge=-90, le=90)], Annotated[float, Field(ge=-180, le=180)]]
        | None
    ) = None
    overcast: bool = False

    @model_validator(mode="after")
    def _zone(self) -> Sky:
        if self.taken is not None and self.taken.utcoffset() is None:
            raise ValueError("'taken' needs its time zone, as 2026-05-03T14:20:00+01:00")
        return self


class Lens(Table):
    """focal : length as on 35 mm film, mm; light : what the fence's brightness is multiplied by."""

    focal: Annotated[float, Field(ge=8, le=800)] | None = None
    light: Annotated[float, Field(ge=0.1, le=3)] = 1.0


class PhotoPoints(Table):
    """All that is said of a photograph."""

    point: tuple[PhotoPoint, ...] = Field(min_length=1, max_length=MOST_POINTS)
    horizon: Horizon | None = None
    mask: tuple[Mask, ...] = Field((), max_length=100)
    sky: Sky = Field(default_factory=Sky)
    camera: Lens = Field(default_factory=Lens)


def read_points(path: Path) -> PhotoPoints:
    """Return the points in a file.

    Raises
    ------
    SpecError
        With every mistake in it, on its line.
    """
    try:
        text = text_of(read_source(path, LARGEST_FILE))
        raw = toml_tables(text)
    except SourceFileError as error:
        raise error.of(str(path)) from None
    try:
        return PhotoPoints.model_validate(raw)
    except ValidationError as error:
        lines = key_lines(text)
        problems = []
        for detail in error.errors():
            place = tuple(detail["loc"])
            known = (lines[place[:n]] for n in range(len(place), 0, -1) if place[:n] in lines)
            message = detail["msg"].removeprefix("Value error, ")
            problems.append(Problem(place, message, line=next(known, None)))
        raise SpecError(str(path), tuple(problems)) from None
