"""The part of the spec that says how gates are: where they are, and how their leaves are made.

What `[gates]` says holds for all gates of a run; a gate may say otherwise for itself.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BeforeValidator, Field

from palewright.model.basis.lengths import NotNegative, Positive, Section, Table, shape_named
from palewright.model.geometry.heads import HeadSpec

from .post_keys import PostKind


class LeafTop(Table):
    """The line of the tops of a gate's pales."""

    shape: Literal["straight", "dip", "arch"] = Field(
        description="all pales alike, shorter towards the middle (dip) or longer (arch)",
    )
    rise: Positive = Field(100.0, description="height of the curve, from its ends to its middle")
    curve: Literal["circle", "catenary"] = "circle"
    over: Literal["gate", "leaf"] = Field(
        "gate", description="what a dip or an arch spans: the whole opening, or each leaf"
    )


TopOfLeaf = Annotated[LeafTop, BeforeValidator(shape_named)]


class LeafKeys(Table):
    """What may be said of the leaves of all gates, and of one gate's."""

    height: Positive | None = Field(
        None,
        description="of the tops of the leaf's pales over the ground, at the ends of a dip or an "
        "arch; as the fence's when left out",
    )
    head: HeadSpec | None = Field(
        None, description="of the leaf's pales; as the fence's when left out"
    )
    top_line: TopOfLeaf | None = Field(
        None, description="or its shape alone; straight when left out"
    )
    ledge: Section | None = Field(
        None, description="[height, thickness]; as the rails (95 x 28 with arris rails)"
    )
    ledges: Literal[2, 3] | None = Field(
        None, description="2 when left out, and 3 where they would be over 1.5 m apart (common "
        "practice)",
    )  # fmt: skip
    frame: Literal["ledged", "framed"] | None = Field(
        None, description="'ledged': pales on ledges, as when left out; 'framed': on stiles and "
        "ledges, these tenoned through the stiles",
    )  # fmt: skip
    stile: Positive | None = Field(
        None, description="width of the stiles of a framed leaf; as high as the ledges are when "
        "left out",
    )  # fmt: skip
    braces: Literal[0, 1, 2, 3, 4, 5, 6, 7, 8] | None = Field(
        None, description="between each two ledges: 1 when left out, on a sliding leaf one for "
        "each 1.1 m; those side by side have uprights between them; 0 for a framed leaf that its "
        "joints hold square",
    )  # fmt: skip
    brace: Positive | None = Field(
        None, description="width of the diagonal braces, 75 mm when left out"
    )
    bracing: Literal["compression", "tension"] | None = Field(
        None, description="'compression', as when left out: braces rise from the foot of the "
        "hanging side and are pressed; 'tension': from the latch side, and are pulled",
    )  # fmt: skip
    latch: Literal["ring", "thumb", "bolt", "lock"] | None = Field(
        None, description="worked by a ring or a thumb from both sides, a bolt or a lock on the "
        "back; a plain latch on the back when left out",
    )  # fmt: skip
    stop: Literal["post", "ground"] | None = Field(
        None, description="what the leaf shuts against: an angle on the shutting post, or a stop "
        "in the ground, with a socket for a drop bolt; bought but not drawn when left out",
    )  # fmt: skip
    opens: Annotated[float, Field(ge=45.0, le=180.0)] | None = Field(
        None, description="how far it has to open, degrees; what stands in its way and the ground "
        "under it are checked so far, or to a right angle when left out",
    )  # fmt: skip
    hinges: Literal["strap", "rising"] | None = Field(
        None, description="'strap': on pins, as when left out; 'rising': the leaf lifts as it "
        "opens, for ground that rises behind it, and falls shut",
    )  # fmt: skip
    hinge_rise: Positive | None = Field(
        None, description="how far a leaf on rising hinges is lifted at a right angle; 40 when "
        "left out (common practice)",
    )  # fmt: skip
    closing: Literal["spring", "hinges"] | None = Field(
        None, description="what shuts it by itself: a closer at the hanging side, or hinges that do"
    )


class SlideSpec(Table):
    """How a leaf slides aside behind the fence, instead of hanging on hinges."""

    on: Literal["track", "cantilever"] = Field(
        description="'track': on wheels on a track in the ground; 'cantilever': hung over "
        "carriages on a footing beside the opening, with nothing in the ground across it",
    )  # fmt: skip
    to: Literal["left", "right"] = Field(
        "left", description="the side it opens to, seen from the front"
    )
    clear: Positive = Field(40.0, ge=25.0, description="from the backs of the posts to the leaf")
    counterbalance: Annotated[float, Field(ge=0.2, le=1.0)] | None = Field(
        None, description="how far the carriages of a cantilever leaf are apart, as a share of the "
        "opening; 0.4 when left out (common practice)",
    )  # fmt: skip


class GatePlace(Table):
    """Where a gate is in a run, and which way it opens."""

    name: str = Field("", max_length=80, description="what it is called, as in 'garden gate'")
    at: NotNegative = Field(description="chainage of the middle of the opening")
    opening: Positive = Field(1000.0, description="clear width between the gate posts")
    leaves: Literal[1, 2] = 1
    hinge: Literal["left", "right"] = Field(
        "left", description="hanging side of a single leaf, seen from the front"
    )
    swing: Literal["in", "out"] = Field(
        "in", description="'in' opens away from the front, 'out' towards it"
    )
    slide: SlideSpec | None = Field(
        None, description="how its leaf slides aside; on hinges when left out"
    )


class GateSpec(LeafKeys, GatePlace):
    """A gate in a run: where it is, and how it differs from other gates."""

    post: PostKind | None = Field(
        None, description="how its posts differ from those of other gates (posts.gate); gates that "
        "share a post say the same of it",
    )  # fmt: skip


class Gates(LeafKeys):
    """How gates are made."""

    hinge_clearance: Positive = Field(12.0, description="leaf to hanging post")
    latch_clearance: Positive = Field(10.0, description="leaf to shutting post, or between leaves")
    ground_clearance: Positive = Field(60.0, description="ground to the foot of the leaf")
