"""Taped measurements as marks of a sketch."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Mapping, Sequence

from palewright.model.basis.text import plain
from palewright.model.geometry.frames import Point

from .measurements import Along, Angle, Bearing, Distance, Offset, Rise, names_of
from .sketch_marks import Doubt, MarkKind, SketchMark
from .tape_reader import Taken

TURNED = re.compile(r"\b(left|right|straight)\b", re.IGNORECASE)
"""Of an angle that was told as a turn."""

Spots = Mapping[str, Point]


def tape_marks(
    taken: Sequence[Taken],
    spots: Spots,
    built: Collection[frozenset[str]],
    doubts: Mapping[int, Doubt],
) -> Iterator[SketchMark]:
    """Yield the measurements of points that have a place.

    spots : places of points, mm; built : pairs of points that a line of a fence joins; doubts :
    of measurements that may be wrong, by their numbers.
    """
    for number, one in enumerate(taken):
        wrong, said = doubts.get(number, ""), one.said
        p = [plain(name)[:20] for name in names_of(one.measurement)]
        kind: MarkKind
        match one.measurement:
            case Distance(a, b):
                kind = "length" if frozenset((a, b)) in built else "tie"
                yield SketchMark(kind, (spots[a], spots[b]), said, f"{p[0]} to {p[1]}", wrong)
            case Offset(point, a, b):
                foot = _foot(spots[point], spots[a], spots[b])
                name = f"{p[0]} off {p[1]} {p[2]}"
                yield SketchMark(
                    "offset", (foot, spots[point], spots[a], spots[b]), said, name, wrong
                )
            case Along(point, a, b):
                foot = _foot(spots[point], spots[a], spots[b])
                name = f"{p[0]} along {p[1]} {p[2]}"
                yield SketchMark("chainage", (spots[a], foot), f"{p[1]} + {said}", name, wrong)
            case Angle(at, back, fore):
                name = f"angle at {p[0]}, {p[1]} to {p[2]}"
                kind = "turn" if TURNED.search(said) else "angle"
                yield SketchMark(kind, (spots[at], spots[back], spots[fore]), said, name, wrong)
            case Bearing(a, b):
                name = f"bearing {p[0]} to {p[1]}"
                yield SketchMark("bearing", (spots[a], spots[b]), said, name, wrong)
            case Rise(a, b) if a in spots and b in spots:
                name = f"{p[0]} to {p[1]}"
                rise = f"{p[1]} over {p[0]}: {said}"
                yield SketchMark("fall", (spots[a], spots[b]), rise, name, wrong)
            case _:
                continue


def _foot(point: Point, a: Point, b: Point) -> Point:
    """Return where a point stands square over the line from a to b."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    share = ((point[0] - a[0]) * dx + (point[1] - a[1]) * dy) / (dx * dx + dy * dy)
    return a[0] + share * dx, a[1] + share * dy
