"""Taped measurements as marks of a sketch."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence

from palewright.model.geometry.frames import Point

from .measurements import Along, Angle, Bearing, Distance, Offset, Rise
from .sketch_marks import SketchMark
from .tape_reader import Taken

Spots = Mapping[str, Point]


def tape_marks(
    taken: Sequence[Taken],
    spots: Spots,
    built: Collection[frozenset[str]],
    suspect: Collection[int],
) -> Iterator[SketchMark]:
    """Yield the measurements of points that have a place.

    spots : places of points, mm; built : pairs of points that a line of a fence joins; suspect :
    numbers of measurements that are probably wrong.
    """
    for number, one in enumerate(taken):
        wrong = number in suspect
        match one.measurement:
            case Distance(a, b):
                kind = "length" if frozenset((a, b)) in built else "tie"
                yield SketchMark(kind, (spots[a], spots[b]), one.said, wrong)
            case Offset(point, a, b):
                foot = _foot(spots[point], spots[a], spots[b])
                yield SketchMark("offset", (foot, spots[point]), one.said, wrong)
            case Along(point, a, b):
                foot = _foot(spots[point], spots[a], spots[b])
                yield SketchMark("chainage", (spots[a], foot), one.said, wrong)
            case Angle(at, back, fore):
                yield SketchMark("angle", (spots[at], spots[back], spots[fore]), one.said, wrong)
            case Bearing(a, b):
                yield SketchMark("bearing", (spots[a], spots[b]), one.said, wrong)
            case Rise(a, b) if a in spots and b in spots:
                yield SketchMark("fall", (spots[a], spots[b]), f"rise {one.said}", wrong)
            case _:
                continue


def _foot(point: Point, a: Point, b: Point) -> Point:
    """Return where a point stands square over the line from a to b."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    share = ((point[0] - a[0]) * dx + (point[1] - a[1]) * dy) / (dx * dx + dy * dy)
    return a[0] + share * dx, a[1] + share * dy
