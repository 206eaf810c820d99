"""The part of the spec that says how material is bought: stock lengths, concrete, fixings."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from palewright.model.basis.lengths import NotNegative, Positive, Section, Table

Count = Annotated[int, Field(ge=1, le=1_000_000)]
Share = Annotated[float, Field(ge=0.0, le=10.0)]
Density = Annotated[float, Field(gt=0.0, le=20_000.0)]
Lengths = Annotated[tuple[Positive, ...], Field(min_length=1, max_length=60)]


class SectionStock(Table):
    """What one section is sold in."""

    section: Section = Field(description="as its members have it, either way round")
    lengths: Lengths = Field(description="sold")
    pack: Count = Field(1, description="how many of a length are sold together")


class Offcut(Table):
    """Timber that is in the yard already; used before any is bought."""

    section: Section
    length: Positive
    count: Count = 1


class Timber(Table):
    """How timber is bought and sawn."""

    lengths: Lengths = Field(
        tuple(float(length) for length in range(1800, 4801, 300)),
        description="lengths sold, of every section that has none of its own",
    )
    section: tuple[SectionStock, ...] = Field((), max_length=60)
    offcut: tuple[Offcut, ...] = Field((), max_length=200)
    kerf: NotNegative = Field(3.0, description="width of a saw cut (common practice)")
    trim: NotNegative = Field(
        10.0,
        description="cut off each end of a length before use, its own saw cut included (common "
        "practice); a piece that leaves no room for it is taken with ends as sold, alone",
    )
    density: Annotated[float, Field(ge=300.0, le=1100.0)] = Field(
        600.0, description="kg/m3, treated and damp softwood (common practice)"
    )


class Concrete(Table):
    """How concrete is mixed and bought. Defaults are common practice unless they say otherwise."""

    supply: Literal["site mix", "bags", "delivered"] = Field(
        "site mix", description="mixed on site, from bags of dry ready-mix, or delivered wet"
    )
    mix: Annotated[tuple[Positive, ...], Field(min_length=2, max_length=3)] = Field(
        (1.0, 4.0),
        description="parts by volume: cement and ballast, or cement, sand and stone",
    )
    loose: Annotated[float, Field(ge=1.0, le=2.0)] = Field(
        1.25,
        description="loose volume of all parts over the volume of concrete; about 1.5 for "
        "separate sand and stone",
    )
    extra: Share = Field(0.1, description="more than the net volume, for ragged holes")
    cement_bag: Positive = Field(25.0, description="kg")
    bulk_bag: Positive = Field(850.0, description="kg of ballast, sand or stone in a bulk bag")
    ready_bag: Positive = Field(20.0, description="kg in a bag of dry ready-mixed concrete")
    ready_yield: Positive = Field(10.0, description="litres of concrete that such a bag makes")
    cement: Density = Field(1440.0, description="kg/m3 loose (estimating handbooks)")
    aggregate: Density = Field(1650.0, description="kg/m3 loose, of ballast, sand or stone")
    water: Share = Field(0.5, description="water over cement, by weight")
    bulking: Annotated[float, Field(ge=1.0, le=3.0)] = Field(
        1.25, description="loose volume of spoil over the volume of the holes"
    )


class Fixings(Table):
    """How pales and boards are fixed. Defaults are common practice."""

    pales: Literal["nails", "screws"] = "nails"
    crossing: Annotated[int, Field(ge=1, le=6)] = Field(
        2, description="nails or screws where a pale crosses a rail"
    )
    coating: Literal["galvanised", "stainless", "bright"] = "galvanised"
    extra: Share = Field(0.1, description="more nails and screws than counted")
    preservative: Positive = Field(
        0.8, description="litres for a square metre of cut ends, in two coats"
    )
