"""Rails that end at the sides of posts, bay by bay, and what holds their ends."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

from palewright.model.geometry.frames import Frame
from palewright.model.geometry.outlines import Outline
from palewright.model.geometry.shapes import (
    Bar,
    Plate,
    Shape,
    arris_section,
    rectangle_section,
    tidy,
)
from palewright.model.layout.bases import BayBase
from palewright.model.layout.placed_posts import PlacedPost
from palewright.model.layout.rail_pieces import furthest, post_side
from palewright.model.layout.run_layout import Stretch
from palewright.model.resolved.job import RunJob

from .hardware import (
    ARRIS_BRACKET_LENGTH,
    ARRIS_BRACKET_METAL,
    BRACKET_HEIGHT,
    BRACKET_LEG,
)
from .members import BRACKET, RAIL, Piece
from .rails import angle_plate, tilted, tilted_bar

BEHIND = "rail to side of post"
"""What a bracket behind a rail between posts does."""


def arris_rails(run: RunJob, stretch: Stretch, groups: list[str]) -> Iterator[Piece]:
    """Yield arris rails, each end in a sleeve."""
    leg = stretch.leg
    height, depth = run.rails.section
    section = arris_section(height, depth)
    reach = depth + 4.0 * ARRIS_BRACKET_METAL
    for bay, rail in enumerate(stretch.bay_rails):
        setting = stretch.settings[bay]
        secant = setting.secant
        bar = tilted_bar(section, rail.x1 - rail.x0, rail.left, rail.right, setting)
        one, other = (post.in_leg(leg) for post in stretch.posts[bay : bay + 2])
        # the sleeves' ends are square to the rail: clear of the posts at their nearest edge
        lean = (height + 4.0 * ARRIS_BRACKET_METAL) * abs(setting.slope) / secant
        clear0 = max(rail.x0, furthest(one, -run.face, reach, to_right=True)) + lean
        clear1 = min(rail.x1, furthest(other, -run.face, reach, to_right=False)) - lean
        room = (clear1 - clear0) * secant
        length = min(ARRIS_BRACKET_LENGTH, max(1.0, math.floor(room / 2.0)))
        sleeve = _sleeve(height, depth, length)
        for row, top in enumerate(run.rails.tops):

            def place(x: float, top: float = top, setting: BayBase = setting) -> Frame:
                bottom = setting.base(x) + top - height * setting.secant
                return leg.frame @ tilted(x, -run.face, bottom, setting)

            role = f"rail {row + 1} of {len(run.rails.tops)}"
            yield Piece(RAIL, bar, place(rail.x0), groups[bay], role, stretch.leg_number)
            for x in (clear0, clear1 - length / secant):
                # the plate's thickness runs along the rail
                spot = place(x) @ Frame((0.0, 0.0, 0.0), (0.0, -1.0, 0.0), (1.0, 0.0, 0.0))
                yield Piece(BRACKET, sleeve, spot, groups[bay], "rail to post", stretch.leg_number)


def _sleeve(height: float, depth: float, length: float) -> Plate:
    """Return the sheet-metal sleeve round the two back faces of an arris rail."""
    metal, half = ARRIS_BRACKET_METAL, height / 2.0
    slant = math.hypot(half, depth)
    ny, nz = half / slant * metal, depth / slant * metal
    tip = depth + metal * slant / half
    loop = [(0.0, 0.0), (ny, -nz), (tip, half), (ny, height + nz), (0.0, height), (depth, half)]
    outline = Outline.polygon((tidy(-y), tidy(z)) for y, z in reversed(loop))
    return Plate(outline, length)


def hung_rails(run: RunJob, stretch: Stretch, groups: list[str]) -> Iterator[Piece]:
    """Yield rectangular rails between posts, each end with a bracket behind it."""
    for bay, top, rail in rails_by_bay(run, stretch, groups, lambda _, bar: bar):
        yield rail
        for end in (0, 1):
            yield _bracket(run, stretch, (bay, end), top, groups[bay])


def rails_by_bay(
    run: RunJob, stretch: Stretch, groups: list[str], made: Callable[[int, Bar], Shape]
) -> Iterator[tuple[int, float, Piece]]:
    """Yield the rails between posts, with the number of their bay and the height of their top over
    its base, mm. made : what a bay's bar from shoulder to shoulder is made into.
    """
    leg = stretch.leg
    height, thickness = run.rails.section
    section = rectangle_section(height, thickness)
    _, front = run.rails.faces(run.face)
    for bay, rail in enumerate(stretch.bay_rails):
        setting = stretch.settings[bay]
        shape = made(bay, tilted_bar(section, rail.x1 - rail.x0, rail.left, rail.right, setting))
        for row, top in enumerate(run.rails.tops):
            bottom = setting.base(rail.x0) + top - height * setting.secant
            place = leg.frame @ tilted(rail.x0, -front, bottom, setting)
            role = f"rail {row + 1} of {len(run.rails.tops)}"
            yield bay, top, Piece(RAIL, shape, place, groups[bay], role, stretch.leg_number)


def _bracket(
    run: RunJob, stretch: Stretch, place: tuple[int, int], top: float, group: str
) -> Piece:
    """Return the bracket behind an end of a rail, on its back and on the post's side. place : the
    number of the bay, and 0 for its left and 1 for its right end.
    """
    bay, end = place
    leg, setting = stretch.leg, stretch.settings[bay]
    height = run.rails.section[0]
    back, _ = run.rails.faces(run.face)
    x, slope, long = _side_behind(stretch.posts[bay + end], stretch, -back, to_right=end == 0)
    hand = 1.0 if end == 0 else -1.0
    plate = angle_plate(math.atan2(1.0, hand * slope), long)
    outline = plate.outline.mirrored() if end == 0 else plate.outline
    high = min(BRACKET_HEIGHT, height)
    middle = setting.base(x + hand * long / 2.0) + top - height / 2.0 * setting.secant
    frame = Frame((x, -back, middle + high / 2.0), (1.0, 0.0, 0.0), (0.0, 0.0, -1.0))
    shape = Plate(outline, high)
    return Piece(BRACKET, shape, leg.frame @ frame, group, BEHIND, stretch.leg_number)


def _side_behind(
    post: PlacedPost, stretch: Stretch, y: float, *, to_right: bool
) -> tuple[float, float, float]:
    """Return x of a post's side at the back of the rails, how it leans back, dx/dy, and how long a
    bracket's legs may be there, mm.
    """
    corners = post.in_leg(stretch.leg)
    long = tidy(min(BRACKET_LEG, max(cy for _, cy in corners) - y))
    x, slope = post_side(corners, y, long, to_right=to_right)
    return x, slope, long
