"""The cutting list as the bench reads it: finished sizes, lengths to the points, cuts, hands."""

from __future__ import annotations

import math
from collections.abc import Iterable
from itertools import groupby

from palewright.export.drawing.draft.figures import Figures
from palewright.export.drawing.draft.view import View
from palewright.export.drawing.views.board_views import section_words
from palewright.model.basis.imperial import POUND
from palewright.model.geometry.post_shapes import Post
from palewright.model.geometry.shapes import Bar, Plate, Shape, Tenoned, bar_of, tidy
from palewright.model.lists.takeoff import PartLine, part_lines, rail_tenons, side_heights
from palewright.model.order.already_cut import cut_uses
from palewright.model.order.order_lines import Order
from palewright.model.parts.members import PALE, Kind
from palewright.model.parts.pales import head_of_pale

from .brief import Brief, tables_within
from .schedules import Rows

SEEN = 0.05
"""Angles (degrees) and differences of length (mm) up to this are none."""


def cutting_views(brief: Brief, bought: Order) -> list[View]:
    """Return the pieces to saw, and the ends of those that are not square."""
    lines = [line for line in part_lines(brief.fence) if line.mark in _sections(brief, bought)]
    title = "Cutting list, finished sizes"
    views = tables_within(brief, title, size_rows(brief, bought, lines))
    title = "End cuts off square, each piece seen from the front as it stands"
    return [*views, *tables_within(brief, title, cut_rows(brief, lines))]


def _sections(brief: Brief, bought: Order) -> dict[str, str]:
    """Return the section that each mark is sawn from."""
    return {
        mark: section_words(line.section, brief.figures)
        for line in bought.timber
        for _, marks in line.marks
        for mark in marks
    }


def size_rows(brief: Brief, bought: Order, lines: Iterable[PartLine]) -> Rows:
    """Return the pieces to saw by mark: how many, their finished sizes and their section.

    A piece is as long as its long points are apart, and its short points on each other's sides.
    """
    figures, sections = brief.figures, _sections(brief, bought)
    _, made = cut_uses(brief.fence)
    unit = "lb" if brief.feet else "kg"
    rows = [
        ["mark", "part", "no.", "width", "thickness", "long points", "short points", "sawn from",
         f"{unit} each"],
    ]  # fmt: skip
    if any(made.values()):
        rows[0].insert(3, "cut already")
    for line in lines:
        member = brief.fence.by_mark[line.mark][0]
        short = short_points(line.kind, member.shape)
        weight = bought.weights.each[line.mark] / (POUND if brief.feet else 1.0)
        row = [
            line.mark,
            line.kind.name,
            str(line.count - made.get(line.mark, 0)),
            figures.fine(line.first),
            figures.fine(line.second),
            figures.text(line.length),
            figures.text(short) if line.length - short > SEEN else "",
            sections[line.mark],
            f"{weight:.1f}",
        ]
        if any(made.values()):
            row.insert(3, str(made.get(line.mark, 0) or ""))
        rows.append(row)
    return rows


def short_points(kind: Kind, shape: Shape) -> float:
    """Return the least length of a piece, between the short points of its ends, mm."""
    shape = bar_of(shape) or shape
    match shape:
        case Bar(section, length, left, right):
            ends = (max(shape.end_x(left, 0.0, p) for p in section),
                    min(shape.end_x(right, length, p) for p in section))  # fmt: skip
            return max(0.0, ends[1] - ends[0])
        case Plate() if kind == PALE and _cut_aslant(shape):
            return min(side_heights(shape))
        case Post():
            return shape.top.shortest(shape.length)
    return shape.size[2]


def cut_rows(brief: Brief, lines: Iterable[PartLine]) -> Rows:
    """Return the ends of the pieces that are not sawn square, and which are handed."""
    kinds = {line.mark: line.kind for line in lines}
    shapes = {mark: brief.fence.by_mark[mark][0].shape for mark in kinds}
    alike: dict[object, list[str]] = {}
    for mark, shape in shapes.items():
        for form in dict.fromkeys(turned_forms(shape)):
            alike.setdefault(form, []).append(mark)
    groups: dict[tuple[str, ...], list[str]] = {}
    for mark, shape in shapes.items():
        cells = _ends(kinds[mark], shape, brief.figures)
        member = brief.fence.by_mark[mark][0]
        if member.kind == PALE and not cells[2]:
            heads = head_of_pale(brief.fence.layouts[member.run], member)
            cells = (*cells[:2], "".join(heads))
        if any(cells):
            groups.setdefault((*cells, hand(mark, shape, alike)), []).append(mark)
    rows = [["mark", "left end or side", "right end or side", "top or edge", "hand"]]
    for texts, marks in groups.items():
        rows.append([_ranges(marks), *texts])
    return rows


def _ranges(marks: list[str]) -> str:
    """Return marks with those that follow each other as a range: "PO1 to PO16, PO18"."""
    words: list[str] = []
    for _, run in groupby(enumerate(marks), key=lambda item: int(item[1][2:]) - item[0]):
        same = [mark for _, mark in run]
        words += same if len(same) < 3 else [f"{same[0]} to {same[-1]}"]
    return ", ".join(words)


def hand(mark: str, shape: Shape, alike: dict[object, list[str]]) -> str:
    """Return which marks are the same piece turned, or its mirror image.

    alike : marks by each way in which their shapes can lie.
    """
    same = [other for other in alike.get(_lying(shape), ()) if other != mark]
    if same:
        return f"{', '.join(same)} turned"
    mirror = _mirrored(shape)
    pair = [other for other in alike.get(mirror, ()) if other != mark] if mirror else []
    return f"mirror of {', '.join(pair)}" if pair else ""


def _ends(kind: Kind, shape: Shape, figures: Figures) -> tuple[str, str, str]:
    """Return the words for a piece's left and right end, and for its top."""
    match shape:
        case Tenoned():
            left_end, right_end, _ = _ends(kind, shape.bar, figures)
            return left_end, right_end, "; ".join(rail_tenons(shape, figures.text))
        case Bar(left=left, right=right):
            return (
                _cut_words((left.plan_angle, "front", "back"), (left.side_angle, "foot", "top")),
                _cut_words((right.plan_angle, "back", "front"), (right.side_angle, "top", "foot")),
                "",
            )
        case Plate():
            return _plate_words(kind, shape, figures)
        case Post(top=top):
            words = [top.cut(figures.text)]
            words += [shape.bevel.words(figures.text)] if shape.bevel is not None else []
            return "", "", "; ".join(filter(None, words))
    return "", "", ""


def _cut_words(*angles: tuple[float, str, str]) -> str:
    """Return an end cut: each angle off square with the side that has the long point.

    angles : degrees, the side of the long point where it is over 0, and the one where under.
    """
    words = []
    for (degrees, over, under), view in zip(angles, ("plan", "face"), strict=True):
        if abs(degrees) > SEEN:
            words.append(f"{abs(degrees):.1f}° in {view}, long at {over if degrees > 0 else under}")
    return "; ".join(words)


def _plate_words(kind: Kind, plate: Plate, figures: Figures) -> tuple[str, str, str]:
    aslant = _cut_aslant(plate)
    cells = []
    for height, slope, side in zip(
        side_heights(plate), (plate.bevel_left, plate.bevel_right), (1.0, -1.0), strict=True
    ):
        way = "high" if kind == PALE else "wide"
        words = [f"{figures.text(height)} {way}" if height > SEEN else "to a point"]
        words = words if aslant else []
        if slope:
            angle = math.degrees(math.atan(abs(slope)))
            wide = "front" if slope * side > 0.0 else "back"
            words.append(f"bevelled {angle:.1f}°, wide at {wide}")
        cells.append("; ".join(words))
    edge = ("top to the top line" if kind == PALE else "lower edge to the ground") if aslant else ""
    return cells[0], cells[1], edge


def _cut_aslant(plate: Plate) -> bool:
    """Tell whether a plate's sides differ in height."""
    left, right = side_heights(plate)
    return abs(left - right) > SEEN


Ways = tuple[object, ...]


def _lying(shape: Shape) -> object:
    """Return a piece as it lies: a bar of rectangular section by its ends about its middle."""
    if isinstance(shape, Bar) and len(shape.section) == 4:
        ky0, kz0, ky1, kz1 = shape.left.ky, shape.left.kz, shape.right.ky, shape.right.kz
        return _bar(shape, (ky0, kz0), (ky1, kz1))
    return _plate(shape) if isinstance(shape, Plate) else shape


def _plate(plate: Plate) -> Ways:
    """Return a plate by its corners from its left, wherever its outline begins."""
    left = plate.outline.bounds[0]
    corners = sorted(
        (round(x - left, 2), round(z, 2) + 0.0, round(bulge, 4) + 0.0)
        for x, z, bulge in plate.outline.vertices
    )
    bevels = (round(k, 5) + 0.0 for k in (plate.bevel_left, plate.bevel_right))
    return (*corners, plate.thickness, *bevels)


def _bar(shape: Bar, left: tuple[float, float], right: tuple[float, float]) -> Ways:
    ys, zs = zip(*shape.section, strict=True)
    middle = (min(ys) + max(ys)) / 2.0, (min(zs) + max(zs)) / 2.0
    ends = shape.end_x(shape.left, 0.0, middle), shape.end_x(shape.right, shape.length, middle)
    slopes = (round(k, 5) + 0.0 for k in (*left, *right))
    return (round(ends[1] - ends[0], 1), tidy(max(ys) - min(ys)), tidy(max(zs) - min(zs)), *slopes)


def turned_forms(shape: Shape) -> Iterable[object]:
    """Yield the ways in which a piece can lie: as it is, turned end for end, over, and both."""
    yield _lying(shape)
    if isinstance(shape, Bar) and len(shape.section) == 4:
        (a, b), (c, d) = (shape.left.ky, shape.left.kz), (shape.right.ky, shape.right.kz)
        yield _bar(shape, (c, -d), (a, -b))
        yield _bar(shape, (-a, -b), (-c, -d))
        yield _bar(shape, (-c, d), (-a, b))


def _mirrored(shape: Shape) -> object | None:
    """Return a piece in a mirror, left for right; None for what has no hands."""
    match shape:
        case Bar(section, _, left, right) if len(section) == 4:
            return _bar(shape, (-right.ky, -right.kz), (-left.ky, -left.kz))
        case Plate(outline, thickness, bevel_left, bevel_right):
            return _plate(Plate(outline.mirrored(), thickness, -bevel_right, -bevel_left))
    return None
