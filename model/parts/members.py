"""Members: every made or bought piece of a fence, with its shape, place and mark."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from palewright.model.geometry.frames import Frame
from palewright.model.geometry.shapes import Shape
from palewright.model.geometry.worked_shapes import Cut, Finished, Worked


@dataclass(frozen=True)
class Kind:
    """A kind of member. prefix : of its marks; name : the trade's word;
    material : what it is made of; ready : whether it is bought as it is, though of timber.
    """

    prefix: str
    name: str
    material: str
    ready: bool = False

    @property
    def sawn(self) -> bool:
        """Whether it is cut from timber that is bought by length."""
        return self.material == TIMBER and not self.ready


TIMBER, CONCRETE, METAL, GRAVEL = "timber", "concrete", "metal", "gravel"
CAST = "cast concrete"
"""What posts of concrete are made of, that are bought as they are."""

STANDING = "standing"
"""What is there already and kept: neither made nor bought nor carried."""

POST = Kind("PO", "post", TIMBER)
CONCRETE_POST = Kind("CP", "concrete post", CAST)
POSTS = (POST, CONCRETE_POST)
"""What is made to stand in the ground."""

WALL_PLATE = Kind("WP", "wall plate", TIMBER)
POST_PLATE = Kind("PL", "plate on a post", TIMBER)
KEPT_POST = Kind("KE", "post kept", STANDING)
CAP = Kind("CA", "post cap", TIMBER, ready=True)
METAL_CAP = Kind("MC", "metal post cap", METAL)
FINIAL = Kind("FI", "finial", TIMBER, ready=True)
RAIL = Kind("RA", "rail", TIMBER)
CAPPING = Kind("CR", "capping rail", TIMBER)
KICK_BOARD = Kind("KB", "kick board", TIMBER)
PALE = Kind("PA", "pale", TIMBER)
PANEL_UPRIGHT = Kind("PU", "panel upright", TIMBER)
BOARD = Kind("GB", "gravel board", TIMBER)
LEDGE = Kind("LE", "gate ledge", TIMBER)
STILE = Kind("ST", "gate stile", TIMBER)
UPRIGHT = Kind("UP", "gate upright", TIMBER)
BRACE = Kind("BR", "gate brace", TIMBER)
FOOTING = Kind("FO", "footing", CONCRETE)
PACKING = Kind("PK", "gravel packing", GRAVEL)
BOLT = Kind("BO", "bolt", METAL)
BRACKET = Kind("BK", "rail bracket", METAL)
ANCHOR = Kind("AN", "wall anchor", METAL)
SHOE_PLATE = Kind("SH", "shoe plate", METAL)
CHEEK = Kind("CK", "shoe cheek", METAL)
FOOT_BOLT = Kind("FB", "hexagon bolt", METAL)
SLAB_ANCHOR = Kind("SA", "slab anchor", METAL)
COACH_SCREW = Kind("CS", "coach screw", METAL)
STRAP = Kind("HS", "hinge strap", METAL)
PIN = Kind("HP", "hinge pin", METAL)
LATCH = Kind("LA", "gate latch", METAL)
RING_LATCH = Kind("RL", "ring latch", METAL)
THUMB_LATCH = Kind("TL", "thumb latch", METAL)
GATE_BOLT = Kind("TB", "gate bolt", METAL)
GATE_LOCK = Kind("LK", "gate lock", METAL)
HANDLE = Kind("HA", "latch handle", METAL)
CLOSER = Kind("GC", "gate closer", METAL)
GATE_STOP = Kind("GS", "gate stop", METAL)
SOCKET = Kind("SO", "ground socket", METAL)
KEEP = Kind("KP", "latch keep", METAL)
DROP_BOLT = Kind("DB", "drop bolt", METAL)
GUIDE_POST = Kind("GP", "guide post", TIMBER)
GATE_BASE = Kind("GF", "gate footing", CONCRETE)
TRACK = Kind("TR", "gate track", METAL)
WHEEL = Kind("WL", "gate wheel", METAL)
CARRIAGE = Kind("CG", "wheel carriage", METAL)
BEAM = Kind("BM", "gate beam", METAL)
CHANNEL = Kind("GU", "guide channel", METAL)
ROLLER = Kind("RO", "guide roller", METAL)
GUIDE_PLATE = Kind("GA", "guide plate", METAL)
RECEIVER = Kind("RV", "gate receiver", METAL)
END_STOP = Kind("ES", "end stop", METAL)

OF_PANELS = (RAIL, PANEL_UPRIGHT, PALE, BOLT)
"""What panels are made of; bolts, as pales are nailed on over the heads of some."""
PLATES = (WALL_PLATE, POST_PLATE)
"""What takes the place of a post where a run ends at something."""

IN_HOLE = (FOOTING, PACKING)
"""What fills the holes of posts."""

SHOE_PARTS = (SHOE_PLATE, CHEEK)
"""What a post shoe is welded of: bought as one."""

STEEL_FEET = (*SHOE_PARTS, FOOT_BOLT, SLAB_ANCHOR)
"""The steel at the feet of posts."""

FRAMING = (LEDGE, STILE, UPRIGHT, BRACE)
"""What holds the pales of a gate leaf."""

LATCHES = (LATCH, RING_LATCH, THUMB_LATCH, GATE_BOLT, GATE_LOCK)
"""What leaves are held shut by, by how it works."""

SLIDING = (TRACK, BEAM, WHEEL, CARRIAGE, CHANNEL, ROLLER, GUIDE_PLATE, RECEIVER, END_STOP)
"""What sliding leaves run on, are guided by and stop at."""

GATE_FITTINGS = (
    STRAP, PIN, *LATCHES, HANDLE, CLOSER, KEEP, DROP_BOLT, GATE_STOP, SOCKET, *SLIDING,
)  # fmt: skip
"""What gates hang or run on, close and stop by."""

BURIED = (*IN_HOLE, GATE_BASE)
"""What is in the ground as far as it matters to who looks at a fence."""

SET_POSTS = (*POSTS, GUIDE_POST)
"""Posts that are bought and set in the ground."""

KINDS = (
    *POSTS, *PLATES, KEPT_POST, CAP, METAL_CAP, FINIAL, RAIL, PANEL_UPRIGHT, CAPPING, PALE,
    KICK_BOARD, BOARD, *FRAMING, GUIDE_POST, FOOTING, PACKING, GATE_BASE, BOLT, BRACKET, ANCHOR,
    COACH_SCREW, *STEEL_FEET, *GATE_FITTINGS,
)  # fmt: skip
"""Every kind, in the order lists show them."""


@dataclass(frozen=True)
class Piece:
    """A member before it has a mark.

    group : the bay or gate it belongs to, as "A bay 03"; role : what it does there;
    leg : number of the leg whose elevation shows it; leaf : number of the gate leaf it hangs on;
    station : label of the post it belongs to, of posts, caps and footings; cuts : what is taken
    out of it, in its shape's own coordinates.
    """

    kind: Kind
    shape: Shape
    frame: Frame
    group: str
    role: str
    leg: int
    leaf: int | None = None
    station: str = ""
    cuts: tuple[Cut, ...] = ()


@dataclass(frozen=True)
class Member:
    """One piece of the fence.

    mark : shared by all members of the same kind, shape and cuts; shape : of what it is cut from,
    in its own coordinates; frame : where it stands on the site; run : number of its run; name :
    unlike any other's; cuts : what is taken out of it, as of a piece.
    """

    kind: Kind
    mark: str
    shape: Shape
    frame: Frame
    run: int
    group: str
    role: str
    leg: int
    name: str
    leaf: int | None = None
    station: str = ""
    cuts: tuple[Cut, ...] = ()

    @property
    def finished(self) -> Finished:
        """What it is as a solid: its shape less its cuts."""
        return Worked(self.shape, self.cuts) if self.cuts else self.shape

    @property
    def size(self) -> tuple[float, float, float]:
        """Width, thickness and length as lists show them, mm; a capping rail lies flat, and the
        outline of a tenoned ledge lies in plan.
        """
        first, second, length = self.shape.size
        if self.kind in (LEDGE, CAPPING) and first < second:
            return second, first, length
        return first, second, length


def marked(pieces_by_run: Iterable[Iterable[Piece]]) -> tuple[Member, ...]:
    """Return the pieces as members, with marks in the order in which shapes first appear."""
    marks: dict[tuple[Kind, Shape, tuple[Cut, ...]], str] = {}
    counts: dict[Kind, int] = {}
    uses: dict[str, int] = {}
    members = []
    for run, pieces in enumerate(pieces_by_run):
        for piece in pieces:
            key = (piece.kind, piece.shape, piece.cuts)
            mark = marks.get(key)
            if mark is None:
                counts[piece.kind] = counts.get(piece.kind, 0) + 1
                mark = marks[key] = f"{piece.kind.prefix}{counts[piece.kind]}"
            uses[mark] = uses.get(mark, 0) + 1
            place = (piece.leg, f"{mark}-{uses[mark]:03d}", piece.leaf, piece.station, piece.cuts)
            members.append(
                Member(
                    piece.kind, mark, piece.shape, piece.frame, run, piece.group, piece.role, *place
                )
            )
    return tuple(members)
