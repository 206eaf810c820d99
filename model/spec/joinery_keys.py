"""How the joints of the timber are shown."""

from __future__ import annotations

from pydantic import Field

from palewright.model.basis.lengths import Table


class Joinery(Table):
    """Whether the joiner's work is shown."""

    cut: bool = Field(
        False, description="whether mortises, notches, bolt holes and counterbores are cut in the "
        "solids, drawn and listed; pieces with other holes then have marks of their own",
    )  # fmt: skip
