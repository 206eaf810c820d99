"""What a firm says of itself on its papers, and what a spec says of one offer and one delivery."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from palewright.model.basis.lengths import Table

Colour = Annotated[str, Field(pattern=r"^#[0-9A-Fa-f]{6}$")]
Words = Annotated[str, Field(min_length=1, max_length=300)]
Paragraph = Annotated[str, Field(max_length=1500)]
Percent = Annotated[float, Field(ge=0.0, le=100.0)]
Path_ = Annotated[str, Field(max_length=400)]
Days = Annotated[int, Field(ge=1, le=3650)]

INK, ACCENT = "#22302a", "#a4652b"
"""Colours of papers of a firm that gives none."""


class FirmFile(Table):
    """Where the firm's own file is."""

    file: str = Field(
        min_length=1, max_length=400, description="TOML file of the firm, from the spec's folder"
    )


class FirmKeys(Table):
    """A firm's file: who it is, how its papers look, and the terms that it gives. What is left out
    stands on no paper.
    """

    name: str = Field(min_length=1, max_length=120)
    address: str = Field("", max_length=300)
    telephone: str = Field("", max_length=60)
    email: str = Field("", max_length=120)
    website: str = Field("", max_length=120)
    registered: str = Field(
        "", max_length=200, description="what the law asks for on letters, as a register's number"
    )
    tax_number: str = Field("", max_length=60)
    tax_name: str = Field("tax", min_length=1, max_length=20, description="as in 'VAT'")
    logo: Path_ = Field(
        "", description="PNG, JPEG or SVG with shapes alone, from the folder of this file"
    )
    colour: Colour = Field(INK, description="of headings, as in '#22302a'")
    accent: Colour = Field(ACCENT, description="of rules and small headings")
    font: Path_ = Field("", description="TrueType font (.ttf), from the folder of this file")
    bold: Path_ = Field("", description="the same for headings")
    guarantee: Paragraph = Field("", description="in your own words")
    care: Paragraph = Field("", description="how the fence is looked after, in your own words")
    deposit: Percent | None = Field(
        None, description="per cent of the price with tax, due when the customer accepts"
    )
    payment: str = Field("", max_length=600, description="how the rest is paid")
    validity: Days | None = Field(None, description="days for which an offer holds")
    included: tuple[Words, ...] = Field((), max_length=20, description="in every price")
    not_included: tuple[Words, ...] = Field((), max_length=20, description="in no price")
    terms: tuple[Words, ...] = Field((), max_length=12, description="what else is agreed")


class Stage(Table):
    """A stage of the work, for the programme."""

    what: str = Field(min_length=1, max_length=120)
    days: Days = Field(description="working days that it takes")
    wait: Annotated[int, Field(ge=0, le=365)] = Field(
        0, description="days after it on which nothing is done, as for concrete to set"
    )


class Offer(Table):
    """What is said of this offer alone, on the quotation and the proposal."""

    number: str = Field("", max_length=60, description="of the quotation")
    date: str = Field("", max_length=40, description="of the quotation; project.date when left out")
    start: str = Field("", max_length=120, description="when work can begin, in words")
    stage: tuple[Stage, ...] = Field((), max_length=12)
    crew: Annotated[int, Field(ge=1, le=50)] | None = Field(
        None, description="how many work at it; with hours for every task, the days follow"
    )
    working_day: Annotated[float, Field(gt=0.0, le=24.0)] = Field(
        8.0, description="hours that one works in a day (common practice)"
    )
    included: tuple[Words, ...] = Field((), max_length=20, description="besides the firm's own")
    not_included: tuple[Words, ...] = Field((), max_length=20, description="besides the firm's own")


class Delivery(Table):
    """Where and when the merchant delivers, on the order sheet."""

    merchant: str = Field("", max_length=120)
    address: str = Field("", max_length=300)
    date: str = Field("", max_length=60, description="day to deliver on")
    contact: str = Field("", max_length=120, description="who is on site, with telephone")
    note: str = Field("", max_length=300, description="access, unloading, times")
