"""Pales along a stretch: where they may stand, how they are spaced, how long they are."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator

from palewright.model.geometry.curves import arc_through
from palewright.model.geometry.frames import Frame, Point
from palewright.model.geometry.heads import pale_outline
from palewright.model.geometry.outlines import Outline
from palewright.model.geometry.shapes import Plate, tidy, tidy_slope
from palewright.model.layout.rail_pieces import STRAIGHT, breaks
from palewright.model.layout.run_layout import RunLayout, Stretch
from palewright.model.layout.set_pales import SetPale
from palewright.model.layout.top_line import curve_ends, top_offset
from palewright.model.resolved.job import RunJob
from palewright.model.resolved.pale_plan import PaleKind

from .members import PALE, Member, Piece

SAME_WIDTH = 0.05
"""Pales are of one width where they differ by no more, mm."""

LEAST = 10.0
"""No side of a pale is cut shorter than this, mm."""


def pale_members(run: RunJob, stretch: Stretch, groups: list[str]) -> Iterator[Piece]:
    """Yield the pales of a stretch. groups : name of each bay."""
    leg = stretch.leg
    thickness = run.pales.thickness
    for pale in stretch.pales:
        outline = pale_shape(run, stretch, pale)
        layer = run.layers[pale.layer]
        place = Frame.at(pale.x, -layer.front, pale.foot)
        bevels = (tidy_slope(pale.bevels[0]), tidy_slope(pale.bevels[1]))
        other = _turned_round(outline)
        plain = not run.tops_cut or bevels != (0.0, 0.0)
        if not plain and other.vertices < outline.vertices:
            # a mirrored pale is the same board with its other face to the front
            outline = other
            spot = (pale.x, thickness - layer.front, pale.foot)
            place = Frame(spot, (-1.0, 0.0, 0.0), (0.0, -1.0, 0.0))
        plate = Plate(outline, thickness, *bevels)
        yield Piece(
            PALE, plate, leg.frame @ place, groups[pale.bay], layer.role, stretch.leg_number
        )


def _turned_round(outline: Outline) -> Outline:
    """Return a pale's outline seen from its back, its foot first as in `pale_shape`."""
    left, right, *top = outline.vertices
    bulges = [bulge for _, _, bulge in top[-2::-1]] + [0.0]
    turned = [(-x + 0.0, z, b) for (x, z, _), b in zip(reversed(top), bulges, strict=True)]
    return Outline((left, right, *turned))


def pale_shape(run: RunJob, stretch: Stretch, pale: SetPale) -> Outline:
    """Return the outline of a pale: its head square to it, or cut along the top line."""
    kind = pale.kind
    if not run.tops_cut:
        if pale.length <= kind.rise:
            return _stub(kind.width, pale.length)
        return pale_outline(kind.head, kind.width, pale.length)
    half = kind.width / 2.0
    middle = top_line_at(run, stretch, pale.bay, pale.x)

    def height(dx: float) -> float:
        return pale.length + top_line_at(run, stretch, pale.bay, pale.x + dx) - middle

    ends: tuple[float, ...] = curve_ends(stretch, pale.bay, run.top_line.over)
    if run.top_line.shape == "straight":
        ends = tuple(stretch.xs[place] for place in breaks(stretch.settings)) * bool(run.capping)
    kinks = sorted(end - pale.x for end in ends if abs(end - pale.x) < half - 1e-6)
    cuts = [-half, *kinks, half]
    if min(height(x) for x in cuts) < LEAST:
        return _stub(kind.width, pale.length)
    loop: list[tuple[float, float, float]] = [(-half, 0.0, 0.0), (half, 0.0, 0.0)]
    for x0, x1 in itertools.pairwise(reversed(cuts)):
        through: list[Point] = [(x, height(x)) for x in (x0, (x0 + x1) / 2.0, x1)]
        arc = arc_through(*through)
        flat = arc is None or abs(arc.sweep) < 1e-6
        bulge = 0.0 if arc is None or flat else math.tan(arc.sweep / 4.0)
        loop.append((tidy(x0), tidy(through[0][1]), tidy_slope(bulge)))
    loop.append((-half, tidy(height(-half)), 0.0))
    return Outline(tuple(loop))


def top_line_at(run: RunJob, stretch: Stretch, bay: int, x: float) -> float:
    """Return the line that tops are cut along at x, less the pales' height, over the leg's start:
    that of a pale's own bay; where a capping rail lies on all of them that of the next bay beyond
    its post, if there is no step, mm.
    """
    setting = stretch.settings[bay]
    beyond = stretch.settings[stretch.bay_at(x)]
    at = max(setting.x0, beyond.x0)
    if run.capping is not None and abs(beyond.base(at) - setting.base(at)) < STRAIGHT:
        setting = beyond
    return setting.base(x) + top_offset(run, stretch, bay, x)


def _stub(width: float, length: float) -> Outline:
    """Return what stands for a pale that cannot be cut; the checks stop a job that has one."""
    return Outline.rectangle(-width / 2.0, 0.0, width / 2.0, max(tidy(length), LEAST))


def kind_of_pale(layout: RunLayout, pale: Member) -> PaleKind:
    """Return the kind that a pale of a fence or a leaf is of, as long as the ground leaves it."""
    plan, squared = layout.run.pales, not layout.run.tops_cut
    if pale.leaf is not None:
        plan, squared = layout.hung[pale.leaf][1].plan.pales, True
    if len(plan.sorts) == 1:
        return plan.kinds[0]
    assert isinstance(pale.shape, Plate)
    outline, (width, _, length) = pale.shape.outline, pale.shape.size
    alike = [kind for kind in plan.sorts if abs(kind.width - width) < SAME_WIDTH]
    if squared:
        alike = [kind for kind in alike if _top(kind.outline) == _top(outline)] or alike
    return min(alike or plan.sorts, key=lambda kind: abs(kind.length - length))


def head_of_pale(layout: RunLayout, pale: Member) -> list[str]:
    """Return which head a pale has, where there are several: as its detail is called."""
    run, gate = layout.run, ""
    plan = run.pales
    if pale.leaf is not None and layout.hung[pale.leaf][1].plan.pales.headed != plan.headed:
        opening, leaf = layout.hung[pale.leaf]
        plan, gate = leaf.plan.pales, f", {opening.called}"
    elif pale.leaf is None and run.tops_cut:
        return []
    if len(plan.headed) == 1:
        return []
    return [f"pale head {plan.head_number(kind_of_pale(layout, pale))}{gate}"]


def _top(outline: Outline) -> tuple[tuple[float, float, float], ...]:
    """Return the head of a pale from its highest point down."""
    high = outline.bounds[3]
    return tuple((round(x, 3), round(y - high, 3), round(b, 6)) for x, y, b in outline.vertices[2:])
