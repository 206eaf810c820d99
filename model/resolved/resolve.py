"""From a spec to a job: defaults worked out, and mistakes that need more than one key to see."""

from __future__ import annotations

from palewright.model.basis.errors import KeyPath, Problem
from palewright.model.basis.lengths import LARGEST
from palewright.model.geometry.frames import Vector
from palewright.model.geometry.heads import (
    Clipped,
    Free,
    Head,
    HeadError,
    Ogee,
    Pointed,
    PointedArch,
    Round,
    Segmental,
    Square,
    pale_outline,
)
from palewright.model.geometry.shapes import (
    Cap,
    FlatTop,
    PostTop,
    PyramidTop,
    WeatheredTop,
)
from palewright.model.rules.rule_sets import RuleFileError, RuleSet, built_in
from palewright.model.site.path import in_chords, path_length, site_line
from palewright.model.spec.head_keys import (
    ClippedHead,
    FreeHead,
    OgeeHead,
    PointedArchHead,
    PointedHead,
    RoundHead,
    SegmentalHead,
    SquareHead,
)
from palewright.model.spec.infill_keys import Pales
from palewright.model.spec.post_keys import (
    CapTopSpec,
    FlatTopSpec,
    PostKind,
    Posts,
    PyramidTopSpec,
    WeatheredTopSpec,
)
from palewright.model.spec.spec_tables import Run, SpecTables
from palewright.model.survey.points_and_lines import Survey

from .job import Job, PostPlan, RunJob, run_letter
from .part_problems import meets_itself, part_problems, run_problems
from .sites import Site, line_problems, node_problems, origin_of, site_of

LOW_FENCE = 1200.0
"""Up to this height two rails, above it three, mm (common practice, no source)."""

GATE_POST_THICKER, GATE_POST_DEEPER = 25.0, 100.0
"""How gate posts differ from line posts, mm (common practice, no source)."""

MOST_BAYS = 50_000
"""Most bays in one run."""

MOST_PALES = 200_000
"""Most pales in one spec."""


def resolve(spec: SpecTables, survey: Survey | None = None, rules: tuple[RuleSet, ...] = ()) -> Job:
    """Return the job that `spec` describes, with the problems found on the way.

    survey, rules : what the files named in the spec hold.
    """
    problems: list[Problem] = []
    sets: list[RuleSet] = []
    for number, name in enumerate(spec.rules.sets):
        try:
            sets.append(built_in(name))
        except RuleFileError as error:
            problems.append(Problem(("rules", "sets", number), str(error)))
    sites: list[Site | None] = []
    for number, run in enumerate(spec.run):
        site, found = site_of(spec, run, number, survey)
        problems.extend(found)
        sites.append(site)
    origin = origin_of([site for site in sites if site is not None], spec)
    runs = []
    for number, (run, site) in enumerate(zip(spec.run, sites, strict=True)):
        if site is None:
            continue
        made, found = _resolve_run(spec, run, number, site, origin)
        problems.extend(found)
        if made is not None:
            runs.append(made)
    pales = sum(run.line.length / (run.pales.width + run.pales.gap) for run in runs)
    if pales > MOST_PALES:
        message = f"the fence would have about {pales:.0f} pales; at most {MOST_PALES} are built"
        problems.append(Problem(("run",), message))
    crs = (
        survey.crs if survey is not None and survey.crs else spec.survey.crs if spec.survey else ""
    )
    return Job(
        spec.project,
        tuple(runs),
        spec.limits,
        spec.sheets,
        spec.finishes,
        spec.revision,
        tuple(problems),
        origin,
        crs,
        survey.notes if survey is not None else (),
        spec.timber,
        spec.concrete,
        spec.fixings,
        spec.wind,
        spec.strength,
        spec.soil,
        (*sets, *rules),
        spec.splay,
    )


def _resolve_run(
    spec: SpecTables, run: Run, number: int, site: Site, origin: Vector
) -> tuple[RunJob | None, list[Problem]]:
    path: KeyPath = ("run", number)
    key = "points" if run.points else "line"
    east, north, base = origin
    nodes = tuple(node.moved(-east, -north, -base) for node in site.nodes)
    problems = node_problems(nodes, site.closed, (*path, key))
    if problems:
        return None, problems
    posts, rails = run.posts or spec.posts, run.rails or spec.rails
    pales, gates = run.pales or spec.pales, run.gates or spec.gates
    footings = run.footings or spec.footings
    walls = run.walls or spec.walls
    bays = path_length(nodes) / posts.bay
    if bays > MOST_BAYS:
        message = f"the run would have about {bays:.0f} bays; at most {MOST_BAYS} are built"
        return None, [Problem((*path, key), message)]
    cut = in_chords(nodes, closed=site.closed, bay=posts.bay, offset=posts.curve_offset)
    problems = line_problems(cut, site.closed, (*path, key))
    if problems:
        return None, problems
    head = _head(pales)
    try:
        outline = pale_outline(head, pales.width, pales.length)
    except HeadError as error:
        return None, [Problem((*path, "pales", "head"), f"cannot be cut: {error}")]
    thicker = tuple(min(size + GATE_POST_THICKER, LARGEST) for size in posts.section)
    gate_kind = PostKind(
        section=posts.gate.section or thicker,
        embedment=posts.gate.embedment or min(posts.embedment + GATE_POST_DEEPER, LARGEST),
        above_rail=posts.gate.above_rail,
        top=posts.gate.top,
    )
    line = site_line(
        cut,
        closed=site.closed,
        level=run.level - base,
        levels=tuple((x, z - base) for x, z in run.levels),
        spots=tuple((x - east, y - north, z - base) for x, y, z in site.spots),
        within=spec.survey.within if spec.survey is not None else 0.0,
    ).facing(front_left=run.front == "left")
    wall_start, wall_end = run.starts == "wall", run.ends == "wall"
    if line.turned:
        wall_start, wall_end = wall_end, wall_start
    gap_max = pales.gap_max if pales.gap_max is not None else pales.gap * 4.0 / 3.0
    made = RunJob(
        path=path,
        letter=run_letter(number),
        name=run.name or f"run {run_letter(number)}",
        line=line,
        posts=posts,
        rails=rails,
        pales=pales,
        gates=gates,
        footings=footings,
        gate_specs=run.gate,
        line_post=_post_plan(posts, PostKind()),
        end_post=_post_plan(posts, posts.end),
        corner_post=_post_plan(posts, posts.corner),
        gate_post=_post_plan(posts, gate_kind),
        wall_plate=PostPlan(*walls.section, 0.0, 0.0, FlatTop(), None),
        wall_start=wall_start,
        wall_end=wall_end,
        slopes=run.slopes or spec.slopes,
        parts=run.part,
        top_line=run.top_line or spec.top_line,
        corners=run.corners or spec.corners,
        walls=walls,
        tops=(),
        head=head,
        outline=outline,
        gap_max=gap_max,
        existing=run.existing,
        existing_height=run.existing_height,
        beside=run.beside,
        guards=run.guards,
    )
    tops = rails.tops or _default_tops(made)
    made = RunJob(**{**made.__dict__, "tops": tops})
    problems.extend(part_problems(made))
    problems.extend(run_problems(made, run))
    if meets_itself(made):
        text = "the line comes so near to itself that the fence would stand in its own way"
        problems.append(Problem((*path, key), text))
    return made, problems


def _head(pales: Pales) -> Head:
    width = pales.width
    match pales.head:
        case SquareHead():
            return Square()
        case ClippedHead(across=across, down=down):
            return Clipped(across, down)
        case PointedHead(rise=rise, tip=tip):
            return Pointed(rise or width / 2.0, tip)
        case RoundHead():
            return Round()
        case SegmentalHead(rise=rise):
            return Segmental(rise or width / 5.0)
        case PointedArchHead(rise=rise):
            return PointedArch(rise or width * 0.75)
        case OgeeHead(rise=rise):
            return Ogee(rise or width)
        case FreeHead(points=points):
            return Free(points)


def _post_plan(posts: Posts, kind: PostKind) -> PostPlan:
    width, depth = kind.section or posts.section
    spec = kind.top or posts.top
    top: PostTop = FlatTop()
    cap = None
    match spec:
        case FlatTopSpec():
            pass
        case WeatheredTopSpec(fall=fall):
            top = WeatheredTop(fall)
        case PyramidTopSpec(rise=rise):
            top = PyramidTop(rise)
        case CapTopSpec(overhang=overhang, thickness=thickness, rise=rise):
            cap = Cap(width + 2 * overhang, depth + 2 * overhang, thickness, rise)
    above = posts.above_rail if kind.above_rail is None else kind.above_rail
    return PostPlan(width, depth, kind.embedment or posts.embedment, above, top, cap)


def _default_tops(run: RunJob) -> tuple[float, ...]:
    """Rails set in from the foot and the shoulder of the pales by 12 %, 90 to 200 mm."""
    count = run.rails.count or (2 if run.height <= LOW_FENCE else 3)
    inset = min(max(0.12 * run.pales.length, 90.0), 200.0)
    foot = run.pales.clearance
    first = foot + inset + run.rails.section[0]
    last = run.shoulder - inset
    if count == 1:
        return (last,)
    step = (last - first) / (count - 1)
    return tuple(round(first + step * number, 1) for number in range(count))
