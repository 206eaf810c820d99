"""The part of the spec that says what a run starts and ends at."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field

from palewright.model.basis.lengths import NotNegative, Table


class EndAtPost(Table):
    """An end post of the run's own."""

    at: Literal["post"]


class EndAtWall(Table):
    """A wall, with a plate on it in place of a post."""

    at: Literal["wall"]


class EndAtRun(Table):
    """A post of another run, with a plate on its side in place of a post."""

    at: Literal["run"]
    run: str = Field(min_length=1, max_length=80, description="name or letter of the other run")
    chainage: NotNegative | None = Field(
        None, description="of that run, where the post stands; where this line comes to it when "
        "left out",
    )  # fmt: skip


def _end_named(value: Any) -> Any:
    """Return a table for an end given by its word alone."""
    return {"at": value} if isinstance(value, str) else value


EndSpec = Annotated[
    Annotated[EndAtPost | EndAtWall | EndAtRun, Field(discriminator="at")],
    BeforeValidator(
        _end_named,
        json_schema_input_type=Literal["post", "wall"] | EndAtPost | EndAtWall | EndAtRun,
    ),
]

AT_POST = EndAtPost(at="post")
