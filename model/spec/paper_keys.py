"""The part of the spec that says what stands on paper, and how the timber looks."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from palewright.model.basis.lengths import (
    Table,
)


class Project(Table):
    """Who and where: printed on lists and drawings."""

    name: str = Field("Picket fence", max_length=200, description="name of the job")
    site: str = Field("", max_length=200, description="address or place")
    address: str = Field(
        "", max_length=200, description="postal address of the site, for planning sheets"
    )
    applicant: str = Field("", max_length=120, description="who applies, for planning sheets")
    datum: str = Field(
        "", max_length=120, description="what levels are heights over, as in 'Ordnance Datum "
        "Newlyn'; named on planning sheets",
    )  # fmt: skip
    client: str = Field("", max_length=200)
    reference: str = Field("", max_length=60, description="your job or drawing number")
    owner: str = Field(
        "", max_length=120, description="whose drawing it is: your firm; the name "
        "in the firm's file when left out",
    )  # fmt: skip
    author: str = Field("", max_length=60, description="who drew it")
    approver: str = Field("", max_length=60, description="who approved it")
    date: str = Field("", max_length=40, description="date to print; nothing when left out")
    finish: str = Field("", max_length=200, description="colour and treatment, in words")
    option: str = Field(
        "", max_length=60, description="what this is called among alternatives; the file's name "
        "when left out",
    )  # fmt: skip


class Revision(Table):
    """A line of the drawings' revision table."""

    index: str = Field(max_length=4)
    date: str = Field("", max_length=40, description="not before that of an earlier revision")
    text: str = Field(max_length=200, description="what was changed")


LEAVE_OUT = Literal[
    "plan", "elevations", "bay", "section", "corner", "gate", "head", "post-top", "rail",
    "step", "schedule", "notes", "key", "isometric", "assembly",
]  # fmt: skip


class Sheets(Table):
    """How drawings are made."""

    size: Literal[
        "A4", "A3", "A2", "A1", "ANSI A", "ANSI B", "ANSI C", "ANSI D", "ARCH A", "ARCH B",
        "ARCH C", "ARCH D",
    ] = "A3"  # fmt: skip
    units: Literal["mm", "ft-in"] = Field(
        "mm", description="figures; with ft-in the scales are architects' ones"
    )
    plan_scale: Annotated[float, Field(gt=0, le=100000)] | None = Field(
        None, description="n of 1:n; chosen to fit when left out"
    )
    elevation_scale: Annotated[float, Field(gt=0, le=100000)] | None = None
    decimals: Literal[0, 1] = Field(
        0, description="of millimetres where posts are set out and pieces are cut"
    )
    detail_scale: Annotated[float, Field(gt=0, le=100000)] | None = None
    leave_out: tuple[LEAVE_OUT, ...] = Field((), description="views that are not drawn")
    dxf: Literal["R2018", "R2010", "R12"] = "R2018"


FINISH = Literal[
    "plain", "treated", "treated brown", "weathered", "oiled", "brown stain", "dark stain",
    "white paint", "cream paint", "grey paint", "green paint", "blue paint", "black paint",
]  # fmt: skip


class Finishes(Table):
    """How timber looks in pictures and models; the words on drawings are in project.finish."""

    pales: FINISH = Field("plain", description="pales, those of gates too")
    rails: FINISH = Field("plain", description="rails, and ledges and braces of gates")
    posts: FINISH = Field("treated", description="posts, caps, wall plates and gravel boards")
    frames: FINISH | None = Field(
        None, description="ledges, stiles and braces of gates; as rails when left out"
    )
    caps: FINISH | None = Field(None, description="caps and finials; as posts when left out")
    boards: FINISH | None = Field(
        None, description="gravel and kick boards; as posts when left out"
    )
    capping: FINISH | None = Field(None, description="capping rails; as rails when left out")
