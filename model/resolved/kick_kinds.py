"""What a kick board does not go with."""

from __future__ import annotations

from collections.abc import Iterator

from palewright.model.basis.errors import Problem

from .job import RunJob
from .kick_plan import OVER_CONCRETE
from .words import Follow, WedgeFill

LEVEL = 0.5
"""Ground that rises and falls by no more is level, mm."""


def kick_problems(run: RunJob) -> Iterator[Problem]:
    """Yield what a kick board does not go with."""
    plan = run.kick_board
    if plan is None:
        return
    path = (*run.path, "kick_board")
    if plan.height < plan.thickness:
        yield Problem((*path, "section"), "[height, thickness]: the board would lie flat")
    concrete = run.footings.weathering if run.footings.poured else 0.0
    if plan.clearance < concrete - 1e-6:
        least = concrete + OVER_CONCRETE
        text = f"is in the concrete that slopes up to the posts: {least:g} mm or more"
        yield Problem((*path, "clearance"), text)
    back = plan.front(run.face) - plan.thickness
    for layer in run.layers:
        apart = layer.back >= back + plan.thickness - 1e-6 or layer.front <= back + 1e-6
        if run.pales.clearance < plan.top - 1e-6 and not apart:
            text = f"the kick board is in the pales' way: {plan.top:g} mm or more"
            yield Problem((*run.path, "pales", "clearance"), text)
            break
    under = run.rails.tops[0] - run.rails.section[0]
    if plan.top > under + 1e-6:
        text = f"its top ({plan.top:g} mm over the ground) is over the lowest rail's underside"
        yield Problem((*path, "section"), f"{text} ({under:g} mm)")
    ways = {run.slopes.follow, *(way for _, _, way in run.slopes.following)}
    levels = [leg.start[2] + z for leg in run.line.legs for _, z in leg.profile]
    if max(levels) - min(levels) > LEVEL and ways != {Follow.RAKE}:
        text = 'on stepped and level bays slopes.fill = "board" closes the wedge; this board rakes'
        yield Problem((*path, "stands"), text)
    fills = {run.slopes.fill, *(fill for _, _, fill in run.slopes.filling)}
    if WedgeFill.BOARD in fills:
        yield Problem((*run.path, "slopes", "fill"), "a kick board is there already")
