"""What was measured when the posts stood, and what had been cut by then."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from palewright.model.basis.lengths import Length, Positive, Table


class Measured(Table):
    """A post as it stands, or a bay as it was taped."""

    post: str = Field(max_length=20, description="label of a post, as A03")
    along: Length | None = Field(
        None, description="how far beyond its planned place it stands, as chainage goes, at a "
        "corner along the leg before it; before its place where negative",
    )  # fmt: skip
    across: Length | None = Field(
        None,
        description="how far in front of its planned place it stands, behind where negative",
    )
    height: Positive | None = Field(None, description="of its top over the ground, without a cap")
    to: str = Field("", max_length=20, description="label of the next post, for a bay")
    clear: Positive | None = Field(None, description="taped between the faces of both posts")


class CutPiece(Table):
    """Pieces that were cut before the posts were measured."""

    part: Literal["pale", "rail", "gravel board", "gate ledge", "gate brace", "post"]
    length: Positive = Field(description="overall")
    count: Annotated[int, Field(ge=1, le=100_000)] = 1
