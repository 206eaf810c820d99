"""The part of the spec that says where the line runs, and what was measured."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BeforeValidator, Field, field_validator, model_validator

from palewright.model.basis.lengths import (
    Coordinate,
    Length,
    NotNegative,
    Positive,
    Table,
)


class PartOfRun(Table):
    """A part of a run that follows the ground in its own way: bays with their middle in it."""

    start: NotNegative = Field(description="chainage")
    end: NotNegative = Field(description="chainage")
    follow: Literal["rake", "step", "level"] | None = None
    fill: Literal["none", "pales", "board"] | None = None


class LinePoint(Table):
    """A corner or an end of a run's line."""

    at: tuple[Coordinate, Coordinate] = Field(description="[east, north]")
    level: Length | None = Field(None, description="of the ground there")
    through: tuple[Coordinate, Coordinate] | None = Field(
        None, description="a point on the arc that leads here; straight when left out"
    )


def _line_point(value: Any) -> Any:
    if not isinstance(value, (list, tuple)):
        return value
    if len(value) not in (2, 3):
        raise ValueError("a point is [east, north] or [east, north, level]")
    return {"at": value[:2], **({"level": value[2]} if len(value) == 3 else {})}


PointSpec = Annotated[
    LinePoint,
    BeforeValidator(
        _line_point,
        json_schema_input_type=tuple[Coordinate, Coordinate]
        | tuple[Coordinate, Coordinate, Length]
        | LinePoint,
    ),
]


class ArcsSpec(Table):
    """What counts as shots along a curve; common practice, no source."""

    points: int = Field(
        5, ge=0, le=1000, description="fewest shots on an arc (4 or more), or 0 for a corner at "
        "each shot",
    )  # fmt: skip
    apart: Positive = Field(10_000.0, description="most between neighbouring shots on an arc")
    turn: float = Field(
        25.0, gt=0.0, le=60.0, description="most that the line bends at a shot on an arc, degrees; "
        "what bends more is a corner",
    )  # fmt: skip
    radius: Positive = Field(500_000.0, description="largest radius of an arc")

    @field_validator("points")
    @classmethod
    def _enough(cls, value: int) -> int:
        if 0 < value < 4:
            raise ValueError("an arc needs 4 shots or more; 0 for no arcs")
        return value


def _one_word(value: str) -> str:
    if value and value.split() != [value]:
        raise ValueError("must be one word without blanks")
    return value


Word = Annotated[str, Field(min_length=1, max_length=20), AfterValidator(_one_word)]
Words = Annotated[tuple[Word, ...], Field(max_length=20)]


class CodesSpec(Table):
    """Words behind a code, as in FL1 B; defaults are common practice, no source.

    No standard tells them; letters in any case. A code without any is read as it stands.
    """

    read: bool = Field(True, description="whether words behind codes are read at all")
    begin: Words = Field(("B", "BEG", "BL"), description="a line starts")
    end: Words = Field(("E", "END", "EL"), description="it ends")
    close: Words = Field(("CLS", "CLOSE"), description="it ends and goes back to its start")
    curve: Words = Field(
        ("BC",), description="a curve starts: through all shots to its end, or through three where "
        "no end comes",
    )  # fmt: skip
    curve_end: Words = Field(("EC",), description="a curve ends")
    arc: Words = Field(("C3",), description="the first of three shots on an arc")
    tangent: Words = Field(
        ("PC",), description="a curve starts that runs on from the straight before it"
    )
    tangent_end: Words = Field(("PT",), description="such a curve ends")
    remark: Annotated[str, AfterValidator(_one_word)] = Field(
        "/", max_length=5, description="starts a remark behind a code; empty "
        "for none",
    )  # fmt: skip
    apart: NotNegative = Field(
        50_000.0, description="points of a code without words that are farther apart than this, "
        "and than ten times their usual gap, are on lines of their own; 0 for one line",
    )  # fmt: skip

    @model_validator(mode="after")
    def _once(self) -> CodesSpec:
        known: dict[str, str] = {}
        for key, words in self:
            for word in words if isinstance(words, tuple) else ():
                other = known.setdefault(word.casefold(), key)
                if other != key:
                    raise ValueError(f"'{word}' stands for {other} and for {key}; once is allowed")
        return self


class SurveySpec(Table):
    """The site as measured: a file of points and lines."""

    file: str = Field(
        max_length=1000,
        description="points, DXF, GeoJSON, LandXML, GSI, shapefile or GeoPackage, beside the spec",
    )
    units: Literal["mm", "cm", "m", "in", "ft", "us-ft"] | None = Field(
        None,
        description="of a file that does not say: by its grid, else metres, when left out; us-ft "
        "is the US survey foot",
    )
    crs: str = Field(
        "", max_length=60, description="grid of the coordinates, as EPSG:27700; GeoJSON in "
        "degrees is put on it, and on a local plane when left out",
    )  # fmt: skip
    columns: str = Field(
        "", max_length=20, description="what the columns of a point file without a heading hold, "
        "as PNEZD: P point, E east, N north, Z level, D code, - for one to skip",
    )  # fmt: skip
    named_by: str = Field(
        "", max_length=60, description="the property that names features of GeoJSON; their id or "
        "their name when left out",
    )  # fmt: skip
    codes: CodesSpec = Field(
        CodesSpec(), description="words behind the codes of points, where lines start and curve"
    )
    layer: str = Field("", max_length=200, description="the layer of a GeoPackage that has several")
    tolerance: Positive = Field(5.0, description="how closely splines are followed by chords")
    straight: NotNegative = Field(
        20.0,
        description="points of a line no farther than this from the straight between its corners "
        "give levels alone, and no corner",
    )
    arcs: ArcsSpec = Field(
        ArcsSpec(), description="shots along a curve become arcs, within `straight`"
    )
    ground: tuple[Annotated[str, Field(max_length=60)], ...] = Field(
        (), max_length=100, description="codes or layers of spot levels; all points with a level "
        "near the line when left out",
    )  # fmt: skip
    not_ground: tuple[Annotated[str, Field(max_length=60)], ...] = Field(
        (), max_length=100, description="codes or layers of points whose levels are not of the "
        "ground, as eaves or covers",
    )  # fmt: skip
    breaklines: tuple[Annotated[str, Field(max_length=120)], ...] = Field(
        (), max_length=100, description="codes, layers or names of lines with levels along which "
        "the ground bends: top and foot of a bank, a kerb; those of LandXML are breaklines anyway",
    )  # fmt: skip
    ground_as: Literal["surface", "near"] | None = Field(
        None, description="where the ground along a line comes from: triangles between levels, or "
        "levels near the line alone; the surface where it is wide enough and carries the line, "
        "when left out",
    )  # fmt: skip
    surface: str = Field(
        "", max_length=60, description="the surface of a LandXML file that has several"
    )
    reach: Positive = Field(
        50_000.0, description="longest side of a triangle between levels; ground across a longer "
        "one counts as not known",
    )  # fmt: skip
    within: Positive = Field(
        1500.0, description="how far from the line a spot level may lie and still count, where "
        "only levels near the line are taken",
    )  # fmt: skip
    contours: NotNegative | None = Field(
        None, description="height from contour to contour on plans, 0 for none; by how much the "
        "ground falls when left out",
    )  # fmt: skip
