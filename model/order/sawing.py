"""Timber by section: what is cut, from which lengths, and what is left over."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from palewright.model.basis.units import format_length as mm
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.shapes import bar_of
from palewright.model.parts.members import BOARD, GUIDE_POST, PALE, POST, RAIL, Member
from palewright.model.parts.pales import kind_of_pale
from palewright.model.spec.buying import Timber

from .already_cut import cut_uses
from .cutting import cut
from .fence_figures import BROWN, finish_name
from .stock import CutPlan, Saw, Source, Stock, tenths

ROUNDING = 0.05
"""Lengths that differ by less are the same, mm."""

STEP = 300.0
"""Lengths that no merchant lists are ordered in steps of so much, mm."""


@dataclass(frozen=True)
class Section:
    """A section of timber as it is ordered. large, small : mm; form : "" or "arris";
    ground : whether it stands in the ground, which asks for a higher use class; brown : whether it
    is bought treated brown.
    """

    large: float
    small: float
    form: str = ""
    ground: bool = False
    brown: bool = False

    @property
    def use_class(self) -> str:
        """Use class of EN 335: 4 in contact with the ground, 3 outside above it; and a colour of
        its treatment.
        """
        number = 4 if self.ground else 3
        return f"use class {number}{' treated brown' if self.brown else ''}"

    @property
    def name(self) -> str:
        """What the order calls it: "75 x 38 use class 3"."""
        form = f"{self.form} " if self.form else ""
        return f"{form}{mm(self.large)} x {mm(self.small)} {self.use_class}"

    def same(self, section: tuple[float, float]) -> bool:
        """Tell whether a section given in a spec is this one, either way round."""
        large, small = max(section), min(section)
        return abs(large - self.large) < 0.05 and abs(small - self.small) < 0.05


@dataclass(frozen=True)
class TimberLine:
    """One section: its pieces, and the plan to cut them.

    marks : of each length of piece in mm, which members have it; volume : of the finished
    members, mm3; weight : of them, kg; special : lengths that had to be added to those sold,
    because a piece is longer, mm.
    """

    section: Section
    marks: tuple[tuple[float, tuple[str, ...]], ...]
    plan: CutPlan
    volume: float
    weight: float
    special: tuple[float, ...] = ()

    def marks_of(self, piece: float) -> str:
        """Return the marks of the members that a piece becomes: "RA1" or "RA1 RA4"."""
        return " ".join(dict(self.marks).get(piece, ()))


CostOf = Callable[[Section, float], int | None]
"""What one board of a section and length (mm) costs, in a whole number of the smallest coin; None
for a length that is not sold."""


def by_length(section: Section, length: float) -> int:
    """Return a board's length as its cost: without prices, the least timber is the cheapest."""
    return round(length)


def section_of(fence: FenceModel, member: Member) -> Section:
    """Return the section that a timber member is sawn from.

    Pales and gravel boards that are cut narrower come from the whole section.
    """
    job = fence.layouts[member.run].run
    first, second, _ = member.shape.size
    if member.kind == PALE:
        first, second = kind_of_pale(fence.layouts[member.run], member).width, job.pales.thickness
    elif member.kind == BOARD:
        first, second = job.slopes.board
    bar = bar_of(member.shape)
    arris = member.kind == RAIL and bar is not None and len(bar.section) != 4
    form = "arris" if arris else ""
    brown = finish_name(member.kind, fence.job.finishes) == BROWN
    return Section(max(first, second), min(first, second), form, in_ground(fence, member), brown)


def in_ground(fence: FenceModel, member: Member) -> bool:
    """Tell whether timber touches the ground where it stands, which is use class 4 of EN 335: posts
    that are set in it, and pales and boards that come down to it.
    """
    if member.kind == GUIDE_POST:
        return True
    if member.kind == POST:
        return fence.posts[member.run, member.station].plan.foot.buried
    run = fence.layouts[member.run].run
    if member.kind == BOARD:
        return run.slopes.board_clearance <= 0.0
    return member.kind == PALE and member.leaf is None and run.pales.clearance <= 0.0


def bought_shaped(fence: FenceModel, member: Member) -> bool:
    """Tell whether a member is a pale that is bought with its head made.

    Shorter and narrower ones are cut out of such a pale; longer ones are sawn from timber.
    """
    layout = fence.layouts[member.run]
    if member.kind != PALE or not layout.run.pales.ready_shaped:
        return False
    kind = kind_of_pale(layout, member)
    sold = {(one.head, one.width) for one in layout.run.pales.sorts}
    return (kind.head, kind.width) in sold and member.shape.size[2] <= kind.length + ROUNDING


def sawn(fence: FenceModel) -> dict[Section, dict[str, tuple[float, int]]]:
    """Return the pieces of each section: of each mark its length (mm) and count.

    Caps are bought, not sawn, and so are pales that come ready shaped.
    """
    pieces: dict[Section, dict[str, tuple[float, int]]] = {}
    for mark, group in fence.by_mark.items():
        kind = group[0].kind
        if not kind.sawn or bought_shaped(fence, group[0]):
            continue
        length = group[0].shape.size[2]
        pieces.setdefault(section_of(fence, group[0]), {})[mark] = (length, len(group))
    order = sorted(pieces, key=lambda s: (not s.ground, -s.large * s.small, s.name))
    return {section: pieces[section] for section in order}


def _to_saw(fence: FenceModel) -> dict[Section, dict[str, tuple[float, int]]]:
    """Return the pieces of each section that are not cut already."""
    _, made = cut_uses(fence)
    rest: dict[Section, dict[str, tuple[float, int]]] = {}
    for section, pieces in sawn(fence).items():
        for mark, (length, count) in pieces.items():
            if count > made.get(mark, 0):
                rest.setdefault(section, {})[mark] = (length, count - made.get(mark, 0))
    return rest


def timber_lines(fence: FenceModel, cost: CostOf = by_length) -> tuple[TimberLine, ...]:
    """Return one line for each section with its plan."""
    from .columns import work_for

    told = fence.job.timber
    lines = []
    by_section = _to_saw(fence)
    counts = {s: sum(many for _, many in of.values()) for s, of in by_section.items()}
    total = sum(counts.values())
    for section, pieces in by_section.items():
        work = work_for(total) * counts[section] // total
        demand: dict[float, int] = {}
        marks: dict[float, list[str]] = {}
        for mark, (length, count) in pieces.items():
            piece = tenths(length) / 10.0
            demand[piece] = demand.get(piece, 0) + count
            marks.setdefault(piece, []).append(mark)
        stocks, special = stocks_of(section, demand, told, cost)
        plan = cut(demand, stocks, saw_of(section, told), ends=section.ground, work=work)
        volume = math.fsum(
            fence.by_mark[mark][0].shape.volume * count for mark, (_, count) in pieces.items()
        )
        lines.append(
            TimberLine(
                section,
                tuple((piece, tuple(of)) for piece, of in sorted(marks.items(), reverse=True)),
                plan,
                volume,
                volume * told.density / 1e9,
                special,
            )
        )
    return tuple(lines)


def saw_of(section: Section, told: Timber) -> Saw:
    """Return how a section is sawn. Posts keep an end as sold, treated whole, for the ground."""
    return Saw(told.kerf, 0.0 if section.ground else told.trim)


def stocks_of(
    section: Section, demand: Mapping[float, int], told: Timber, cost: CostOf
) -> tuple[tuple[Stock, ...], tuple[float, ...]]:
    """Return what a section can be cut from, and which lengths were added to those sold."""
    saw = saw_of(section, told)
    lengths, pack = told.lengths, 1
    for own in told.section:
        if section.same(own.section):
            lengths, pack = own.lengths, own.pack
    costs = {length: cost(section, length) for length in sorted(set(lengths))}
    if all(price is None for price in costs.values()):
        costs = {length: by_length(section, length) for length in costs}
    stocks = [
        Stock(length, price * pack, None, pack)
        for length, price in costs.items()
        if price is not None
    ]
    longest = max(demand, default=0.0)
    special: tuple[float, ...] = ()
    if stocks and longest > max(stock.length for stock in stocks) + ROUNDING:
        length = math.ceil((longest + 2.0 * saw.trim) / STEP - 1e-9) * STEP
        dearest = max(stock.cost / stock.pack / stock.length for stock in stocks)
        price = cost(section, length) or math.ceil(dearest * length)
        stocks.append(Stock(length, price, None, 1, "to order", Source.TO_ORDER))
        special = (length,)
    for number, offcut in enumerate(told.offcut, 1):
        if section.same(offcut.section):
            name = f"yard {number}"
            stocks.append(Stock(offcut.length, 0, offcut.count, 1, name, Source.YARD, number))
    return tuple(stocks), special


def waste(fence_lines: tuple[TimberLine, ...]) -> float:
    """Return the share of all timber bought, by volume, that does not become members' lengths."""
    areas = [line.section.large * line.section.small for line in fence_lines]
    plans = [line.plan for line in fence_lines]
    bought = math.fsum(plan.length * area for plan, area in zip(plans, areas, strict=True))
    used = math.fsum(plan.pieces * area for plan, area in zip(plans, areas, strict=True))
    return 0.0 if bought == 0.0 else 1.0 - used / bought
