"""The part of the spec that says what a fence is checked for: wind, ground, rules, sight lines."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from palewright.model.basis.lengths import Coordinate, NotNegative, Positive, Table

Factor = Annotated[float, Field(gt=0.0, le=10.0)]
Grade = Literal["C16", "C18", "C24"]


class Wind(Table):
    """Wind to check against, after EN 1991-1-4. Without this table no wind is checked."""

    velocity: Annotated[float, Field(gt=0.0, le=100.0)] = Field(
        description="basic wind velocity of the site, m/s: ten minutes' mean at 10 m in open "
        "country, from the national annex, direction and season in it"
    )
    terrain: Literal["0", "I", "II", "III", "IV"] = Field(
        "II",
        description="0 sea, I flat without obstacles, II low vegetation, III suburb or wood, IV "
        "town",
    )
    orography: Factor = Field(1.0, description="orography factor co, over 1 on hills and ridges")
    density: Factor = Field(1.25, description="of air, kg/m3")
    shelter: Annotated[float, Field(ge=0.3, le=1.0)] = Field(
        1.0, description="shelter factor, under 1 behind an equal or taller wall or fence upwind"
    )
    force: Annotated[float, Field(ge=0.5, le=2.5)] | None = Field(
        None,
        description="force coefficient on the members' own area, read from EN 1991-1-4, 7.11; "
        "without it 1.2 on the whole area, as of a fence a fifth open: at least 1.6 on the "
        "members up to a solidity of 0.75",
    )
    duration: Literal["short-term", "instantaneous"] = Field(
        "short-term", description="of wind load, as the national annex to EN 1995-1-1 has it"
    )
    wind_factor: Factor = Field(1.5, description="partial factor of wind")
    weight_factor: Factor = Field(1.35, description="partial factor of weight")


class Strength(Table):
    """Strength of the timber, after EN 338 and EN 1995-1-1."""

    posts: Grade = "C16"
    rails: Grade = "C16"
    pales: Grade = "C16"
    factor: Factor = Field(1.3, description="partial factor of solid timber")
    leaf_load: Annotated[float, Field(ge=0.0, le=5000.0)] = Field(
        1000.0,
        description="weight of a person at the end of a gate leaf, N, on the gate's posts (common "
        "practice, no source); 0 leaves it out",
    )
    sway: Annotated[float, Field(gt=0.0, le=1.0)] = Field(
        0.04, description="largest sway of a post's top over its height (common practice)"
    )


class Soil(Table):
    """The ground that posts stand in."""

    kind: Literal["bedrock", "soft rock", "gravel", "sand", "clay"] = Field(
        "clay", description="sets the lateral bearing; the weakest when left out"
    )
    lateral: Annotated[float, Field(gt=0.0, le=1000.0)] | None = Field(
        None, description="lateral bearing in place of the kind's, kPa for each metre of depth"
    )
    doubled: bool | None = Field(
        None,
        description="whether half an inch of movement at the ground does no harm, so that the "
        "lateral bearing may be doubled (IBC 1806.3.4); without it: not at gate posts",
    )
    cohesion: Annotated[float, Field(gt=0.0, le=1000.0)] | None = Field(
        None, description="undrained shear strength of clay, kPa, for a second method"
    )
    friction: Annotated[float, Field(ge=20.0, le=45.0)] | None = Field(
        None, description="angle of friction of sand or gravel, degrees, for a second method"
    )
    weight: Annotated[float, Field(ge=8.0, le=25.0)] = Field(
        18.0, description="unit weight of sand or gravel for that method, kN/m3"
    )
    safety: Factor = Field(2.0, description="safety factor of those methods (common practice)")
    frost: NotNegative | None = Field(None, description="depth that frost reaches")


class Rules(Table):
    """Which rule sets are checked."""

    sets: tuple[Annotated[str, Field(max_length=60)], ...] = Field(
        ("planning-england", "guarding-england"),
        max_length=20,
        description="those of England when left out; none where sheets.units is ft-in",
    )
    files: tuple[Annotated[str, Field(max_length=1000)], ...] = Field(
        (), max_length=20, description="rule files of your own, beside the spec"
    )


class Splay(Table):
    """Ground that drivers or walkers have to see over, as beside a drive."""

    points: Annotated[
        tuple[tuple[Coordinate, Coordinate], ...], Field(min_length=3, max_length=20)
    ] = Field(description="[east, north] of its corners")
    height: Positive = Field(
        600.0, description="of what may stand in it, over the ground (county guidance)"
    )
