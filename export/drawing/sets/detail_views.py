"""The details that a set shows of each run, alike ones once."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from functools import partial

from palewright.export.drawing.draft.drafting import Draft
from palewright.export.drawing.draft.scales import Scale, scales
from palewright.export.drawing.draft.view import View
from palewright.export.drawing.views.bays import typical_bay
from palewright.export.drawing.views.bevel_views import bevel_detail
from palewright.export.drawing.views.capping_detail import capping_detail
from palewright.export.drawing.views.corner_plans import corner_plan
from palewright.export.drawing.views.details import head_detail
from palewright.export.drawing.views.foot_details import foot_detail
from palewright.export.drawing.views.gate_views import gate_view
from palewright.export.drawing.views.leaf_shown import LeafShown
from palewright.export.drawing.views.leaf_views import leaf_section
from palewright.export.drawing.views.panel_joints import panel_joint
from palewright.export.drawing.views.post_tops import PostTopPieces, post_top_detail
from palewright.export.drawing.views.rail_details import rail_detail
from palewright.export.drawing.views.sections import fence_section, other_feet, section_post
from palewright.export.drawing.views.stepped_bays import (
    gravel_boards,
    largest_step,
    most_boards,
    stepped_post,
)
from palewright.export.drawing.views.wall_plates import wall_plate
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.metal_caps import MetalCap
from palewright.model.geometry.post_shapes import Post
from palewright.model.geometry.shapes import Bar, Bolt, Cap, Tenoned
from palewright.model.geometry.turned_shapes import Turned
from palewright.model.layout.pale_heads import fence_heads, gate_heads
from palewright.model.layout.placed_posts import FOOTED, PlacedPost
from palewright.model.layout.run_layout import RunLayout, footed_posts
from palewright.model.parts.members import RAIL
from palewright.model.resolved.post_plan import PostPlan
from palewright.model.resolved.words import PostRole

from .brief import Brief

DETAIL, BAY, HEAD, FOOT = 10.0, 20.0, 5.0, 5.0
"""Scales 1:n of sections and gates, of bays, and of small details, when not chosen."""

LARGEST = {
    "section": 5.0, "foot": 5.0, "bay": 10.0, "gate": 10.0, "head": 2.0, "post-top": 5.0,
    "rail": 2.0, "corner": 5.0, "step": 5.0, "boards": 10.0, "capping": 2.0,
}  # fmt: skip
"""Scales 1:n up to which details are drawn where that takes no further sheet."""

SLIGHT = 2.5
"""Corners that turn by less (degrees) have no plan section of their own."""

KINDS = ("section", "bay", "head", "post-top", "rail", "step", "gate", "corner")
"""The kinds of detail, as a spec leaves them out."""


def details(brief: Brief, kinds: Iterable[str]) -> Iterator[View]:
    """Yield the details of some kinds, without those that the spec leaves out."""
    fence = brief.fence
    wanted = set(kinds) - set(fence.job.sheets.leave_out)
    drawn: set[object] = set()
    for run, layout in enumerate(fence.layouts):
        job = layout.run
        alike = (job.posts, job.rails, job.pales, job.footings, job.capping)
        if alike not in drawn:
            drawn.add(alike)
            yield from _of_run(brief, run, wanted)
        if "head" in wanted:
            for head in gate_heads(layout):
                yield _drawn(brief, "head", HEAD, partial(head_detail, head))
        if "gate" in wanted:
            for opening in layout.openings:
                for back in (False, True):
                    draw = partial(gate_view, fence, run, opening, back=back)
                    yield _drawn(brief, "gate", BAY, draw)
                if opening.leaves[0].plan.slide is not None:
                    shown = LeafShown(fence, run, opening, 0)
                    yield _drawn(brief, "gate", DETAIL, partial(leaf_section, shown))
        if "corner" in wanted:
            for number in _corners(layout):
                yield _drawn(brief, "corner", DETAIL, partial(corner_plan, fence, run, number))


def _of_run(brief: Brief, run: int, wanted: set[str]) -> Iterator[View]:
    """Yield the details that runs built alike share."""
    fence, layout = brief.fence, brief.fence.layouts[run]
    job = layout.run
    if "section" in wanted:
        yield from _sections(brief, run)
    if "step" in wanted:
        yield from _stepped(brief, run)
    if "bay" in wanted and layout.stretches:
        for back in (False, True):
            yield _drawn(brief, "bay", BAY, partial(typical_bay, fence, run, back=back))
    if "head" in wanted and not job.tops_cut:
        for head in fence_heads(layout):
            yield _drawn(brief, "head", HEAD, partial(head_detail, head))
    if "post-top" in wanted:
        for name, pieces in _post_kinds(fence, run):
            yield _drawn(brief, "post-top", HEAD, partial(post_top_detail, pieces, name))
    if "rail" in wanted and job.capping is not None and layout.stretches:
        yield _drawn(brief, "capping", HEAD, partial(capping_detail, fence, run))
        for name, plan in _bevelled(fence, run):
            yield _drawn(brief, "post-top", HEAD, partial(bevel_detail, plan, name))
    if "rail" in wanted and layout.stretches:
        yield _drawn(brief, "rail", HEAD, partial(_rail_detail, fence, run))


def _sections(brief: Brief, run: int) -> Iterator[View]:
    """Yield the sections of a run at each way its posts stand, their feet, and its plates."""
    fence, layout = brief.fence, brief.fence.layouts[run]
    if layout.stretches and any(post.made for post in layout.posts):
        yield _drawn(brief, "section", DETAIL, partial(fence_section, fence, run))
        for post in other_feet(layout):
            drawn = partial(fence_section, fence, run, post=post)
            yield _drawn(brief, "section", DETAIL, drawn)
        for names, post in steel_feet(layout):
            drawn = partial(foot_detail, fence, run, post, names)
            yield _drawn(brief, "foot", FOOT, drawn)
    plates = {plate.on_wall: plate for plate in reversed(layout.posts)
              if plate.kind == PostRole.WALL}  # fmt: skip
    for plate in plates.values():  # of those on walls and on posts one: others differ in length
        yield _drawn(brief, "section", DETAIL, partial(wall_plate, fence, run, plate))


def steel_feet(layout: RunLayout) -> list[tuple[str, PlacedPost]]:
    """Return a post for each foot of a run that has steel at it, with the kinds that have it."""
    found: dict[object, list[PlacedPost]] = {}
    for kind, posts in footed_posts(layout):
        if posts[0].plan.foot.shoe is not None:
            own = found.setdefault(posts[0].plan.foot, [])
            own += [posts[0]] if kind not in [post.kind for post in own] else []
    return [(", ".join(post.kind for post in own), own[0]) for own in found.values()]


def _stepped(brief: Brief, run: int) -> Iterator[View]:
    """Yield the post with the largest step, and the bay with the most gravel boards."""
    fence = brief.fence
    place = largest_step(fence.layouts[run], run)
    if place is not None:
        yield _drawn(brief, "step", DETAIL, partial(stepped_post, fence, place))
    boards = most_boards(fence, run)
    if boards is not None:
        yield _drawn(brief, "boards", BAY, partial(gravel_boards, fence, run, boards))


def _drawn(brief: Brief, kind: str, n: float, draw: Callable[[Draft], View]) -> View:
    """Return a detail at the chosen scale, else at the one nearest to 1:n or larger."""
    chosen = brief.fence.job.sheets.detail_scale
    if chosen is not None:
        return draw(brief.fine_draft_at(chosen))
    return brief.enlargeable(kind, LARGEST[kind], draw, nearest(brief, n).n)


def nearest(brief: Brief, n: float) -> Scale:
    """Return the usual scale that is nearest to 1:n."""
    return min(scales(brief.figures.units), key=lambda scale: (abs(scale.n - n), -scale.n))


def _corners(layout: RunLayout) -> Iterator[int]:
    """Yield the legs that start at a corner, one for each turn: corners alike are drawn once."""
    seen: set[int] = set()
    for number, leg in enumerate(layout.legs):
        turn = round(leg.turn_start * 10)
        # a line post on a curve is a line post
        slight = abs(leg.turn_start) < SLIGHT or leg.bent_start
        if not slight and turn not in seen:
            seen.add(turn)
            yield number


def _rail_detail(fence: FenceModel, run: int, draft: Draft) -> View:
    """Return a rail on the post that the run is cut at."""
    layout = fence.layouts[run]
    rail = next(m.shape for m in fence.members if m.kind == RAIL and m.run == run)
    post = _pieces(fence, run, section_post(layout)).post
    if layout.run.panels is not None:
        return panel_joint(layout.run, post, _usual_bolt(fence, run), draft)
    assert isinstance(rail, Bar | Tenoned)
    return rail_detail(layout.run, rail, post, _usual_bolt(fence, run), draft)


def _pieces(fence: FenceModel, run: int, post: PlacedPost) -> PostTopPieces:
    """Return a post and what stands on it as they are made."""
    shapes = [member.shape for member in fence.of_post[run, post.label]]
    timber = next(shape for shape in shapes if isinstance(shape, Post))
    cap = next((shape for shape in shapes if isinstance(shape, (Cap, MetalCap))), None)
    finial = next((shape for shape in shapes if isinstance(shape, Turned)), None)
    return PostTopPieces(timber, cap, finial)


def _post_kinds(fence: FenceModel, run: int) -> list[tuple[str, PostTopPieces]]:
    """Return the posts of a run that differ in section or top, named by their kinds."""
    kinds: dict[object, tuple[list[PostRole], PostTopPieces]] = {}
    for placed in fence.layouts[run].posts:
        if not placed.made:
            continue
        pieces = _pieces(fence, run, placed)
        post = pieces.post
        alike = (post.width, post.depth, post.top, pieces.cap, pieces.finial)
        names, _ = kinds.setdefault(alike, ([], pieces))
        if placed.kind not in names:
            names.append(placed.kind)
    return [
        (", ".join(sorted(names, key=FOOTED.index)) + " post", pieces)
        for names, pieces in kinds.values()
    ]


def _bevelled(fence: FenceModel, run: int) -> Iterator[tuple[str, PostPlan]]:
    """Yield the posts of a run that have bevels, alike ones once, named by their kinds."""
    kinds: dict[object, tuple[dict[PostRole, None], PostPlan]] = {}
    for placed in fence.layouts[run].posts:
        plan = placed.plan
        if placed.made and plan.bevel is not None:
            alike = (plan.width, plan.depth, plan.bevel)
            kinds.setdefault(alike, ({}, plan))[0][placed.kind] = None
    for names, plan in kinds.values():
        yield ", ".join(sorted(names, key=FOOTED.index)) + " post", plan


def _usual_bolt(fence: FenceModel, run: int) -> Bolt | None:
    """Return the bolt that a run has most of, or None when it has none."""
    shapes = (member.shape for member in fence.members if member.run == run)
    counts = Counter(shape for shape in shapes if isinstance(shape, Bolt))
    return counts.most_common(1)[0][0] if counts else None
