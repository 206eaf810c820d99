"""The part of the spec that says how posts are: sections, tops, holes, walls, corners."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BeforeValidator, Field

from palewright.model.basis.lengths import (
    NotNegative,
    Positive,
    Section,
    Table,
    shape_named,
)
from palewright.model.geometry.finials import FinialSpec
from palewright.model.geometry.metal_caps import MetalCap
from palewright.model.geometry.shapes import Cap
from palewright.model.geometry.top_cuts import (
    ChamferedTop,
    FlatTop,
    PostTop,
    PyramidTop,
    RoundTop,
    WeatheredTop,
)

from .foot_keys import FootSpec, HoleFoot


class FlatTopSpec(Table):
    """Post top sawn square."""

    shape: Literal["flat"]

    def cut(self) -> PostTop:
        """Return the cut of the post."""
        return FlatTop()


class WeatheredTopSpec(Table):
    """Post top sloping to the back."""

    shape: Literal["weathered"]
    fall: Positive = Field(25.0, description="from front to back")

    def cut(self) -> PostTop:
        """Return the cut of the post."""
        return WeatheredTop(self.fall)


class PyramidTopSpec(Table):
    """Four-way post top."""

    shape: Literal["pyramid"]
    rise: Positive = 30.0

    def cut(self) -> PostTop:
        """Return the cut of the post."""
        return PyramidTop(self.rise)


class ChamferedTopSpec(Table):
    """Flat post top with its four edges taken off at 45 degrees."""

    shape: Literal["chamfered"]
    size: Positive = Field(15.0, description="of the chamfers, up and across")

    def cut(self) -> PostTop:
        """Return the cut of the post."""
        return ChamferedTop(self.size)


class RoundTopSpec(Table):
    """Post top rounded from arris to arris, as it is seen from the front."""

    shape: Literal["round"]
    rise: Positive = Field(25.0, description="over the arrises, at most half the post's width")

    def cut(self) -> PostTop:
        """Return the cut of the post."""
        return RoundTop(self.rise)


class CapTopSpec(Table):
    """Flat post top under a cap."""

    shape: Literal["cap"]
    overhang: NotNegative = Field(15.0, description="beyond the post, all round")
    thickness: Positive = Field(20.0, description="of the cap at its edge")
    rise: NotNegative = Field(25.0, description="of the cap's four-way top over its edge")

    def cut(self) -> PostTop:
        """Return the cut of the post."""
        return FlatTop()

    def cap(self, width: float, depth: float) -> Cap:
        """Return the cap on a post of a section, mm."""
        over = 2.0 * self.overhang
        return Cap(width + over, depth + over, self.thickness, self.rise)


class MetalCapTopSpec(Table):
    """Flat post top under a bought cap of sheet metal, whose sides come down the post."""

    shape: Literal["metal-cap"]
    skirt: Positive = Field(25.0, description="how far its sides come down the post")
    rise: NotNegative = Field(12.0, description="of its four-way top over the post")
    metal: Positive = Field(1.0, description="thickness of the sheet")

    def cut(self) -> PostTop:
        """Return the cut of the post."""
        return FlatTop()

    def cap(self, width: float, depth: float) -> MetalCap:
        """Return the cap on a post of a section, mm."""
        over = 2.0 * (METAL_CAP_ROOM + self.metal)
        return MetalCap(width + over, depth + over, self.skirt, self.rise, self.metal)


METAL_CAP_ROOM = 1.0
"""Between a metal cap and each side of its post, mm (common practice, no source)."""

TopSpec = Annotated[
    Annotated[
        FlatTopSpec
        | WeatheredTopSpec
        | PyramidTopSpec
        | ChamferedTopSpec
        | RoundTopSpec
        | CapTopSpec
        | MetalCapTopSpec,
        Field(discriminator="shape"),
    ],
    BeforeValidator(shape_named),
]


class BevelSpec(Table):
    """Stop chamfers on the four long edges of posts, above the ground and clear of the rails."""

    size: NotNegative = Field(12.0, description="along each face; 0 for none")
    from_ground: NotNegative = Field(150.0, description="from the ground to where they begin")
    from_top: NotNegative = Field(
        75.0, description="from where they end to the lowest part of the post's top"
    )
    stop: NotNegative = Field(20.0, description="length over which they run out at each end")


class PostKind(Table):
    """How the posts of one kind differ from the line posts."""

    section: Section | None = Field(None, description="[along the run, across it]")
    embedment: Positive | None = Field(None, description="depth of the post below ground")
    hole: Positive | Section | None = Field(
        None, description="diameter or side of its hole, or [along the run, across it]; as "
        "footings.size when left out",
    )  # fmt: skip
    above_rail: NotNegative | None = Field(None, description="post top over the top rail")
    top: TopSpec | None = None
    finial: FinialSpec | None = None
    foot: FootSpec | None = None
    bevel: BevelSpec | None = None
    material: Literal["timber", "concrete"] | None = None


class Posts(Table):
    """Posts and bays."""

    section: Section = Field((100.0, 100.0), description="[along the run, across it]")
    embedment: Positive = Field(600.0, description="depth of the post below ground")
    above_rail: NotNegative = Field(100.0, description="post top over the top rail")
    top: TopSpec = Field(default_factory=lambda: WeatheredTopSpec(shape="weathered"))
    finial: FinialSpec | None = Field(None, description="turned piece on a flat top or on a cap")
    foot: FootSpec = Field(
        default_factory=lambda: HoleFoot(shape="hole"), description="how posts stand"
    )
    material: Literal["timber", "concrete"] = Field(
        "timber", description="concrete posts are bought cast; rails are bolted to their faces"
    )
    bevel: BevelSpec | None = Field(
        None, description="stop chamfers on the long edges; not on gate posts, for their fittings"
    )
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


class Footings(Table):
    """Holes and concrete."""

    hole: Literal["round", "square"] = "square"
    size: Positive | Section = Field(
        300.0, description="diameter, or side, or [along the run, across it]"
    )
    fill: Literal["concrete", "gravel"] = Field(
        "concrete", description="what the holes are filled with; gravel is rammed in layers"
    )
    bed: NotNegative = Field(50.0, description="concrete or gravel under the post")
    weathering: NotNegative | None = Field(
        None,
        description="height of the concrete at the post, sloping down to the hole's edge; 25 when "
        "left out, none of gravel",
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
    radius: Positive | None = Field(
        None, ge=300.0, description="of an arc in place of each corner between straight parts, in "
        "short bays that bend by 25 degrees or less (posts.curve_offset); chainages go along it",
    )  # fmt: skip


class Walls(Table):
    """The timber plate that takes the place of a post where a run starts or ends at a wall."""

    section: Section = Field((50.0, 100.0), description="[off the wall, across the run]")
    anchor: Literal["M8", "M10", "M12"] = "M10"
    hold: Positive = Field(90.0, description="how deep an anchor goes into the wall")
    spacing: Positive = Field(450.0, description="largest distance from anchor to anchor")
    gap: NotNegative = Field(5.0, description="from the wall to rails and pales")
