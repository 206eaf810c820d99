"""Which view goes on which sheet, and where: as few sheets as their views need.

Sheets are filled one after the other, each in several orders and by several rules, of which the
one is kept that covers most of it; views that come much later count less, so that what belongs
together stays together. All is tried in a fixed order, so that the same views give the same sheets.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace

from palewright.export.drawing.draft.view import View
from palewright.model.geometry.frames import Point

from .free_paper import BETWEEN, RULES, Rect, Rule, free_area, free_boxes, spots, without
from .recorded import Placed, Recorded
from .sheet_frame import Size

NEARNESS = (2.0, 1.0, 0.5, 0.0)
"""How sheets are filled: a view that comes before others counts less by such a power of e for each
sheet that those would fill. The first keep related views nearer together.
"""

AHEAD = 3.0
"""A view may go before others that would fill so many sheets; more would tear related views apart.
"""

MOST_AHEAD = 40
"""So many views are tried on a sheet, so that the time for a long set grows with its length."""

MOST_USED = 0.92
"""Share of a sheet's free paper over which no more is tried on it, with what views keep free."""

WEAK, WELL = 0.4, 0.6
"""Share of a sheet's free paper that is used less of by a weak sheet, and more of by a full one."""


@dataclass(frozen=True)
class Stack:
    """Views that stay together, each under the one before it. left, high, width, height : of what
    they cover, mm.
    """

    placed: tuple[Placed, ...]
    left: float
    high: float
    width: float
    height: float

    @staticmethod
    def of(placed: Sequence[Placed], recorded: Recorded) -> Stack:
        """Measure placed views."""
        boxes = [
            (x0 + x, y0 + y, x1 + x, y1 + y)
            for one in placed
            for (x, y), (x0, y0, x1, y1) in ((one.at, recorded.reach(one.recorded)),)
        ]
        left, low = min(box[0] for box in boxes), min(box[1] for box in boxes)
        right, high = max(box[2] for box in boxes), max(box[3] for box in boxes)
        return Stack(tuple(placed), left, high, right - left, high - low)

    @property
    def row(self) -> str:
        """What its views are read with, one after the other."""
        return self.placed[0].view.row

    @property
    def group(self) -> str:
        """What the sheet is titled by."""
        return self.placed[0].view.group

    @property
    def area(self) -> float:
        """The paper that it takes with what is kept free round it, mm2."""
        return (self.width + BETWEEN) * (self.height + BETWEEN)

    def moved(self, spot: Point) -> Stack:
        """Return the views with their upper left corner at a spot."""
        dx, dy = spot[0] - self.left, spot[1] - self.high
        placed = (replace(one, at=(one.at[0] + dx, one.at[1] + dy)) for one in self.placed)
        return Stack(tuple(placed), *spot, self.width, self.height)

    def taken(self, spot: Point) -> Rect:
        """Return the paper that they take with their upper left corner at a spot."""
        x, top = spot
        right, low = x + self.width + BETWEEN, top - self.height - BETWEEN
        return x - BETWEEN, low, right, top + BETWEEN


Filled = dict[int, Point]
"""Where the stacks of a sheet stand, by their numbers."""


@dataclass(frozen=True)
class Paper:
    """Stacks to be packed, and an empty sheet. room : its free paper, mm2; nearness : how much
    less a stack counts for each sheet that the stacks before it would fill; tried : sheets that
    were filled before, by order and rule: nearness does not change them, and orders come again.
    """

    stacks: tuple[Stack, ...]
    empty: tuple[Rect, ...]
    room: float
    nearness: float = 0.0
    tried: dict[tuple[tuple[int, ...], Rule], Filled] = field(default_factory=dict, compare=False)

    def used(self, sheet: Filled) -> float:
        """Return the share of a sheet's free paper that its stacks take."""
        return math.fsum(self.stacks[number].area for number in sheet) / self.room


@dataclass(frozen=True)
class Packed:
    """Views on sheets. worth : what is better the less it is, the count of sheets first; used :
    how many sheets their boxes would cover; room : the free paper of a sheet, mm2; misfits :
    whether some fit no empty sheet.
    """

    sheets: tuple[tuple[Placed, ...], ...]
    worth: tuple[float, ...]
    used: float
    room: float
    misfits: bool

    @property
    def weak(self) -> float:
        """How many sheets are nearly empty though others follow."""
        return self.worth[1]


def pack(
    views: Sequence[View],
    size: Size,
    recorded: Recorded,
    *,
    foot: float = 0.0,
    last: bool = True,
) -> Packed:
    """Return the views placed on sheets, in the order in which they are read.

    Views that fit no empty sheet get one of their own all the same. Views that are read one after
    the other (a row) never go back to a sheet before the last of them, nor above or before it on
    the same one. foot : mm kept free at the bottom; last : whether no sheets follow, so that the
    last may be as empty as it comes.
    """
    empty = tuple((box.left, box.low, box.right, box.high) for box in free_boxes(size, foot))
    stacks = tuple(_stacks(views, recorded, empty))
    plain = Paper(stacks, empty, free_area(size))
    found: list[tuple[tuple[float, ...], list[Filled]]] = []
    for nearness in NEARNESS:
        made = _emptied(_sheets(replace(plain, nearness=nearness)), plain)
        made = _emptiest_last(made, plain) if last else _balanced(made, plain)
        found.append((_worth(made, plain, last=last), made))
    worth, best = min(found, key=lambda one: one[0])
    sheets = tuple(
        tuple(one for number in sorted(sheet) for one in stacks[number].moved(sheet[number]).placed)
        for sheet in best
    )
    used = math.fsum(stack.area for stack in stacks) / plain.room
    return Packed(sheets, worth, used, plain.room, any(_misfit(one, empty) for one in stacks))


def _misfit(stack: Stack, empty: Sequence[Rect]) -> bool:
    return not spots(empty, stack.width, stack.height, RULES[0])


def _worth(made: Sequence[Filled], paper: Paper, *, last: bool) -> tuple[float, ...]:
    """Return what is better the less it is: sheets, weak ones that others follow, what full sheets
    lack, and how many sheets the views of a group are spread over.
    """
    used = [paper.used(sheet) for sheet in made]
    before = used[:-1] if last else used
    weak = sum(share < WEAK for share in before)
    lacking = math.fsum(max(0.0, WELL - share) for share in used[:-1])
    spread = {(paper.stacks[n].group, place) for place, sheet in enumerate(made) for n in sheet}
    return len(made), weak, round(lacking, 1), len(spread)


def _emptied(made: list[Filled], paper: Paper) -> list[Filled]:
    """Return sheets without the last, where those before it have room for all that is on it."""
    while len(made) > 1:
        kept = list(made[:-1])
        for number in sorted(made[-1], key=lambda n: (-paper.stacks[n].area, n)):
            for place in range(len(kept) - 1, -1, -1):
                filled = _joined_by(number, place, kept, paper)
                if filled is not None:
                    kept[place] = filled
                    break
            else:
                return made
        made = kept
    return made


def _joined_by(number: int, place: int, made: Sequence[Filled], paper: Paper) -> Filled | None:
    """Return a sheet with one stack more, or None where it has no room, or the stack's row would
    not be read in its order.
    """
    sheet, stack = made[place], paper.stacks[number]
    if paper.used(sheet) + stack.area / paper.room > MOST_USED:
        return None
    if stack.row and any(
        paper.stacks[n].row == stack.row for one in made[place + 1 :] for n in one
    ):
        return None
    numbers = sorted([*sheet, number])
    return _all_on_one(numbers, paper)


def _all_on_one(numbers: Sequence[int], paper: Paper) -> Filled | None:
    """Return a sheet with all of some stacks, or None."""
    for order in _orders(numbers, numbers, paper):
        for rule in RULES:
            filled = _filled(order, rule, paper)
            if len(filled) == len(numbers):
                return filled
    return None


def _emptiest_last(made: list[Filled], paper: Paper) -> list[Filled]:
    """Return sheets with a nearly empty one put after the others, where no row forbids it."""

    def rows(sheet: Filled) -> set[str]:
        return {paper.stacks[number].row for number in sheet} - {""}

    for place, sheet in enumerate(made[1:-1], 1):
        after = [rows(other) for other in made[place + 1 :]]
        if paper.used(sheet) < WEAK and not any(rows(sheet) & other for other in after):
            return [*made[:place], *made[place + 1 :], sheet]
    return made


def _balanced(made: list[Filled], paper: Paper) -> list[Filled]:
    """Return sheets of which the last takes some of the one before it as long as it is weak."""
    made = list(made)
    while len(made) > 1 and paper.used(made[-1]) < WEAK:
        for number in sorted(made[-2], reverse=True):
            rest = {n: spot for n, spot in made[-2].items() if n != number}
            if paper.used(rest) < WEAK:
                continue
            filled = _all_on_one(sorted([*made[-1], number]), paper)
            if filled is not None:
                made[-2:] = [rest, filled]
                break
        else:
            break
    return made


def _sheets(paper: Paper) -> list[Filled]:
    """Return sheets filled one after the other."""
    waiting = list(range(len(paper.stacks)))
    made: list[Filled] = []
    while waiting:
        filled = _best_filled(waiting, paper)
        made.append(filled)
        waiting = [number for number in waiting if number not in filled]
    return made


def _best_filled(waiting: Sequence[int], paper: Paper) -> Filled:
    """Return the sheet with the first of the waiting stacks that is filled best."""
    counts: dict[int, float] = {}
    near: list[int] = []
    before = 0.0
    for number in waiting[:MOST_AHEAD]:
        if before > AHEAD:
            break
        area = paper.stacks[number].area
        counts[number] = area * math.exp(-paper.nearness * before)
        before += area / paper.room
        if before < 1.0:
            near.append(number)
    best: Filled = {}
    most = -1.0
    for order in _orders(near or waiting[:1], list(counts), paper):
        for rule in RULES:
            filled = _filled(order, rule, paper)
            worth = math.fsum(counts[number] for number in filled)
            if waiting[0] in filled and worth > most + 1e-6:
                best, most = filled, worth
    if best:
        return best
    left, _, _, high = paper.empty[0]
    return {waiting[0]: (left, high)}  # it fits no sheet


def _orders(near: Sequence[int], numbers: Sequence[int], paper: Paper) -> Iterator[list[int]]:
    """Yield the orders in which a sheet is filled: first with what would fill it by itself, then
    with what comes later; the very first at its upper left, or else the tallest or the largest.
    """
    stacks = paper.stacks
    keys: tuple[Callable[[int], float], ...] = (
        lambda n: 0.0,
        lambda n: -stacks[n].height,
        lambda n: -stacks[n].area,
        lambda n: -stacks[n].width,
    )
    first, later = list(near[:1]), numbers[len(near) :]
    for key in keys:
        for other in (keys[0], keys[2]):
            yield [*first, *sorted(near[1:], key=key), *sorted(later, key=other)]
    for key in keys[1:3]:
        yield [*sorted(near, key=key), *later]


def _filled(order: Sequence[int], rule: Rule, paper: Paper) -> Filled:
    """Return where stacks stand that are put on an empty sheet in an order, as many as fit."""
    key = tuple(order), rule
    if key not in paper.tried:
        paper.tried[key] = _put_on_one(order, rule, paper)
    return paper.tried[key]


def _put_on_one(order: Sequence[int], rule: Rule, paper: Paper) -> Filled:
    free: list[Rect] = list(paper.empty)
    placed: Filled = {}
    before = _before(order, paper)
    pending = list(order)
    while pending:
        later: list[int] = []
        for number in pending:
            stack = paper.stacks[number]
            last = before.get(number)
            if last is not None and last not in placed:
                later.append(number)
                continue
            found = spots(free, stack.width, stack.height, rule)
            if last is not None:
                found = [spot for spot in found if _follows(spot, last, placed, paper)]
            if found:
                placed[number] = found[0]
                free = without(free, stack.taken(found[0]))
        if len(later) == len(pending):
            break
        pending = later
    return placed


def _before(order: Sequence[int], paper: Paper) -> dict[int, int]:
    """Return which stack each of those in a row is read after."""
    last: dict[str, int] = {}
    before: dict[int, int] = {}
    for number in sorted(order):
        row = paper.stacks[number].row
        if row and row in last:
            before[number] = last[row]
        if row:
            last[row] = number
    return before


def _follows(spot: Point, last: int, placed: Filled, paper: Paper) -> bool:
    """Tell whether a spot is read after a stack: under it, or beside it at its right."""
    left, high = placed[last]
    stack = paper.stacks[last]
    under = spot[1] <= high - stack.height
    beside = spot[0] >= left + stack.width and spot[1] <= high + 1e-6
    return under or beside


def _stacks(views: Sequence[View], recorded: Recorded, empty: Sequence[Rect]) -> Iterator[Stack]:
    """Yield views that stay together as one; alone where an empty sheet has no room for all."""
    columns: list[list[View]] = []
    for view in views:
        if view.under and columns:
            columns[-1].append(view)
        else:
            columns.append([view])
    for column in columns:
        stacked: list[Placed] = []
        low = 0.0
        for view in column:
            marks = recorded.of(view)
            _, bottom, _, top = recorded.reach(marks)
            stacked.append(Placed(view, (0.0, low - top), marks))
            low += bottom - top - BETWEEN
        stack = Stack.of(stacked, recorded)
        if len(stacked) == 1 or spots(empty, stack.width, stack.height, RULES[0]):
            yield stack
        else:
            # apart they are still read one after the other
            row = column[0].row
            for one in stacked:
                yield Stack.of([replace(one, view=replace(one.view, row=row))], recorded)
