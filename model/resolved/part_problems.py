"""Parts of a run that cannot be made or do not go together."""

from __future__ import annotations

import itertools
import math

from palewright.model.basis.errors import Problem
from palewright.model.geometry.shapes import (
    RoundHole,
)
from palewright.model.spec.spec_tables import Run

from .job import RunJob, hole_text


def run_problems(made: RunJob, run: Run) -> list[Problem]:
    """Find keys of a run that do not go together."""
    problems = []
    if made.line.closed:
        for key in ("starts", "ends"):
            if getattr(run, key) == "wall":
                problems.append(Problem((*made.path, key), "a closed run has no end at a wall"))
    for number, part in enumerate(run.part):
        if part.end <= part.start:
            text = "the part ends before it starts"
            problems.append(Problem((*made.path, "part", number, "end"), text))
    for number, (chainage, _) in enumerate(run.levels):
        if chainage > made.line.length + 1.0:
            text = f"the run is only {made.line.length:.0f} mm long"
            problems.append(Problem((*made.path, "levels", number), text))
    return problems


def meets_itself(run: RunJob) -> bool:
    """Tell whether legs that are no neighbours would share ground, posts and pales included."""
    legs = run.line.legs
    if len(legs) < 3:
        return False
    import shapely  # only lines of three legs or more can come back to themselves

    plans = (run.line_post, run.end_post, run.corner_post, run.gate_post)
    back = max(plan.depth for plan in plans) - run.face
    past = run.end_post.width / 2.0
    bands = []
    for number, leg in enumerate(legs):
        start = -past if number == 0 and not run.line.closed else 0.0
        end = leg.length + (past if number == len(legs) - 1 and not run.line.closed else 0.0)
        corners = ((start, -run.pale_front), (end, -run.pale_front), (end, back), (start, back))
        bands.append(shapely.Polygon([leg.frame.point((x, y, 0.0))[:2] for x, y in corners]))
    pairs = shapely.STRtree(bands).query(bands, predicate="intersects").T
    ring = len(legs) if run.line.closed else 0
    return any(
        a + 1 < b
        and not (ring and a == 0 and b == ring - 1)
        and bands[a].intersection(bands[b]).area > 1.0  # legs round a jog only touch
        for a, b in pairs
    )


def part_problems(run: RunJob) -> list[Problem]:
    """Find parts that cannot be made or would not fit together."""
    problems: list[Problem] = []

    def add(message: str, *keys: str) -> None:
        problems.append(Problem((*run.path, *keys), message))

    if run.gap_max < run.pales.gap:
        add(f"is less than the wanted gap ({run.pales.gap:g} mm)", "pales", "gap_max")
    height, tops = run.rails.section[0], run.tops
    if run.rails.tops and run.rails.count not in (None, len(run.rails.tops)):
        add(f"{len(run.rails.tops)} heights for {run.rails.count} rails", "rails", "tops")
    key = "tops" if run.rails.tops else "section"
    if any(b - a < height for a, b in itertools.pairwise(tops)):
        heights = ", ".join(f"{top:g}" for top in tops)
        add(f"rails {height:g} mm high would overlap at {heights} (lowest first)", "rails", key)
    elif tops[0] < height:
        add("the lowest rail would stand in the ground", "rails", key)
    leaf = run.height - max(run.pales.clearance, run.gates.ground_clearance)
    if run.gate_specs and leaf <= run.head.rise(run.pales.width):
        add(f"leaves the leaf's pales {leaf:g} mm long, no more than their heads are high",
            "gates", "ground_clearance")  # fmt: skip
    for number, gate in enumerate(run.gate_specs):
        gates = run.gates
        taken = gates.hinge_clearance * gate.leaves + gates.latch_clearance
        if gate.opening <= taken:
            path = (*run.path, "gate", number, "opening")
            text = f"must be more than the clearances, {taken:g} mm together"
            problems.append(Problem(path, text))
    kinds = (
        ("", run.line_post),
        ("end", run.end_post),
        ("corner", run.corner_post),
        ("gate", run.gate_post),
    )
    hole = run.hole()
    for name, plan in kinds:
        keys = ("posts", name) if name else ("posts",)
        room = plan.above_rail + tops[-1] + plan.embedment
        rise = getattr(plan.top, "fall", getattr(plan.top, "rise", 0.0))
        if rise >= room:
            add("the top is taller than the post", *keys, "top")
        if plan.cap is not None and run.rails.form == "arris":
            overhang = (plan.cap.depth - plan.depth) / 2.0
            if overhang > 0 and tops[-1] + plan.above_rail < run.height:
                add("the cap would meet the pales; raise the post or use no overhang", *keys, "top")
        fits = (
            math.hypot(plan.width, plan.depth) < hole.diameter
            if isinstance(hole, RoundHole)
            else plan.width < hole.width and plan.depth < hole.depth
        )
        if not fits and (name != "gate" or run.gate_specs):
            add(
                f"a hole of {hole_text(hole)} does not take a post of "
                f"{plan.width:g} x {plan.depth:g} mm",
                "footings",
                "size",
            )
    return problems
