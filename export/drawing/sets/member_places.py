"""Tables of where each member is: lines, rails, pales and boards along them; rows of text.

Places are running: each from the start of its line, each level from one datum, so that what is
rounded on paper does not add up from one to the next.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from palewright.export.drawing.draft.figures import Figures
from palewright.export.drawing.views.front import fronts_of
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.frames import Frame, Vector
from palewright.model.geometry.shapes import Bar, Plate, bar_of
from palewright.model.layout.run_layout import stations_of_leg
from palewright.model.lists.bay_marks import marks_words
from palewright.model.parts.members import BOARD, PALE, PANEL_UPRIGHT, RAIL, Kind, Member
from palewright.model.resolved.job import RunJob

from .schedules import Rows

MANY = 3
"""Marks by turns stand in brackets where they come so often one after the other."""

EVEN = 0.05
"""What stands no farther than this from an even row is in it, mm."""


@dataclass(frozen=True)
class PlacedLine:
    """A leg of a run under the name of the elevation that shows it. name : "A1", of the third leg
    of a bend "A1.3"; run, leg : numbers; posts : labels at its ends; frame : at its start, x along
    it; length : mm; members : that are counted with it, in order along it.
    """

    name: str
    run: int
    leg: int
    posts: tuple[str, str]
    frame: Frame
    length: float
    members: tuple[Member, ...]

    def of(self, kind: Kind) -> list[Member]:
        """Return its members of a kind that hang on no gate, in order along it."""
        return [m for m in self.members if m.kind == kind and m.leaf is None]

    def at(self, member: Member, point: Vector) -> Vector:
        """Return a member's own point as along the line, behind it, and up in the model, mm."""
        there = member.frame.point(point)
        x, y, _ = self.frame.local(there)
        return x, y, there[2]


def placed_lines(fence: FenceModel) -> list[PlacedLine]:
    """Return the legs of all runs, each from left to right seen from the front."""
    lines = []
    for run, layout in enumerate(fence.layouts):
        for front in fronts_of(layout):
            for place, leg in enumerate(front.legs, 1):
                name = f"{layout.run.letter}{front.number}"
                stations = stations_of_leg(layout, leg)
                ends = (stations[0][1].label, stations[-1][1].label) if stations else ("", "")
                lines.append(
                    PlacedLine(
                        f"{name}.{place}" if len(front.legs) > 1 else name,
                        run,
                        leg,
                        ends,
                        layout.legs[leg].frame,
                        layout.legs[leg].length,
                        tuple(member for _, member in fence.along[run, leg]),
                    )
                )
    return lines


def line_rows(fence: FenceModel, figures: Figures) -> Rows:
    """Return the lines with the site coordinates of both ends, through the line posts' middles."""
    origin, unit = fence.job.origin, level_unit(fence, figures)
    rows = [["line", "posts", f"from east{unit}", f"from north{unit}", f"to east{unit}",
             f"to north{unit}", "length"]]  # fmt: skip
    for line in placed_lines(fence):
        ends = (line.frame.origin, line.frame.point((line.length, 0.0, 0.0)))
        places = [at[axis] + origin[axis] for at in ends for axis in (0, 1)]
        rows.append(
            [line.name, _to(line.posts), *(figures.fine_site(place, origin) for place in places),
             figures.text(line.length)]
        )  # fmt: skip
    return rows


def before_rows(fence: FenceModel, figures: Figures) -> Rows:
    """Return how far faces are in front of the line through the middles of the line posts."""
    rows = [["lines", "run", "posts' fronts", "rails' backs", "rails' fronts", "pales' backs",
             "pales' fronts"]]  # fmt: skip
    kicked = any(layout.run.kick_board is not None for layout in fence.layouts)
    capped = any(layout.run.capping is not None for layout in fence.layouts)
    names = other_layers(fence)
    for name in names:
        rows[0] += [f"{name} pales' backs", f"{name} pales' fronts"]
    rows[0] += ["kick boards' fronts"] if kicked else []
    rows[0] += ["capping's back", "capping's front"] if capped else []
    for layout in fence.layouts:
        run = layout.run
        places = (run.face, *run.rails.faces(run.face), run.pale_back, run.pale_front)
        row = [run.letter, run.called, *(figures.fine(place) for place in places)]
        own = {layer.name: layer for layer in run.layers}
        for name in names:
            faces = (own[name].back, own[name].front) if name in own else ()
            row += [figures.fine(face) for face in faces] or ["", ""]
        if kicked:
            kick = run.kick_board
            row.append("" if kick is None else figures.fine(kick.front(run.face)))
        if capped:
            plan = run.capping
            row += ["", ""] if plan is None else [figures.fine(plan.back), figures.fine(plan.front)]
        rows.append(row)
    return rows


def other_layers(fence: FenceModel) -> list[str]:
    """Return the layers of pales that are not on the front of the rails, in the order of runs."""
    layers = (layer.name for layout in fence.layouts for layer in layout.run.layers)
    return list(dict.fromkeys(name for name in layers if name != "front"))


def rail_place_rows(fence: FenceModel, figures: Figures, kind: Kind = RAIL) -> Rows:
    """Return rails of a kind: from where to where along their line, and the levels of their
    undersides; those alike that go on in a straight line share a row.
    """
    text, level = figures.text, level_text(fence, figures)
    unit = level_unit(fence, figures)
    rows = [["line", "rail", "no.", "mark", "from", "to", "back from", "back to",
             f"underside left{unit}", f"underside right{unit}"]]  # fmt: skip
    for line in placed_lines(fence):
        rails = [(rail, *rail_ends(line, rail)) for rail in line.of(kind)]
        rails.sort(key=lambda rail: (course_of(rail[0]), rail[1][0]))
        for row in _going_on(rails):
            (first, left, _, (back, _)), (_, _, right, (_, behind)) = row[0], row[-1]
            backs = ["", ""]
            if max(abs(back - left[0]), abs(behind - right[0])) >= EVEN:
                backs = [text(back), text(behind)]
            rows.append(
                [line.name, str(course_of(first)), str(len(row)), first.mark, text(left[0]),
                 text(right[0]), *backs, level(left[2]), level(right[2])]
            )  # fmt: skip
    return rows


PlacedRail = tuple[Member, Vector, Vector, tuple[float, float]]
"""A rail with the lower front corners of its ends, and x of its ends at its back, mm."""


def _going_on(rails: Sequence[PlacedRail]) -> Iterator[list[PlacedRail]]:
    """Yield rails that are alike and go on in a straight line, each beginning where one ends."""
    row: list[PlacedRail] = []
    for rail in rails:
        if row and not _goes_on(row, rail):
            yield row
            row = []
        row.append(rail)
    if row:
        yield row


def _goes_on(row: Sequence[PlacedRail], rail: PlacedRail) -> bool:
    (_, start, one, (back, _)), (last, _, end, (_, behind)) = row[0], row[-1]
    member, left, right, (after, beyond) = rail
    if (member.mark, course_of(member)) != (last.mark, course_of(last)):
        return False
    share = (right[0] - start[0]) / max(one[0] - start[0], EVEN)
    expected = start[2] + (one[2] - start[2]) * share
    offs = (left[0] - end[0], left[2] - end[2], expected - right[2], back - start[0],
            behind - end[0], after - left[0], beyond - right[0])  # fmt: skip
    return all(abs(off) < EVEN for off in offs)


def course_of(rail: Member) -> int:
    """Return the number of a rail in its bay, the lowest first; a capping rail is alone."""
    return int(rail.role.split()[1]) if rail.kind == RAIL else 1


def rail_ends(line: PlacedLine, rail: Member) -> tuple[Vector, Vector, tuple[float, float]]:
    """Return the lower front corners of a rail's ends, and x of its ends at its back, mm."""
    bar = bar_of(rail.shape)
    assert bar is not None
    back = max(bar.section)

    def end(place: int, point: tuple[float, float]) -> Vector:
        cut, at = ((bar.left, 0.0), (bar.right, bar.length))[place]
        return line.at(rail, (bar.end_x(cut, at, point), *point))

    left, right = (end(place, bar.section[0]) for place in (0, 1))
    return left, right, (end(0, back)[0], end(1, back)[0])


def pale_place_rows(fence: FenceModel, figures: Figures) -> Rows:
    """Return pales in rows with equal gaps: their outer edges, levels of their feet, marks."""
    level = level_text(fence, figures)
    unit = level_unit(fence, figures)
    rows = [["line", "posts", "pales", "left edge", "right edge", f"first foot{unit}",
             f"last foot{unit}",
             "marks, left to right"]]  # fmt: skip
    many = bool(other_layers(fence))
    rows[0] += ["on"] if many else []
    for line in placed_lines(fence):
        posts = stations_of_leg(fence.layouts[line.run], line.leg)
        run = fence.layouts[line.run].run
        pales = run.pales
        for layer, row in _rows_of_layers(line, run):
            (first, x0, _, foot), (last, x1, _, end) = row[0], row[-1]
            before = [post.label for x, post in posts if x <= x0 + EVEN]
            after = [post.label for x, post in posts if x >= x1 - EVEN]
            between = (before or [posts[0][1].label])[-1], (after or [posts[-1][1].label])[0]
            rows.append(
                [line.name, _to(between), str(len(row)), figures.text(x0 - half_width(first)),
                 figures.text(x1 + half_width(last)), level(foot), level(end),
                 by_turns([m.mark for m, *_ in row], len(pales.kinds)), *([layer] * many)]
            )  # fmt: skip
    return rows


def _rows_of_layers(line: PlacedLine, run: RunJob) -> Iterator[tuple[str, list[Stood]]]:
    """Yield pales in rows with equal gaps, each row of one layer, with its name."""
    pales = line.of(PALE)
    for layer in run.layers:
        own = [(m, *line.at(m, (0.0, 0.0, 0.0))) for m in pales if m.role == layer.role]
        for row in even_rows(own):
            yield layer.name, row


Stood = tuple[Member, float, float, float]
"""A member with where it is along its line, behind it, and its level, mm."""


def even_rows(stood: Sequence[Stood]) -> Iterator[list[Stood]]:
    """Yield pales that follow each other with equal gaps, their feet in a straight line."""
    row: list[Stood] = []
    for one in stood:
        if len(row) >= 2:
            (first, xa, _, za), (last, xb, _, zb) = row[0], row[-1]
            inner = math.fsum(2.0 * half_width(pale) for pale, *_ in row[1:-1])
            whole = xb - half_width(last) - xa - half_width(first)
            gap = (whole - inner) / (len(row) - 1)
            x = xb + half_width(last) + gap + half_width(one[0])
            expected = x, za + (zb - za) * (x - xa) / (xb - xa)
            if abs(one[1] - expected[0]) > EVEN or abs(one[3] - expected[1]) > EVEN:
                yield row
                row = []
        row.append(one)
    if row:
        yield row


def half_width(pale: Member) -> float:
    """Return half of a pale's width, mm: its own place is its middle."""
    assert isinstance(pale.shape, Plate)
    return pale.shape.outline.bounds[2]


def by_turns(marks: Sequence[str], most: int) -> str:
    """Return marks in their order; groups of up to `most` that repeat stand once, in brackets.

    >>> by_turns(["PA1", "PA2", "PA1", "PA2", "PA1", "PA2", "PA2"], 2)
    '(PA1, PA2) x 3, PA2'
    """
    parts: list[str] = []
    alone: list[str] = []
    place = 0
    while place < len(marks):
        times, size = max((_repeats(marks, place, n), -n) for n in range(2, max(most, 1) + 2))
        group = marks[place : place - size]
        if most < 2 or times < MANY or len(set(group)) == 1:
            alone.append(marks[place])
            place += 1
            continue
        parts += [in_order(alone)] if alone else []
        parts.append(f"({', '.join(group)}) x {times}")
        alone = []
        place -= times * size
    return ", ".join([*parts, in_order(alone)] if alone else parts)


def _repeats(marks: Sequence[str], place: int, size: int) -> int:
    """Return how often a group of marks stands one after the other, from a place on."""
    group, times = marks[place : place + size], 1
    while marks[place + times * size : place + (times + 1) * size] == group:
        times += 1
    return times if len(group) == size else 0


def in_order(marks: Sequence[str]) -> str:
    """Return marks in their order, those that repeat with how often.

    >>> in_order(["PA1", "PA1", "PA2", "PA1"])
    'PA1 x 2, PA2, PA1'
    """
    return marks_words((mark, len(list(same))) for mark, same in groupby(marks))


def upright_place_rows(fence: FenceModel, figures: Figures) -> Rows:
    """Return the uprights of panels: their edges along the line, the levels of foot and top."""
    text, level = figures.text, level_text(fence, figures)
    unit = level_unit(fence, figures)
    rows = [["line", "mark", "left edge", "right edge", f"foot{unit}", f"top{unit}"]]
    for line in placed_lines(fence):
        for upright in line.of(PANEL_UPRIGHT):
            bar = upright.shape
            assert isinstance(bar, Bar)
            width = max(z for _, z in bar.section)
            right, _, foot = line.at(upright, (0.0, 0.0, 0.0))
            left, _, top = line.at(upright, (bar.length, 0.0, width))
            rows.append([line.name, upright.mark, text(left), text(right), level(foot), level(top)])
    return rows


def board_place_rows(fence: FenceModel, figures: Figures) -> Rows:
    """Return gravel boards by their corners: along the line, and the level."""
    level = level_text(fence, figures)
    unit = level_unit(fence, figures)
    rows = [["mark", "line", f"corners from the lower left on, along the line / level{unit}"]]
    for line in placed_lines(fence):
        for board in sorted(line.of(BOARD), key=lambda m: line.at(m, (0.0, 0.0, 0.0))):
            assert isinstance(board.shape, Plate)
            corners = [line.at(board, (x, 0.0, z)) for x, z, _ in board.shape.outline.vertices]
            words = ", ".join(f"{figures.text(x)} / {level(z)}" for x, _, z in corners)
            rows.append([board.mark, line.name, words])
    return rows


def level_unit(fence: FenceModel, figures: Figures) -> str:
    """Return what follows the head of a column of levels: their unit where it is the metre."""
    return " (m)" if figures.in_metres(fence.job.origin) else ""


def level_text(fence: FenceModel, figures: Figures) -> Callable[[float], str]:
    """Return how a level in the model is written on the sheets."""
    origin = fence.job.origin
    return lambda z: figures.site(z + origin[2], origin)


def _to(posts: tuple[str, str]) -> str:
    return f"{posts[0]} to {posts[1]}"
