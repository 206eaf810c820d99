"""The assembly drawing: for each way of building in a fence its steps, and a bay pulled apart.

What to do is common practice, no source; local codes and licensed practice come first.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from palewright.export.drawing.draft.drafting import Draft
from palewright.export.drawing.draft.scales import scales
from palewright.export.drawing.draft.view import View
from palewright.export.drawing.views.assembly_steps import (
    GATE,
    STANDS,
    AssemblyStep,
    Naming,
    exploded_view,
    step_view,
)
from palewright.export.drawing.views.portions import Portion, gate_portion, labels_of_portion
from palewright.model.layout.run_layout import RunLayout, Stretch, stations_of_leg
from palewright.model.order.fixings import BOARD_ENDS, CAP_FIXINGS, SCREWED
from palewright.model.parts.capping_rails import EVERY
from palewright.model.parts.hardware import HOLES
from palewright.model.parts.kick_boards import AT_POST
from palewright.model.parts.members import (
    ANCHOR,
    BOARD,
    BOLT,
    BRACKET,
    CAP,
    CAPPING,
    COACH_SCREW,
    FINIAL,
    IN_HOLE,
    KICK_BOARD,
    METAL_CAP,
    OF_PANELS,
    PALE,
    POST,
    POSTS,
    RAIL,
    Kind,
)
from palewright.model.resolved.job import RunJob
from palewright.model.resolved.panel_plan import PanelPlan

from .brief import Brief

STEPS_AT, APART_AT = 50.0, 20.0
"""Scales 1:n of the steps, and of the bay pulled apart."""

WET = "Wet cement burns skin and eyes: gloves, long sleeves, goggles; rinse at once. "
POURED_WORDS = (
    "fill with concrete and slope its top away from the post. Keep the braces until it is hard."
)
RAMMED_WORDS = "ram gravel round the posts in layers, and plumb after each."
DIGGING = (
    "CAUTION: before digging ask for the plans of buried pipes and cables, trace them on the "
    "ground, treat every one as live. {wet}Local rules and makers' instructions come first."
)
CUTTING = (
    "CAUTION: treated timber: gloves, dust mask; preservative on every cut, notch and hole; burn "
    "no offcuts. Goggles where it is sawn, drilled or nailed."
)
HANGING = (
    "CAUTION: two people lift the leaf; fingers out of the hinge side. It must not open over a "
    "public road or footway; children's gates as local rules ask."
)


SLIDING_WORDS = (
    "Sliding gate: guide post plumb, its rollers in line with the channel on the leaf; receivers "
    "on the back of the shutting post last, to the leaf as it stands shut."
)
TRACK_WORDS = (
    "Track on its strip dead level and straight to a string, anchored; both end stops before the "
    "leaf is stood on it."
)
CARRIAGE_WORDS = (
    "Carriages on their footing level and in line, anchored when it is hard; run the beam over "
    "them from the end, then its end stops before the leaf is let go."
)
SLIDING_CARE = (
    "CAUTION: a leaf without end stops runs off and falls. It shears where it passes posts and "
    "traps where it ends: keep hands and children clear. With a drive, local rules come first."
)


def assembly_views(brief: Brief) -> list[View]:
    """Return the steps and a bay pulled apart for each different way of building."""
    fence = brief.fence
    if "assembly" in fence.job.sheets.leave_out:
        return []
    ways: dict[object, list[int]] = {}
    for run, layout in enumerate(fence.layouts):
        job = layout.run
        if layout.stretches:
            alike = (job.posts, job.rails, job.pales, job.footings)
            ways.setdefault(alike, []).append(run)
    views: list[View] = []
    for number, runs in enumerate(ways.values()):
        # the run of a way that has a gate tells more
        run = next((run for run in runs if fence.layouts[run].openings), runs[0])
        called = f" of {fence.layouts[run].run.called}" if len(ways) > 1 else ""
        views += _of_way(brief, run, called, f"assembly {number}")
    return views


def _of_way(brief: Brief, run: int, called: str, row: str) -> Iterator[View]:
    fence = brief.fence
    layout = fence.layouts[run]
    portion = replace(_portion(layout, run), past=0.0)
    told = fence.job.fixings
    on_leaf = f"{told.crossing} {told.pales} at each ledge and brace"
    naming = Naming(fence, _fixed(brief, layout.run), on_leaf)
    steps = list(steps_of_run(brief, run, called, portion))
    at = _nearest(brief, STEPS_AT)
    bay = _beside_gate(layout, portion)
    for number, step in enumerate(steps):
        shown = portion if IN_HOLE[0] in step.kinds or step.leaf else bay
        yield replace(step_view(shown, steps, number, naming, at), row=row)
    apart = _bay(layout, run)
    first, last = labels_of_portion(fence, apart)
    title = f"Bay {first} to {last}{called}, pulled apart"
    yield exploded_view(apart, title, [], naming, _nearest(brief, APART_AT))


def _nearest(brief: Brief, n: float) -> Draft:
    found = min(scales(brief.figures.units), key=lambda scale: (abs(scale.n - n), -scale.n))
    return brief.fine_draft(found)


def _portion(layout: RunLayout, run: int) -> Portion:
    """Return the bays that the steps show: the first gate with the bay beside it, else two."""
    if layout.openings:
        opening = layout.openings[0]
        labels = [post.label for _, post in stations_of_leg(layout, opening.leg_number)]
        at_start = labels.index(opening.posts[0].label) == 0
        return gate_portion(layout, run, opening, (0, 1) if at_start else (1, 0))
    stretch = max(layout.stretches, key=lambda s: min(len(s.xs), 3))
    return _from(layout, run, stretch, 0, min(2, len(stretch.xs) - 1))


def _beside_gate(layout: RunLayout, portion: Portion) -> Portion:
    """Return a portion without its gate, which has no rails or pales but those of its leaf."""
    labels = [post.label for _, post in stations_of_leg(layout, portion.leg)]
    for opening in layout.openings_of[portion.leg]:
        if portion.last - portion.first < 2:
            break
        if opening.posts[0].label == labels[portion.first]:
            return replace(portion, first=portion.first + 1)
        if opening.posts[1].label == labels[portion.last]:
            return replace(portion, last=portion.last - 1)
    return portion


def _from(layout: RunLayout, run: int, stretch: Stretch, bay: int, bays: int) -> Portion:
    labels = [post.label for _, post in stations_of_leg(layout, stretch.leg_number)]
    first = labels.index(stretch.posts[bay].label)
    return Portion(run, stretch.leg_number, first, first + bays)


def _bay(layout: RunLayout, run: int) -> Portion:
    """Return the bay to pull apart: the first of the longest stretch."""
    stretch = max(layout.stretches, key=lambda s: len(s.xs))
    return replace(_from(layout, run, stretch, (len(stretch.xs) - 1) // 2, 1), past=0.0)


def _masonry_word(run: RunJob) -> str:
    """Return what plates of a run are anchored to, in a word."""
    piers = sum(pier is not None for pier in run.piers)
    walls = sum(run.walled) - piers + sum(gap.walls for gap in run.breaks)
    return "pier" if piers and not walls else "wall"


def _fixed(brief: Brief, run: RunJob) -> dict[Kind, str]:
    """Return what holds members of a run, in words of a callout."""
    told = brief.fence.job.fixings
    held: dict[Kind, str] = {
        PALE: f"{told.crossing} {told.pales} at each rail",
        CAPPING: f"{told.pales} down into it, one every {brief.figures.text(EVERY)}",
        KICK_BOARD: f"{AT_POST} {told.pales} at each post",
        BOARD: f"{BOARD_ENDS // 2} {told.pales} at each end",
        CAP: f"{CAP_FIXINGS} {told.pales}",
        METAL_CAP: f"{SCREWED[METAL_CAP]} screws through its sides",
        FINIAL: "its own dowel screw",
        **dict.fromkeys(IN_HOLE, _holes_said(brief, run)),
        BOLT: "washer, nut",
        BRACKET: f"{SCREWED[BRACKET]} screws",
        ANCHOR: f"{brief.figures.fine(run.walls.hold)} into the {_masonry_word(run)}",
        COACH_SCREW: "with a washer, in a pilot hole",
    }
    return held


def _holes_said(brief: Brief, run: RunJob) -> str:
    """Return the holes of a run; where gate posts have larger ones, these too."""
    dug = [run.footings, *(plan.foot.dug for plan in run.posts.gates if plan.foot.dug is not None)]
    return " or ".join(dict.fromkeys(brief.figures.dug(one.hole) for one in dug))


def steps_of_run(brief: Brief, run: int, called: str, portion: Portion) -> Iterator[AssemblyStep]:
    """Yield the steps of a run as far as a portion of it shows them."""
    layout = brief.fence.layouts[run]
    job = layout.run
    made = {m.kind for m in brief.fence.members if m.run == run}
    number = 1

    def title(words: str) -> str:
        return f"Step {number}{called}: {words}"

    on = {ANCHOR: f"{_masonry_word(job)}s", COACH_SCREW: "posts of other runs"}
    told = " and ".join(words for kind, words in on.items() if kind in made)
    plated = f" and plates on {told}" if told else ""
    words = tuple(_post_words(layout, made))
    yield AssemblyStep(title(f"posts{plated}"), (*STANDS, *IN_HOLE), words)
    number += 1
    boards = " and gravel boards" if BOARD in made else ""
    boards = " and kick boards" if KICK_BOARD in made else boards
    tops = {CAPPING: "capping rail", CAP: "caps", METAL_CAP: "metal caps", FINIAL: "finials"}
    put = [name for kind, name in tops.items() if kind in made]
    if job.panels is not None:
        words = tuple(_panel_words(brief, job, job.panels, made))
        yield AssemblyStep(title(f"panels{boards}"), (*OF_PANELS, BOARD, BRACKET), words)
        if put:
            number += 1
            yield AssemblyStep(title(" and ".join(put)), tuple(tops), tuple(_top_words(made)))
    else:
        kinds = (RAIL, KICK_BOARD, BOARD, BOLT, BRACKET)
        yield AssemblyStep(title(f"rails{boards}"), kinds, tuple(_rail_words(brief, job, made)))
        number += 1
        words = tuple(_pale_words(brief, layout, made))
        yield AssemblyStep(title(" and ".join(["pales", *put])), (PALE, *tops), words)
    number += 1
    if layout.openings:
        words = tuple(_gate_words(brief, job))
        yield AssemblyStep(title("gate, from the back"), (*GATE, PALE), words, leaf=True)


RECESS = "recess their backs over its nuts, 40 wide and 20 deep"
"""What lets a plate lie flat on a post with bolts, mm (common practice, no source)."""


def _post_words(layout: RunLayout, made: set[Kind]) -> Iterator[str]:
    job = layout.run
    fillings, feet = layout.fillings, layout.feet
    if made.intersection(POSTS):
        buried = POST in made and any(foot.buried for foot in feet)
        down = ", the uncut end down" if buried else ""
        filled = "; " + (POURED_WORDS if fillings[0].poured else RAMMED_WORDS) if fillings else "."
        first = (
            "Posts and rails go up together, bay by bay from one end: tenons into the post that "
            "stands, the next post over their other ends, to the string along their front faces"
            if job.rails.tenon
            else "Set end, corner and gate posts first, then the line posts to the string along "
            "their front faces"
        )
        yield f"{first}{down}. Plumb both ways and brace{filled}"
        yield from dict.fromkeys(foot.how for foot in feet if foot.how)
    if ANCHOR in made:
        on_what = _masonry_word(job)
        yield (
            f"Plates go plumb on the {on_what} with {job.walls.anchor} anchors, as their maker "
            "says."
        )
    if COACH_SCREW in made:
        yield (
            f"Plates go plumb on the posts of the other run when its rails are on: {RECESS}; "
            f"{job.walls.anchor} coach screws with washers in pilot holes."
        )
    for care in dict.fromkeys(foot.care for foot in feet if foot.care):
        yield f"CAUTION: {care[0].lower()}{care[1:]}"
    if not feet or any(foot.taken for foot in feet):
        poured = any(dug.poured for dug in fillings)
        yield DIGGING.format(wet=WET if poured else "")


def _rail_words(brief: Brief, job: RunJob, made: set[Kind]) -> Iterator[str]:
    figure = brief.figures.fine
    *low, high = (brief.figures.text(top) for top in job.rails.tops)
    tops = f"{', '.join(low)} and {high}" if low else high
    hole = figure(HOLES[job.rails.bolt])
    deep = figure(job.rails.notch)
    yield job.rails.way.order.format(tops=tops, hole=hole, deep=deep, set=job.rails.set_words)
    if KICK_BOARD in made and job.kick_board is not None:
        over = figure(job.kick_board.clearance)
        yield f"Kick boards {job.kick_board.set_words}, {over} over the ground, before the pales."
    if BOARD in made:
        yield "Gravel boards close the wedge over the ground, cut along it, the top one first."
    yield CUTTING


def _pale_words(brief: Brief, layout: RunLayout, made: set[Kind]) -> Iterator[str]:
    figure = brief.figures.fine
    lapped = layout.run.pales.lapped
    gaps = list(dict.fromkeys(figure(abs(stretch.row.gap)) for stretch in layout.stretches))
    gap = ", ".join(gaps) if len(gaps) <= 4 else "by the table of bays and pales"
    yield (
        f"{layout.run.pales.words.order}Set the first pale of each stretch to its stop, the "
        f"others by a spacer. {'Laps' if lapped else 'Gaps'} {gap}; "
        f"feet {figure(layout.run.pales.clearance)} over the base of the bay. Check plumb every "
        "few pales."
    )
    yield from _top_words(made)


def _top_words(made: set[Kind]) -> Iterator[str]:
    """Yield how what stands on posts is put there."""
    if CAPPING in made:
        yield (
            "The capping rail last of the timber, when the pales' tops are in one line: its joints "
            "on posts, mitres at corners, both faces of each treated."
        )
    if CAP in made:
        yield "Caps last, their middle on the post's."
    if METAL_CAP in made:
        yield "Metal caps last, pushed down on the posts and screwed through their sides."
    if FINIAL in made:
        yield "Finials on a pilot hole in the middle of the post or cap, after the caps are fixed."


def _panel_words(brief: Brief, job: RunJob, plan: PanelPlan, made: set[Kind]) -> Iterator[str]:
    """Yield how panels are hung."""
    figure = brief.figures.fine
    *low, high = (brief.figures.text(top) for top in job.rails.tops)
    tops = f"{', '.join(low)} and {high}" if low else high
    yield (
        "Panels come made from the workshop, each with its mark; the table of clear distances says "
        "between which posts each hangs. Measure these before it is lifted. Two people set it on "
        f"blocks, rail tops {tops} over the base of the bay."
    )
    if plan.between:
        yield (
            f"Pack it {figure(plan.clearance)} clear of each post, rails {job.rails.set_words}; "
            f"{plan.fixings} brackets on each side, screwed to the back of the panel and to the "
            "side of the post."
        )
    else:
        hole = figure(HOLES[job.rails.bolt])
        yield (
            f"Hold it to the face of the posts, {figure(plan.clearance)} between the rails of "
            f"neighbours; drill {hole} through the posts from its own holes, {plan.fixings} bolts "
            "on each side."
        )
    if BOARD in made:
        yield "Gravel boards close the wedge over the ground, cut along it, the top one first."
    yield CUTTING


def _gate_words(brief: Brief, job: RunJob) -> Iterator[str]:
    figure, gates = brief.figures.fine, job.gates
    slid = [plan.slide for plan in gates.leaves if plan.slide is not None]
    if slid:
        yield SLIDING_WORDS
        if any(slide.cantilever for slide in slid):
            yield CARRIAGE_WORDS
        if any(not slide.cantilever for slide in slid):
            yield TRACK_WORDS
        yield SLIDING_CARE
    if len(slid) == len(gates.leaves):
        return
    yield (
        f"Pack the leaf up to its clearances: {figure(gates.hinge_clearance)} on the hinge side, "
        f"{figure(gates.latch_clearance)} on the latch side, {figure(gates.ground_clearance)} over "
        "the ground. Screw the straps to the ledges and the pins to the post; try the full swing; "
        "then latch and keep."
    )
    yield HANGING
