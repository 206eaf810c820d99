"""How drawings look: layers, line widths, lettering, dimensions, figures, in one frozen value.

Layer names follow ISO 13567-2: two characters for the agent (W, contractor), six for the element,
two for the presentation (E element graphics, T text, D dimensions, H hatching). Line widths are
those of ISO 128 (0.13, 0.18, 0.25, 0.35, 0.5, 0.7 mm), lettering heights those of ISO 3098
(2.5, 3.5, 5 mm).
"""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path

from .figures import Figures

FONT = "LiberationSans-Regular.ttf"
FONT_FILE = Path(__file__).parent / "fonts" / FONT

BLACK = (0.0, 0.0, 0.0)


@dataclass(frozen=True)
class Layer:
    """A layer. weight : line width, 1/100 mm; colour : AutoCAD colour index, for the screen;
    ink : red, green and blue on paper, 0 to 1.
    """

    name: str
    weight: int
    colour: int
    linetype: str = "CONTINUOUS"
    note: str = ""
    ink: tuple[float, float, float] = BLACK


RED, BLUE = (0.85, 0.0, 0.0), (0.0, 0.2, 0.85)
"""Inks of edges of land on planning drawings."""

PALES = Layer("W-PALES-E-", 35, 7, note="pales")
POSTS = Layer("W-POSTS-E-", 50, 32, note="posts and caps")
RAILS = Layer("W-RAILS-E-", 25, 34, note="rails, ledges and braces")
METAL = Layer("W-METAL-E-", 18, 140, note="bolts, brackets and gate furniture")
HIDDEN = Layer("W-UNDERGE-", 18, 8, "DASHED", "posts and concrete below ground")
GROUND = Layer("W-GROUNDE-", 70, 36, note="ground line")
UNKNOWN_GROUND = Layer("W-GRUNKNE-", 35, 36, "DASHED", "ground whose level nobody gave")
GROUND_HATCH = Layer("W-GROUNDH-", 13, 36, note="ground hatching")
SIDE_GROUND = Layer("W-GRSIDEE-", 35, 36, "DASHED", "ground beside the fence at another level")
CONTOUR = Layer("W-CONTOUE-", 13, 36, note="contours of the ground")
INDEX_CONTOUR = Layer("W-CONTINE-", 25, 36, note="every fifth contour")
TRIANGLES = Layer("W-GRTRIAE-", 13, 96, note="ground as triangles")
BREAKS = Layer("W-GRBREAE-", 25, 30, note="lines along which the ground bends")
AXIS = Layer("W-FLINE-E-", 18, 1, "CENTER", "fence line")
SYMBOLS = Layer("W-GATES-E-", 18, 5, "DASHED", "gate swings and hanging sides")
DIMENSIONS = Layer("W-FENCE-D-", 18, 7, note="dimensions")
TEXT = Layer("W-FENCE-T-", 25, 7, note="text")
CONCRETE = Layer("W-CONCR-E-", 35, 8, note="concrete in section")
CONCRETE_HATCH = Layer("W-CONCR-H-", 13, 8, note="concrete hatching")
GRAVEL = Layer("W-GRAVE-E-", 25, 36, note="gravel in section")
GRAVEL_HATCH = Layer("W-GRAVE-H-", 13, 36, note="gravel hatching")
TIMBER_HATCH = Layer("W-TIMBE-H-", 13, 34, note="hatching of cut timber")
FRAME = Layer("W-SHEET-B-", 70, 7, note="frame and centring marks")
RULE = Layer("W-SHEETLB-", 25, 7, note="rules of title block and tables")
SHEET_TEXT = Layer("W-SHEET-V-", 25, 7, note="text of title block and tables")
VIEWPORT = Layer("W-VIEWPOU-", 13, 9, note="viewport borders; not plotted")
BOUNDARY = Layer("W-BOUND-E-", 35, 1, note="line of the proposed fence on plans")
MATCH = Layer("W-MATCH-E-", 35, 6, "PHANTOM", "match lines between parts")
CHECK = Layer("W-CHECK-E-", 13, 4, "DASHED", "lines to measure on site")
SITE = Layer("W-SITES-E-", 25, 8, note="what stands on the site")
SITE_DASHED = Layer("W-SITEA-E-", 18, 8, "DASHED", "what is taken down, roots, edges above")
SERVICE = Layer("W-BURIEDE-", 35, 1, "CENTER", "pipes and cables")
KEEP_CLEAR = Layer("W-CLEAR-E-", 13, 1, "DASHED", "edges of what posts keep clear of")
PARCEL = Layer("W-PARCELE-", 25, 6, "PHANTOM", "boundaries")
SITE_EDGE = Layer("W-SITEEDE-", 70, 10, note="edge of the site of an application", ink=RED)
OTHER_LAND = Layer("W-OTHERLE-", 70, 170, note="edge of other land of the applicant", ink=BLUE)
WALL = Layer("W-WALLS-E-", 50, 30, note="walls that the fence meets")
WALL_HATCH = Layer("W-WALLS-H-", 13, 30, note="hatching of walls")
SOLID_OUTER = Layer("W-ISOOU-E-", 35, 7, note="outlines of members in isometric views")
SOLID_INNER = Layer("W-ISOIN-E-", 18, 7, note="edges within outlines in isometric views")
SOLID_THERE = Layer("W-ISOTH-E-", 13, 8, note="what stands already in isometric views")
TEMPLATE = Layer("W-PALECUT-", 18, 1, note="outline to cut")

LAYERS = (
    PALES, POSTS, RAILS, METAL, HIDDEN, GROUND, UNKNOWN_GROUND, GROUND_HATCH, AXIS, SYMBOLS,
    DIMENSIONS, TEXT,
    CONCRETE, CONCRETE_HATCH, TIMBER_HATCH, FRAME, RULE, SHEET_TEXT, VIEWPORT, BOUNDARY, MATCH,
    CHECK, SITE, SITE_DASHED, SERVICE, KEEP_CLEAR, PARCEL, WALL, WALL_HATCH, TEMPLATE,
    SIDE_GROUND, CONTOUR, INDEX_CONTOUR, TRIANGLES, BREAKS, SITE_EDGE,
    OTHER_LAND, SOLID_OUTER, SOLID_INNER, SOLID_THERE,
)  # fmt: skip


@dataclass(frozen=True)
class Pattern:
    """A hatch as families of parallel lines. families : (degrees, spacing, dashes), mm on paper;
    dashes alternate line and gap, none means a full line.
    """

    name: str
    layer: Layer
    families: tuple[tuple[float, float, tuple[float, ...]], ...]


CUT_TIMBER = Pattern("PW-TIMBER", TIMBER_HATCH, ((45.0, 1.6, ()),))
CUT_CONCRETE = Pattern(
    "PW-CONCRETE",
    CONCRETE_HATCH,
    ((50.0, 4.2, (1.4, 2.3)), (-5.0, 3.7, (0.7, 3.1)), (110.0, 4.7, (0.9, 3.4))),
)
CUT_GRAVEL = Pattern(
    "PW-GRAVEL",
    GRAVEL_HATCH,
    ((0.0, 1.9, (0.9, 1.3)), (60.0, 1.9, (0.9, 1.3)), (120.0, 1.9, (0.9, 1.3))),
)
CUT_GROUND = Pattern("PW-GROUND", GROUND_HATCH, ((45.0, 3.5, (3.0, 2.0)), (45.0, 1.2, (0.4, 4.6))))
CUT_WALL = Pattern("PW-WALL", WALL_HATCH, ((45.0, 2.4, ()),))
PATTERNS = (CUT_TIMBER, CUT_CONCRETE, CUT_GRAVEL, CUT_GROUND, CUT_WALL)


LINETYPES = {
    "DASHED": ("dashed", (3.0, -0.75)),
    "CENTER": ("long dash, dot", (6.0, -0.75, 0.125, -0.75)),
    "PHANTOM": ("long dash, double dot", (6.0, -0.75, 0.125, -0.75, 0.125, -0.75)),
}
"""Patterns on paper, mm: of ISO 128 (dash 12 d, gap 3 d, long dash 24 d, dot 0.5 d, from memory)
for a line d = 0.25 mm wide. Negative parts are gaps."""


@dataclass(frozen=True)
class Style:
    """Sizes on paper, mm, and how lengths are written.

    text, subtitle : lettering heights; first_tier, tier : from the outline to the first dimension
    line, and between dimension lines; side_tier : between upright ones, which keep room for
    lifted figures; tick : length of the oblique strokes;
    gap : between dimension line and text; overrun : extension line past the dimension line;
    offset : from the object to its extension line; figures : the unit and form of lengths.
    """

    text: float = 2.5
    subtitle: float = 3.5
    first_tier: float = 10.0
    tier: float = 7.0
    side_tier: float = 9.5
    tick: float = 2.0
    gap: float = 0.8
    overrun: float = 1.5
    offset: float = 1.5
    layers: tuple[Layer, ...] = field(default=LAYERS)
    figures: Figures = field(default_factory=Figures)
