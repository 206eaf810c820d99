"""Parts of a run that cannot be made or do not go together."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator

from palewright.model.basis.errors import KeyPath, Problem
from palewright.model.geometry.frames import Point
from palewright.model.geometry.metal_caps import MetalCap
from palewright.model.geometry.shapes import Hole, RoundHole
from palewright.model.geometry.top_cuts import FlatTop
from palewright.model.spec.infill_keys import Rails
from palewright.model.spec.spec_tables import Run

from .end_plan import pier_problems
from .footing_plan import hole_text
from .job import RunJob
from .leaf_plans import LEAST_POST, LeafPlan
from .post_plan import LEAST_BEVEL, PostPlan
from .rail_ways import way_problems
from .ramp_plan import ramp_problems
from .words import WedgeFill

CLOSED_ENDS = {"wall": "a wall", "run": "another run", "pier": "a pier", "hedge": "a hedge"}
"""What a run may end at, in words."""


def run_problems(resolved: RunJob, run: Run) -> list[Problem]:
    """Find keys of a run that do not go together."""
    problems = []
    if resolved.line.closed:
        for key in ("starts", "ends"):
            at = getattr(run, key).at
            if at != "post":
                text = f"a closed run has no end at {CLOSED_ENDS[at]}"
                problems.append(Problem((*resolved.path, key), text))
    problems += _fill_problems(resolved)
    problems += ramp_problems(resolved, run)
    problems += pier_problems(run, resolved.walls, resolved.rails.tops[-1], resolved.path)
    for number, part in enumerate(run.part):
        if part.end <= part.start:
            text = "the part ends before it starts"
            problems.append(Problem((*resolved.path, "part", number, "end"), text))
    for key in ("levels", "levels_front", "levels_back"):
        problems += _level_problems(resolved, key, getattr(run, key))
    if meets_itself(resolved):
        text = "the line comes so near to itself that the fence would stand in its own way"
        problems.append(Problem((*resolved.path, resolved.line_key), text))
    return problems


def _level_problems(run: RunJob, key: str, levels: tuple[Point, ...]) -> Iterator[Problem]:
    """Find levels past the line's end, twice at one place, or one alone beside the line."""
    here = (*run.path, key)
    if key != "levels" and len(levels) == 1:
        yield Problem(here, "two levels or more: from the first to the last the ground is known")
    at: dict[int, float] = {}
    for number, (chainage, level) in enumerate(levels):
        if chainage > run.line.length + 1.0:
            text = f"the run is only {run.line.length:.0f} mm long"
            yield Problem((*here, number), text)
        other = at.setdefault(round(chainage), level)
        if abs(other - level) > 1.0:
            text = f"chainage {chainage:.0f} has two levels, {other:g} and {level:g}"
            yield Problem((*here, number), text)


def meets_itself(run: RunJob) -> bool:
    """Tell whether legs that are no neighbours would share ground, posts and pales included."""
    legs = run.line.legs
    if len(legs) < 3:
        return False
    import shapely  # only lines of three legs or more can come back to themselves

    back = max(plan.depth for plan in run.posts.kinds) - run.face
    past = run.posts.end.width / 2.0
    bands = []
    for number, leg in enumerate(legs):
        start = -past if number == 0 and not run.line.closed else 0.0
        end = leg.length + (past if number == len(legs) - 1 and not run.line.closed else 0.0)
        corners = ((start, -run.fence_front), (end, -run.fence_front), (end, back), (start, back))
        bands.append(shapely.Polygon([leg.frame.point((x, y, 0.0))[:2] for x, y in corners]))
    pairs = shapely.STRtree(bands).query(bands, predicate="intersects").T
    ring = len(legs) if run.line.closed else 0
    return any(
        a + 1 < b
        and not (ring and a == 0 and b == ring - 1)
        and bands[a].intersection(bands[b]).area > 1.0  # legs round a jog only touch
        for a, b in pairs
    )


def part_problems(run: RunJob, rails: Rails) -> list[Problem]:
    """Find parts that cannot be made or would not fit together. rails : as the spec has them."""
    return [
        *_rail_problems(run, rails),
        *way_problems(rails, run.posts, (*run.path, "rails")),
        *_gate_problems(run),
        *_post_problems(run),
    ]


SHARPEST_NOTCHED = 120.0
"""The largest turn of a line whose rails are let into its corner posts, degrees."""


def _rail_problems(run: RunJob, rails: Rails) -> Iterator[Problem]:
    height, tops = run.rails.section[0], run.rails.tops
    if rails.tops and rails.count not in (None, len(rails.tops)):
        text = f"{len(rails.tops)} heights for {rails.count} rails"
        yield Problem((*run.path, "rails", "tops"), text)
    if run.rails.tenon is not None:
        yield from _tenon_problems(run, rails)
    elif run.rails.let_in:
        sharpest = max((abs(leg.turn_start) for leg in run.line.legs), default=0.0)
        if sharpest > SHARPEST_NOTCHED:
            text = (
                f"where the line turns by {sharpest:.0f} degrees the notches of both parts leave "
                f"loose pieces of the corner post; {SHARPEST_NOTCHED:.0f} at most"
            )
            yield Problem((*run.path, "rails", "form"), text)
    path = (*run.path, "rails", "tops" if rails.tops else "section")
    if any(b - a < height for a, b in itertools.pairwise(tops)):
        heights = ", ".join(f"{top:g}" for top in tops)
        text = f"rails {height:g} mm high would overlap at {heights} (lowest first)"
        yield Problem(path, text)
    elif tops[0] < height:
        yield Problem(path, "the lowest rail would stand in the ground")


def _tenon_problems(run: RunJob, rails: Rails) -> Iterator[Problem]:
    """Yield where tenoned rails meet what has no mortise for them."""
    if run.walls.at_start or run.walls.at_end or any(gap.walls for gap in run.breaks):
        text = "rails are tenoned into posts: a plate on a wall or on another post takes no mortise"
        yield Problem((*run.path, "rails", "form"), text)
    if rails.corners == "butt":
        text = "tenons of two legs are mitred in a corner post; leave it out"
        yield Problem((*run.path, "rails", "corners"), text)


def _gate_problems(run: RunJob) -> Iterator[Problem]:
    gates = run.gates
    foot = run.leaf_clearance
    for number, (gate, plan) in enumerate(zip(gates.openings, gates.leaves, strict=True)):
        leaf = plan.lowest - foot
        if leaf <= plan.head_rise:
            text = f"leaves the leaf's pales {leaf:g} mm long, no more than their heads are high"
            yield Problem(_leaf_path(run, number, plan), text)
        if plan.slide is not None:
            yield from _slide_problems(run, number, plan)
        span = gate.opening / (gate.leaves if plan.top.over == "leaf" else 1)
        if plan.top.shape != "straight" and plan.top.rise > span / 2.0:
            text = f"{plan.top.rise:g} mm is more than half of what it spans ({span:g} mm)"
            yield Problem((*run.path, "gate", number, "top_line"), f"the curve's rise of {text}")
        wide = (gate.opening - gates.hinge_clearance - gates.latch_clearance) / gate.leaves
        if plan.framed and 2.0 * plan.stile >= wide:
            text = f"stiles of {plan.stile:g} mm leave nothing between them"
            yield Problem((*run.path, "gate", number, "stile"), text)
        taken = gates.hinge_clearance * gate.leaves + gates.latch_clearance
        if gate.opening <= taken:
            text = f"must be more than the clearances, {taken:g} mm together"
            yield Problem((*run.path, "gate", number, "opening"), text)


def _slide_problems(run: RunJob, number: int, plan: LeafPlan) -> Iterator[Problem]:
    """Yield why a leaf cannot slide."""
    path, wide = (*run.path, "gate", number), run.posts.of_gate(number).width
    if wide < LEAST_POST:
        text = (
            f"the leaf's receiver needs a post {LEAST_POST:g} mm wide or more, not {wide:g}; set "
            "gate.post.section"
        )
        yield Problem((*path, "slide"), text)
    foot = run.posts.of_gate(number).foot
    if foot.dug is None or not foot.buried:
        text = "a sliding leaf's guide post stands in a hole; set the gate's posts in holes"
        yield Problem((*path, "slide"), text)
    ground = run.leaf_clearance
    if plan.lowest - plan.head_rise < ground + 500.0:
        text = "leaves a sliding leaf too low for its ledges, wheels and guide (about 560 mm)"
        yield Problem(_leaf_path(run, number, plan), text)
    if plan.ledge[0] < CHANNEL_ROOM:
        text = f"a sliding leaf's guide channel needs ledges {CHANNEL_ROOM:g} mm high or more"
        yield Problem((*path, "ledge"), text)


CHANNEL_ROOM = 40.0
"""Least height of the ledge that a guide channel is on, mm."""


def _leaf_path(run: RunJob, number: int, plan: LeafPlan) -> KeyPath:
    """Return which key makes a leaf as low as it is."""
    if not plan.own:
        return (*run.path, "gates", "ground_clearance")
    key = "top_line" if plan.top.shape == "dip" else "height"
    return (*run.path, "gate", number, key)


def _post_problems(run: RunJob) -> Iterator[Problem]:
    posts, tops = run.posts, run.rails.tops
    kinds = [("", posts.line), ("end", posts.end), ("corner", posts.corner), ("gate", posts.gate)]
    said: set[str] = set()
    own = {f"gate {n}": plan for n, plan in enumerate(posts.gates) if plan != posts.gate}
    for name, plan in [*kinds, *own.items()]:
        path = (*run.path, "posts", name) if name else (*run.path, "posts")
        if name in own:
            path = (*run.path, "gate", int(name.split()[1]), "post")
        room = plan.above_rail + tops[-1] + plan.embedment
        if plan.top.rise >= room:
            yield Problem((*path, "top"), "the top is taller than the post")
        told = (plan.top, plan.cap, plan.finial)
        found: list[Problem] = []
        if not name or told != (posts.line.top, posts.line.cap, posts.line.finial):
            found += _finial_problems(plan, (*path, "finial"))
        if not name or plan != posts.line:
            found += _top_problems(run, plan, (*path, "top"))
            found += _bevel_problems(run, plan, (*path, "bevel"), gate=name.startswith("gate"))
        if not name or plan != posts.line:
            found += _cast_problems(run, plan, path, gate=name.startswith("gate"))
        for problem in found:  # what a kind takes from all posts is told of these alone
            if problem.message not in said:
                said.add(problem.message)
                yield problem
        if (
            (dug := plan.foot.dug)
            and not _fits(plan, dug.hole)
            and (name != "gate" or run.gates.openings)
        ):
            text = (
                f"a hole of {hole_text(dug.hole)} does not take a post of "
                f"{plan.width:g} x {plan.depth:g} mm"
            )
            alike = dug.hole == run.footings.hole
            yield Problem((*run.path, "footings", "size") if alike else (*path, "hole"), text)


def _top_problems(run: RunJob, plan: PostPlan, path: KeyPath) -> Iterator[Problem]:
    """Yield why a post cannot have its top or its cap."""
    if text := plan.top.refusal(plan.width, plan.depth):
        yield Problem(path, text)
    if plan.cap is None:
        return
    over = run.rails.tops[-1] + plan.above_rail
    skirt = plan.cap.skirt
    if skirt > plan.above_rail:
        text = (
            f"the cap's sides come {skirt:g} mm down, past the top rail at {plan.above_rail:g} mm"
        )
        yield Problem(path, text)
    if run.rails.before_posts <= 0.0 and not run.between_posts and run.panels is None:
        overhang = (plan.cap.depth - plan.depth) / 2.0
        if overhang > 0 and over - skirt < run.height:
            mend = "" if skirt else " or use no overhang"
            text = f"the cap would meet the pales; raise the post (above_rail){mend}"
            yield Problem(path, text)


def _cast_problems(run: RunJob, plan: PostPlan, path: KeyPath, *, gate: bool) -> Iterator[Problem]:
    """Yield why a post of concrete cannot be had so: nothing is nailed, screwed or cut into it."""
    if not plan.cast or (gate and not run.gates.openings):
        return
    if gate:
        text = "gates hang on timber posts; set posts.gate.material to timber"
        yield Problem((*path, "material"), text)
    if not run.rails.bolted or run.rails.way.let_in:
        text = "rails are bolted to concrete posts; set rails.form to face"
        yield Problem((*path, "material"), text)
    if plan.cap is not None or plan.finial is not None:
        text = "concrete posts are cast with their tops: no cap or finial stands on them"
        yield Problem((*path, "top"), text)
    if plan.bevel is not None:
        yield Problem((*path, "bevel"), "concrete posts are cast as they are sold; leave it out")
    fills = {run.slopes.fill, *(fill for _, _, fill in run.slopes.filling)}
    if run.kick_board is not None or WedgeFill.BOARD in fills:
        text = "boards at the foot are nailed to timber posts; leave them out beside concrete ones"
        yield Problem((*path, "material"), text)
    if run.guests:
        text = "a run that ends at a post is screwed to it, which takes timber posts"
        yield Problem((*path, "material"), text)


def _bevel_problems(run: RunJob, plan: PostPlan, path: KeyPath, *, gate: bool) -> Iterator[Problem]:
    """Yield why a post cannot have bevels on its long edges."""
    bevel = plan.bevel
    if bevel is None:
        return
    if gate:
        text = "posts of gates keep their edges, which hinges and latches sit on; leave it out"
        yield Problem(path, text)
        return
    least = min(plan.width, plan.depth)
    if bevel.size > least / 4.0:
        text = f"{bevel.size:g} mm is more than a quarter of {least:g} mm, the post's smaller side"
        yield Problem((*path, "size"), text)
    skirt = plan.cap.skirt if plan.cap is not None else 0.0
    if bevel.from_top < skirt:
        text = f"the cap's sides come {skirt:g} mm down; bevels end under them"
        yield Problem((*path, "from_top"), text)
    shoulder = run.rails.tops[-1] + plan.above_rail - plan.top.rise
    if not bevel.between(shoulder, run.rail_bands(plan.width)):
        need = 2.0 * bevel.stop + LEAST_BEVEL
        text = f"rails leave no {need:g} mm of the post free for bevels with their stops"
        yield Problem(path, text)


def _fill_problems(run: RunJob) -> Iterator[Problem]:
    """Yield that gravel cannot stand up round a post."""
    footings = run.footings
    if not footings.poured and footings.weathering > 0.0:
        text = "gravel does not stand over the ground; leave it out or set it to 0"
        yield Problem((*run.path, "footings", "weathering"), text)


def _finial_problems(plan: PostPlan, path: KeyPath) -> Iterator[Problem]:
    """Yield why a finial cannot stand on a post."""
    if plan.finial is None:
        return
    if isinstance(plan.cap, MetalCap):
        yield Problem(path, "no finial stands on a metal cap; set posts.top to flat or cap")
        return
    if plan.cap is None and not isinstance(plan.top, FlatTop):
        text = "a finial stands on a flat top or on a cap; set posts.top to one of these"
        yield Problem(path, text)
    on = plan.cap or plan
    foot, room = 2.0 * plan.finial.zones[0].low, min(on.width, on.depth)
    if foot > room:
        text = f"its disc, {foot:g} mm wide, is wider than the {room:g} mm that it stands on"
        yield Problem(path, text)


def _fits(plan: PostPlan, hole: Hole) -> bool:
    if isinstance(hole, RoundHole):
        return math.hypot(plan.width, plan.depth) < hole.diameter
    return plan.width < hole.width and plan.depth < hole.depth
