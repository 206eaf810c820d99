"""The lines of a spec's runs as given, in points or by a survey, and what is wrong with them."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from palewright.model.basis.errors import KeyPath, Problem
from palewright.model.basis.lengths import LONGEST_COORDINATE
from palewright.model.geometry.curves import arc_through
from palewright.model.geometry.frames import Point, Vector
from palewright.model.site.path import Chords, Node
from palewright.model.site.site_line import SiteLine
from palewright.model.spec.line_keys import SurveySpec
from palewright.model.spec.spec_tables import Run, SpecTables
from palewright.model.survey.curve_search import ArcLimits
from palewright.model.survey.fitted_lines import fitted
from palewright.model.survey.points_and_lines import Survey, SurveyError

from .leg_corners import walked_line
from .walked import Walked

SHARPEST = 30.0
"""Smallest angle between two legs, degrees."""

MOST_LINE_POINTS = 5000
"""Most points of one run's line."""

FAR_OUT, HIGH_UP = 1e6, 2e4
"""Coordinates and levels beyond these (mm) are kept apart in the job's origin."""


@dataclass(frozen=True)
class Site:
    """A run's line as given: nodes in site coordinates, and levels known beside it.

    key : of the run that gives it: "points", "line" or "leg"; walked : what was measured of legs;
    line : name of the surveyed line, empty for others; own : levels of that line that are at no
    node.
    """

    nodes: tuple[Node, ...]
    closed: bool
    spots: tuple[Vector, ...] = ()
    key: str = "points"
    walked: Walked | None = None
    line: str = ""
    own: tuple[Vector, ...] = ()

    @property
    def surveyed(self) -> bool:
        """Whether the line is the survey's."""
        return self.key == "line"

    def moved(self, dx: float, dy: float, dz: float) -> Site:
        """Return this line moved by (dx, dy, dz) mm."""
        spots, own = (
            tuple((x + dx, y + dy, z + dz) for x, y, z in levels)
            for levels in (self.spots, self.own)
        )
        nodes = tuple(node.moved(dx, dy, dz) for node in self.nodes)
        return replace(self, nodes=nodes, spots=spots, own=own)


@dataclass(frozen=True)
class LineFaults:
    """How what is wrong with a line is told. key : of the line; line : its name in the survey,
    empty for a line in points; origin : of what is given, in site coordinates, mm.
    """

    key: KeyPath
    line: str = ""
    origin: Point = (0.0, 0.0)

    def at(self, number: int, text: str, place: Point) -> Problem:
        """Return what is wrong at a point, from 0: under its key, or with its place on the site."""
        if not self.line:
            own = self.key[-1] in ("points", "leg")
            return Problem((*self.key, number) if own else self.key, text)
        east, north = ((place[n] + self.origin[n]) / 1000.0 for n in (0, 1))
        where = f" at corner {number + 1}, east {east:.3f}, north {north:.3f} m"
        return Problem(self.key, f"line '{self.line[:60]}': {text}{where}")

    def whole(self, text: str) -> Problem:
        """Return what is wrong with all of a line."""
        return Problem(self.key, f"line '{self.line[:60]}': {text}" if self.line else text)


def site_of(
    spec: SpecTables, run: Run, number: int, survey: Survey | None
) -> tuple[Site | None, list[Problem]]:
    """Return a run's line from its points, its legs, or the survey."""
    path: KeyPath = ("run", number)
    problems = _one_line(run, path)
    if problems:
        return None, problems
    spots: tuple[Vector, ...] = ()
    if survey is not None and spec.survey is not None:
        spots = survey.spots(spec.survey.ground, left_out=spec.survey.not_ground)
    if run.points:
        return Site(_nodes(run), run.closed, spots), []
    if run.leg:
        bay = (run.posts or spec.posts).bay
        walked, problems = walked_line(run, bay, path, first=number == 0)
        if walked is None:
            return None, problems
        return Site(walked.nodes, run.closed, spots, "leg", walked), []
    if spec.survey is None or survey is None:
        text = "a run needs points, or a [survey] with its line"
        if not run.line:
            text = "a run needs points, legs in [[run.leg]], or a [survey] with its line"
        return None, [Problem((*path, "points"), text)]
    return _surveyed(spec.survey, survey, run, path)


def _one_line(run: Run, path: KeyPath) -> list[Problem]:
    """Find that a run's line is given in two ways, or in half a way."""
    if run.points and run.leg:
        text = "a run has points or legs, not both"
        return [Problem((*path, "leg"), text)]
    if run.leg and run.line:
        text = "a run has legs or a line of the survey, not both"
        return [Problem((*path, "leg"), text)]
    if run.points and (run.line or len(run.points) < 2):
        text = "a run has points or a line of the survey, not both"
        if not run.line:
            text = "a line needs two points or more"
        return [Problem((*path, "points"), text)]
    if run.first_point is not None and not run.leg:
        text = "is where legs start, and this run has none; it goes by its points or line"
        return [Problem((*path, "first_point"), text)]
    return []


def _nodes(run: Run) -> tuple[Node, ...]:
    """Return the points of a run with the arcs that lead to them."""
    nodes = []
    for place, point in enumerate(run.points):
        curve = None
        before = run.points[place - 1].at
        if point.through is not None and (place or run.closed):
            curve = arc_through(before, point.through, point.at)
        nodes.append(Node(point.at, point.level, curve))
    return tuple(nodes)


def _surveyed(
    told: SurveySpec, survey: Survey, run: Run, path: KeyPath
) -> tuple[Site | None, list[Problem]]:
    """Return a run's line from the survey."""
    try:
        line = survey.line(run.line)
    except SurveyError as error:
        return None, [Problem((*path, "line"), str(error))]
    if len(line.nodes) > MOST_LINE_POINTS:
        text = f"the line has {len(line.nodes)} points; at most {MOST_LINE_POINTS}"
        return None, [Problem((*path, "line"), text)]
    closed = line.closed or run.closed
    arcs = told.arcs
    limits = ArcLimits(arcs.points, arcs.apart, arcs.turn, arcs.radius)
    kept, passed = fitted(line.nodes, told.straight, limits, closed=closed)
    own = (*passed, *line.spots)
    unwanted = {code.casefold() for code in told.not_ground}
    if {line.name.casefold(), line.group.casefold()} & unwanted:
        kept, own = tuple(replace(node, level=None) for node in kept), ()
    spots = (*own, *survey.spots(told.ground, line.group, told.not_ground))
    return Site(kept, closed, spots, "line", None, line.name, own), []


def origin_of(sites: list[Site], spec: SpecTables, ground: tuple[Vector, ...] = ()) -> Vector:
    """Return the site's coordinates that become (0, 0, 0): whole tens of metres, or zero.

    Small coordinates stay as they are. Of large ones (a national grid has hundreds of
    kilometres) the model keeps only what differs, so that no output loses precision.
    ground : points of the surface that is taken.
    """
    at = [node.at for site in sites for node in site.nodes]
    levels = [node.level for site in sites for node in site.nodes if node.level is not None]
    levels += [spot[2] for site in sites for spot in site.spots]
    levels += [z for _, _, z in ground]
    levels += [z for run in spec.run for _, z in (*run.levels, *run.levels_front, *run.levels_back)]
    levels += [run.level for run in spec.run if run.level]
    step = 10_000.0
    east = north = level = 0.0
    if any(max(abs(x), abs(y)) > FAR_OUT for x, y in at):
        east = math.floor(min(x for x, _ in at) / step) * step
        north = math.floor(min(y for _, y in at) / step) * step
    if any(abs(z) > HIGH_UP for z in levels):
        level = math.floor(min(levels) / 1000.0) * 1000.0
    return east, north, level


def node_problems(nodes: tuple[Node, ...], ring: bool, told: LineFaults) -> list[Problem]:
    """Find points of a line that repeat."""
    if ring and len(nodes) < 3 and not any(node.curve for node in nodes):
        return [told.whole("a closed run needs three points or more")]
    spans = [max(values) - min(values) for values in zip(*(node.at for node in nodes), strict=True)]
    if max(spans) > LONGEST_COORDINATE:
        return [told.whole(f"the line reaches over {max(spans) / 1e6:.0f} km; at most 1,000")]
    problems = []
    following = (*nodes[1:], nodes[0]) if ring else nodes[1:]
    for number, (a, b) in enumerate(zip(nodes, following, strict=False)):
        if math.dist(a.at, b.at) < 1.0:
            which = f" ({number + 1} and {number + 2} of the line)" if told.line else ""
            message = f"two neighbouring points{which} are less than 1 mm apart"
            if ring and number == len(nodes) - 1:
                message = "the last point repeats the first; a closed run joins them by itself"
            problems.append(told.at(number, message, a.at))
    return problems[:1] if told.line else problems


def line_problems(cut: Chords, ring: bool, told: LineFaults) -> list[Problem]:
    """Find lines that a fence cannot follow."""
    problems = []
    line = SiteLine(tuple((x, y, 0.0) for x, y in cut.points), ring)
    curved = bool(cut.bent)
    place = -1
    for number, leg in enumerate(line.legs):
        place += number not in cut.bent
        angle = 180.0 - abs(leg.turn_start)
        if angle < SHARPEST - 1e-9:
            message = f"the line turns back to {angle:.1f} degrees; at least {SHARPEST:g} needed"
            if curved and number in cut.bent:
                message += "; make the bays on the curve shorter"
            problems.append(told.at(place, message, cut.points[number]))
        elif leg.length < 1.0:
            problems.append(told.whole("two neighbouring points are less than 1 mm apart"))
    if not problems and len(cut.points) > 3:
        crossing = _crossing(cut.points, ring)
        if crossing is not None:
            text = "the line crosses or touches itself"
            if told.line:
                east, north = ((crossing[n] + told.origin[n]) / 1000.0 for n in (0, 1))
                text += f" at east {east:.3f}, north {north:.3f} m"
            problems.append(told.whole(text))
    return problems[:1] if told.line else problems


def _crossing(points: tuple[Point, ...], ring: bool) -> Point | None:
    """Return the place where a line first crosses itself, None where it does not."""
    import shapely  # only lines of many legs can cross

    shape = shapely.LinearRing(points) if ring else shapely.LineString(points)
    if shape.is_simple:
        return None
    ends = (*points[1:], points[0]) if ring else points[1:]
    legs = [shapely.LineString(pair) for pair in zip(points, ends, strict=False)]
    tree = shapely.STRtree(legs)
    for number, leg in enumerate(legs):
        for other in sorted(tree.query(leg, predicate="intersects").tolist()):
            beside = other - number < 2 or (ring and number == 0 and other == len(legs) - 1)
            if not beside:
                x, y = leg.intersection(legs[other]).representative_point().coords[0]
                return x, y
    return points[0]  # legs beside each other that lie on each other
