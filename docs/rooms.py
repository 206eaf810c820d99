"""Draws the rooms of the project in their layers, from what their files import."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import networkx

ROOT = Path(__file__).resolve().parent.parent
PICTURE = ROOT / "docs" / "pictures" / "rooms.svg"

BOX, ROW, GAP, LETTER = 34.0, 78.0, 22.0, 7.3
"""Height of a box, from row to row, between boxes, width of a letter."""

FILLS = {"model": "#e3efe0", "export": "#e2e9f5", "palewright": "#f6ecd9", "cli": "#f3e1e1"}


def rooms_graph() -> Any:
    """Return which room imports from which, without what follows from other arrows."""
    sys.path.insert(0, str(ROOT / "tests"))
    from house import folder_graph

    graph = folder_graph()
    # the packages' own files hold nothing
    kept = graph.subgraph([room for room in graph if room not in ("model", "export")])
    return networkx.transitive_reduction(kept)


def drawn() -> str:
    """Return the picture as SVG: a room stands over all that it knows."""
    graph = rooms_graph()
    levels: dict[str, int] = {}
    for room in reversed(list(networkx.lexicographical_topological_sort(graph))):
        below = [levels[other] for other in graph.successors(room)]
        levels[room] = max(below, default=-1) + 1
    rows = [sorted(r for r in graph if levels[r] == n) for n in range(max(levels.values()) + 1)]
    widths = {room: LETTER * len(room) + 24.0 for room in graph}
    spans = [sum(widths[room] for room in row) + GAP * (len(row) - 1) for row in rows]
    whole, high = max(spans) + 2 * GAP, ROW * len(rows) + GAP
    at: dict[str, tuple[float, float]] = {}
    for number, (row, span) in enumerate(zip(rows, spans, strict=True)):
        x = (whole - span) / 2.0
        for room in row:
            at[room] = (x, high - ROW * (number + 1))
            x += widths[room] + GAP
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {whole:.0f} {high:.0f}" '
        'font-family="sans-serif" font-size="13">',
        f'<rect width="{whole:.0f}" height="{high:.0f}" fill="#fff"/>',
        '<g stroke="#8a8a8a" fill="none">',
    ]
    for room, other in sorted(graph.edges):
        (x0, y0), (x1, y1) = at[room], at[other]
        a, b = x0 + widths[room] / 2.0, x1 + widths[other] / 2.0
        parts.append(f'<path d="M{a:.1f},{y0 + BOX:.1f} L{b:.1f},{y1:.1f}"/>')
    parts.append("</g>")
    for room, (x, y) in sorted(at.items()):
        fill = FILLS[room.split("/")[0]]
        wide, middle = widths[room], x + widths[room] / 2.0
        parts.append(
            f'<rect x="{x:.1f}" y="{y:.1f}" width="{wide:.1f}" height="{BOX:.0f}" rx="4" '
            f'fill="{fill}" stroke="#555"/>'
            f'<text x="{middle:.1f}" y="{y + 22.0:.1f}" text-anchor="middle">{room}</text>'
        )
    return "\n".join([*parts, "</svg>", ""])


if __name__ == "__main__":
    PICTURE.write_text(drawn(), "utf-8")
