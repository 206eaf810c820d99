"""The part of the spec that says what stands between posts: rails, pales, gates, slopes."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from palewright.model.basis.lengths import (
    PARSE,
    NotNegative,
    Positive,
    Section,
    Table,
    length_schema,
)
from palewright.model.geometry.heads import HeadSpec, PointedHead


class Rails(Table):
    """Rails."""

    form: Literal["face", "arris", "between", "notched", "mortised"] = Field(
        "face",
        description="rectangular, bolted on the face of the posts; arris between the posts, in "
        "sleeves; rectangular between the posts, on brackets; rectangular, let into notches in "
        "the face of the posts and bolted; or rectangular, tenoned into mortises in the posts",
    )
    notch: Positive | None = Field(
        None, description="how deep rails are let into the posts' face; their thickness, so flush, "
        "when left out"
    )  # fmt: skip
    set_in: Literal["flush", "centred"] | None = Field(
        None,
        description="of rails between the posts: their front flush with the posts', or in the "
        "middle of the posts' depth, which puts the pales between the posts too; flush when left "
        "out, tenoned ones centred",
    )
    tenon: Section | None = Field(
        None, description="[height, thickness] of tenons, so of the mortises; the rails' whole end "
        "when left out"
    )  # fmt: skip
    tenon_length: Positive | None = Field(
        None, description="half of a line post's width when left out, its whole width where tenons "
        "pass each other"
    )  # fmt: skip
    tenons_meet: Literal["butt", "lap", "scarf"] = Field(
        "butt",
        description="how two tenons share the mortise of a post: end to end in its middle, beside "
        "each other at half their thickness, or cut slanting past each other",
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


class PaleTurn(Table):
    """One of several kinds of pales that stand by turns. What it leaves out is as for all pales."""

    width: Positive | None = None
    length: Positive | None = Field(None, description="overall, head included; feet stay level")
    head: HeadSpec | None = None


class Pales(Table):
    """Pales."""

    width: Positive = 100.0
    thickness: Positive = 20.0
    length: Positive = Field(900.0, description="overall, head included")
    gap: NotNegative = Field(
        60.0, description="wanted clear gap between pales; 0 for pales set close, which leave what "
        "whole pales do not fill"
    )  # fmt: skip
    gap_max: Positive | None = Field(
        None, description="largest gap allowed; when left out a third over the wanted gap, and "
        "10 mm for pales set close"
    )  # fmt: skip
    on: Literal["front", "back", "both", "board on board"] = Field(
        "front",
        description="of the rails: their front; their back, between the posts; both by turns (hit "
        "and miss), between the posts; or their front and, by turns, over the gaps of those. Gate "
        "leaves have pales on their front, set close where those of the fence lap",
    )
    overlap: Positive | None = Field(
        None, description="wanted lap of neighbours on both faces or board on board; 20 mm when "
        "left out"
    )  # fmt: skip
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
    ready_shaped: bool = Field(False, description="whether pales are bought with their heads made")
    turns: Annotated[tuple[PaleTurn, ...], Field(max_length=12)] = Field(
        (), description="kinds of pales by turns, as often as the row needs them: each its own "
        "width, length or head",
    )  # fmt: skip
    turns_from: Literal["ends", "middle", "left", "right"] = Field(
        "ends",
        description="where the first turn stands in each stretch (each bay where they are spaced "
        "by the bay, each gate leaf): at both ends, so at both sides of a corner or a gate, and on "
        "to the middle; in the middle and on to both ends; or at one end, seen from the front",
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
        "boards (on the posts' face, with arris rails between the posts)",
    )
    board: Section = Field((150.0, 22.0), description="[height, thickness] of a gravel board")
    board_clearance: NotNegative = Field(10.0, description="from the ground to gravel boards")
    group: NotNegative = Field(
        15.0,
        description="how much shorter a pale may be than its place allows, so that fewer "
        "different lengths are cut",
    )


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


class Capping(Table):
    """A board along the tops of the pales, its top sloped so that water runs off."""

    over: Literal["pales", "posts", "none"] = Field(
        "pales",
        description="lies on the pales alone, in front of the posts (between them, where the pales "
        "stand between them), or on pales and posts, which end under it; none where a run has none",
    )
    thickness: Positive = Field(32.0, description="where it is thickest")
    width: Positive | None = Field(
        None, description="from its front to its back edge; when left out to the posts' front, "
        "or as far behind what it lies on as in front of it",
    )  # fmt: skip
    overhang: NotNegative = Field(15.0, description="before the pales, and past the fence's ends")
    falls: Literal["both", "front", "back", "none"] = Field(
        "both", description="which way its top slopes: from its middle to both edges, or to one"
    )
    fall: NotNegative = Field(6.0, description="how much lower the top is at such an edge")
    groove: NotNegative = Field(
        0.0, description="width and depth of a drip groove under each overhang, 0 for none"
    )
    stock_length: Positive = Field(
        3600.0, description="longest to be had; pieces meet over posts, at corners in a mitre"
    )


class KickBoard(Table):
    """A board under the pales in every bay, parallel to the ground."""

    stands: Literal["face", "between", "none"] = Field(
        "face",
        description="on the front of the posts, or between them, flush with their front; none "
        "where a run has none",
    )
    section: Section = Field((150.0, 22.0), description="[height, thickness]")
    clearance: NotNegative | None = Field(
        None,
        description="from the ground to the board; 10, or 5 over sloped concrete, when left out",
    )
    gap: NotNegative = Field(
        10.0, description="from the board to the pales' feet, where pales.clearance is left out"
    )
    stock_length: Positive = Field(
        3600.0, description="longest to be had; pieces meet on posts, at corners in a mitre"
    )
