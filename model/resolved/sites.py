"""The lines of a spec's runs as given, in points or by a survey, and what is wrong with them."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass, replace

from palewright.model.basis.errors import KeyPath, Problem
from palewright.model.basis.lengths import LONGEST_COORDINATE
from palewright.model.geometry.curves import arc_through
from palewright.model.geometry.frames import Point, Vector
from palewright.model.site.path import Chords, Node
from palewright.model.site.site_line import SiteLine
from palewright.model.spec.spec_tables import Run, SpecTables
from palewright.model.survey.points_and_lines import Survey, SurveyError

SHARPEST = 30.0
"""Smallest angle between two legs, degrees."""

MOST_LINE_POINTS = 5000
"""Most points of one run's line."""

FAR_OUT, HIGH_UP = 1e6, 2e4
"""Coordinates and levels beyond these (mm) are kept apart in the job's origin."""


@dataclass(frozen=True)
class Site:
    """A run's line as given: nodes in site coordinates, and levels known beside it.

    surveyed : whether the line is the survey's; own : levels of that line that are at no node.
    """

    nodes: tuple[Node, ...]
    closed: bool
    spots: tuple[Vector, ...] = ()
    surveyed: bool = False
    own: tuple[Vector, ...] = ()

    def moved(self, dx: float, dy: float, dz: float) -> Site:
        """Return this line moved by (dx, dy, dz) mm."""
        spots, own = (
            tuple((x + dx, y + dy, z + dz) for x, y, z in levels)
            for levels in (self.spots, self.own)
        )
        nodes = tuple(node.moved(dx, dy, dz) for node in self.nodes)
        return Site(nodes, self.closed, spots, self.surveyed, own)


def site_of(
    spec: SpecTables, run: Run, number: int, survey: Survey | None
) -> tuple[Site | None, list[Problem]]:
    """Return a run's line from its points, or from the survey."""
    path: KeyPath = ("run", number)
    if run.points and (run.line or len(run.points) < 2):
        text = "a run has points or a line of the survey, not both"
        if not run.line:
            text = "a line needs two points or more"
        return None, [Problem((*path, "points"), text)]
    if run.points:
        nodes = []
        for place, point in enumerate(run.points):
            curve = None
            before = run.points[place - 1].at
            if point.through is not None and (place or run.closed):
                curve = arc_through(before, point.through, point.at)
            nodes.append(Node(point.at, point.level, curve))
        spots: tuple[Vector, ...] = ()
        if survey is not None and spec.survey is not None:
            spots = survey.spots(spec.survey.ground, left_out=spec.survey.not_ground)
        return Site(tuple(nodes), run.closed, spots), []
    if spec.survey is None or survey is None:
        return None, [Problem((*path, "points"), "a run needs points, or a [survey] with its line")]
    try:
        line = survey.line(run.line)
    except SurveyError as error:
        return None, [Problem((*path, "line"), str(error))]
    if len(line.nodes) > MOST_LINE_POINTS:
        text = f"the line has {len(line.nodes)} points; at most {MOST_LINE_POINTS}"
        return None, [Problem((*path, "line"), text)]
    closed = line.closed or run.closed
    kept, passed = straightened(line.nodes, spec.survey.straight, closed=closed)
    own = (*passed, *line.spots)
    told = spec.survey
    unwanted = {code.casefold() for code in told.not_ground}
    if {line.name.casefold(), line.group.casefold()} & unwanted:
        kept, own = tuple(replace(node, level=None) for node in kept), ()
    spots = (*own, *survey.spots(told.ground, line.group, told.not_ground))
    return Site(kept, closed, spots, True, own), []


def straightened(
    nodes: tuple[Node, ...], tolerance: float, *, closed: bool
) -> tuple[tuple[Node, ...], tuple[Vector, ...]]:
    """Return a line without the points that hardly bend it, and the levels at those.

    Straight parts are simplified by Douglas and Peucker's rule; curves and what joins them stay.
    """
    if tolerance == 0.0 or len(nodes) < 3:
        return nodes, ()
    import shapely  # only surveyed lines have points to spare

    fixed = {0, len(nodes) - 1}
    for number, node in enumerate(nodes):
        if node.curve is not None:
            fixed |= {number, (number - 1) % len(nodes)}
    if closed:  # the ring's far side, so that a part has two ends
        far = max(range(len(nodes)), key=lambda n: math.dist(nodes[0].at, nodes[n].at))
        fixed.add(far)
    kept: set[int] = set(fixed)
    for a, b in itertools.pairwise(sorted(fixed)):
        part = [nodes[number].at for number in range(a, b + 1)]
        if len(part) > 2 and len(set(part)) == len(part):
            slim = set(shapely.LineString(part).simplify(tolerance, preserve_topology=False).coords)
            kept |= {a + place for place, at in enumerate(part) if at in slim}
        else:
            kept |= set(range(a, b + 1))
    passed = tuple(
        (*node.at, node.level)
        for number, node in enumerate(nodes)
        if number not in kept and node.level is not None
    )
    return tuple(nodes[number] for number in sorted(kept)), passed


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


def node_problems(nodes: tuple[Node, ...], ring: bool, where: KeyPath) -> list[Problem]:
    """Find points of a line that repeat."""
    if ring and len(nodes) < 3 and not any(node.curve for node in nodes):
        return [Problem(where, "a closed run needs three points or more")]
    spans = [max(values) - min(values) for values in zip(*(node.at for node in nodes), strict=True)]
    if max(spans) > LONGEST_COORDINATE:
        text = f"the line reaches over {max(spans) / 1e6:.0f} km; at most 1,000"
        return [Problem(where, text)]
    own = where[-1] == "points"  # else the points are the survey's
    problems = []
    following = (*nodes[1:], nodes[0]) if ring else nodes[1:]
    for number, (a, b) in enumerate(zip(nodes, following, strict=False)):
        if math.dist(a.at, b.at) < 1.0:
            which = "" if own else f" ({number + 1} and {number + 2} of the line)"
            message = f"two neighbouring points{which} are less than 1 mm apart"
            if ring and number == len(nodes) - 1:
                message = "the last point repeats the first; a closed run joins them by itself"
            problems.append(Problem((*where, number) if own else where, message))
    return problems


def line_problems(cut: Chords, ring: bool, where: KeyPath) -> list[Problem]:
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
            key = (*where, place) if where[-1] == "points" else where
            problems.append(Problem(key, message))
        elif leg.length < 1.0:
            problems.append(Problem(where, "two neighbouring points are less than 1 mm apart"))
    if not problems and len(cut.points) > 3 and _crosses(cut.points, ring):
        problems.append(Problem(where, "the line crosses or touches itself"))
    return problems


def _crosses(points: tuple[Point, ...], ring: bool) -> bool:
    import shapely  # only lines of many legs can cross

    shape = shapely.LinearRing(points) if ring else shapely.LineString(points)
    return not shape.is_simple
