"""What values of a spec are made of: lengths in any unit, and tables without unknown keys."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, WithJsonSchema

from .length_words import length_advice, unit_missing
from .units import ALLOWED, is_bare_number, parse_length

LONGEST_COORDINATE = 1e9
"""Largest length and largest level, mm: a thousand kilometres."""


def _length(value: Any) -> Any:
    if isinstance(value, bool) or not isinstance(value, (int, float, str)):
        raise ValueError(f"a length is {ALLOWED}")
    if isinstance(value, str):
        try:
            length = parse_length(value)
        except ValueError:
            raise ValueError(length_advice(value)) from None
        if length and is_bare_number(value):
            raise ValueError(unit_missing(value))
        return length
    return float(value)


def length_schema(**bounds: float) -> WithJsonSchema:
    """Return what the JSON Schema says of a length: a number, or text with a unit."""
    text = {"type": "string", "examples": ["1.8 m", "450 mm", "4 in", "5 ft 6 in"]}
    return WithJsonSchema({"anyOf": [{"type": "number", **bounds}, text]})


PARSE = BeforeValidator(_length)
FARTHEST = 2e10
"""Largest coordinate on a grid, mm: half way round the earth."""

Coordinate = Annotated[
    float, Field(ge=-FARTHEST, le=FARTHEST, allow_inf_nan=False), PARSE, length_schema()
]
"""Where a point is on its grid, mm."""

Length = Annotated[
    float,
    Field(ge=-LONGEST_COORDINATE, le=LONGEST_COORDINATE, allow_inf_nan=False),
    PARSE,
    length_schema(),
]
"""Any length or coordinate, mm."""
LARGEST = 1e6
"""Largest size of a part, mm."""

Positive = Annotated[
    float, Field(gt=0, le=LARGEST, allow_inf_nan=False), PARSE, length_schema(exclusiveMinimum=0)
]
"""A length over 0, mm."""
NotNegative = Annotated[
    float, Field(ge=0, le=LARGEST, allow_inf_nan=False), PARSE, length_schema(minimum=0)
]
"""A length of 0 or more, mm."""

Section = tuple[Positive, Positive]


class Table(BaseModel):
    """A table of the spec: frozen, and no key but the named ones."""

    model_config = ConfigDict(extra="forbid", frozen=True)


def shape_named(value: Any) -> Any:
    """Return a table for a shape given by its name alone."""
    return {"shape": value} if isinstance(value, str) else value
