"""What cannot be made of panels, and keys that do not go with them."""

from __future__ import annotations

import math
from collections.abc import Iterator

from palewright.model.basis.errors import KeyPath, Problem
from palewright.model.spec.infill_keys import Pales, Rails
from palewright.model.spec.panel_keys import Panels

from .job import RunJob
from .panel_plan import HOLDS, LEAST_LEG, LEG, PanelPlan

EDGE_ON = 45.0
"""From this turn on (degrees) a post stands edge on inside a corner."""


def panel_problems(run: RunJob, panels: Panels, pales: Pales, rails: Rails) -> Iterator[Problem]:
    """Yield what cannot be made of a run's panels. panels, pales, rails : as the spec has them."""
    here, plan = (*run.path, "panels"), run.panels
    given = sorted(panels.model_fields_set - {"made"})
    if plan is None:
        if given and "made" not in panels.model_fields_set:
            text = "says how panels are made, and panels.made is not true"
            yield Problem((*here, given[0]), text)
        return
    yield from _rail_problems(run, rails)
    yield from _pale_problems(run, pales)
    count = len(run.rails.tops)
    if plan.fixings > count > 1:
        text = f"{count} rails take {count} {plan.held}s on each side at most"
        yield Problem((*here, "fixings"), text)
    if plan.upright and not plan.between:
        text = (
            "uprights would keep the bolts out of the rails; hang panels between the posts, or "
            "leave them out"
        )
        yield Problem((*here, "uprights"), text)
    yield from (_between_problems if plan.between else _face_problems)(run, plan, here)
    if run.kick_board is not None:
        text = "a kick board goes on under posts and panels alike: leave it out, or panels.made"
        yield Problem((*run.path, "kick_board"), text)
    if run.capping is not None:
        text = "a capping rail goes on over posts and panels alike: leave it out, or panels.made"
        yield Problem((*run.path, "capping"), text)
    if run.corners.posts == "pair" and _turns(run):
        text = "two posts leave the corner between them open where bays are panels; one"
        yield Problem((*run.path, "corners", "posts"), text)


def _rail_problems(run: RunJob, rails: Rails) -> Iterator[Problem]:
    """Yield rails that no panel can have."""
    path = (*run.path, "rails")
    if rails.form not in ("face", "between"):
        text = f'{rails.form} rails go into posts one by one; panels want "face" or "between"'
        yield Problem((*path, "form"), text)
    if rails.form == "between" and run.panels is not None and not run.panels.between:
        text = 'panels on the posts\' face have their rails there; "face", or panels.hung between'
        yield Problem((*path, "form"), text)
    if rails.joints == "least timber":
        text = "is not used: the rails of panels are as long as their panel"
        yield Problem((*path, "joints"), text)
    if rails.corners == "butt" and _turns(run):
        text = "is not used: the rails of panels end square, short of the corner"
        yield Problem((*path, "corners"), text)
    if len(run.rails.tops) < 2:
        text = "a panel of one rail folds when it is carried; two or more"
        yield Problem((*path, "tops" if rails.tops else "count"), text)


def _pale_problems(run: RunJob, pales: Pales) -> Iterator[Problem]:
    """Yield ways of laying pales that no panel can have."""
    path = (*run.path, "pales")
    if run.pales.on in ("back", "both"):
        text = (
            f'"{run.pales.on}" puts pales where panels are fixed to the posts; "front" or "board '
            'on board"'
        )
        yield Problem((*path, "on"), text)
    if "spaced" in pales.model_fields_set and pales.spaced == "stretch":
        text = 'is not used: each panel has its own pales, as with "bay"'
        yield Problem((*path, "spaced"), text)
    if run.corners.pales == "mitre":
        text = "pales that are nailed on in the workshop meet no others at corners; meet"
        yield Problem((*run.path, "corners", "pales"), text)


def _turns(run: RunJob) -> tuple[float, ...]:
    """Return the turns of a run's line at corners and bends, degrees."""
    return tuple(leg.turn_end for leg in run.line.legs if abs(leg.turn_end) > 1e-6)


def _between_problems(run: RunJob, plan: PanelPlan, here: KeyPath) -> Iterator[Problem]:
    """Yield why brackets do not hold panels between posts, or caps are in their way."""
    if plan.clearance > LEG - HOLDS:
        text = (
            f"a bracket of {LEG:g} mm reaches the panel over {LEG - HOLDS:g} mm at most "
            f"(found {plan.clearance:g})"
        )
        yield Problem((*here, "clearance"), text)
    if any(post.cast for post in (run.posts.line, run.posts.end, run.posts.corner)):
        text = 'brackets are screwed to posts of timber; on concrete ones "on posts"'
        yield Problem((*here, "hung"), text)
    thick = run.rails.section[1]
    depths = [run.posts.line.depth, run.posts.end.depth]
    depths += [run.posts.corner.depth] if _turns(run) else []
    room = min(depths) - thick - run.rails.setback
    if room < LEAST_LEG:
        text = (
            f"posts {min(depths):g} mm deep leave {room:g} mm of their sides beside rails of "
            f"{thick:g} mm for brackets, which want {LEAST_LEG:g}"
        )
        yield Problem((*here, "hung"), text)
    share = 0.0 if run.pales.lapped else {"pale": 0.0, "half-gap": 0.5, "gap": 1.0}[run.pales.ends]
    room = plan.clearance + share * run.pales.gap
    for post in (run.posts.line, run.posts.end, run.posts.corner):
        over = (post.cap.width - post.width) / 2.0 if post.cap else 0.0
        if over > room and run.rails.tops[-1] + post.above_rail < run.height:
            text = "the cap would meet the pales; raise the post or use no overhang"
            yield Problem((*run.path, "posts", "top"), text)
            return


def _face_problems(run: RunJob, plan: PanelPlan, here: KeyPath) -> Iterator[Problem]:
    """Yield why panels do not bear on the posts' face: at line posts, or at a corner."""
    bears = (run.posts.line.width - plan.clearance) / 2.0
    if bears < HOLDS:
        text = (
            f"posts of {run.posts.line.width:g} mm leave each panel {bears:g} mm to bear on; "
            f"{HOLDS:g} or more"
        )
        yield Problem((*here, "clearance"), text)
    thick, half = run.rails.section[1], run.posts.corner.width / 2.0
    for turn in _turns(run):
        tangent = math.tan(math.radians(abs(turn)) / 2.0)
        bears = half * math.cos(math.radians(turn) / 2.0) - thick * tangent
        if turn < 0.0 and (turn <= -EDGE_ON or bears < HOLDS):
            text = (
                f"inside a corner of {abs(turn):.0f} degrees a panel on the posts' face has "
                "nothing to bear on; hang panels between the posts"
            )
            yield Problem((*here, "hung"), text)
            return
        past = thick * tangent
        if turn > 0.0 and past > run.pales.narrowest - HOLDS:
            text = (
                f"at a corner of {turn:.0f} degrees a pale of {run.pales.narrowest:g} mm would "
                f"stand {past:.0f} mm past its rails; hang panels between the posts"
            )
            yield Problem((*here, "hung"), text)
            return
