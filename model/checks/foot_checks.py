"""Checks of posts that stand otherwise than in holes: shoes, their slab and their anchors."""

from __future__ import annotations

from collections.abc import Iterator

from palewright.model.basis import foot_kinds
from palewright.model.basis.findings import Finding
from palewright.model.basis.units import format_length as mm
from palewright.model.layout.run_layout import RunLayout, footed_posts, stations_of_leg
from palewright.model.parts.hardware import BOLTS
from palewright.model.resolved.post_feet import OnShoe

UNDER = 30.0
"""Least concrete under an anchor's end, mm."""

EDGE = 8.0
"""Least distance of an anchor from an edge, in its diameters."""

ACROSS = 7.0
"""A post is at least so many of its bolts' diameters wide, square to them."""

FALL = 5.0
"""Most that a slab may fall under half of a base plate, mm."""


def standing_findings(layout: RunLayout) -> Iterator[Finding]:
    """Yield what is doubtful of how posts of a run stand."""
    told: set[object] = set()
    for kind, posts in footed_posts(layout):
        foot = posts[0].plan.foot
        where = f"{layout.run.called}, {kind} posts"
        shoe = foot.shoe
        if shoe is not None:
            diameter = BOLTS[shoe.bolt].diameter
            if shoe.wide < ACROSS * diameter - 0.05:
                yield foot_kinds.SHOE_BOLT.at(
                    f"{where}, {shoe.bolt}", f"{mm(shoe.wide)} mm", f"{mm(ACROSS * diameter)} mm"
                )
        if isinstance(foot, OnShoe) and foot not in told:
            told.add(foot)
            yield from _slab(foot, where)
    yield from _slopes(layout)


def _slab(foot: OnShoe, where: str) -> Iterator[Finding]:
    if foot.slab is None or foot.edge is None:
        missing = [key for key in ("slab", "edge") if getattr(foot, key) is None]
        yield foot_kinds.SLAB_UNKNOWN.at(where, f"{' and '.join(missing)} not given", "")
    if foot.slab is not None and foot.slab - foot.hold < UNDER - 0.05:
        left = f"{mm(foot.slab - foot.hold)} mm"
        yield foot_kinds.SLAB_THIN.at(where, left, f"{mm(UNDER)} mm or more")
    if foot.edge is not None:
        free = foot.edge - (max(foot.plate) / 2.0 - foot.inset)
        least = EDGE * BOLTS[foot.anchor].diameter
        if free < least - 0.05:
            yield foot_kinds.ANCHOR_EDGE.at(where, f"{mm(free)} mm", f"{mm(least)} mm or more")


def _slopes(layout: RunLayout) -> Iterator[Finding]:
    """Yield the post under whose base plate the slab falls most, where it falls too much."""
    falls = []
    for number, leg in enumerate(layout.legs):
        for x, post in stations_of_leg(layout, number):
            foot = post.plan.foot
            if isinstance(foot, OnShoe):
                half = foot.plate[0] / 2.0
                falls.append((leg.ground(x) - leg.lowest(x - half, x + half), post.label))
    most, label = max(falls, default=(0.0, ""))
    if most > FALL + 1e-6:
        yield foot_kinds.SHOE_SLOPE.at(f"post {label}", f"{mm(most)} mm", f"{mm(FALL)} mm")
