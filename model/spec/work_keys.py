"""The part of the spec that says what work takes, what is painted, and what else is charged."""

from __future__ import annotations

from typing import Annotated

from pydantic import AfterValidator, Field

from palewright.model.basis.lengths import Table

from .quantity import parsed

Hours_ = Annotated[float, Field(ge=0.0, le=10_000.0)]


class PricesFile(Table):
    """Where prices are."""

    file: str = Field(
        min_length=1, max_length=400, description="price file, CSV or TOML, from the spec's folder"
    )


class Work(Table):
    """Hours that each task takes, for one of what it is counted by; none where nobody gave any."""

    dig_hole: Hours_ | None = Field(None, description="hours for a hole")
    set_post: Hours_ | None = Field(None, description="hours for a post")
    fix_shoe: Hours_ | None = Field(None, description="hours for a post shoe bolted to a slab")
    place_concrete: Hours_ | None = Field(None, description="hours for a cubic metre")
    ram_gravel: Hours_ | None = Field(None, description="hours for a cubic metre, loose")
    clear_spoil: Hours_ | None = Field(None, description="hours for a cubic metre, loose")
    fix_rail: Hours_ | None = Field(None, description="hours for a rail")
    shape_head: Hours_ | None = Field(None, description="hours for a pale's head")
    fix_pale: Hours_ | None = Field(None, description="hours for a pale")
    make_panel: Hours_ | None = Field(
        None, description="hours to make a panel, its pales on; where it is left out and hours of "
        "rails or pales are given, panels are made by these",
    )  # fmt: skip
    hang_panel: Hours_ | None = Field(None, description="hours to hang a panel, for two together")
    make_leaf: Hours_ | None = Field(None, description="hours to make and hang a gate leaf")
    apply_finish: Hours_ | None = Field(None, description="hours for a square metre, each coat")


class Painting(Table):
    """How paint, stain or oil is bought for what [finishes] has in it."""

    coats: Annotated[int, Field(ge=1, le=10)] = Field(2, description="(common practice)")
    coverage: Annotated[float, Field(gt=0.0, le=100.0)] = Field(
        8.0, description="m2 that a litre covers once, sawn timber (common practice)"
    )


class Extra(Table):
    """A line of the order that is the user's own: clearing, carting away, delivery, hire."""

    item: str = Field(min_length=1, max_length=120)
    unit: str = Field("each", min_length=1, max_length=20)
    quantity: Annotated[str | Hours_, AfterValidator(parsed)] = Field(
        1.0,
        description="a number, or a formula of length, posts, holes, bays, rails, pales, gates, "
        'leaves, face, painted, concrete, spoil, weight, as in "ceil(spoil / 6)"',
    )
    hours: Hours_ | None = Field(None, description="that one takes, at the price of labour")
    note: str = Field("", max_length=200)
    merchant: bool = Field(False, description="whether it stands on the merchant's order sheet")
