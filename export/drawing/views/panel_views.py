"""A panel for the bench: as it lies with its front up, and the jig that it is made on."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence

from palewright.export.drawing.draft import style as layers
from palewright.export.drawing.draft.drafting import Draft
from palewright.export.drawing.draft.figures import Units
from palewright.export.drawing.draft.style import CUT_TIMBER
from palewright.export.drawing.draft.view import Dimension, Hatch, Item, Line, Text, View
from palewright.model.fence.made_panels import MadePanel, PanelPiece
from palewright.model.geometry.frames import Point
from palewright.model.parts.members import BOLT, PALE, PANEL_UPRIGHT, RAIL

from .dimensions import beyond, level_chain, upright_chain
from .members_shown import Facing, show
from .panel_jig import Jig, Loop
from .titles import titled

EVEN = 0.05
"""Lengths that differ by no more are one, mm."""


def panel_front(panel: MadePanel, draft: Draft) -> View:
    """Return a panel as it lies on the bench, front up: its pieces with their marks, where each
    pale lies, the heights of its rails at both ends, its diagonals.
    """
    members = [piece.member for piece in panel.pieces]
    items: list[Item] = [
        *show(members, Facing(panel.frame), blocks=False, buried=False),
        *_diagonals(panel),
        *_along(panel, draft),
        *_heights(panel, draft),
        *_marks(panel, draft),
    ]
    return titled(f"Panel {panel.mark}, front", items, draft)


def diagonal_words(panel: MadePanel, figure: Callable[[float], str]) -> str:
    """Say how long the diagonals of a panel's frame are, and what they are measured between."""
    one, other = (figure(length) for length in panel.diagonals)
    if panel.square:
        return f"{one} both"
    return f"{one} from lower left to upper right, {other} from lower right to upper left"


def _diagonals(panel: MadePanel) -> Iterator[Line]:
    a, b, c, d = panel.framed
    for ends in ((a, c), (b, d)):
        yield Line.through(ends, layers.CHECK)


def _sides(panel: MadePanel) -> Point:
    """Return x of the ends of a panel's frame, mm."""
    return panel.framed[0][0], panel.framed[1][0]


def _along(panel: MadePanel, draft: Draft) -> Iterator[Dimension]:
    """Yield widths over the panel, and where the left edge of each pale lies under it."""
    tier = draft.full(draft.style.first_tier)
    left, right = _sides(panel)
    top = panel.height
    yield from level_chain([(x, top) for x in (left, right)], top + tier, draft)
    if left > EVEN or panel.width > right + EVEN:
        over = top + tier + draft.full(draft.style.tier)
        yield from level_chain([(x, top) for x in (0.0, panel.width)], over, draft)
    pales = panel.of(PALE)
    edges = [piece.low[0] for piece in pales]
    last = pales[-1].high[0]
    xs = _apart([min(left, edges[0]), *([left] if edges[0] > left + EVEN else []), *edges, last])
    xs += [max(right, last)] if right > last + EVEN else []
    low = -tier
    if len(pales) > 1:  # its lines would cross figures of the other, were it below
        spots = _apart(sorted((pales[0].low[0], pales[0].high[0], edges[1])))
        own = level_chain([(x, 0.0) for x in spots], low, draft)
        yield from own
        low -= beyond(own, low, draft) + draft.full(draft.style.tier)
    yield from level_chain([(x, 0.0) for x in xs], low, draft)


def _apart(places: Sequence[float]) -> list[float]:
    """Return places in order without those that repeat the one before."""
    kept: list[float] = []
    for place in sorted(places):
        if not kept or place - kept[-1] > EVEN:
            kept.append(place)
    return kept


def _ends_of(panel: MadePanel, *, right: bool) -> list[float]:
    """Return the heights of the undersides and tops of the rails at one end, over the lowest foot,
    mm.
    """
    heights = []
    for rail in panel.of(RAIL):
        points = panel.points(rail)
        edge = (max if right else min)(x for x, _, _ in points)
        zs = [z for x, _, z in points if abs(x - edge) < 1.0]
        heights += [min(zs), max(zs)]
    return heights


def _heights(panel: MadePanel, draft: Draft) -> Iterator[Dimension]:
    """Yield heights at the left end, with the first pale's, and at the right where they differ."""
    tier = draft.full(draft.style.first_tier)
    pales = panel.of(PALE)
    first, last = pales[0], pales[-1]
    left = _apart([first.low[2], *_ends_of(panel, right=False), first.high[2]])
    yield from upright_chain([(0.0, z) for z in left], -tier, draft)
    second = -tier - draft.full(draft.style.side_tier)
    yield from upright_chain([(0.0, z) for z in (first.low[2], first.high[2])], second, draft)
    right = _apart([last.low[2], *_ends_of(panel, right=True), last.high[2]])
    alike = len(left) == len(right) and all(
        abs(a - b) < EVEN for a, b in zip(left, right, strict=True)
    )
    if not alike:
        x = panel.width + tier + draft.full(4.5)
        yield from upright_chain([(panel.width, z) for z in right], x, draft, aside=True)


def _marks(panel: MadePanel, draft: Draft) -> Iterator[Text]:
    """Yield the marks of pales in them, of rails and uprights beside the panel's right end."""
    height = draft.full(draft.text)
    rails, pales = panel.of(RAIL), panel.of(PALE)
    front = min(pale.low[1] for pale in pales)
    lap = max(0.0, pales[0].high[0] - pales[1].low[0]) if len(pales) > 1 else 0.0
    for pale in pales:
        pale_width = pale.high[0] - pale.low[0]
        covered = 2.0 * lap if pale.low[1] > front + EVEN else 0.0
        if pale_width - covered > 1.3 * height:
            middle = _clear_of_diagonals(panel, pale, draft.width(pale.mark), height)
            spot = (pale.middle[0] + height / 2.0, middle - draft.width(pale.mark) / 2.0)
            yield Text(pale.mark, spot, draft.text, "left", 90.0)
    x = panel.width + draft.full(1.5)
    taken: list[float] = []
    for piece in (*rails, *panel.of(PANEL_UPRIGHT)[-1:]):
        z = piece.middle[1]
        if piece.kind == RAIL:
            ends = [p[2] for p in panel.points(piece) if p[0] > piece.high[0] - 1.0]
            z = sum(ends) / len(ends)
        while any(abs(z - other) < 1.5 * height for other in taken):
            z += 1.5 * height
        taken.append(z)
        yield Text(piece.mark, (x, z - height / 2.0), draft.text)


def _clear_of_diagonals(panel: MadePanel, pale: PanelPiece, long: float, high: float) -> float:
    """Return the height of the middle of a pale's mark: under the lowest rail where it has room,
    else between the rails where it is farthest from the diagonals. long, high : of it, mm.
    """
    lowest = min(rail.low[2] for rail in panel.of(RAIL))
    if lowest - pale.low[2] > long + 0.5 * high:
        return (pale.low[2] + lowest) / 2.0
    (x0, a), (x1, c), (_, d), (_, b) = panel.framed
    share = (pale.middle[0] - x0) / (x1 - x0)
    lines = a + (d - a) * share, b + (c - b) * share
    low, top = a + (c - a) * share, b + (d - b) * share
    places = [low + (top - low) * part / 8.0 for part in range(2, 7)]
    return max(places, key=lambda z: round(min(abs(z - line) for line in lines), 3))


def jig_view(panel: MadePanel, draft: Draft) -> View:
    """Return the jig of a panel: a flat board with stops that its rails lie between and its pales
    stand against, and the spacer, seen from above with the panel's front up.
    """
    jig = Jig(panel)
    items: list[Item] = [
        Line.through(_rectangle(jig.board), layers.SYMBOLS, closed=True),
        *(
            _loop_line(loop)
            for piece in panel.of(RAIL, PANEL_UPRIGHT)
            for loop in [_of(panel, piece)]
        ),
        *(Line.through(_box(pale), layers.HIDDEN, closed=True) for pale in panel.of(PALE)),
    ]
    for block in (*jig.blocks, *jig.spacers):
        items += [Line.through(block, layers.POSTS, closed=True), Hatch(block, CUT_TIMBER)]
    items += _jig_sizes(panel, jig, draft)
    items += _named(panel, jig, draft)
    return titled(f"Panel {panel.mark}, jig from above", items, draft)


def _named(panel: MadePanel, jig: Jig, draft: Draft) -> Iterator[Text]:
    """Yield what stops are, where the board has room for words."""
    height = draft.full(draft.text)
    low = min(z for loop in jig.feet for _, z in loop)
    if low - jig.board[0][1] > 1.6 * height:
        words = "foot stop" if jig.one_foot_stop else "foot stops"
        spot = (panel.width / 2.0, (low + jig.board[0][1] - height) / 2.0)
        yield Text(words, spot, draft.text, "centre")
    right = max(x for loop in jig.ends for x, _ in loop)
    if jig.board[1][0] - right > 1.6 * height:
        x = (right + jig.board[1][0] + height) / 2.0
        middle = sum(z for _, z in jig.ends[-1]) / 4.0
        spot = (x, middle - draft.width("end stops") / 2.0)
        yield Text("end stops", spot, draft.text, "left", 90.0)


def _loop_line(loop: Loop) -> Line:
    return Line.through(loop, layers.RAILS, closed=True)


def _of(panel: MadePanel, piece: PanelPiece) -> Loop:
    """Return a rail or an upright as it is seen from its front."""
    points = panel.points(piece)
    sides = []
    for edge in (piece.low[0], piece.high[0]):
        zs = [z for x, _, z in points if abs(x - edge) < 1.0]
        sides.append((edge, min(zs), max(zs)))
    (x0, a, b), (x1, c, d) = sides
    return (x0, a), (x1, c), (x1, d), (x0, b)


def _box(piece: PanelPiece) -> Loop:
    return _rectangle(((piece.low[0], piece.low[2]), (piece.high[0], piece.high[2])))


def _rectangle(corners: tuple[Point, Point]) -> Loop:
    (x0, z0), (x1, z1) = corners
    return (x0, z0), (x1, z0), (x1, z1), (x0, z1)


def _jig_sizes(panel: MadePanel, jig: Jig, draft: Draft) -> Iterator[Item]:
    """Yield where the stops stand: between end stops, over the foot stop, and the spacer."""
    tier = draft.full(draft.style.first_tier)
    (x0, z0), (x1, z1) = jig.board
    left, right = _sides(panel)
    yield from level_chain([(x, z1) for x in (left, right)], z1 + tier, draft)
    stops = _apart([x for block in jig.under for x in (block[0][0], block[1][0])])
    xs = _apart([left, *stops, right])
    yield from level_chain([(x, z0) for x in xs], z0 - tier, draft)
    heights = _apart([0.0, *_ends_of(panel, right=False)])
    yield from upright_chain([(x0, z) for z in heights], x0 - tier, draft)
    other = _apart([0.0, *_ends_of(panel, right=True)])
    alike = len(other) == len(heights) and all(
        abs(a - b) < EVEN for a, b in zip(heights, other, strict=True)
    )
    if not alike:
        yield from upright_chain([(x1, z) for z in other], x1 + tier, draft, aside=True)


def _up(length: float, draft: Draft) -> str:
    """Return the size of a board, rounded up to what is easily measured."""
    step = 152.4 if draft.figures.units is Units.FEET else 50.0
    return draft.figure(math.ceil(length / step - 1e-9) * step)


def jig_notes(panel: MadePanel, draft: Draft) -> list[str]:
    """Return how a panel is made on its jig, step by step."""
    figure = draft.figure
    jig = Jig(panel)
    (x0, z0), (x1, z1) = jig.board
    rail = panel.of(RAIL)[0].member.size[1]
    pale = panel.of(PALE)[0].member.size[1]
    framed = bool(panel.of(PANEL_UPRIGHT))
    notes = [
        f"Board {_up(x1 - x0, draft)} x {_up(z1 - z0, draft)} or larger, flat. Heights are "
        "measured from the foot stop, lengths from the end stops at the left.",
        "Screw down what is hatched: rail stops under and over each rail, end stops and the foot "
        f"stop. Stops at rails no thicker than {figure(rail)}, so that pales pass over them; the "
        f"foot stop over {figure(rail)}, best {figure(rail + pale)}.",
        f"Lay the rails{' and the uprights' if framed else ''} between the stops, front up"
        f"{', and screw the uprights to the rails' if framed else ''}; prove the diagonals of "
        f"{'the frame' if framed else 'the rails, underside of the lowest to top of the highest'}: "
        f"{diagonal_words(panel, figure)}.",
    ]
    if panel.of(BOLT):
        notes.append(
            "Bore for the bolts. Those whose heads pales will cover go in first, let in flush."
        )
    notes.append(f"{jig.spacing_words(figure)} Nail or screw each pale at every rail.")
    notes.append("Prove the diagonals again before it is lifted; carry it upright, by its rails.")
    return notes
