"""Checks against what the spec says of the site: access, frost, walls, sight lines, weather."""

from __future__ import annotations

import math
from collections.abc import Iterator

from palewright.model.basis import finding_register as register
from palewright.model.basis import gate_kinds as gates
from palewright.model.basis.findings import Finding
from palewright.model.basis.site_kinds import PLANNING_NAMES
from palewright.model.basis.units import format_length as mm
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.top_cuts import FlatTop
from palewright.model.layout.heights import heights
from palewright.model.layout.run_layout import RunLayout, footed_posts, gate_place
from palewright.model.resolved.footing_plan import half_of


def site_findings(fence: FenceModel) -> Iterator[Finding]:
    """Yield what the site does not allow, and what will not last in the weather."""
    for layout in fence.layouts:
        yield from _access(layout, fence.job.limits.access)
        yield from _frost(layout, fence.job.soil.frost)
        yield from _at_walls(layout)
        yield from _weather(layout, fence.job.fixings.coating)
    yield from _splays(fence)
    yield from _planning_names(fence)


def clear_opening(layout: RunLayout, number: int) -> float:
    """Return what is left of a gate's opening when its leaves stand open square to it, mm."""
    opening = layout.openings[number]
    run = layout.run
    if opening.leaves[0].plan.slide is not None:
        return opening.end - opening.start
    thick = run.pales.thickness + opening.leaves[0].plan.ledge[1] + run.gates.hinge_clearance
    return opening.end - opening.start - len(opening.leaves) * thick


def _access(layout: RunLayout, least: float | None) -> Iterator[Finding]:
    if least is None:
        return
    for opening in layout.openings:
        clear = clear_opening(layout, opening.number)
        if clear < least - 1e-6:
            yield gates.ACCESS_NARROW.at(
                gate_place(layout, opening), f"{mm(clear)} mm", f"{mm(least)} mm or more"
            )


def _planning_names(fence: FenceModel) -> Iterator[Finding]:
    """Yield the missing one of two names; a job with neither makes no application."""
    project = fence.job.project
    given = {"project.address": project.address, "project.applicant": project.applicant}
    missing = [key for key, words in given.items() if not words.strip()]
    if len(missing) == 1:
        yield PLANNING_NAMES.at(missing[0], "not given", "")


def _frost(layout: RunLayout, depth: float | None) -> Iterator[Finding]:
    if depth is None:
        return
    for kind, posts in footed_posts(layout):
        deep = posts[0].plan.foot.deep
        if deep > 0.0 and deep < depth - 1e-6:
            yield register.FOOTING_FROST.at(
                f"{layout.run.called}, {kind} posts",
                f"{mm(deep)} mm",
                f"{mm(depth)} mm or more",
            )


def _at_walls(layout: RunLayout) -> Iterator[Finding]:
    """Find holes that would undermine the wall a run starts or ends at."""
    walls = [post for post in layout.posts if post.on_wall]
    for wall in walls:
        for post in layout.posts:
            dug = post.plan.foot.dug
            if dug is None:
                continue
            half = half_of(dug.hole)
            apart = math.dist(wall.frame.origin[:2], post.frame.origin[:2]) - half
            if apart < half:
                yield register.HOLE_AT_WALL.at(
                    f"post {post.label} and the {wall.held_by}",
                    f"{mm(apart)} mm from the {wall.held_by}",
                    f"{mm(half)} mm or more",
                )


def _weather(layout: RunLayout, coating: str) -> Iterator[Finding]:
    run = layout.run
    new = [post for post in layout.posts if post.made]
    kinds = {post.kind for post in new}
    plans = {post.plan for post in new}
    under = run.capping is not None and run.capping.on_posts
    flat = [plan for plan in plans if isinstance(plan.top, FlatTop) and not (plan.cap or plan.cast)]
    if flat and not under:
        yield register.POST_TOP_FLAT.at(
            f"{run.called}, {', '.join(sorted(kinds))} posts", "flat", "a top that sheds water"
        )
    if coating == "bright":
        yield register.FIXING_BRIGHT.at(run.called, "bright", "galvanised or stainless")


def _splays(fence: FenceModel) -> Iterator[Finding]:
    """Find what stands too high where people have to see over it."""
    if not fence.job.splays:
        return
    import shapely

    east, north, _ = fence.job.origin
    tops = [
        (layout, height, layout.legs[leg].frame.point((x, 0.0, 0.0)))
        for layout in fence.layouts
        for height, leg, x in heights(layout)
    ]
    for number, splay in enumerate(fence.job.splays, 1):
        area = shapely.Polygon([(x - east, y - north) for x, y in splay.points])
        if not area.is_valid:
            area = area.buffer(0)
        inside = [
            (height, layout.run.letter)
            for layout, height, (x, y, _) in tops
            if area.covers(shapely.Point(x, y))
        ]
        if inside and max(inside)[0] > splay.height + 1e-6:
            height, letter = max(inside)
            yield register.SPLAY_HIGH.at(
                f"run {letter}, splay {number}",
                f"{mm(height)} mm",
                f"{mm(splay.height)} mm or less",
            )
