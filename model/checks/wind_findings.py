"""What the strength checks find wanting."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from palewright.model.basis import foot_kinds, wind_kinds
from palewright.model.basis.findings import Finding
from palewright.model.fence.fence_model import FenceModel
from palewright.model.parts.members import FOOT_BOLT

if TYPE_CHECKING:
    from palewright.model.strength.assess import PostUse

FASTEST = 35.0
"""Basic velocities are under this nearly everywhere, m/s (from memory)."""


def _feet(fence: FenceModel, posts: tuple[PostUse, ...]) -> Iterator[Finding]:
    """Yield for each way of standing by steel the post that asks most of it."""
    most: dict[str, PostUse] = {}
    for one in posts:
        foot = one.placed.plan.foot
        if foot.shoe is not None:
            known = most.setdefault(foot.way, one)
            if one.moment > known.moment * (1.0 + 1e-9):
                most[foot.way] = one
    for way, one in most.items():
        own = fence.of_post[one.run, one.placed.label]
        bolts = [m.frame.origin[2] for m in own if m.kind == FOOT_BOLT]
        apart = round(max(bolts) - min(bolts), 1)
        moment, asked = one.moment / 1e6, one.placed.plan.foot.asked(one.moment, apart)
        yield foot_kinds.WIND_FOOT.at(
            f"post {one.placed.label}", f"{moment:.2f} kNm", "",
            text=f"in the wind given, a post {way} asks for a moment of {moment:.2f} kNm at the "
            f"ground, with partial factors: {asked}; steel, welds, bolts and anchors are not "
            "checked",
        )  # fmt: skip


def strength_findings(fence: FenceModel) -> Iterator[Finding]:
    """Yield a finding for each strength check that is used over its resistance, where it is worst
    among the members alike.
    """
    if fence.job.wind is None:
        return
    from palewright.model.strength.assess import assess
    from palewright.model.strength.steps import used_words

    velocity = fence.job.wind.velocity
    if velocity > FASTEST:
        yield wind_kinds.WIND_FAST.at("wind.velocity", f"{velocity:g} m/s", f"{FASTEST:g} m/s")
    strength = assess(fence)
    yield from _feet(fence, strength.posts)
    for worst in strength.governing:
        check = worst.check
        if worst.over:
            unit = f" {check.unit}" if check.unit else ""
            yield check.kind.at(
                worst.where,
                f"{check.demand:.3g}{unit}",
                f"{check.resistance:.3g}{unit}",
                text=f"in the wind given, {check.name} is {used_words(check.utilisation)} here, "
                f"over what it has at {worst.over} of {worst.count} {worst.members}; "
                f"it takes {check.mend}",
            )
