"""Bolts, nails, screws and ironmongery: what clamps and holds the members, counted from them.

Counts of nails and screws, and the length rule, are common practice without a source.
"""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass

from palewright.model.basis.units import format_length as mm
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.metal_caps import MetalCap
from palewright.model.geometry.shapes import Bar, Bolt, Cap, Plate, Shape
from palewright.model.layout.slides import slid_way
from palewright.model.parts.capping_rails import capping_fixings
from palewright.model.parts.gate_fittings import (
    CLOSING_STRAP,
    IN_GROUND,
    LATCH_KINDS,
    ON_RECEIVER,
    RISING_STRAP,
)
from palewright.model.parts.hardware import (
    ANCHOR_HEAD,
    BOLTS,
    CLOSER_SCREWS,
    DROP_BOLT_DIAMETER,
    HANDLE_SCREWS,
    HOLES,
    LATCH_SIZES,
    STRAP_METAL,
    THREAD_OUT,
    bolt_length,
)
from palewright.model.parts.kick_boards import kick_fixings
from palewright.model.parts.members import (
    BEAM,
    BOARD,
    BOLT,
    BRACE,
    BRACKET,
    CAP,
    CAPPING,
    CARRIAGE,
    CHANNEL,
    CHEEK,
    CLOSER,
    COACH_SCREW,
    DROP_BOLT,
    FINIAL,
    FOOT_BOLT,
    GATE_STOP,
    GUIDE_PLATE,
    HANDLE,
    KEEP,
    LEDGE,
    METAL,
    METAL_CAP,
    PALE,
    PIN,
    RAIL,
    RECEIVER,
    SOCKET,
    STRAP,
    TIMBER,
    TRACK,
    WHEEL,
    Kind,
    Member,
)
from palewright.model.parts.panels import HUNG
from palewright.model.parts.post_steel import steel_said
from palewright.model.resolved.post_feet import Foot
from palewright.model.spec.post_keys import METAL_CAP_ROOM

from .fresh_surfaces import fresh_surfaces, keeps_end

NAILS = ((40.0, 2.65), (50.0, 2.65), (65.0, 3.35), (75.0, 3.75), (100.0, 4.5), (125.0, 5.6))
"""Round nails sold: length and diameter, mm (common practice, no source)."""

SCREWS = (
    (40.0, 4.0), (50.0, 4.5), (60.0, 5.0), (70.0, 5.0), (80.0, 5.0), (100.0, 6.0), (120.0, 6.0),
)  # fmt: skip
"""Wood screws sold: length and diameter, mm (common practice, no source)."""

REACH = 2.5
"""A nail or screw is so many times as long as what it fixes is thick (common practice)."""

STEEL = 7850.0
"""Density of steel, kg/m3 (EN 1991-1-1, Table A.4: 77.0 to 78.5 kN/m3; from memory)."""

BRACE_ENDS, BOARD_ENDS, CAP_FIXINGS = 4, 4, 2
"""Nails or screws for a brace and a gravel board (both ends), and for a cap (common practice, no
source)."""

SCREWED: dict[Kind, int] = {
    BRACKET: 4,
    KEEP: 2,
    DROP_BOLT: 4,
    GATE_STOP: 2,
    METAL_CAP: 2,
    HANDLE: HANDLE_SCREWS,
    CARRIAGE: 4,
    GUIDE_PLATE: 4,
    RECEIVER: 4,
    CLOSER: CLOSER_SCREWS,
    **{kind: LATCH_SIZES[word].screws for word, kind in LATCH_KINDS.items()},
}
"""Screws that hold each piece of ironmongery (common practice, no source)."""

HEAVY_STRAP, STRAP_SCREWS, STRAP_BOLT = 300.0, 5, "M8"
"""A strap hinge from this length on (mm) has a bolt through strap, ledge and pale nearest its pin,
besides its screws (common practice, no source)."""

PIN_SCREWS = 4
"""Screws of the plate that a hinge's pin stands on (common practice, no source)."""

UPRIGHT_SCREWS = 2
"""Screws through an upright of a panel into the end of each rail (common practice, no source)."""

ALONG = 300.0
"""A channel or a beam on a leaf has two screws for each such length, mm (common practice, no
source)."""

ANCHORED, ANCHOR_ITEM = 500.0, "concrete anchor M10 x 100"
"""A track has an anchor in its strip for each such length (mm), a carriage four in its footing
(common practice, no source)."""

FINIAL_NOTE = "with its own dowel screw, in a pilot hole"
"""What holds a finial: one screw with a thread at both ends (common practice, no source)."""

PIN_NOTE = "on a plate with four screws, or on a shank driven into the post"
"""What holds a hinge's pin to its post."""

SCREW_NOTE = "with its washer, in a pilot hole"
"""How a coach screw goes in: the hole for its thread 0.7 of its diameter (common practice, no
source)."""

PEGS, PEG = 2, "hardwood peg 10"
"""Pegs through each tenon of a framed leaf, 10 mm (common practice, no source)."""

SET_IN, GROUND_STOP = "set in concrete, with a drain", "ground stop for a gate"
"""How what is in the ground is set, and what a stop there is called."""

ANCHOR_NOTE = "for concrete, as its maker says; blow the hole out"
"""How anchors in slabs are set."""

STOP = "gate stop"
"""What a leaf shuts against, so that it does not strain its hinges."""


@dataclass(frozen=True)
class FixingLine:
    """Fixings alike. item : what the order calls it; count : how many, extra included where
    they are bought by weight; unit : "each" or "kg"; quantity : in that unit; note : what to drill.
    """

    item: str
    count: int
    unit: str
    quantity: float
    note: str


def fixing_lines(fence: FenceModel) -> tuple[FixingLine, ...]:
    """Return bolts, nuts, washers, ironmongery, and nails or screws."""
    return (
        *_bolts(fence), *_iron(fence), *_anchors(fence), *_gate_stops(fence), *_pegs(fence),
        *_driven(fence),
    )  # fmt: skip


def _bolts(fence: FenceModel) -> list[FixingLine]:
    sizes: Counter[tuple[str, float]] = Counter()
    hexagon: Counter[tuple[str, float]] = Counter()
    for member in fence.members:
        if member.kind == BOLT and isinstance(member.shape, Bolt):
            sizes[f"M{member.shape.diameter:.0f}", member.shape.length] += 1
        elif member.kind == FOOT_BOLT and isinstance(member.shape, Bolt):
            hexagon[f"M{member.shape.diameter:.0f}", member.shape.length] += 1
        elif heavy_strap(member):
            sizes[STRAP_BOLT, _strap_bolt(fence, member)] += 1
    lines = []
    threads: Counter[str] = Counter()
    for (size, length), count in sorted(sizes.items(), key=lambda one: (one[0][1], one[0][0])):
        threads[size] += count
        note = f"cup head; hole {mm(HOLES[size])} mm"
        lines.append(FixingLine(f"bolt {size} x {mm(length)}", count, "each", count, note))
    for (size, length), count in sorted(hexagon.items()):
        threads[size] += count
        note = f"for post feet; hole {mm(HOLES[size])} mm"
        name = f"hexagon bolt {size} x {mm(length)}"
        lines.append(FixingLine(name, count, "each", count, note))
    for size, count in sorted(threads.items()):
        part = BOLTS[size]
        wide = f"{mm(part.washer_diameter)} x {mm(part.washer_height)} mm"
        lines.append(FixingLine(f"nut {size}", count, "each", count, ""))
        lines.append(FixingLine(f"washer {size}", count, "each", count, f"for timber, {wide}"))
    return lines


def heavy_strap(member: Member) -> bool:
    """Tell whether a member is a strap hinge that has a bolt of its own."""
    return member.kind == STRAP and strap_size(member) >= HEAVY_STRAP


def _strap_bolt(fence: FenceModel, strap: Member) -> float:
    """Return how long the bolt of a hinge is, mm: through strap, ledge and pale."""
    part, layout = BOLTS[STRAP_BOLT], fence.layouts[strap.run]
    assert strap.leaf is not None
    _, leaf = layout.hung[strap.leaf]
    held = STRAP_METAL + leaf.plan.ledge[1] + layout.run.pales.thickness
    return bolt_length(held + part.washer_height + part.nut_height + THREAD_OUT)


def _gate_stops(fence: FenceModel) -> list[FixingLine]:
    """Return a stop for each gate, and for each drop bolt a socket in the ground."""
    hung = (o for lay in fence.layouts for o in lay.openings if o.leaves[0].plan.slide is None)
    plain = [opening for opening in hung if not opening.leaves[0].plan.stop]
    bolts = sum(len(opening.leaves) > 1 for opening in plain)
    single = len(plain) - bolts
    lines = []
    if single:
        note = "on the shutting post"
        lines.append(FixingLine(STOP, single, "each", single, note))
    if bolts:
        note = "on the leaf with the drop bolt, where the leaves meet"
        lines.append(FixingLine(f"{STOP}, two leaves", bolts, "each", bolts, note))
        socket = f"ground socket for a drop bolt of {mm(DROP_BOLT_DIAMETER)}"
        lines.append(FixingLine(socket, bolts, "each", bolts, SET_IN))
    return lines


def _pegs(fence: FenceModel) -> list[FixingLine]:
    """Return the pegs of framed leaves: through stile and tenon, as long as the stile is thick."""
    counts: Counter[float] = Counter()
    for member in fence.members:
        if member.kind == LEDGE and isinstance(member.shape, Plate):
            counts[min(member.shape.size)] += 2 * PEGS
    note = f"{PEGS} through each tenon"
    return [FixingLine(f"{PEG} x {mm(long)}", n, "each", n, note) for long, n in counts.items()]


def _iron(fence: FenceModel) -> list[FixingLine]:
    """Return what is bought as it is: brackets, anchors, hinges, latches, caps."""
    counts: Counter[str] = Counter()
    foots = {place: post.plan.foot for place, post in fence.posts.items()}
    for member in fence.members:
        if member.kind in (BOLT, FOOT_BOLT, CHEEK) or (
            member.kind.material != METAL and not member.kind.ready
        ):
            continue
        foot = foots.get((member.run, member.station))
        counts[bought_name(member, foot)] += 1
    notes = {
        **_borne(fence),
        PIN.name: PIN_NOTE,
        FINIAL.name: FINIAL_NOTE,
        SOCKET.name: SET_IN,
        GROUND_STOP: SET_IN,
        "slab anchor": ANCHOR_NOTE,
        COACH_SCREW.name: SCREW_NOTE,
    }
    noted = (
        (name, count, next((note for start, note in notes.items() if name.startswith(start)), ""))
        for name, count in sorted(counts.items())
    )
    return [FixingLine(name, count, "each", count, note) for name, count, note in noted]


def bought_name(member: Member, foot: Foot | None = None) -> str:
    """Return what the order calls a piece that is bought as it is: "hinge strap 300". foot : of the
    post that it is at.
    """
    if foot is not None and (said := steel_said(member, foot)):
        return said
    first, second, length = member.shape.size
    if member.kind == CAP:
        return f"post cap {mm(first)} x {mm(second)}"
    if member.kind == METAL_CAP:
        return f"metal post cap, for a post {_inside(member.shape)}"
    if member.kind == FINIAL:
        return f"finial {mm(first)} x {mm(length)}"
    if member.kind == BRACKET:
        named = {"rail to post": "arris rail bracket", HUNG: "panel bracket"}
        return named.get(member.role, "rail bracket")
    if member.kind == COACH_SCREW:
        return f"{member.kind.name} M{first:.0f} x {mm(length - ANCHOR_HEAD)}"
    size = strap_size(member) if member.kind == STRAP else max(first, second, length)
    name = GROUND_STOP if member.role == IN_GROUND else member.kind.name
    name = member.role if member.kind == HANDLE else name
    sort = {CLOSING_STRAP: "self-closing ", RISING_STRAP: "rising "}.get(member.role, "")
    return f"{sort}{name} {mm(size)}"


def _inside(cap: Shape) -> str:
    """Return the size of the post that a metal cap goes over."""
    assert isinstance(cap, MetalCap)
    less = 2.0 * (cap.metal + METAL_CAP_ROOM)
    return f"{mm(cap.width - less)} x {mm(cap.depth - less)}"


def strap_size(member: Member) -> float:
    """Return the size that a strap hinge is sold in, mm: steps of 50."""
    return math.ceil(max(member.shape.size) / 50.0 - 1e-9) * 50.0


def crossings(fence: FenceModel) -> Counter[tuple[float, float]]:
    """Return the crossings by thickness of the pale and of what is behind it, mm."""
    counts: Counter[tuple[float, float]] = Counter()
    leaves: dict[tuple[int, int], list[Member]] = {}
    for member in fence.members:
        if member.leaf is not None:
            leaves.setdefault((member.run, member.leaf), []).append(member)
    for member in fence.members:
        if member.kind != PALE:
            continue
        job = fence.layouts[member.run].run
        thick = member.shape.size[1]
        if member.leaf is None:
            thick = next(one.through for one in job.layers if one.role == member.role)
            counts[thick, job.rails.section[1]] += len(job.rails.tops)
            continue
        for other in leaves[member.run, member.leaf]:
            if other.kind == LEDGE or (other.kind == BRACE and _behind(member, other)):
                counts[thick, other.size[1]] += 1
    return counts


def _behind(pale: Member, brace: Member) -> bool:
    """Tell whether a brace passes behind the middle of a pale."""
    assert isinstance(pale.shape, Plate)
    assert isinstance(brace.shape, Bar)
    x0, _, x1, _ = pale.shape.outline.bounds
    middle = pale.frame.point(((x0 + x1) / 2.0, 0.0, 0.0))
    bar, along = brace.shape, pale.frame.x
    ends = [
        brace.frame.point((bar.end_x(cut, at, (y, z)), y, z))
        for cut, at in ((bar.left, 0.0), (bar.right, bar.length))
        for y, z in bar.section
    ]
    places = [sum(a * (e - m) for a, e, m in zip(along, end, middle, strict=True)) for end in ends]
    return min(places) <= 0.0 <= max(places)


def _driven(fence: FenceModel) -> list[FixingLine]:
    told = fence.job.fixings
    sold = NAILS if told.pales == "nails" else SCREWS
    counts: Counter[tuple[float, float]] = Counter()
    for (thick, behind), many in crossings(fence).items():
        counts[driven_size(thick, behind, sold)] += many * told.crossing
    kinds: Counter[Kind] = Counter(member.kind for member in fence.members)
    for kind, each in ((BRACE, BRACE_ENDS), (BOARD, BOARD_ENDS), (CAP, CAP_FIXINGS)):
        for member in fence.members:
            if member.kind == kind:
                counts[driven_size(nailed_through(member), math.inf, sold)] += each
    for member in fence.members:
        if member.kind == CAPPING:
            size = driven_size(nailed_through(member), math.inf, sold)
            counts[size] += capping_fixings(member.shape.size[2])
    for layout in fence.layouts:
        kick = layout.run.kick_board
        if kick is not None:
            counts[driven_size(kick.thickness, math.inf, sold)] += kick_fixings(layout)
    screws = sum(map(screws_in, fence.members))
    screws += kinds[STRAP] * STRAP_SCREWS + kinds[PIN] * PIN_SCREWS
    lines = []
    word = told.pales[:-1]
    for (length, diameter), count in sorted(counts.items()):
        lines.append(_sold(word, length, diameter, count, told.extra))
    for (length, diameter), count in upright_screws(fence).items():
        lines.append(_sold("framing screw", length, diameter, count, told.extra))
    if screws:
        length, diameter = SCREWS[0]
        lines.append(_sold("ironmongery screw", length, diameter, screws, told.extra))
    return lines


def upright_screw(width: float) -> tuple[float, float]:
    """Return length and diameter of the screws through an upright into a rail's end, mm.

    >>> upright_screw(50.0)
    (120.0, 6.0)
    """
    return driven_size(width, math.inf, SCREWS)


def upright_screws(fence: FenceModel) -> dict[tuple[float, float], int]:
    """Return how many screws of each length and diameter (mm) hold rails to uprights."""
    counts: Counter[tuple[float, float]] = Counter()
    for panel in fence.panels:
        if panel.plan.upright:
            ends = 2 * len(panel.of(RAIL))
            counts[upright_screw(panel.plan.upright)] += ends * UPRIGHT_SCREWS
    return dict(counts)


def screws_in(member: Member) -> int:
    """Return how many screws hold a piece of ironmongery."""
    if member.kind in (CHANNEL, BEAM):
        return 2 * (math.ceil(max(member.shape.size) / ALONG) + 1)
    cast = member.kind == GATE_STOP and member.role == IN_GROUND
    anchored = member.kind == CARRIAGE and member.leaf is None
    return 0 if cast or anchored or member.role == ON_RECEIVER else SCREWED.get(member.kind, 0)


def anchors_in(member: Member) -> int:
    """Return how many anchors hold a piece to a strip or a footing of concrete."""
    if member.kind == TRACK:
        return math.ceil(max(member.shape.size) / ANCHORED) + 1
    return 4 if member.kind == CARRIAGE and member.leaf is None else 0


def _anchors(fence: FenceModel) -> list[FixingLine]:
    """Return the anchors of tracks and of carriages on footings."""
    count = sum(map(anchors_in, fence.members))
    note = "in tracks and carriages, as their maker says"
    return [FixingLine(ANCHOR_ITEM, count, "each", count, note)] if count else []


def _borne(fence: FenceModel) -> dict[str, str]:
    """Return for what weight wheels and carriages of leaves are bought, by what the order calls
    them: the most that one of them bears of a leaf that is shut.

    A cantilever leaf lies on the carriage next to the opening, and is held down by the other.
    """
    most: dict[str, float] = {}
    for run, layout in enumerate(fence.layouts):
        for number, (opening, leaf) in enumerate(layout.hung):
            way = slid_way(opening, leaf)
            if way is None:
                continue
            weight = leaf_mass(fence, run, number)
            share = 0.5
            if way.plan.cantilever:
                middle = (leaf.x0 + leaf.x1) / 2.0
                share = 1.0 + abs(middle - way.carriages[0]) / way.plan.apart
            group = f"{layout.run.letter} gate {opening.number + 1}"
            for member in fence.by_group[run, group]:
                if member.kind in (WHEEL, CARRIAGE):
                    name = bought_name(member)
                    two = 2.0 if way.plan.cantilever and member.kind == WHEEL else 1.0
                    most[name] = max(most.get(name, 0.0), share * weight / two)
    return {
        name: f"for {math.ceil(kg)} kg or more, its share of the leaf" for name, kg in most.items()
    }


def leaf_mass(fence: FenceModel, run: int, number: int) -> float:
    """Return what all that hangs on a leaf weighs, kg. number : of the leaf in its run."""
    of = {TIMBER: fence.job.timber.density, METAL: STEEL}
    hung = (m for m in fence.members if m.run == run and m.leaf == number)
    return math.fsum(m.shape.volume * of[m.kind.material] for m in hung) / 1e9


def nailed_through(member: Member) -> float:
    """Return how thick a piece is where it is nailed, mm: a cap half-way between edge and point."""
    if isinstance(member.shape, Cap):
        return member.shape.thickness + member.shape.rise / 2.0
    return member.shape.size[0 if member.kind == CAPPING else 1]


def driven_size(
    thick: float, behind: float, sold: tuple[tuple[float, float], ...]
) -> tuple[float, float]:
    """Return length and diameter of the nail or screw that fixes a piece, mm.

    thick : of the piece; behind : of the timber it goes into, which it must not come out of.

    >>> driven_size(20.0, 38.0, NAILS), driven_size(32.0, 38.0, NAILS)
    ((50.0, 2.65), (65.0, 3.35))
    """
    fits = [one for one in sold if one[0] < thick + behind] or [sold[0]]
    return next((one for one in fits if one[0] >= REACH * thick - 1e-9), fits[-1])


def _sold(word: str, length: float, diameter: float, count: int, extra: float) -> FixingLine:
    """Return nails by weight, from the steel in them, and screws by number."""
    more = math.ceil(count * (1.0 + extra) - 1e-9)
    name = f"{word} {diameter:g} x {mm(length)}"
    if word == "nail":
        weight = math.pi * diameter**2 / 4.0 * length * STEEL / 1e9
        return FixingLine(
            name, more, "kg", math.ceil(more * weight * 10.0) / 10.0, "drill first near an end"
        )
    return FixingLine(name, more, "each", more, "")


@dataclass(frozen=True)
class CutEnds:
    """Timber laid open, to treat. area : of sawn ends, m2; litres : of preservative, a whole
    number; ends : how many; cuts, cut_area : holes, mortises and notches, and their sides, m2,
    where joints are cut.
    """

    area: float
    litres: int
    ends: int = 0
    cuts: int = 0
    cut_area: float = 0.0

    @property
    def words(self) -> str:
        """What is treated."""
        if not self.cuts:
            return f"{self.area:.2f} m2 of cut ends, two coats"
        return (
            f"{self.ends} cut ends of {self.area:.2f} m2, {self.cuts} holes and mortises of "
            f"{self.cut_area:.2f} m2, two coats"
        )


def cut_ends(fence: FenceModel) -> CutEnds:
    """Return the sawn ends: both of every piece, but of posts in the ground the top alone.

    The foot of these is the end they were sold with, treated whole.
    """
    area = 0.0
    for member in fence.members:
        if not member.kind.sawn:
            continue
        first, second, _ = member.shape.size
        area += first * second * (1.0 if keeps_end(fence, member) else 2.0) / 1e6
    fresh = list(fresh_surfaces(fence))
    ends = sum(one.count * one.ends for one in fresh)
    cuts = sum(one.count * one.cuts for one in fresh)
    opened = math.fsum(one.count * one.cut_area for one in fresh)
    litres = math.ceil((area + opened) * fence.job.fixings.preservative - 1e-9)
    return CutEnds(area, litres, ends, cuts, opened)
