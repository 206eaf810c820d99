"""The spec: what a user writes, as validated and frozen values.

Every table has defaults, so that a spec with nothing but the points of one run builds. A run may
repeat the tables `posts`, `rails`, `pales`, `gates` and `footings` to differ from the top-level
ones. Defaults marked *common practice* are trade rules of thumb without a source.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from palewright.model.basis.lengths import (
    Length,
    NotNegative,
    Positive,
    Table,
)

from .as_built_keys import CutPiece, Measured
from .buying import Concrete, Fixings, Timber
from .demands import Rules, Soil, Splay, Strength, Wind
from .end_keys import AT_POST, EndSpec, RampSpec
from .firm_keys import Delivery, FirmFile, Offer
from .gate_keys import Gates, GateSpec
from .infill_keys import Capping, KickBoard, Pales, Rails, Slopes, TopLine
from .joinery_keys import Joinery
from .leg_keys import LegSpec
from .line_keys import PartOfRun, PointSpec, SurveySpec
from .panel_keys import Panels
from .paper_keys import Finishes, Project, Revision, Sheets
from .post_keys import Corners, Footings, Posts, Walls
from .site_keys import FeatureSpec, FixedPlace, Gap, NoPost
from .work_keys import Extra, Painting, PricesFile, Work


class Limits(Table):
    """What `check` measures against; all of them common practice, none a code."""

    bay: Positive = Field(3000.0, description="longest bay")
    leaf: Positive = Field(1500.0, description="widest single gate leaf")
    ground: NotNegative = Field(25.0, description="least clearance under pales and gates")
    open_foot: NotNegative = Field(
        200.0, description="largest clearance under pales, as at the low end of stepped bays"
    )
    rake: Annotated[float, Field(gt=0, le=10)] = Field(
        1 / 3, description="steepest rake, rise over run"
    )
    access: Positive | None = Field(
        None, description="least clear opening of gates, as an access route asks"
    )


class Run(Table):
    """One stretch of fence along a line in plan."""

    name: str = Field("", max_length=80)
    points: tuple[PointSpec, ...] = Field(
        (), max_length=2000, description="[east, north] or [east, north, level] of the line's "
        "corners",
    )  # fmt: skip
    line: str = Field(
        "", max_length=120, description="the line in the survey: a code, a layer, a handle or a "
        "name; instead of points",
    )  # fmt: skip
    leg: tuple[LegSpec, ...] = Field(
        (), max_length=2000, description="the line as it was walked; instead of points"
    )
    first_point: PointSpec | None = Field(
        None, description="where the first leg starts, [east, north] or [east, north, level]; of "
        "the first run [0, 0] when left out",
    )  # fmt: skip
    levels: tuple[tuple[NotNegative, Length], ...] = Field(
        (), max_length=5000, description="[chainage, level] of the ground along the line"
    )
    levels_front: tuple[tuple[NotNegative, Length], ...] = Field(
        (), max_length=5000, description="[chainage, level] of ground at the front that is not as "
        "high as along the line, as a path below it; it ends where they end",
    )  # fmt: skip
    levels_back: tuple[tuple[NotNegative, Length], ...] = Field(
        (), max_length=5000, description="[chainage, level] of ground at the back that is not as "
        "high as along the line, as a bed behind a retaining wall; it ends where they end",
    )  # fmt: skip
    starts: EndSpec = Field(AT_POST, description="an end post when left out")
    ends: EndSpec = Field(AT_POST, description="an end post when left out")
    ramp: tuple[RampSpec, ...] = Field((), max_length=2)
    closed: bool = Field(False, description="whether the last point joins the first")
    line_is: Literal[
        "middle of posts", "front of posts", "back of posts", "front of pales",
        "boundary in front", "boundary behind",
    ] = Field(
        "middle of posts", description="what the line marks; nothing of the fence, its concrete "
        "included, comes over a boundary",
    )  # fmt: skip
    inset: NotNegative = Field(0.0, description="kept free between a boundary and the fence")
    front: Literal["left", "right"] = Field(
        "right", description="side the pales are on, going along the points"
    )
    level: Length = Field(0.0, description="level of the ground where no other is given")
    beside: Literal["road", "other", "unknown"] = Field(
        "unknown", description="whether it is beside a road with vehicles, for height rules"
    )
    guards: tuple[Literal["drop", "children", "pool"], ...] = Field(
        (), description="what it keeps people from, for rules on gaps and heights"
    )
    keeps_in: tuple[Literal["dog", "hens"], ...] = Field(
        (), description="animals that it is to hold"
    )
    existing: str = Field(
        "", max_length=120, description="what stands on the line today, for planning drawings"
    )
    existing_height: NotNegative = Field(0.0, description="height of what stands there today")
    gate: tuple[GateSpec, ...] = Field((), max_length=200)
    part: tuple[PartOfRun, ...] = Field((), max_length=200)
    no_post: tuple[NoPost, ...] = Field((), max_length=200)
    fixed: tuple[FixedPlace, ...] = Field((), max_length=500)
    gap: tuple[Gap, ...] = Field((), max_length=200)
    posts: Posts | None = None
    rails: Rails | None = None
    pales: Pales | None = None
    panels: Panels | None = None
    gates: Gates | None = None
    footings: Footings | None = None
    slopes: Slopes | None = None
    top_line: TopLine | None = None
    corners: Corners | None = None
    walls: Walls | None = None
    capping: Capping | None = None
    kick_board: KickBoard | None = None


class SpecTables(Table):
    """A whole fence."""

    project: Project = Project()
    survey: SurveySpec | None = None
    run: tuple[Run, ...] = Field(min_length=1, max_length=200)
    feature: tuple[FeatureSpec, ...] = Field((), max_length=500)
    measured: tuple[Measured, ...] = Field((), max_length=5000)
    cut: tuple[CutPiece, ...] = Field((), max_length=500)
    posts: Posts = Posts()
    rails: Rails = Rails()
    pales: Pales = Pales()
    panels: Panels = Panels()
    gates: Gates = Gates()
    footings: Footings = Footings()
    slopes: Slopes = Slopes()
    top_line: TopLine = TopLine()
    corners: Corners = Corners()
    walls: Walls = Walls()
    capping: Capping | None = None
    kick_board: KickBoard | None = None
    joinery: Joinery = Joinery()
    finishes: Finishes = Finishes()
    limits: Limits = Limits()
    timber: Timber = Timber()
    concrete: Concrete = Concrete()
    fixings: Fixings = Fixings()
    painting: Painting = Painting()
    work: Work = Work()
    extra: tuple[Extra, ...] = Field((), max_length=200)
    prices: PricesFile | None = None
    firm: FirmFile | None = None
    offer: Offer = Offer()
    delivery: Delivery = Delivery()
    wind: Wind | None = None
    strength: Strength = Strength()
    soil: Soil = Soil()
    rules: Rules = Rules()
    splay: tuple[Splay, ...] = Field((), max_length=60)
    sheets: Sheets = Sheets()
    revision: tuple[Revision, ...] = Field((), max_length=60)


RUN_TABLES = (
    "posts", "rails", "pales", "panels", "gates", "footings", "slopes", "top_line", "corners",
    "walls", "capping", "kick_board",
)  # fmt: skip
"""Tables that a run may repeat to differ from the top-level ones."""
