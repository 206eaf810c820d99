"""The part of the spec that says which bays are made flat in the workshop and hung whole."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from palewright.model.basis.lengths import NotNegative, Positive, Table


class Panels(Table):
    """Bays that are framed flat on a bench, carried by two and hung."""

    made: bool = Field(
        False, description="whether each bay is made in the workshop: rails as long as the panel, "
        "pales nailed on, hung whole",
    )  # fmt: skip
    hung: Literal["between posts", "on posts"] = Field(
        "between posts",
        description="on brackets between the posts, rails flush with the posts' front; or on the "
        "posts' face, each rail end bolted",
    )
    clearance: NotNegative = Field(
        5.0, description="from each end of a panel to its post; on the posts' face between the "
        "rails of neighbours",
    )  # fmt: skip
    fixings: Annotated[int, Field(ge=2, le=12)] | None = Field(
        None, description="brackets or bolts on each side of a panel; one at each rail when left "
        "out",
    )  # fmt: skip
    uprights: Positive | None = Field(
        None, description="width of an upright at each end, as thick as the rails, which end on "
        "it; none when left out. Of panels between posts",
    )  # fmt: skip
    carried: Annotated[float, Field(gt=0.0, le=500.0)] = Field(
        33.0, description="most that two people carry, kg (two thirds of twice 25 kg, as guidance "
        "on lifting by teams has it; from memory)",
    )  # fmt: skip
