"""The tenons of rails that end in mortises in their posts, worked out, and what cannot be made."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from palewright.model.basis.errors import KeyPath, Problem
from palewright.model.spec.infill_keys import Rails

from .post_plan import PostPlans

Meet = Literal["butt", "lap", "scarf"]

LEAST_CHEEK = 12.0
"""What must be left of a post in front of and behind a mortise, mm (common practice, no source)."""

MOST_MORTISE = 0.5
"""The share of a post's depth that a mortise takes at most (common practice, no source)."""

TIP = 0.25
"""How thick a scarfed tenon is at its end, in shares of the mortise (common practice)."""


@dataclass(frozen=True)
class TenonPlan:
    """The tenons of a run's rails. height, thickness : of the mortise, which two tenons share where
    they lap or are scarfed; front : of the mortise behind the rail's front; foot : over the rail's
    underside; length : of a tenon, level; all mm. meet : how two of them meet in a post.
    """

    height: float
    thickness: float
    front: float
    foot: float
    length: float
    meet: Meet

    @property
    def one(self) -> float:
        """How thick one tenon is where it is thinnest at its root, mm."""
        return {"butt": 1.0, "lap": 0.5, "scarf": 1.0 - TIP}[self.meet] * self.thickness

    def mortise(self, stretched: float) -> tuple[tuple[float, float], ...]:
        """Return the mortise from above as `plan` gives a tenon, as long as one of them."""
        long, near, far = self.length * stretched, self.front, self.front + self.thickness
        return (0.0, near), (long, near), (long, far), (0.0, far)

    def plan(self, stretched: float, *, behind: bool) -> tuple[tuple[float, float], ...]:
        """Return a tenon from above: how far from the shoulder, and behind the rail's front,
        anticlockwise at a rail's right end. stretched : length along a raked rail over that on
        plan; behind : whether it takes the back of the mortise where two share it.
        """
        long, near, far = self.length * stretched, self.front, self.front + self.thickness
        if self.meet == "lap":
            middle = (near + far) / 2.0
            near, far = (middle, far) if behind else (near, middle)
        root = tip = (near, far)
        if self.meet == "scarf":
            thin = TIP * self.thickness
            root = (near + thin, far) if behind else (near, far - thin)
            tip = (far - thin, far) if behind else (near, near + thin)
        return (0.0, root[0]), (long, tip[0]), (long, tip[1]), (0.0, root[1])


def tenon_plan(rails: Rails, posts: PostPlans, setback: float) -> TenonPlan | None:
    """Return the tenons of a run's rails, None where they have none.

    Where the rails' fronts are flush with the posts' a tenon is at the back of the rail, else in
    the middle of its thickness; it is in the middle of its height.
    """
    if rails.form != "mortised":
        return None
    height, thickness = rails.section
    high, thick = rails.tenon or rails.section
    width = posts.line.width
    long = rails.tenon_length or (width / 2.0 if rails.tenons_meet == "butt" else width)
    front = thickness - thick if setback <= 0.0 else (thickness - thick) / 2.0
    return TenonPlan(high, thick, front, (height - high) / 2.0, long, rails.tenons_meet)


def tenon_problems(
    rails: Rails, posts: PostPlans, plan: TenonPlan, setback: float, path: KeyPath
) -> Iterator[Problem]:
    """Yield what cannot be made of tenons. path : of the rails' table."""
    height, thickness = rails.section
    key = "tenon" if rails.tenon else "section"
    if plan.height > height or plan.thickness > thickness:
        text = f"larger than the rails, {height:g} x {thickness:g} mm"
        yield Problem((*path, key), text)
        return
    least = min(one.depth for one in posts.kinds)
    if plan.thickness > MOST_MORTISE * least:
        text = (
            f"a mortise {plan.thickness:g} mm wide takes over half of a post {least:g} mm deep; "
            f"at most {MOST_MORTISE * least:g} mm"
        )
        yield Problem((*path, key), text)
    before = setback + plan.front
    behind = least - before - plan.thickness
    if min(before, behind) < LEAST_CHEEK - 1e-6:
        place = "in front of" if before <= behind else "behind"
        text = (
            f"leaves {min(before, behind):g} mm of the posts {place} the tenons, where "
            f"{LEAST_CHEEK:g} mm are needed: thinner tenons, or rails set in"
        )
        yield Problem((*path, key), text)
    narrow = min(one.width for one in posts.kinds)
    most = narrow / 2.0 if plan.meet == "butt" else narrow
    if plan.length > most + 1e-6:
        text = (
            f"tenons {plan.length:g} mm long do not go into posts {narrow:g} mm wide where "
            f'tenons_meet is "{plan.meet}"; at most {most:g} mm'
        )
        yield Problem((*path, "tenon_length" if rails.tenon_length else "tenons_meet"), text)
