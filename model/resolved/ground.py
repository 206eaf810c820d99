"""The ground of a site: a surface made from a survey, and which ground a run's line stands on."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

from palewright.model.basis.errors import Problem
from palewright.model.geometry.frames import Point, Vector
from palewright.model.site.breakline_nodes import BreakLine, GroundError
from palewright.model.site.path import SAME_PLACE, Chords, levels_beside, levels_joined
from palewright.model.site.site_line import level_at
from palewright.model.site.surface import Surface, shapes_of
from palewright.model.site.surface_profile import Profile, profile_along
from palewright.model.site.triangulation import triangulated
from palewright.model.spec.line_keys import SurveySpec
from palewright.model.spec.spec_tables import Run, SpecTables
from palewright.model.survey.extents import outline
from palewright.model.survey.points_and_lines import GivenSurface, Survey, SurveyLine

from .sites import Site

BAND = 2.0
"""The strip on either side of a line that a surface is looked for in, in widths of `within`."""

WIDE = 0.4
"""Share of that strip that a surface of spot levels covers which is more than a row of them."""

NEARLY_ALL = 0.5
"""Share of a surface's levels that are near the line of a survey along that line alone."""

CARRIED = 0.95
"""Share of a line that is on a surface of spot levels which is taken unasked."""

DIFFERS = 20.0
"""Levels of a user's own that differ from the surface by more are told of, mm."""

MOST_DIFFERENT = 5
"""Such levels of a run that are named."""


@dataclass(frozen=True)
class SiteGround:
    """The surface that a survey makes. surface : None where there is none; said : what it is, in
    words; asked : whether the user or the file says that it is the ground; remarks : in words.
    """

    surface: Surface | None = None
    said: str = ""
    asked: bool = False
    remarks: tuple[str, ...] = ()


@dataclass(frozen=True)
class GroundAlong:
    """The ground along a run's line, about the job's origin.

    known : (chainage, level), mm, besides those of its points; by : "surface", "near" or "given";
    said : which ground that is, in words; outside : parts of the line, by chainage, that are off
    the surface and have no level of the user's; remarks : in words.
    """

    known: tuple[Point, ...]
    by: str
    said: str = ""
    outside: tuple[Point, ...] = ()
    remarks: tuple[str, ...] = ()


def site_ground(
    told: SurveySpec | None, survey: Survey | None, sites: list[Site]
) -> tuple[SiteGround, list[Problem]]:
    """Return the surface of a survey in its coordinates, and what is wrong with its keys.

    sites : of the runs; the levels at the points of surveyed lines are ground too.
    """
    if told is None or survey is None:
        return SiteGround(), []
    problems = _unknown_names(told, survey)
    given = _given(told, survey)
    if isinstance(given, Problem):
        return SiteGround(), [*problems, given]
    if problems or told.ground_as == "near":
        return SiteGround(), problems
    if given is not None:
        return SiteGround(given.surface, f"surface '{given.name}' of the survey", True), []
    lines, unlevelled = breaklines_of(told, survey)
    spots = (
        *survey.spots(told.ground, left_out=told.not_ground),
        *(spot for site in sites if site.surveyed for spot in _own_levels(site)),
    )
    if survey.format == "CSV":  # whose reader tells of two levels in one place itself
        spots = tuple({(round(x), round(y)): (x, y, z) for x, y, z in reversed(spots)}.values())
    try:
        made = triangulated(spots, lines, told.reach)
    except GroundError as error:
        if told.ground_as is None and not lines:
            return SiteGround(remarks=(str(error),)), []
        return SiteGround(), [Problem(("survey", "breaklines"), str(error))]
    if made.surface is None and told.ground_as == "surface":
        text = "the levels of the survey make no triangle: three are needed that are in no line"
        return SiteGround(), [Problem(("survey", "ground_as"), text)]
    said = f"a surface of {len(made.surface.triangles) if made.surface else 0} triangles"
    if lines:
        said += f" with {len(lines)} breakline{'s' if len(lines) > 1 else ''}"
    asked = bool(lines) or told.ground_as == "surface"
    return SiteGround(made.surface, said, asked, (*unlevelled, *made.remarks)), []


def _own_levels(site: Site) -> tuple[Vector, ...]:
    """Return the levels at the points of a surveyed line and those that hardly bend it."""
    nodes = tuple((*node.at, node.level) for node in site.nodes if node.level is not None)
    return (*nodes, *site.own)


def _unknown_names(told: SurveySpec, survey: Survey) -> list[Problem]:
    """Find codes and lines that the survey does not have."""
    problems = []
    codes = {code.casefold() for code in survey.codes}
    names = {name.casefold() for line in survey.lines for name in (line.name, line.group)}
    for key, wanted, there in (
        ("not_ground", told.not_ground, codes),
        ("breaklines", told.breaklines, names),
    ):
        for number, name in enumerate(wanted):
            if name.casefold() not in there:
                listed = ", ".join(sorted(there)[:20]) or "none"
                what = "points" if key == "not_ground" else "line"
                text = f"the survey has no {what} '{name}'; there are: {listed}"
                problems.append(Problem(("survey", key, number), text))
    return problems


def _given(told: SurveySpec, survey: Survey) -> GivenSurface | Problem | None:
    """Return the surface of the file that is taken, None where none is."""
    names = ", ".join(f"'{one.name}'" for one in survey.surfaces)
    if told.surface:
        for one in survey.surfaces:
            if one.name.casefold() == told.surface.casefold():
                return one
        text = f"the survey has no surface '{told.surface}'; there are: {names or 'none'}"
        return Problem(("survey", "surface"), text)
    wanted = {code.casefold() for code in told.ground}
    found = [one for one in survey.surfaces if not wanted or one.name.casefold() in wanted]
    if len(found) > 1 and told.ground_as != "near":
        text = f"the survey has several surfaces; say which is the ground: {names}"
        return Problem(("survey", "surface"), text)
    return found[0] if len(found) == 1 else None


def breaklines_of(
    told: SurveySpec, survey: Survey
) -> tuple[tuple[BreakLine, ...], tuple[str, ...]]:
    """Return the breaklines of a survey, and remarks on those that have no levels."""
    wanted = {name.casefold() for name in told.breaklines}
    lines: list[BreakLine] = []
    remarks = []
    for line in survey.lines:
        named = line.name.casefold() in wanted
        grouped = line.group.casefold() in wanted and not line.joined
        if not (named or grouped or line.kind == "breakline"):
            continue
        parts = _levelled(line)
        if not parts:
            remarks.append(f"breakline '{line.name}' has no levels: left out")
        lines += [BreakLine(line.name, part) for part in parts]
    return tuple(lines), tuple(remarks)


def _levelled(line: SurveyLine) -> list[tuple[Vector, ...]]:
    """Return the parts of a line between points that have levels, curves in chords."""
    spots = {(round(x), round(y)): z for x, y, z in line.spots}
    nodes = (*line.nodes, *(line.nodes[:1] if line.closed else ()))
    parts: list[list[Vector]] = []
    for a, b in pairwise(nodes):
        if a.level is None or b.level is None:
            continue
        piece = outline(SurveyLine("", "", "", (a, b)))
        steps = len(piece) - 1
        levels = [a.level + (b.level - a.level) * k / steps for k in range(steps + 1)]
        bent = [
            (x, y, spots.get((round(x), round(y)), z))
            for (x, y), z in zip(piece, levels, strict=True)
        ]
        if parts and parts[-1][-1][:2] == bent[0][:2]:
            parts[-1] += bent[1:]
        else:
            parts.append(bent)
    return [tuple(part) for part in parts]


def ground_along(
    spec: SpecTables, run: Run, cut: Chords, site: Site, ground: SiteGround
) -> GroundAlong:
    """Return the ground along a run's line. cut, site, ground : about the job's origin.

    The user's own levels come first; run.levels : about the job's origin too.
    """
    own = tuple(run.levels)
    points = (*cut.points, *(cut.points[:1] if site.closed else ()))
    within = spec.survey.within if spec.survey is not None else 0.0
    profile = carried_by(ground, points, within)
    if profile is not None:
        return _on_surface(run, cut, site, ground, profile)
    beside = levels_beside(cut, closed=site.closed, spots=site.spots, within=within)
    said = ""
    if ground.surface is not None and site.spots:
        said = "levels near the line: those of the survey are only along it, or not round all of it"
    by = "near" if beside else "given"
    return GroundAlong(tuple(levels_joined(own, beside)), by, said)


def other_levels(
    cut: Chords, levels: tuple[Point, ...], *, closed: bool
) -> list[tuple[int, float]]:
    """Return the numbers of levels along a line, (chainage, level), at whose place a point of the
    line has another level, with that level.
    """
    there = {round(x): z for x, z in cut.known(closed=closed)}
    found = []
    for number, (x, z) in enumerate(levels):
        for place in (round(x), round(x) - 1, round(x) + 1):
            if place in there and abs(there[place] - z) > SAME_PLACE:
                found.append((number, there[place]))
                break
    return found


def carried_by(ground: SiteGround, points: tuple[Point, ...], within: float) -> Profile | None:
    """Return the ground along a line if it is taken from the surface.

    It is where the user or the file says so, or where the surface carries the line and is wide
    enough. points : of the line, the first again at the end of a ring.
    """
    if ground.surface is None:
        return None
    profile = profile_along(ground.surface, points)
    if ground.asked:
        return profile
    length = math.fsum(math.dist(a, b) for a, b in pairwise(points))
    carried = profile.carried(max(length, 1.0)) >= CARRIED
    return profile if carried and _wide(ground.surface, points, within) else None


def _on_surface(
    run: Run, cut: Chords, site: Site, ground: SiteGround, profile: Profile
) -> GroundAlong:
    """Return the ground of a line that is taken from a surface."""
    given = [*cut.known(closed=site.closed), *run.levels]
    named = run.name.strip() or "a run"
    remarks = []
    knots = profile.knots
    for x, z in sorted(given):
        on = not any(a <= x <= b for a, b in profile.outside)
        if knots and on and abs(level_at(knots, x) - z) > DIFFERS:
            remarks.append(
                f"{named}: the level given at chainage {x:.0f} is "
                f"{z - level_at(knots, x):+.0f} mm off the surface; it counts there"
            )
    outside = _unknown(profile.outside, sorted(x for x, _ in given), cut, closed=site.closed)
    more = len(remarks) - MOST_DIFFERENT
    remarks = [*remarks[:MOST_DIFFERENT], *([f"{named}: {more} more do"] if more > 0 else [])]
    known = tuple(levels_joined(run.levels, knots))
    return GroundAlong(known, "surface", ground.said, outside, tuple(remarks))


def _unknown(
    outside: tuple[Point, ...], given: list[float], cut: Chords, *, closed: bool
) -> tuple[Point, ...]:
    """Return the parts off a surface that no levels of the user's tell: between those of a part
    and the surface's edge the ground is known, past the outermost it is not.
    """
    end = cut.along(closed=closed)[-1]
    parts = []
    for a, b in outside:
        low = a if a > SAME_PLACE else -math.inf
        high = b if b < end - SAME_PLACE else math.inf
        inside = [x for x in given if low + SAME_PLACE < x < high - SAME_PLACE]
        if not inside:
            parts.append((a, b))
            continue
        if low < a and inside[0] > SAME_PLACE:
            parts.append((a, inside[0]))
        if high > b and inside[-1] < end - SAME_PLACE:
            parts.append((inside[-1], b))
    return tuple(parts)


def _wide(surface: Surface, points: tuple[Point, ...], within: float) -> bool:
    """Tell whether a surface reaches so far beside a line that it is more than a row of levels:
    it covers a share of a strip along the line, and most of its levels are not near the line.
    """
    import numpy as np
    import shapely

    line = shapely.LineString(points)
    levels = shapely.points(surface.xyz[np.unique(surface.corners)][:, :2])
    if shapely.dwithin(levels, line, within).mean() > NEARLY_ALL:
        return False
    strip = line.buffer(BAND * within, cap_style="flat")
    low_x, low_y, high_x, high_y = strip.bounds
    chosen = surface.near((low_x, low_y), (high_x, high_y))
    shapely.prepare(strip)
    shapes = shapes_of(surface.xyz, chosen)
    inside = shapely.contains_properly(strip, shapes)
    covered = shapely.area(shapes[inside]).sum()
    edge = shapes[~inside & shapely.intersects(strip, shapes)]
    covered += shapely.area(shapely.intersection(strip, edge)).sum()
    return bool(covered >= WIDE * strip.area)
