"""A job: a spec with everything worked out that does not depend on where posts stand."""

from __future__ import annotations

from dataclasses import dataclass, field

from palewright.model.basis.errors import KeyPath, Problem
from palewright.model.geometry.frames import Vector
from palewright.model.geometry.heads import (
    Head,
)
from palewright.model.geometry.outlines import Outline
from palewright.model.geometry.shapes import (
    Cap,
    Hole,
    PostTop,
    RoundHole,
    SquareHole,
)
from palewright.model.rules.rule_sets import RuleSet
from palewright.model.site.site_line import SiteLine
from palewright.model.spec.buying import Concrete, Fixings, Timber
from palewright.model.spec.demands import Soil, Splay, Strength, Wind
from palewright.model.spec.infill_keys import Gates, GateSpec, Pales, Rails, Slopes, TopLine
from palewright.model.spec.line_keys import PartOfRun
from palewright.model.spec.paper_keys import Finishes, Project, Revision, Sheets
from palewright.model.spec.post_keys import (
    Corners,
    Footings,
    Posts,
    Walls,
)
from palewright.model.spec.spec_tables import Limits


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


def hole_text(hole: Hole) -> str:
    """Return a hole's size in words."""
    if isinstance(hole, RoundHole):
        return f"{hole.diameter:g} mm diameter"
    return f"{hole.width:g} x {hole.depth:g} mm"
