"""Details of pale heads at large scale."""

from __future__ import annotations

from palewright.export.drawing.draft import style as layers
from palewright.export.drawing.draft.drafting import Draft
from palewright.export.drawing.draft.view import Item, Line, View
from palewright.model.layout.pale_heads import PaleHead
from palewright.model.resolved.pale_plan import in_words

from .dimensions import level_chain, upright_chain
from .members_shown import break_line
from .titles import titled

CUT_OFF = 0.8
"""How much of a pale is shown below its head, in widths."""


def head_detail(of: PaleHead, draft: Draft) -> View:
    """Return a pale's head with what is needed to mark it out.

    x = 0 in the middle of the pale, y = 0 at its foot, which a break line cuts off.
    """
    n, first_tier = draft.n, draft.full(draft.style.first_tier)
    width, top, rise = of.width, of.length, of.rise
    spring = top - rise
    cut = max(spring - CUT_OFF * width, 0.0)
    half = width / 2
    head = of.outline.vertices[2:]
    marking = of.head.marking(width)
    items: list[Item] = [
        Line(_without_doubles(((half, cut, 0.0), *head, (-half, cut, 0.0))), layers.PALES),
        break_line(((-half, cut), (half, cut)), draft),
        Line.through(((0.0, cut - 2.0 * n), (0.0, top + 2.0 * n)), layers.AXIS),
        *level_chain([(-half, cut), (half, cut)], cut - first_tier, draft),
    ]
    if rise > 0.0:
        ups = [(half, spring + up) for up in marking.ups]
        items += upright_chain(ups, half + first_tier, draft, aside=True)
    if marking.across:
        items += level_chain([(x, top) for x in marking.across], top + first_tier, draft)
    notes = _head_notes(of, marking.centres, draft)
    return titled(f"Pale head{of.number}, {of.called}", items, draft, left=-half, notes=notes)


def _head_notes(of: PaleHead, centres: str, draft: Draft) -> list[str]:
    radii = sorted({round(e.radius, 1) for e in of.outline.edges if e.bulge})
    notes = [of.shape] if of.rise > 0.0 else []
    if radii:
        words = " and ".join(draft.figure(radius) for radius in radii)
        notes.append(f"arcs of radius {words}, {centres}")
    if of.rise == 0.0:
        notes.append("cut square")
    else:
        springs = in_words([draft.figure(length - of.rise) for length in of.lengths or [of.length]])
        whose = of.whose
        if of.lengths:
            whose = f"whole pales {in_words([draft.figure(one) for one in of.lengths])} long"
        notes.append(f"springing line {springs} over the foot of {whose}")
    return notes


def _without_doubles(
    vertices: tuple[tuple[float, float, float], ...],
) -> tuple[tuple[float, float, float], ...]:
    """Leave out vertices that repeat the one before (a head may start at the break line)."""
    kept = [vertices[0]]
    for vertex in vertices[1:]:
        if abs(vertex[0] - kept[-1][0]) > 1e-9 or abs(vertex[1] - kept[-1][1]) > 1e-9:
            kept.append(vertex)
    return tuple(kept)
