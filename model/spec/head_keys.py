"""The part of the spec that says how the tops of pales are shaped."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BeforeValidator, Field

from palewright.model.basis.lengths import (
    NotNegative,
    Positive,
    Table,
    shape_named,
)


class SquareHead(Table):
    """Square-cut head."""

    shape: Literal["square"]


class ClippedHead(Table):
    """Head with both corners cut off."""

    shape: Literal["clipped"]
    across: Positive = Field(30.0, description="along the top, each side")
    down: Positive = Field(30.0, description="down the side")


class PointedHead(Table):
    """Head with two straight cuts meeting in the middle."""

    shape: Literal["pointed"]
    rise: Positive | None = Field(None, description="half the width when left out")
    tip: NotNegative = Field(0.0, description="width of a blunt tip")


class RoundHead(Table):
    """Half-round head."""

    shape: Literal["round"]


class SegmentalHead(Table):
    """Head with a flat arc."""

    shape: Literal["segmental"]
    rise: Positive | None = Field(None, description="a fifth of the width when left out")


class PointedArchHead(Table):
    """Head with two arcs meeting in a point."""

    shape: Literal["pointed-arch"]
    rise: Positive | None = Field(None, description="three quarters of the width when left out")


class OgeeHead(Table):
    """Head with two S-curves meeting in a point."""

    shape: Literal["ogee"]
    rise: Positive | None = Field(None, description="the width when left out")


class FreeHead(Table):
    """Head through given points."""

    shape: Literal["free"]
    points: tuple[tuple[NotNegative, NotNegative], ...] = Field(
        min_length=2,
        max_length=500,
        description="[across, up] from the left side (0) to the right side (the width)",
    )


HeadSpec = Annotated[
    Annotated[
        SquareHead
        | ClippedHead
        | PointedHead
        | RoundHead
        | SegmentalHead
        | PointedArchHead
        | OgeeHead
        | FreeHead,
        Field(discriminator="shape"),
    ],
    BeforeValidator(shape_named),
]
