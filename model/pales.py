"""Pales along a stretch: where they may stand, how they are spaced, how long they are."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from .curves import arc_through
from .geometry import Frame, Outline, Point
from .heads import pale_outline
from .layout import MEET, Limit, RunLayout, SetPale, Stretch
from .members import PALE, Piece
from .shapes import Plate, tidy, tidy_slope
from .spacing import Spacing, space_pales
from .top_line import span, top_offset

SHARES = {"pale": 0.0, "half-gap": 0.5, "gap": 1.0}

LEAST = 10.0
"""No side of a pale is cut shorter than this, mm."""

MOST_BEVEL = 0.6
"""A pale is mitred at a corner where the cut takes no more than this share of its width."""


@dataclass(frozen=True)
class PaleRow:
    """The pales of a stretch.

    x0, x1 : ends of the part they fill; parts : where each equally spaced part starts, and how
    it is filled (one part, or one a bay); width : of a pale.
    """

    x0: float
    x1: float
    parts: tuple[tuple[float, Spacing], ...]
    width: float

    @property
    def edges(self) -> tuple[float, ...]:
        """X of each pale's first edge."""
        return tuple(
            start + edge for start, spacing in self.parts for edge in spacing.edges(self.width)
        )

    @property
    def count(self) -> int:
        """How many pales there are."""
        return sum(spacing.count for _, spacing in self.parts)

    @property
    def gap(self) -> float:
        """The largest gap, mm; all are equal where the row has one part."""
        return max(spacing.gap for _, spacing in self.parts)


def pale_row(layout: RunLayout, stretch: Stretch) -> PaleRow:
    """Return where the pales of a stretch stand."""
    run = layout.run
    x0, first = _end(layout, stretch.first, at_start=True)
    x1, last = _end(layout, stretch.last, at_start=False)
    cuts = [x0, *(stretch.xs[1:-1] if run.pales.spaced == "bay" else ()), x1]
    parts = []
    for number, (start, end) in enumerate(itertools.pairwise(cuts)):
        spacing = space_pales(
            end - start,
            run.pales.width,
            run.pales.gap,
            largest=run.gap_max,
            at_start=first if number == 0 else 0.5,
            at_end=last if number == len(cuts) - 2 else 0.5,
        )
        parts.append((start, spacing))
    return PaleRow(x0, x1, tuple(parts), run.pales.width)


def _end(layout: RunLayout, limit: Limit, *, at_start: bool) -> tuple[float, float]:
    """Return where pales may stand up to, and the share of a gap that is kept from there.

    At a corner the pales of both legs meet in one upright line: where their backs cross outside
    the corner, where their fronts cross inside it. Mitred ones go on to where the other sides
    cross.
    """
    run = layout.run
    share = SHARES[run.pales.ends]
    if limit.kind != "corner":
        return limit.x, share
    mitred = bevel(layout, limit) != 0.0
    if (share > 0.0 or abs(limit.turn) < MEET) and not mitred:
        share = 0.5
    plane = run.pale_back if (limit.turn > 0) != mitred else run.pale_front
    reach = plane * math.tan(math.radians(limit.turn) / 2.0)
    return limit.x + (-reach if at_start else reach), 0.0 if mitred else share


def bevel(layout: RunLayout, limit: Limit) -> float:
    """Return dx/dy of the mitre of a leg's last pale at a corner, 0 when it is not mitred."""
    run = layout.run
    if run.corners.pales != "mitre" or limit.kind != "corner" or abs(limit.turn) < MEET:
        return 0.0
    slope = math.tan(math.radians(limit.turn) / 2.0)
    if abs(slope) * run.pales.thickness > MOST_BEVEL * run.pales.width:
        return 0.0
    return -slope


def with_pales(layout: RunLayout) -> RunLayout:
    """Return a layout with the pales of each stretch in their places.

    The top line follows the bay's base (and its shape); a foot stays `clearance` over the highest
    ground under the pale. Where the ground differs from the base the length does too: it is up to
    `slopes.group` shorter than it could be, so that the run needs few different lengths.
    """
    run = layout.run
    clearance = run.pales.clearance
    half = run.pales.width / 2.0
    standing: list[list[tuple[SetPale, float]]] = []  # each with its room to be longer
    for stretch in layout.stretches:
        leg = layout.legs[stretch.leg]
        spots = []
        for edge in pale_row(layout, stretch).edges:
            x = edge + half
            bay = stretch.bay_at(x)
            setting = stretch.settings[bay]
            plain = setting.base(x) + abs(setting.slope) * half + run.height
            room = tidy(plain - leg.highest(x - half, x + half) - clearance - run.pales.length)
            if setting.follow == "step" and setting.fill != "pales":
                room = min(room, 0.0)
            offset = top_offset(layout, stretch, bay, x)
            spots.append((SetPale(x, bay, plain + offset, run.pales.length + offset), room))
        standing.append(spots)
    chosen = grouped((room for spots in standing for _, room in spots), run.slopes.group)
    pales = tuple(
        _with_bevels(
            layout,
            stretch,
            [replace(pale, length=tidy(pale.length + chosen[room])) for pale, room in spots],
        )
        for stretch, spots in zip(layout.stretches, standing, strict=True)
    )
    return replace(layout, pales=pales)


def _with_bevels(layout: RunLayout, stretch: Stretch, pales: list[SetPale]) -> tuple[SetPale, ...]:
    if pales:
        left, right = -bevel(layout, stretch.first), bevel(layout, stretch.last)
        pales[0] = replace(pales[0], bevels=(left, pales[0].bevels[1]))
        pales[-1] = replace(pales[-1], bevels=(pales[-1].bevels[0], right))
    return tuple(pales)


def grouped(rooms: Iterable[float], tolerance: float) -> dict[float, float]:
    """Return for each room the length to use of it, with few different lengths.

    Each length is at most its room and at least `tolerance` less. Rooms that 0 suits (the plain
    pale) get 0; the rest get the fewest lengths that do: the smallest room serves all that are no
    more than the tolerance over it, and so on up (stabbing intervals from the left is optimal).

    Examples
    --------
    >>> grouped([0.0, 4.0, 30.0, 33.0, 52.0], 20.0)
    {0.0: 0.0, 4.0: 0.0, 30.0: 30.0, 33.0: 30.0, 52.0: 52.0}
    """
    result: dict[float, float] = {}
    length = -math.inf
    for room in sorted(set(rooms)):
        if 0.0 <= room <= tolerance:
            result[room] = 0.0
            continue
        if room - tolerance > length:
            whole = float(math.floor(room))
            length = whole if room - whole <= tolerance else room
        result[room] = length
    return result


def pale_members(
    layout: RunLayout, stretch: Stretch, pales: tuple[SetPale, ...], groups: list[str]
) -> Iterator[Piece]:
    """Yield the pales of a stretch. groups : name of each bay."""
    run = layout.run
    leg = layout.legs[stretch.leg]
    thickness = run.pales.thickness
    for pale in pales:
        outline = pale_shape(layout, stretch, pale)
        place = Frame.at(pale.x, -run.pale_front, pale.foot)
        bevels = (tidy_slope(pale.bevels[0]), tidy_slope(pale.bevels[1]))
        other = _turned_round(outline)
        plain = run.top_line.heads == "pale" or bevels != (0.0, 0.0)
        if not plain and other.vertices < outline.vertices:
            # a mirrored pale is the same board with its other face to the front
            outline = other
            spot = (pale.x, thickness - run.pale_front, pale.foot)
            place = Frame(spot, (-1.0, 0.0, 0.0), (0.0, -1.0, 0.0))
        plate = Plate(outline, thickness, *bevels)
        yield Piece(PALE, plate, leg.frame @ place, groups[pale.bay], "pale", stretch.leg)


def _turned_round(outline: Outline) -> Outline:
    """Return a pale's outline seen from its back, its foot first as in `pale_shape`."""
    left, right, *top = outline.vertices
    bulges = [bulge for _, _, bulge in top[-2::-1]] + [0.0]
    turned = [(-x + 0.0, z, b) for (x, z, _), b in zip(reversed(top), bulges, strict=True)]
    return Outline((left, right, *turned))


def pale_shape(layout: RunLayout, stretch: Stretch, pale: SetPale) -> Outline:
    """Return the outline of a pale: its head square to it, or cut along the top line."""
    run = layout.run
    if run.top_line.heads == "pale":
        if pale.length <= run.head.rise(run.pales.width):
            return _stub(run.pales.width, pale.length)
        return pale_outline(run.head, run.pales.width, pale.length)
    half = run.pales.width / 2.0
    setting = stretch.settings[pale.bay]
    middle = setting.base(pale.x) + top_offset(layout, stretch, pale.bay, pale.x)

    def height(dx: float) -> float:
        x = pale.x + dx
        level = setting.base(x) + top_offset(layout, stretch, pale.bay, x)
        return pale.length + level - middle

    ends = span(stretch, pale.bay, run.top_line.over)
    kinks = sorted(end - pale.x for end in ends if abs(end - pale.x) < half - 1e-6)
    if run.top_line.shape == "straight":
        kinks = []
    cuts = [-half, *kinks, half]
    if min(height(x) for x in cuts) < LEAST:
        return _stub(run.pales.width, pale.length)
    loop: list[tuple[float, float, float]] = [(-half, 0.0, 0.0), (half, 0.0, 0.0)]
    for x0, x1 in itertools.pairwise(reversed(cuts)):
        spots: list[Point] = [(x, height(x)) for x in (x0, (x0 + x1) / 2.0, x1)]
        arc = arc_through(*spots)
        flat = arc is None or abs(arc.sweep) < 1e-6
        bulge = 0.0 if arc is None or flat else math.tan(arc.sweep / 4.0)
        loop.append((tidy(x0), tidy(spots[0][1]), tidy_slope(bulge)))
    loop.append((-half, tidy(height(-half)), 0.0))
    return Outline(tuple(loop))


def _stub(width: float, length: float) -> Outline:
    """Return what stands for a pale that cannot be cut; the checks stop a job that has one."""
    return Outline.rectangle(-width / 2.0, 0.0, width / 2.0, max(tidy(length), LEAST))


def clearances(
    layout: RunLayout, stretch: Stretch, pales: tuple[SetPale, ...]
) -> tuple[float, float]:
    """Return the smallest and the largest clearance under the pales of a stretch, mm.

    Measured over the whole width of every pale; (0, 0) where there is none.
    """
    leg, half = layout.legs[stretch.leg], layout.run.pales.width / 2.0
    if not pales:
        return 0.0, 0.0
    return (
        min(p.foot - leg.highest(p.x - half, p.x + half) for p in pales),
        max(p.foot - leg.lowest(p.x - half, p.x + half) for p in pales),
    )
