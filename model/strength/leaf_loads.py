"""What a gate's leaf does to the post it hangs on: its weight, a person on it, wind on it open."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from palewright.model.layout.leaves import Leaf
from palewright.model.layout.run_layout import RunLayout

from .formulas import Formula
from .load_case import LoadCase
from .run_wind import RunWind
from .shown import Shown
from .steps import Working
from .straight_parts import PartEnd, StraightPart, StraightParts
from .wind_on_fence import wind_working

FORCE = Formula("w H leaf")
WEIGHT_MOMENT = Formula("g m (leaf / 2 + gap + post / 2)")
PERSON_MOMENT = Formula("P (leaf + gap + post / 2)")

WEIGHT, PERSON = ("gamma_G", "G"), ("gamma_Q", "MP")
"""Moments with their partial factors."""

PERMANENT, SHORT = "permanent", "short-term"


@dataclass(frozen=True)
class HungLeaf:
    """A leaf that hangs on a post. shown : to the wind; mass : kg; post : the width of
    that, mm.
    """

    leaf: Leaf
    shown: Shown
    mass: float
    post: float


def hung_leaves(wind: RunWind, number: int) -> tuple[HungLeaf, ...]:
    """Return the leaves that hang on a post. number : of the post in the layout."""
    post = wind.layout.posts[number].plan.width
    return tuple(
        HungLeaf(leaf, wind.leaves[opening, order], wind.weights[opening, order], post)
        for opening, order, leaf in _hung(wind.layout, number)
    )


def _hung(layout: RunLayout, number: int) -> Iterator[tuple[int, int, Leaf]]:
    for opening in layout.openings:
        for order, leaf in enumerate(opening.leaves):
            if leaf.plan.slide is not None:
                continue  # it hangs on no post
            if opening.numbers[0 if leaf.hinge_left else 1] == number:
                yield opening.number, order, leaf


def with_weight(
    wind: RunWind, working: Working, hung: tuple[HungLeaf, ...], *, summed: bool
) -> Working:
    """Return a working with the moment G of the leaves on a post.

    summed : whether they stand open and so hang on one side of it; shut they hang on either side,
    and the heavier counts.
    """
    each = [
        working.knowing({"m": one.mass / 1000.0, **_sizes(wind, one)}).worked(
            "G", WEIGHT_MOMENT, "kNm", "statics"
        )
        for one in hung
    ]
    if summed and len(each) > 1:
        whole = sum(one["G"] for one in each) / 1e6
        return working.given("G", "weight of the leaves, both open", whole, "kNm", "statics")
    return max(each, key=lambda one: one["G"])


def _sizes(wind: RunWind, hung: HungLeaf) -> dict[str, float]:
    run = wind.basis.run
    return {
        "leaf": hung.leaf.width,
        "gap": run.gates.hinge_clearance,
        "post": hung.post,
    }


def leaf_cases(wind: RunWind, hung: tuple[HungLeaf, ...]) -> Iterator[LoadCase]:
    """Yield the ways in which leaves load the post they hang on, without wind on the fence."""
    if not hung:
        return
    for one in hung:
        yield _blown(wind, one, hung)
    for opened in (False, True):
        state = "open" if opened else "shut"
        working = with_weight(wind, Working(wind.basis.factors), hung, summed=opened)
        yield _case(f"weight of the {state} leaf", PERMANENT, working, (WEIGHT,), opened)
        load = wind.basis.strength.leaf_load
        if load > 0.0:
            longest = max(hung, key=lambda one: one.leaf.width)
            working = (
                working.knowing(_sizes(wind, longest))
                .given("P", "a person at the leaf's end", load / 1000.0, "kN", "common practice")
                .worked("MP", PERSON_MOMENT, "kNm", "statics")
            )
            yield _case(f"a person on the {state} leaf", SHORT, working, (WEIGHT, PERSON), opened)


def _case(
    name: str, duration: str, working: Working, moments: tuple[tuple[str, str], ...], opened: bool
) -> LoadCase:
    across, along = (moments, ()) if opened else ((), moments)
    return LoadCase(name, duration, working, across, along, wind=False, turned=not opened)


def _blown(wind: RunWind, one: HungLeaf, hung: tuple[HungLeaf, ...]) -> LoadCase:
    """Return the wind along the fence on an open leaf, which has a free end on either side."""
    width = one.leaf.width
    ends = PartEnd(0.0, 0.0), PartEnd(width, 0.0)
    alone = StraightParts((StraightPart(0.0, width, ends),), 0.0)
    working = (
        wind_working(wind.basis, one.shown, alone, (0.0, 0.0))
        .knowing({"leaf": width})
        .worked("Fk", FORCE, "kN")
        .given("e", "middle of the leaf over the ground", one.shown.middle / 1000.0, "m")
    )
    return LoadCase(
        "wind along the fence on the open leaf",
        wind.basis.wind.duration,
        with_weight(wind, working, hung, summed=True),
        across=(WEIGHT,),
        along=(("gamma_Q", "Fk e"),),
        wind=True,
        turned=True,
    )
