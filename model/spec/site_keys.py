"""What stands or lies on the site, and where posts may and must stand."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from palewright.model.basis.lengths import Coordinate, Length, NotNegative, Table


class NoPost(Table):
    """A part of a run in which no post stands, its hole neither."""

    start: NotNegative = Field(description="chainage")
    end: NotNegative = Field(description="chainage")
    why: str = Field("", max_length=80, description="what is there, for plans and messages")


class FixedPlace(Table):
    """A place in a run where a post has to stand, or stands already and is kept."""

    at: NotNegative = Field(description="chainage of its middle")
    kept: bool = Field(False, description="whether the post stands there now and is kept")
    name: str = Field("", max_length=80, description="what it is called")


class Gap(Table):
    """A break in a run: an opening without a gate, or a pier that the fence stops at."""

    start: NotNegative = Field(description="chainage of the face where the fence stops")
    end: NotNegative = Field(description="chainage of the face where it goes on")
    between: Literal["posts", "walls"] = Field(
        "posts", description="what the fence stops at: end posts of its own, or masonry as a pier"
    )
    name: str = Field("", max_length=80, description="what it is called")


class FeatureSpec(Table):
    """A thing on the site that plans show, and that posts keep clear of."""

    kind: Literal[
        "house", "wall", "kerb", "road", "path", "hedge", "tree", "manhole", "pipe", "cable",
        "boundary", "benchmark", "fence",
    ]  # fmt: skip
    name: str = Field("", max_length=80, description="what it is called, as in 'water main'")
    points: Annotated[tuple[tuple[Coordinate, Coordinate], ...], Field(max_length=500)] = Field(
        (), description="[east, north] of its line or of its middle"
    )
    survey: str = Field(
        "", max_length=60, description="code or layer of the survey's points and lines that are "
        "such things; instead of points",
    )  # fmt: skip
    closed: bool = Field(False, description="whether its line closes round an area")
    width: NotNegative = Field(
        0.0, description="across its line, or across what is round about its point"
    )
    clear: NotNegative | None = Field(
        None, description="from its edge to the nearest hole of a post; of a tree, its root area"
    )
    level: Length | None = Field(None, description="of a benchmark")
    height: NotNegative = Field(0.0, description="over the ground, for views")
    land: Literal["", "site", "other"] = Field(
        "", description="of a closed boundary: whether it is the edge of the site of a planning "
        "application (drawn red) or of other land of the applicant (blue)",
    )  # fmt: skip
    goes: bool = Field(False, description="whether it is taken down")
