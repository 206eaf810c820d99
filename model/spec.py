"""The spec: what a user writes, as validated and frozen values.

Every table has defaults, so that a spec with nothing but the points of one run builds. A run may
repeat the tables `posts`, `rails`, `pales`, `gates` and `footings` to differ from the top-level
ones. Defaults marked *common practice* are trade rules of thumb without a source.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field

from .spec_checks import Rules, Soil, Splay, Strength, Wind
from .spec_order import Concrete, Fixings, Timber
from .spec_values import PARSE, Length, NotNegative, Positive, Section, Table, length_schema


def _named(value: Any) -> Any:
    return {"shape": value} if isinstance(value, str) else value


class Project(Table):
    """Who and where: printed on lists and drawings."""

    name: str = Field("Picket fence", max_length=200, description="name of the job")
    site: str = Field("", max_length=200, description="address or place")
    client: str = Field("", max_length=200)
    reference: str = Field("", max_length=60, description="your job or drawing number")
    owner: str = Field("", max_length=120, description="whose drawing it is: your firm")
    author: str = Field("", max_length=60, description="who drew it")
    approver: str = Field("", max_length=60, description="who approved it")
    date: str = Field("", max_length=40, description="date to print; nothing when left out")
    finish: str = Field("", max_length=200, description="colour and treatment, in words")


class Revision(Table):
    """A line of the drawings' revision table."""

    index: str = Field(max_length=4)
    date: str = Field("", max_length=40)
    text: str = Field(max_length=200, description="what was changed")


LEAVE_OUT = Literal[
    "plan", "elevations", "bay", "section", "corner", "gate", "head", "post-top", "rail",
    "schedule", "notes",
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
    detail_scale: Annotated[float, Field(gt=0, le=100000)] | None = None
    leave_out: tuple[LEAVE_OUT, ...] = Field((), description="views that are not drawn")
    dxf: Literal["R2018", "R2010", "R12"] = "R2018"


class GateSpec(Table):
    """A gate in a run."""

    at: NotNegative = Field(description="chainage of the middle of the opening")
    opening: Positive = Field(1000.0, description="clear width between the gate posts")
    leaves: Literal[1, 2] = 1
    hinge: Literal["left", "right"] = Field(
        "left", description="hanging side of a single leaf, seen from the front"
    )
    swing: Literal["in", "out"] = Field(
        "in", description="'in' opens away from the front, 'out' towards it"
    )


class SquareHead(Table):
    """Square-cut head."""

    shape: Literal["square"]


class ClippedHead(Table):
    """Head with both corners cut off."""

    shape: Literal["clipped"]
    across: Positive = Field(30.0, description="along the top, each side")
    down: Positive = Field(30.0, description="down the side")


class PointedHead(Table):
    """Head with two straight cuts meeting in the middle."""

    shape: Literal["pointed"]
    rise: Positive | None = Field(None, description="half the width when left out")
    tip: NotNegative = Field(0.0, description="width of a blunt tip")


class RoundHead(Table):
    """Half-round head."""

    shape: Literal["round"]


class SegmentalHead(Table):
    """Head with a flat arc."""

    shape: Literal["segmental"]
    rise: Positive | None = Field(None, description="a fifth of the width when left out")


class PointedArchHead(Table):
    """Head with two arcs meeting in a point."""

    shape: Literal["pointed-arch"]
    rise: Positive | None = Field(None, description="three quarters of the width when left out")


class OgeeHead(Table):
    """Head with two S-curves meeting in a point."""

    shape: Literal["ogee"]
    rise: Positive | None = Field(None, description="the width when left out")


class FreeHead(Table):
    """Head through given points."""

    shape: Literal["free"]
    points: tuple[tuple[NotNegative, NotNegative], ...] = Field(
        min_length=2,
        max_length=500,
        description="[across, up] from the left side (0) to the right side (the width)",
    )


HeadSpec = Annotated[
    Annotated[
        SquareHead
        | ClippedHead
        | PointedHead
        | RoundHead
        | SegmentalHead
        | PointedArchHead
        | OgeeHead
        | FreeHead,
        Field(discriminator="shape"),
    ],
    BeforeValidator(_named),
]


class FlatTopSpec(Table):
    """Post top sawn square."""

    shape: Literal["flat"]


class WeatheredTopSpec(Table):
    """Post top sloping to the back."""

    shape: Literal["weathered"]
    fall: Positive = Field(25.0, description="from front to back")


class PyramidTopSpec(Table):
    """Four-way post top."""

    shape: Literal["pyramid"]
    rise: Positive = 30.0


class CapTopSpec(Table):
    """Flat post top under a cap."""

    shape: Literal["cap"]
    overhang: NotNegative = Field(15.0, description="beyond the post, all round")
    thickness: Positive = Field(20.0, description="of the cap at its edge")
    rise: NotNegative = Field(25.0, description="of the cap's four-way top over its edge")


TopSpec = Annotated[
    Annotated[
        FlatTopSpec | WeatheredTopSpec | PyramidTopSpec | CapTopSpec,
        Field(discriminator="shape"),
    ],
    BeforeValidator(_named),
]


class PostKind(Table):
    """How the posts of one kind differ from the line posts."""

    section: Section | None = Field(None, description="[along the run, across it]")
    embedment: Positive | None = Field(None, description="depth of the post below ground")
    above_rail: NotNegative | None = Field(None, description="post top over the top rail")
    top: TopSpec | None = None


class Posts(Table):
    """Posts and bays."""

    section: Section = Field((100.0, 100.0), description="[along the run, across it]")
    embedment: Positive = Field(600.0, description="depth of the post below ground")
    above_rail: NotNegative = Field(100.0, description="post top over the top rail")
    top: TopSpec = Field(default_factory=lambda: WeatheredTopSpec(shape="weathered"))
    layout: Literal["equal", "standard"] = Field(
        "equal",
        description="equal bays between fixed posts, or full bays and one make-up bay",
    )
    bay: Positive = Field(1800.0, ge=50.0, description="largest bay, centre to centre")
    curve_offset: Positive | None = Field(
        None,
        ge=1.0,
        description="largest distance between a curved line and its chords; bays on curves are "
        "made shorter to keep it",
    )
    end: PostKind = PostKind()
    corner: PostKind = PostKind()
    gate: PostKind = Field(
        PostKind(), description="25 mm thicker and 100 mm deeper when left out (common practice)"
    )


class Rails(Table):
    """Rails."""

    form: Literal["face", "arris"] = Field(
        "face", description="rectangular on the face of the posts, or arris between the posts"
    )
    section: Section = Field((75.0, 38.0), description="[height, thickness]")
    count: Annotated[int, Field(ge=1, le=12)] | None = Field(
        None, description="2 up to a height of 1.2 m and 3 above, when left out (common practice)"
    )
    tops: Annotated[tuple[Positive, ...], Field(min_length=1, max_length=12)] | None = Field(
        None, description="height of each rail's top edge over the ground, lowest first"
    )
    stock_length: Positive = Field(3600.0, description="longest rail to be had")
    joints: Literal["fewest", "least timber"] = Field(
        "fewest",
        description="rails as long as can be had, or jointed so that least has to be bought; "
        "always on posts and staggered row by row",
    )
    corners: Literal["mitre", "butt"] = "mitre"
    bolt: Literal["M8", "M10", "M12"] = "M10"


class Pales(Table):
    """Pales."""

    width: Positive = 100.0
    thickness: Positive = 20.0
    length: Positive = Field(900.0, description="overall, head included")
    gap: Positive = Field(60.0, description="wanted clear gap between pales")
    gap_max: Positive | None = Field(
        None, description="largest gap allowed; a third over the wanted gap when left out"
    )
    ends: Literal["pale", "gap", "half-gap"] = Field(
        "pale",
        description="how a stretch starts and ends: with a pale flush to the post's outer edge, "
        "with a gap, or in the middle of a gap",
    )
    spaced: Literal["stretch", "bay"] = Field(
        "stretch",
        description="equal gaps from fixed post to fixed post, or bay by bay with a gap at the "
        "middle of each line post",
    )
    clearance: Annotated[
        float, Field(ge=-1e4, le=1e4, allow_inf_nan=False), PARSE, length_schema()
    ] = Field(50.0, description="from the ground to the foot of the pales")
    head: HeadSpec = Field(default_factory=lambda: PointedHead(shape="pointed"))


class Gates(Table):
    """How gates are made."""

    ledge: Section | None = Field(
        None, description="[height, thickness]; as the rails (95 x 28 with arris rails)"
    )
    brace: Positive = Field(75.0, description="width of the diagonal brace")
    hinge_clearance: Positive = Field(12.0, description="leaf to hanging post")
    latch_clearance: Positive = Field(10.0, description="leaf to shutting post, or between leaves")
    ground_clearance: Positive = Field(60.0, description="ground to the foot of the leaf")


class Footings(Table):
    """Holes and concrete."""

    hole: Literal["round", "square"] = "square"
    size: Positive | Section = Field(
        300.0, description="diameter, or side, or [along the run, across it]"
    )
    bed: NotNegative = Field(50.0, description="concrete under the post")
    weathering: NotNegative = Field(
        25.0, description="height of the concrete at the post, sloping down to the hole's edge"
    )


class Slopes(Table):
    """How the fence follows sloping ground. On level ground all ways come out the same."""

    follow: Literal["rake", "step", "level"] = Field(
        "rake",
        description="rails parallel to the ground from post to post, level bays with steps at "
        "the posts, or one level top line with pales that grow with the fall",
    )
    fill: Literal["none", "pales", "board"] = Field(
        "none",
        description="what closes the wedge under stepped bays: nothing, longer pales, or gravel "
        "boards",
    )
    board: Section = Field((150.0, 22.0), description="[height, thickness] of a gravel board")
    board_clearance: NotNegative = Field(10.0, description="from the ground to gravel boards")
    group: NotNegative = Field(
        15.0,
        description="how much shorter a pale may be than its place allows, so that fewer "
        "different lengths are cut",
    )


class PartOfRun(Table):
    """A part of a run that follows the ground in its own way: bays with their middle in it."""

    start: NotNegative = Field(description="chainage")
    end: NotNegative = Field(description="chainage")
    follow: Literal["rake", "step", "level"] | None = None
    fill: Literal["none", "pales", "board"] | None = None


class TopLine(Table):
    """The line of the pales' tops between posts, over the line of a plain fence."""

    shape: Literal["straight", "dip", "arch", "wave"] = Field(
        "straight",
        description="pales shorter in the middle (dip), longer in the middle (arch), or shorter "
        "in troughs along the run (wave)",
    )
    rise: Positive = Field(100.0, description="height of the curve, from its ends to its middle")
    curve: Literal["circle", "catenary"] = Field("circle", description="of a dip or an arch")
    over: Literal["bay", "stretch"] = Field(
        "bay", description="what a dip or an arch spans: post to post, or fixed post to fixed post"
    )
    length: Positive = Field(
        1800.0, description="wanted length of a wave; whole waves fill each stretch"
    )
    heads: Literal["pale", "curve"] = Field(
        "pale", description="heads set square to the pale, or the pales' tops cut along the curve"
    )


class Corners(Table):
    """How a fence turns a corner."""

    posts: Literal["one", "pair"] = Field(
        "one", description="a post in the corner, or a post on either side of it"
    )
    setback: Positive | None = Field(
        None, description="with a pair: from the corner to the middle of each post; just clear of "
        "each other when left out",
    )  # fmt: skip
    pales: Literal["meet", "mitre"] = Field(
        "meet", description="the last pales of both legs meet edge to edge, or are mitred"
    )


class Walls(Table):
    """The timber plate that takes the place of a post where a run starts or ends at a wall."""

    section: Section = Field((50.0, 100.0), description="[off the wall, across the run]")
    anchor: Literal["M8", "M10", "M12"] = "M10"
    hold: Positive = Field(90.0, description="how deep an anchor goes into the wall")
    spacing: Positive = Field(450.0, description="largest distance from anchor to anchor")
    gap: NotNegative = Field(5.0, description="from the wall to rails and pales")


FINISH = Literal[
    "plain", "treated", "weathered", "oiled", "brown stain", "dark stain", "white paint",
    "cream paint", "grey paint", "green paint", "blue paint", "black paint",
]  # fmt: skip


class Finishes(Table):
    """How timber looks in pictures and models; the words on drawings are in project.finish."""

    pales: FINISH = Field("plain", description="pales, those of gates too")
    rails: FINISH = Field("plain", description="rails, and ledges and braces of gates")
    posts: FINISH = Field("treated", description="posts, caps, wall plates and gravel boards")


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


class LinePoint(Table):
    """A corner or an end of a run's line."""

    at: tuple[Length, Length] = Field(description="[east, north]")
    level: Length | None = Field(None, description="of the ground there")
    through: tuple[Length, Length] | None = Field(
        None, description="a point on the arc that leads here; straight when left out"
    )


def _line_point(value: Any) -> Any:
    if not isinstance(value, (list, tuple)):
        return value
    if len(value) not in (2, 3):
        raise ValueError("a point is [east, north] or [east, north, level]")
    return {"at": value[:2], **({"level": value[2]} if len(value) == 3 else {})}


PointSpec = Annotated[
    LinePoint,
    BeforeValidator(
        _line_point,
        json_schema_input_type=tuple[Length, Length] | tuple[Length, Length, Length] | LinePoint,
    ),
]


class SurveySpec(Table):
    """The site as measured: a file of points and lines."""

    file: str = Field(max_length=1000, description="CSV, DXF or GeoJSON, beside the spec")
    units: Literal["mm", "cm", "m", "in", "ft"] | None = Field(
        None, description="of a file that does not say; CSV is in metres when left out"
    )
    crs: str = Field(
        "", max_length=60, description="grid of the coordinates, as EPSG:27700; GeoJSON in "
        "degrees is put on it, and on a local plane when left out",
    )  # fmt: skip
    tolerance: Positive = Field(5.0, description="how closely splines are followed by chords")
    straight: NotNegative = Field(
        20.0,
        description="points of a line no farther than this from the straight between its corners "
        "give levels alone, and no corner",
    )
    ground: tuple[Annotated[str, Field(max_length=60)], ...] = Field(
        (), max_length=100, description="codes or layers of spot levels; all points with a level "
        "near the line when left out",
    )  # fmt: skip
    within: Positive = Field(
        1500.0, description="how far from the line a spot level may lie and still count"
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
    levels: tuple[tuple[NotNegative, Length], ...] = Field(
        (), max_length=5000, description="[chainage, level] of the ground along the line"
    )
    starts: Literal["post", "wall"] = "post"
    ends: Literal["post", "wall"] = "post"
    closed: bool = Field(False, description="whether the last point joins the first")
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
    existing: str = Field(
        "", max_length=120, description="what stands on the line today, for planning drawings"
    )
    existing_height: NotNegative = Field(0.0, description="height of what stands there today")
    gate: tuple[GateSpec, ...] = Field((), max_length=200)
    part: tuple[PartOfRun, ...] = Field((), max_length=200)
    posts: Posts | None = None
    rails: Rails | None = None
    pales: Pales | None = None
    gates: Gates | None = None
    footings: Footings | None = None
    slopes: Slopes | None = None
    top_line: TopLine | None = None
    corners: Corners | None = None
    walls: Walls | None = None


class Spec(Table):
    """A whole fence."""

    project: Project = Project()
    survey: SurveySpec | None = None
    run: tuple[Run, ...] = Field(min_length=1, max_length=200)
    posts: Posts = Posts()
    rails: Rails = Rails()
    pales: Pales = Pales()
    gates: Gates = Gates()
    footings: Footings = Footings()
    slopes: Slopes = Slopes()
    top_line: TopLine = TopLine()
    corners: Corners = Corners()
    walls: Walls = Walls()
    finishes: Finishes = Finishes()
    limits: Limits = Limits()
    timber: Timber = Timber()
    concrete: Concrete = Concrete()
    fixings: Fixings = Fixings()
    wind: Wind | None = None
    strength: Strength = Strength()
    soil: Soil = Soil()
    rules: Rules = Rules()
    splay: tuple[Splay, ...] = Field((), max_length=60)
    sheets: Sheets = Sheets()
    revision: tuple[Revision, ...] = Field((), max_length=60)


RUN_TABLES = (
    "posts", "rails", "pales", "gates", "footings", "slopes", "top_line", "corners", "walls",
)  # fmt: skip
"""Tables that a run may repeat to differ from the top-level ones."""
