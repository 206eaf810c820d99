"""The part of the spec that says a line as it was walked: legs by length and turn."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import BeforeValidator, Field, PlainSerializer

from palewright.model.basis.directions import BEARINGS, TURNS, Turn, parse_bearing, parse_turn
from palewright.model.basis.lengths import (
    LONGEST_COORDINATE,
    PARSE,
    Length,
    Table,
    length_schema,
)

Taped = Annotated[
    float,
    Field(gt=0, le=LONGEST_COORDINATE, allow_inf_nan=False),
    PARSE,
    length_schema(exclusiveMinimum=0),
]
"""A measured length over 0, mm."""

Bearing = Annotated[float, BeforeValidator(parse_bearing, json_schema_input_type=float | str)]
"""Degrees clockwise from north."""


def _two(value: Any) -> Any:
    """Return one arm as both."""
    return value if isinstance(value, list | tuple) else (value, value)


TurnSaid = Annotated[
    Turn,
    BeforeValidator(parse_turn, json_schema_input_type=str),
    PlainSerializer(lambda turn: f"{turn.side} {turn.degrees}", return_type=str),
]


class LegSpec(Table):
    """One straight of a line as it was walked; corners are between legs."""

    length: Taped | None = Field(
        None, description="level length; only the last leg of a closed run may be without"
    )
    turn: TurnSaid | None = Field(
        None, description=f"of the line from the leg before to this one: {TURNS}; the side alone "
        "is a right angle, or what `across` says",
    )  # fmt: skip
    bearing: Bearing | None = Field(None, description=f"instead of a turn: {BEARINGS}")
    across: Taped | None = Field(
        None, description="measured across the corner, from where the leg before starts to where "
        "this one ends, or between the ends of `arms`; the turn follows",
    )  # fmt: skip
    arms: Annotated[tuple[Taped, Taped], BeforeValidator(_two)] | None = Field(
        None, description="how far from the corner `across` was measured, back along the leg "
        "before and on along this one, as 3 m and 4 m",
    )  # fmt: skip
    fall: Length | None = Field(
        None, description="how far the ground falls over the leg; it rises where this is negative"
    )
    fall_per_metre: Length | None = Field(None, description="instead, over each metre of the leg")
    fall_per_bay: Length | None = Field(
        None, description="instead, over each full bay (posts.bay) of the leg's length"
    )
    level: Length | None = Field(None, description="instead, of the ground at the leg's end")
