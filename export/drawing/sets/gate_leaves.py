"""Gate leaves for the bench: each different leaf from both faces, in section, and its parts."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import partial

from palewright.export.drawing.draft.paper import bounds, on_paper
from palewright.export.drawing.draft.scales import scales
from palewright.export.drawing.draft.view import View
from palewright.export.drawing.views.leaf_shown import LeafShown, leaves_shown
from palewright.export.drawing.views.leaf_views import leaf_section, leaf_view
from palewright.model.geometry.shapes import Bar
from palewright.model.order.fixings import (
    BRACE_ENDS,
    NAILS,
    PEGS,
    PIN_SCREWS,
    SCREWS,
    STRAP_BOLT,
    STRAP_SCREWS,
    driven_size,
    heavy_strap,
)
from palewright.model.parts.members import (
    BRACE,
    FRAMING,
    GATE_BASE,
    GATE_FITTINGS,
    GUIDE_POST,
    LEDGE,
    PALE,
    PIN,
    STILE,
    STRAP,
    UPRIGHT,
    Kind,
    Member,
)

from .brief import Brief, Groups, tables_within
from .fitting_words import fitting_words, screw_words

LEAF = 10.0
"""Leaves are drawn at 1:n, or smaller where they do not fit a sheet."""

LARGEST = 5.0
"""Leaves, and sections of them, are drawn so large where that takes no further sheet."""

LEAF_TITLE = "gate leaf"
"""How the titles of sheets of leaves begin: each leaf is made from a sheet of its own."""

MOST_NAMES = 6
"""So many leaves alike are named; of more their count is said."""

PARTS_WIDTH = 194.0
"""Width of a table of parts, mm on paper: it has room beside the title block of an A3 sheet."""

PARTS = (PALE, *FRAMING, *GATE_FITTINGS, GUIDE_POST, GATE_BASE)


def leaf_groups(brief: Brief) -> Groups:
    """Return the views of each different leaf, with a table of its parts, as a group of its own."""
    groups: Groups = []
    for shown, names in leaves_shown(brief.fence):
        views = _fitted(shown, brief)
        rows = part_rows(shown, brief)
        if len(names) > 1:
            rows.append([*[""] * (len(rows[0]) - 1), f"made alike: {_named(names)}"])
        views[-1:-1] = tables_within(brief, f"Parts of {shown.called}", rows, PARTS_WIDTH)
        # numbered: a gate's own name may hold what a layout of a DXF may not be called
        groups.append((f"{LEAF_TITLE} {len(groups) + 1}", views))
    return groups


def _named(names: list[str]) -> str:
    """Return what leaves alike are called."""
    more = len(names) - MOST_NAMES
    return "; ".join(names[:MOST_NAMES]) + (f"; and {more} more alike" if more > 0 else "")


def _fitted(shown: LeafShown, brief: Brief) -> list[View]:
    """Return a leaf's views at the largest scale at which each fits a sheet."""
    width, height = brief.room
    views: list[View] = []
    for scale in scales(brief.figures.units):
        if scale.n < 0.96 * LEAF:
            continue
        draw = (*(partial(leaf_view, shown, back=back) for back in (False, True)),
                partial(leaf_section, shown))  # fmt: skip
        kins = ("leaf", "leaf", "leaf section")
        views = [
            brief.enlargeable(kin, LARGEST, one, scale.n)
            for kin, one in zip(kins, draw, strict=True)
        ]
        boxes = [bounds(on_paper(view, brief.style)) for view in views]
        if all(x1 - x0 <= width and y1 - y0 <= height for x0, y0, x1, y1 in boxes):
            break
    return views


def part_rows(shown: LeafShown, brief: Brief) -> list[list[str]]:
    """Return the parts of a leaf by mark: count, finished size, and where and how they go."""
    text = brief.figures.text
    rows = [["mark", "part", "no.", "width", "thickness", "length", "how it is made and set"]]
    for kind in PARTS:
        marks: dict[str, list[Member]] = {}
        for member in shown.of(kind):
            marks.setdefault(member.mark, []).append(member)
        for mark, members in marks.items():
            *section, length = members[0].size
            if kind not in (PALE, *FRAMING):
                section.sort(reverse=True)
            sizes = [*(brief.figures.fine(size) for size in section), text(length)]
            first, *more = _words(shown, kind, members, brief)
            rows.append([mark, kind.name, str(len(members)), *sizes, first])
            rows += [["", "", "", "", "", "", words] for words in more]
    return rows


def _words(shown: LeafShown, kind: Kind, members: list[Member], brief: Brief) -> Iterator[str]:
    """Yield how parts alike are made and set."""
    text = brief.figures.text
    leaf, foot = shown.leaf, shown.leaf.foot
    lows = sorted({round(shown.box(m)[0][2] - foot, 2) for m in members})
    middles = sorted({round(_middle(shown, m) - foot, 2) for m in members})
    if kind == PALE:
        edges = shown.edges_of(members)
        listed = ", ".join(map(text, edges))
        yield f"left edges from the left, from the front: {listed}"
        if edges[0] > shown.pale_edges[0]:
            return  # the rest is said of the first
        gap = brief.figures.fine(leaf.spacing.gap)
        yield f"gap {gap}; {_driven(shown, brief)} at each ledge and the brace"
    elif kind == LEDGE:
        places = " and ".join(text(low) for low in lows)
        tenoned = leaf.plan.framed
        yield f"undersides {places} over the feet; {'tenoned' if tenoned else 'ends square'}"
        if tenoned:
            yield from _tenon_words(shown, brief)
    elif kind in (STILE, UPRIGHT):
        lefts = " and ".join(map(text, shown.edges_of(members)))
        places = " and ".join(text(low) for low in lows)
        yield f"left edges {lefts} from the left, from the front; undersides {places} over the feet"
        if kind == STILE:
            yield f"mortised for the ledges, {len(leaf.ledges)} each; outer faces flush"
    elif kind == BRACE:
        yield from _brace_words(shown, members, brief)
    elif kind == STRAP:
        side = "front" if shown.box(members[0])[0][1] < shown.leaf.front else "back"
        places = " and ".join(text(middle) for middle in middles)
        yield f"on the {side}, from the hanging edge, middles {places} over the feet"
        bolted = heavy_strap(members[0])
        more = f", and one {STRAP_BOLT} bolt next to the pin" if bolted else ""
        yield f"{STRAP_SCREWS} {screw_words()} each{more}"
    elif kind == PIN:
        yield "on the post, in the middle of the gap beside the leaf"
        yield f"{PIN_SCREWS} {screw_words()} each"
    else:
        yield from fitting_words(shown, members[0], brief)


def _middle(shown: LeafShown, member: Member) -> float:
    low, high = shown.box(member)
    return (low[2] + high[2]) / 2.0


def _tenon_words(shown: LeafShown, brief: Brief) -> Iterator[str]:
    """Yield how ledges are tenoned through the stiles."""
    plan, text = shown.leaf.plan, brief.figures.text
    wide, thick = plan.ledge[0], brief.figures.fine(plan.ledge[1] / 3.0)
    yield (
        f"{text(shown.leaf.width - 2.0 * plan.stile)} between shoulders; at both ends a tenon "
        f"{text(plan.stile)} long, {text(wide)} x {thick} in the middle of the thickness"
    )
    yield f"each tenon through its stile, glued, with {PEGS} pegs"


def _brace_words(shown: LeafShown, braces: list[Member], brief: Brief) -> Iterator[str]:
    """Yield how braces are cut and set: angle on the saw, rise over run, places on ledges."""
    brace = braces[0]
    bar, text = brace.shape, brief.figures.text
    ends = shown.ends_of(brace)
    assert isinstance(bar, Bar)
    saw = abs(bar.left.side_angle)
    rise, run = brace_rise_run(shown, brace)
    each = 12.0 if brief.feet else 100.0
    slope = f"{each * rise / run:.2f} in {each:g}" if run > 1e-6 else "upright"
    yield f"both ends cut {saw:.1f}° off square, {90.0 - saw:.1f}° to its edge, parallel"
    yield f"each edge {text(bar.length)} long, cuts {text(_cut(ends))} long"
    yield f"rises {text(rise)} over a run of {text(run)} ({slope})"
    feet, heads = [], []
    for one in sorted(
        {shown.ends_of(brace) for brace in braces}, reverse=not shown.leaf.hinge_left
    ):
        feet.append(min(abs(x - _hanging(shown)) for x in one[0]))
        heads.append(shown.leaf.width - max(abs(x - _hanging(shown)) for x in one[1]))
    foot, head = (" and ".join(map(text, places)) for places in (feet, heads))
    yield f"foot {foot} from the hanging edge, head {head} from the free edge"
    if not shown.leaf.plan.pressed:
        yield "CAUTION: it is pulled; nails alone give way"
    yield f"{BRACE_ENDS} {_driven(shown, brief, each=False)} through its ends"


def _cut(ends: tuple[tuple[float, float], tuple[float, float]]) -> float:
    return ends[0][1] - ends[0][0]


def _hanging(shown: LeafShown) -> float:
    return shown.leaf.x0 if shown.leaf.hinge_left else shown.leaf.x1


def brace_rise_run(shown: LeafShown, brace: Member) -> tuple[float, float]:
    """Return how far a brace rises between its ledges and how far it runs meanwhile, mm."""
    ends = shown.ends_of(brace)
    low, high = shown.box(brace)
    return high[2] - low[2], abs(ends[1][0] - ends[0][0])


def _driven(shown: LeafShown, brief: Brief, *, each: bool = True) -> str:
    """Return what pales of a leaf are fixed by: "2 screws 4.5 x 50"."""
    told, run = brief.fence.job.fixings, shown.run
    sold = NAILS if told.pales == "nails" else SCREWS
    thick, behind = run.pales.thickness, shown.leaf.plan.ledge[1]
    if not each:
        thick, behind = behind, math.inf
    length, diameter = driven_size(thick, behind, sold)
    count = f"{told.crossing} " if each else ""
    return f"{count}{told.pales} {diameter:g} x {length:g}"
