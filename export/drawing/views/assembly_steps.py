"""How a fence is put together: isometric steps with what each adds, and a bay pulled apart."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

from palewright.export.drawing.draft import style as layers
from palewright.export.drawing.draft.drafting import Draft
from palewright.export.drawing.draft.paper import bounds, on_paper
from palewright.export.drawing.draft.style import Layer
from palewright.export.drawing.draft.view import Item, View
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.frames import Vector
from palewright.model.geometry.shapes import Bolt
from palewright.model.parts.hardware import bolt_name
from palewright.model.parts.members import (
    ANCHOR,
    BOARD,
    BOLT,
    CAP,
    CAPPING,
    COACH_SCREW,
    FINIAL,
    FRAMING,
    GATE_BASE,
    GATE_FITTINGS,
    GUIDE_POST,
    IN_HOLE,
    KEPT_POST,
    KICK_BOARD,
    METAL_CAP,
    PALE,
    PANEL_UPRIGHT,
    PLATES,
    POSTS,
    RAIL,
    STEEL_FEET,
    Kind,
    Member,
)

from .axonometry import isometric_eye
from .callouts import Callout, callouts
from .hidden_lines import Scene, scene, seen_spot
from .isometric import bodies_of, lines_before, solid_layer, solid_lines
from .portions import Portion, above_ground, members_of_portion
from .table_views import wrapped
from .titles import titled

STANDS = (*POSTS, *PLATES, KEPT_POST, ANCHOR, COACH_SCREW, *STEEL_FEET)
GATE = (*FRAMING, *GATE_FITTINGS, GUIDE_POST, GATE_BASE)

PULLED: dict[Kind, float] = {
    CAPPING: 900.0,
    KICK_BOARD: 300.0,
    RAIL: 300.0,
    PANEL_UPRIGHT: 300.0,
    BOARD: 300.0,
    BOLT: 520.0,
    PALE: 760.0,
}
"""How far members are pulled to the front out of a bay, mm."""

LIFTS = {CAP: 220.0, METAL_CAP: 220.0, FINIAL: 320.0}
"""How far members are lifted off their posts, mm."""

MOST_MARKS = 3
"""Members of a kind with more marks than this are told in one callout."""

LEAST_WIDTH = 88.0
"""Least width of the words under a picture, mm on paper."""


@dataclass(frozen=True)
class AssemblyStep:
    """A step of putting a fence together. title : of it; kinds : of the members that it adds;
    leaf : whether what hangs on a gate is meant; words : what to do, and cautions.
    """

    title: str
    kinds: tuple[Kind, ...]
    words: tuple[str, ...]
    leaf: bool = False

    def adds(self, member: Member) -> bool:
        """Tell whether a member is put in place in this step."""
        if member.kind == PALE and (member.leaf is not None) != self.leaf:
            return False
        return member.kind in self.kinds


@dataclass(frozen=True)
class Naming:
    """How members are named in callouts. fence : whose marks they have; fixed : by kind, what
    holds them, in words; on_leaf : what holds the pales of a gate.
    """

    fence: FenceModel
    fixed: dict[Kind, str]
    on_leaf: str


def step_view(
    portion: Portion, steps: Sequence[AssemblyStep], number: int, naming: Naming, draft: Draft
) -> View:
    """Return a step: what it adds in full lines, what stands already in thin ones, its words."""
    step, fence = steps[number], naming.fence
    buried = IN_HOLE[0] in step.kinds
    everything = members_of_portion(fence, portion)
    shown = [m for m in everything if any(one.adds(m) for one in steps[: number + 1])]
    if not buried:
        shown = list(above_ground((m for m in shown if m.kind not in IN_HOLE), fence))
    frame = fence.layouts[portion.run].legs[portion.leg].frame
    eye = isometric_eye(frame, back=step.leaf)
    before = scene(bodies_of(shown), eye)

    def weights(member: Member, outer: bool) -> Layer:
        return solid_layer(member, outer) if step.adds(member) else layers.SOLID_THERE

    items: list[Item] = [*solid_lines(shown, before, weights)]
    added = [m if step.adds(m) else None for m in shown]
    asked, unseen = _callouts(added, before, naming, draft, leaf=step.leaf)
    items += callouts(asked, items, draft, lift=0.5)
    return _worded(step.title, items, (*unseen, *step.words), draft)


def exploded_view(
    portion: Portion, title: str, words: Sequence[str], naming: Naming, draft: Draft
) -> View:
    """Return a bay with its members pulled apart to the front, each with its mark."""
    fence = naming.fence
    frame = fence.layouts[portion.run].legs[portion.leg].frame
    standing = [
        m
        for m in above_ground(members_of_portion(fence, portion), fence)
        if m.kind not in (*GATE, *IN_HOLE) and m.leaf is None
    ]
    moved = [_pulled(member, frame.y) for member in standing]
    eye = isometric_eye(frame)
    before = scene(bodies_of(moved), eye)
    items: list[Item] = [*solid_lines(moved, before)]
    paths = [
        (one.frame.origin, other.frame.origin)
        for one, other in zip(standing, moved, strict=True)
        if one.kind in (BOLT, CAP, METAL_CAP, FINIAL)
    ]
    items += lines_before(paths, eye, before, layers.AXIS)
    asked, unseen = _callouts(moved, before, naming, draft)
    items += callouts(asked, items, draft, lift=0.5)
    return _worded(title, items, (*unseen, *words), draft)


def _pulled(member: Member, back: Vector) -> Member:
    """Return a member moved to where a bay that is pulled apart shows it."""
    out, up = PULLED.get(member.kind, 0.0), LIFTS.get(member.kind, 0.0)
    x, y, z = member.frame.origin
    place = (x - out * back[0], y - out * back[1], z + up)
    return replace(member, frame=replace(member.frame, origin=place))


def _worded(title: str, items: list[Item], words: Sequence[str], draft: Draft) -> View:
    left, _, right, _ = bounds(on_paper(View("", draft.n, tuple(items)), draft.style))
    width = max(right - left, LEAST_WIDTH)
    notes = [line for text in words for line in wrapped(text, width, draft.text)]
    return titled(title, items, draft, notes=notes)


def _callouts(
    members: Sequence[Member | None],
    before: Scene,
    naming: Naming,
    draft: Draft,
    *,
    leaf: bool = False,
) -> tuple[list[Callout], list[str]]:
    """Return a callout for each mark, or for each kind with many, and words for what is not seen;
    None is what has none.

    A callout names the member that is seen best of those alike. leaf : whether pales are a gate's.
    """
    by_mark: dict[str, list[int]] = {}
    kinds: dict[Kind, list[str]] = {}
    for number, member in enumerate(members):
        if member is not None:
            by_mark.setdefault(member.mark, []).append(number)
            marks = kinds.setdefault(member.kind, [])
            if member.mark not in marks:
                marks.append(member.mark)
    found: list[Callout] = []
    unseen: list[str] = []
    for kind, marks in kinds.items():
        groups = [[mark] for mark in marks] if len(marks) <= MOST_MARKS else [marks]
        for group in groups:
            numbers = [number for mark in group for number in by_mark[mark]]
            spots = (seen_spot(before, number) for number in _tried(numbers))
            spot = next((spot for spot in spots if spot is not None), None)
            words = _words(kind, group, len(numbers), naming, draft)
            if leaf and kind == PALE:
                words = words.replace(naming.fixed[PALE], naming.on_leaf)
            if spot is None:
                unseen.append(f"Not seen here: {words}.")
            else:
                found.append(Callout(words, spot))
    return found, unseen


def _tried(numbers: Sequence[int]) -> list[int]:
    """Return which of members alike are tried for a leader: from the last on, not all of many."""
    step = max(1, len(numbers) // 6)
    return list(numbers[::-1][::step])


def _words(kind: Kind, marks: list[str], count: int, naming: Naming, draft: Draft) -> str:
    """Return the marks of members, their size, how many are shown and what holds them."""
    counts = Counter({mark: len(naming.fence.by_mark[mark]) for mark in marks})
    member = naming.fence.by_mark[marks[0]][0]
    *section, length = member.size
    sizes = [*(draft.figure(size) for size in section), draft.usual(length)]
    name = marks_in_short(marks)
    size = " x ".join(sizes[:2] if len(marks) > 1 else sizes)
    if isinstance(member.shape, Bolt):
        size = bolt_name(member.shape).removeprefix("bolt ")
    if kind in IN_HOLE:
        size = naming.fixed.get(kind, "")
    fixed = naming.fixed.get(kind, "") if kind not in IN_HOLE else ""
    parts = [f"{name} {kind.name} {size}".rstrip(), f"{count} of {sum(counts.values())}"]
    return ", ".join([*parts, *([fixed] if fixed else [])])


def marks_in_short(marks: Sequence[str]) -> str:
    """Return marks of a kind in order, those that follow each other as from and to.

    >>> marks_in_short(["RA7", "RA1", "RA2", "RA3"])
    'RA1 to RA3, RA7'
    """
    prefix = marks[0].rstrip("0123456789")
    numbers = sorted(int(mark.removeprefix(prefix)) for mark in marks)
    parts: list[list[int]] = []
    for number in numbers:
        if parts and number == parts[-1][-1] + 1:
            parts[-1].append(number)
        else:
            parts.append([number])
    words = [
        f"{prefix}{part[0]} to {prefix}{part[-1]}" if len(part) > 2
        else ", ".join(f"{prefix}{number}" for number in part)
        for part in parts
    ]  # fmt: skip
    return ", ".join(words)
