"""Kinds of findings on wind; the register takes them in."""

from __future__ import annotations

from .findings import FindingKind, Severity

WARN, NOTE = Severity.WARN, Severity.NOTE
_EC5 = "EN 1995-1-1"

WIND_POST = FindingKind(
    "WIND-POST", WARN,
    means="in the wind given, bending of the post at the ground is used over its resistance",
    matters="The post breaks at the ground, where it is also the first to decay.",
    helps="A larger post (posts.section), shorter bays (posts.bay) or stronger timber.",
    source=f"{_EC5}, 6.1.6",
)  # fmt: skip
WIND_SHEAR = FindingKind(
    "WIND-SHEAR", WARN,
    means="in the wind given, shear of the post is used over its resistance",
    matters="The post splits along the grain near the ground.",
    helps="A larger post (posts.section), shorter bays (posts.bay) or stronger timber.",
    source=f"{_EC5}, 6.1.7",
)  # fmt: skip
WIND_SWAY = FindingKind(
    "WIND-SWAY", WARN,
    means="in the wind given, sway of the post's top is used over what is wanted",
    matters="The fence moves so far that joints work loose and gates jam.",
    helps="A larger post (posts.section), shorter bays (posts.bay) or stronger timber.",
)  # fmt: skip
WIND_DEPTH = FindingKind(
    "WIND-DEPTH", WARN,
    means="in the wind given, depth of the footing is used over what there is",
    matters="The footing turns in the ground and the fence leans.",
    helps="A deeper hole (posts.embedment), a wider one (footings.size) or shorter bays.",
    source="IBC 1807.3.2.1",
)  # fmt: skip
WIND_CLAY = FindingKind(
    "WIND-CLAY", WARN,
    means="in the wind given, depth of the footing in clay is used over what there is",
    matters="The footing pushes soft clay aside and the fence leans.",
    helps="A deeper hole (posts.embedment), a wider one (footings.size) or shorter bays.",
    source="Broms, ASCE SM2, 1964",
)  # fmt: skip
WIND_SAND = FindingKind(
    "WIND-SAND", WARN,
    means="in the wind given, depth of the footing in granular ground is used over what there is",
    matters="The footing pushes sand or gravel aside and the fence leans.",
    helps="A deeper hole (posts.embedment), a wider one (footings.size) or shorter bays.",
    source="Broms, ASCE SM3, 1964",
)  # fmt: skip
WIND_FAST = FindingKind(
    "WIND-FAST", WARN,
    means="a basic velocity that hardly any place has; is it in miles an hour, or of a gust?",
    matters="Every result of the wind rests on it, with its square.",
    helps="Give wind.velocity in m/s, the mean of ten minutes that the national annex maps.",
    source="EN 1991-1-4, 4.2",
)  # fmt: skip
WIND_RAIL = FindingKind(
    "WIND-RAIL", WARN,
    means="in the wind given, bending of the rail is used over its resistance",
    matters="The rail breaks in the middle of the longest bay.",
    helps="Thicker rails (rails.section), one more (rails.count) or shorter bays.",
    source=f"{_EC5}, 6.1.6",
)  # fmt: skip
WIND_BOLT = FindingKind(
    "WIND-BOLT", WARN,
    means="in the wind given, pull on the bolt of a rail is used over its resistance",
    matters="Wind from behind pulls the bolt's head or washer into the wood.",
    helps="Larger bolts (rails.bolt) or shorter bays.",
    source=f"{_EC5}, 8.5.2",
)  # fmt: skip
WIND_TENON = FindingKind(
    "WIND-TENON", WARN,
    means="in the wind given, shear of a rail's tenon is used over its resistance",
    matters="The rail splits along the grain from its shoulder.",
    helps="Thicker tenons (rails.tenon), the whole end of the rail, or shorter bays.",
    source=f"{_EC5}, 6.5.2",
)  # fmt: skip
WIND_NAIL = FindingKind(
    "WIND-NAIL", WARN,
    means="in the wind given, pull on the nails of a pale is used over its resistance",
    matters="Wind from behind pulls the pale off its rail.",
    helps="Screws or annular nails, more nails a crossing (fixings.crossing) or one rail more.",
    source=f"{_EC5}, 8.3.2",
)  # fmt: skip
