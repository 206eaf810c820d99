"""Straights and arcs that run into one another without a bend, as near to shots as can be.

A chain starts and ends at shots and is known by its first heading and the length and curvature of
each piece, so that it has no bend whatever they are. They are found by least squares of the
distances of the shots (Gauss and Newton's way), with what has to hold at the ends as conditions.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from .curve_search import Array, ShotSpan, circles

MOST_ROUNDS = 30
MOST_PIECES = 16
"""Pieces that are found together."""

DAMPING = 1e-11
"""Share of the largest figure that keeps equations solvable where a ring leaves a figure free."""

SETTLED = 1e-10
"""Largest change of a length, m, after which a chain is found."""

LARGEST_KINK = 25.0
"""Bend between two pieces, degrees, from which they are not tried as one smooth line: where they
meet is only known to a shot, and an arc has turned by as much from there to the next.
"""

SAME_WAY = 1e-8
"""Headings nearer together than this are one, radians."""

SHORTEST = 0.05
"""Pieces shorter than this are none, m."""


@dataclass(frozen=True)
class SmoothPiece:
    """A piece of a chain. start : (x, y), m; heading : radians; length : m; bend : curvature, 1/m,
    anticlockwise positive, 0 for a straight.
    """

    start: tuple[float, float]
    heading: float
    length: float
    bend: float

    @property
    def end(self) -> tuple[float, float, float]:
        """Where it ends, and the heading there."""
        after = self.heading + self.bend * self.length
        if self.bend == 0.0:
            dx, dy = self.length * math.cos(after), self.length * math.sin(after)
        else:
            dx = (math.sin(after) - math.sin(self.heading)) / self.bend
            dy = (math.cos(self.heading) - math.cos(after)) / self.bend
        return self.start[0] + dx, self.start[1] + dy, after


def chained(
    shots: Array, parts: tuple[ShotSpan, ...], tolerance: float, *, round_: bool
) -> list[tuple[ShotSpan, tuple[SmoothPiece, ...]]]:
    """Return pieces for parts of a line, smooth from one to the next where the shots allow it.

    Parameters
    ----------
    shots : (n, 2) float, m
        Near the origin.
    parts : tuple of ShotSpan
        As `shot_spans` finds them, from the first shot to the last.
    tolerance : float, m
        Farthest that a shot may lie off.
    round_ : bool
        Whether the line comes back to its start, and runs on smoothly there.

    Returns
    -------
    list of (ShotSpan, pieces)
        From shot to shot, where the line may bend; no pieces where none come near enough.
    """
    result: list[tuple[ShotSpan, tuple[SmoothPiece, ...]]] = []
    for group in _smooth_parts(shots, parts):
        held = None
        for chain in _short_enough(group):
            ring = round_ and len(chain) == len(parts)
            found = _tried(shots, chain, tolerance, _Ends(ring, held))
            if held is not None and found[0][1] and _runs_on(found[0][1][0], held):
                found[0] = _one(result.pop(), found[0])
            held = found[-1][1][-1].end[2] if found[-1][1] else None
            result.extend(found)
    return _bridged(result)


@dataclass(frozen=True)
class _Ends:
    """What holds at the ends of a chain: whether it is a smooth ring; its first heading, radians,
    where the one before it runs on.
    """

    ring: bool = False
    heading: float | None = None


def _smooth_parts(shots: Array, parts: tuple[ShotSpan, ...]) -> list[tuple[ShotSpan, ...]]:
    """Return parts grouped where they may run into one another smoothly."""
    groups = [[parts[0]]]
    for one, other in pairwise(parts):
        smooth = (one.arc or other.arc) and abs(_kink(shots, one, other)) < LARGEST_KINK
        if smooth:
            groups[-1].append(other)
        else:
            groups.append([other])
    return [tuple(group) for group in groups]


def _short_enough(group: tuple[ShotSpan, ...]) -> list[tuple[ShotSpan, ...]]:
    """Return a group in chains that are quickly found, cut at a shot within a piece."""
    result = []
    while len(group) > MOST_PIECES:
        long = [n for n in range(MOST_PIECES // 2, MOST_PIECES)
                if group[n].last - group[n].first >= 2]  # fmt: skip
        if not long:
            break
        number = max(long, key=lambda n: (not group[n].arc, n))
        piece = group[number]
        middle = (piece.first + piece.last) // 2
        result.append((*group[:number], ShotSpan(piece.first, middle, piece.arc)))
        group = (ShotSpan(middle, piece.last, piece.arc), *group[number + 1 :])
    return [*result, group]


def _runs_on(piece: SmoothPiece, heading: float) -> bool:
    return abs(piece.heading - heading) < SAME_WAY


def _one(
    before: tuple[ShotSpan, tuple[SmoothPiece, ...]],
    after: tuple[ShotSpan, tuple[SmoothPiece, ...]],
) -> tuple[ShotSpan, tuple[SmoothPiece, ...]]:
    """Return a chain and the one that runs on from it as one, a straight cut there as one again."""
    whole = ShotSpan(before[0].first, after[0].last, before[0].arc or after[0].arc)
    one, other = before[1][-1], after[1][0]
    if one.bend or other.bend:
        return whole, (*before[1], *after[1])
    piece = replace(one, length=one.length + other.length)
    return whole, (*before[1][:-1], piece, *after[1][1:])


def _bridged(
    found: list[tuple[ShotSpan, tuple[SmoothPiece, ...]]],
) -> list[tuple[ShotSpan, tuple[SmoothPiece, ...]]]:
    """Return chains with straights between those that share no shot."""
    result = found[:1]
    for other in found[1:]:
        last = result[-1][0].last
        if last < other[0].first:
            result.append((ShotSpan(last, other[0].first, False), ()))
        result.append(other)
    return result


def _tried(
    shots: Array, chain: tuple[ShotSpan, ...], tolerance: float, ends: _Ends
) -> list[tuple[ShotSpan, tuple[SmoothPiece, ...]]]:
    """Return a chain, cut where it bends most as often as its shots want it."""
    waiting, result = [(chain, ends)], []
    while waiting:
        now, held = waiting.pop()
        whole = ShotSpan(now[0].first, now[-1].last, any(part.arc for part in now))
        pieces = _fitted(shots, now, held)
        if pieces is not None and _off(shots, now, pieces) <= tolerance:
            result.append((whole, pieces))
        elif held != _Ends():
            waiting.append((now, _Ends()))
        elif len(now) == 1:
            result.append((whole, ()))
        else:
            kinks = [abs(_kink(shots, a, b)) for a, b in pairwise(now)]
            cut = kinks.index(max(kinks)) + 1
            waiting += [(now[cut:], _Ends()), (now[:cut], _Ends())]
    return result


def _heading(shots: Array, part: ShotSpan, *, at_end: bool) -> float:
    """Return the way a part runs at its first or its last shot, radians."""
    own = shots[part.first : part.last + 1]
    if not part.arc:
        dx, dy = own[-1] - own[0]
        return math.atan2(dy, dx)
    centre, bend = _circle(own)
    x, y = (own[-1] if at_end else own[0]) - centre
    return math.atan2(x, -y) if bend > 0.0 else math.atan2(-x, y)


def _kink(shots: Array, one: ShotSpan, other: ShotSpan) -> float:
    """Return the bend between two parts, degrees."""
    turn = _heading(shots, other, at_end=False) - _heading(shots, one, at_end=True)
    return math.degrees((turn + math.pi) % math.tau - math.pi)


def _circle(own: Array) -> tuple[Array, float]:
    """Return the centre of an arc's shots, and its curvature."""
    centres, radii = circles(own)
    steps = np.diff(own, axis=0)
    turns = steps[:-1, 0] * steps[1:, 1] - steps[:-1, 1] * steps[1:, 0]
    return centres[-1], math.copysign(1.0 / float(radii[-1]), float(turns.sum()))


def _first_guess(shots: Array, chain: tuple[ShotSpan, ...]) -> tuple[SmoothPiece, ...]:
    pieces = []
    for part in chain:
        own = shots[part.first : part.last + 1]
        bend = _circle(own)[1] if part.arc else 0.0
        steps = np.hypot(*np.diff(own, axis=0).T)
        if part.arc:  # arcs on chords
            steps = 2.0 / abs(bend) * np.arcsin(np.minimum(steps * abs(bend) / 2.0, 1.0))
            length = float(steps.sum())
        else:
            length = math.dist(own[0], own[-1])
        pieces.append(SmoothPiece((0.0, 0.0), 0.0, length, bend))
    start = (float(shots[chain[0].first, 0]), float(shots[chain[0].first, 1]))
    return _strung(start, _heading(shots, chain[0], at_end=False), pieces)


def _strung(
    start: tuple[float, float], heading: float, pieces: list[SmoothPiece]
) -> tuple[SmoothPiece, ...]:
    """Return pieces put end to end."""
    result = []
    for piece in pieces:
        result.append(replace(piece, start=start, heading=heading))
        *at, heading = result[-1].end
        start = at[0], at[1]
    return tuple(result)


def _fitted(
    shots: Array, chain: tuple[ShotSpan, ...], ends: _Ends
) -> tuple[SmoothPiece, ...] | None:
    """Return the chain that is nearest to its shots, or None where none is found."""
    pieces = _first_guess(shots, chain)
    first, last = chain[0].first, chain[-1].last
    goal = (float(shots[last, 0]), float(shots[last, 1]))
    turn = None
    if ends.ring:
        turn = math.tau * round(sum(p.bend * p.length for p in pieces) / math.tau)
    if ends.heading is not None:
        pieces = _strung(pieces[0].start, ends.heading, list(pieces))
    owners = np.zeros(last - first + 1, np.int64)
    for number, part in enumerate(chain):
        owners[part.first - first : part.last - first + 1] = number
    owners, inner = owners[1:-1], shots[first + 1 : last]
    for count in range(MOST_ROUNDS):
        if count > 3:
            owners = _nearest(inner, owners, pieces)
        off, slope = _equations(inner, owners, pieces, goal, (turn, ends.heading))
        step = _step(off, slope)
        moved = _moved(pieces, step) if step is not None else None
        if step is None or moved is None:
            return None
        pieces = moved
        if count > 4 and float(np.abs(step).max()) < SETTLED:
            break
    x, y, _ = pieces[-1].end
    if math.dist((x, y), goal) > 1e-6 or any(piece.length < SHORTEST for piece in pieces):
        return None
    return pieces


def _moved(pieces: tuple[SmoothPiece, ...], step: Array) -> tuple[SmoothPiece, ...] | None:
    """Return a chain changed by a step, no length by more than a half; None where it breaks."""
    if not np.isfinite(step).all():
        return None
    share, place = 1.0, 1
    for piece in pieces:
        for value in (piece.length, piece.bend)[: 2 if piece.bend else 1]:
            if abs(step[place]) > 0.5 * abs(value):
                share = min(share, 0.5 * abs(value) / abs(float(step[place])))
            place += 1
    if abs(step[0]) > 0.5:
        share = min(share, 0.5 / abs(float(step[0])))
    place, changed = 1, []
    for piece in pieces:
        length, bend = piece.length + share * float(step[place]), piece.bend
        if bend:
            bend += share * float(step[place + 1])
        place += 2 if piece.bend else 1
        changed.append(replace(piece, length=length, bend=bend))
    return _strung(pieces[0].start, pieces[0].heading + share * float(step[0]), changed)


def _equations(
    inner: Array, owners: NDArray[np.int64], pieces: tuple[SmoothPiece, ...],
    goal: tuple[float, float], held: tuple[float | None, float | None],
) -> tuple[Array, Array]:  # fmt: skip
    """Return how far shots and ends are off, and how that changes with the chain's figures.

    The figures: first heading, then the length of each piece and the curvature of each arc.
    held : turn of the whole and first heading, radians, where they have to hold.
    """
    unknown = 1 + sum(2 if piece.bend else 1 for piece in pieces)
    # the last four rows have to hold: end east, end north, turn, first heading
    off, slope = np.zeros(len(inner) + 4), np.zeros((len(inner) + 4, unknown))
    state = np.zeros((3, unknown))  # of the start of a piece: x, y, heading
    state[2, 0] = 1.0
    place = 1
    for number, piece in enumerate(pieces):
        (rows,) = np.nonzero(owners == number)
        off[rows], local = _distances(inner[rows], piece)
        slope[rows] = local[:, :3] @ state
        if piece.bend:
            slope[rows, place + 1] += local[:, 3]
        state = _after(state, piece, place)
        place += 2 if piece.bend else 1
    x, y, heading = pieces[-1].end
    off[-4], off[-3] = x - goal[0], y - goal[1]
    slope[-4], slope[-3] = state[0], state[1]
    turn, first = held
    if turn is not None:
        off[-2] = heading - pieces[0].heading - turn
        slope[-2] = state[2]
        slope[-2, 0] -= 1.0
    if first is not None:
        off[-1] = pieces[0].heading - first
        slope[-1, 0] = 1.0
    return off, slope


def _step(off: Array, slope: Array) -> Array | None:
    """Return the change of the figures that makes squares least and the last four rows hold."""
    rows, held = slope[:-4], slope[-4:]
    unknown = slope.shape[1]
    matrix = np.zeros((unknown + 4, unknown + 4))
    matrix[:unknown, :unknown] = rows.T @ rows
    largest = float(np.abs(matrix).max()) or 1.0
    matrix[:unknown, :unknown] += np.eye(unknown) * DAMPING * largest
    matrix[:unknown, unknown:], matrix[unknown:, :unknown] = held.T, held
    matrix[unknown:, unknown:] = -np.eye(4) * DAMPING / largest
    right = -np.concatenate([rows.T @ off[:-4], off[-4:]])
    try:
        return np.asarray(np.linalg.solve(matrix, right)[:unknown])
    except np.linalg.LinAlgError:
        return None


def _after(state: Array, piece: SmoothPiece, place: int) -> Array:
    """Return how the end of a piece changes with the figures, from how its start does."""
    x, y, after = piece.end
    dx, dy = x - piece.start[0], y - piece.start[1]
    result = state.copy()
    result[0] -= dy * state[2]
    result[1] += dx * state[2]
    result[0, place] += math.cos(after)
    result[1, place] += math.sin(after)
    if piece.bend:
        result[2, place] += piece.bend
        result[0, place + 1] += (piece.length * math.cos(after) - dx) / piece.bend
        result[1, place + 1] += (piece.length * math.sin(after) - dy) / piece.bend
        result[2, place + 1] += piece.length
    return result


def _distances(own: Array, piece: SmoothPiece) -> tuple[Array, Array]:
    """Return how far shots lie to the left of a piece, and how that changes with its start (x, y),
    its heading and its curvature.
    """
    sin, cos = math.sin(piece.heading), math.cos(piece.heading)
    rel = own - np.array(piece.start)
    change = np.zeros((len(own), 4))
    if not piece.bend:
        change[:, 0], change[:, 1] = sin, -cos
        change[:, 2] = -(cos * rel[:, 0] + sin * rel[:, 1])
        return cos * rel[:, 1] - sin * rel[:, 0], change
    bend, sign = piece.bend, math.copysign(1.0, piece.bend)
    from_centre = rel - np.array([-sin / bend, cos / bend])
    far = np.maximum(np.hypot(*from_centre.T), 1e-12)
    unit = from_centre / far[:, None]
    change[:, :2] = sign * unit
    change[:, 2] = sign * (unit @ np.array([-cos / bend, -sin / bend]))
    change[:, 3] = -1.0 / bend**2 + sign * (unit @ np.array([sin, -cos])) / bend**2
    return 1.0 / bend - sign * far, change


def _reach(own: Array, piece: SmoothPiece) -> Array:
    """Return how far shots are from a piece, its ends included."""
    x, y, _ = piece.end
    ends = np.minimum(np.hypot(*(own - np.array(piece.start)).T), np.hypot(*(own - (x, y)).T))
    rel = own - np.array(piece.start)
    sin, cos = math.sin(piece.heading), math.cos(piece.heading)
    if not piece.bend:
        along = (cos * rel[:, 0] + sin * rel[:, 1]) / piece.length
    else:
        centre = np.array([-sin, cos]) / piece.bend
        at = np.arctan2(*(rel - centre).T[::-1]) - math.atan2(-centre[1], -centre[0])
        sweep = piece.bend * piece.length
        along = (at * math.copysign(1.0, sweep) % math.tau) / abs(sweep)
    beside = (along >= 0.0) & (along <= 1.0)
    return np.where(beside, np.abs(_distances(own, piece)[0]), ends)


def _nearest(
    inner: Array, owners: NDArray[np.int64], pieces: tuple[SmoothPiece, ...]
) -> NDArray[np.int64]:
    """Return which piece each shot is nearest to, of that it had and its neighbours."""
    best = np.full(len(inner), np.inf)
    result = owners.copy()
    for number, piece in enumerate(pieces):
        (rows,) = np.nonzero(np.abs(owners - number) <= 1)
        off = _reach(inner[rows], piece)
        nearer = off < best[rows]
        best[rows[nearer]] = off[nearer]
        result[rows[nearer]] = number
    return result


def _off(shots: Array, chain: tuple[ShotSpan, ...], pieces: tuple[SmoothPiece, ...]) -> float:
    """Return how far the farthest of the shots is off a chain, m."""
    inner = shots[chain[0].first : chain[-1].last + 1]
    return float(np.min([_reach(inner, piece) for piece in pieces], axis=0).max())
