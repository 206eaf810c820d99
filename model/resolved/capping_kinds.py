"""From the spec's table of a capping rail to where it lies, and what it does not go with."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from palewright.model.basis.errors import KeyPath, Problem
from palewright.model.spec.infill_keys import Capping, Pales
from palewright.model.spec.post_keys import FlatTopSpec, PostKind, Posts

from .capping_plan import BESIDE_GROOVE, CappingPlan
from .job import RunJob
from .kick_kinds import kick_problems
from .words import Follow

BEARING = 30.0
"""Least that a capping rail lies on posts that end under it, mm."""

THIN = 10.0
"""An edge is not made thinner, mm."""

LEVEL = 0.5
"""Ground that rises and falls by no more is level, mm."""


def with_capping(
    run: RunJob, spec: Capping | None, pales: Pales, posts: Posts
) -> tuple[RunJob, list[Problem]]:
    """Return a run with its capping rail, and what that and its kick board do not go
    with.
    """
    run = replace(run, capping=capping_plan(spec, run))
    return run, [*capping_problems(run, spec, pales, posts), *kick_problems(run)]


def capping_plan(spec: Capping | None, run: RunJob) -> CappingPlan | None:
    """Return the capping rail of a run that has all but that."""
    if spec is None or spec.over == "none":
        return None
    back, front = zip(*((layer.back, layer.front) for layer in run.layers), strict=True)
    if run.carries:
        rails = run.rails.faces(run.face)
        back, front = (*back, rails[0]), (*front, rails[1])
    edge, rear = max(front) + spec.overhang, min(back)
    usual = run.face
    if spec.over == "posts":
        rear = min(rear, run.face - _deepest(run))
        usual = rear - spec.overhang
    elif run.between_posts:
        usual = rear - spec.overhang
    behind = usual if spec.width is None else edge - spec.width
    return CappingPlan(
        spec.over, edge, behind, spec.thickness, spec.overhang, max(0.0, rear - behind), spec.falls,
        0.0 if spec.falls == "none" else spec.fall, spec.groove, spec.stock_length,
    )  # fmt: skip


def _deepest(run: RunJob) -> float:
    """Return how deep the deepest post is, from its front to its back, mm."""
    posts = run.posts
    gates = (posts.gate, *posts.gates) if run.gates.openings else ()
    return max(plan.depth for plan in (posts.line, posts.end, posts.corner, *gates))


def posts_under(posts: Posts, above: float) -> Posts:
    """Return posts that end square, so high above the top rail (mm), whatever their kind."""
    square = {"above_rail": above, "top": FlatTopSpec(shape="flat"), "finial": None}
    usual = {"above_rail": None, "top": None, "finial": None}
    kinds = {kind: getattr(posts, kind).model_copy(update=usual) for kind in KINDS}
    return posts.model_copy(update={**square, **kinds})


KINDS = ("end", "corner", "gate")
"""Kinds of posts that a spec may make otherwise than the line posts."""

CARRIED = ("above_rail", "top", "finial")
"""What cannot be chosen of posts that end under a capping rail."""


def capping_problems(
    run: RunJob, spec: Capping | None, pales: Pales, posts: Posts
) -> Iterator[Problem]:
    """Yield what a capping rail does not go with. spec, pales, posts : as written."""
    plan = run.capping
    if plan is None or spec is None:
        return
    path = (*run.path, "capping")
    yield from _head_problems(run, pales)
    yield from _size_problems(run, plan, spec, path)
    if plan.on_posts:
        yield from _post_problems(run, posts)
    elif run.pales.on == "both":
        text = 'pales on both faces stand before and behind the posts\' fronts: over = "posts"'
        yield Problem((*path, "over"), text)
    elif not run.between_posts:
        yield from _before_posts(run, plan, pales)


def _head_problems(run: RunJob, pales: Pales) -> Iterator[Problem]:
    """Yield tops that a straight board cannot lie on."""
    if any(kind.rise > 0.0 for kind in run.pales.sorts):
        text = 'a capping rail lies on flat heads: head = "square"'
        number = next((n for n, turn in enumerate(pales.turns) if turn.head is not None), None)
        own = () if number is None else ("turns", number)
        yield Problem((*run.path, "pales", *own, "head"), text)
    elif len({kind.length for kind in run.pales.sorts}) > 1:
        text = "a capping rail lies on pales of one length"
        yield Problem((*run.path, "pales", "turns"), text)
    top_line = run.top_line
    if top_line.shape != "straight":
        text = f'a capping rail is straight from post to post: no "{top_line.shape}" under it'
        yield Problem((*run.path, "top_line", "shape"), text)
    if "heads" in top_line.model_fields_set:
        text = "is not used: pales are cut along the capping rail that lies on them"
        yield Problem((*run.path, "top_line", "heads"), text)


def _size_problems(
    run: RunJob, plan: CappingPlan, spec: Capping, path: KeyPath
) -> Iterator[Problem]:
    """Yield sizes of a capping rail that do not go together."""
    rear = min(layer.back for layer in run.layers)
    least = plan.front - rear
    if plan.on_posts:
        least = max(least, plan.front - run.face + BEARING)
    if plan.width < least - 1e-6:
        text = f"does not cover what it lies on: {least:g} mm or more"
        yield Problem((*path, "width"), text)
    elif plan.over == "pales" and not run.between_posts and plan.back < run.face - 1e-6:
        most = plan.front - run.face
        text = f'reaches over the posts\' fronts: {most:g} mm at most, or over = "posts"'
        yield Problem((*path, "width"), text)
    if plan.fall and plan.thickness - plan.fall < THIN:
        text = f"leaves edges {plan.thickness - plan.fall:g} mm thick: {THIN:g} mm or more"
        yield Problem((*path, "fall"), text)
    if spec.falls == "none" and "fall" in spec.model_fields_set and spec.fall:
        yield Problem((*path, "fall"), 'is not used where falls is "none"')
    need = plan.groove + 2.0 * BESIDE_GROOVE
    if plan.groove and plan.overhang < need:
        text = f"has no room under an overhang of {plan.overhang:g} mm: it takes {need:g} mm"
        yield Problem((*path, "groove"), text)
    elif plan.groove > min(plan.edges) / 2.0:
        text = f"is over half of the edge's {min(plan.edges):g} mm"
        yield Problem((*path, "groove"), text)


def _post_problems(run: RunJob, posts: Posts) -> Iterator[Problem]:
    """Yield what keeps posts from ending under a capping rail."""
    text = 'is not used: posts end square under the capping rail, where capping.over is "posts"'
    for key in CARRIED:
        if key in posts.model_fields_set:
            yield Problem((*run.path, "posts", key), text)
        own: list[tuple[KeyPath, PostKind | None]] = [
            (("posts", kind), getattr(posts, kind)) for kind in KINDS
        ]
        own += [(("gate", n, "post"), gate.post) for n, gate in enumerate(run.gates.openings)]
        for path, kind in own:
            if kind is not None and getattr(kind, key) is not None:
                yield Problem((*run.path, *path, key), text)
    for number, leaf in enumerate(run.gates.leaves):
        if leaf.height > run.height + LEVEL:
            text = "a leaf higher than the fence wants posts over it, and the capping rail lies on "
            yield Problem((*run.path, "gate", number, "height"), text + "them")
    if any(plan.cast for plan in run.posts.kinds):
        text = 'posts of concrete take no nails from above: over = "pales"'
        yield Problem((*run.path, "capping", "over"), text)
    ways = {run.slopes.follow, *(way for _, _, way in run.slopes.following)}
    if sloping(run) and ways != {Follow.LEVEL}:
        text = (
            'posts are sawn square and their ground slopes: over = "pales", or slopes.follow = '
            '"level"'
        )
        yield Problem((*run.path, "capping", "over"), text)


def _before_posts(run: RunJob, plan: CappingPlan, pales: Pales) -> Iterator[Problem]:
    """Yield what is in the way of a capping rail before the posts."""
    over = run.height + plan.thickness
    for name in ("line", *KINDS):
        post = getattr(run.posts, name)
        if post.cap is None or post.cap.depth <= post.depth:
            continue
        least = over + post.cap.skirt - run.rails.tops[-1]
        if post.above_rail < least - 1e-6:
            where = ("posts",) if name == "line" else ("posts", name)
            text = f"the cap would meet the capping rail: {least:g} mm or more"
            yield Problem((*run.path, *where, "above_rail"), text)
            break
    ways = {run.slopes.follow, *(way for _, _, way in run.slopes.following)}
    if Follow.STEP in ways and sloping(run) and pales.spaced != "bay":
        text = 'at steps pales must not stand across a post under a capping rail: "bay"'
        yield Problem((*run.path, "pales", "spaced"), text)


def sloping(run: RunJob) -> bool:
    """Tell whether the ground along a run is at more than one level."""
    levels = [leg.start[2] + z for leg in run.line.legs for _, z in leg.profile]
    return max(levels) - min(levels) > LEVEL
