"""The capping rail cut across, with what it lies on."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from palewright.export.drawing.draft import style as layers
from palewright.export.drawing.draft.drafting import Draft
from palewright.export.drawing.draft.style import CUT_TIMBER, Layer
from palewright.export.drawing.draft.view import Hatch, Item, Line, View
from palewright.model.basis.units import format_length as mm
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.frames import Point
from palewright.model.geometry.outlines import Outline
from palewright.model.order.fixings import NAILS, SCREWS, driven_size
from palewright.model.parts.capping_rails import ENDS, EVERY
from palewright.model.resolved.capping_plan import CappingPlan
from palewright.model.resolved.job import RunJob

from .callouts import Callout, callouts
from .dimensions import level_chain, upright_chain
from .members_shown import break_line
from .titles import titled

SHOWN = 90.0
"""How much is shown of what is under a capping rail, mm."""


@dataclass(frozen=True)
class _Under:
    """What is seen under a capping rail. x0, x1 : across the fence, front to the left; low, high :
    under the pales' tops; words : for it.
    """

    x0: float
    x1: float
    low: float
    high: float
    layer: Layer
    words: str = ""

    @cached_property
    def loop(self) -> tuple[Point, ...]:
        """Its outline, mm."""
        box = Outline.rectangle(self.x0, self.low, self.x1, self.high)
        return tuple((x, z) for x, z, _ in box.vertices)


def capping_detail(fence: FenceModel, run: int, draft: Draft) -> View:
    """Return the section of a run's capping rail, the front to the left.

    x = 0 on the line of the fence, y = 0 at the pales' tops.
    """
    job = fence.layouts[run].run
    plan = job.capping
    assert plan is not None
    first = draft.full(draft.style.first_tier)
    front = -plan.front
    loop = tuple((front + y, z) for y, z in plan.section)
    under = list(_under(job, draft))
    items: list[Item] = [Line.through(loop, layers.RAILS, closed=True), Hatch(loop, CUT_TIMBER)]
    for part in under:
        items.append(Line.through(part.loop, part.layer, closed=True))
        if part.layer is layers.RAILS:
            items.append(Hatch(part.loop, CUT_TIMBER))
    left, right = (
        min(x for part in under for x in (part.x0, part.x1)),
        max(x for part in under for x in (part.x0, part.x1)),
    )
    items.append(break_line(((left, -SHOWN), (right, -SHOWN)), draft))
    faces = sorted({-face for layer in job.layers for face in (layer.front, layer.back)})
    places = [x for x in faces if front - 1e-6 < x < -plan.back + 1e-6]
    items += level_chain([(x, plan.thickness) for x in sorted({front, *places, -plan.back})],
                         plan.thickness + first, draft)  # fmt: skip
    items += upright_chain(_ups(plan, front), front - first, draft)
    if len({*plan.edges}) > 1:
        ups = [(-plan.back, 0.0), (-plan.back, plan.edges[1])]
        items += upright_chain(ups, -plan.back + first, draft)
    words = [Callout(part.words, _middle(part)) for part in under if part.words]
    spot = (front + plan.width * 0.7, plan.thickness / 2.0)
    words.append(Callout(_fixed(fence, job, draft), spot))
    items += callouts(words, items, draft, lift=0.5)
    title = f"Capping rail, section, {job.called}"
    return titled(title, items, draft, left=front, notes=_notes(job, plan, draft))


def _ups(plan: CappingPlan, front: float) -> list[Point]:
    """Return the heights of the front edge and of the thickest place."""
    ups = {0.0, plan.edges[0], plan.thickness}
    return [(front, z) for z in sorted(ups)]


def _middle(part: _Under) -> Point:
    return (part.x0 + part.x1) / 2.0, part.low + 0.4 * (part.high - part.low)


def _under(job: RunJob, draft: Draft) -> Iterator[_Under]:
    """Yield pales, the top rail, and the post or what is seen of it."""
    figure = draft.figure
    for layer in job.layers:
        words = f"{layer.role} {figure(job.pales.thickness)}"
        yield _Under(-layer.front, -layer.back, -SHOWN, 0.0, layers.PALES, words)
    back, front = job.rails.faces(job.face)
    top = job.rails.tops[-1] - job.height
    height, thick = job.rails.section
    if top > -SHOWN and not job.rails.triangular:
        words = f"top rail {figure(height)} x {figure(thick)}"
        yield _Under(-front, -back, max(-SHOWN, top - height), top, layers.RAILS, words)
    post = job.posts.line
    if job.capping is not None and job.capping.on_posts:
        words = f"post {figure(post.width)} x {figure(post.depth)}, sawn square"
        yield _Under(-job.face, post.depth - job.face, -SHOWN, 0.0, layers.POSTS, words)


def _fixed(fence: FenceModel, job: RunJob, draft: Draft) -> str:
    """Return size and fixing of a capping rail."""
    plan = job.capping
    assert plan is not None
    told = fence.job.fixings
    sold = NAILS if told.pales == "nails" else SCREWS
    length, diameter = driven_size(plan.thickness, 1e6, sold)
    into = "the top rail" if job.carries else "the pales"
    into = f"{into} and the posts" if plan.on_posts else into
    return (
        f"{told.pales} {diameter:g} x {mm(length)} down into {into}: {ENDS} at each end of a "
        f"piece, one every {draft.figure(EVERY)} between"
    )


def _notes(job: RunJob, plan: CappingPlan, draft: Draft) -> list[str]:
    """Return how the board is made and where its pieces meet."""
    figure = draft.figure
    size = f"{figure(plan.width)} x {figure(plan.thickness)}"
    made = f"capping rail {size}"
    if plan.falls_said:
        made += f", its top falls {figure(plan.fall)} {plan.falls_said}"
    notes = [made]
    if plan.grooves:
        places = " and ".join(figure(start) for start in plan.grooves)
        deep = figure(plan.groove)
        notes.append(f"drip groove {deep} x {deep} underneath, {places} behind the front edge")
    between = job.between_posts and not plan.on_posts
    notes.append(
        "a piece from post to post" if between
        else "pieces meet at the middle of a post, at corners in a mitre"
    )  # fmt: skip
    return notes
