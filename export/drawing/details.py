"""Details at large scale: the head of a pale and the gap to its neighbour."""

from __future__ import annotations

from palewright.model.geometry import Point
from palewright.model.heads import Clipped, Free, Pointed
from palewright.model.layout import RunLayout
from palewright.model.pales import pale_row

from . import style as layers
from .dimensions import chain
from .style import Style
from .view import Item, Line, Text, View

BREAK = 3.0
"""Height of the zigzag of a break line, mm on paper."""


def head_detail(layout: RunLayout, scale: int, style: Style) -> View:
    """Return two neighbouring pales' heads with what is needed to mark them out.

    x = 0 in the middle of the first pale, y = 0 at its foot; the pales are cut off by a break
    line below the heads.
    """
    run = layout.run
    width, top = run.pales.width, run.pales.length
    rise = run.head.rise(width)
    spring = top - rise
    cut = max(spring - 0.8 * width, 0.0)
    rows = [pale_row(layout, stretch) for stretch in layout.stretches]
    gap = next((row.spacing.gap for row in rows if row.spacing.count > 1), run.pales.gap)
    items: list[Item] = []
    for x in (0.0, width + gap):
        head = tuple((vx + x, vy, bulge) for vx, vy, bulge in run.outline.vertices[2:])
        sides = ((x + width / 2, cut, 0.0), *head, (x - width / 2, cut, 0.0))
        items.append(Line(_joined(sides), layers.PALES))
        items.append(_zigzag(x - width / 2, x + width / 2, cut, scale))
    low = cut - style.first_tier * scale
    edges = [-width / 2, width / 2, width / 2 + gap, width / 2 + gap + width]
    items.extend(chain([(x, cut) for x in edges[:3]], (0.0, low), 0.0, scale, style))
    right = edges[3]
    side = right + style.first_tier * scale
    if rise > 0.0:
        ups: list[Point] = [(right, spring), (right, top)]
        items.extend(chain(ups, (side, 0.0), 90.0, scale, style))
    above = top + style.first_tier * scale
    tips = _tip_spots(layout)
    if tips:
        items.extend(chain([(x, top) for x in tips], (0.0, above), 0.0, scale, style))
    radii = sorted({round(e.radius, 1) for e in run.outline.edges if e.bulge})
    note = f"{width:g} x {run.pales.thickness:g} x {top:g}"
    if radii:
        note += ", radius " + " and ".join(f"{radius:g}" for radius in radii)
    below = low - (style.tier + style.subtitle) * scale
    notes = [note, *_gap_notes(layout)]
    for number, line in enumerate(notes):
        y = below - (2.2 + 1.6 * number) * style.text * scale
        items.append(Text(line, (-width / 2, y), style.text))
    title = f"Pale head, run {run.letter}"
    return View(title, scale, tuple(items), (), titled_at=(-width / 2, below))


def _gap_notes(layout: RunLayout) -> list[str]:
    """Return the gap of each stretch, named by its first and last post."""
    lines = []
    for stretch in layout.stretches:
        row = pale_row(layout, stretch)
        first, last = (layout.posts[stretch.posts[end]].label for end in (0, -1))
        lines.append(f"{first} to {last}: {row.spacing.count} pales, gaps {row.spacing.gap:.1f}")
    return lines


def _joined(
    sides: tuple[tuple[float, float, float], ...],
) -> tuple[tuple[float, float, float], ...]:
    """Return the sides without doubled points where the head starts at the break line."""
    kept = [sides[0]]
    for vertex in sides[1:]:
        if abs(vertex[0] - kept[-1][0]) > 1e-9 or abs(vertex[1] - kept[-1][1]) > 1e-9:
            kept.append(vertex)
    return tuple(kept)


def _zigzag(x0: float, x1: float, y: float, scale: int) -> Line:
    middle, size = (x0 + x1) / 2.0, BREAK * scale / 2.0
    past = size / 2.0
    points = (
        (x0 - past, y),
        (middle - size / 2.0, y),
        (middle - size / 4.0, y + size),
        (middle + size / 4.0, y - size),
        (middle + size / 2.0, y),
        (x1 + past, y),
    )
    return Line.through(points, layers.METAL)


def _tip_spots(layout: RunLayout) -> list[float]:
    """Return where the head's corners are across the first pale, for heads of straight cuts."""
    head, half = layout.run.head, layout.run.pales.width / 2.0
    match head:
        case Clipped(across, _):
            return [-half, -half + across, half - across, half]
        case Pointed(_, blunt) if blunt > 0.0:
            return [-half, -blunt / 2.0, blunt / 2.0, half]
        case Pointed():
            return [-half, 0.0]
        case Free(points):
            return sorted({x - half for x, _ in points})
        case _:
            return []
