"""Figures to build by: spacers and stops for pales, offsets from the string line, diagonals."""

from __future__ import annotations

import math
from dataclasses import dataclass

from palewright.model.fence.fence_model import FenceModel
from palewright.model.layout.placed_posts import PlacedPost
from palewright.model.layout.ramps import ramped
from palewright.model.layout.run_layout import Opening, RunLayout, Stretch
from palewright.model.resolved.job import RunJob
from palewright.model.resolved.words import PostRole

from .takeoff import stretch_lines

FAR = 6000.0
"""Diagonals are taken between posts no farther than this from the corner, mm: what one tape and
two people manage."""


@dataclass(frozen=True)
class StopLine:
    """How pales of a stretch are held while they are fixed; mm.

    first, last : labels of its posts; gap : width of the spacer between pales; below : smallest
    and largest distance from the top of the top rail down to the pale's foot; above : from there
    up to the pale's top. A stop at either distance on the back of a pale sits on the rail and sets
    its height; where both vary, pales are set to a string.
    starts : from the middle of the first post to the first pale's near edge, ends : from the last
    pale's far edge to the middle of the last post, negative where pales reach past them; apart :
    gap between pales of one layer where they lap those of the other, None where those differ.
    """

    run: str
    first: str
    last: str
    pales: int
    gap: float
    below: tuple[float, float]
    above: tuple[float, float]
    starts: float
    ends: float
    apart: float | None = None


def stop_lines(fence: FenceModel) -> tuple[StopLine, ...]:
    """Return one line for each stretch between fixed posts that has pales."""
    rows = iter(stretch_lines(fence))
    lines = []
    for layout in fence.layouts:
        for stretch in layout.stretches:
            row, pales = next(rows), stretch.pales
            last = len(layout.run.rails.tops) - 1
            if not pales or layout.run.panels is not None:  # these have a jig each
                continue
            tops = [
                ramped(layout.run, stretch, last, pale.bay).base(pale.x) + layout.run.rails.tops[-1]
                for pale in pales
            ]
            below = [top - pale.foot for top, pale in zip(tops, pales, strict=True)]
            above = [pale.top - top for top, pale in zip(tops, pales, strict=True)]
            lines.append(
                StopLine(
                    row.run, row.first, row.last, row.pales, row.gap,
                    (min(below), max(below)), (min(above), max(above)),
                    stretch.row.edges[0] - stretch.xs[0],
                    stretch.xs[-1] - stretch.row.end,
                    _apart(layout.run, row.gap),
                )
            )  # fmt: skip
    return tuple(lines)


def _apart(run: RunJob, gap: float) -> float | None:
    """Return the gap between pales of a layer that lap those of another by -gap, mm."""
    even = run.pales.lapped and len(run.pales.widths) == 1
    return run.pales.widest + 2.0 * gap if even else None


def offsets(layout: RunLayout) -> dict[str, float]:
    """Return how far the middle of each post is behind the string, mm.

    The string runs along the front faces of the line posts, which all posts of a leg share.
    """
    behind: dict[str, float] = {}
    parts: list[Stretch | Opening] = [*layout.stretches, *layout.openings]
    for part in parts:
        for post in part.posts:
            away = part.leg.frame.local(post.frame.origin)[1] + layout.run.face
            behind.setdefault(post.label, away + 0.0)
    return behind


@dataclass(frozen=True)
class Diagonal:
    """A triangle that proves a corner. corner, first, last : labels of posts; sides : from the
    corner to each, across : between them, post middle to post middle, level, mm.
    """

    corner: str
    first: str
    last: str
    sides: tuple[float, float]
    across: float


def diagonals(fence: FenceModel) -> tuple[Diagonal, ...]:
    """Return a triangle of posts for each corner of the fence that has a post in it."""
    return tuple(
        Diagonal(
            post.label,
            before.label,
            after.label,
            (_away(post, before), _away(post, after)),
            _away(before, after),
        )
        for layout in fence.layouts
        for post, before, after in triangles(layout)
    )


Triangle = tuple[PlacedPost, PlacedPost, PlacedPost]


def triangles(layout: RunLayout) -> tuple[Triangle, ...]:
    """Return of each corner of a run that has a post in it this post, and one on either leg."""
    found = []
    for number, post in enumerate(layout.posts):
        before, after = _beside(layout, number) if post.kind == PostRole.CORNER else (None, None)
        if before is not None and after is not None:
            found.append((post, before, after))
    return tuple(found)


def _beside(layout: RunLayout, number: int) -> tuple[PlacedPost | None, PlacedPost | None]:
    """Return the farthest post in reach on either side of a corner, on its two legs."""
    corner = layout.posts[number]
    ends: list[PlacedPost | None] = []
    for at in (-1, 0):  # the stretch that ends here, the one that starts here
        own = [s for s in layout.stretches if s.numbers[at] == number]
        posts = [layout.posts[n] for s in own for n in s.numbers if n != number]
        near = [post for post in posts if _away(corner, post) <= FAR]
        posts = near or sorted(posts, key=lambda post: _away(corner, post))[:1]
        ends.append(max(posts, key=lambda post: _away(corner, post), default=None))
    return ends[0], ends[1]


def _away(one: PlacedPost, other: PlacedPost) -> float:
    return math.dist(one.frame.origin[:2], other.frame.origin[:2])


CEMENT = (
    "Mix concrete or open the bags with gloves, long sleeves and goggles: wet cement burns skin "
    "and eyes. Rinse at once."
)

HARD = "Brace every post both ways until the concrete is hard; slope its top away from the post."

RAMMING = "Ram gravel round the posts in layers of about 150 mm, plumbing the post after each."

RAILS = (
    "Brush preservative on every cut, notch and hole; gloves and a dust mask with treated timber."
)

PALES = "Fix pales with the spacer and the stop listed; check plumb every few pales."

PANELS = (
    "Measure the clear distances between the posts before panels are made to them, and hang each "
    "panel where the table says: two people lift, a third fixes. Brush preservative on every cut "
    "and hole."
)

SERVICES_FIRST = (
    "Ask for the plans of buried pipes and cables, trace them on the ground and mark them. Dig the "
    "first half metre by hand near any mark; treat every service as live."
)

DIGGING = (
    "Dig the holes to the size and depth listed; keep them covered until they are filled. Put "
    "bottoms at the level listed."
)

WITH_RAILS = "Rails with tenons go up with the posts, bay by bay."

UNCUT_DOWN = ", the uncut end down"
"""What is left out where no post stands in the ground."""

SITE_STEPS = (
    "Agree the line, the height and the finish with the owner and the neighbours; have permissions "
    "in hand.",
    SERVICES_FIRST,
    "Set out: string along the front faces of the posts, pegs at each chainage, measured on from "
    "the first post and never from peg to peg. Prove corners by the diagonals.",
    DIGGING,
    CEMENT,
    f"Set end, corner and gate posts first, then line posts to the string, plumb both ways"
    f"{UNCUT_DOWN}. Lift long or wet posts with two people.",
    HARD,
    RAILS,
    PALES,
    "Hang gates with the leaf packed to its clearances; try the full swing; fit the latch.",
    "Take braces down, clear spoil and offcuts. Never burn treated timber; take it to a site "
    "licensed for it.",
)
"""The order of work on site with its cautions (common practice); local codes and licensed
practice come first."""


def site_steps(fence: FenceModel) -> list[str]:
    """Return the order of work on a site: with cement, with gravel, or both, and what else the feet
    of posts ask for.
    """
    fills = {dug.poured for layout in fence.layouts for dug in layout.fillings}
    feet = dict.fromkeys(foot for layout in fence.layouts for foot in layout.feet)
    ways = dict.fromkeys(layout.run.rails.way for layout in fence.layouts)
    up = ". ".join(way.site for way in ways if way.site)
    rails = f"{up}. {RAILS}" if up else RAILS
    steps = [rails if step is RAILS else step for step in SITE_STEPS]
    steps = [step for step in steps if True in fills or step not in (CEMENT, HARD)]
    if not all(way.site for way in ways):
        steps = [f"{step} {WITH_RAILS}" if step.startswith("Set end") else step for step in steps]
    if fence.panels:
        at = steps.index(rails)
        on_site = any(layout.run.panels is None for layout in fence.layouts)
        steps[at : at + 2] = [PANELS, *([rails, PALES] if on_site else [])]
    if feet and not fills:
        steps.remove(DIGGING)
    if feet and not any(foot.taken for foot in feet):
        steps.remove(SERVICES_FIRST)
    if feet and not any(foot.buried for foot in feet):
        steps = [step.replace(UNCUT_DOWN, "") for step in steps]
    own = dict.fromkeys(words for foot in feet for words in (foot.care, foot.how) if words)
    at = next(n for n, step in enumerate(steps) if step.startswith("Set end"))
    steps[at:at] = own
    if False in fills:
        last = max(n for n, step in enumerate(steps) if step.startswith("Set end") or step == HARD)
        steps.insert(last + 1, RAMMING)
    return steps
