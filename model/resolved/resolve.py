"""From a spec to a job: defaults worked out, and mistakes that need more than one key to see."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from palewright.model.basis.errors import KeyPath, Problem
from palewright.model.geometry.frames import Point, Vector
from palewright.model.rules.rule_sets import RuleFileError, RuleSet, built_in
from palewright.model.site.features import Feature
from palewright.model.site.path import path_length, site_line
from palewright.model.site.site_line import SiteLine
from palewright.model.spec.firm_file import Firm
from palewright.model.spec.gate_keys import Gates, GateSpec, LeafTop
from palewright.model.spec.infill_keys import Capping, Pales, Rails, Slopes
from palewright.model.spec.line_keys import PartOfRun
from palewright.model.spec.panel_keys import Panels
from palewright.model.spec.paper_keys import Project
from palewright.model.spec.post_keys import (
    Footings,
    Posts,
    Walls,
)
from palewright.model.spec.price_list import PriceList
from palewright.model.spec.spec_tables import Run, SpecTables
from palewright.model.survey.points_and_lines import Survey

from .capping_kinds import posts_under, with_capping
from .end_plan import hedges_of, piers_of, set_off
from .features_given import features_of
from .foot_problems import foot_problems, unused_holes
from .footing_plan import FootingPlan, footing_plan
from .given_line import Carried, depth_of, line_beside, offset_of
from .ground import GroundAlong, SiteGround, ground_along, other_levels, site_ground
from .job import GatePlan, Job, RunJob, SlopePlan, run_letter
from .kick_plan import KickPlan, kick_plan, over_kick_board
from .leaf_plans import BRACE, LeafPlan, leaf_plans
from .pale_kinds import pale_plan, pale_problems
from .pale_plan import PalePlan
from .panel_problems import panel_problems
from .part_problems import part_problems, run_problems
from .post_plan import PostPlans, post_plans
from .rail_plan import RailPlan, rail_plan
from .ramp_plan import ramps_of
from .revision_dates import revision_problems
from .round_corners import rounded
from .run_joins import joined_runs
from .sites import LineFaults, Site, node_problems, origin_of, site_of
from .wall_plan import wall_plan
from .words import Follow, WedgeFill
from .zones import breaks_of, place_problems, set_posts_of, zones_of

LEDGE = (95.0, 28.0)
"""Height and thickness of ledges beside arris rails, mm (common practice, no source)."""

MOST_BAYS = 50_000
"""Most bays in one run."""

MOST_PALES = 200_000
"""Most pales in one spec."""


def resolve(
    spec: SpecTables,
    survey: Survey | None = None,
    rules: tuple[RuleSet, ...] = (),
    prices: PriceList | None = None,
    firm: Firm | None = None,
) -> Job:
    """Return the job that `spec` describes, with the problems found on the way.

    survey, rules, prices, firm : what the files named in the spec hold.
    """
    sets, problems = _rule_sets(spec)
    problems.extend(revision_problems(spec.revision))
    sites, ground, origin, wrong = _ground_and_lines(spec, survey)
    problems.extend(wrong)
    features, wrong = features_of(spec, survey, origin)
    problems.extend(wrong)
    runs, wrong = _runs(spec, sites, (ground, origin), features)
    problems.extend(wrong)
    problems.extend(_too_many_pales(runs))
    return Job(
        _owned(spec.project, firm),
        tuple(runs),
        spec.limits,
        spec.sheets,
        spec.finishes,
        spec.revision,
        tuple(problems),
        origin,
        _grid(spec, survey),
        _notes(survey, ground, runs),
        spec.timber,
        spec.concrete,
        spec.fixings,
        spec.wind,
        spec.strength,
        spec.soil,
        (*sets, *rules),
        spec.splay,
        spec.painting,
        spec.work,
        spec.extra,
        prices,
        survey is not None,
        features,
        spec.measured,
        spec.cut,
        ground=ground.surface if _on_surface(runs) else None,
        contours=spec.survey.contours if spec.survey is not None else None,
        firm=firm,
        offer=spec.offer,
        delivery=spec.delivery,
        joinery=spec.joinery,
    )


def _on_surface(runs: Sequence[RunJob]) -> bool:
    """Tell whether the ground along a line comes from a surface."""
    return any(run.ground.by == "surface" for run in runs)


def _runs(
    spec: SpecTables,
    sites: list[Site | None],
    land: tuple[SiteGround, Vector],
    features: tuple[Feature, ...],
) -> tuple[list[RunJob], list[Problem]]:
    """Return the runs, those that end at others brought to them. land : ground and origin."""

    def made(number: int, run: Run, line: Site) -> tuple[RunJob | None, list[Problem]]:
        return _resolve_run(spec, (run, number), (line, *land), features)

    runs: list[RunJob] = []
    spec, sites, problems = _set_off(spec, sites)
    for number, (run, site) in enumerate(zip(spec.run, sites, strict=True)):
        if site is None:
            continue
        resolved, wrong = made(number, run, site)
        problems.extend(wrong)
        if resolved is not None:
            runs.append(resolved)
    runs, wrong = joined_runs(spec, runs, sites, made)
    return runs, [*problems, *wrong]


def _set_off(
    spec: SpecTables, sites: list[Site | None]
) -> tuple[SpecTables, list[Site | None], list[Problem]]:
    """Return the runs and their lines with corners rounded and the ends at hedges set off."""
    given, lines = list(spec.run), list(sites)
    problems: list[Problem] = []
    for number, (run, site) in enumerate(zip(spec.run, sites, strict=True)):
        if site is None:
            continue
        posts, path = run.posts or spec.posts, ("run", number)
        own = run.corners is not None or len(spec.run) == 1
        corners = run.corners or spec.corners
        site, posts, wrong = rounded(site, corners, posts, path, own=own)
        problems += wrong
        if posts is not (run.posts or spec.posts):
            run = run.model_copy(update={"posts": posts})
        given[number], lines[number] = run, site
        if not site.closed:
            given[number], lines[number], wrong = set_off(run, site, posts, path)
            problems += wrong
    return spec.model_copy(update={"run": tuple(given)}), lines, problems


def _too_many_pales(runs: Sequence[RunJob]) -> Iterator[Problem]:
    """Yield that a fence would have more pales than are built."""
    pales = sum(run.line.length / run.pales.mean_pitch for run in runs)
    if pales > MOST_PALES:
        message = f"the fence would have about {pales:.0f} pales; at most {MOST_PALES} are built"
        yield Problem(("run",), message)


def _owned(project: Project, firm: Firm | None) -> Project:
    """Return a project with the firm as its owner, where it names none."""
    if firm is None or project.owner:
        return project
    return project.model_copy(update={"owner": firm.told.name})


def _rule_sets(spec: SpecTables) -> tuple[list[RuleSet], list[Problem]]:
    """Return the rule sets that are named, and those that there are none of; where none is and the
    sheets are in feet, the usual ones are not those of the place.
    """
    if spec.sheets.units == "ft-in" and "sets" not in spec.rules.model_fields_set:
        return [], []
    sets: list[RuleSet] = []
    problems: list[Problem] = []
    for number, name in enumerate(spec.rules.sets):
        try:
            sets.append(built_in(name))
        except RuleFileError as error:
            problems.append(Problem(("rules", "sets", number), str(error)))
    return sets, problems


def _ground_and_lines(
    spec: SpecTables, survey: Survey | None
) -> tuple[list[Site | None], SiteGround, Vector, list[Problem]]:
    """Return the runs' lines as given, the ground about the origin, and the origin."""
    problems: list[Problem] = []
    sites: list[Site | None] = []
    for number, run in enumerate(spec.run):
        site, wrong = site_of(spec, run, number, survey)
        problems.extend(wrong)
        sites.append(site)
    there = [site for site in sites if site is not None]
    ground, wrong = site_ground(spec.survey, survey, there)
    surface = ground.surface
    east, north, level = origin = origin_of(there, spec, surface.points if surface else ())
    if surface is not None:
        ground = replace(ground, surface=surface.moved(-east, -north, -level))
    return sites, ground, origin, [*problems, *wrong]


def _notes(survey: Survey | None, ground: SiteGround, runs: list[RunJob]) -> tuple[str, ...]:
    """Return what a reader should know of the survey and of the ground that is taken from it."""
    notes = list(survey.notes) if survey is not None else []
    if any(run.ground.by == "surface" for run in runs):
        notes += ground.remarks
    return (*notes, *(note for run in runs for note in run.ground.remarks))


def _grid(spec: SpecTables, survey: Survey | None) -> str:
    """Return the grid of the coordinates, empty when not known."""
    if survey is not None and survey.crs:
        return survey.crs
    return spec.survey.crs if spec.survey else ""


Stand = tuple[Site, SiteGround, Vector]
"""A run's line, the ground of the site about the origin, and the origin."""


def _resolve_run(
    spec: SpecTables, given: tuple[Run, int], stand: Stand, features: tuple[Feature, ...]
) -> tuple[RunJob | None, list[Problem]]:
    run, number = given
    path: KeyPath = ("run", number)
    tables = _TablesOfRun.of(spec, run)
    site = stand[0]
    pales = _pales_of(tables, (*path, "pales"))
    if isinstance(pales, Problem):
        return None, _line(spec, run, (*path, site.key), stand)[1] or [pales]
    leaves, wrong = leaf_plans(_usual_leaf(tables.rails, pales), tables.gates, run.gate, path)
    if wrong:
        return None, wrong
    footings = footing_plan(tables.footings)
    posts, rails = _posts_and_rails(tables, pales, run.gate, footings)
    deep = depth_of(posts, rails, pales, corners=len(site.nodes) > 2, hung=tables.capping)
    found, problems = _line(spec, run, (*path, site.key), stand, offset_of(run, deep))
    if found is None:
        return None, problems
    line, ground, carried = found
    run = run if carried is None else carried.run(run)
    resolved = RunJob(
        path=path,
        letter=run_letter(number),
        name=_name(spec, number),
        line=line,
        posts=posts,
        rails=rails,
        pales=pales,
        gates=_gate_plan(tables.gates, run.gate, leaves),
        footings=footings,
        walls=wall_plan(tables.walls, run, turned=line.turned),
        slopes=_slope_plan(run.slopes or spec.slopes, run.part),
        top_line=run.top_line or spec.top_line,
        corners=run.corners or spec.corners,
        existing=run.existing,
        existing_height=run.existing_height,
        beside=run.beside,
        guards=run.guards,
        keeps_in=run.keeps_in,
        ground=ground,
        front_ground=_side(run.levels_front, line, stand[2][2]),
        back_ground=_side(run.levels_back, line, stand[2][2]),
        zones=zones_of(line, run, features, posts.line.foot.room),
        set_posts=set_posts_of(line, run, path),
        breaks=breaks_of(line, run),
        line_is=run.line_is,
        inset=run.inset,
        given=() if carried is None else carried.points,
        line_key=site.key,
        walked=site.walked,
    )
    resolved = replace(_with_ends(resolved, run), kick_board=tables.kick_board)
    resolved, wrong = with_capping(resolved, tables.capping, tables.pales, tables.posts)
    problems += [*wrong, *place_problems(line, run, path), *part_problems(resolved, tables.rails)]
    problems += [*foot_problems(resolved, tables.posts), *unused_holes(resolved, spec, run)]
    problems += [*_infill_problems(resolved, tables), *run_problems(resolved, run)]
    return resolved, problems


def _with_ends(run: RunJob, told: Run) -> RunJob:
    """Return a run with what stands at its ends, as its line runs in the model."""
    turned = run.line.turned
    return replace(
        run,
        ramps=ramps_of(told, run.pales, turned=turned),
        piers=piers_of(told, turned=turned),
        hedges=hedges_of(told, turned=turned),
    )


def _name(spec: SpecTables, number: int) -> str:
    """Return what a run is called, its letter with it where another has the same name."""
    name, letter = spec.run[number].name, run_letter(number)
    if not name.strip():
        return f"run {letter}"
    return name if [run.name for run in spec.run].count(name) == 1 else f"{name} {letter}"


@dataclass(frozen=True)
class _TablesOfRun:
    """The tables that hold for a run: its own, else the spec's."""

    posts: Posts
    rails: Rails
    pales: Pales
    panels: Panels
    gates: Gates
    footings: Footings
    walls: Walls
    capping: Capping | None
    kick_board: KickPlan | None

    @classmethod
    def of(cls, spec: SpecTables, run: Run) -> _TablesOfRun:
        """Return the tables of a run."""
        capping, kick = run.capping or spec.capping, run.kick_board or spec.kick_board
        footing = footing_plan(run.footings or spec.footings)
        kicked = kick_plan(kick, footing.weathering if footing.poured else 0.0)
        return cls(
            run.posts or spec.posts,
            run.rails or spec.rails,
            over_kick_board(run.pales or spec.pales, kick, kicked),
            run.panels or spec.panels,
            run.gates or spec.gates,
            run.footings or spec.footings,
            run.walls or spec.walls,
            None if capping is None or capping.over == "none" else capping,
            kicked,
        )


def _pales_of(tables: _TablesOfRun, path: KeyPath) -> PalePlan | Problem:
    """Return the pales of a run, of panels bay by bay. path : of their table."""
    by_bay = tables.panels.made
    return pale_plan(tables.pales, path, tables.capping, tables.kick_board, by_bay=by_bay)


def _infill_problems(run: RunJob, tables: _TablesOfRun) -> Iterator[Problem]:
    """Yield what does not go together in a run's pales, and in panels that they are made into."""
    yield from pale_problems(run, tables.pales)
    yield from panel_problems(run, tables.panels, tables.pales, tables.rails)


def _posts_and_rails(
    tables: _TablesOfRun, pales: PalePlan, gates: tuple[GateSpec, ...], footings: FootingPlan
) -> tuple[PostPlans, RailPlan]:
    """Return a run's posts and rails; posts so high that they end under its capping rail, where
    that lies on them.
    """
    posts = post_plans(tables.posts, gates, footings)
    rails = rail_plan(tables.rails, pales, posts, tables.panels)
    if tables.capping is not None and tables.capping.over == "posts":
        above = max(0.0, pales.clearance + pales.longest - rails.tops[-1])
        posts = post_plans(posts_under(tables.posts, above), gates, footings)
    return posts, rails


def _line(
    spec: SpecTables, run: Run, path: KeyPath, stand: Stand, behind: float = 0.0
) -> tuple[tuple[SiteLine, GroundAlong, Carried | None] | None, list[Problem]]:
    """Return the line of a run about the origin with its ground, and how places on the line given
    go over to it, or what is wrong with it. behind : how far the posts stand behind that, mm.
    """
    site, ground, (east, north, base) = stand
    posts = run.posts or spec.posts
    site = site.moved(-east, -north, -base)
    nodes = site.nodes
    told = LineFaults(path, site.line, (east, north))
    problems = node_problems(nodes, site.closed, told)
    if problems:
        return None, problems
    bays = path_length(nodes) / posts.bay
    if bays > MOST_BAYS:
        message = f"the run would have about {bays:.0f} bays; at most {MOST_BAYS} are built"
        return None, [told.whole(message)]
    left = -behind if run.front == "left" else behind
    cut, carried, problems = line_beside(nodes, site.closed, posts, left, told)
    if problems:
        return None, problems
    given = run.levels if carried is None else carried.run(run).levels
    known = tuple((x, z - base) for x, z in given)
    problems = [
        Problem((*path[:2], "levels", number), f"the line's point there has level {there + base:g}")
        for number, there in other_levels(cut, known, closed=site.closed)
    ]
    if problems:
        return None, problems
    along = ground_along(spec, run.model_copy(update={"levels": known}), cut, site, ground)
    line = site_line(cut, closed=site.closed, level=run.level - base, levels=along.known)
    return (line.facing(front_left=run.front == "left"), along, carried), []


def _side(levels: tuple[Point, ...], line: SiteLine, base: float) -> tuple[Point, ...]:
    """Return (distance along a line, level about the origin) of ground on one side, in order."""
    return tuple(sorted((line.distance(x), z - base) for x, z in levels))


def _usual_leaf(rails: Rails, pales: PalePlan) -> LeafPlan:
    """Return how leaves are made that are as the fence."""
    return LeafPlan(
        own=False,
        height=pales.clearance + pales.longest,
        pales=pales.on_leaf,
        top=LeafTop(shape="straight"),
        ledge=LEDGE if rails.form == "arris" else rails.section,
        brace=BRACE,
    )


def _gate_plan(
    gates: Gates, openings: tuple[GateSpec, ...], leaves: tuple[LeafPlan, ...]
) -> GatePlan:
    return GatePlan(
        gates.hinge_clearance,
        gates.latch_clearance,
        gates.ground_clearance,
        openings,
        leaves,
    )


def _slope_plan(slopes: Slopes, parts: tuple[PartOfRun, ...]) -> SlopePlan:
    return SlopePlan(
        Follow(slopes.follow),
        WedgeFill(slopes.fill),
        tuple((p.start, p.end, Follow(p.follow)) for p in parts if p.follow),
        tuple((p.start, p.end, WedgeFill(p.fill)) for p in parts if p.fill),
        slopes.board,
        slopes.board_clearance,
        slopes.group,
    )
