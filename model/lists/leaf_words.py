"""How the leaves of gates are made, in words."""

from __future__ import annotations

from collections.abc import Callable

from palewright.model.resolved.leaf_plans import LeafPlan

Size = Callable[[float], str]
"""How a paper writes a length (mm)."""


def top_words(plan: LeafPlan, size: Size) -> str:
    """Return how high a leaf is and how its tops run; empty where it is as the fence.

    >>> from types import SimpleNamespace as Any
    >>> told = Any(own=True, height=1200.0, top=Any(shape="arch", rise=90.0, over="leaf"))
    >>> top_words(told, "{:g} mm".format)
    '1200 mm high, tops in an arch of 90 mm over each leaf'
    """
    if not plan.own:
        return ""
    high = f"{size(plan.height)} high"
    if plan.top.shape == "straight":
        return high
    over = "each leaf" if plan.top.over == "leaf" else "the opening"
    curve = "an arch" if plan.top.shape == "arch" else "a dip"
    return f"{high}, tops in {curve} of {size(plan.top.rise)} over {over}"


def frame_words(plan: LeafPlan, size: Size) -> str:
    """Return how a leaf is framed and braced where it is not ledged with one brace."""
    words = []
    if plan.framed:
        words.append(f"framed, ledges tenoned through stiles of {size(plan.stile)}")
    if plan.braces == 0:
        words.append("no brace")
    if plan.braces == 2:
        words.append("two braces either side of an upright")
    elif plan.braces > 2:
        words.append(f"{plan.braces} braces side by side, uprights between them")
    if not plan.pressed and plan.braces:
        words.append("braces in tension")
    return ", ".join(words)


def closing_words(plan: LeafPlan, size: Size) -> str:
    """Return how a leaf is latched, stopped and shut where the spec says it."""
    words = [LATCHED[plan.latch]] if plan.latch in LATCHED else []
    if plan.closing:
        words.append("closing by itself, " + ("by a spring" if plan.closing == "spring" else
                                              "on self-closing hinges"))  # fmt: skip
    if plan.stop:
        words.append("a stop on the post" if plan.stop == "post" else "a stop in the ground")
    if plan.lift:
        words.append(f"rising hinges, {size(plan.lift)} at a right angle")
    if plan.opens:
        words.append(f"opening by {plan.opens:g} degrees")
    return ", ".join(words)


LATCHED = {
    "ring": "ring latch worked from both sides",
    "thumb": "thumb latch worked from both sides",
    "bolt": "bolt on the back",
    "lock": "lock",
}
"""What a leaf is held shut by, in words."""


def slide_words(plan: LeafPlan, size: Size) -> str:
    """Return how a leaf slides; empty of one on hinges."""
    slide = plan.slide
    if slide is None:
        return ""
    side = "left" if slide.to_left else "right"
    if slide.cantilever:
        on = f"over carriages {size(slide.apart)} apart on a footing, no track across the opening"
    else:
        on = "on a track in the ground"
    return f"sliding to the {side} behind the fence, {on}"


def head_words(plan: LeafPlan, fence_head: str) -> str:
    """Return what heads a leaf's pales have where they are not those of the fence."""
    return f"{plan.head_shape} heads" if plan.head_shape != fence_head else ""


def leaf_words(plan: LeafPlan, fence_head: str, size: Size) -> list[str]:
    """Return all that is to be said of a leaf that is not as usual. fence_head : its shape."""
    told = (top_words(plan, size), head_words(plan, fence_head), frame_words(plan, size),
            closing_words(plan, size), slide_words(plan, size))  # fmt: skip
    return [words for words in told if words]
