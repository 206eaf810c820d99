"""The register of findings: each code with what it means, why it matters and what helps.

Codes of rule sets stand in the rule sets, with their texts and sources; see `model/rules`.
"""

from __future__ import annotations

from .findings import FindingKind, Severity
from .foot_kinds import (
    ANCHOR_EDGE,
    SHOE_BOLT,
    SHOE_SLOPE,
    SLAB_THIN,
    SLAB_UNKNOWN,
    WIND_FOOT,
)
from .gate_kinds import (
    ACCESS_NARROW,
    BRACE_ANGLE,
    BRACE_NO_ROOM,
    BRACE_PULLED,
    GATE_GUARD,
    HINGE_OFF_POST,
    HINGES_FEW,
    HINGES_NEAR,
    LEAF_BINDS,
    LEAF_GAP_WIDE,
    LEAF_NARROW,
    LEAF_NEAR_GROUND,
    LEAF_OVER_ROAD,
    LEAF_WIDE,
    LEDGES_FEW,
    SLIDE_BLOCKED,
    SLIDE_CARE,
    SLIDE_GATE,
    SLIDE_PAST_END,
    SLIDE_TAIL,
    SWING_BLOCKED,
    SWING_GROUND,
    TRACK_GROUND,
)
from .infill_kinds import CAPPING_END_GRAIN
from .panel_kinds import PANEL_BRACKET, PANEL_HEAVY, PANEL_ODD
from .site_kinds import (
    GEOMETRY,
    GROUND_BEYOND,
    GROUND_DROP,
    GROUND_FAR,
    GROUND_OUTSIDE,
    GROUND_SURFACE,
    GROUND_UNKNOWN,
    LEGS_CLOSE_BADLY,
    LEGS_MISCLOSURE,
    PLANNING_NAMES,
    SURVEY_DOUBT,
    SURVEY_NOTE,
)
from .wind_kinds import (
    WIND_BOLT,
    WIND_CLAY,
    WIND_DEPTH,
    WIND_FAST,
    WIND_NAIL,
    WIND_POST,
    WIND_RAIL,
    WIND_SAND,
    WIND_SHEAR,
    WIND_SWAY,
)

STOP, WARN, NOTE = Severity.STOP, Severity.WARN, Severity.NOTE
_EC5 = "EN 1995-1-1"

# pales

PALE_IN_GROUND = FindingKind(
    "PALE-IN-GROUND", STOP,
    means="the pales would stand in the ground and rot; raise pales.clearance",
    matters="End grain in the ground drinks water and decays there first.",
    helps="Raise pales.clearance, best to limits.ground or more.",
)  # fmt: skip
BOARD_SLIVER = FindingKind(
    "BOARD-SLIVER", NOTE,
    means="gravel boards run out thin at an end: such an end splits when it is nailed",
    matters="A thin end of a board is hardly held, and is lost to the first stone.",
    helps="Raise pales.clearance or set another slopes.board, so that ends are higher; or cut the "
    "thin end off on site and let the next board or soil close the gap.",
)  # fmt: skip
PALE_NEAR_GROUND = FindingKind(
    "PALE-NEAR-GROUND", WARN,
    means="little air under the pales: their end grain stays wet; raise pales.clearance",
    matters="Splashed soil and grass keep the feet of the pales damp, where they decay first.",
    helps="Raise pales.clearance, or set limits.ground where less is wanted on purpose.",
)  # fmt: skip
PALE_IN_CONCRETE = FindingKind(
    "PALE-IN-CONCRETE", WARN,
    means="the sloped tops of the footings reach up to the pales' feet; raise pales.clearance or "
    "lower footings.weathering",
    matters="A pale that touches concrete has to be notched on site and stays wet.",
    helps="Raise pales.clearance, lower footings.weathering or make the holes smaller.",
    source=GEOMETRY,
)  # fmt: skip
PALE_NO_ROOM = FindingKind(
    "PALE-NO-ROOM", STOP,
    means="not even one whole pale fits between the posts",
    matters="A part of the fence would be left without pales.",
    helps="Move a corner, an end or a gate, or use narrower pales (pales.width).",
)  # fmt: skip
GAP_WIDE = FindingKind(
    "GAP-WIDE", STOP,
    means="no count of whole pales keeps the gap within pales.gap_max; change the gap, the "
    "width of the pales or the length of this part",
    matters="Pales stand whole and evenly; one fewer leaves the gap too wide, one more has no "
    "room.",
    helps="Raise pales.gap_max a little, or change pales.gap, pales.width or the length.",
    source="pales.gap_max",
)  # fmt: skip
LAP_SMALL = FindingKind(
    "LAP-SMALL", STOP,
    means="no count of whole pales, odd in each row, laps its neighbours enough",
    matters="Pales shrink as they dry, and the fence opens where they hardly lap.",
    helps="Change pales.overlap, pales.width, the length of this part or its bays (posts.bay).",
    source="pales.overlap",
)  # fmt: skip
PALE_SHORT = FindingKind(
    "PALE-SHORT", STOP,
    means="the ground or the top line leaves a pale too short for its head",
    matters="The head cannot be cut on what is left of the pale.",
    helps="Lengthen the pales (pales.length), lower the rise of the top line, or step the bays.",
    source=GEOMETRY,
)  # fmt: skip
PALE_LONG_TAIL = FindingKind(
    "PALE-LONG-TAIL", WARN,
    means="pales hang far below the lowest rail and will warp; add a rail lower down, or step "
    "the fence in parts",
    matters="Nothing holds the long foot of the pale: it twists, and a kick breaks it.",
    helps="Add a lower rail (rails.count, rails.tops), or let the bays step (slopes.follow).",
)  # fmt: skip
PALE_THIN = FindingKind(
    "PALE-THIN", WARN,
    means="pales this thin cup, split and bend between the rails; thicker pales, or a rail more",
    matters="A thin pale twists as it dries, and a knock breaks it between the rails.",
    helps="Raise pales.thickness, or set rails nearer to each other (rails.count, rails.tops).",
)  # fmt: skip
PALE_HIGH_HEAD = FindingKind(
    "PALE-HIGH-HEAD", WARN,
    means="the pales stand far over the top rail, where nothing holds them; raise the last of "
    "rails.tops",
    matters="Free tops warp out of line and break off when somebody leans on them.",
    helps="Raise the last of rails.tops, add a rail (rails.count), or shorten the pales.",
)  # fmt: skip
GAP_PLAY = FindingKind(
    "GAP-PLAY", WARN,
    means="gaps between 89 and 230 mm let a child's body through and hold its head; make pales.gap "
    "smaller",
    matters="A child that goes through feet first hangs by its head.",
    helps="Lower pales.gap to under 89 mm.",
    source="EN 1176-1, probes for head entrapment",
)  # fmt: skip
GAP_GUARD = FindingKind(
    "GAP-GUARD", WARN,
    means="gaps wider than the pales hold nobody back; lower pales.gap",
    matters="What the fence is to keep out or in goes through.",
    helps="Lower pales.gap, or take run.guards or run.keeps_in out where it is not meant to hold.",
)  # fmt: skip
GUARD_NO_RULES = FindingKind(
    "GUARD-NO-RULES", NOTE,
    means="it is said to guard something that no rule set of this job has rules for",
    matters="Heights, gaps and gates of such a fence are mostly laid down; none was checked.",
    helps="Name a rule set in rules.sets or rules.files, and ask the local authority.",
)  # fmt: skip
FOOT_OPEN = FindingKind(
    "FOOT-OPEN", WARN,
    means="a wide opening under pales at the low end of a bay: shorter bays, or slopes.fill",
    matters="Dogs and small children get through under the low end of a stepped bay.",
    helps="Shorten the bays (posts.bay), fill the wedge (slopes.fill), or set limits.open_foot.",
)  # fmt: skip

# rails and the lengths of timber

RAIL_OVER_PALES = FindingKind(
    "RAIL-OVER-PALES", STOP,
    means="the top rail stands over the pales' tops; lower it or lengthen the pales",
    matters="The pales would end below the rail that is to hold them.",
    helps="Lower the last of rails.tops, or raise pales.length.",
)  # fmt: skip
RAIL_BEHIND_HEADS = FindingKind(
    "RAIL-BEHIND-HEADS", WARN,
    means="the top rail shows between the heads of the pales",
    matters="It spoils the line of the heads, and fixings come close to the cuts.",
    helps="Lower the last of rails.tops under the shoulders of the heads.",
)  # fmt: skip
RAIL_UNDER_PALES = FindingKind(
    "RAIL-UNDER-PALES", STOP,
    means="the bottom rail hangs below the pales' feet; raise it",
    matters="The pales cannot be fixed to it, and it lies near the wet ground.",
    helps="Raise the first of rails.tops, or lower pales.clearance.",
)  # fmt: skip
RAIL_IN_GROUND = FindingKind(
    "RAIL-IN-GROUND", STOP,
    means="the ground rises between the posts to over the lowest rail; set a post on the "
    "rise, or step the bay",
    matters="The rail would lie in the soil.",
    helps="Shorten the bays (posts.bay), put a point of the line on the rise, or raise rails.tops.",
    source=GEOMETRY,
)  # fmt: skip
RAIL_OVER_DIP = FindingKind(
    "RAIL-OVER-DIP", WARN,
    means="the top rail shows over the lowest pales of the top line; lower the rail or the rise",
    matters="The lowest pales of a dip end below the rail and are not held at their tops.",
    helps="Lower the last of rails.tops, or top_line.rise.",
    source=GEOMETRY,
)  # fmt: skip
RAIL_THIN = FindingKind(
    "RAIL-THIN", WARN,
    means="rails this thin for their bays bow in the wind and sag; thicker rails, or lower "
    "posts.bay",
    matters="The stiffness of a rail falls with the cube of its thickness.",
    helps="Raise rails.section or lower posts.bay; give [wind] to have it worked out.",
)  # fmt: skip
RAILS_FEW = FindingKind(
    "RAILS-FEW", WARN,
    means="too few rails for the height: pales twist between them; raise rails.count",
    matters="One rail lets pales turn like a door, and two are far apart on a high fence.",
    helps="Two rails up to 1.2 m, three above it (rails.count), or rails.tops of your own.",
)  # fmt: skip
RAIL_STOCK = FindingKind(
    "RAIL-STOCK", NOTE,
    means="rails are laid out from a length that is not sold: rails.stock_length and "
    "timber.lengths do not agree",
    matters="Every such rail is sawn out of a longer board, and the rest is waste.",
    helps="Set rails.stock_length to one of timber.lengths, or list the length there.",
    source="timber.lengths",
)  # fmt: skip
RAIL_NO_ROOM = FindingKind(
    "RAIL-NO-ROOM", STOP,
    means="a post stands in the angle of a sharp inside corner, where the rails have "
    "already met; choose another bay or move the corner",
    matters="The rail that is left is too short to bear on its post.",
    helps="Change posts.bay or posts.layout, or open the angle of the corner.",
    source=GEOMETRY,
)  # fmt: skip
TENON_SHORT = FindingKind(
    "TENON-SHORT", STOP,
    means="in a corner post the tenons of the two legs meet so soon that one is left too short",
    matters="A short tenon comes out of its mortise as the timber dries.",
    helps='A thicker corner post (posts.corner.section), or two posts (corners.posts = "pair").',
    source="common practice, no source",
)  # fmt: skip
RAIL_END_FREE = FindingKind(
    "RAIL-END-FREE", WARN,
    means="the rails of both legs do not meet in height at a corner without a post, so that no "
    "bracket joins them and their ends hang free",
    matters="Free ends spring when somebody leans on the corner.",
    helps='Put a post in the corner (corners.posts = "one"), or rake the bays beside it.',
    source=GEOMETRY,
)  # fmt: skip
RAIL_LONG = FindingKind(
    "RAIL-LONG", STOP,
    means="a rail over one bay is longer than any to be had; shorten the bays or get longer "
    "rails (rails.stock_length)",
    matters="A rail jointed between two posts sags at its joint.",
    helps="Shorten the bays (posts.bay), or set rails.stock_length to what is sold.",
    source="rails.stock_length",
)  # fmt: skip
TIMBER_LONG = FindingKind(
    "TIMBER-LONG", NOTE,
    means="no length that is listed is long enough, so one is put on the order; list it in "
    "timber.lengths if it is sold",
    matters="The order names a length that the merchant may not have.",
    helps="Ask the merchant, and list the length in timber.lengths.",
    source="timber.lengths",
)  # fmt: skip

# posts, bays and footings

POST_SHALLOW = FindingKind(
    "POST-SHALLOW", WARN,
    means="less than a quarter of the post is in the ground; raise its embedment",
    matters="A shallow post leans in the first storm on soft ground.",
    helps="Raise posts.embedment; give [wind] to have the depth worked out.",
)  # fmt: skip
POST_THIN = FindingKind(
    "POST-THIN", WARN,
    means="a post this thin for its height whips, splits at its bolts and breaks at the ground",
    matters="Posts break where they leave the ground, and a thin one has nothing to lose there.",
    helps="Raise posts.section; give [wind] to have it worked out, and see palewright size.",
)  # fmt: skip
HOLE_NARROW = FindingKind(
    "HOLE-NARROW", WARN,
    means="hardly any concrete or gravel around the post; raise footings.size",
    matters="Less than 75 mm cannot be tamped; concrete cracks, and holds no soil back.",
    helps="Raise footings.size, best to three times the post.",
)  # fmt: skip
POSTS_OVERLAP = FindingKind(
    "POSTS-OVERLAP", STOP,
    means="two posts would stand in each other; choose another bay or move the corner",
    matters="Two posts cannot be set in one place.",
    helps="Use equal bays (posts.layout), another posts.bay, or move the corner or the gate.",
)  # fmt: skip
BAY_SHORT = FindingKind(
    "BAY-SHORT", WARN,
    means="hardly room for a spade between the posts; use equal bays or another length",
    matters="The second hole cannot be dug without loosening the first post.",
    helps="Use equal bays (posts.layout), or another posts.bay.",
)  # fmt: skip
BAY_LONG = FindingKind(
    "BAY-LONG", WARN,
    means="a long bay: rails sag and bend in the wind; lower posts.bay",
    matters="The sag of a rail grows fast with its span.",
    helps="Lower posts.bay, use deeper rails, or set limits.bay where the rails are known to do.",
)  # fmt: skip
CHORD_OFFSET = FindingKind(
    "CHORD-OFFSET", NOTE,
    means="bays on the curve are straight; this is the largest distance between a bay and the "
    "curve. For less, set posts.curve_offset",
    matters="The fence stands so far off the line that was drawn, which may be a boundary.",
    helps="Set posts.curve_offset to what the line allows; the bays become shorter.",
    source="posts.curve_offset",
)  # fmt: skip
RAKE_STEEP = FindingKind(
    "RAKE-STEEP", WARN,
    means="a steep rake: step the bays (slopes.follow) or shorten them",
    matters="The rails meet the posts in long slanting cuts, which hold badly.",
    helps="Let the bays step (slopes.follow), shorten them, or set limits.rake.",
)  # fmt: skip
MEMBERS_CLASH = FindingKind(
    "MEMBERS-CLASH", STOP,
    means="two members would stand in each other",
    matters="What is drawn cannot be built, and every length beside it is wrong.",
    helps="Move a run, a corner or a gate; or change what is thick, high or set back there. Where "
    "a pale or a board stands in concrete, raise pales.clearance or lower footings.weathering.",
    source=GEOMETRY,
)  # fmt: skip
HOLES_MEET = FindingKind(
    "HOLES-MEET", WARN,
    means="the holes run into each other: dig them as one and pour both at once",
    matters="A second hole beside fresh or hard concrete breaks the earth between them.",
    helps="Dig one hole for both posts, make footings.size smaller, or move a post.",
    source=GEOMETRY,
)  # fmt: skip
HOLE_AT_WALL = FindingKind(
    "HOLE-AT-WALL", WARN,
    means="the hole is dug right beside the wall and may undermine it; move the post, "
    "and ask about the wall's footing",
    matters="Digging below the footing of a wall can let the wall settle.",
    helps="Move the post from the wall, make footings.size smaller, and ask who knows the wall.",
)  # fmt: skip
HOLE_IN_CLEAR = FindingKind(
    "HOLE-IN-CLEAR", WARN,
    means="a post that cannot move along the line (an end, a corner, a gate's) has its hole where "
    "none may be; move the line or the gate",
    matters="The spec says that this place is to be kept free of posts and their holes.",
    helps="Move the corner, the end or the gate, or make footings.size smaller.",
    source="the spec",
)  # fmt: skip
HOLE_ON_SERVICE = FindingKind(
    "HOLE-ON-SERVICE", STOP,
    means="a hole would be dug within the width to keep clear of a pipe or cable; move the line, "
    "or agree another width with its owner",
    matters="Digging into a pipe or a cable can kill, and cuts others off.",
    helps="Move the corner, the end or the gate; ask the owner of the service before digging.",
    source="the spec",
)  # fmt: skip
OVER_BOUNDARY = FindingKind(
    "OVER-BOUNDARY", WARN,
    means="a post or its concrete comes over a boundary; move the post or the line",
    matters="What stands or lies on a neighbour's land may have to come out again.",
    helps="Move the end, the corner or the gate, give line_is or a larger inset, or agree it with "
    "the neighbour in writing.",
    source=GEOMETRY,
)  # fmt: skip
POST_LOW = FindingKind(
    "POST-LOW", WARN,
    means="the top of the post is lower than the top edge of a rail, whose bolt has little or no "
    "post behind it",
    matters="A rail that runs over the top of a post hangs on the next ones.",
    helps="Lower rails.tops, piece the post out, or set a higher one.",
    source=GEOMETRY,
)  # fmt: skip
POST_KEPT = FindingKind(
    "POST-KEPT", NOTE,
    means="a post that is kept is taken to be like the new ones in section, face and height; "
    "measure it",
    matters="Rails and pales are cut to a post that nobody has measured.",
    helps="Measure its section, how far its face is from the string, and its top; give height and "
    "across in measured.",
)  # fmt: skip
SERVICE_WIDTH = FindingKind(
    "SERVICE-WIDTH", WARN,
    means="nobody has said how far holes must keep from this pipe or cable; ask its owner, and "
    "give feature.clear",
    matters="Owners of pipes and cables set a width in which nobody digs, or only by hand.",
    helps="Ask the owner of the service for the width to keep clear and give it as clear.",
)  # fmt: skip
FOOTING_FROST = FindingKind(
    "FOOTING-FROST", WARN,
    means="frost reaches under the footing and lifts it; deepen posts.embedment",
    matters="Freezing soil lifts a footing a little each winter.",
    helps="Raise posts.embedment or footings.bed to below the depth of frost.",
    source="soil.frost",
)  # fmt: skip
POST_TOP_FLAT = FindingKind(
    "POST-TOP-FLAT", WARN,
    means="rain stands on end grain; slope the tops (weathered, pyramid) or cap them",
    matters="Water that stands on the top of a post soaks in and rots it from above.",
    helps="Choose another posts.top, or give the posts caps.",
)  # fmt: skip
BOLT_THICK = FindingKind(
    "BOLT-THICK", WARN,
    means="the bolt is too thick for its timber: no room for four diameters to the loaded edge "
    "and three to the other",
    matters="A hole near an edge splits the rail or the post along its grain.",
    helps="Choose a thinner rails.bolt, or wider rails and posts.",
    source=f"{_EC5}, Table 8.4",
)  # fmt: skip
BOLT_NEAR_END = FindingKind(
    "BOLT-NEAR-END", NOTE,
    means="bolts near the ends of rails that are jointed on a post: bore them before the rail is "
    "up; thinner bolts or wider posts give more room",
    matters="Dry end grain splits from the bolt outwards when the rail is loaded.",
    helps="Set rails.bolt thinner, posts.section wider, or joint fewer rails (rails.stock_length).",
    source=f"{_EC5}, Table 8.4",
)  # fmt: skip
NAIL_THROUGH = FindingKind(
    "NAIL-THROUGH", WARN,
    means="the shortest nail or screw that is sold comes out behind the rail; thicker rails",
    matters="Points behind the rail tear hands and clothes.",
    helps="Raise the thickness in rails.section or pales.thickness.",
    source=GEOMETRY,
)  # fmt: skip
NAIL_SHALLOW = FindingKind(
    "NAIL-SHALLOW", WARN,
    means="the nail or screw that fits does not hold: its point goes in less than six diameters",
    matters="Wind pulls pales off nails that are not deep enough in the rail.",
    helps="Thicker rails (rails.section), thinner pales, or screws (fixings.pales).",
    source=f"{_EC5}, 8.3.2",
)  # fmt: skip
NAIL_SPLITS = FindingKind(
    "NAIL-SPLITS", NOTE,
    means="pales thinner than seven diameters of their nails split: drill them first",
    matters="A nail driven into thin timber opens it along the grain.",
    helps="Drill the pales, or raise pales.thickness.",
    source=f"{_EC5}, 8.3.1.2",
)  # fmt: skip
NAIL_NEAR_END = FindingKind(
    "NAIL-NEAR-END", WARN,
    means="the lowest rail is so near to the pales' feet that nails stand in their ends; raise the "
    "first of rails.tops, or lower pales.clearance",
    matters="A nail less than ten diameters from the end splits the pale's foot off.",
    helps="Raise the first of rails.tops, or lower pales.clearance.",
    source=f"{_EC5}, Table 8.2",
)  # fmt: skip
FIXING_BRIGHT = FindingKind(
    "FIXING-BRIGHT", WARN,
    means="bare steel rusts outside, faster in treated timber; use hot-dip galvanised or "
    "stainless fixings",
    matters="Rusted nails let go of the pales and stain them.",
    helps="Set fixings.coating to galvanised or stainless.",
)  # fmt: skip

# top lines and sight lines

TOP_LINE_HIGH = FindingKind(
    "TOP-LINE-HIGH", STOP,
    means="a circular dip or arch rises no more than half its span; lower the rise or "
    "use a catenary",
    matters="No circle through both ends rises by more than half of what lies between them.",
    helps="Lower top_line.rise, set top_line.curve to catenary, or let the line span more.",
    source=GEOMETRY,
)  # fmt: skip
TOP_LINE_STEEP = FindingKind(
    "TOP-LINE-STEEP", STOP,
    means="the top line is so steep over a pale that its cut would leave the board at the side; "
    "lower the rise, let the line span more, or leave heads square to the pale",
    matters="No saw cuts a line that runs out of the timber and back again.",
    helps='Lower top_line.rise, raise top_line.length, or set top_line.heads = "pale".',
    source=GEOMETRY,
)  # fmt: skip
SPLAY_HIGH = FindingKind(
    "SPLAY-HIGH", WARN,
    means="the fence stands in the way of people who have to see over it; lower it or set "
    "it back, and ask the highway authority",
    matters="Drivers who leave a drive or a junction do not see who comes.",
    helps="Lower the fence inside the splay, set it back, and ask the highway authority.",
    source="splay.height",
)  # fmt: skip

# papers

TITLE_EMPTY = FindingKind(
    "TITLE-EMPTY", NOTE,
    means="fields of the title block on the sheets stand empty",
    matters="A sheet without number, date or firm cannot be told from an older one, and some "
    "readers send it back.",
    helps="Give project.owner, project.reference, project.author and project.date.",
    source="ISO 7200",
)  # fmt: skip

OFFER_EMPTY = FindingKind(
    "OFFER-EMPTY", NOTE,
    means="a proposal or a quotation of this job lacks what a customer asks for",
    matters="What is not written is argued about later: who pays what and when, how long the price "
    "holds, what is not in it, who stands for it.",
    helps="Give the keys that are named, in the spec or in the firm's file; what is not given is "
    "left out of the paper.",
    source="common practice, no source",
)  # fmt: skip

REGISTER = {
    "Pales": (
        PALE_IN_GROUND, PALE_NEAR_GROUND, PALE_IN_CONCRETE, PALE_NO_ROOM, GAP_WIDE, LAP_SMALL,
        PALE_SHORT,
        PALE_LONG_TAIL, PALE_THIN, PALE_HIGH_HEAD, GAP_PLAY, GAP_GUARD, GUARD_NO_RULES,
        FOOT_OPEN, BOARD_SLIVER,
    ),
    "Rails and lengths of timber": (
        RAIL_OVER_PALES, RAIL_BEHIND_HEADS, RAIL_UNDER_PALES, RAIL_IN_GROUND, RAIL_OVER_DIP,
        RAIL_NO_ROOM, TENON_SHORT, RAIL_END_FREE, RAIL_LONG, RAIL_THIN, RAILS_FEW, RAIL_STOCK,
        TIMBER_LONG, CAPPING_END_GRAIN,
    ),
    "Posts, bays and footings": (
        POST_SHALLOW, POST_THIN, POSTS_OVERLAP, BAY_SHORT, BAY_LONG, CHORD_OFFSET, RAKE_STEEP,
        MEMBERS_CLASH, HOLES_MEET, HOLE_AT_WALL, HOLE_IN_CLEAR, HOLE_ON_SERVICE, SERVICE_WIDTH,
        OVER_BOUNDARY, POST_LOW, POST_KEPT, HOLE_NARROW, FOOTING_FROST, POST_TOP_FLAT,
    ),
    "How posts stand": (
        SLAB_UNKNOWN, SLAB_THIN, ANCHOR_EDGE, SHOE_SLOPE, SHOE_BOLT, WIND_FOOT,
    ),
    "Bolts, nails and screws": (
        FIXING_BRIGHT, BOLT_THICK, BOLT_NEAR_END, NAIL_THROUGH, NAIL_SHALLOW, NAIL_SPLITS,
        NAIL_NEAR_END,
    ),
    "Panels": (PANEL_HEAVY, PANEL_BRACKET, PANEL_ODD),
    "Planning enquiries": (PLANNING_NAMES,),
    "Top lines and sight lines": (TOP_LINE_HIGH, TOP_LINE_STEEP, SPLAY_HIGH),
    "Gates": (
        LEAF_NARROW, LEAF_GAP_WIDE, LEAF_WIDE, LEAF_NEAR_GROUND, LEAF_BINDS, BRACE_NO_ROOM,
        BRACE_ANGLE, BRACE_PULLED, LEDGES_FEW, LEAF_OVER_ROAD, HINGES_NEAR, HINGES_FEW,
        HINGE_OFF_POST, GATE_GUARD, SWING_BLOCKED, SWING_GROUND, ACCESS_NARROW,
        SLIDE_BLOCKED, SLIDE_GATE, SLIDE_PAST_END, TRACK_GROUND, SLIDE_TAIL, SLIDE_CARE,
    ),
    "Ground": (
        GROUND_UNKNOWN, GROUND_BEYOND, GROUND_FAR, GROUND_OUTSIDE, GROUND_SURFACE, GROUND_DROP,
        SURVEY_DOUBT, SURVEY_NOTE,
    ),
    "Papers": (TITLE_EMPTY, OFFER_EMPTY),
    "Lines as they were walked": (LEGS_MISCLOSURE, LEGS_CLOSE_BADLY),
    "Wind": (
        WIND_POST, WIND_SHEAR, WIND_SWAY, WIND_DEPTH, WIND_CLAY, WIND_SAND, WIND_FAST,
        WIND_RAIL, WIND_BOLT, WIND_NAIL,
    ),
}  # fmt: skip
"""All kinds of findings but those of rule sets, by what they are about."""
