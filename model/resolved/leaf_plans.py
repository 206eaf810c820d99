"""How the leaves of each gate are made: what it says itself, what all gates say, what is usual."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

from palewright.model.basis.errors import KeyPath, Problem
from palewright.model.geometry.heads import HeadError, pale_outline
from palewright.model.geometry.shapes import tidy
from palewright.model.spec.gate_keys import GateSpec, LeafKeys, LeafTop

from .pale_plan import PaleKind, PalePlan

UNFRAMED = 'only a framed leaf has stiles; write frame = "framed" for one'

LAP, LEAST_POST = 50.0, 100.0
"""How far a sliding leaf laps its shutting post, and the least width of that, mm (common practice,
no source)."""

GUIDED = 450.0
"""How far a leaf on a track stays behind the post that it slides past, where its guides hold it,
mm (common practice, no source)."""

CARRIAGE_INSET = 170.0
"""From the end of a cantilever leaf, or from the opening, to the middle of a carriage, mm."""

LIFT, MOST_LIFT = 40.0, 150.0
"""How far rising hinges lift a leaf at a right angle, and the most that they do, mm (common
practice, no source)."""

COUNTERBALANCE = 0.4
"""From carriage to carriage, as a share of the opening (common practice, no source)."""

BRACED, MOST_BRACES = 1100.0, 8
"""A sliding leaf has a brace for each such length (mm), at most so many (common practice, no
source)."""

BRACE = 75.0
"""Width of a brace, mm (common practice, no source)."""


@dataclass(frozen=True)
class SlidePlan:
    """How a leaf slides aside behind the fence, mm.

    cantilever : whether it hangs over carriages instead of standing on a track; to_left : the side
    it opens to, from the front; clear : from the posts' backs to it; lap : how far it reaches past
    the opening at its shutting post, tail : and at the other, when it is shut.
    """

    cantilever: bool
    to_left: bool
    clear: float
    lap: float
    tail: float

    @property
    def apart(self) -> float:
        """From carriage to carriage of a cantilever leaf."""
        return self.tail - 2.0 * CARRIAGE_INSET


@dataclass(frozen=True)
class LeafPlan:
    """How the leaves of a gate are made, mm.

    own : whether they differ from the fence in height, head or top line; height : of the pales'
    tops over the ground, at the ends of their top line; pales : with their heads and how they are
    spaced; top : their top line; ledge : height and thickness; ledges :
    how many, None where their distance decides; framed : whether they are tenoned through stiles;
    stile : width of these; braces : so many side by side between two ledges; brace : their width;
    pressed : whether they rise from the hanging side; latch, stop, closing : what it is held,
    stopped and shut by, in the spec's words, a plain latch and none where it says nothing; opens :
    how far, degrees, 0 where it does not say; slide : how it slides, None on hinges; lift : how
    far it rises as it opens by a right angle, 0 on hinges that do not rise.
    """

    own: bool
    height: float
    pales: PalePlan
    top: LeafTop
    ledge: tuple[float, float]
    brace: float
    ledges: int | None = None
    framed: bool = False
    stile: float = 0.0
    braces: int = 1
    pressed: bool = True
    latch: str = "plain"
    stop: str = ""
    closing: str = ""
    opens: float = 0.0
    slide: SlidePlan | None = None
    lift: float = 0.0

    @property
    def head_shape(self) -> str:
        """The shapes of its pales' heads in words."""
        return self.pales.heads_said

    @property
    def head_rise(self) -> float:
        """How far the lowest springing line of the pales is under the longest's top, mm."""
        return self.pales.head_drop

    @property
    def lowest(self) -> float:
        """Height of the top of the shortest pale over the ground, mm, at the least."""
        return self.height - (self.top.rise if self.top.shape == "dip" else 0.0)

    @property
    def highest(self) -> float:
        """Height of the top of the longest pale over the ground, mm, at the most."""
        return self.height + (self.top.rise if self.top.shape == "arch" else 0.0)


def leaf_plans(
    usual: LeafPlan, gates: LeafKeys, openings: tuple[GateSpec, ...], path: KeyPath
) -> tuple[tuple[LeafPlan, ...], list[Problem]]:
    """Return how the leaves of each gate are made, and what cannot be made of it.

    usual : where neither gate nor gates say anything; path : of the run.
    """
    plans: list[LeafPlan] = []
    problems: list[Problem] = []
    for number, gate in enumerate(openings):
        own: KeyPath = (*path, "gate", number)
        try:
            plans.append(_sliding(_plan(usual, (gate, gates)), gate, gates))
        except HeadError as error:
            said = (*own, "head") if gate.head is not None else (*path, "gates", "head")
            problems.append(Problem(said, f"cannot be cut: {error}"))
            continue
        problems += _frame_problems(plans[-1], (gate, gates), (own, (*path, "gates")))
        problems += _slide_problems(gate, gates, own)
    if gates.stile is not None and openings and not any(plan.framed for plan in plans):
        problems.append(Problem((*path, "gates", "stile"), UNFRAMED))
    return tuple(plans), list(dict.fromkeys(problems))


def _plan(usual: LeafPlan, told: tuple[LeafKeys, LeafKeys]) -> LeafPlan:
    """Return the plan of a gate. told : by itself, and for all gates; raises HeadError."""
    height, head_spec = _said(told, "height"), _said(told, "head")
    top = _said(told, "top_line") or usual.top
    own = height is not None or head_spec is not None or top.shape != "straight"
    braces, ledge = _said(told, "braces"), _said(told, "ledge") or usual.ledge
    framed = _said(told, "frame") == "framed"
    plan = replace(
        usual,
        own=own,
        height=usual.height if height is None else height,
        top=top,
        ledge=ledge,
        ledges=_said(told, "ledges"),
        framed=framed,
        stile=(_said(told, "stile") or ledge[0]) if framed else 0.0,
        braces=usual.braces if braces is None else braces,
        brace=_said(told, "brace") or usual.brace,
        pressed=_said(told, "bracing") != "tension",
        latch=_said(told, "latch") or usual.latch,
        stop=_said(told, "stop") or usual.stop,
        closing=_said(told, "closing") or usual.closing,
        opens=_said(told, "opens") or usual.opens,
        lift=(_said(told, "hinge_rise") or LIFT) if _said(told, "hinges") == "rising" else 0.0,
    )
    if head_spec is None:
        return plan
    kinds = []
    for kind in plan.pales.kinds:
        head = head_spec.head(kind.width)
        pale_outline(head, kind.width, plan.lowest - (plan.pales.longest - kind.length))
        outline = pale_outline(head, kind.width, max(kind.length, head.rise(kind.width) + 1.0))
        shape = head_spec.shape.replace("-", " ")
        kinds.append(PaleKind(kind.width, kind.length, head, outline, shape))
    return replace(plan, pales=replace(plan.pales, kinds=tuple(kinds)))


def _sliding(plan: LeafPlan, gate: GateSpec, gates: LeafKeys) -> LeafPlan:
    """Return the plan of a leaf that slides: framed, and braced along its length, unless it is said
    otherwise; as it is where it hangs on hinges.
    """
    told = gate.slide
    if told is None:
        return plan
    cantilever = told.on == "cantilever"
    share = told.counterbalance or COUNTERBALANCE
    tail = tidy(share * gate.opening + 2.0 * CARRIAGE_INSET) if cantilever else GUIDED
    slide = SlidePlan(cantilever, told.to == "left", told.clear, LAP, tail)
    width = gate.opening + tail + LAP
    framed = _said((gate, gates), "frame") != "ledged"
    braces = plan.braces
    if _said((gate, gates), "braces") is None:
        braces = min(MOST_BRACES, max(1, math.ceil(width / BRACED)))
    return replace(
        plan,
        slide=slide,
        framed=framed,
        stile=(_said((gate, gates), "stile") or plan.ledge[0]) if framed else 0.0,
        braces=braces,
        pressed=True,
        closing="",
        stop="",
        opens=0.0,
        lift=0.0,
    )


HUNG = "hinge", "swing", "bracing", "stop", "opens", "closing", "hinges", "hinge_rise"
"""Keys that say something of leaves on hinges alone."""


def _slide_problems(gate: GateSpec, gates: LeafKeys, path: KeyPath) -> Iterator[Problem]:
    """Yield what is said of a sliding leaf that only one on hinges has."""
    if gate.slide is None:
        return
    for key in HUNG:
        if key in gate.model_fields_set and getattr(gate, key) is not None:
            text = "a sliding leaf has none; gate.slide says how it goes, and its end stops hold it"
            yield Problem((*path, key), text)
    if gate.leaves == 2:
        text = "a sliding gate has one leaf; two gates that slide apart are not made"
        yield Problem((*path, "leaves"), text)
    if _said((gate, gates), "latch") in ("ring", "thumb", "bolt"):
        own = path if gate.latch is not None else (*path[:-2], "gates")
        text = 'a sliding leaf is held by a hook; "lock", or leave it out for a plain one'
        yield Problem((*own, "latch"), text)
    if gate.slide.on == "track" and gate.slide.counterbalance is not None:
        text = 'a leaf on a track has none; on = "cantilever" for one that hangs over carriages'
        yield Problem((*path, "slide", "counterbalance"), text)


def _frame_problems(
    plan: LeafPlan, told: tuple[GateSpec, LeafKeys], paths: tuple[KeyPath, KeyPath]
) -> Iterator[Problem]:
    """Yield what of a leaf's frame does not go together, where it is said."""

    def at(key: str) -> KeyPath:
        own = getattr(told[0], key) is not None
        return (*paths[0 if own else 1], key)

    if not plan.framed and told[0].stile is not None:
        yield Problem(at("stile"), UNFRAMED)
    if not plan.framed and plan.braces == 0:
        text = 'a ledged leaf without a brace drops at its latch; 1, or 2, or frame = "framed"'
        yield Problem(at("braces"), text)
    if plan.stop == "post" and told[0].leaves == 2:
        yield Problem(at("stop"), 'two leaves meet in the middle of the opening; "ground" for them')
    if plan.lift == 0.0 and told[0].hinge_rise is not None and told[0].slide is None:
        text = 'only rising hinges lift a leaf; write hinges = "rising" for them'
        yield Problem(at("hinge_rise"), text)
    if plan.lift > MOST_LIFT:
        text = f"hinges lift a leaf by {MOST_LIFT:g} mm at the most"
        yield Problem(at("hinge_rise"), text)
    if plan.braces == 0 and (told[0].bracing or told[1].bracing):
        yield Problem(at("bracing"), "there is no brace (braces = 0)")


def _said(told: tuple[LeafKeys, LeafKeys], key: str) -> Any:
    """Return what is said under a key, None where neither says it."""
    return next((value for one in told if (value := getattr(one, key)) is not None), None)
