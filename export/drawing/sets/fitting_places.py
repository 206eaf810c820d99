"""Tables of where gate leaves, their fittings and bolts are, along the lines; rows of text."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Iterator
from itertools import groupby

from palewright.export.drawing.draft.figures import Figures
from palewright.export.drawing.views.leaf_shown import LeafShown
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.frames import Vector
from palewright.model.geometry.shapes import Plate
from palewright.model.parts.hardware import ARRIS_BRACKET_METAL, BRACKET_METAL
from palewright.model.parts.members import (
    ANCHOR,
    BOLT,
    BRACE,
    BRACKET,
    COACH_SCREW,
    GATE_BASE,
    GATE_FITTINGS,
    GUIDE_POST,
    IN_HOLE,
    LEDGE,
    PALE,
    RAIL,
    STILE,
    UPRIGHT,
    Kind,
    Member,
)

from .member_places import (
    EVEN,
    PlacedLine,
    course_of,
    in_order,
    level_text,
    level_unit,
    placed_lines,
    rail_ends,
)
from .schedules import Rows


def leaf_place_rows(fence: FenceModel, figures: Figures) -> Rows:
    """Return each leaf: its edges, its pales in an even row, its ledges and its brace."""
    text, level = figures.text, level_text(fence, figures)
    unit = level_unit(fence, figures)
    rows = [["gate", "line", "hung", "from", "to", f"feet{unit}", "pales", "left edge",
             "right edge", "marks", "ledges", f"undersides{unit}", "braces",
             "foot from", "foot to", "head from", "head to"]]  # fmt: skip
    slid = any(leaf.leaf.plan.slide is not None for _, leaf in _leaves(fence))
    rows[0] += ["pales' backs"] if slid else []
    for name, leaf in _leaves(fence):
        pales = sorted((leaf.box(m), m.mark) for m in leaf.of(PALE))
        ledges = sorted((leaf.box(m)[0][2], m.mark) for m in leaf.of(LEDGE))
        over = leaf.frame.origin[2]
        braces = [m.mark for m in leaf.of(BRACE)]
        ends = [
            " and ".join(text(one[end][of]) for one in leaf.brace_ends)
            for end in (0, 1)
            for of in (0, 1)
        ]
        rows.append(
            [leaf.called, name, "left" if leaf.leaf.hinge_left else "right", text(leaf.leaf.x0),
             text(leaf.leaf.x1), level(leaf.leaf.foot + over), str(len(pales)),
             text(pales[0][0][0][0]), text(pales[-1][0][1][0]), in_order([m for _, m in pales]),
             in_order([m for _, m in ledges]), ", ".join(level(z + over) for z, _ in ledges),
             in_order(braces), *ends, *([figures.fine(-leaf.leaf.back)] if slid else [])]
        )  # fmt: skip
    return rows


def fitting_rows(fence: FenceModel, figures: Figures) -> Rows:
    """Return each stile, upright and fitting of a gate: from where to where it reaches along the
    line, in front of it, and in height.
    """
    text, level = figures.text, level_text(fence, figures)
    unit = level_unit(fence, figures)
    rows = [["gate", "line", "mark", "part", "from", "to", "before the line", "and", f"low{unit}",
             f"high{unit}"]]  # fmt: skip
    for name, leaf in _leaves(fence):
        over = leaf.frame.origin[2]
        for member in _fitted(leaf):
            (x0, y0, z0), (x1, y1, z1) = leaf.box(member)
            rows.append(
                [leaf.called, name, member.mark, member.kind.name, text(x0), text(x1),
                 figures.fine(-y1), figures.fine(-y0), level(z0 + over), level(z1 + over)]
            )  # fmt: skip
    return rows


def _fitted(leaf: LeafShown) -> Iterator[Member]:
    """Yield what is told of a gate besides its pales, ledges and braces; of a guide post the hole
    with it.
    """
    yield from leaf.of(STILE, UPRIGHT, *GATE_FITTINGS, GUIDE_POST, GATE_BASE)
    if leaf.leaf.plan.slide is not None:
        yield from (member for member in leaf.gate if member.kind in IN_HOLE)


def _leaves(fence: FenceModel) -> Iterator[tuple[str, LeafShown]]:
    """Yield every leaf with the name of its line."""
    names = {(line.run, line.leg): line.name for line in placed_lines(fence)}
    for run, layout in enumerate(fence.layouts):
        for opening in layout.openings:
            for number in range(len(opening.leaves)):
                shown = LeafShown(fence, run, opening, number)
                yield names[run, opening.leg_number], shown


def bolt_rows(fence: FenceModel, figures: Figures) -> Rows:
    """Return bolts by the rail that they are in: how far over its underside, and where; rails of a
    line that have theirs at the same places share a row.
    """
    rows = [["line", "rails", "mark", "over its underside", "at"]]
    for line in placed_lines(fence):
        found = sorted(_bolts(line, figures))
        shared: dict[tuple[str, str, str], list[str]] = {}
        for (course, mark, over), same in groupby(found, key=lambda bolt: bolt[:3]):
            places = ", ".join(figures.text(x) for *_, x in same)
            shared.setdefault((mark, over, places), []).append(str(course))
        for (mark, over, places), rails in shared.items():
            rows.append([line.name, ", ".join(rails), mark, over, places])
    return rows


def _bolts(line: PlacedLine, figures: Figures) -> Iterator[tuple[int, str, str, float]]:
    """Yield each bolt of a line: its rail, its mark, its height over that as written, its x."""
    rails = sorted((course_of(rail), *rail_ends(line, rail)[:2]) for rail in line.of(RAIL))
    courses = [list(same) for _, same in groupby(rails, key=lambda rail: rail[0])]
    for bolt in line.of(BOLT):
        x, _, z = line.at(bolt, (0.0, 0.0, 0.0))
        near = (
            rail
            for own in courses
            for after in [bisect_right(own, x, key=lambda rail: rail[1][0])]
            for rail in own[max(0, after - 1) : after + 1]
        )
        course, left, right = min(near, key=lambda rail: _off(rail[1], rail[2], x, z))
        yield course, bolt.mark, figures.fine(z - _under(left, right, x)), x


def _under(left: Vector, right: Vector, x: float) -> float:
    """Return the level of a rail's underside at x, mm."""
    length = right[0] - left[0]
    share = (x - left[0]) / length if length else 0.0
    return left[2] + (right[2] - left[2]) * share


def _off(left: Vector, right: Vector, x: float, z: float) -> float:
    """Return how far a place is from being just over a rail's underside, mm."""
    past = max(left[0] - x, x - right[0], 0.0)
    over = z - _under(left, right, x)
    return past * 10.0 + (over if over >= 0.0 else 1e6 - over)


def bracket_rows(fence: FenceModel, figures: Figures) -> Rows:
    """Return what holds rails where no bolt does, and the level of its middle: a sleeve by its
    ends along the rail's underside, an angle by its corner on the rail's back and how far along the
    rail its leg goes from there.
    """
    text, level = figures.text, level_text(fence, figures)
    rows = [["line", "mark", "from", "to", "metal", "angle",
             f"level of its middle{level_unit(fence, figures)}"]]  # fmt: skip
    for line in placed_lines(fence):
        for bracket in line.of(BRACKET):
            plate = bracket.shape
            assert isinstance(plate, Plate)
            _, low, _, high = plate.outline.bounds
            ends = sorted(line.at(bracket, (0.0, y, 0.0))[0] for y in (0.0, plate.thickness))
            middle = line.at(bracket, (0.0, plate.thickness / 2.0, (low + high) / 2.0))[2]
            metal, angle = ARRIS_BRACKET_METAL, ""
            if ends[1] - ends[0] < EVEN:
                leg, inner = _angle_of(plate)
                ends = [ends[0], ends[0] + leg]
                metal, angle = BRACKET_METAL, f"{inner:.1f}°"
            rows.append(
                [line.name, bracket.mark, *(text(x) for x in ends), figures.fine(metal), angle,
                 level(middle)]
            )  # fmt: skip
    return rows


def _angle_of(plate: Plate) -> tuple[float, float]:
    """Return how far the leg of an angle bracket on its rail goes from its corner, under 0 to the
    left, and the angle between its legs, degrees.
    """
    leg = max((x for x, y, _ in plate.outline.vertices if abs(y) < EVEN), key=abs)
    reach = ((abs(math.hypot(x, y) - abs(leg)), x, y) for x, y, _ in plate.outline.vertices
             if abs(y) >= EVEN)  # fmt: skip
    _, x, y = min(reach)
    return leg, abs(math.degrees(math.atan2(y, x * math.copysign(1.0, leg))))


def anchor_rows(fence: FenceModel, figures: Figures) -> Rows:
    """Return the anchors of each plate on a wall: how deep they go into it, and their levels."""
    return _plate_rows(fence, figures, (ANCHOR, "wall"))


def screw_rows(fence: FenceModel, figures: Figures) -> Rows:
    """Return the screws of each plate on a post: how deep they go into it, and their levels."""
    return _plate_rows(fence, figures, (COACH_SCREW, "post"))


def _plate_rows(fence: FenceModel, figures: Figures, held: tuple[Kind, str]) -> Rows:
    kind, on = held
    level = level_text(fence, figures)
    rows = [["plate", "mark", on, "into it", f"levels{level_unit(fence, figures)}"]]
    for run, layout in enumerate(fence.layouts):
        for post in layout.posts:
            of_post = fence.of_post.get((run, post.label), ())
            anchors = sorted((m.mark, m.frame.origin[2]) for m in of_post if m.kind == kind)
            for mark, same in groupby(anchors, key=lambda anchor: anchor[0]):
                side = "left" if post.fence_on > 0 else "right"
                levels = ", ".join(level(z) for _, z in same)
                hold = figures.fine(post.hold if post.host else layout.run.walls.hold)
                rows.append([post.label, mark, side, hold, levels])
    return rows
