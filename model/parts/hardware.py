"""Sizes of bolts, washers and other bought pieces: data, no geometry.

Bolts: cup head, square neck. Head and nut sizes are the largest of DIN 603 and ISO 4032, from
memory; washers are at least three bolt diameters wide and 0.3 thick, as timber needs (EN
1995-1-1, 10.4.3, from memory). Lengths sold: common practice, no source.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from palewright.model.basis.units import format_length
from palewright.model.geometry.shapes import Bolt


@dataclass(frozen=True)
class BoltSize:
    """One bolt size; all mm."""

    diameter: float
    head_diameter: float
    head_height: float
    washer_diameter: float
    washer_height: float
    nut_width: float
    nut_height: float


BOLTS = {
    "M8": BoltSize(8.0, 20.65, 4.88, 25.0, 2.5, 13.0, 6.8),
    "M10": BoltSize(10.0, 24.65, 5.38, 30.0, 3.0, 16.0, 8.4),
    "M12": BoltSize(12.0, 30.65, 6.95, 36.0, 4.0, 18.0, 10.8),
}

HOLES = {"M8": 9.0, "M10": 11.0, "M12": 13.0}
"""Clearance holes, mm: ISO 273, medium for M8 and M10 and fine for M12, as EN 1995-1-1, 10.4.3
(from memory) allows no more than the bolt's diameter and 1 mm in timber."""

LET_IN = 1.0
"""How much wider than a head or washer its counterbore is at the least, mm; bits are whole mm wide
(common practice, no source)."""

BOLT_LENGTHS = (
    75.0, 100.0, 110.0, 120.0, 130.0, 150.0, 160.0, 180.0, 200.0, 220.0, 240.0, 260.0, 280.0,
    300.0, 320.0, 340.0, 360.0, 380.0, 400.0,
)  # fmt: skip

ANCHOR_HEAD = 12.0
"""How far an anchor or a coach screw stands out of its plate, with head, nut and washer, mm."""

THREAD_OUT = 3.0
"""Thread left standing out of the nut, about two turns, mm."""

BRACKET_LEG, BRACKET_HEIGHT, BRACKET_METAL = 50.0, 40.0, 3.0
LEAST_LEG = 25.0
"""Angle bracket where a rail has no post to be bolted to, mm."""

ARRIS_BRACKET_LENGTH, ARRIS_BRACKET_METAL = 100.0, 2.0
"""Sleeve that holds the end of an arris rail to its post, mm."""

STRAP_HEIGHT, STRAP_METAL, PIN_LENGTH, PIN_DIAMETER = 40.0, 5.0, 70.0, 12.0
"""Strap hinge: a third of the leaf long, on a pin of at most this diameter, mm."""

LATCH_LENGTH, LATCH_HEIGHT, LATCH_DEPTH = 120.0, 40.0, 18.0
KEEP_HEIGHT, KEEP_DEPTH, KEEP_METAL = 60.0, 40.0, 3.0
DROP_BOLT_DIAMETER, DROP_BOLT_LENGTH, DROP_BOLT_LIFT = 16.0, 450.0, 10.0
"""Latch on the leaf, keep on the shutting post, drop bolt on the standing leaf, mm."""


@dataclass(frozen=True)
class LatchSize:
    """A latch by how it works; all mm. body : length, height and depth of what is on the leaf's
    back; handle : width, height and depth of what is on its front, none where it is worked from the
    back alone; screws : that hold the body; front : what the handle is.
    """

    body: tuple[float, float, float]
    handle: tuple[float, float, float] | None
    screws: int
    front: str = ""


LATCH_SIZES = {
    "plain": LatchSize((LATCH_LENGTH, LATCH_HEIGHT, LATCH_DEPTH), None, 4),
    "ring": LatchSize((170.0, 45.0, 20.0), (75.0, 75.0, 15.0), 8, "ring handle"),
    "thumb": LatchSize((180.0, 40.0, 20.0), (45.0, 200.0, 40.0), 8, "thumb plate"),
    "bolt": LatchSize((200.0, 40.0, 20.0), None, 6),
    "lock": LatchSize((140.0, 90.0, 35.0), (30.0, 60.0, 4.0), 6, "key plate"),
}
"""Latches by the spec's word (common practice, no source)."""

HANDLE_AWAY, HANDLE_SCREWS = 60.0, 2
"""From the leaf's free edge to the middle of a handle, mm, and the screws that hold it."""

STOP_METAL, STOP_LIP, STOP_LEG, STOP_HEIGHT = 5.0, 25.0, 40.0, 60.0
"""Angle on the shutting post: its lip laps the leaf, its leg is screwed to the post's side, mm."""

BLOCK_WIDTH, BLOCK_DEPTH, BLOCK_AWAY, BLOCK_BURIED, BLOCK_LAP = 60.0, 50.0, 150.0, 200.0, 40.0
"""Stop in the ground: its sides, from the free edge to its middle, what is in the ground, and how
far it laps the leaf's foot, mm."""

SOCKET_DIAMETER, SOCKET_LENGTH = 30.0, 150.0
CLOSER_WIDTH, CLOSER_HEIGHT, CLOSER_DEPTH, CLOSER_AWAY, CLOSER_SCREWS = 25.0, 180.0, 25.0, 8.0, 6
"""Socket of a drop bolt, and closer at the hanging edge, mm (common practice, no source)."""

TRACK_WIDTH, TRACK_HIGH, STRIP_WIDTH, STRIP_DEPTH = 20.0, 16.0, 250.0, 200.0
"""Bar that wheels run on, and the strip of concrete under it, mm (common practice, no source)."""

WHEEL_SIZE, WHEEL_WIDTH, WHEEL_INSET = 80.0, 20.0, 100.0
HOUSING_LENGTH, HOUSING_METAL, HOUSING_GAP = 90.0, 4.0, 2.0
"""Grooved wheel, from the leaf's end to its middle, and the fork that it turns in, mm (common
practice, no source)."""

BEAM_SIZE, BEAM_METAL, BEAM_SLOT = 60.0, 5.0, 20.0
CARRIAGE_LENGTH, CARRIAGE_METAL, CARRIAGE_WHEEL, CARRIAGE_WIDE = 200.0, 12.0, 46.0, 40.0
CARRIAGE_WHEELS_APART = 120.0
PAD_WIDTH, PAD_DEPTH, PAD_PAST = 450.0, 600.0, 200.0
"""Beam under a cantilever leaf, open below by a slot; the carriages in it, two wheels each; and the
footing under them with what it reaches past their middles, mm (common practice, no source)."""

CHANNEL_SIZE, CHANNEL_METAL, GUIDE_ROLLER, ROLLERS_APART = 30.0, 3.0, 22.0, 120.0
GUIDE_PLATE_LENGTH, GUIDE_PLATE_METAL, GUIDE_CLEAR, FREE_END = 200.0, 6.0, 6.0, 145.0
GUIDE_POST_CLEAR = 15.0
"""Channel on a sliding leaf's back, open below; the rollers in it, on a plate on the guide post;
what is kept between them, what of the leaf's free end is kept for its latch, and from the channel
to the post, mm (common practice, no source)."""

RECEIVER_METAL, RECEIVER_HEIGHT, RECEIVER_LAP, RECEIVER_FOOT, RECEIVER_CLEAR = (
    5.0, 120.0, 30.0, 40.0, 4.0,
)  # fmt: skip
END_STOP_LENGTH, END_STOP_WIDTH, END_STOP_HIGH, END_CAP = 30.0, 30.0, 50.0, 6.0
SLIDING_KEEP = 3.0
"""What takes in the free edge of a sliding leaf, on the back of its shutting post; stops on a track
and caps on a beam's ends, mm (common practice, no source)."""


def bolt_name(bolt: Bolt) -> str:
    """Return what a bolt is called everywhere, by its metric size: "bolt M10 x 150"."""
    return f"bolt M{bolt.diameter:.0f} x {format_length(bolt.length)}"


def clearance_hole(diameter: float) -> float:
    """Return the hole for a bolt or rod of a diameter, mm: a millimetre wider, as `HOLES`.

    >>> clearance_hole(10.0) == HOLES["M10"]
    True
    """
    return diameter + 1.0


def pilot_hole(diameter: float) -> float:
    """Return the hole that a screw's thread bites in, mm (EN 1995-1-1, 10.4.5: some 70 % of the
    shank, from memory).

    >>> pilot_hole(10.0)
    7.0
    """
    return round(0.7 * diameter, 1)


def counterbore(diameter: float) -> float:
    """Return the counterbore for a head or washer of a diameter, mm.

    >>> counterbore(24.65), counterbore(30.0)
    (26.0, 31.0)
    """
    return float(math.ceil(diameter + LET_IN))


def bolt_length(needed: float) -> float:
    """Return the shortest bolt sold that is not under `needed` (mm); beyond the list, to 20 mm.

    >>> bolt_length(152.0), bolt_length(410.0)
    (160.0, 420.0)
    """
    for length in BOLT_LENGTHS:
        if length >= needed:
            return length
    return -(-needed // 20.0) * 20.0
