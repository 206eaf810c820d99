"""A site measured by tape and level, as a small TOML file, made points by least squares."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from palewright.model.basis.source_files import SourceFileError, toml_tables
from palewright.model.basis.text import plain
from palewright.model.site.path import Node

from .adjustment import Adjusted, adjusted
from .level_lines import lines_of, reduced
from .measurements import AdjustmentError, Bearing, Coordinate, Reading, names_of
from .points_and_lines import Survey, SurveyError, SurveyLine, SurveyPoint
from .sketch_marks import Doubt, Sketch
from .staff import staff_readings, staff_taken
from .tape_notes import adjustment_notes, book_notes
from .tape_places import placed
from .tape_reader import (
    KEYS,
    MOST_MEASURED,
    MOST_PLACES,
    Taken,
    TapeFile,
    known_points,
    plan_taken,
    rises_taken,
)
from .tape_sketch import tape_marks
from .tape_traverses import traversed


def read_tape(text: str, file: str) -> Survey:
    """Return the points that a file of taped measurements fixes, and its lines.

    What is left of each measurement, and the one that is probably wrong, stand in the notes.

    Raises
    ------
    SurveyError
        When something is no measurement, or the measurements do not fix a point.
    """
    try:
        told = toml_tables(text)
    except SourceFileError as error:
        place = f":{error.line}" if error.line else ""
        raise SurveyError(f"{file}{place}: {error}") from None
    source = TapeFile(told, file)
    for key in told:
        if key not in KEYS:
            raise source.wrong(key, f"is not known; allowed: {', '.join(KEYS)}")
    try:
        return _survey(source)
    except AdjustmentError as error:
        raise SurveyError(f"{file}: {error}") from None


def _survey(source: TapeFile) -> Survey:
    known, known_levels = known_points(source)
    by_bearing = "bearings" in source.told or "traverse" in source.told
    if len(known) < (1 if by_bearing else 2):
        more = "a point" if by_bearing else "two points"
        raise source.wrong("known", f"needs {more} or more, as A = [0, 0]")
    given = list(plan_taken(source))
    traverses = traversed(source, known)
    plan = [*given, *traverses.pooled]
    rises = list(rises_taken(source))
    readings = staff_readings(source)
    if len(plan) + len(traverses.shared) + len(rises) + len(readings) > MOST_MEASURED:
        raise source.wrong("lengths", f"has more than {MOST_MEASURED} measurements")
    places = placed(source, [one.measurement for one in plan], traverses.places)
    start: dict[Coordinate, float] = {}
    for name, at in places.items():
        start[name, "x"], start[name, "y"] = at.real, at.imag
    fixed = [(name, axis) for name in traverses.places for axis in "xy"]
    flat = adjusted([one.measurement for one in plan], start, fixed) if plan else None
    found = flat.places if flat is not None else start
    staff = staff_taken(source, readings)
    levels = _levels(source, known_levels, rises, staff)
    points = tuple(
        SurveyPoint(name, found[name, "x"], found[name, "y"], levels.of.get(name),
                    "known" if name in known else "taped")
        for name in places
    )  # fmt: skip
    book = tuple(reduced(line, known_levels, levels.of) for line in lines_of(readings))
    notes = [
        *traverses.notes,
        *(adjustment_notes(flat, "lengths", source.sigma("lengths")) if flat else ()),
        *levels.notes,
        *book_notes(book),
        *_unplaced(levels.of, places),
    ]
    lines = tuple(_lines(source, points))
    taken = [*plan, *rises, *staff, *traverses.shared]
    doubts = {**_doubts(flat, 0), **_doubts(levels.rises, len(plan))}
    spots = {point.number: (point.x, point.y) for point in points}
    marks = tape_marks(taken, spots, _built(source), doubts)
    north = any(isinstance(one.measurement, Bearing) for one in taken)
    up = "no bearing was measured: up is as the known points were given"
    sketch = Sketch(tuple(marks), north, up, book)
    return Survey(source.file, "tape", points, lines, "", tuple(notes), sketch)


def _doubts(found: Adjusted | None, before: int) -> dict[int, Doubt]:
    """Return what is to be said of measurements that may be wrong, by their numbers."""
    if found is None:
        return {}
    wrong = [id(one) for one in found.suspects]
    doubt: Doubt = "probably wrong" if len(wrong) == 1 else "perhaps wrong"
    return {before + n: doubt for n, one in enumerate(found.left) if id(one) in wrong}


def _unplaced(levels: Mapping[str, float], places: Mapping[str, complex]) -> Iterator[str]:
    """Yield the levels of points that have no place."""
    loose = [
        f"{plain(name)[:20]} {level / 1000.0:.3f}"
        for name, level in levels.items()
        if name not in places
    ]
    if loose:
        more = f" and {len(loose) - 20} more" if len(loose) > 20 else ""
        yield f"levels of points whose place was not measured, m: {', '.join(loose[:20])}{more}"


@dataclass(frozen=True)
class _Levels:
    """Levels of points, mm, notes on them, and the adjusted rises and readings."""

    of: dict[str, float]
    notes: tuple[str, ...] = ()
    rises: Adjusted | None = None


def _levels(
    source: TapeFile, known: Mapping[str, float], rises: Sequence[Taken], staff: Sequence[Taken]
) -> _Levels:
    """Return the levels that rises and staff readings give."""
    measured = [one.measurement for one in (*rises, *staff)]
    names = dict.fromkeys(name for one in measured for name in names_of(one))
    if not names:
        return _Levels(dict(known))
    if len(names) > 2 * MOST_PLACES:
        raise source.wrong("staff", f"has more than {2 * MOST_PLACES} points")
    fixed: list[Coordinate] = [(name, "z") for name in names if name in known]
    notes = []
    if not fixed:
        first = next(iter(names))
        fixed = [(first, "z")]
        notes.append(f"levels count from {plain(first)}, which is taken as 0")
    start: dict[Coordinate, float] = {(name, "z"): known.get(name, 0.0) for name in names}
    start |= {(one.setup, "i"): 0.0 for one in measured if isinstance(one, Reading)}
    found = adjusted(measured, start, fixed)
    what, sigma = ("levels", "staff") if staff else ("rises", "rises")
    notes += adjustment_notes(found, what, source.sigma(sigma))
    levels = {**known, **{name: found.places[name, "z"] for name in names}}
    return _Levels(levels, tuple(notes), found)


def _built(source: TapeFile) -> set[frozenset[str]]:
    """Return the pairs of points that lines join."""
    return {
        frozenset(pair)
        for corners in source.table("lines").values()
        for pair in itertools.pairwise(corners)
    }


def _lines(source: TapeFile, points: tuple[SurveyPoint, ...]) -> Iterator[SurveyLine]:
    by_name = {point.number: point for point in points}
    for name, corners in source.table("lines").items():
        if not isinstance(corners, list) or len(corners) < 2:
            raise source.wrong(f"lines.{name}", 'is a list of points, as ["C", "D"]')
        for corner in corners:
            if not isinstance(corner, str) or corner not in by_name:
                there = ", ".join(by_name)
                raise source.wrong(f"lines.{name}", f"has no point '{plain(str(corner))[:20]}'; "
                                   f"there are: {there[:200]}")  # fmt: skip
        nodes = [Node((by_name[c].x, by_name[c].y), by_name[c].level) for c in corners]
        closed = len(nodes) > 3 and corners[0] == corners[-1]
        yield SurveyLine(name, name, f"{len(corners)} points",
                         tuple(nodes[:-1] if closed else nodes), closed)  # fmt: skip
