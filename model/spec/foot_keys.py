"""The part of the spec that says how posts stand: in holes, or on and in the ground otherwise."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BeforeValidator, Field

from palewright.model.basis.lengths import NotNegative, Positive, Section, Table, shape_named

BoltWord = Literal["M8", "M10", "M12"]


class HoleFoot(Table):
    """A post in a hole, as [footings] says."""

    shape: Literal["hole"]


class ShoeFoot(Table):
    """A post on a steel shoe that is bolted down on a slab or on paving that is there."""

    shape: Literal["shoe"]
    plate: Section | None = Field(
        None, description="of the base plate, [along the run, across it]; 60 and 160 mm more than "
        "the post when left out",
    )  # fmt: skip
    thickness: Positive = Field(8.0, description="of the base plate")
    gap: NotNegative = Field(20.0, description="from the base plate to the post's foot")
    cheeks: Literal["sides", "front and back"] = Field(
        "sides", description="which faces of the post the two cheeks stand on"
    )
    height: Positive = Field(200.0, description="of the cheeks over the base plate")
    metal: Positive = Field(6.0, description="thickness of the cheeks")
    bolt: BoltWord = Field("M10", description="two through both cheeks and the post")
    anchor: BoltWord = Field("M12", description="four through the base plate")
    hold: Positive = Field(100.0, description="how deep an anchor goes into the slab")
    inset: Positive = Field(30.0, description="from the plate's edges to the middle of an anchor")
    slab: Positive | None = Field(None, description="how thick the slab is, where that is known")
    edge: Positive | None = Field(
        None, description="from the middle of the posts to the slab's nearest edge, where there is "
        "one",
    )  # fmt: skip


FootSpec = Annotated[
    Annotated[HoleFoot | ShoeFoot, Field(discriminator="shape")], BeforeValidator(shape_named)
]
