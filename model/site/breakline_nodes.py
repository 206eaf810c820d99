"""Breaklines cut at each other, at the levels on them, and into pieces not too long."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from palewright.model.basis.errors import PalewrightError
from palewright.model.geometry.frames import Point, Vector

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

SAME_SPOT = 1.0
"""Levels nearer together in plan are at one place; two that differ by more are told, mm."""

MOST_PIECES = 50_000
"""Most pieces that breaklines are cut into."""

MOST_MEETINGS = 200_000
"""Most pairs of pieces that may lie across each other."""


class GroundError(PalewrightError):
    """Levels and breaklines that no ground can be made of; the text says why."""


@dataclass(frozen=True)
class BreakLine:
    """A line along which the ground bends. name : in messages; points : (x, y, level), mm."""

    name: str
    points: tuple[Vector, ...]


@dataclass
class CornerBook:
    """CornerBook of a surface as they are found, one at each place: the first level counts.

    at : (x, y, level), mm; numbers : by place in whole mm; twice : places with another level,
    that level, and what it is of.
    """

    at: list[Vector] = field(default_factory=list)
    numbers: dict[tuple[int, int], int] = field(default_factory=dict)
    twice: list[tuple[Vector, float, str]] = field(default_factory=list)

    def add(self, point: Vector, what: str) -> int:
        """Return the number of a corner, a new one where there is none yet."""
        place = round(point[0] / SAME_SPOT), round(point[1] / SAME_SPOT)
        number = self.numbers.setdefault(place, len(self.at))
        if number == len(self.at):
            self.at.append(point)
        elif abs(self.at[number][2] - point[2]) > SAME_SPOT:
            self.twice.append((self.at[number], point[2], what))
        return number


Piece = tuple[int, int, int]
"""Numbers of two corners, and of the breakline."""


def pieces_of(breaks: tuple[BreakLine, ...], corners: CornerBook, longest: float) -> list[Piece]:
    """Return breaklines as pieces between corners, which are added to those that there are.

    Where breaklines cross, the level of the first of them counts, and where a corner is already on
    a breakline, that of the corner; others are kept in `corners.twice`. longest : of a piece, mm.

    Raises
    ------
    GroundError
        When there would be more pieces than are made.
    """
    whole: list[Piece] = []
    for number, line in enumerate(breaks):
        ends = [corners.add(point, line.name) for point in line.points]
        whole += [(a, b, number) for a, b in pairwise(ends) if a != b]
        if len(whole) > MOST_PIECES:
            raise GroundError(_too_many(len(whole)))
    if not whole:
        return []
    _add_crossings(whole, corners, breaks)
    cut: list[Piece] = []
    for piece, inner in zip(whole, _corners_on(whole, corners), strict=True):
        cut += _cut(piece, inner, corners, breaks[piece[2]].name)
    fine: list[Piece] = []
    total = 0
    for a, b, number in cut:
        count = math.ceil(math.dist(corners.at[a][:2], corners.at[b][:2]) / longest)
        total += count
        if total > MOST_PIECES:
            raise GroundError(_too_many(total))
        inside = [
            corners.add(_between(corners.at[a], corners.at[b], k / count), breaks[number].name)
            for k in range(1, count)
        ]
        fine += [(p, q, number) for p, q in pairwise([a, *inside, b]) if p != q]
    seen: dict[tuple[int, int], Piece] = {}
    for a, b, number in fine:
        seen.setdefault((min(a, b), max(a, b)), (a, b, number))
    return list(seen.values())


def _too_many(count: int) -> str:
    return f"breaklines would be cut into {count} pieces or more; at most {MOST_PIECES} are made"


def _between(a: Vector, b: Vector, t: float) -> Vector:
    return a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1]), a[2] + t * (b[2] - a[2])


def _segments(pieces: list[Piece], corners: CornerBook) -> Any:
    import shapely

    return shapely.linestrings([[corners.at[a][:2], corners.at[b][:2]] for a, b, _ in pieces])


def _add_crossings(pieces: list[Piece], corners: CornerBook, breaks: tuple[BreakLine, ...]) -> None:
    """Add a corner wherever two pieces cross between their ends."""
    import numpy as np
    import shapely

    segments = _segments(pieces, corners)
    pairs = shapely.STRtree(segments).query(segments, predicate="crosses")
    if pairs.shape[1] > MOST_MEETINGS:
        raise GroundError(f"breaklines cross each other {pairs.shape[1] // 2} times")
    first, second = pairs[:, pairs[0] < pairs[1]]
    for number in np.lexsort((second, first)):
        one, other = pieces[first[number]], pieces[second[number]]
        found = _crossing(one, other, corners)
        if found is not None:
            place, level = found
            corners.add(place, breaks[one[2]].name)
            corners.add((place[0], place[1], level), breaks[other[2]].name)


def _crossing(one: Piece, other: Piece, corners: CornerBook) -> tuple[Vector, float] | None:
    """Return where two pieces cross with the level of the first there, and that of the other."""
    (a, b), (c, d) = ((corners.at[p], corners.at[q]) for p, q, _ in (one, other))
    ux, uy, vx, vy = b[0] - a[0], b[1] - a[1], d[0] - c[0], d[1] - c[1]
    across = ux * vy - uy * vx
    if across == 0.0:
        return None
    t = ((c[0] - a[0]) * vy - (c[1] - a[1]) * vx) / across
    s = ((c[0] - a[0]) * uy - (c[1] - a[1]) * ux) / across
    if not (0.0 <= t <= 1.0 and 0.0 <= s <= 1.0):
        return None
    return _between(a, b, t), _between(c, d, s)[2]


def _corners_on(pieces: list[Piece], corners: CornerBook) -> list[list[int]]:
    """Return for each piece the corners that lie on it."""
    import numpy as np
    import shapely

    at: NDArray[np.float64] = np.array(corners.at)[:, :2]
    tree = shapely.STRtree(shapely.points(at))
    piece, corner = tree.query(
        _segments(pieces, corners), predicate="dwithin", distance=SAME_SPOT / 2.0
    )
    if len(piece) > 4 * MOST_MEETINGS:
        raise GroundError(f"breaklines run through {len(piece)} levels")
    found: list[list[int]] = [[] for _ in pieces]
    for number, inner in zip(piece.tolist(), corner.tolist(), strict=True):
        found[number].append(inner)
    return found


def _cut(piece: Piece, inner: list[int], corners: CornerBook, name: str) -> Iterator[Piece]:
    """Yield a piece cut at corners on it; those at another level are told."""
    a, b, number = piece
    start, end = corners.at[a], corners.at[b]
    ways = (end[0] - start[0], end[1] - start[1])
    long = math.hypot(*ways)
    places: list[tuple[float, int]] = []
    for corner in inner:
        x, y, level = corners.at[corner]
        t = ((x - start[0]) * ways[0] + (y - start[1]) * ways[1]) / long**2
        if corner in (a, b) or not 0.0 < t < 1.0:
            continue
        places.append((t, corner))
        own = start[2] + t * (end[2] - start[2])
        if abs(own - level) > SAME_SPOT:
            corners.twice.append((corners.at[corner], own, name))
    ends = [a, *(corner for _, corner in sorted(places)), b]
    for p, q in pairwise(ends):
        yield p, q, number


def told_twice(corners: CornerBook, origin: Point) -> list[str]:
    """Return in words where the ground has two levels in one place. origin : of the corners."""
    words: dict[tuple[int, int], str] = {}
    for (x, y, level), other, what in corners.twice:
        place = round(x), round(y)
        east, north = (x + origin[0]) / 1000.0, (y + origin[1]) / 1000.0
        words.setdefault(
            place,
            f"east {east:.3f}, north {north:.3f}: {level / 1000.0:.3f} counts, "
            f"{other / 1000.0:.3f} ({what}) does not",
        )
    return [words[place] for place in sorted(words)]
