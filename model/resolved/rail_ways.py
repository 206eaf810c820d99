"""How rails are held to their posts: one value for each way, which answers what depends on it."""

from __future__ import annotations

from dataclasses import dataclass

from palewright.model.basis.errors import KeyPath, Problem
from palewright.model.spec.infill_keys import Rails

from .post_plan import PostPlans
from .tenon_plan import tenon_plan, tenon_problems


@dataclass(frozen=True)
class RailWay:
    """A way to hold rails.

    name : what a rail of the usual section is called; over_posts : whether rails go on over posts
    and are jointed on them, else each ends at the sides of two; bolted : whether a bolt goes
    through each and its post; flat_back : whether pales can be fixed to their backs, with
    `no_back` why not; offer : how they are fixed, for a customer, with {bolt} and {set} in it;
    order : what to do, on assembly sheets, with {tops}, {hole}, {set} and {deep} in it; site : the
    same in short, for the order of work, empty where rails go up with the posts; let_in :
    whether timber is cut out of the posts for them.
    """

    name: str
    over_posts: bool
    bolted: bool
    flat_back: bool
    offer: str
    order: str
    no_back: str = ""
    site: str = "Drill and bolt rails, joints on posts only"
    let_in: bool = False


WAYS: dict[str, RailWay] = {
    "face": RailWay(
        "rail",
        over_posts=True,
        bolted=True,
        flat_back=True,
        offer="on the face of the posts, with {bolt} bolts",
        order="Rails lie on the front of the posts, tops {tops} over the base of the bay; joints "
        "on posts only, upper and lower ones on different posts. Drill {hole} through, let the "
        "heads in flush.",
    ),
    "arris": RailWay(
        "arris rail",
        over_posts=False,
        bolted=False,
        flat_back=False,
        offer="triangular (arris), let into the posts",
        order="Rails stand between the posts, flat face to the front, tops {tops} over the base of "
        "the bay, each end in a sleeve screwed to post and rail.",
        no_back="arris rails have no flat back to fix pales to; only their front",
        site="Fix rails between the posts in their sleeves",
    ),
    "between": RailWay(
        "rail",
        over_posts=False,
        bolted=False,
        flat_back=False,
        offer="between the posts, {set}, on brackets",
        order="Rails stand between the posts, {set}, tops {tops} over the base of the bay, each "
        "end cut to the post's side and held by a bracket behind it, screwed to post and rail.",
        no_back="the backs of rails between posts hold their brackets; pales go on their front",
        site="Fix rails between the posts, each cut to its place, on their brackets",
    ),
    "notched": RailWay(
        "rail",
        over_posts=True,
        bolted=True,
        flat_back=True,
        offer="let into notches in the face of the posts, with {bolt} bolts",
        order="Rails lie in notches {deep} deep in the front of the posts, tops {tops} over the "
        "base of the bay; joints on posts only, upper and lower ones on different posts. Mark the "
        "notches from the rails where these lie; drill {hole} through, let the heads in flush, "
        "treat the cuts.",
        site="Cut the posts' notches, drill and bolt rails in them, joints on posts only",
        let_in=True,
    ),
    "mortised": RailWay(
        "rail",
        over_posts=False,
        bolted=False,
        flat_back=True,
        offer="tenoned into mortises in the posts, {set}",
        order="Rails are tenoned into the posts, {set}, tops {tops} over the base of the bay; they "
        "go up with the posts. Treat mortises and tenons before they are put together.",
        site="",
        let_in=True,
    ),
}
"""The ways by the spec's word."""

MOST_NOTCH = 0.5
"""Notches and mortises take no more of a post's depth than this share (common practice)."""


def setback_of(rails: Rails, posts: PostPlans) -> float:
    """Return how far the rails' fronts are behind the posts' faces, mm; under 0 before them."""
    thickness = rails.section[1]
    if WAYS[rails.form].over_posts:
        return (rails.notch or thickness) - thickness if rails.form == "notched" else -thickness
    centred = rails.set_in == "centred" or (rails.set_in is None and rails.form == "mortised")
    return (posts.line.depth - thickness) / 2.0 if centred else 0.0


def way_problems(rails: Rails, posts: PostPlans, path: KeyPath) -> list[Problem]:
    """Return what cannot be made of how rails are held. path : of the rails' table."""
    problems = []
    for key in ("tenon", "tenon_length", "tenons_meet"):
        if key in rails.model_fields_set and rails.form != "mortised":
            text = f'is used where form is "mortised"; it is "{rails.form}"'
            problems.append(Problem((*path, key), text))
    setback = setback_of(rails, posts)
    tenons = tenon_plan(rails, posts, setback)
    if tenons is not None:
        problems += tenon_problems(rails, posts, tenons, setback, path)
    if "set_in" in rails.model_fields_set and rails.form not in ("between", "mortised"):
        text = f'is used where rails stand between the posts; form is "{rails.form}"'
        problems.append(Problem((*path, "set_in"), text))
    if rails.notch is not None and rails.form != "notched":
        text = f'is used where form is "notched"; it is "{rails.form}"'
        problems.append(Problem((*path, "notch"), text))
    if rails.form == "between":
        problems += _behind(rails, posts, path)
    if rails.form == "notched":
        problems += _too_deep(rails, posts, path)
    return problems


def _too_deep(rails: Rails, posts: PostPlans, path: KeyPath) -> list[Problem]:
    """Return that notches take too much of the posts, or rails would be lost in them."""
    thickness, most = rails.section[1], MOST_NOTCH * min(plan.depth for plan in posts.kinds)
    deep = rails.notch or thickness
    key = "section" if rails.notch is None else "notch"
    if deep > thickness:
        text = f"deeper than the rails are thick ({thickness:g} mm), pales would meet the posts"
        return [Problem((*path, key), text)]
    if deep > most:
        text = f"a notch {deep:g} mm deep takes over half of a post {2.0 * most:g} mm deep; "
        text += f"at most {most:g} mm"
        return [Problem((*path, key), text)]
    return []


LEAST_BEHIND = 25.0
"""What a bracket needs of a post's side behind a rail, mm (common practice, no source)."""


def _behind(rails: Rails, posts: PostPlans, path: KeyPath) -> list[Problem]:
    """Return that there is no room for brackets on the posts' sides, behind the rails."""
    room = min(plan.depth for plan in posts.kinds) - setback_of(rails, posts) - rails.section[1]
    if room >= LEAST_BEHIND - 1e-6:
        return []
    text = (
        f"{rails.section[1]:g} mm thick, the rails leave {max(room, 0.0):g} mm of the posts' sides "
        f"behind them for brackets, which need {LEAST_BEHIND:g} mm: thinner rails, thicker posts"
    )
    if rails.set_in == "centred":
        text += ', or set_in = "flush"'
    return [Problem((*path, "section"), text)]
