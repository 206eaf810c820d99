"""Kinds of findings on how posts stand otherwise than in holes; the register takes them in."""

from __future__ import annotations

from .findings import FindingKind, Severity

WARN, NOTE = Severity.WARN, Severity.NOTE
PRACTICE = "common practice, no source"

SLAB_UNKNOWN = FindingKind(
    "SLAB-UNKNOWN", NOTE,
    means="nobody has said how thick the slab is that shoes are bolted down on, or where it ends; "
    "measure, and give slab and edge in posts.foot",
    matters="An anchor that comes out below, or stands near an edge or in a paving stone on sand, "
    "holds next to nothing.",
    helps="Drill a hole to measure, and give slab and edge of the foot; loose paving needs a pad "
    "of concrete cast under each post.",
    source=PRACTICE,
)  # fmt: skip
SLAB_THIN = FindingKind(
    "SLAB-THIN", WARN,
    means="less concrete is left under the anchors than they need",
    matters="The drill breaks through below, and the anchor has nothing to spread against.",
    helps="Shorter anchors (hold in posts.foot), or a pad of concrete cast for each post.",
    source=PRACTICE,
)  # fmt: skip
ANCHOR_EDGE = FindingKind(
    "ANCHOR-EDGE", WARN,
    means="anchors come nearer to the edge of the slab than they may",
    matters="Near an edge the concrete breaks out before the anchor is loaded.",
    helps="Move the fence in, a narrower plate (plate in posts.foot), or resin anchors as their "
    "maker allows.",
    source=PRACTICE,
)  # fmt: skip
SHOE_SLOPE = FindingKind(
    "SHOE-SLOPE", NOTE,
    means="the slab falls so much under a base plate that it has to be packed level",
    matters="A plate that does not lie flat bends, and its anchors are pulled askew.",
    helps="Bed the plates on a stiff mortar or on steel packing, and longer anchors.",
    source=PRACTICE,
)  # fmt: skip
SHOE_BOLT = FindingKind(
    "SHOE-BOLT", WARN,
    means="bolts of this size are too thick for the post between its cheeks",
    matters="The post splits along its bolts, which are what holds it up.",
    helps="Thinner bolts (bolt in posts.foot) or a thicker post (posts.section).",
    source="EN 1995-1-1, 8.5 (from memory)",
)  # fmt: skip
WIND_FOOT = FindingKind(
    "WIND-FOOT", NOTE,
    means="what the wind asks of the steel that posts stand by is said, but not checked",
    matters="A post on a shoe stands by its bolts, welds and anchors alone; whether they hold, "
    "their maker says.",
    helps="Ask the maker of shoes and anchors with these figures, or set posts in concrete.",
    source="statics",
)  # fmt: skip
