"""A job: a spec with everything worked out that does not depend on where posts stand.

What a spec leaves out is filled in here once; no later step meets a default that is still open.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass, field
from functools import cached_property

from palewright.model.basis.errors import KeyPath, Problem
from palewright.model.basis.text import plain
from palewright.model.geometry.frames import Point, Vector
from palewright.model.rules.rule_sets import RuleSet
from palewright.model.site.features import Feature
from palewright.model.site.site_line import SiteLine
from palewright.model.site.surface import Surface
from palewright.model.spec.as_built_keys import CutPiece, Measured
from palewright.model.spec.buying import Concrete, Fixings, Timber
from palewright.model.spec.demands import Soil, Splay, Strength, Wind
from palewright.model.spec.firm_file import Firm
from palewright.model.spec.firm_keys import Delivery, Offer
from palewright.model.spec.gate_keys import GateSpec
from palewright.model.spec.infill_keys import TopLine
from palewright.model.spec.joinery_keys import Joinery
from palewright.model.spec.paper_keys import Finishes, Project, Revision, Sheets
from palewright.model.spec.post_keys import Corners
from palewright.model.spec.price_list import PriceList
from palewright.model.spec.spec_tables import Limits
from palewright.model.spec.work_keys import Extra, Painting, Work

from .capping_plan import CappingPlan
from .end_plan import PierPlan
from .footing_plan import FootingPlan
from .ground import GroundAlong
from .kick_plan import KickPlan
from .leaf_plans import LeafPlan
from .pale_lay import PaleLayer, layers_of
from .pale_plan import PalePlan
from .panel_plan import PanelPlan
from .post_plan import PostPlan, PostPlans
from .rail_plan import RailPlan
from .walked import Walked
from .wall_plan import WallPlan
from .words import Follow, PostRole, WedgeFill
from .zones import Break, SetPost, Zone

FLUSH = 1.0
"""A rail that ends no lower under the pales' tops is flush with them, mm."""

BESIDE = 0.05
"""Pales that reach farther than this behind the posts' faces stand between posts, mm."""


@dataclass(frozen=True)
class GatePlan:
    """The gates of a run, and the clearances of all, mm. openings : as the spec says; leaves :
    how those of each gate are made.
    """

    hinge_clearance: float
    latch_clearance: float
    ground_clearance: float
    openings: tuple[GateSpec, ...]
    leaves: tuple[LeafPlan, ...]


@dataclass(frozen=True)
class SlopePlan:
    """How a run follows sloping ground. follow, fill : where no part of the run says otherwise;
    following, filling : what parts say, with the chainages from and to which they say it, the
    last that covers a place deciding; board : height and thickness of a gravel board,
    board_clearance : from the ground to it, group : see the spec, all mm.
    """

    follow: Follow
    fill: WedgeFill
    following: tuple[tuple[float, float, Follow], ...]
    filling: tuple[tuple[float, float, WedgeFill], ...]
    board: tuple[float, float]
    board_clearance: float
    group: float

    def ways(self, chainage: float) -> tuple[Follow, WedgeFill]:
        """Return how the ground is followed and wedges are filled at a chainage (mm)."""
        follow, fill = self.follow, self.fill
        for start, end, way in self.following:
            follow = way if start <= chainage <= end else follow
        for start, end, filler in self.filling:
            fill = filler if start <= chainage <= end else fill
        return follow, fill


@dataclass(frozen=True)
class Stood:
    """A post as measured. label : of it; moved : from its planned place on the site, mm; top :
    over the ground, mm, None where its height was not measured.
    """

    label: str
    moved: Point
    top: float | None


@dataclass(frozen=True)
class RunJob:
    """One run with everything worked out that does not depend on where posts stand.

    path : where the run stands in the spec; letter : what its posts are called after; line :
    about the job's origin; existing : what stands there today, existing_height mm high; beside,
    guards : for rules; keeps_in : animals; ground : where that along the line comes from;
    front_ground, back_ground : (distance along the line, level about the origin), mm, of ground
    beside it that is at another level, none beyond the first and the last; line_key : of the run
    that gives its line, "points", "line" or "leg"; walked : what was measured of its legs, None for
    other lines; zones : of each leg where no post stands, set_posts : where one must, breaks :
    gaps; line_is, inset : what the line given marks, and how far the fence keeps from it, mm; given
    : its points where it is not the middle of the posts; stations : of the line posts along the
    line as they stand, mm, None where they are to be set out; stood : its posts as measured; hosts
    : whose posts its line starts and ends at; guests : the runs that end at posts of its own;
    capping : the rail on its pales' tops, kick_board : under them, None for none; ramps : how far
    its first and its last bay go down to its ends, piers : that its line starts and ends at,
    hedges : how far it keeps from those at its ends, mm.
    """

    path: KeyPath
    letter: str
    name: str
    line: SiteLine
    posts: PostPlans
    rails: RailPlan
    pales: PalePlan
    gates: GatePlan
    footings: FootingPlan
    walls: WallPlan
    slopes: SlopePlan
    top_line: TopLine
    corners: Corners
    existing: str
    existing_height: float
    beside: str
    guards: tuple[str, ...]
    keeps_in: tuple[str, ...]
    ground: GroundAlong
    front_ground: tuple[Point, ...] = ()
    back_ground: tuple[Point, ...] = ()
    zones: tuple[tuple[Zone, ...], ...] = ()
    set_posts: tuple[SetPost, ...] = ()
    breaks: tuple[Break, ...] = ()
    line_is: str = "middle of posts"
    inset: float = 0.0
    given: tuple[Point, ...] = ()
    stations: tuple[float, ...] | None = None
    stood: tuple[Stood, ...] = ()
    line_key: str = "points"
    walked: Walked | None = None
    hosts: tuple[HostPost | None, HostPost | None] = (None, None)
    guests: tuple[Guest, ...] = ()
    ramps: Point = (0.0, 0.0)
    piers: tuple[PierPlan | None, PierPlan | None] = (None, None)
    hedges: Point = (0.0, 0.0)
    capping: CappingPlan | None = None
    kick_board: KickPlan | None = None

    def leg_path(self, number: int) -> KeyPath:
        """Return where in the spec a leg of the line stands, or what gives the whole line."""
        if self.line_key != "leg":
            return (*self.path, self.line_key)
        last = len(self.line.legs) - 1
        return (*self.path, "leg", last - number if self.line.turned else number)

    @property
    def called(self) -> str:
        """What the run is called on paper: its own name, or "run A"."""
        return plain(self.name)

    @property
    def walled(self) -> tuple[bool, bool]:
        """Whether its line, as it runs in the model, starts and ends at a wall."""
        start, end = self.hosts
        return self.walls.at_start and start is None, self.walls.at_end and end is None

    def rail_bands(self, width: float, bases: tuple[float, ...] = (0.0,)) -> list[Point]:
        """Return from where to where rails pass a post, mm over the ground, as slanting as any of
        the run. width : of the post; bases : of its bays over the ground.
        """
        lean = 0.0
        ways = (self.slopes.follow, *(way for _, _, way in self.slopes.following))
        if Follow.RAKE in ways:
            steps = (pair for leg in self.line.legs for pair in itertools.pairwise(leg.profile))
            slopes = (abs(z1 - z0) / (x1 - x0) for (x0, z0), (x1, z1) in steps if x1 > x0)
            lean = max(slopes, default=0.0) * width / 2.0
        height = self.rails.section[0]
        return [
            (base + top - height - lean, base + top + lean)
            for top in self.rails.tops
            for base in bases
        ]

    def post_plan(self, role: PostRole, gate: int | None = None) -> PostPlan:
        """Return the plan of posts with a role. gate : whose posts are meant, by its number."""
        match role:
            case PostRole.END:
                return self.posts.end
            case PostRole.CORNER:
                return self.posts.corner
            case PostRole.GATE:
                return self.posts.gate if gate is None else self.posts.of_gate(gate)
            case PostRole.WALL:
                return self.walls.plate
            case PostRole.LINE | PostRole.BEND:
                return self.posts.line

    @cached_property
    def from_far_end(self) -> bool:
        """Whether what goes from one end to the other, as joints of rails and corners where one
        rail runs on, begins at the line's far end; a mirrored run then is the mirror of this one.
        """
        near, far = _shape(self, mirrored=False), _shape(self, mirrored=True)
        return far < near

    @property
    def panels(self) -> PanelPlan | None:
        """How its bays are hung whole, None where they are built on site."""
        return self.rails.panels

    @property
    def face(self) -> float:
        """Distance of the posts' front faces from the line, mm."""
        return self.posts.face

    @property
    def pale_back(self) -> float:
        """Distance of the backs of pales on the front from the line, to the front, mm."""
        return self.face + self.rails.before_posts

    @property
    def pale_front(self) -> float:
        """Distance of the fronts of pales on the front, and of leaves, from the line, mm."""
        return self.pale_back + self.pales.thickness

    @cached_property
    def layers(self) -> tuple[PaleLayer, ...]:
        """The layers of its pales, in the order of their turns."""
        return layers_of(self.pales.on, self.rails.faces(self.face), self.pales.thickness)

    @property
    def between_posts(self) -> bool:
        """Whether pales stand beside posts, so that each bay has a row of its own."""
        return any(layer.back < self.face - BESIDE for layer in self.layers)

    @property
    def tops_cut(self) -> bool:
        """Whether the pales' tops are cut along their line, instead of having heads."""
        return self.top_line.heads == "curve" or self.capping is not None

    @property
    def leaf_clearance(self) -> float:
        """From the ground to the feet of gate leaves, mm: as the pales', or over a kick board's."""
        kick = self.kick_board
        own = self.pales.clearance if kick is None else kick.clearance
        return max(own, self.gates.ground_clearance)

    @property
    def carries(self) -> bool:
        """Whether the top rail is flush with the pales' tops, to fix a capping rail to."""
        return self.rails.flat_back and abs(self.height - self.rails.tops[-1]) <= FLUSH

    @property
    def fence_front(self) -> float:
        """How far rails, pales and gate leaves reach before the line, mm."""
        leaves = [self.pale_front] if self.gates.openings else []
        capped = [] if self.capping is None else [self.capping.front]
        return max(self.pale_back, *leaves, *capped, *(layer.front for layer in self.layers))

    @property
    def height(self) -> float:
        """Height of the longest pales' tops over ground, mm."""
        return self.pales.clearance + self.pales.longest

    @property
    def shoulder(self) -> float:
        """Height over ground where the straight sides of the lowest pales end, mm."""
        return self.pales.shoulder


@dataclass(frozen=True)
class HostPost:
    """The post of another run that a run starts or ends at. run : whose it is; distance : along
    its line; lean : from the line's way to the square on the post's face, degrees; depth : of the
    post behind that face, mm.
    """

    run: RunJob
    distance: float
    lean: float
    depth: float


@dataclass(frozen=True)
class Guest:
    """A run that starts or ends at a post of another. run : which; at_start : of its line;
    distance : of the post along the other's line, mm.
    """

    run: RunJob
    at_start: bool
    distance: float


def _shape(run: RunJob, *, mirrored: bool) -> tuple[tuple[float, ...], ...]:
    """Return what a run is like from its start to its end, or as its mirror would be: turns and
    lengths, gates and where they hang, levels, walls; rounded, so that moving it changes nothing.
    """
    line, legs = run.line, run.line.legs
    lengths = [round(leg.length, 3) for leg in legs]
    turns = [round(leg.turn_start, 6) for leg in legs]
    gates = []
    for number, gate in enumerate(run.gates.openings):
        at = line.distance(gate.at)
        side = gate.hinge if gate.slide is None else gate.slide.to
        hinge = 0.0 if gate.leaves == 2 else 1.0 if side == "left" else -1.0
        place = round(line.length - at if mirrored else at, 3)
        own = run.gates.leaves[number].height
        gates += [(place, round(gate.opening, 3), -hinge if mirrored else hinge, round(own, 3))]
    levels = [
        (round(leg.before + x, 3), round(leg.start[2] + z, 3))
        for leg in legs
        for x, z in leg.profile
    ]
    walls = [float(run.walls.at_start), float(run.walls.at_end)]
    walls = [wall + 2.0 * (host is not None) for wall, host in zip(walls, run.hosts, strict=True)]
    walls = [
        wall + 4.0 * (pier is not None) + gap / 8192.0
        for wall, pier, gap in zip(walls, run.piers, run.hedges, strict=True)
    ]
    walls = [wall + 8.0 * ramp for wall, ramp in zip(walls, run.ramps, strict=True)]
    if mirrored:
        lengths, walls = lengths[::-1], walls[::-1]
        turns = [turns[0], *turns[:0:-1]]
        levels = [(round(line.length - x, 3), z) for x, z in reversed(levels)]
    lowest = min(z for _, z in levels)
    profile = (value for x, z in levels for value in (x, round(z - lowest, 3)))
    places = [spot.distance for spot in run.set_posts]
    places += (x for gap in run.breaks for x in (gap.start, gap.end))
    for leg, zones in zip(legs, run.zones, strict=False):
        places += (leg.before + x for zone in zones for x in (zone.start, zone.end))
    kept = sorted(round(line.length - x if mirrored else x, 3) for x in places)
    hung = (value for gate in sorted(gates) for value in gate)
    return (
        tuple(lengths),
        tuple(turns),
        tuple(hung),
        tuple(profile),
        tuple(walls),
        tuple(kept),
    )


@dataclass(frozen=True)
class Job:
    """A whole spec with defaults worked out, and what is wrong with it.

    origin : (east, north, level) of the site that is (0, 0, 0) in the model, mm; crs : of the
    site's coordinates, empty when not known; finishes : how timber looks; notes : on the survey;
    timber, concrete, fixings, painting : how they are bought; wind, strength, soil, rules, splays :
    what is checked, no wind when None; work : hours of tasks; extras : lines of the user's own;
    prices : that boards are bought by, None when there are none; surveyed : whether there is a
    survey; features : things on the site; measured : posts as they stand, cut : pieces cut by then,
    planned : the runs as they were to be, where the runs are as measured; ground : the surface that
    lines stand on, about the origin, None where no line does; contours : height from one to the
    next on plans, mm, 0 for none, None for what suits; firm : whose papers they are, None where the
    spec names no file of it; offer, delivery : what quotations and order sheets say; joinery :
    whether joints are cut in the timber.
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
    painting: Painting = field(default_factory=Painting)
    work: Work = field(default_factory=Work)
    extras: tuple[Extra, ...] = ()
    prices: PriceList | None = None
    surveyed: bool = False
    features: tuple[Feature, ...] = ()
    measured: tuple[Measured, ...] = ()
    cut: tuple[CutPiece, ...] = ()
    planned: tuple[RunJob, ...] = ()
    ground: Surface | None = None
    contours: float | None = None
    firm: Firm | None = None
    offer: Offer = field(default_factory=Offer)
    delivery: Delivery = field(default_factory=Delivery)
    joinery: Joinery = field(default_factory=Joinery)

    @property
    def feet(self) -> bool:
        """Whether its papers are in feet and inches."""
        return self.sheets.units == "ft-in"


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
