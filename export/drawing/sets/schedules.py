"""What tables on sheets say of a fence: posts, bays, members, stops; each as rows of text."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from palewright.export.drawing.draft.figures import Figures, Units
from palewright.export.tables.list_tables import rail_tops_text, slope_text, span_text
from palewright.model.basis.text import plain
from palewright.model.fence.fence_model import FenceModel
from palewright.model.geometry.frames import Frame
from palewright.model.geometry.shapes import Bolt, Footing, Shape
from palewright.model.lists.crossings import near_things
from palewright.model.lists.gap_words import gap_words
from palewright.model.lists.setting_out import StopLine, stop_lines
from palewright.model.lists.takeoff import (
    StationLine,
    StretchLine,
    part_lines,
    station_lines,
    stretch_lines,
)
from palewright.model.parts.hardware import bolt_name
from palewright.model.parts.members import (
    BOLT,
    CAP,
    FINIAL,
    IN_HOLE,
    KEPT_POST,
    METAL_CAP,
    PLATES,
    POSTS,
    RAIL,
)
from palewright.model.site.features import SERVICES, Feature
from palewright.model.spec.infill_keys import TopLine

MARKED = (*POSTS, *PLATES, KEPT_POST, *IN_HOLE, CAP, METAL_CAP, FINIAL)
"""What stands at a post and is marked beside it."""

THINGS = "On the site; keep holes clear of it"

Rows = list[list[str]]

FOLLOWS = {"rake": "raked", "step": "stepped", "level": "level top"}
"""How bays follow the ground, in words of a table."""


def post_rows(fence: FenceModel, figures: Figures) -> Rows:
    """Return the setting-out of posts as a drawing shows it."""
    text = figures.text
    lines = station_lines(fence)
    level, origin = on_level_ground(fence), fence.job.origin
    unit = " (m)" if figures.in_metres(origin) else ""
    rows = [
        ["post", "kind", "marks", "chainage", f"east{unit}", f"north{unit}", "faces",
         f"ground{unit}", "hole", "hole depth", "top over ground",
         *([] if level else [_tops_head(lines)])]
    ]  # fmt: skip
    stood = {
        post.label: (post.frame, ", ".join(m.mark for m in fence.of_post[run, post.label]
                                           if m.kind in MARKED))
        for run, layout in enumerate(fence.layouts)
        for post in layout.posts
    }  # fmt: skip
    for line in lines:
        frame, marks = stood[line.label]
        words = [
            text(line.chainage),
            figures.site(line.east, origin),
            figures.site(line.north, origin),
            faces(frame),
            figures.site(line.ground, origin),
            figures.dug(line.dug) if line.dug else line.hole,
            text(line.hole_depth) if line.hole_depth else "",
            text(line.top),
        ]
        if not level:
            words.append(rail_tops_text(line, text))
        kind = line.plate or line.kind
        rows.append([line.label, kind, marks, *words])
    return rows


def faces(frame: Frame) -> str:
    """Return the bearing that the front of a post faces, degrees from north, clockwise.

    >>> faces(Frame((0.0, 0.0, 0.0)))
    '180.0°'
    """
    east, north = -frame.y[0], -frame.y[1]
    return f"{round(math.degrees(math.atan2(east, north)), 1) % 360.0:.1f}°"


AT_STEPS = "left / right at a step"
"""How rails' tops on both sides of a post stand, seen from the front."""


def _tops_head(lines: Sequence[StationLine]) -> str:
    stepped = any(len(line.rail_tops) > 1 for line in lines)
    return "rail tops over ground" + (f", {AT_STEPS}" if stepped else "")


def on_level_ground(fence: FenceModel) -> bool:
    """Tell whether all posts of each run stand on one level and no bay is set apart from it."""
    return all(
        post.rise == 0.0 and abs(post.frame.origin[2] - layout.posts[0].frame.origin[2]) < 0.5
        for layout in fence.layouts
        for post in layout.posts
    )


def bay_rows(fence: FenceModel, figures: Figures) -> Rows:
    """Return bays, pales and gaps of each stretch, and how it follows the ground."""
    level = on_level_ground(fence)
    lines = stretch_lines(fence)
    curved = any(line.offset for line in lines)
    rows = [["run", "from", "to", "bays", "pales", "gap"]]
    rows[0] += [] if level else ["follows", "slope", "steps at posts", "under pales"]
    rows[0] += ["off the curve"] if curved else []
    tops = [_top_line(layout.run.top_line, figures) for layout in fence.layouts
            for _ in layout.stretches]  # fmt: skip
    rows[0] += ["tops"] if any(tops) else []
    for line, top in zip(lines, tops, strict=True):
        bays = " + ".join(f"{count} x {figures.text(length)}" for count, length in line.bays)
        gap = gap_words(line.gap, figures.fine)
        row = [line.run, line.first, line.last, bays, str(line.pales), gap]
        if not level:
            words = " and ".join(FOLLOWS[word] for word in line.follow.split(" and "))
            under = span_text(line.clearances, figures.text)
            row += [words, slope_text(line.slopes), _steps(line, figures), under]
        if curved:
            row.append(figures.text(line.offset) if line.offset else "")
        rows.append([*row, top] if any(tops) else row)
    return rows


def _top_line(line: TopLine, figures: Figures) -> str:
    """Say how the tops of pales go up and down between posts; nothing where they do not."""
    rise = figures.text(line.rise)
    match line.shape:
        case "straight":
            return ""
        case "wave":
            return f"waves, {rise} from crest to trough"
        case _:
            curve = "an arc" if line.curve == "circle" else "a catenary"
            return f"{line.shape} of {rise} over each {line.over}, {curve}"


def _steps(line: StretchLine, figures: Figures) -> str:
    """Return the steps at a stretch's posts: each, or from the least to the most."""
    steps = sorted({figures.text(step) for step in line.steps}, key=len)
    if len(steps) < 4:
        return ", ".join(steps)
    return f"{figures.text(min(line.steps))} to {figures.text(max(line.steps))}"


def member_rows(fence: FenceModel, figures: Figures) -> Rows:
    """Return the members by mark with their sizes and cuts."""
    rows = [["mark", "part", "no.", "width", "thickness", "length", "end cuts off square, sides"]]
    drops = _drops(fence)
    for line in part_lines(fence):
        cuts = line.note.replace(" degrees", "°").replace(" off square", "")
        # rails are cut to whole millimetres between places that are running ones
        length = (figures.text if line.kind == RAIL else figures.fine)(line.length)
        sizes = (figures.fine(line.first), figures.fine(line.second), length)
        words = cuts.replace(" end cut", "") or _concrete_top(fence, line.mark, figures)
        if line.mark in drops:
            drop = f"ends {figures.text(drops[line.mark])} under the ground at the post"
            words = f"{words}; {drop}" if words else drop
        part = line.kind.name
        shape = fence.by_mark[line.mark][0].shape
        if isinstance(shape, Bolt):
            head = "" if line.kind == BOLT else "hexagon "
            part = head + bolt_name(shape)
            sizes = ("", "", "") if figures.units is Units.FEET else sizes
        rows.append([line.mark, part, str(line.count), *sizes, words])
    return rows


def _concrete_top(fence: FenceModel, mark: str, figures: Figures) -> str:
    """Say how far the top of a footing rises to its post."""
    shape: Shape = fence.by_mark[mark][0].shape
    if not isinstance(shape, Footing) or not shape.weathering:
        return ""
    return f"top rises {figures.fine(shape.weathering)} to the post"


def _drops(fence: FenceModel) -> dict[str, float]:
    """Return how far footings end under the ground at their posts, where it falls, by mark, mm."""
    posts = (post for layout in fence.layouts for post in layout.posts)
    drops = {post.footing: post.drop for post in posts if post.footing is not None and post.drop}
    return {
        mark: drops[shape]
        for mark, group in fence.by_mark.items()
        if isinstance(shape := group[0].shape, Footing) and shape in drops
    }


def stop_rows(fence: FenceModel, figures: Figures) -> Rows:
    """Return spacers and stops, by which pales are fixed."""
    text = figures.text
    rows = [
        ["run", "from", "to", "pales", "first pale", "spacer", "last pale", "foot below rail top",
         "top above rail top"]
    ]  # fmt: skip
    for line in stop_lines(fence):
        below, above = (_span(span, text) for span in (line.below, line.above))
        rows.append(
            [
                line.run,
                line.first,
                line.last,
                str(line.pales),
                text(line.starts),
                _spacer(line, figures),
                text(line.ends),
                below,
                above,
            ]
        )
    return rows


def _spacer(line: StopLine, figures: Figures) -> str:
    """Return the spacer between pales; where they lap also that between those of a layer."""
    words = gap_words(line.gap, figures.fine)
    return words if line.apart is None else f"{words}; {figures.fine(line.apart)} in a layer"


FIRST_PALE = (
    "First and last pale: from the middle of the post named to the pale's near edge, from left to "
    "right seen from the front; under 0 where the pale reaches past that middle. Gaps are measured "
    "from there on."
)
"""What places of the first and the last pale are measured from."""


def _span(span: tuple[float, float], text: Callable[[float], str]) -> str:
    low, high = span
    return text(low) if high - low < 0.5 else span_text(span, text)


def as_text(rows: Sequence[Sequence[str | int]]) -> Rows:
    """Return the rows of a list as text."""
    return [[str(cell) for cell in row] for row in rows]


def thing_rows(fence: FenceModel, figures: Figures) -> Rows:
    """Return what stands and lies beside the fence: where it crosses the line, and the hole that is
    nearest to what is kept free round it.
    """
    text = figures.text
    rows = [["what", "crosses the line at", "between", "keep clear", "nearest hole", "free by"]]
    for thing in near_things(fence):
        feature = thing.feature
        kept = text(feature.clear) if feature.clear is not None else _unsaid(feature)
        near = thing.post and not feature.goes and (feature.keeps_clear or not thing.crossings)
        nearest = [thing.post, text(thing.apart)] if near else ["", ""]
        places = [(text(one.chainage), f"{one.first} {one.last}") for one in thing.crossings]
        for where in places or [("", "")]:
            rows.append([plain(feature.called), *where, kept, *nearest])
    return rows


def _unsaid(feature: Feature) -> str:
    if feature.goes:
        return "taken down"
    return "ask its owner" if feature.kind in SERVICES else ""
