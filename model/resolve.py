"""From a spec to a job: defaults worked out, and mistakes that need more than one key to see."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass, field

from .errors import KeyPath, Problem
from .geometry import Outline, Vector
from .heads import (
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
from .line import SiteLine
from .path import in_chords, path_length, site_line
from .rules.rule import RuleFileError, RuleSet, built_in
from .shapes import (
    Cap,
    FlatTop,
    Hole,
    PostTop,
    PyramidTop,
    RoundHole,
    SquareHole,
    WeatheredTop,
)
from .site import Site, line_problems, node_problems, origin_of, site_of
from .spec import (
    CapTopSpec,
    ClippedHead,
    Corners,
    Finishes,
    FlatTopSpec,
    Footings,
    FreeHead,
    Gates,
    GateSpec,
    Limits,
    OgeeHead,
    Pales,
    PartOfRun,
    PointedArchHead,
    PointedHead,
    PostKind,
    Posts,
    Project,
    PyramidTopSpec,
    Rails,
    Revision,
    RoundHead,
    Run,
    SegmentalHead,
    Sheets,
    Slopes,
    Spec,
    SquareHead,
    TopLine,
    Walls,
    WeatheredTopSpec,
)
from .spec_checks import Soil, Splay, Strength, Wind
from .spec_order import Concrete, Fixings, Timber
from .spec_values import LARGEST
from .survey.values import Survey

LOW_FENCE = 1200.0
"""Up to this height two rails, above it three, mm (common practice, no source)."""

GATE_POST_THICKER, GATE_POST_DEEPER = 25.0, 100.0
"""How gate posts differ from line posts, mm (common practice, no source)."""

MOST_BAYS = 50_000
"""Most bays in one run."""

MOST_PALES = 200_000
"""Most pales in one spec."""


@dataclass(frozen=True)
class PostPlan:
    """A post of one kind. width along the run, depth across it, embedment, above_rail : mm."""

    width: float
    depth: float
    embedment: float
    above_rail: float
    top: PostTop
    cap: Cap | None


@dataclass(frozen=True)
class RunJob:
    """One run with everything worked out that does not depend on where posts stand.

    path : where the run stands in the spec; letter : what its posts are called after;
    line : about the job's origin; tops : heights of the rails' top edges over ground, lowest
    first, mm; wall_start, wall_end : whether the line, as it runs in the model, starts or ends at
    a wall; parts : of the run with ways of their own to follow the ground.
    """

    path: KeyPath
    letter: str
    name: str
    line: SiteLine
    posts: Posts
    rails: Rails
    pales: Pales
    gates: Gates
    footings: Footings
    gate_specs: tuple[GateSpec, ...]
    line_post: PostPlan
    end_post: PostPlan
    corner_post: PostPlan
    gate_post: PostPlan
    wall_plate: PostPlan
    wall_start: bool
    wall_end: bool
    slopes: Slopes
    parts: tuple[PartOfRun, ...]
    top_line: TopLine
    corners: Corners
    walls: Walls
    tops: tuple[float, ...]
    head: Head
    outline: Outline
    gap_max: float
    existing: str
    existing_height: float
    beside: str
    guards: tuple[str, ...]

    @property
    def face(self) -> float:
        """Distance of the posts' front faces from the line, mm."""
        return self.line_post.depth / 2.0

    @property
    def pale_back(self) -> float:
        """Distance of the pales' backs from the line, to the front, mm."""
        thickness = self.rails.section[1] if self.rails.form == "face" else 0.0
        return self.face + thickness

    @property
    def pale_front(self) -> float:
        """Distance of the pales' fronts from the line, to the front, mm."""
        return self.pale_back + self.pales.thickness

    @property
    def height(self) -> float:
        """Height of the pales' tops over ground, mm."""
        return self.pales.clearance + self.pales.length

    @property
    def shoulder(self) -> float:
        """Height over ground where the pales' straight sides end, mm."""
        return self.height - self.head.rise(self.pales.width)

    @property
    def ledge(self) -> tuple[float, float]:
        """Height and thickness of gate ledges, mm."""
        if self.gates.ledge is not None:
            return self.gates.ledge
        return self.rails.section if self.rails.form == "face" else (95.0, 28.0)

    @property
    def half_hole(self) -> float:
        """Half the size of the hole along the run, mm."""
        hole = self.hole()
        return (hole.diameter if isinstance(hole, RoundHole) else hole.width) / 2.0

    def hole(self) -> Hole:
        """Return the hole dug for each post."""
        size = self.footings.size
        along, across = size if isinstance(size, tuple) else (size, size)
        return RoundHole(along) if self.footings.hole == "round" else SquareHole(along, across)


@dataclass(frozen=True)
class Job:
    """A whole spec with defaults worked out, and what is wrong with it.

    origin : (east, north, level) of the site that is (0, 0, 0) in the model, mm; crs : of the
    site's coordinates, empty when not known; finishes : how timber looks; notes : on the survey;
    timber, concrete, fixings : how they are bought; wind, strength, soil, rules, splays : what is
    checked, no wind when None.
    """

    project: Project
    runs: tuple[RunJob, ...]
    limits: Limits
    sheets: Sheets
    finishes: Finishes
    revisions: tuple[Revision, ...]
    problems: tuple[Problem, ...]
    origin: Vector = (0.0, 0.0, 0.0)
    crs: str = ""
    notes: tuple[str, ...] = ()
    timber: Timber = field(default_factory=Timber)
    concrete: Concrete = field(default_factory=Concrete)
    fixings: Fixings = field(default_factory=Fixings)
    wind: Wind | None = None
    strength: Strength = field(default_factory=Strength)
    soil: Soil = field(default_factory=Soil)
    rules: tuple[RuleSet, ...] = ()
    splays: tuple[Splay, ...] = ()


def origin_text(job: Job) -> str:
    """Return where a model's own origin is on the site, in words; empty where it is the site's."""
    if job.origin == (0.0, 0.0, 0.0):
        return ""
    east, north, level = (f"{value / 1000.0:.3f} m" for value in job.origin)
    grid = f" of {job.crs}" if job.crs else ""
    return f"local origin at east {east}, north {north}, level {level}{grid}"


def run_letter(number: int) -> str:
    """Return A, B, ... Z, AA, AB for the runs in order, counted from 0.

    >>> run_letter(0), run_letter(25), run_letter(26)
    ('A', 'Z', 'AA')
    """
    text = ""
    number += 1
    while number:
        number, rest = divmod(number - 1, 26)
        text = chr(ord("A") + rest) + text
    return text


def resolve(spec: Spec, survey: Survey | None = None, rules: tuple[RuleSet, ...] = ()) -> Job:
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
    spec: Spec, run: Run, number: int, site: Site, origin: Vector
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
    problems.extend(_part_problems(made))
    problems.extend(_run_problems(made, run))
    if _meets_itself(made):
        text = "the line comes so near to itself that the fence would stand in its own way"
        problems.append(Problem((*path, key), text))
    return made, problems


def _run_problems(made: RunJob, run: Run) -> list[Problem]:
    """Find keys of a run that do not go together."""
    problems = []
    if made.line.closed:
        for key in ("starts", "ends"):
            if getattr(run, key) == "wall":
                problems.append(Problem((*made.path, key), "a closed run has no end at a wall"))
    for number, part in enumerate(run.part):
        if part.end <= part.start:
            text = "the part ends before it starts"
            problems.append(Problem((*made.path, "part", number, "end"), text))
    for number, (chainage, _) in enumerate(run.levels):
        if chainage > made.line.length + 1.0:
            text = f"the run is only {made.line.length:.0f} mm long"
            problems.append(Problem((*made.path, "levels", number), text))
    return problems


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


def _meets_itself(run: RunJob) -> bool:
    """Tell whether legs that are no neighbours would share ground, posts and pales included."""
    legs = run.line.legs
    if len(legs) < 3:
        return False
    import shapely  # only lines of three legs or more can come back to themselves

    plans = (run.line_post, run.end_post, run.corner_post, run.gate_post)
    back = max(plan.depth for plan in plans) - run.face
    past = run.end_post.width / 2.0
    bands = []
    for number, leg in enumerate(legs):
        start = -past if number == 0 and not run.line.closed else 0.0
        end = leg.length + (past if number == len(legs) - 1 and not run.line.closed else 0.0)
        corners = ((start, -run.pale_front), (end, -run.pale_front), (end, back), (start, back))
        bands.append(shapely.Polygon([leg.frame.point((x, y, 0.0))[:2] for x, y in corners]))
    pairs = shapely.STRtree(bands).query(bands, predicate="intersects").T
    ring = len(legs) if run.line.closed else 0
    return any(
        a + 1 < b
        and not (ring and a == 0 and b == ring - 1)
        and bands[a].intersection(bands[b]).area > 1.0  # legs round a jog only touch
        for a, b in pairs
    )


def _part_problems(run: RunJob) -> list[Problem]:
    """Find parts that cannot be made or would not fit together."""
    problems: list[Problem] = []

    def add(message: str, *keys: str) -> None:
        problems.append(Problem((*run.path, *keys), message))

    if run.gap_max < run.pales.gap:
        add(f"is less than the wanted gap ({run.pales.gap:g} mm)", "pales", "gap_max")
    height, tops = run.rails.section[0], run.tops
    if run.rails.tops and run.rails.count not in (None, len(run.rails.tops)):
        add(f"{len(run.rails.tops)} heights for {run.rails.count} rails", "rails", "tops")
    key = "tops" if run.rails.tops else "section"
    if any(b - a < height for a, b in itertools.pairwise(tops)):
        heights = ", ".join(f"{top:g}" for top in tops)
        add(f"rails {height:g} mm high would overlap at {heights} (lowest first)", "rails", key)
    elif tops[0] < height:
        add("the lowest rail would stand in the ground", "rails", key)
    leaf = run.height - max(run.pales.clearance, run.gates.ground_clearance)
    if run.gate_specs and leaf <= run.head.rise(run.pales.width):
        add(f"leaves the leaf's pales {leaf:g} mm long, no more than their heads are high",
            "gates", "ground_clearance")  # fmt: skip
    for number, gate in enumerate(run.gate_specs):
        gates = run.gates
        taken = gates.hinge_clearance * gate.leaves + gates.latch_clearance
        if gate.opening <= taken:
            path = (*run.path, "gate", number, "opening")
            text = f"must be more than the clearances, {taken:g} mm together"
            problems.append(Problem(path, text))
    kinds = (
        ("", run.line_post),
        ("end", run.end_post),
        ("corner", run.corner_post),
        ("gate", run.gate_post),
    )
    hole = run.hole()
    for name, plan in kinds:
        keys = ("posts", name) if name else ("posts",)
        room = plan.above_rail + tops[-1] + plan.embedment
        rise = getattr(plan.top, "fall", getattr(plan.top, "rise", 0.0))
        if rise >= room:
            add("the top is taller than the post", *keys, "top")
        if plan.cap is not None and run.rails.form == "arris":
            overhang = (plan.cap.depth - plan.depth) / 2.0
            if overhang > 0 and tops[-1] + plan.above_rail < run.height:
                add("the cap would meet the pales; raise the post or use no overhang", *keys, "top")
        fits = (
            math.hypot(plan.width, plan.depth) < hole.diameter
            if isinstance(hole, RoundHole)
            else plan.width < hole.width and plan.depth < hole.depth
        )
        if not fits and (name != "gate" or run.gate_specs):
            add(
                f"a hole of {hole_text(hole)} does not take a post of "
                f"{plan.width:g} x {plan.depth:g} mm",
                "footings",
                "size",
            )
    return problems


def hole_text(hole: Hole) -> str:
    """Return a hole's size in words."""
    if isinstance(hole, RoundHole):
        return f"{hole.diameter:g} mm diameter"
    return f"{hole.width:g} x {hole.depth:g} mm"
