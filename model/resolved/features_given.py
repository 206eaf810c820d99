"""Things on the site as the spec and the survey have them."""

from __future__ import annotations

from collections.abc import Iterator

from palewright.model.basis.errors import Problem
from palewright.model.geometry.frames import Point, Vector
from palewright.model.site.features import Feature
from palewright.model.spec.site_keys import FeatureSpec
from palewright.model.spec.spec_tables import SpecTables
from palewright.model.survey.extents import outline
from palewright.model.survey.points_and_lines import Survey

MOST_SIDES = 50_000
"""Most corners of all features together."""

AREAS = ("house", "manhole")
"""Kinds whose line closes round an area, where it has corners enough."""


def features_of(
    spec: SpecTables, survey: Survey | None, origin: Vector
) -> tuple[tuple[Feature, ...], list[Problem]]:
    """Return the things on the site about the origin, and what is wrong with them."""
    features: list[Feature] = []
    problems: list[Problem] = []
    corners = 0
    for place, told in enumerate(spec.feature):
        problem = _problem(told, survey)
        if problem:
            problems.append(Problem(("feature", place, problem[0]), problem[1]))
            continue
        for points, closed, name, level in _shapes(told, survey):
            corners += len(points)
            if corners > MOST_SIDES:
                text = f"the features have more than {MOST_SIDES} corners together"
                return tuple(features), [*problems, Problem(("feature", place), text)]
            features.append(
                Feature(
                    told.kind,
                    name,
                    tuple((x - origin[0], y - origin[1]) for x, y in points),
                    closed and len(points) > 2,
                    told.width,
                    told.clear,
                    told.height,
                    None if level is None else level - origin[2],
                    told.goes,
                    place,
                    told.land,
                )
            )
    return tuple(features), problems


def _problem(told: FeatureSpec, survey: Survey | None) -> tuple[str, str] | None:
    """Return the key that is wrong and why."""
    if told.points and told.survey:
        return "survey", "a feature has points or a code of the survey, not both"
    if not told.points and not told.survey:
        return "points", "a feature needs points, or the code of points or lines of the survey"
    if told.survey:
        if survey is None:
            return "survey", "there is no [survey] to take it from"
        if not list(_shapes(told, survey)):
            return "survey", f"the survey has no points or lines of the code '{told.survey}'"
    if told.level is not None and told.kind != "benchmark":
        return "level", "is of a benchmark alone"
    if told.land and told.kind != "boundary":
        return "land", "is of a boundary alone"
    if told.land and told.points and not (told.closed and len(told.points) > 2):
        return "land", "the edge of land goes all round it: give closed = true and its corners"
    if told.closed and told.points and len(told.points) < 3:
        return "points", "an area needs three points or more"
    return None


def _shapes(
    told: FeatureSpec, survey: Survey | None
) -> Iterator[tuple[tuple[Point, ...], bool, str, float | None]]:
    """Yield the points of each thing, whether they close, its name and its level."""
    closes = told.closed or told.kind in AREAS
    if told.points:
        yield told.points, closes, told.name, told.level
        return
    if survey is None:
        return
    wanted = told.survey.casefold()
    lines = [
        line
        for line in survey.lines
        if not line.joined and wanted in (line.group.casefold(), line.name.casefold())
    ]
    for line in lines:
        ends = outline(line)
        ring = line.closed or closes
        yield (ends[:-1] if ring and ends[0] == ends[-1] else ends), ring, told.name, told.level
    if not lines:
        for point in survey.points:
            if point.code.casefold() == wanted:
                level = point.level if told.kind == "benchmark" else told.level
                name = told.name or (point.number if told.kind == "benchmark" else "")
                yield ((point.x, point.y),), False, name, level
