"""The part of the spec that says what a run starts and ends at."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field

from palewright.model.basis.lengths import NotNegative, Positive, Section, Table


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


class RampSpec(Table):
    """A bay at an end of a run whose top goes down straight to a lower fence beside it."""

    at: Literal["start", "end"] = Field(description="of the line, in its last bay there")
    height: Positive = Field(description="of the pales' tops over the base of the bay, at its end")


class EndAtPier(Table):
    """A brick or stone pier in the line's way, with a plate on its face as on a wall."""

    at: Literal["pier"]
    size: Section = Field(description="[along the run, across it]")
    height: Positive | None = Field(None, description="over the ground; checked where it is given")


class EndAtHedge(Table):
    """A hedge: the line ends at its face, and an end post stands off it."""

    at: Literal["hedge"]
    gap: Positive = Field(
        300.0, ge=50.0, description="from the hedge to the post, to grow and be cut (common "
        "practice, no source)",
    )  # fmt: skip


def _end_named(value: Any) -> Any:
    """Return a table for an end given by its word alone."""
    return {"at": value} if isinstance(value, str) else value


EndSpec = Annotated[
    Annotated[EndAtPost | EndAtWall | EndAtRun | EndAtPier | EndAtHedge, Field(discriminator="at")],
    BeforeValidator(
        _end_named,
        json_schema_input_type=Literal["post", "wall", "hedge"]
        | EndAtPost
        | EndAtWall
        | EndAtRun
        | EndAtPier
        | EndAtHedge,
    ),
]

AT_POST = EndAtPost(at="post")
