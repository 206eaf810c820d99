"""Kinds of findings on gates; the register takes them in."""

from __future__ import annotations

from .findings import FindingKind, Severity
from .site_kinds import GEOMETRY

STOP, WARN, NOTE = Severity.STOP, Severity.WARN, Severity.NOTE

LEAF_NARROW = FindingKind(
    "LEAF-NARROW", STOP,
    means="the leaf is narrower than one pale",
    matters="A leaf without a whole pale cannot be made.",
    helps="Widen the gate's opening, or hang one leaf instead of two.",
)  # fmt: skip
LEAF_GAP_WIDE = FindingKind(
    "LEAF-GAP-WIDE", STOP,
    means="no count of whole pales keeps the leaf's gap within pales.gap_max; change the "
    "opening a little",
    matters="The leaf's pales stand whole and evenly; one more has no room.",
    helps="Change the gate's opening a little, or raise pales.gap_max.",
    source="pales.gap_max",
)  # fmt: skip
LEAF_WIDE = FindingKind(
    "LEAF-WIDE", WARN,
    means="wider than a leaf should hang: it sags and strains its post; use two leaves",
    matters="Weight and lever both grow with the width: the latch drops out of line.",
    helps="Use two leaves, a narrower opening, or set limits.leaf for a gate built for it.",
)  # fmt: skip
LEAF_NEAR_GROUND = FindingKind(
    "LEAF-NEAR-GROUND", WARN,
    means="the leaf will catch on the ground",
    matters="A leaf sinks a little with use, and ground heaves and grows.",
    helps="Raise gates.ground_clearance, or level the ground under the swing.",
)  # fmt: skip
LEAF_BINDS = FindingKind(
    "LEAF-BINDS", WARN,
    means="the corner of the leaf strikes the post as it swings; raise gates.latch_clearance",
    matters="The leaf's back corner swings farther out than its face.",
    helps="Raise gates.latch_clearance, or make the ledges (gates.ledge) thinner.",
    source=GEOMETRY,
)  # fmt: skip
BRACE_NO_ROOM = FindingKind(
    "BRACE-NO-ROOM", STOP,
    means="the brace does not fit between the ledges; use a narrower brace or move the rails",
    matters="A leaf without a brace drops at its latch.",
    helps="Use a narrower gates.brace, or move rails.tops apart.",
    source=GEOMETRY,
)  # fmt: skip
BRACE_ANGLE = FindingKind(
    "BRACE-ANGLE", WARN,
    means="a brace this flat or steep holds the leaf badly; move rails.tops",
    matters="A flat brace pushes more than it carries; a steep one hardly reaches the latch.",
    helps="Move rails.tops: further apart for a flat brace, nearer for a steep one; or use two "
    "leaves or two braces.",
)  # fmt: skip
BRACE_PULLED = FindingKind(
    "BRACE-PULLED", WARN,
    means="the brace rises from the latch side: it is pulled, and nails in its ends give way",
    matters="A timber brace holds by its ends pressing on the ledges; pulled, nothing holds it.",
    helps='Set bracing = "compression", or fix its ends with bolts through ledges and plates.',
)  # fmt: skip
LEDGES_FEW = FindingKind(
    "LEDGES-FEW", WARN,
    means="ledges so far apart let the pales between them warp and spring",
    matters="Pales are held at their ledges alone.",
    helps="Set ledges = 3.",
)  # fmt: skip
GATE_GUARD = FindingKind(
    "GATE-GUARD", NOTE,
    means="gates in a fence that guards a pool or children are mostly to open outwards and to "
    "close and latch by themselves",
    matters="A gate left open guards nothing; a child who pushes at one must not open it.",
    helps='Set swing = "out" and closing for the gate, and hold it against the rules of the place.',
    source="ISPSC 305.3 and EN 1176-1 (from memory)",
)  # fmt: skip
LEAF_OVER_ROAD = FindingKind(
    "LEAF-OVER-ROAD", WARN,
    means="the leaf swings out over a road or footway: swing it in, or set the gate back",
    matters="An open leaf strikes people who pass, and mostly it is forbidden.",
    helps='Set swing = "in", or move the gate back by its leaf.',
    source="Highways Act 1980, s.153 (England and Wales)",
)  # fmt: skip
SWING_BLOCKED = FindingKind(
    "SWING-BLOCKED", WARN,
    means="the leaf comes upon what stands there before it is open",
    matters="A leaf that stops half open is in the way, and its hinges are strained.",
    helps="Turn its swing or its hinges round, move the gate, or ask for less (gate.opens). To the "
    "side of the posts a leaf opens little past a right angle, as its pins are in the gap.",
    source=GEOMETRY,
)  # fmt: skip
SWING_GROUND = FindingKind(
    "SWING-GROUND", WARN,
    means="the leaf comes near the ground as it opens",
    matters="Ground that rises behind a gate stops it half open.",
    helps="Raise gates.ground_clearance, swing it to the side that falls, or dig the ground off.",
    source="limits.ground",
)  # fmt: skip
HINGES_NEAR = FindingKind(
    "HINGES-NEAR", WARN,
    means="hinges nearer to each other than half the leaf's width: it drops; set rails.tops "
    "further apart, or use two leaves",
    matters="The nearer the hinges, the harder the leaf's weight pulls at the upper one.",
    helps="Set rails.tops further apart, or use two leaves.",
)  # fmt: skip
HINGES_FEW = FindingKind(
    "HINGES-FEW", WARN,
    means="a leaf so high wants a third hinge, on a ledge in its middle",
    matters="Between two hinges far apart the hanging side warps.",
    helps="Set ledges = 3.",
    source="a fencing trade's page",
)  # fmt: skip
HINGE_OFF_POST = FindingKind(
    "HINGE-OFF-POST", WARN,
    means="the upper hinge or the latch's keep has no post beside it: the post is too low",
    matters="A leaf hangs by its upper hinge.",
    helps="Raise the posts (posts.gate.above_rail), or make the leaf lower (gate.height).",
    source=GEOMETRY,
)  # fmt: skip
ACCESS_NARROW = FindingKind(
    "ACCESS-NARROW", WARN,
    means="with its leaves open the gate is narrower than the access route asks; widen "
    "gate.opening",
    matters="A wheelchair, a pram or a machine does not get through.",
    helps="Widen the gate's opening, or hang one leaf instead of two.",
    source="limits.access",
)  # fmt: skip
SLIDE_BLOCKED = FindingKind(
    "SLIDE-BLOCKED", WARN,
    means="the leaf comes upon what stands behind the fence before it is open",
    matters="A leaf that stops half open leaves the opening too narrow, and its drive or its user "
    "pushes against what is in the way.",
    helps="Let it open to the other side (gate.slide.to), keep it farther from the posts "
    "(gate.slide.clear), or move what is there.",
    source=GEOMETRY,
)  # fmt: skip
SLIDE_GATE = FindingKind(
    "SLIDE-GATE", WARN,
    means="open, the leaf stands behind another gate, which then cannot be used; and a gate that "
    "opens inwards strikes it",
    matters="Two gates so near to each other are open at the same time sooner or later.",
    helps="Let it open to the other side (gate.slide.to), or move one of the gates.",
    source=GEOMETRY,
)  # fmt: skip
SLIDE_PAST_END = FindingKind(
    "SLIDE-PAST-END", NOTE,
    means="open, the leaf reaches past the end of its part of the line, where no ground is known",
    matters="Its track or its carriages need ground as level as in the opening there, and room.",
    helps="See that the ground there is level and one's own, or let it open to the other side.",
    source=GEOMETRY,
)  # fmt: skip
TRACK_GROUND = FindingKind(
    "TRACK-GROUND", WARN,
    means="the ground along the leaf's way is not as level as what it runs on: dig it off, or fill "
    "and hold it",
    matters="A track and carriages are set level: on a fall the leaf runs away by itself; ground "
    "over a track stops it, a track high over the ground trips people.",
    helps="Move the gate to where the ground is level, let it open to the other side, or level the "
    "ground behind the fence.",
    source="common practice, no source",
)  # fmt: skip
SLIDE_TAIL = FindingKind(
    "SLIDE-TAIL", WARN,
    means="the carriages of a cantilever leaf are near to each other: its free end drops, and the "
    "carriages bear much more than the leaf weighs",
    matters="The rear carriage holds the leaf down; the shorter its lever, the harder it pulls.",
    helps="Raise gate.slide.counterbalance to 0.4 or more.",
    source="common practice, no source",
)  # fmt: skip
SLIDE_CARE = FindingKind(
    "SLIDE-CARE", NOTE,
    means="people can be caught where a sliding leaf passes posts (shear) and where it ends "
    "(trapping); end stops keep it from running off, and are to be fitted before it is moved",
    matters="A leaf that runs off its track or carriages falls over. What it runs on, its guides "
    "and its guide post are not checked for strength here.",
    helps="Fit both end stops first; cover or keep clear what fingers reach through; hold it "
    "against the rules of the place, which for a gate with a drive are EN 12453 and EN 12604.",
    source="common practice; EN 12453 and EN 12604 by name, not read",
)  # fmt: skip
