"""Panels: rails, uprights and what holds them to the posts; their pales are as of any bay."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from palewright.model.geometry.frames import Frame, Point
from palewright.model.geometry.shapes import Bar, Plate, rectangle_section, tidy
from palewright.model.layout.panel_bays import panel_ends
from palewright.model.layout.rail_pieces import RailPiece
from palewright.model.layout.run_layout import RunLayout, Stretch
from palewright.model.resolved.job import RunJob
from palewright.model.resolved.panel_plan import LEAST_LEG, LEG

from .hardware import BRACKET_HEIGHT
from .members import BRACKET, PANEL_UPRIGHT, Piece
from .rails import angle_plate, rail_fixing, rail_of_piece

HUNG = "panel to post"
"""What brackets and bolts of panels do."""


def panel_members(layout: RunLayout, stretch: Stretch, groups: list[str]) -> Iterator[Piece]:
    """Yield the rails and uprights of the panels of a stretch, and what fixes them to the posts.

    groups : name of each bay.
    """
    plan = layout.run.panels
    assert plan is not None
    fixed = plan.fixed_rows(len(layout.run.rails.tops))
    for piece in stretch.rails:
        yield rail_of_piece(layout, stretch, piece, groups)
        if piece.row not in fixed:
            continue
        for side in (0, 1):
            if plan.between:
                yield _bracket(layout, stretch, piece, side, groups)
            else:
                bay = piece.bays[0]
                for bolt in rail_fixing(layout, stretch, piece, bay + side, groups):
                    yield replace(bolt, group=groups[bay], role=HUNG)
    if plan.upright:
        yield from _uprights(layout, stretch, groups)


def _uprights(layout: RunLayout, stretch: Stretch, groups: list[str]) -> Iterator[Piece]:
    """Yield the uprights at both ends of each panel, from the lowest rail's underside to the
    highest rail's top: the rails end on them.
    """
    run = layout.run
    plan = run.panels
    assert plan is not None
    height, thick = run.rails.section
    _, front = run.rails.faces(run.face)
    for bay, (low, high) in enumerate(panel_ends(run, stretch)):
        setting = stretch.settings[bay]
        for x0, x1 in ((low, low + plan.upright), (high - plan.upright, high)):
            levels = setting.base(x0), setting.base(x1)
            foot = min(levels) + run.rails.tops[0] - height * setting.secant
            length = tidy(max(levels) + run.rails.tops[-1] - foot)
            bar = Bar(rectangle_section(plan.upright, thick), length)
            # its length stands up, its width runs back along the leg
            place = Frame((x1, -front, foot), (0.0, 0.0, 1.0), (0.0, 1.0, 0.0))
            yield Piece(
                PANEL_UPRIGHT, bar, stretch.leg.frame @ place, groups[bay], "panel's end",
                stretch.leg_number,
            )  # fmt: skip


def _bracket(
    layout: RunLayout, stretch: Stretch, piece: RailPiece, side: int, groups: list[str]
) -> Piece:
    """Return the bracket behind the end of a panel: one leg on its back, one on the post's side.

    side : 0 for its left end, 1 for its right one.
    """
    run, leg, bay = layout.run, stretch.leg, piece.bays[0]
    back, _ = run.rails.faces(run.face)
    post = stretch.posts[bay + side]
    x, slope, room = _side_of(post.in_leg(leg), -back, to_right=side == 0)
    inner = math.atan2(1.0, -slope if side else slope)
    outline = angle_plate(inner, max(LEAST_LEG, min(LEG, room))).outline
    outline = outline if side else outline.mirrored()
    end = piece.x1 if side else piece.x0
    height = run.rails.section[0]
    middle = piece.bottom(end, height) + height / 2.0 * piece.setting.secant
    frame = Frame((x, -back, middle + BRACKET_HEIGHT / 2.0), (1.0, 0.0, 0.0), (0.0, 0.0, -1.0))
    plate = Plate(outline, BRACKET_HEIGHT)
    return Piece(BRACKET, plate, leg.frame @ frame, groups[bay], HUNG, stretch.leg_number)


def bracket_rooms(run: RunJob, stretch: Stretch) -> Iterator[tuple[str, float]]:
    """Yield the posts of a stretch with how much of their sides is behind the rails, mm."""
    back, _ = run.rails.faces(run.face)
    for bay in range(len(stretch.xs) - 1):
        for side in (0, 1):
            post = stretch.posts[bay + side]
            yield post.label, _side_of(post.in_leg(stretch.leg), -back, to_right=side == 0)[2]


def _side_of(corners: tuple[Point, ...], y: float, *, to_right: bool) -> tuple[float, float, float]:
    """Return x of a post's side at y, its slope dx/dy there and how far it goes on to the back
    along it, mm.
    """
    found: list[tuple[float, float, float]] = []
    for (x0, y0), (x1, y1) in zip(corners, (*corners[1:], corners[0]), strict=True):
        low, high = sorted((y0, y1))
        if high - low < 1e-6 or not low - 1e-9 <= y < high - 1e-6:
            continue
        slope = (x1 - x0) / (y1 - y0)
        found.append((x0 + slope * (y - y0), slope, (high - y) * math.hypot(1.0, slope)))
    if not found:  # the post ends before the rails' backs; the checks say so
        xs = [x for x, _ in corners]
        return (max(xs) if to_right else min(xs)), 0.0, 0.0
    return (max if to_right else min)(found)
