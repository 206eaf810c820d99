"""Views drawn at the largest scale, and tables cut so, that they need no further sheet."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

from palewright.export.drawing.draft.paper import bounds
from palewright.export.drawing.draft.scales import Scale
from palewright.export.drawing.draft.view import View
from palewright.export.drawing.sheets.packing import Packed
from palewright.export.drawing.sheets.recorded import Recorded

MOST_USED = 0.85
"""Share of its sheets that a set may use so that a larger scale is tried."""

MOST_VIEWS = 40
"""Of more views of one kin than this none is redrawn: a long job has many gates."""

Packer = Callable[[Sequence[View]], Packed]


def enlarged(
    views: Sequence[View],
    pack: Packer,
    scales: Sequence[Scale],
    recorded: Recorded,
    cuts: Sequence[tuple[int, float]],
) -> Packed:
    """Return views packed with each kin of them as large as takes no further sheet, and leaves no
    sheet emptier than it may be.

    scales : the usual ones, the largest first; cuts : the most rows of tables, and their widths
    (mm), that are tried where sheets are nearly empty.
    """
    now = list(views)
    best = pack(now)
    for kin in _kins(views):
        if sum(_of(kin, one) for one in views) > MOST_VIEWS:
            continue
        for scale in _larger(kin, now, scales):
            room = MOST_USED * len(best.sheets) - best.used
            if _growth(kin, now, scale, recorded) > room * best.room:
                break
            then = [one.at_scale(scale) if _of(kin, one) else one for one in now]
            packed = pack(then)
            if packed.misfits or packed.worth[:2] > best.worth[:2]:
                break
            now, best = then, packed
    return _recut(now, best, pack, cuts) if best.weak else best


def _recut(
    views: Sequence[View], best: Packed, pack: Packer, cuts: Sequence[tuple[int, float]]
) -> Packed:
    """Return views packed with tables in other pieces, so that fewer sheets are nearly empty."""
    now = list(views)
    for table in {id(one.recut): one.recut for one in views if one.recut is not None}.values():
        for most, width in cuts:
            first = next(n for n, one in enumerate(now) if one.recut is table)
            pieces = [
                replace(piece, group=now[first].group, recut=table) for piece in table(most, width)
            ]
            then = [one for one in now if one.recut is not table]
            then[first:first] = pieces
            packed = pack(then)
            fewer = not packed.misfits and packed.worth[:2] < best.worth[:2]
            if fewer and not _stacked(packed, pieces):
                now, best = then, packed
        if not best.weak:
            break
    return best


def _stacked(packed: Packed, pieces: Sequence[View]) -> bool:
    """Tell whether a sheet has two pieces one under the other, as one they would have been less."""
    names = {piece.kind for piece in pieces}
    for sheet in packed.sheets:
        lefts = [round(one.at[0], 3) for one in sheet if one.view.row and one.view.kind in names]
        if len(set(lefts)) < len(lefts):
            return True
    return False


def _kins(views: Sequence[View]) -> list[str]:
    """Return the kins, those that are drawn smallest first."""
    found = {one.redrawing.kin: one.scale for one in views if one.redrawing is not None}
    return sorted(found, key=lambda kin: -found[kin])


def _of(kin: str, view: View) -> bool:
    return view.redrawing is not None and view.redrawing.kin == kin


def _larger(kin: str, views: Sequence[View], scales: Sequence[Scale]) -> Iterator[Scale]:
    """Yield the scales that are larger than that of a kin and of use, the smallest first."""
    one = next(view for view in views if _of(kin, view))
    assert one.redrawing is not None
    largest = one.redrawing.largest * 0.96
    yield from (scale for scale in reversed(scales) if largest <= scale.n < one.scale)


def _growth(kin: str, views: Sequence[View], scale: Scale, recorded: Recorded) -> float:
    """Return at least how much more paper a kin takes at a scale, mm2: words do not grow."""
    more = 0.0
    for view in views:
        if _of(kin, view):
            x0, y0, x1, y1 = bounds(recorded.of(view))
            wide, high, share = x1 - x0, y1 - y0, LEAST_DRAWN * (view.scale / scale.n - 1.0)
            more += wide * high * ((1.0 + share) ** 2 - 1.0)
    return more


LEAST_DRAWN = 0.4
"""Share of a view's width and height that grows with its scale; the rest is lettering."""
