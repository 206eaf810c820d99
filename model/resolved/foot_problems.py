"""Feet of posts that cannot be made, or that do not go with what else is said of a run."""

from __future__ import annotations

import math
from collections.abc import Iterator

from palewright.model.basis.errors import KeyPath, Problem
from palewright.model.spec.post_keys import PostKind, Posts
from palewright.model.spec.spec_tables import Run, SpecTables

from .job import RunJob
from .post_feet import BOLT_DOWN, BOLT_UP, BOLTS_APART, Cradle, Foot, OnShoe
from .post_plan import PostPlan
from .words import WedgeFill

HEADS = 20.0
"""Room for the heads and nuts of bolts before a cheek, mm."""

CLEAR = 18.0
"""From the middle of an anchor to steel, timber or an edge beside it: half of an M12 washer (common
practice, no source), mm."""


def foot_problems(run: RunJob, posts: Posts) -> Iterator[Problem]:
    """Yield why posts cannot stand as they are said to. posts : as the spec has them."""
    path = (*run.path, "posts")
    yield from _useless_depths(run, posts, path)
    told: set[Foot] = set()
    for where, plan in _kinds(run, path):
        if plan.foot not in told:
            told.add(plan.foot)
            yield from _of_foot(run, plan, where)
    corner = run.posts.corner.foot.shoe
    legs = run.line.legs if run.line.closed else run.line.legs[1:]
    turned = run.corners.posts == "one" and any(not leg.bent_start for leg in legs)
    if corner is not None and turned and not run.rails.over_posts:
        text = 'pales pass a corner post on two sides, where its cheeks are; set foot to "hole"'
        yield Problem((*path, "corner", "foot"), text)
    elif corner is not None and turned:
        yield from _under_rails(
            run, run.posts.corner.foot, (*path, "corner", "foot"), "a corner post's cheeks"
        )


def unused_holes(run: RunJob, spec: SpecTables, own: Run) -> Iterator[Problem]:
    """Yield that holes are described where no post of a run stands in one; where they are described
    for several runs, one with posts of its own may have none. own : the run as the spec has it.
    """
    if own.footings is None and any(other.posts is not None for other in spec.run):
        return
    footings = own.footings or spec.footings
    if footings.model_fields_set and not any(plan.foot.dug for plan in run.posts.kinds):
        text = f"no post stands in a hole, all are {run.posts.line.foot.way}; leave it out"
        yield Problem((*run.path, "footings"), text)


def _kinds(run: RunJob, path: KeyPath) -> Iterator[tuple[KeyPath, PostPlan]]:
    """Yield the kinds of posts that there are, with the key that says how they stand."""
    yield (*path, "foot"), run.posts.line
    yield (*path, "end", "foot"), run.posts.end
    yield (*path, "corner", "foot"), run.posts.corner
    for number, plan in enumerate(run.posts.gates):
        own = plan.foot != run.posts.gate.foot
        yield (*run.path, "gate", number, "post", "foot") if own else (*path, "gate", "foot"), plan


def _useless_depths(run: RunJob, posts: Posts, path: KeyPath) -> Iterator[Problem]:
    """Yield depths in the ground of posts that have no timber in it."""
    buried = any(plan.foot.buried for plan in run.posts.kinds)
    if "embedment" in posts.model_fields_set and not buried:
        yield _useless((*path, "embedment"), run.posts.line.foot)
    plans = {"end": run.posts.end, "corner": run.posts.corner, "gate": run.posts.gate}
    for name, plan in plans.items():
        kind: PostKind = getattr(posts, name)
        if kind.embedment is not None and not plan.foot.buried:
            yield _useless((*path, name, "embedment"), plan.foot)
        if kind.hole is not None and plan.foot.dug is None:
            yield Problem((*path, name, "hole"), f"no hole is dug for a post {plan.foot.way}")
    for number, (gate, plan) in enumerate(zip(run.gates.openings, run.posts.gates, strict=True)):
        if gate.post is not None and gate.post.embedment is not None and not plan.foot.buried:
            yield _useless((*run.path, "gate", number, "post", "embedment"), plan.foot)
        if gate.post is not None and gate.post.hole is not None and plan.foot.dug is None:
            text = f"no hole is dug for a post {plan.foot.way}"
            yield Problem((*run.path, "gate", number, "post", "hole"), text)


def _useless(path: KeyPath, foot: Foot) -> Problem:
    return Problem(path, f"a post {foot.way} has no timber in the ground; leave it out")


def _of_foot(run: RunJob, plan: PostPlan, path: KeyPath) -> Iterator[Problem]:
    foot = plan.foot
    if plan.cast and foot.dug is None:
        yield Problem(path, f'a concrete post does not stand {foot.way}; set it to "hole"')
    if foot.shoe is not None:
        yield from _cheeks(foot.shoe, path)
        rails = run.rails
        if not foot.shoe.sides and _room_before(run) < foot.shoe.metal + HEADS:
            text = 'pales pass too close to the front of the posts; set cheeks to "sides"'
            yield Problem((*path, "cheeks"), text)
        elif rails.notch > 0.0 or rails.over_posts != foot.shoe.sides:
            yield from _under_rails(run, foot, path, "the cheeks")
    if isinstance(foot, OnShoe):
        yield from _base_plate(foot, path)
        fills = (run.slopes.fill, *(fill for *_, fill in run.slopes.filling))
        if WedgeFill.BOARD in fills:
            text = "gravel boards do not pass over base plates; set slopes.fill to another"
            yield Problem(path, text)


def _room_before(run: RunJob) -> float:
    """Return how far pales that pass the front of the posts are before it, mm."""
    passing = [layer.back - run.face for layer in run.layers if layer.front > run.face]
    return min(passing, default=math.inf)


def _cheeks(shoe: Cradle, path: KeyPath) -> Iterator[Problem]:
    low, high = shoe.bolts
    if high - low < BOLTS_APART - 1e-6:
        least = shoe.gap + BOLT_UP + BOLTS_APART + BOLT_DOWN
        text = f"cheeks {shoe.high:g} mm high leave no room for two bolts; {least:g} or more"
        yield Problem((*path, "height"), text)


def _under_rails(run: RunJob, foot: Foot, path: KeyPath, what: str) -> Iterator[Problem]:
    """Yield that rails would run into cheeks that stand where they pass or end."""
    assert foot.shoe is not None
    low = run.rails.tops[0] - run.rails.section[0]
    top = foot.seat + foot.shoe.high
    if low < top - 1e-6:
        text = (
            f"the lowest rail, {low:g} mm over the ground, meets {what}, which end at {top:g}; "
            'raise rails.tops, lower the cheeks (height) or set foot to "hole"'
        )
        yield Problem(path, text)


def _base_plate(foot: OnShoe, path: KeyPath) -> Iterator[Problem]:
    along, across = foot.plate
    shoe = foot.cradle
    steel = (2.0 * shoe.metal, 0.0) if shoe.sides else (0.0, 2.0 * shoe.metal)
    held = (shoe.width + steel[0], shoe.depth + steel[1])
    if along < held[0] or across < held[1]:
        text = f"smaller than what stands on it, {held[0]:g} x {held[1]:g} mm"
        yield Problem((*path, "plate"), text)
        return
    if foot.inset < CLEAR:
        yield Problem((*path, "inset"), f"leaves no room for a washer; {CLEAR:g} mm or more")
    x, y = foot.anchors[2]
    if x < held[0] / 2.0 + CLEAR and y < held[1] / 2.0 + CLEAR:
        text = "its anchors would stand in the cheeks or under the post; a larger plate"
        yield Problem((*path, "plate"), text)
    if foot.slab is not None and foot.hold >= foot.slab:
        text = f"{foot.hold:g} mm go through a slab of {foot.slab:g} mm"
        yield Problem((*path, "hold"), text)
